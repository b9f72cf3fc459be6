//! What is wrong in a formula.

use std::fmt;

/// What is wrong in a formula, and where in its text (bytes).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FormulaFault {
    /// Offset of the first byte concerned.
    pub start: usize,
    /// Offset after the last byte concerned.
    pub end: usize,
    /// One sentence without a full stop.
    pub message: String,
}

impl FormulaFault {
    pub(super) fn new(span: (usize, usize), message: impl Into<String>) -> Self {
        FormulaFault { start: span.0, end: span.1, message: message.into() }
    }
}

impl fmt::Display for FormulaFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for FormulaFault {}
