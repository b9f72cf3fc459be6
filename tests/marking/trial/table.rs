//! Counting, and the tables.

use super::classes::Class;
use super::judge::{Judged, Said};
use std::collections::BTreeMap;
use std::fmt::Write;

/// What became of some sheets.
#[derive(Default, Clone)]
pub struct Line {
    pub sheets: usize,
    said: BTreeMap<Said, usize>,
    /// Sheets on which an answer was faulted that nothing is wrong with.
    pub innocents: usize,
    /// Named, and one answer charged at the most.
    pub once: usize,
    points: f64,
    /// Sheets whose number is that of an author's slip as well, and those of them with a false cause.
    pub twins: [usize; 2],
}

impl Line {
    pub fn add(&mut self, judged: &Judged) {
        self.sheets += 1;
        *self.said.entry(judged.said).or_default() += 1;
        self.innocents += usize::from(!judged.innocents.is_empty());
        self.once += usize::from(judged.said == Said::Named && judged.once);
        self.points += judged.points;
        self.twins[0] += usize::from(judged.is_twin);
        self.twins[1] += usize::from(judged.is_twin && judged.said == Said::False);
    }

    pub fn merge(&mut self, other: &Line) {
        self.sheets += other.sheets;
        self.innocents += other.innocents;
        self.once += other.once;
        self.points += other.points;
        (0..2).for_each(|at| self.twins[at] += other.twins[at]);
        for (said, count) in &other.said {
            *self.said.entry(*said).or_default() += count;
        }
    }

    pub fn count(&self, said: Said) -> usize {
        self.said.get(&said).copied().unwrap_or(0)
    }

    /// In percent of the sheets.
    pub fn share(&self, count: usize) -> f64 {
        100.0 * count as f64 / self.sheets.max(1) as f64
    }

    pub fn percent(&self, said: Said) -> f64 {
        self.share(self.count(said))
    }
}

/// Something that was not said as it should have been.
struct Confusion {
    count: usize,
    example: String,
}

#[derive(Default)]
pub struct Results {
    pub lines: BTreeMap<&'static str, Line>,
    kinds: BTreeMap<(&'static str, &'static str), Line>,
    confusions: BTreeMap<(&'static str, Said, String, String), Confusion>,
    innocents: BTreeMap<(&'static str, String, String), Confusion>,
    /// How many kinds of slips in a rule there are.
    pub slips: usize,
    /// Cases that can't be made here.
    pub none: BTreeMap<&'static str, usize>,
}

/// What was done, for the lists: the exercise, and what and where.
pub struct Told<'t> {
    pub class: &'static Class,
    pub kind: &'static str,
    pub exercise: &'t str,
    pub what: String,
    pub case: String,
    /// The names of the innocent answers.
    pub innocents: Vec<&'t str>,
}

impl Results {
    pub fn add(&mut self, told: &Told, judged: &Judged) {
        let key = told.class.key;
        self.lines.entry(key).or_default().add(judged);
        self.kinds.entry((key, told.kind)).or_default().add(judged);
        let fresh = || Confusion { count: 0, example: told.case.clone() };
        let what = format!("{} {}", told.exercise, told.what);
        if judged.said != Said::Named && !told.class.is_right {
            let key = (key, judged.said, what.clone(), judged.words.clone());
            self.confusions.entry(key).or_insert_with(fresh).count += 1;
        }
        for innocent in &told.innocents {
            let key = (key, what.clone(), format!("{innocent} ({})", judged.words));
            self.innocents.entry(key).or_insert_with(fresh).count += 1;
        }
    }

    pub fn merge(&mut self, other: Results) {
        self.slips += other.slips;
        other.lines.iter().for_each(|(key, line)| self.lines.entry(key).or_default().merge(line));
        other.kinds.iter().for_each(|(key, line)| self.kinds.entry(*key).or_default().merge(line));
        other.none.iter().for_each(|(key, count)| *self.none.entry(key).or_default() += count);
        let put = |known: &mut Confusion, found: Confusion| known.count += found.count;
        for (key, found) in other.confusions {
            let example = found.example.clone();
            put(self.confusions.entry(key).or_insert(Confusion { count: 0, example }), found);
        }
        for (key, found) in other.innocents {
            let example = found.example.clone();
            put(self.innocents.entry(key).or_insert(Confusion { count: 0, example }), found);
        }
    }

    pub fn line(&self, key: &str) -> Line {
        self.lines.get(key).cloned().unwrap_or_default()
    }

    /// The table, in Markdown.
    pub fn table(&self, classes: &'static [Class]) -> String {
        let mut text = String::from(HEAD);
        for class in classes {
            row(&mut text, class.title, &self.line(class.key), class.is_right, class.aim);
        }
        text
    }

    /// The kinds of one class, in Markdown.
    pub fn kinds(&self, key: &str) -> String {
        let mut text = String::from(HEAD);
        for ((_, kind), line) in self.kinds.iter().filter(|((class, _), _)| *class == key) {
            row(&mut text, kind, line, false, "");
        }
        text
    }

    /// What was most often said in place of the cause, and which innocent answers were faulted, each with a case.
    pub fn confusions(&self, most: usize) -> String {
        let mut text = String::new();
        let mut groups: Vec<(&str, Said)> = self.confusions.keys().map(|(class, said, ..)| (*class, *said)).collect();
        groups.dedup();
        for (class, said) in groups {
            let mut found: Vec<_> =
                self.confusions.iter().filter(|((of, as_said, ..), _)| (*of, *as_said) == (class, said)).collect();
            found.sort_by_key(|(_, confusion)| std::cmp::Reverse(confusion.count));
            for ((_, _, what, words), confusion) in found.into_iter().take(most) {
                let _ = writeln!(
                    text,
                    "{class} {said:?} {} x {what} -> {words}   [{}]",
                    confusion.count, confusion.example
                );
            }
        }
        let mut classes: Vec<&str> = self.innocents.keys().map(|(class, ..)| *class).collect();
        classes.dedup();
        for class in classes {
            let mut found: Vec<_> = self.innocents.iter().filter(|((of, ..), _)| *of == class).collect();
            found.sort_by_key(|(_, confusion)| std::cmp::Reverse(confusion.count));
            for ((_, what, innocent), confusion) in found.into_iter().take(most) {
                let _ = writeln!(
                    text,
                    "{class} innocent {} x {what} -> {innocent}   [{}]",
                    confusion.count, confusion.example
                );
            }
        }
        text
    }
}

const HEAD: &str = "| what students do | sheets | named alone | and charged once | among others | vague | false cause | \
    passed as right | innocents faulted | points kept | aim |\n|---|---|---|---|---|---|---|---|---|---|---|\n";

fn row(text: &mut String, title: &str, line: &Line, is_right: bool, aim: &str) {
    let _ = write!(text, "| {title} | {} |", line.sheets);
    let part = |count: usize| format!("{:.1} % ({count})", line.share(count));
    if is_right {
        let _ = write!(
            text,
            " | | | | {} | | {} |",
            part(line.count(Said::False) + line.count(Said::Among)),
            part(line.innocents)
        );
    } else {
        let _ = write!(text, " {} | {} |", part(line.count(Said::Named)), part(line.once));
        for said in [Said::Among, Said::Vague, Said::False, Said::Passed] {
            let _ = write!(text, " {} |", part(line.count(said)));
        }
        let _ = write!(text, " {} |", part(line.innocents));
    }
    let _ = writeln!(text, " {:.1} % | {aim} |", 100.0 * line.points / line.sheets.max(1) as f64);
}
