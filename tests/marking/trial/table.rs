//! Counting, and the table.

use super::injections::{Class, TWO_STEPS};
use super::judge::{Judged, Outcome};
use super::twins::Twin;
use std::collections::BTreeMap;
use std::fmt::Write;

/// What became of the sheets of one line of the table.
#[derive(Default, Clone)]
pub struct Line {
    counts: BTreeMap<(Twin, Outcome), usize>,
    /// Sheets with a wrong answer, by the checker, where nothing had gone wrong.
    pub knock_on: usize,
}

impl Line {
    fn add(&mut self, judged: &Judged) {
        *self.counts.entry((judged.twin, judged.outcome)).or_default() += 1;
        self.knock_on += usize::from(!judged.knock_on.is_empty());
    }

    fn merge(&mut self, other: &Line) {
        for (key, count) in &other.counts {
            *self.counts.entry(*key).or_default() += count;
        }
        self.knock_on += other.knock_on;
    }

    pub fn of(&self, twins: &[Twin], outcome: Outcome) -> usize {
        twins.iter().map(|twin| self.counts.get(&(*twin, outcome)).copied().unwrap_or(0)).sum()
    }

    pub fn all(&self, twins: &[Twin]) -> usize {
        self.counts.iter().filter(|((twin, _), _)| twins.contains(twin)).map(|(_, count)| count).sum()
    }

    /// The share, in percent, that became this; of nothing, nothing.
    pub fn percent(&self, twins: &[Twin], outcomes: &[Outcome]) -> f64 {
        let of: usize = outcomes.iter().map(|outcome| self.of(twins, *outcome)).sum();
        100.0 * of as f64 / self.all(twins).max(1) as f64
    }
}

/// Sheets that nothing else can be told from.
pub const TELLABLE: [Twin; 1] = [Twin::None];
/// As the rule is for the exercise's own slips: they come before a general mistake with the same number.
pub const TELLABLE_OWN: [Twin; 2] = [Twin::None, Twin::General];
pub const ALL: [Twin; 3] = [Twin::None, Twin::General, Twin::Own];

/// Which of the sheets of a class count as tellable.
pub fn tellable(class: Class) -> &'static [Twin] {
    match class {
        Class::Own => &TELLABLE_OWN,
        Class::Random | Class::AnyRandom => &ALL,
        _ => &TELLABLE,
    }
}

#[derive(Clone)]
struct Confusion {
    count: usize,
    example: String,
}

/// Everything that was counted for one exercise.
#[derive(Default, Clone)]
pub struct Results {
    pub name: String,
    pub right: usize,
    pub not_right: Vec<String>,
    lines: BTreeMap<(Class, &'static str, bool), Line>,
    confusions: BTreeMap<(Outcome, String, String), Confusion>,
    /// By class, and by step and what was said there.
    knock_ons: BTreeMap<(Class, String), Confusion>,
    /// Throws of the dice that gave nothing to tell: nothing to be done with the problem, or right to within the tolerance.
    pub thrown_away: BTreeMap<Class, usize>,
    /// Cases for which no throw gave anything.
    pub empty: BTreeMap<Class, usize>,
}

impl Results {
    pub fn new(name: &str) -> Results {
        Results { name: name.to_owned(), ..Results::default() }
    }

    pub fn add(&mut self, class: Class, label: &'static str, what: &str, metric: bool, case: &str, judged: &Judged) {
        self.lines.entry((class, label, metric)).or_default().add(judged);
        for said in &judged.knock_on {
            let fresh = || Confusion { count: 0, example: case.to_owned() };
            self.knock_ons.entry((class, said.clone())).or_insert_with(fresh).count += 1;
        }
        let counts = tellable(class).contains(&judged.twin)
            && !matches!(judged.outcome, Outcome::Named | Outcome::Accepted)
            && (label, judged.outcome) != ("a margin of one's own", Outcome::Silent)
            && !(matches!(class, Class::Random | Class::AnyRandom) && judged.outcome != Outcome::Wrong);
        if counts {
            let key = (judged.outcome, format!("{} {what}", class.name()), judged.said.clone());
            let fresh = || Confusion { count: 0, example: case.to_owned() };
            self.confusions.entry(key).or_insert_with(fresh).count += 1;
        }
    }

    pub fn merge(&mut self, other: &Results) {
        self.right += other.right;
        self.not_right.extend(other.not_right.iter().cloned());
        for (key, line) in &other.lines {
            self.lines.entry(*key).or_default().merge(line);
        }
        for (class, count) in &other.thrown_away {
            *self.thrown_away.entry(*class).or_default() += count;
        }
        for (class, count) in &other.empty {
            *self.empty.entry(*class).or_default() += count;
        }
    }

    /// All the lines of a class that fit.
    pub fn sum(&self, class: Class, fits: impl Fn(&str, bool) -> bool) -> Line {
        let mut sum = Line::default();
        for ((known, label, metric), line) in &self.lines {
            if *known == class && fits(label, *metric) {
                sum.merge(line);
            }
        }
        sum
    }

    /// All of a class; the margin of one's own, for which there is no name, is no single slip that could be named.
    pub fn class(&self, class: Class) -> Line {
        self.sum(class, |label, _| label != "a margin of one's own")
    }

    fn labels(&self) -> Vec<(Class, &'static str)> {
        let mut labels: Vec<(Class, &'static str)> =
            self.lines.keys().map(|(class, label, _)| (*class, *label)).collect();
        labels.dedup();
        labels
    }
}

/// For each exercise how each class did.
pub fn by_exercise(all: &[Results], total: &Results) -> String {
    let mut text = format!(
        "{:<18}{:>10}{:>16}{:>16}{:>16}{:>16}{:>8}{:>8}\n{:<18}{:>10}{:>16}{:>16}{:>16}{:>16}{:>8}{:>8}\n",
        "",
        "a",
        "b1 own",
        "b2 general",
        "b3 habits",
        "c pairs",
        "d",
        "d2",
        "",
        "all right",
        "named  false",
        "named  false",
        "named  false",
        "both  false",
        "false",
        "false",
    );
    for results in all.iter().chain([total]) {
        let _ = write!(text, "{:<18}{:>6}/{:<3}", results.name, results.right, results.not_right.len());
        for class in [Class::Own, Class::General, Class::Habit, Class::Pair] {
            let line = results.class(class);
            let named = line.percent(tellable(class), &[Outcome::Named]);
            let _ = write!(text, "{:>9.1}{:>7.1}", named, line.percent(tellable(class), &[Outcome::Wrong]));
        }
        for class in [Class::Random, Class::AnyRandom] {
            let _ = write!(text, "{:>8.1}", results.class(class).percent(&ALL, &[Outcome::Wrong]));
        }
        text.push('\n');
    }
    text
}

/// The figures that are aimed at, in percent: one slip named first, two slips both named, a number by chance explained.
pub fn aimed_at(total: &Results) -> [f64; 3] {
    let line = |class: Class| total.class(class);
    let percent = |part: usize, of: usize| 100.0 * part as f64 / of.max(1) as f64;
    let (own, general, pairs, chance) =
        (line(Class::Own), line(Class::General), line(Class::Pair), line(Class::Random));
    let named = own.of(&TELLABLE_OWN, Outcome::Named) + general.of(&TELLABLE, Outcome::Named);
    [
        percent(named, own.all(&TELLABLE_OWN) + general.all(&TELLABLE)),
        percent(pairs.of(&TELLABLE, Outcome::Named), pairs.all(&TELLABLE)),
        percent(chance.of(&ALL, Outcome::Wrong), chance.all(&ALL)),
    ]
}

/// The figures that matter, in sentences.
pub fn in_short(total: &Results) -> String {
    let line = |class: Class| total.class(class);
    let share = |named: usize, of: usize| format!("{:.1} % of {of}", 100.0 * named as f64 / of.max(1) as f64);
    let (own, general) = (line(Class::Own), line(Class::General));
    let named = own.of(&TELLABLE_OWN, Outcome::Named) + general.of(&TELLABLE, Outcome::Named);
    let single = share(named, own.all(&TELLABLE_OWN) + general.all(&TELLABLE));
    let pairs = |line: Line| share(line.of(&TELLABLE, Outcome::Named), line.all(&TELLABLE));
    let by_chance = |class: Class| share(line(class).of(&ALL, Outcome::Wrong), line(class).all(&ALL));
    let apart = total.sum(Class::Pair, |label, _| label == TWO_STEPS);
    format!(
        "sheets with nothing wrong, all right: {}\none slip that can be told (b1 and b2), named first: {single}\n\
         two slips that can be told, both named: {}; in different steps: {}\n\
         a wrong number by chance that no known mistake gives, explained: {}; whatever it is: {}\n",
        share(total.right, total.right + total.not_right.len()),
        pairs(line(Class::Pair)),
        pairs(apart),
        by_chance(Class::Random),
        by_chance(Class::AnyRandom),
    )
}

/// For each kind of mistake what became of it, over all exercises; percent of the tellable sheets.
pub fn by_kind(total: &Results) -> String {
    let mut text = format!(
        "{:<34}{:>8}{:>7}{:>7}{:>7}{:>7}{:>7}{:>7}{:>7}{:>8} |{:>9}{:>7} |{:>9}{:>7}{:>7}\n",
        "percent of the tellable sheets",
        "sheets",
        "named",
        "one",
        "asked",
        "twin",
        "silent",
        "false",
        "taken",
        "refused",
        "same as",
        "named",
        "same as",
        "either",
        "false",
    );
    let _ = writeln!(text, "{:>101} |{:>16} |{:>16}", "", "a general one", "an own slip");
    let mut line_of = |name: &str, class: Class, line: &Line| {
        let first: &[Twin] = if matches!(class, Class::Random | Class::AnyRandom) { &ALL } else { &TELLABLE };
        let share = |outcome: Outcome| line.percent(first, &[outcome]);
        let _ = write!(text, "{:<34}{:>8}", format!("{} {name}", class.name()), line.all(first));
        for outcome in [
            Outcome::Named,
            Outcome::One,
            Outcome::Offered,
            Outcome::Twin,
            Outcome::Silent,
            Outcome::Wrong,
            Outcome::Accepted,
        ] {
            let _ = write!(text, "{:>7.1}", share(outcome));
        }
        let _ = write!(text, "{:>8.1}", share(Outcome::Refused));
        let either = [Outcome::Named, Outcome::Twin, Outcome::Offered, Outcome::One];
        let general: &[Outcome] = if class == Class::Own { &[Outcome::Named] } else { &either };
        let _ = write!(text, " |{:>9}{:>7.1}", line.all(&[Twin::General]), line.percent(&[Twin::General], general));
        let _ = write!(text, " |{:>9}{:>7.1}", line.all(&[Twin::Own]), line.percent(&[Twin::Own], &either));
        let _ = writeln!(text, "{:>7.1}", line.percent(&[Twin::Own], &[Outcome::Wrong]));
    };
    for (class, label) in total.labels() {
        let line = total.sum(class, |known, _| known == label);
        if ["fraction misread", "a given misread, in one step", "a given misread, in several steps", "other unit"]
            .contains(&label)
        {
            for (metric, system) in [(false, "inch"), (true, "metric")] {
                let line = total.sum(class, |known, is_metric| known == label && is_metric == metric);
                line_of(&format!("{label}, {system}"), class, &line);
            }
        } else {
            line_of(label, class, &line);
        }
    }
    for class in [Class::Own, Class::General, Class::Habit, Class::Pair] {
        line_of("in all", class, &total.class(class));
    }
    text
}

/// What was left out, and why.
pub fn left_out(total: &Results) -> String {
    let mut text = String::new();
    for class in Class::ALL {
        let line = total.sum(class, |_, _| true);
        if line.all(&ALL) == 0 {
            continue;
        }
        let thrown = total.thrown_away.get(&class).copied().unwrap_or(0);
        let empty = total.empty.get(&class).copied().unwrap_or(0);
        let _ = writeln!(
            text,
            "{:<3}{:>7} sheets; same number as a general mistake {}, as another own slip {}; wrong answers where nothing had gone wrong on {}; \
             thrown away {thrown} draws that can't be made here or come out right to within the tolerance, {empty} cases found none",
            class.name(),
            line.all(&ALL),
            line.all(&[Twin::General]),
            line.all(&[Twin::Own]),
            line.knock_on,
        );
    }
    text
}

/// For each exercise what was most often confused: first what was falsely said, then what was left unsaid.
pub fn confusions(all: &[Results], most: usize) -> String {
    let mut text = String::new();
    for results in all {
        let _ = writeln!(text, "{}", results.name);
        for (title, wanted) in [
            ("false", &[Outcome::Wrong][..]),
            ("not named", &[Outcome::Silent, Outcome::One, Outcome::Offered, Outcome::Refused]),
        ] {
            let mut found: Vec<_> =
                results.confusions.iter().filter(|((outcome, ..), _)| wanted.contains(outcome)).collect();
            found.sort_by_key(|(_, confusion)| std::cmp::Reverse(confusion.count));
            for ((_, what, said), confusion) in found.into_iter().take(most) {
                let _ =
                    writeln!(text, "  {title:<9}{:>5} x {what} -> {said}   [{}]", confusion.count, confusion.example);
            }
        }
        let mut found: Vec<_> = results.knock_ons.iter().collect();
        found.sort_by_key(|(_, confusion)| std::cmp::Reverse(confusion.count));
        for ((class, said), confusion) in found.into_iter().take(most) {
            let (class, example) = (class.name(), &confusion.example);
            let _ = writeln!(text, "  unharmed {:>5} x {class} {said}   [{example}]", confusion.count);
        }
    }
    text
}
