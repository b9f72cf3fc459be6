//! A figure and its drawings, independent of where they are shown.

use super::area::Area;
use super::frame::Frame;
use super::path::Path;
use super::text::{Text, plain};

/// One drawing or two, with a title and a description.
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
    drawings: Vec<Drawing>,
}

impl Figure {
    pub(crate) fn new(title: &str, description: &str, drawings: impl Into<Vec<Drawing>>) -> Figure {
        Figure { title: plain(title), description: plain(description), drawings: drawings.into() }
    }

    /// With a sentence more, and what it tells about below the first drawing.
    pub(crate) fn noting(mut self, sentence: &str, paths: impl IntoIterator<Item = Path>, text: Text) -> Figure {
        if let Some(first) = self.drawings.first_mut() {
            paths.into_iter().for_each(|path| first.add(path));
            first.write(text);
        }
        self.description = plain(&format!("{} {sentence}", self.description));
        self
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

    /// What is drawn, in the units of one sheet: two drawings, if they are to be compared.
    pub fn drawings(&self) -> &[Drawing] {
        &self.drawings
    }
}

/// Paths and texts in units, `x` to the right and `y` down, in the order in which they are drawn; texts come last.
///
/// Whoever writes a drawing goes by what each path is. Here only the cutting line of a piece, in the millimetres of the
/// cloth:
///
/// ```
/// use foldmark::{draft::{Draft, Givens, Raw}, exercise::{Pen, Shelf}, length::Ruler};
/// use foldmark::figure::{self, Role, Shape};
/// let shelf = Shelf::shipped();
/// let roll = shelf.get("flap-roll").unwrap();
/// let givens = Givens::read(roll, &Raw::example(roll), None, Ruler::EIGHTH).unwrap();
/// let draft = Draft::new(roll, givens).unwrap();
/// let figure = figure::piece(&draft, roll.piece("outer").unwrap()).unwrap();
/// let drawing = &figure.drawings()[0];
/// let to_millimetres = drawing.frame().unwrap().to_millimetres();
/// let mut size = kurbo::Rect::default();
/// for path in drawing.paths().iter().filter(|path| path.role == Role::Line(Pen::Cut)) {
///     if let Shape::Runs(run) = &path.shape {
///         size = (to_millimetres * run).control_box();
///     }
/// }
/// // 16 by 17 1/4 inches
/// assert!((size.width() - 406.4).abs() < 1e-6 && (size.height() - 438.15).abs() < 1e-6, "{size:?}");
/// ```
#[derive(Debug, Clone, Default)]
pub struct Drawing {
    title: String,
    frame: Option<Frame>,
    /// Units for a millimetre, where lengths can be measured.
    scale: Option<f64>,
    paths: Vec<Path>,
    texts: Vec<Text>,
    reserved: Area,
}

impl Drawing {
    /// Of something at its true proportions, if there is a frame, and of something not to scale otherwise.
    pub(crate) fn new(frame: Option<Frame>) -> Drawing {
        Drawing { frame, scale: frame.map(|frame| frame.length(1.0)), ..Drawing::default() }
    }

    /// In which lengths can be measured at so many units for a millimetre, but not everything has its true proportions.
    pub(crate) fn measurable(self, scale: f64) -> Drawing {
        Drawing { scale: Some(scale), ..self }
    }

    /// Units for a millimetre, where lengths can be measured.
    pub(crate) fn scale(&self) -> Option<f64> {
        self.scale
    }

    /// What it is called beside another drawing: "right", "opened out"; empty, if it is the only one.
    pub fn title(&self) -> &str {
        &self.title
    }

    /// Where the real thing lies in it, and at which scale; `None`, if it is not to scale.
    pub fn frame(&self) -> Option<&Frame> {
        self.frame.as_ref()
    }

    /// Everything but the texts.
    pub fn paths(&self) -> &[Path] {
        &self.paths
    }

    /// The texts.
    pub fn texts(&self) -> &[Text] {
        &self.texts
    }

    /// Space that it takes, whether anything is drawn there or not.
    pub(crate) fn reserved(&self) -> Area {
        self.reserved
    }

    pub(crate) fn called(self, title: &str) -> Drawing {
        Drawing { title: title.to_owned(), ..self }
    }

    /// Adds a path, if there is anything of it.
    pub(crate) fn add(&mut self, path: Path) {
        if path.space != Area::EMPTY {
            self.paths.push(path);
        }
    }

    /// Puts paths below all that is drawn already.
    pub(crate) fn add_below(&mut self, paths: impl IntoIterator<Item = Path>) {
        self.paths.splice(..0, paths);
    }

    pub(crate) fn write(&mut self, text: Text) {
        self.texts.push(text);
    }

    pub(crate) fn reserve(&mut self, area: Area) {
        self.reserved = self.reserved.with(area);
    }
}
