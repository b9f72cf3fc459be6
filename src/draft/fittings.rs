//! What a draft needs beside cloth, with its numbers put in.

use super::fault::DrawFault;
use super::work::Draft;
use crate::exercise::Fitting;
use crate::length::Length;

/// A fitting with its length.
#[derive(Debug, Clone)]
pub struct Fitted<'e> {
    /// The fitting as the exercise states it.
    pub fitting: &'e Fitting,
    /// Its length, where it has one.
    pub length: Option<Length>,
}

impl<'e> Draft<'e> {
    /// What is needed beside cloth with these givens.
    ///
    /// ```
    /// use foldmark::{draft::{Draft, Givens, Raw}, exercise::Shelf, length::Ruler};
    /// let shelf = Shelf::shipped();
    /// let pouch = shelf.get("altered-pouch").unwrap();
    /// let givens = Givens::read(pouch, &Raw::example(pouch), None, Ruler::EIGHTH).unwrap();
    /// let draft = Draft::new(pouch, givens).unwrap();
    /// let zip = &draft.fittings().unwrap()[0];
    /// assert_eq!(zip.length, Some(draft.length("zip", 0)));
    /// ```
    ///
    /// # Errors
    /// The first one without a length, or with none to speak of.
    pub fn fittings(&self) -> Result<Vec<Fitted<'e>>, DrawFault> {
        let needed = self.exercise.fittings.iter().filter(|fitting| self.holds(fitting.when.as_ref()));
        needed
            .map(|fitting| {
                let Some(formula) = &fitting.length else { return Ok(Fitted { fitting, length: None }) };
                let length = formula.evaluate(&self.measures, None).and_then(Length::from_nm_f64);
                let length = length.filter(|length| *length > Length::ZERO).ok_or_else(|| DrawFault {
                    message: format!("{}: it has no length; check the measures that it is made from", fitting.title),
                })?;
                Ok(Fitted { fitting, length: Some(length) })
            })
            .collect()
    }
}
