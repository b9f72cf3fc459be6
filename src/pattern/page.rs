//! A page of a pattern: its foot with the test squares is on every one.

use super::drawing::{Drawing, Ink};
use super::font::Letters;
use super::paper::Paper;
use super::pdf::{Layer, Page, Tag};
use super::words::broken;
use crate::geometry::Point;

/// The paper of a pattern, and what stands on every sheet of it.
pub(super) struct Sheet<'l> {
    pub letters: &'l Letters,
    pub paper: Paper,
    /// The pattern's title.
    pub title: String,
}

impl Sheet<'_> {
    /// A page with these layers, called `name`.
    pub(super) fn page(&self, mut layers: Vec<Layer>, name: &str) -> Page {
        let (x, y) = self.paper.corner();
        let drawing = foot(self.letters, &self.title, name).moved(false, Point::new(x, y));
        layers.push(Layer { drawing, clip: None, tag: Tag::Text });
        Page { width: self.paper.width, height: self.paper.height, layers }
    }
}

/// The test squares, and what to do where they measure wrong. What a page is called stands beside them.
pub(super) fn foot(letters: &Letters, title: &str, name: &str) -> Drawing {
    let mut foot = Drawing::default();
    let square = |foot: &mut Drawing, left: f64, side: f64| {
        let p = |x: f64, y: f64| Point::new(left + x, 1.0 + y);
        foot.ring(Ink::Sheet, vec![p(0.0, 0.0), p(side, 0.0), p(side, side), p(0.0, side)]);
    };
    square(&mut foot, 1.0, 50.0);
    square(&mut foot, 56.0, 50.8);
    for (text, at) in [("5 cm", 26.0), ("2 in", 81.4)] {
        let at = at - letters.width(text, 5.0) / 2.0;
        foot.write(letters, text, Point::new(at, 24.0), 5.0, 0);
    }
    foot.write(letters, name, Point::new(111.0, 44.0), 8.0, 0);
    let told = [
        title,
        "Measure both squares before you cut: within half a millimetre, or 1/64 in, of 5 cm and of 2 in is right.",
        "If they measure wrong, the page was scaled. Print it again with \"Actual size\", \"100 %\" or \"No scaling\". A 5 cm \
         square of 48.6 mm means that it was shrunk to fit the page.",
    ];
    let lines = told.iter().flat_map(|text| broken(letters, text, 2.8, 77.0));
    for (index, line) in lines.enumerate() {
        foot.write(letters, &line, Point::new(111.0, 38.0 - index as f64 * 4.0), 2.8, 0);
    }
    foot
}
