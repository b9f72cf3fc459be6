//! Arithmetic in words: a step's rule with names, and with the numbers put in.

use super::limits::{Bound, range};
use super::work::Draft;
use super::written::value_text;
use crate::exercise::{Exercise, GivenKind, Limit, LimitKind, Step, StepRule};
use crate::formula::{Base, Formula, Kind, NoValues, Say, Slot, TableId, Values};
use crate::length::{Length, Rounding, Ruler};

/// A literal of a formula: a length exactly as the ruler's system writes it.
fn literal_text(value: f64, kind: Kind, ruler: Ruler) -> String {
    match (kind.base, Length::from_nm_f64(value)) {
        (Base::Length, Some(length)) => ruler.write_exactly(length),
        _ => value_text(kind.base, value, ruler),
    }
}

/// That a choice is a certain word, as its `short` and the word's meaning read together: "the ends are both drawn up".
fn choice(exercise: &Exercise, slot: Slot, word: &str, holds: bool) -> String {
    let words = exercise.givens.iter().find_map(|given| {
        let GivenKind::Choice { slot: its, words, .. } = &given.kind else { return None };
        (*its == slot).then_some(words)
    });
    let says = words.and_then(|words| words.iter().find(|choice| choice.word == word)).map(|choice| &choice.says);
    let says = says.filter(|says| !says.is_empty()).map_or(word, |says| says);
    format!("{} {}{says}", exercise.scope.title(slot), if holds { "" } else { "not " }).trim_start().to_owned()
}

struct Names<'e> {
    exercise: &'e Exercise,
    ruler: Ruler,
    both: bool,
}

impl Say for Names<'_> {
    fn measure(&self, slot: Slot, _: Option<usize>, _: Kind) -> String {
        self.exercise.scope.title(slot).to_owned()
    }
    fn choice(&self, slot: Slot, word: &str, holds: bool) -> String {
        choice(self.exercise, slot, word, holds)
    }
    fn literal(&self, value: f64, kind: Kind) -> String {
        literal_text(value, kind, self.ruler)
    }
    fn row_by_row(&self) -> bool {
        false
    }
    fn both_branches(&self) -> bool {
        self.both
    }
}

struct Numbers<'d, V: Values> {
    exercise: &'d Exercise,
    ruler: Ruler,
    values: &'d V,
}

impl<V: Values> Say for Numbers<'_, V> {
    fn measure(&self, slot: Slot, row: Option<usize>, kind: Kind) -> String {
        match row {
            // A long list that is not written out keeps its name.
            None if kind.list.is_some() => self.exercise.scope.title(slot).to_owned(),
            // That a part is rounded is said of the sum as a whole: "≈ 3 in + 1 in" reads like a slip of the pen.
            row => plainly(&value_text(kind.base, self.values.value(slot, row.unwrap_or(0)), self.ruler)).to_owned(),
        }
    }
    fn choice(&self, slot: Slot, word: &str, holds: bool) -> String {
        choice(self.exercise, slot, word, holds)
    }
    fn literal(&self, value: f64, kind: Kind) -> String {
        literal_text(value, kind, self.ruler)
    }
    fn row_by_row(&self) -> bool {
        true
    }
}

/// What is written of a value, without the sign that it is rounded.
fn plainly(text: &str) -> &str {
    text.trim_start_matches("≈ ")
}

/// A step's arithmetic with the numbers put in, each length as it is read off the ruler.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sum {
    /// The sum, without its result.
    pub parts: String,
    /// Whether a part of it lies between two ticks, and is written as the nearer one.
    pub is_rounded: bool,
    /// Whether the parts as they are written come to something else than the result, which was worked before they were
    /// rounded.
    pub is_off: bool,
}

impl Sum {
    /// What has to be said beside a result that the parts do not come to; else empty.
    pub fn why(&self) -> &'static str {
        if self.is_off { "worked before the parts were rounded" } else { "" }
    }
}

/// Measures as they are read off a ruler.
struct OnTicks<'d, V: Values> {
    exercise: &'d Exercise,
    ruler: Ruler,
    values: &'d V,
}

impl<V: Values> Values for OnTicks<'_, V> {
    fn value(&self, slot: Slot, row: usize) -> Option<f64> {
        let value = self.values.value(slot, row)?;
        let length = Length::from_nm_f64(value).filter(|_| self.exercise.scope.kind(slot).base == Base::Length);
        Some(length.map_or(value, |length| self.ruler.nearest(length).as_nm_f64()))
    }
    fn rows(&self, table: TableId) -> usize {
        self.values.rows(table)
    }
    fn tick(&self) -> f64 {
        self.values.tick()
    }
}

/// A formula with the names of its measures, whatever the givens.
pub(crate) fn in_names(exercise: &Exercise, formula: &Formula, ruler: Ruler) -> String {
    formula.say(&Names { exercise, ruler, both: true }, &NoValues, None)
}

impl Draft<'_> {
    /// A value of some kind on the draft's ruler.
    pub fn write_value(&self, base: Base, value: impl Into<Option<f64>>) -> String {
        value_text(base, value, self.givens.ruler)
    }

    /// A limit in words, "at least 5 1/4 in", moved to the tick inside it where it lies between two.
    pub fn write_limit(&self, bound: &Bound) -> String {
        let kind = bound.limit.kind;
        let ruler = self.givens.ruler;
        let length = match kind {
            LimitKind::AtLeast => bound.length().round_to(ruler.tick(), Rounding::Up),
            LimitKind::AtMost => bound.length().round_to(ruler.tick(), Rounding::Down),
            // A limit that is not to be reached is told as it is.
            LimitKind::Above | LimitKind::Below => bound.length(),
        };
        format!("{} {}", kind.words(), ruler.write(length))
    }

    /// A formula with the names of its measures: "finished width + 2 × seam allowance". Of a choice between two
    /// rules only the one that these givens take is told.
    pub fn in_names(&self, formula: &Formula) -> String {
        let names = Names { exercise: self.exercise, ruler: self.givens.ruler, both: false };
        formula.say(&names, &self.measures, None)
    }

    /// As [`Draft::in_names`], whatever the givens: of a choice between two rules both are told.
    pub fn in_names_whole(&self, formula: &Formula) -> String {
        let names = Names { exercise: self.exercise, ruler: self.givens.ruler, both: true };
        formula.say(&names, &self.measures, None)
    }

    /// A formula with the numbers put in: "12 1/2 in + 2 × 1/2 in".
    pub fn in_numbers(&self, formula: &Formula, row: Option<usize>) -> String {
        let numbers = Numbers { exercise: self.exercise, ruler: self.givens.ruler, values: &self.measures };
        formula.say(&numbers, &self.measures, row)
    }

    /// A step's rule in names. For a choice, its tightest limits: "at least height to the fold ÷ 2, at most …".
    pub fn rule(&self, step: &Step) -> String {
        match &step.rule {
            StepRule::Value(formula) => self.in_names(formula),
            StepRule::Within { .. } => self.tightest(step, 0, &|bound| {
                format!("{} {}", bound.limit.kind.words(), self.in_names(&bound.limit.value))
            }),
        }
    }

    /// A formula with the numbers put in, and how far it can be worked from what is written.
    ///
    /// ```
    /// use foldmark::{draft::{Draft, Givens, Raw}, exercise::{Shelf, StepRule}, length::Ruler};
    /// let shelf = Shelf::shipped();
    /// let bag = shelf.get("gusseted-bag").unwrap();
    /// let draft = Draft::new(bag, Givens::read(bag, &Raw::example(bag), None, Ruler::EIGHTH).unwrap()).unwrap();
    /// let StepRule::Value(rule) = &bag.step("gusset_cut").unwrap().rule else { panic!("it is worked out") };
    /// let sum = draft.sum(rule, None);
    /// assert!(sum.is_rounded && !sum.parts.contains('≈'), "{sum:?}");
    /// ```
    pub fn sum(&self, formula: &Formula, row: Option<usize>) -> Sum {
        let (exercise, ruler) = (self.exercise, self.givens.ruler);
        let on_ticks = OnTicks { exercise, ruler, values: &self.measures };
        let is_between = |slot: &Slot| {
            let rows = 0..self.measures.count(exercise, *slot);
            rows.into_iter().any(|row| self.measures.value(*slot, row) != on_ticks.value(*slot, row))
        };
        let read = |value: Option<f64>| {
            let value = value?;
            let length = Length::from_nm_f64(value).filter(|_| formula.kind().base == Base::Length);
            Some(length.map_or(value, |length| ruler.nearest(length).as_nm_f64()))
        };
        let is_rounded = formula.uses().iter().any(is_between);
        let is_off =
            is_rounded && read(formula.evaluate(&self.measures, row)) != read(formula.evaluate(&on_ticks, row));
        Sum { parts: self.in_numbers(formula, row), is_rounded, is_off }
    }

    /// A step's arithmetic with the numbers put in, without the result. For a choice, its limits.
    pub fn arithmetic(&self, step: &Step, row: usize) -> String {
        match &step.rule {
            StepRule::Value(formula) => {
                let sum = self.sum(formula, step.kind.list.map(|_| row));
                if sum.is_off { format!("{}, {}", sum.parts, sum.why()) } else { sum.parts }
            }
            StepRule::Within { .. } => self.tightest(step, row, &|bound| self.write_limit(bound)),
        }
    }

    /// Every limit of a choice, with its value, its rule and the reason: "at least 5 1/8 in, from height to the
    /// fold ÷ 2: a shallower pocket lets a long object fall out"; none for a step that is worked out.
    pub fn limits(&self, step: &Step) -> Vec<String> {
        let StepRule::Within { limits, .. } = &step.rule else { return Vec::new() };
        let limit = |limit: &Limit| {
            let told = self.write_limit(&Bound::of(limit, &self.measures, 0)?);
            let rule = self.in_names(&limit.value);
            // A limit that is a plain measurement has no rule to tell.
            let rule = if told.ends_with(&format!(" {rule}")) { String::new() } else { format!(", from {rule}") };
            let why = if limit.why.is_empty() { String::new() } else { format!(": {}", limit.why) };
            Some(format!("{told}{rule}{why}"))
        };
        limits.iter().filter_map(limit).collect()
    }

    fn tightest(&self, step: &Step, row: usize, write: &dyn Fn(&Bound) -> String) -> String {
        let (low, high) = range(step, &self.measures, row);
        let parts: Vec<String> = [low, high].iter().flatten().map(write).collect();
        parts.join(", ")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draft::{Givens, Raw};
    use crate::exercise::{StepId, read};

    const MAT: &str = r#"
title = "Mat"
teaches = "Nothing much"
[[given]]
name = "side"
title = "Finished side, seam to seam"
short = "side"
kind = "length"
range = ["2 in", "40 in"]
usual = ["10 in", "25 cm"]
[[given]]
name = "edge"
title = "How the edge is made"
words = { hem = "turned down", bound = "" }
usual = "hem"
[[given]]
name = "back"
title = "How the back is made"
short = "the back is"
words = { same = "of the same cloth", none = "left out" }
usual = "none"
[[given]]
name = "strips"
title = "Strips"
each = "strip"
rows = [1, 4]
columns = [{ name = "width", title = "Strip's width", short = "width of a strip", kind = "length", range = ["1 in", "9 in"] }]
example = [{ name = "a", width = "2 in" }]
[[step]]
name = "cut"
title = "Cut side"
value = "if(back = 'none', side, 2 * side) + if(edge = 'bound', 1 in, 2 in) + max(strips.width)"
why = "Why not."
"#;

    #[test]
    fn short_is_how_a_given_reads_in_a_formula() {
        let mat = read("mat", MAT).unwrap();
        let draft = Draft::new(&mat, Givens::read(&mat, &Raw::example(&mat), None, Ruler::EIGHTH).unwrap());
        let draft = draft.unwrap();
        let StepRule::Value(value) = &mat.steps[StepId(0)].rule else { panic!() };
        assert_eq!(
            draft.in_names_whole(value),
            "(if the back is left out: side; otherwise: 2 × side) + \
             (if how the edge is made: bound: 1 in; otherwise: 2 in) + the largest width of a strip"
        );
        assert_eq!(draft.arithmetic(&mat.steps[StepId(0)], 0), "10 in + 2 in + 2 in");
    }

    #[test]
    fn a_usual_value_is_of_the_rulers_own_system() {
        let mat = read("mat", MAT).unwrap();
        let side = |ruler: Ruler| {
            let givens = Givens::read(&mat, &Raw::example(&mat), None, ruler).unwrap();
            givens.text(&mat, mat.scope.slot("side").unwrap(), 0).unwrap()
        };
        // Ten inches fall on a tick of the millimetre ruler too.
        assert_eq!([Ruler::EIGHTH, Ruler::MILLIMETRE].map(side), ["10 in", "25 cm"]);
        let only_inches = MAT.replace(r#"["10 in", "25 cm"]"#, r#""10 in""#);
        let mat = read("mat", &only_inches).unwrap();
        let givens = Givens::read(&mat, &Raw::example(&mat), None, Ruler::MILLIMETRE).unwrap();
        assert_eq!(givens.text(&mat, mat.scope.slot("side").unwrap(), 0).unwrap(), "25.4 cm");
    }
}
