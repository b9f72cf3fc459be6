//! Kinds: what a value is, so that a length is never added to a number.

/// Which given a choice word belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct WordSet(pub usize);

/// Which table of givens a list belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct TableId(pub usize);

/// What a single value is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Base {
    /// A length, in nanometres.
    Length,
    /// A plain number: a count or a ratio.
    Number,
    /// A length times a length, in square nanometres.
    Area,
    /// Yes or no.
    Truth,
    /// One of the words of a choice.
    Word(WordSet),
}

impl Base {
    /// With its article: "a length".
    pub fn with_article(self) -> &'static str {
        match self {
            Base::Length => "a length",
            Base::Number => "a number",
            Base::Area => "an area",
            Base::Truth => "a yes-or-no",
            Base::Word(_) => "a word",
        }
    }
}

/// The kind of a formula: what each value is, and whether there is one for each row of a table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Kind {
    /// What each value is.
    pub base: Base,
    /// The table whose rows it has one value for; `None` for a single value.
    pub list: Option<TableId>,
}

impl Kind {
    /// One length.
    pub const LENGTH: Kind = Kind::one(Base::Length);
    /// One number.
    pub const NUMBER: Kind = Kind::one(Base::Number);
    /// One yes-or-no.
    pub const TRUTH: Kind = Kind::one(Base::Truth);

    /// A single value.
    pub const fn one(base: Base) -> Kind {
        Kind { base, list: None }
    }

    /// In words: "a length", "a list of lengths".
    pub fn describe(self) -> String {
        if self.list.is_none() {
            return self.base.with_article().to_owned();
        }
        let many = match self.base {
            Base::Length => "lengths",
            Base::Number => "numbers",
            Base::Area => "areas",
            Base::Truth => "yes-or-noes",
            Base::Word(_) => "words",
        };
        format!("a list of {many}")
    }
}
