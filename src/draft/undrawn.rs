//! What a draft can't draw with its givens, and why.

use super::fault::DrawFault;
use super::work::Draft;

impl Draft<'_> {
    /// What the steps draw and can't be drawn, such as an arc whose ends are not equally far from its centre: the step's
    /// name, and a sentence. Faults of pieces are told by [`Draft::piece`].
    ///
    /// ```
    /// use foldmark::{draft::{Draft, Givens, Raw}, exercise::Shelf, length::Ruler};
    /// let shelf = Shelf::shipped();
    /// let bucket = shelf.get("round-bucket").unwrap();
    /// let givens = Givens::read(bucket, &Raw::example(bucket), None, Ruler::EIGHTH).unwrap();
    /// assert!(Draft::new(bucket, givens).unwrap().drawing_faults().is_empty());
    /// ```
    pub fn drawing_faults(&self) -> Vec<(&str, DrawFault)> {
        let steps = self.exercise.steps.iter();
        steps
            .flat_map(|step| step.draw.iter().map(move |drawn| (step, drawn)))
            .filter_map(|(step, drawn)| Some((step.name.as_str(), self.try_mark(drawn, None).err()?)))
            .collect()
    }

    /// Sections and views that can't be drawn, and fittings without a length: the key, and a sentence.
    ///
    /// ```
    /// use foldmark::{draft::{Draft, Givens, Raw}, exercise::Shelf, length::Ruler};
    /// let shelf = Shelf::shipped();
    /// let roll = shelf.get("flap-roll").unwrap();
    /// let givens = Givens::read(roll, &Raw::example(roll), None, Ruler::EIGHTH).unwrap();
    /// assert!(Draft::new(roll, givens).unwrap().scene_faults().is_empty());
    /// ```
    pub fn scene_faults(&self) -> Vec<(String, DrawFault)> {
        let sections = self.exercise.sections.iter();
        let sections = sections.filter_map(|one| Some((format!("section.{}", one.name), self.section(one).err()?)));
        let views = self.exercise.views.iter();
        let fittings = self.fittings().err().map(|fault| ("fitting".to_owned(), fault));
        fittings
            .into_iter()
            .chain(sections)
            .chain(views.filter_map(|one| Some((format!("view.{}", one.name), self.view(one).err()?))))
            .collect()
    }
}
