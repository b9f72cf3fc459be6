//! Why pieces can't be laid on a cloth.

use crate::draft::PieceFault;
use crate::length::{Length, Ruler};
use std::fmt;

/// Why pieces can't be laid on a cloth. Its `Display` is a whole sentence.
#[derive(Debug, Clone, PartialEq)]
pub enum LayFault {
    /// A piece that can't be cut at all.
    Piece(PieceFault),
    /// A measure of the cloth that is nothing, or less, or that no cloth has.
    Impossible {
        /// What the cloth is for.
        cloth: String,
        /// Which measure.
        what: &'static str,
    },
    /// Pieces are to be turned on a cloth whose nap or print runs one way, or has to match.
    OneWayTurned {
        /// What the cloth is for.
        cloth: String,
    },
    /// The cloth is narrower than a piece.
    TooNarrow {
        /// What the cloth is for.
        cloth: String,
        /// The piece's title.
        piece: String,
        /// How much room there is across.
        room: Length,
        /// How much the piece needs across, and along.
        needs: (Length, Length),
        /// Whether nap or print forbid turning.
        is_one_way: bool,
        /// Whether it may be turned already.
        turns: bool,
        /// Whether the cloth is folded.
        is_folded: bool,
        /// How lengths are written.
        ruler: Ruler,
    },
    /// The cloth is shorter than the lay.
    TooShort {
        /// What the cloth is for.
        cloth: String,
        /// How long it is.
        has: Length,
        /// How long it would have to be.
        needs: Length,
        /// How lengths are written.
        ruler: Ruler,
    },
}

impl std::error::Error for LayFault {}

impl fmt::Display for LayFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            LayFault::Piece(fault) => fault.fmt(f),
            LayFault::Impossible { cloth, what } => {
                write!(f, "{cloth}: {what} can't be nothing, less than nothing or longer than 100 m; measure it again")
            }
            LayFault::OneWayTurned { cloth } => write!(
                f,
                "{cloth}: its nap or print runs one way or has to match, so no piece may be turned on it; leave out one of \
                 the two"
            ),
            LayFault::TooNarrow { cloth, piece, room, needs, is_one_way, turns, is_folded, ruler } => {
                let write = |length: Length| ruler.write(length);
                let (across, along) = *needs;
                let folded = if *is_folded { ", folded," } else { "" };
                write!(
                    f,
                    "{cloth}: there is room for {} across{folded} and \"{piece}\" needs {}: {} too narrow. ",
                    write(*room),
                    write(across),
                    write(across - *room)
                )?;
                if along > *room || *turns {
                    f.write_str("Turning it by a quarter does not help. ")?;
                } else if *is_one_way {
                    f.write_str("It would fit turned by a quarter, but nap or print forbid it. ")?;
                } else {
                    f.write_str(
                        "It would fit turned by a quarter, but then its grain runs across the cloth: allow that only \
                         where it may, as on a strap or a tie. ",
                    )?;
                }
                let parts = (across.nm() + room.nm().max(1) - 1) / room.nm().max(1);
                write!(
                    f,
                    "Joined from {parts} parts or more, with an allowance on either side of each join, it keeps its \
                     grain; or take a wider cloth"
                )
            }
            LayFault::TooShort { cloth, has, needs, ruler } => write!(
                f,
                "{cloth}: the lay needs {}, and there are only {}: {} too short; take more, or a wider cloth",
                ruler.write(*needs),
                ruler.write(*has),
                ruler.write(*needs - *has)
            ),
        }
    }
}
