//! What a file may hold, as data: every key of every table is declared once. From the declaration come the keys that a
//! [`Section`](super::Section) knows, what it says of a wrong value, the JSON Schemas and the tables of the authors' chapter.
//!
//! ```
//! use foldmark::text::{Document, Section, schema::{Holds, Schema, key, needed}};
//! static PLANT: Schema = Schema::new(&[
//!     needed("name", Holds::Text).says("what it is called"),
//!     key("count", Holds::Whole(1..=9)).says("how many; 1 if left out"),
//! ])
//! .named("plant", "a plant");
//! let document = Document::new("nmae = \"sage\"\ncount = 12");
//! let table = document.parse();
//! let plant = Section::root(&document, &table, &PLANT);
//! assert!(plant.text("name").is_none() && plant.whole("count").is_none());
//! let faults: Vec<String> = document.into_faults().iter().map(ToString::to_string).collect();
//! assert_eq!(faults, [
//!     "line 1, column 1: nmae: this key is not known; did you mean `name`?",
//!     "line 1, column 1: `name` is missing",
//!     "line 2, column 9: count: a whole number from 1 to 9 was expected here, but this is 12",
//! ]);
//! ```

use std::ops::RangeInclusive;

/// What stands under a key.
#[derive(Debug, Clone)]
pub enum Holds {
    /// Text in quotation marks.
    Text,
    /// A measurement as written: text, or a number without quotation marks.
    Value,
    /// True or false.
    Truth,
    /// A whole number between two limits.
    Whole(RangeInclusive<i64>),
    /// One of these words.
    Word(&'static [&'static str]),
    /// A list of so many.
    List(&'static Holds, RangeInclusive<usize>),
    /// One alone, or a list of them.
    OneOrMore(&'static Holds),
    /// A table.
    Table(&'static Schema),
    /// So many tables, in a list or each in a part of its own.
    Tables(&'static Schema, RangeInclusive<usize>),
    /// A table whose keys the file's writer chooses, each with such a value.
    Free(&'static Holds),
    /// One of these.
    Either(&'static [Holds]),
}

impl Holds {
    /// The limits of its whole numbers.
    pub(super) fn limits(&self) -> Option<RangeInclusive<i64>> {
        match self {
            Holds::Whole(limits) => Some(limits.clone()),
            Holds::List(item, _) | Holds::OneOrMore(item) | Holds::Free(item) => item.limits(),
            Holds::Either(several) => several.iter().find_map(Holds::limits),
            Holds::Text | Holds::Value | Holds::Truth | Holds::Word(_) | Holds::Table(_) | Holds::Tables(..) => None,
        }
    }

    /// What its tables are.
    pub(super) fn schema(&self) -> Option<&'static Schema> {
        match self {
            Holds::Table(schema) | Holds::Tables(schema, _) => Some(schema),
            Holds::List(item, _) | Holds::OneOrMore(item) => item.schema(),
            Holds::Either(several) => several.iter().find_map(Holds::schema),
            Holds::Text | Holds::Value | Holds::Truth | Holds::Whole(_) | Holds::Word(_) | Holds::Free(_) => None,
        }
    }

    /// The most that a list of them has.
    pub(super) fn most(&self) -> usize {
        match self {
            Holds::List(_, count) | Holds::Tables(_, count) => *count.end(),
            Holds::Text | Holds::Value | Holds::Truth | Holds::Whole(_) | Holds::Word(_) => usize::MAX,
            Holds::OneOrMore(_) | Holds::Table(_) | Holds::Free(_) | Holds::Either(_) => usize::MAX,
        }
    }
}

/// A key of a table.
#[derive(Debug, Clone)]
pub struct Key {
    /// As it is written.
    pub name: &'static str,
    /// What stands under it.
    pub holds: Holds,
    /// Whether it has to be there.
    pub is_needed: bool,
    /// What it is, for people: a sentence without its full stop, in Markdown.
    pub says: &'static str,
}

/// A key that may be left out.
pub const fn key(name: &'static str, holds: Holds) -> Key {
    Key { name, holds, is_needed: false, says: "" }
}

/// A key that has to be there.
pub const fn needed(name: &'static str, holds: Holds) -> Key {
    Key { name, holds, is_needed: true, says: "" }
}

impl Key {
    /// The same key, with what it is.
    pub const fn says(self, says: &'static str) -> Key {
        Key { says: told(says), ..self }
    }
}

/// Only the command line tells what keys are; a page would carry the words for nothing.
const fn told(says: &'static str) -> &'static str {
    if cfg!(feature = "cli") { says } else { "" }
}

/// A variant that a table may have: these keys and no others.
#[derive(Debug, Clone)]
pub struct Variant {
    /// What it is called.
    pub name: &'static str,
    /// The key that tells it from the other variants: it is there and, where words are declared for it, is one of them.
    pub told_by: &'static str,
    /// What it is, for people.
    pub says: &'static str,
    /// Its keys.
    pub keys: &'static [Key],
}

impl Variant {
    /// A variant with these keys.
    pub const fn new(keys: &'static [Key]) -> Variant {
        Variant { name: "", told_by: "", says: "", keys }
    }

    /// The same variant, with what it is called, which is the key that tells it, and what it is.
    pub const fn named(self, name: &'static str, says: &'static str) -> Variant {
        Variant { name, told_by: name, says: told(says), ..self }
    }

    /// The same variant, told by another key.
    pub const fn told_by(self, key: &'static str) -> Variant {
        Variant { told_by: key, ..self }
    }

    /// The key of this name.
    pub fn key(&self, name: &str) -> Option<&'static Key> {
        self.keys.iter().find(|key| key.name == name)
    }
}

/// What a table may hold.
#[derive(Debug, Clone)]
pub struct Schema {
    /// What it is called among the others.
    pub name: &'static str,
    /// What it is, for people.
    pub says: &'static str,
    variants: Variants,
}

#[derive(Debug, Clone)]
enum Variants {
    One(Variant),
    Told(&'static [Variant]),
    Mixed(&'static [Variant]),
}

impl Schema {
    /// A table with these keys.
    pub const fn new(keys: &'static [Key]) -> Schema {
        Schema { name: "", says: "", variants: Variants::One(Variant::new(keys)) }
    }

    /// A table with one of several variants, each told by a key; the first that is told counts.
    pub const fn told(variants: &'static [Variant]) -> Schema {
        Schema { name: "", says: "", variants: Variants::Told(variants) }
    }

    /// A table with one of several variants that are so much alike that a key of another one is told in a sentence of its own.
    pub const fn mixed(variants: &'static [Variant]) -> Schema {
        Schema { name: "", says: "", variants: Variants::Mixed(variants) }
    }

    /// The same schema, with what it is called, and what it is.
    pub const fn named(self, name: &'static str, says: &'static str) -> Schema {
        let variants = match self.variants {
            Variants::One(variant) => Variants::One(variant.named(name, says)),
            Variants::Told(variants) => Variants::Told(variants),
            Variants::Mixed(variants) => Variants::Mixed(variants),
        };
        Schema { name, says: told(says), variants }
    }

    /// The variants it may have.
    pub fn variants(&'static self) -> &'static [Variant] {
        match &self.variants {
            Variants::One(variant) => std::slice::from_ref(variant),
            Variants::Told(variants) | Variants::Mixed(variants) => variants,
        }
    }

    /// The variants that such a table can still have, and whether its keys are known by that.
    pub(super) fn narrowed(&'static self, is_told: impl Fn(&Variant) -> bool) -> (&'static [Variant], bool) {
        match &self.variants {
            Variants::Told(variants) => match variants.iter().position(is_told) {
                Some(at) => (&variants[at..=at], true),
                None => (variants, false),
            },
            Variants::One(_) | Variants::Mixed(_) => (self.variants(), true),
        }
    }
}

/// The words of a list of words and what each stands for.
pub const fn words<const N: usize, T>(list: &[(&'static str, T); N]) -> [&'static str; N] {
    let mut words = [""; N];
    let mut at = 0;
    while at < N {
        words[at] = list[at].0;
        at += 1;
    }
    words
}
