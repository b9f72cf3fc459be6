//! What an exercise needs beside cloth.

use crate::formula::Formula;

/// The kinds of fittings, as an exercise file has them.
pub(in crate::exercise) const FITTING_KINDS: [(&str, FittingKind); 8] = [
    ("zip", FittingKind::Zip),
    ("cord", FittingKind::Cord),
    ("webbing", FittingKind::Webbing),
    ("ribbon", FittingKind::Ribbon),
    ("ring", FittingKind::Ring),
    ("eyelet", FittingKind::Eyelet),
    ("fastening", FittingKind::Fastening),
    ("thread", FittingKind::Thread),
];

/// What kind of fitting something is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FittingKind {
    /// Sold in sizes, by the length between its stops.
    Zip,
    /// Cut to length.
    Cord,
    /// Cut to length.
    Webbing,
    /// Cut to length: ribbon, tape, a tie that is bought.
    Ribbon,
    /// A D-ring or another, by its inside width.
    Ring,
    /// Counted.
    Eyelet,
    /// Counted: button, snap, hook, toggle.
    Fastening,
    /// By the reel.
    Thread,
}

impl FittingKind {
    /// Whether it has a length.
    pub const fn has_length(self) -> bool {
        match self {
            FittingKind::Zip | FittingKind::Cord | FittingKind::Webbing | FittingKind::Ribbon | FittingKind::Ring => {
                true
            }
            FittingKind::Eyelet | FittingKind::Fastening | FittingKind::Thread => false,
        }
    }
}

/// Something bought beside cloth.
#[derive(Debug, Clone)]
pub struct Fitting {
    /// Of what kind.
    pub kind: FittingKind,
    /// For people.
    pub title: String,
    /// What it has to cover, how long it is cut, or how wide it is.
    pub length: Option<Formula>,
    /// How many.
    pub count: u32,
    /// A few words for the list, or empty.
    pub note: String,
    /// Condition under which it is needed; always, if there is none.
    pub when: Option<Formula>,
}
