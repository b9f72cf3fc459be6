//! What may have gone wrong in an answer: the exercise's own slips, and those that anyone makes anywhere.

use crate::exercise::{Exercise, SlipId, StepId};
use crate::formula::{Slot, TableId};
use crate::length::{Length, Unit};

/// One thing that went wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Cause {
    /// A slip that the exercise knows, by index.
    Slip(SlipId),
    /// A slip that the exercise knows, in a step without an answer; what is wrong follows from it.
    Earlier(SlipId),
    /// An allowance counted so many times where it belongs so many.
    Counted {
        /// Which given.
        given: Slot,
        /// How often it was counted.
        times: u8,
        /// How often it belongs.
        belongs: u8,
    },
    /// Halved once too often.
    Halved,
    /// Doubled once too often.
    Doubled,
    /// A number measured in one unit and handed in as another.
    Unit {
        /// What it was handed in as.
        wrote: Unit,
        /// What it was measured in.
        meant: Unit,
    },
    /// The next fraction of the same kind: 5/8 for 3/8.
    Fraction,
    /// The value of the step beside it.
    Neighbour(StepId),
    /// The value of the row beside it.
    Row {
        /// Whether of the row below; otherwise of the row above.
        below: bool,
    },
    /// Parts rounded before they were added.
    RoundedParts {
        /// To ticks this far apart.
        tick: Length,
        /// Upwards; otherwise to the nearest.
        up: bool,
    },
    /// Two answers in each other's place, by step.
    Exchanged(StepId, StepId),
    /// From a step on every answer stands on the line beside its own.
    Shifted {
        /// The first that does.
        from: StepId,
        /// Its row.
        row: usize,
        /// Whether one line too low; otherwise one too high.
        down: bool,
    },
    /// An answer written otherwise than it was worked on with.
    Miswritten {
        /// Which step.
        step: StepId,
        /// Its row.
        row: usize,
        /// What it was worked on with.
        meant: Length,
    },
    /// An answer and the choice that it follows from, which do not go together: one of the two is wrong.
    AtOdds {
        /// The choice.
        choice: StepId,
        /// What the choice would have to be.
        meant: Length,
    },
    /// The step's rule worked with one change.
    Changed {
        /// Which step.
        step: StepId,
        /// Which of [`Exercise::changes`].
        at: usize,
    },
    /// A slip of the pen.
    Pen(Pen),
    /// The example's givens in place of the student's own.
    Example,
    /// What one row of a table gives taken for another's.
    OtherRow {
        /// Which table.
        table: TableId,
        /// The row.
        row: usize,
        /// The row whose figures were taken.
        taken: usize,
    },
    /// A given read as something else.
    Misread {
        /// Which given.
        given: Slot,
        /// Its row.
        row: usize,
        /// As what.
        read_as: Length,
    },
}

/// How a number was written that was meant otherwise.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Pen {
    /// Two digits in each other's place: 91 for 19.
    Turned,
    /// The whole number run into its fraction: 143/4 for 14 3/4.
    SpaceLost,
    /// The whole number and the numerator in each other's place: 3 5/8 for 5 3/8.
    Exchanged,
    /// The fraction left out, or what follows the point.
    FractionLost,
    /// The point left out: 483 for 48.3.
    PointLost,
    /// A whole inch or centimetre too much.
    WholeMore,
    /// A whole inch or centimetre too little.
    WholeLess,
}

impl Cause {
    /// Whether answers were only written otherwise than they were meant, so that what was chosen is what was meant.
    pub(in crate::check) fn is_of_writing(&self) -> bool {
        matches!(self, Cause::Unit { .. } | Cause::Shifted { .. } | Cause::Exchanged(..) | Cause::Miswritten { .. })
    }

    /// Its name, for counting it over a class and for programs to read on.
    pub fn name<'e>(&self, exercise: &'e Exercise) -> &'e str {
        match self {
            Cause::Slip(slip) | Cause::Earlier(slip) => &exercise.slips[*slip].name,
            Cause::Counted { times, belongs, .. } if times < belongs => "allowance-too-seldom",
            Cause::Counted { .. } => "allowance-too-often",
            Cause::Halved => "halved",
            Cause::Doubled => "doubled",
            Cause::Unit { .. } => "wrong-unit",
            Cause::Fraction => "next-fraction",
            Cause::Neighbour(_) => "neighbouring-step",
            Cause::Row { .. } => "neighbouring-row",
            Cause::RoundedParts { .. } => "rounded-parts",
            Cause::Exchanged(..) => "exchanged",
            Cause::Misread { .. } => "given-misread",
            Cause::OtherRow { .. } => "other-row",
            Cause::Shifted { .. } => "shifted-by-a-line",
            Cause::Miswritten { .. } => "miswritten",
            Cause::Changed { .. } => "rule-changed",
            Cause::AtOdds { .. } => "at-odds",
            Cause::Example => "example-figures",
            Cause::Pen(Pen::WholeMore | Pen::WholeLess) => "a-whole-one-off",
            Cause::Pen(_) => "slip-of-the-pen",
        }
    }
}

/// Why an answer is wrong: one mistake, or two that came together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Explanation {
    /// The mistake.
    pub cause: Cause,
    /// The second of two.
    pub and: Option<Cause>,
}

impl Explanation {
    /// Its mistakes.
    pub fn causes(&self) -> impl Iterator<Item = &Cause> {
        std::iter::once(&self.cause).chain(&self.and)
    }
}
