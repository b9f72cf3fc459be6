//! What to tell a student about one answer, at the level of detail the instructor chose.

use super::causes::{as_nudge, either, in_full};
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
        Verdict::RightFromOwn => vec![teller.follows()],
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
    let one = sheet.one_cause.filter(|_| show != Show::Marks)?;
    let cell = &sheet.cells[one.cell];
    let teller = Teller { sheet, cell, step: &sheet.truth.exercise.steps[cell.step], full: show == Show::Full };
    let said = teller.explanation().join(" ");
    Some(match one.accounts {
        0 | 1 => said,
        accounts if cell.verdict.earns() => format!("{said} {accounts} answers follow from it, and are right."),
        accounts => format!(
            "{said} This one thing accounts for {accounts} answers. It is charged once; the others are right from it."
        ),
    })
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

    fn follows(&self) -> String {
        if let Some(choice) = self.cell.rests_on {
            let short = &self.truth().exercise.steps[choice].short;
            return format!(
                "It follows from your own earlier figures; without the {short} there is nothing to compare it with."
            );
        }
        if self.sheet.one_cause.is_some() && !self.rests_on_a_broken_choice() {
            return match self.cell.expected.filter(|_| self.full && !self.step.is_choice()) {
                Some(_) => format!("It follows from that; it should be {}.", self.expected()),
                None => "It follows from that.".to_owned(),
            };
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
        let Some(bound) = self.broken(self.own()) else { return self.explanation() };
        let why = if bound.limit.why.is_empty() { String::new() } else { format!(": {}", bound.limit.why) };
        if !self.full {
            let words = if bound.limit.kind.is_lower() { "little" } else { "much" };
            return vec![format!("It is too {words}{why}.")].into_iter().chain(self.nudge()).collect();
        }
        let mut says = self.explanation();
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
        let mut says = self.explanation();
        if self.is_charged() && self.step.is_choice() {
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
        let off = self.cell.answer? - self.cell.own.filter(|own| *own >= 0.0).or(self.cell.expected)?;
        let length = Length::from_nm_f64(off.abs()).filter(|_| self.step.kind.base == Base::Length)?;
        let way = if off > 0.0 { "too much" } else { "too little" };
        let written = self.truth().write(length);
        // Less than half a tick would read as nothing.
        let written = if written.length().is_zero() { length.to_string() } else { written.to_string() };
        Some(format!("It is {written} {way}."))
    }
}
