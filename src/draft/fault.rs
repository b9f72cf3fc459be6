//! Why something can't be drawn.

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

impl From<OutlineFault> for DrawFault {
    fn from(fault: OutlineFault) -> DrawFault {
        DrawFault { message: fault.to_string() }
    }
}
