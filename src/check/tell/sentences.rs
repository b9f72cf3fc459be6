//! What to tell a student about one answer, at the level of detail the instructor chose.

use super::causes::{as_nudge, either, in_full, plural};
use super::words::{capital, definite};
use crate::check::result::{Cause, Explanation, MarkedCell, MarkedSheet, Verdict};
use crate::class::Show;
use crate::draft::{Bound, Draft, broken_limit};
use crate::exercise::{Step, StepRule};
use crate::formula::Base;
use crate::length::{Length, Tolerance, likely};

/// What to tell a student about one answer; nothing where it is simply right.
pub fn sentences(sheet: &MarkedSheet, cell: &MarkedCell, show: Show) -> Vec<String> {
    if show == Show::Marks {
        return Vec::new();
    }
    let teller = Teller { sheet, cell, step: &sheet.truth.exercise.steps[cell.step], full: show == Show::Full };
    match cell.verdict {
        Verdict::Right if cell.remark.is_empty() || !teller.full => Vec::new(),
        Verdict::Right => vec![format!("{}.", capital(&cell.remark))],
        Verdict::Unreadable => {
            let why = format!("{}.", capital(&cell.remark));
            std::iter::once(why).chain(teller.what_belongs()).chain(question(sheet, cell)).collect()
        }
        Verdict::CantBeJudged if cell.explained.is_empty() => vec![teller.rests()],
        Verdict::CantBeJudged => teller.explanation(),
        Verdict::Missing => teller.what_belongs(),
        Verdict::RightFromOwn => teller.follows().into_iter().collect(),
        Verdict::OutsideRule => teller.outside(),
        Verdict::NotRight if !cell.remark.is_empty() => vec![format!("{}.", capital(&cell.remark))],
        Verdict::NotRight => teller.not_right(),
    }
}

/// What was probably meant by an answer that can't be read, or is not right.
pub fn meant(sheet: &MarkedSheet, cell: &MarkedCell) -> Option<Length> {
    let step = &sheet.truth.exercise.steps[cell.step];
    let is_asked = !cell.verdict.earns() && step.kind.base == Base::Length;
    is_asked.then(|| likely(&cell.written, sheet.truth.givens.ruler.unit())).flatten()
}

/// Whether an answer that can't be read was meant so; a page asks for itself.
pub fn question(sheet: &MarkedSheet, cell: &MarkedCell) -> Option<String> {
    let meant = meant(sheet, cell).filter(|_| cell.verdict == Verdict::Unreadable)?;
    Some(format!("Did you mean {}?", sheet.truth.givens.ruler.write_exactly(meant)))
}

/// What to tell a student first: the one thing that accounts for several answers, if there is one.
pub fn first_of_all(sheet: &MarkedSheet, show: Show) -> Option<String> {
    let one = sheet.one_cause.filter(|one| show != Show::Marks && one.accounts > 1)?;
    let cell = &sheet.cells[one.cell];
    let teller = Teller { sheet, cell, step: &sheet.truth.exercise.steps[cell.step], full: show == Show::Full };
    let said = match cell.cause() {
        Some(Cause::Unit { wrote, meant }) if teller.full => {
            format!("The numbers are right in {}, and they were handed in as {}.", plural(meant), plural(wrote))
        }
        Some(_) | None => teller.explanation().join(" "),
    };
    let counted = if cell.verdict.earns() { "they count as right" } else { "it counts as one mistake" };
    Some(format!("{said} {} answers come of this one thing, and {counted}.", one.accounts))
}

struct Teller<'s, 'e> {
    sheet: &'s MarkedSheet<'e>,
    cell: &'s MarkedCell,
    step: &'s Step,
    full: bool,
}

impl Teller<'_, '_> {
    fn truth(&self) -> &Draft<'_> {
        &self.sheet.truth
    }

    fn own(&self) -> &Draft<'_> {
        &self.sheet.own
    }

    fn write(&self, value: f64) -> String {
        self.truth().write_value(self.step.kind.base, value)
    }

    /// What follows from the true values, written.
    fn expected(&self) -> String {
        self.truth().text_at(self.step.slot, self.cell.row)
    }

    /// How far this answer may be off.
    fn width(&self) -> f64 {
        self.sheet.widths[self.cell.step]
    }

    /// Whether the student's own earlier figures lead to another value than the true ones.
    fn own_differs(&self) -> bool {
        let (own, expected) = (self.cell.own, self.cell.expected);
        own.zip(expected).is_some_and(|(own, expected)| (own - expected).abs() > self.width())
    }

    /// The rule, the arithmetic with a draft's numbers put in, and the value.
    fn worked(&self, draft: &Draft, value: f64) -> String {
        let (rule, arithmetic, value) =
            (capital(&draft.rule(self.step)), draft.arithmetic(self.step, self.cell.row), self.write(value));
        let equals = if value.starts_with('≈') { "" } else { "= " };
        if arithmetic == value {
            format!("{rule} is {value}.")
        } else {
            format!("{rule} is {arithmetic} {equals}{value}.")
        }
    }

    /// What was expected, worked with the true values.
    fn expected_worked(&self) -> Vec<String> {
        self.cell.expected.map(|expected| self.worked(self.truth(), expected)).into_iter().collect()
    }

    /// For an answer that is not there: what belongs there, or a nudge towards it.
    fn what_belongs(&self) -> Vec<String> {
        if !self.full {
            return self.nudge();
        }
        match (&self.step.rule, self.cell.rests_on) {
            (_, Some(_)) => vec![self.rests()],
            (StepRule::Value(_), None) => self.expected_worked(),
            (StepRule::Within { .. }, None) => {
                vec![format!("It is your choice: {}.", self.truth().arithmetic(self.step, self.cell.row))]
            }
        }
    }

    fn nudge(&self) -> Vec<String> {
        if self.step.nudge.is_empty() { Vec::new() } else { vec![self.step.nudge.clone()] }
    }

    fn rests(&self) -> String {
        let Some(choice) = self.cell.rests_on else { return String::new() };
        let unread = self.sheet.cells.iter().any(|cell| cell.step == choice && cell.verdict == Verdict::Unreadable);
        let how = if unread { "can't be read" } else { "is missing" };
        format!("It rests on the {}, which {how}, so it can't be judged.", self.truth().exercise.steps[choice].short)
    }

    fn follows(&self) -> Option<String> {
        match self.one_cause() {
            Some(cause) if self.cell.rests_on.is_none() => self.comes_of(&cause),
            Some(_) | None => Some(self.follows_from_own()),
        }
    }

    fn follows_from_own(&self) -> String {
        if let Some(choice) = self.cell.rests_on {
            let short = &self.truth().exercise.steps[choice].short;
            return format!(
                "It follows from your own earlier figures; without the {short} there is nothing to compare it with."
            );
        }
        if !self.rests_on_a_mistake() && !self.step.is_choice() && !self.full {
            return "It follows from your figures as read off the ruler.".to_owned();
        }
        if !self.full || self.rests_on_a_broken_choice() {
            return "It follows from your own earlier figures; work it again once those are put right.".to_owned();
        }
        if self.step.is_choice() {
            return match self.broken(self.truth()) {
                Some(bound) => format!(
                    "It fits your own earlier figures; with those put right it has to be {}.",
                    self.bound(self.truth(), &bound)
                ),
                None => "It fits your own earlier figures.".to_owned(),
            };
        }
        let value = self.expected();
        if self.rests_on_a_mistake() {
            format!("It follows from your own earlier figures; with those put right it is {value}.")
        } else {
            format!("It follows from your figures as read off the ruler; worked without rounding it is {value}.")
        }
    }

    /// The one thing that accounts for several of the sheet's answers.
    fn one_cause(&self) -> Option<Cause> {
        self.sheet.one_cause.and_then(|one| self.sheet.cells[one.cell].cause())
    }

    /// Where the sheet's one cause begins: what is said first of all is not said again.
    fn begins(&self, cause: &Cause) -> Vec<String> {
        match *cause {
            Cause::Unit { .. } | Cause::Exchanged(..) => self.comes_of(cause).into_iter().collect(),
            Cause::Miswritten { meant, .. } => vec![format!("Did you mean {}?", self.write(meant.as_nm_f64()))],
            Cause::Shifted { .. } => vec!["From here on the answers stand on the wrong lines.".to_owned()],
            Cause::Misread { .. } | Cause::OtherRow { .. } | Cause::Example => vec!["It begins here.".to_owned()],
            Cause::Slip(_)
            | Cause::Earlier(_)
            | Cause::Counted { .. }
            | Cause::Halved
            | Cause::Doubled
            | Cause::Fraction
            | Cause::Neighbour(_)
            | Cause::Row { .. }
            | Cause::RoundedParts { .. }
            | Cause::AtOdds { .. }
            | Cause::Changed { .. }
            | Cause::Pen(_) => self.explanation(),
        }
    }

    /// What went wrong here, where it is known.
    fn went_wrong(&self) -> Vec<String> {
        let is_first_of_all =
            self.full && self.is_charged() && self.sheet.one_cause.is_some_and(|one| one.accounts > 1);
        match self.one_cause().filter(|_| is_first_of_all) {
            Some(cause) if self.full => self.begins(&cause),
            Some(_) => Vec::new(),
            None => self.explanation(),
        }
    }

    /// An answer that is right but for the sheet's one cause; nothing, where that says it all.
    fn comes_of(&self, cause: &Cause) -> Option<String> {
        if !self.full {
            return Some("It follows from that.".to_owned());
        }
        let here = self.cell.expected.filter(|_| !self.step.is_choice()).map(|_| self.expected());
        match *cause {
            Cause::Unit { meant, .. } => here
                .filter(|_| meant != self.truth().givens.ruler.unit())
                .map(|value| format!("It is right in {}: on the sheet's ruler it is {value}.", plural(meant))),
            Cause::Shifted { down, .. } => {
                let where_to = if down { "below" } else { "above" };
                Some(format!("Your answer for it stands one line {where_to}, and is right."))
            }
            Cause::Exchanged(..) => Some("It stands in the other's place.".to_owned()),
            Cause::Misread { .. } | Cause::OtherRow { .. } | Cause::Example => Some(match here {
                Some(value) => format!("It is right by what you worked with; by what is given it is {value}."),
                None => "It is right by what you worked with.".to_owned(),
            }),
            Cause::Slip(_)
            | Cause::Earlier(_)
            | Cause::Counted { .. }
            | Cause::Halved
            | Cause::Doubled
            | Cause::Fraction
            | Cause::Neighbour(_)
            | Cause::Row { .. }
            | Cause::RoundedParts { .. }
            | Cause::Miswritten { .. }
            | Cause::AtOdds { .. }
            | Cause::Changed { .. }
            | Cause::Pen(_) => Some(match here {
                Some(value) => format!("It is right from your own figures; with those put right it is {value}."),
                None => "It is right from your own figures.".to_owned(),
            }),
        }
    }

    /// Whether any answer it is worked from, directly or through others, lost its points.
    fn rests_on_a_mistake(&self) -> bool {
        self.rests_on(&|verdict| !verdict.earns())
    }

    /// Whether it is worked from a choice beyond its limits: the true values are worked from the same choice, and tell
    /// nothing of how it would be with that put right.
    fn rests_on_a_broken_choice(&self) -> bool {
        self.rests_on(&|verdict| verdict == Verdict::OutsideRule)
    }

    fn rests_on(&self, such: &dyn Fn(Verdict) -> bool) -> bool {
        self.truth().exercise.rests_on(self.cell.step, &|step| such(self.sheet.verdict(step)))
    }

    fn broken<'d>(&self, draft: &'d Draft) -> Option<Bound<'d>> {
        let tolerance = Tolerance::of(Length::from_nm_f64(self.width()).unwrap_or_default());
        broken_limit(
            &draft.exercise.steps[self.cell.step],
            self.cell.answer?,
            &draft.measures,
            self.cell.row,
            tolerance,
        )
    }

    /// A limit as the rest of a sentence: "at least the bare height, 2 1/2 in".
    fn bound(&self, draft: &Draft, bound: &Bound) -> String {
        let rule = draft.in_names(&bound.limit.value);
        let value = draft.write_limit(bound);
        let words = bound.limit.kind.words();
        // A limit that is a plain measurement has no name to be called by.
        match value.strip_prefix(words).map(str::trim) {
            Some(number) if number != rule => format!("{words} {}, {number}", definite(&rule)),
            _ => value,
        }
    }

    fn outside(&self) -> Vec<String> {
        let Some(bound) = self.broken(self.own()) else { return self.went_wrong() };
        let why = if bound.limit.why.is_empty() { String::new() } else { format!(": {}", bound.limit.why) };
        if !self.full {
            let words = if bound.limit.kind.is_lower() { "little" } else { "much" };
            return vec![format!("It is too {words}{why}.")].into_iter().chain(self.nudge()).collect();
        }
        let mut says = self.went_wrong();
        if self.is_charged() {
            return says;
        }
        says.push(format!("It has to be {}{why}.", self.bound(self.own(), &bound)));
        let true_bound = bound.limit.value.evaluate(&self.truth().measures, Some(self.cell.row));
        let is_apart = |true_bound: &f64| (true_bound - bound.value).abs() > self.width();
        if let Some(true_bound) = true_bound.filter(is_apart)
            && self.cell.rests_on.is_none()
            && !self.rests_on_a_broken_choice()
        {
            says.push(format!(
                "That is by your own earlier figures; with those put right the limit is {}.",
                self.write(true_bound)
            ));
        }
        says
    }

    fn not_right(&self) -> Vec<String> {
        let mut says = self.went_wrong();
        let is_right_in_its_unit = matches!(self.one_cause(), Some(Cause::Unit { .. })) && self.is_charged();
        if is_right_in_its_unit || self.is_charged() && self.step.is_choice() {
            return says;
        }
        if !self.full {
            says.extend(self.nudge());
            return says;
        }
        if self.cell.explained.is_empty() {
            says.extend(self.how_far());
        }
        match self.cell.own {
            Some(own) if own < 0.0 => {
                says.push("Your own earlier figures leave less than nothing here; put those right first.".to_owned());
                says.extend(self.expected_worked());
            }
            Some(own) if self.cell.expected.is_none() || self.own_differs() => {
                says.push(format!("From your own earlier figures: {}", self.worked(self.own(), own)));
                if self.cell.expected.is_some() && !self.rests_on_a_broken_choice() {
                    says.push(format!("With those put right it is {}.", self.expected()));
                }
            }
            Some(_) | None => says.extend(self.expected_worked()),
        }
        says
    }

    /// What went wrong, where it is known; of two that fit equally well a question.
    fn explanation(&self) -> Vec<String> {
        let say = |cause: &Cause| {
            if self.full { in_full(cause, self.sheet, self.cell) } else { as_nudge(cause, self.truth()) }
        };
        let joined = |one: &Explanation| one.causes().map(say).collect::<Vec<_>>().join(" ");
        match &self.cell.explained[..] {
            [] => Vec::new(),
            [Explanation { cause, and: None }] => vec![say(cause)],
            [Explanation { cause, and: Some(and) }] => {
                vec![format!("Two things came together: {} And: {}", say(cause), say(and))]
            }
            several => vec![either(several, ["Which was it? Either: ", " Or: "], joined)],
        }
    }

    /// Whether the sheet's one cause is charged here, and said at its head.
    fn is_charged(&self) -> bool {
        let place = |cell: &MarkedCell| (cell.step, cell.row);
        self.sheet.one_cause.is_some_and(|one| place(&self.sheet.cells[one.cell]) == place(self.cell))
    }

    /// How far the answer is off what follows from the student's own figures.
    fn how_far(&self) -> Option<String> {
        let (answer, right) = (self.cell.answer?, self.cell.own.filter(|own| *own >= 0.0).or(self.cell.expected)?);
        let length = Length::from_nm_f64((answer - right).abs()).filter(|_| self.step.kind.base == Base::Length)?;
        let way = if answer > right { "too much" } else { "too little" };
        if answer > FAR * right || answer * FAR < right {
            return Some(format!("{} is far {way}.", self.cell.written));
        }
        let written = self.truth().write(length);
        // Less than half a tick would read as nothing.
        let written = if written.length().is_zero() { length.to_string() } else { written.to_string() };
        Some(format!("It is {written} {way}."))
    }
}

/// So many times as much, or as little, is told as far off: by how much tells nothing then.
const FAR: f64 = 3.0;
