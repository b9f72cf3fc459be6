//! The classes of sheets: what students do, a file for each idea.

mod chance;
pub mod choices;
pub mod formulas;
pub mod givens;
mod lines;
pub mod pen;
pub mod right;
mod units;

use super::bench::{Bench, Case};
use foldmark::length::Ruler;

/// Which rulers a class is tried on.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Rulers {
    /// Eighths and sixteenths of an inch, and millimetres.
    Fine,
    /// Five millimetres as well.
    All,
    /// Five millimetres only.
    Coarse,
}

impl Rulers {
    pub fn has(self, ruler: Ruler) -> bool {
        (ruler == Ruler::FIVE_MILLIMETRES) != (self == Rulers::Fine) || self == Rulers::All
    }
}

/// What students do, and what the marking aims at.
pub struct Class {
    /// By which a case is called.
    pub key: &'static str,
    pub title: &'static str,
    pub aim: &'static str,
    pub rulers: Rulers,
    pub make: fn(&Bench, usize) -> Option<Case>,
    /// So many sheets for each exercise and ruler, in a release build.
    pub sheets: usize,
    /// Whether nothing is wrong on its sheets.
    pub is_right: bool,
}

pub const fn class(
    key: &'static str,
    title: &'static str,
    aim: &'static str,
    make: fn(&Bench, usize) -> Option<Case>,
    sheets: usize,
) -> Class {
    Class { key, title, aim, rulers: Rulers::Fine, make, sheets, is_right: false }
}

const fn right(
    key: &'static str,
    title: &'static str,
    make: fn(&Bench, usize) -> Option<Case>,
    sheets: usize,
) -> Class {
    Class { rulers: Rulers::All, is_right: true, ..class(key, title, "0 faulted", make, sheets) }
}

pub const CLASSES: [Class; 22] = [
    Class {
        rulers: Rulers::All,
        ..class(
            FORMULA,
            "a slip in a rule that the author did not foresee",
            "named ≥ 85 %, false < 1 %",
            formulas::any,
            2,
        )
    },
    class(
        "digits",
        "a slip of the pen in the digits, not worked on with",
        "named ≥ 60 %, false < 1.5 %",
        pen::digits,
        60,
    ),
    class("given", "one given misread, or misremembered, throughout", "named ≥ 92 %, false 0", givens::misread, 40),
    class(
        "allowance",
        "another allowance than the given one, throughout",
        "named once, charged once",
        givens::allowance,
        40,
    ),
    class("given-in-one", "one given misread that a single answer shows", "false 0", givens::misread_in_one, 20),
    class("row", "one row of a table taken for another, throughout", "one cause", givens::row, 40),
    class(
        "unit",
        "a whole right sheet in the other unit, bare numbers",
        "named once, charged once",
        units::whole_sheet,
        30,
    ),
    class("unit-name", "the other unit's name behind a right number", "named", units::name, 30),
    class("shift", "answers shifted by one line", "one cause", lines::shifted, 30),
    class("exchange", "two answers exchanged", "0 innocents", lines::exchanged, 40),
    class("choice", "a choice miswritten and not carried on", "innocents < 5 %", choices::miswritten, 60),
    class("misspelt", "a worked answer misspelt and not carried on", "0 innocents", pen::misspelt, 60),
    class("chance", "a random wrong number", "false < 1.5 %", chance::number, 60),
    class("example", "the example's answers for one's own givens", "one cause", lines::example, 20),
    Class {
        rulers: Rulers::All,
        ..class("limit", "a limit overstepped by exactly one tick", "passed 0", choices::one_tick_beyond, 60)
    },
    right("right", "right, rounded to the nearest tick and carried on", right::nearest, 60),
    right("ends", "right, every choice at an end of its limits", right::at_ends, 60),
    right("fine-up-down", "right, always rounded up or always down", right::up_or_down, 60),
    Class {
        rulers: Rulers::Coarse,
        ..right("coarse", "right on a 5 mm ruler, always up or always down", right::up_or_down, 120)
    },
    Class {
        rulers: Rulers::Fine,
        ..right("coarser-metric", "right, read off a 5 mm ruler on a 1 mm sheet", right::coarser_metric, 60)
    },
    Class {
        rulers: Rulers::Fine,
        ..right("coarser-inch", "right, read off a ruler of twice the tick on an inch sheet", right::coarser_inch, 60)
    },
    right("pi", "right with π as 3.14 or 22/7", right::pi, 60),
];

pub const FORMULA: &str = "formula";
