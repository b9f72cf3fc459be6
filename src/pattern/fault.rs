//! Why there is no pattern.

use std::fmt;

/// Why a pattern can't be made, as a sentence for whoever asked for it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PatternFault(pub String);

impl fmt::Display for PatternFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for PatternFault {}
