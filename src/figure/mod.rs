//! A draft drawn as SVG: step by step, finished, piece by piece; and a piece of ruler.
//!
//! Every figure is true to scale and made of the geometry that is checked. Trade conventions: the cutting
//! line solid and heavy, the stitching line dashed, a fold dash-dot, basting dotted, an opening as a break
//! between two ticks, grain as an arrow with two heads, notches as wedges. Dimensions stand in lanes outside
//! the drawing, names of lines in a column right of it; no text stands on another or on a line.
#![warn(missing_docs)]

mod drawing;
mod kinds;
mod layout;
#[cfg(test)]
mod legible;
mod letters;
mod style;
mod subject;
mod svg;
mod telling;

use ::svg::Node;
use drawing::canvas::Canvas;
use svg::{Theme, text_only};

pub use kinds::blank::{Blank, blank};
pub use kinds::choices::{Spread, spread};
pub use kinds::opened::opened;
pub use kinds::overlay::{Differing, overlay};
pub use kinds::piece::piece;
pub use kinds::ruler::ruler;
pub use kinds::section::section;
pub use kinds::slip::wrong;
pub use kinds::step::{step, whole};
pub use kinds::view::view;
pub use subject::marks::is_drawable;

/// A drawing, independent of where it is shown.
///
/// ```
/// use foldmark::{draft::{Draft, Givens, Raw}, exercise::Shelf, figure, length::Ruler};
/// let shelf = Shelf::shipped();
/// let roll = shelf.get("flap-roll").unwrap();
/// let givens = Givens::read(roll, &Raw::example(roll), None, Ruler::EIGHTH).unwrap();
/// let draft = Draft::new(roll, givens).unwrap();
/// let figure = figure::whole(&draft);
/// assert_eq!(figure.title(), "Roll with a folding flap: the finished draft");
/// assert!(figure.inline("roll").starts_with("<svg "));
/// ```
#[derive(Debug, Clone)]
pub struct Figure {
    title: String,
    description: String,
    canvas: Canvas,
}

impl Figure {
    fn new(title: &str, description: &str, canvas: Canvas) -> Figure {
        Figure { title: letters::plain(title), description: letters::plain(description), canvas }
    }

    /// What it shows, in a few words.
    ///
    /// ```
    /// use foldmark::{figure, length::{Length, Ruler, Unit}};
    /// let inch = Unit::Inch.length();
    /// assert_eq!(figure::ruler(Ruler::EIGHTH, inch, inch).title(), "A ruler in 1/8 in: 1 in");
    /// ```
    pub fn title(&self) -> &str {
        &self.title
    }

    /// What a sighted reader would see.
    ///
    /// ```
    /// use foldmark::{figure, length::{Length, Ruler, Unit}};
    /// let inch = Unit::Inch.length();
    /// assert!(figure::ruler(Ruler::EIGHTH, inch, inch).description().contains("1/8 in"));
    /// ```
    pub fn description(&self) -> &str {
        &self.description
    }

    /// The drawing as an `svg` element for a page, in the page's own colours. `id` has to be the only one
    /// of its kind on the page; every id in the drawing begins with it.
    ///
    /// ```
    /// use foldmark::{figure, length::{Length, Ruler, Unit}};
    /// let inch = Unit::Inch.length();
    /// let svg = figure::ruler(Ruler::EIGHTH, inch, inch).inline("inch");
    /// assert!(svg.contains(r#"<title id="inch-t">"#) && svg.contains("currentColor"));
    /// ```
    pub fn inline(&self, id: &str) -> String {
        let (title, description) = (format!("{id}-t"), format!("{id}-d"));
        let told = [("title", title.clone(), &self.title), ("desc", description.clone(), &self.description)];
        let mut svg =
            svg::svg(&self.canvas, Theme::Page, told.map(|(name, id, text)| text_only(name, Some(id), text)).into());
        svg.assign("role", "img");
        svg.assign("aria-labelledby", title);
        svg.assign("aria-describedby", description);
        svg.assign("style", style::FITS);
        svg.to_string()
    }

    /// The same drawing as a file of its own: ink on brown paper.
    ///
    /// ```
    /// use foldmark::{figure, length::{Length, Ruler, Unit}};
    /// let inch = Unit::Inch.length();
    /// let file = figure::ruler(Ruler::EIGHTH, inch, inch).file();
    /// assert!(file.starts_with("<svg ") && file.ends_with("</svg>\n") && !file.contains("currentColor"));
    /// ```
    pub fn file(&self) -> String {
        let told = [("title", &self.title), ("desc", &self.description)];
        let svg = svg::svg(&self.canvas, Theme::Paper, told.map(|(name, text)| text_only(name, None, text)).into());
        let mut file = svg.to_string();
        file.push('\n');
        file
    }
}
