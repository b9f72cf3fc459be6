//! Inline measures: `fold_height`, `chisels: fold_height`, `fold_height / 2 as 1 mm`.

use crate::draft::{Draft, value_text};
use crate::formula::{Base, Formula, Kind, NoNames, NoValues};
use crate::html::keep_together;
use crate::length::{Length, Ruler};

/// An inline measure as written.
#[derive(Debug, Clone, Copy)]
pub(super) struct Measure<'t> {
    /// The draft it names.
    pub draft: Option<&'t str>,
    formula: &'t str,
    ruler: Option<Ruler>,
}

impl<'t> Measure<'t> {
    pub(super) fn read(text: &'t str) -> Result<Measure<'t>, String> {
        let (text, ruler) = match text.rsplit_once(" as ") {
            Some((formula, ruler)) => (formula, Some(Ruler::read(ruler.trim()).map_err(|error| error.to_string())?)),
            None => (text, None),
        };
        let (draft, formula) = match text.split_once(':') {
            Some((name, formula)) => (Some(name.trim()), formula.trim()),
            None => (None, text.trim()),
        };
        Ok(Measure { draft, formula, ruler })
    }

    /// Of nothing but literals, where there is no draft yet.
    pub(super) fn alone(&self) -> Result<String, String> {
        let formula = Formula::compile(self.formula, &NoNames).map_err(|fault| fault.message)?;
        literal(&formula, self.ruler).map(|text| keep_together(&text))
    }

    /// Its formula, for drafts of one exercise.
    pub(super) fn of(&self, draft: &Draft) -> Result<Formula, String> {
        let formula = Formula::compile(self.formula, &draft.exercise.scope).map_err(|fault| fault.message)?;
        if formula.kind().list.is_some() {
            return Err("this has a value for each row; fold it into one, with sum, max, first or the like".to_owned());
        }
        Ok(formula)
    }

    /// What it comes to in a draft, as it is typeset.
    pub(super) fn text(&self, formula: &Formula, draft: &Draft) -> Result<String, String> {
        let value = measurable(formula, formula.evaluate(&draft.measures, None))?;
        let text = value_text(formula.kind().base, value, self.ruler.unwrap_or(draft.givens.ruler));
        Ok(keep_together(&text))
    }
}

/// A value that can be printed as a measure.
fn measurable(formula: &Formula, value: Option<f64>) -> Result<f64, String> {
    let kind = formula.kind();
    if !matches!(kind.base, Base::Length | Base::Number | Base::Area) {
        return Err(format!("a measure is expected here, but this is {}", kind.describe()));
    }
    let fits = |value: &f64| kind.base != Base::Length || Length::from_nm_f64(*value).is_some();
    value.filter(fits).ok_or_else(|| "this can't be worked out; does it divide by nothing?".to_owned())
}

/// A formula of literals only; a length on the ruler, or exactly where none is named.
fn literal(formula: &Formula, ruler: Option<Ruler>) -> Result<String, String> {
    let value = measurable(formula, formula.evaluate(&NoValues, None))?;
    match (ruler, Length::from_nm_f64(value)) {
        (None, Some(length)) if formula.kind() == Kind::LENGTH => Ok(length.to_string()),
        (ruler, _) => Ok(value_text(formula.kind().base, value, ruler.unwrap_or(Ruler::SIXTEENTH))),
    }
}
