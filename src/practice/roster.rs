//! Those who get a sheet.

/// A student of a class.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Student {
    /// The name.
    pub name: String,
    /// What tells the student from others of the same name; may be empty.
    pub id: String,
}
