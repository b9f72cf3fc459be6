//! Why something can't be drawn.

use crate::exercise::Piece;
use crate::geometry::OutlineFault;
use std::fmt;

/// Why a piece or a mark can't be drawn.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DrawFault {
    /// One sentence without a full stop.
    pub message: String,
}

impl fmt::Display for DrawFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for DrawFault {}

/// That a piece can't be drawn.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PieceFault {
    /// The piece's title.
    pub piece: String,
    /// Why, as one sentence without a full stop.
    pub message: String,
}

impl PieceFault {
    pub(super) fn of(piece: &Piece, message: String) -> PieceFault {
        PieceFault { piece: piece.title.clone(), message }
    }
}

impl fmt::Display for PieceFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.piece, self.message)
    }
}

impl std::error::Error for PieceFault {}

impl From<OutlineFault> for DrawFault {
    fn from(fault: OutlineFault) -> DrawFault {
        DrawFault { message: fault.to_string() }
    }
}
