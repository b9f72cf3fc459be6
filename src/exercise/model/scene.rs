//! What an exercise shows of the finished work: cross-sections of its layers, and views, as formulas still to be evaluated.

use super::mark::{Across, Pen, Side, Surface};
use crate::formula::Formula;

/// The sides on which a section may go on.
pub(in crate::exercise) const LEFT_OR_RIGHT: [(&str, Side); 2] = [("left", Side::Left), ("right", Side::Right)];
/// The sides on which a dimension of a section may stand.
pub(in crate::exercise) const ABOVE_OR_BELOW: [(&str, Side); 2] = [("top", Side::Top), ("bottom", Side::Bottom)];
/// How a layer lies, and whether that is right side up.
pub(in crate::exercise) const RIGHT_SIDES: [(&str, bool); 2] = [("up", true), ("down", false)];

/// A cross-section: how layers of cloth lie on each other, and how they fold.
#[derive(Debug, Clone)]
pub struct CrossSection {
    /// Its name.
    pub name: String,
    /// For people.
    pub title: String,
    /// What is to be seen, in a sentence or two.
    pub says: String,
    /// Whether lengths along the section are true to scale; otherwise all places lie evenly.
    pub to_scale: bool,
    /// The side on which the work goes on beyond what is shown.
    pub broken: Option<Side>,
    /// The layers, from the lowest up.
    pub layers: Vec<Layer>,
    /// What is marked on them.
    pub marks: Vec<LayerMark>,
}

/// A layer of cloth: it runs from place to place, and folds back at each on the way.
#[derive(Debug, Clone)]
pub struct Layer {
    /// Condition under which there is such a layer; always, if there is none.
    pub when: Option<Formula>,
    /// What it is called.
    pub label: String,
    /// Places along the section: where it begins, where it folds, where it ends.
    pub run: Vec<Formula>,
    /// The level of each stretch, the lowest is 0; one above the other, if empty.
    pub levels: Vec<u32>,
    /// Whether its first stretch lies right side up; not shown, if that is not said.
    pub right_side_up: Option<bool>,
}

/// Something marked on a section, where its condition holds.
#[derive(Debug, Clone)]
pub struct LayerMark {
    /// Condition under which it is marked; always, if there is none.
    pub when: Option<Formula>,
    /// What it is.
    pub sign: LayerSign,
}

/// What can be marked on a section.
#[derive(Debug, Clone)]
pub enum LayerSign {
    /// A line through layers: a seam, or a fold to come.
    Through {
        /// Where along the section.
        at: Formula,
        /// How.
        pen: Pen,
        /// The lowest and the highest level it goes through; all, if that is not said.
        levels: Option<(u32, u32)>,
        /// What it is called, if it is.
        label: Option<String>,
    },
    /// Something round between a level and the next, such as a cord.
    Spot {
        /// Where along the section.
        at: Formula,
        /// The level below it.
        level: u32,
        /// What it is called, if it is.
        label: Option<String>,
    },
    /// A dimension along the section.
    Measure {
        /// What it tells: a length.
        value: Box<Formula>,
        /// What it is called.
        title: String,
        /// One end.
        from: Box<Formula>,
        /// The other.
        to: Box<Formula>,
        /// Above or below.
        side: Side,
    },
}

/// A place in space: across to the right, up, and deep, away from the eye.
#[derive(Debug, Clone)]
pub struct SpatialCoordinates {
    /// Across.
    pub across: Formula,
    /// Up.
    pub up: Formula,
    /// Away from the eye.
    pub deep: Formula,
}

/// Which way the depth of a view recedes, at half its length.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Recedes {
    /// At 45° to the right and up: for what has corners.
    Right,
    /// Straight up: for round bodies, whose level circles would seem to lean otherwise.
    Up,
}

impl Recedes {
    /// Each with the name it has in an exercise file.
    pub const ALL: [(&'static str, Recedes); 2] = [("right", Recedes::Right), ("up", Recedes::Up)];
}

/// The finished object in space.
#[derive(Debug, Clone)]
pub struct View {
    /// Its name.
    pub name: String,
    /// For people.
    pub title: String,
    /// What is to be seen, in a sentence or two.
    pub says: String,
    /// Which way its depth recedes.
    pub recedes: Recedes,
    /// What is drawn, from back to front: faces hide what stands before them in the list.
    pub draw: Vec<Solid>,
}

/// One thing in a view, where its condition holds.
#[derive(Debug, Clone)]
pub struct Solid {
    /// Condition under which it is there; always, if there is none.
    pub when: Option<Formula>,
    /// What it is.
    pub form: Form,
    /// What of the cloth is seen of it; a line shows none.
    pub shows: Option<Surface>,
    /// How its lines are drawn.
    pub pen: Pen,
    /// What it is called, if it is.
    pub label: Option<String>,
}

/// What can be drawn in a view.
#[derive(Debug, Clone)]
pub enum Form {
    /// A flat face.
    Face {
        /// Its corners.
        corners: Vec<SpatialCoordinates>,
        /// The radius of each corner; all are sharp, if there are none.
        rounds: Vec<Formula>,
    },
    /// A box between two opposite corners.
    Box {
        /// One corner.
        from: Box<SpatialCoordinates>,
        /// The other.
        to: Box<SpatialCoordinates>,
        /// Whether one can look into it from above.
        open: bool,
    },
    /// A level disc; with a height, a round body that stands on it.
    Ring {
        /// Its middle.
        centre: Box<SpatialCoordinates>,
        /// Its radius.
        radius: Formula,
        /// How high the body on it is.
        height: Option<Formula>,
    },
    /// A line from place to place.
    Line {
        /// The places.
        points: Vec<SpatialCoordinates>,
        /// The radius of each corner, at the places between its ends; all are sharp, if there are none.
        rounds: Vec<Formula>,
    },
    /// Upright lines at the front, between widths laid side by side: none before the first, none after the last.
    Dividers {
        /// The widths.
        across: Box<Across>,
        /// Lower end, up from the base.
        from: Formula,
        /// Upper end.
        to: Formula,
    },
    /// A curve: an end, the point it leaves towards, the point it comes from, the other end.
    Curve(Vec<SpatialCoordinates>),
    /// A dimension.
    Measure {
        /// What it tells: a length.
        value: Formula,
        /// What it is called.
        title: String,
        /// One end.
        from: Box<SpatialCoordinates>,
        /// The other.
        to: Box<SpatialCoordinates>,
        /// Where it stands.
        side: Side,
    },
}

impl SpatialCoordinates {
    fn formulas<'f>(&'f self, into: &mut Vec<&'f Formula>) {
        into.extend([&self.across, &self.up, &self.deep]);
    }
}

impl CrossSection {
    /// Every formula it is drawn from.
    pub(super) fn formulas<'f>(&'f self, into: &mut Vec<&'f Formula>) {
        for layer in &self.layers {
            into.extend(layer.when.iter().chain(&layer.run));
        }
        for mark in &self.marks {
            into.extend(&mark.when);
            match &mark.sign {
                LayerSign::Through { at, .. } | LayerSign::Spot { at, .. } => into.push(at),
                LayerSign::Measure { value, from, to, .. } => into.extend([&**value, &**from, &**to]),
            }
        }
    }
}

impl View {
    /// Every formula it is drawn from.
    pub(super) fn formulas<'f>(&'f self, into: &mut Vec<&'f Formula>) {
        for solid in &self.draw {
            into.extend(&solid.when);
            match &solid.form {
                Form::Face { corners: places, rounds } | Form::Line { points: places, rounds } => {
                    places.iter().for_each(|place| place.formulas(into));
                    into.extend(rounds);
                }
                Form::Dividers { across, from, to } => {
                    across.formulas(into);
                    into.extend([from, to]);
                }
                Form::Curve(places) => places.iter().for_each(|place| place.formulas(into)),
                Form::Box { from, to, .. } => {
                    from.formulas(into);
                    to.formulas(into);
                }
                Form::Measure { value, from, to, .. } => {
                    into.push(value);
                    from.formulas(into);
                    to.formulas(into);
                }
                Form::Ring { centre, radius, height } => {
                    centre.formulas(into);
                    into.push(radius);
                    into.extend(height);
                }
            }
        }
    }
}
