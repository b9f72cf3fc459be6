//! What is written on every piece beside what the draft itself says.

/// Whose the pattern is, and when it was made, where that is given.
#[derive(Debug, Clone, Default)]
pub struct Named {
    /// Whose.
    pub maker: Option<String>,
    /// The date, as it is to be written.
    pub date: Option<String>,
}
