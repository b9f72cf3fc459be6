//! What an exercise is, once read.

use super::drawing::Drawn;
use super::index::{GivenId, PieceId, SlipId, StepId};
use super::level::{Level, Part};
use super::piece::{Piece, Seam};
use super::read_piece::edges_of;
use super::scene::{CrossSection, View};
use super::scope::Scope;
use crate::formula::{Formula, Kind, Slot, TableId, Values};
use crate::length::{Length, Ruler};
use typed_index_collections::TiVec;

/// An exercise: givens, steps, slips, pieces, cautions. Read from TOML by [`super::read`].
#[derive(Debug, Clone)]
pub struct Exercise {
    /// The name it is asked for by: the file's name without `.toml`.
    pub name: String,
    /// For people.
    pub title: String,
    /// Counts up when the author changes a rule, so that old answers are told from new ones.
    pub version: u32,
    /// How hard, from 1.
    pub level: u8,
    /// What a student learns from it.
    pub teaches: String,
    /// Rulers it suits; the first of each system is the usual one.
    pub rulers: Vec<Ruler>,
    /// What the student is given.
    pub givens: TiVec<GivenId, Given>,
    /// The steps of the draft, in the order of work.
    pub steps: TiVec<StepId, Step>,
    /// Known mistakes.
    pub slips: TiVec<SlipId, Slip>,
    /// What is cut.
    pub pieces: TiVec<PieceId, Piece>,
    /// Which edges are sewn to which.
    pub seams: Vec<Seam>,
    /// How its layers lie.
    pub sections: Vec<CrossSection>,
    /// The finished object.
    pub views: Vec<View>,
    /// What can hurt, and what to do about it.
    pub cautions: Vec<Caution>,
    /// How fresh problems are made.
    pub practice: Practice,
    /// The names of its measures and where their values lie.
    pub scope: Scope,
    /// The steps, each after those whose measures it uses.
    pub order: Vec<StepId>,
}

impl Exercise {
    /// The step of this name.
    pub fn step(&self, name: &str) -> Option<&Step> {
        self.steps.iter().find(|step| step.name == name)
    }

    /// Which step has this name.
    pub fn step_id(&self, name: &str) -> Option<StepId> {
        self.steps.position(|step| step.name == name)
    }

    /// Whether a step rests, directly or through others, on one that is `such`.
    ///
    /// ```
    /// use foldmark::exercise::Shelf;
    /// let shelf = Shelf::shipped();
    /// let roll = shelf.get("flap-roll").unwrap();
    /// let [slot, cut] = ["slot", "cut_width"].map(|name| roll.step_id(name).unwrap());
    /// assert!(roll.rests_on(cut, &|step| step == slot) && !roll.rests_on(slot, &|step| step == cut));
    /// ```
    pub fn rests_on(&self, step: StepId, such: &dyn Fn(StepId) -> bool) -> bool {
        let mut seen: TiVec<StepId, bool> = vec![false; self.steps.len()].into();
        let mut open = self.steps[step].uses.clone();
        while let Some(index) = open.pop() {
            if such(index) {
                return true;
            }
            if !std::mem::replace(&mut seen[index], true) {
                open.extend(&self.steps[index].uses);
            }
        }
        false
    }

    /// The given of this name.
    pub fn given(&self, name: &str) -> Option<&Given> {
        self.givens.iter().find(|given| given.name == name)
    }

    /// The piece of this name.
    pub fn piece(&self, name: &str) -> Option<&Piece> {
        self.pieces.iter().find(|piece| piece.name == name)
    }

    /// The names of a piece's edges, in the order of the file; of a part of another piece, those of that piece and the
    /// new one. Not every edge of a piece need be left in its part.
    ///
    /// ```
    /// use foldmark::exercise::Shelf;
    /// let shelf = Shelf::shipped();
    /// let pouch = shelf.get("altered-pouch").unwrap();
    /// let upper = pouch.piece("upper-front").unwrap();
    /// assert!(pouch.edge_names(upper).contains(&"split"));
    /// ```
    pub fn edge_names(&self, piece: &Piece) -> Vec<&str> {
        let index = self.pieces.position(|known| known.name == piece.name);
        index.map_or_else(Vec::new, |index| edges_of(&self.pieces, index))
    }

    /// The slots that some formula of the exercise reads, each once, in order.
    pub fn used_slots(&self) -> Vec<Slot> {
        let mut used: Vec<Slot> = self.formulas().iter().flat_map(|formula| formula.uses()).copied().collect();
        used.sort_unstable();
        used.dedup();
        used
    }

    /// Every formula outside the practice conditions.
    fn formulas(&self) -> Vec<&Formula> {
        let mut all: Vec<&Formula> = Vec::new();
        for given in &self.givens {
            all.extend(&given.needed);
            if let GivenKind::Table { columns, .. } = &given.kind {
                all.extend(columns.iter().filter_map(|column| column.needed.as_ref()));
            }
        }
        for step in &self.steps {
            all.extend(step.formulas());
            step.draw.iter().for_each(|drawn| drawn.formulas(&mut all));
        }
        for piece in &self.pieces {
            piece.formulas(&mut all);
        }
        for seam in &self.seams {
            all.extend(seam.ease.iter().chain(&seam.when));
        }
        self.sections.iter().for_each(|section| section.formulas(&mut all));
        self.views.iter().for_each(|view| view.formulas(&mut all));
        all
    }

    /// The usual ruler of a system of units: the first the exercise names, else the program's usual one.
    pub fn usual_ruler(&self, metric: bool) -> Ruler {
        let otherwise = if metric { Ruler::MILLIMETRE } else { Ruler::SIXTEENTH };
        self.rulers.iter().copied().find(|ruler| ruler.is_metric() == metric).unwrap_or(otherwise)
    }
}

/// Something the student is given.
#[derive(Debug, Clone)]
pub struct Given {
    /// Its name in formulas.
    pub name: String,
    /// For people.
    pub title: String,
    /// A sentence of explanation, or empty.
    pub says: String,
    /// Condition under which it matters; always, if there is none.
    pub needed: Option<Formula>,
    /// A value to show the exercise with, as text, where there is no usual one.
    pub example: Option<String>,
    /// What it is.
    pub kind: GivenKind,
}

impl Given {
    /// Whether it matters: its condition holds, or it has none.
    pub fn is_needed(&self, values: &dyn Values) -> bool {
        holds(self.needed.as_ref(), values)
    }
}

/// A length as an author states it: which system of units it is written in says which sheets it is meant for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stated {
    /// The length.
    pub length: Length,
    /// Whether it is written in metric units.
    pub is_metric: bool,
}

/// The usual value for a ruler. Of those written in the ruler's own system of units it is the first that falls on a
/// tick, or that one of a finer ruler would show; where none does, the same of those in the other system; else the first.
///
/// ```
/// use foldmark::{exercise::{Stated, usual_on}, length::{Length, Ruler}};
/// let stated = |text, is_metric| Stated { length: Length::read(text, None).unwrap(), is_metric };
/// let usual = [stated("10 in", false), stated("25 cm", true)];
/// // 10 in is 254 mm, which a ruler in millimetres would show too.
/// assert_eq!(usual_on(Ruler::MILLIMETRE, &usual), Some(usual[1].length));
/// assert_eq!(usual_on(Ruler::EIGHTH, &usual), Some(usual[0].length));
/// ```
pub fn usual_on(ruler: Ruler, usual: &[Stated]) -> Option<Length> {
    let finer = if ruler.is_metric() { Ruler::MILLIMETRE } else { Ruler::SIXTEENTH };
    let on = |own: bool, ruler: Ruler| {
        usual.iter().find(|one| (one.is_metric == ruler.is_metric()) == own && ruler.on_tick(one.length))
    };
    let found = on(true, ruler).or_else(|| on(true, finer)).or_else(|| on(false, ruler)).or_else(|| on(false, finer));
    found.or(usual.first()).map(|one| one.length)
}

/// The lengths on offer for a ruler: those that fall on a tick and are written in its own system of units; where there
/// are none, all that fall on a tick.
///
/// ```
/// use foldmark::{exercise::{Stated, offered_on}, length::{Length, Ruler}};
/// let stated = |text, is_metric| Stated { length: Length::read(text, None).unwrap(), is_metric };
/// let offered = [stated("5 in", false), stated("6 in", false), stated("12 cm", true)];
/// assert_eq!(offered_on(Ruler::MILLIMETRE, &offered), [offered[2].length]);
/// assert_eq!(offered_on(Ruler::MILLIMETRE, &offered[..1]), [offered[0].length]);
/// ```
pub fn offered_on(ruler: Ruler, lengths: &[Stated]) -> Vec<Length> {
    let on_tick = || lengths.iter().filter(|one| ruler.on_tick(one.length));
    let own: Vec<Length> = on_tick().filter(|one| one.is_metric == ruler.is_metric()).map(|one| one.length).collect();
    if own.is_empty() { on_tick().map(|one| one.length).collect() } else { own }
}

fn holds(condition: Option<&Formula>, values: &dyn Values) -> bool {
    condition.is_none_or(|condition| condition.holds(values))
}

/// What a given is.
#[derive(Debug, Clone)]
pub enum GivenKind {
    /// A length between two limits.
    Length {
        /// Where its value lies.
        slot: Slot,
        /// Least and greatest.
        range: (Length, Length),
        /// Usual values, of which [`usual_on`] takes one; empty if it has to be given.
        usual: Vec<Stated>,
        /// How practice varies it.
        varies: Option<Vary>,
    },
    /// A whole number between two limits.
    Number {
        /// Where its value lies.
        slot: Slot,
        /// Least and greatest.
        range: (i64, i64),
        /// The usual value, if there is one.
        usual: Option<i64>,
        /// How practice varies it.
        varies: Option<Vary>,
    },
    /// One of several words.
    Choice {
        /// Where its value lies: the index of the word.
        slot: Slot,
        /// Each word, and what it means.
        words: Vec<Choice>,
        /// Index of the usual word, if there is one.
        usual: Option<usize>,
        /// How practice varies it.
        varies: Option<Vary>,
    },
    /// A table: one row for each object.
    Table {
        /// Which table.
        table: TableId,
        /// What a row is called: "object".
        each: String,
        /// Fewest and most rows.
        rows: (usize, usize),
        /// Its columns.
        columns: Vec<Column>,
        /// Rows to show the exercise with.
        example: Vec<Row>,
        /// How practice varies the rows: how many, and what they are called.
        varies: Option<(usize, usize, Vec<String>)>,
    },
}

/// A word of a choice.
#[derive(Debug, Clone)]
pub struct Choice {
    /// As formulas and answer files write it.
    pub word: String,
    /// What it means.
    pub says: String,
}

/// A column of a table.
#[derive(Debug, Clone)]
pub struct Column {
    /// Its name in formulas, after the table's.
    pub name: String,
    /// For people.
    pub title: String,
    /// A few words of explanation, or empty.
    pub says: String,
    /// Where its values lie.
    pub slot: Slot,
    /// Whether it holds lengths; otherwise whole numbers.
    pub is_length: bool,
    /// Least and greatest, in nanometres for lengths.
    pub range: (i64, i64),
    /// Condition under which it has to be given; always, if there is none.
    pub needed: Option<Formula>,
    /// How practice varies it.
    pub varies: Option<Vary>,
}

impl Column {
    /// Whether the column has to be given: its condition holds, or it has none.
    pub fn is_needed(&self, values: &dyn Values) -> bool {
        holds(self.needed.as_ref(), values)
    }
}

/// A row of a table as text: its name and its cells by column.
#[derive(Debug, Clone, Default)]
pub struct Row {
    /// What the object is called.
    pub name: String,
    /// Column and text.
    pub cells: Vec<(String, String)>,
}

/// How practice varies a given.
#[derive(Debug, Clone)]
pub enum Vary {
    /// Every so many ticks of the ruler, from a length to a length.
    Ticks {
        /// Least.
        from: Length,
        /// Greatest.
        to: Length,
        /// How many ticks apart.
        every: i64,
    },
    /// One of these, as far as [`offered_on`] has them on the ruler.
    OneOf(Vec<Stated>),
    /// A whole number.
    Whole {
        /// Least.
        from: i64,
        /// Greatest.
        to: i64,
    },
    /// One of these words, by index.
    Words(Vec<usize>),
}

/// A step of the draft: one measure the student works out.
#[derive(Debug, Clone)]
pub struct Step {
    /// Its name in formulas and answer files.
    pub name: String,
    /// For people.
    pub title: String,
    /// The title as it reads within a sentence or a formula.
    pub short: String,
    /// Where its value lies.
    pub slot: Slot,
    /// Its kind: a length or a number, or a list of one of these.
    pub kind: Kind,
    /// How it is worked out.
    pub rule: StepRule,
    /// The steps its rule uses, each once.
    pub uses: Vec<StepId>,
    /// The reason for the rule.
    pub why: String,
    /// A nudge that gives no answer away.
    pub nudge: String,
    /// What a right answer earns.
    pub points: u32,
    /// How far an answer may be off, where that is not one tick of the ruler.
    pub tolerance: Option<Length>,
    /// What the step adds to the figure.
    pub draw: Vec<Drawn>,
    /// What a sheet does with it; see [`Exercise::at_level`].
    pub part: Part,
    /// Whether an answer has to be right to the tick, not only to within one.
    pub is_exact: bool,
}

impl Step {
    /// Whether the student chooses it, within limits.
    pub fn is_choice(&self) -> bool {
        match self.rule {
            StepRule::Value(_) => false,
            StepRule::Within { .. } => true,
        }
    }

    /// Every formula of its rule.
    pub fn formulas(&self) -> impl Iterator<Item = &Formula> {
        let (value, limits, suggest) = match &self.rule {
            StepRule::Value(value) => (Some(value), &[][..], None),
            StepRule::Within { limits, suggest } => (None, &limits[..], Some(suggest)),
        };
        value.into_iter().chain(limits.iter().map(|limit| &limit.value)).chain(suggest)
    }
}

/// How a step is worked out.
#[derive(Debug, Clone)]
pub enum StepRule {
    /// By a formula.
    Value(Formula),
    /// By the student's choice, within limits.
    Within {
        /// The limits.
        limits: Vec<Limit>,
        /// What the program chooses where nobody did.
        suggest: Formula,
    },
}

/// A limit of a choice.
#[derive(Debug, Clone)]
pub struct Limit {
    /// Which side, and whether the limit itself may be chosen.
    pub kind: LimitKind,
    /// Where it lies.
    pub value: Formula,
    /// What is wrong beyond it; part of a sentence.
    pub why: String,
}

/// Which side of a choice a limit bounds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum LimitKind {
    /// The limit may be chosen; read to within a tick.
    AtLeast,
    /// The limit itself is too little.
    Above,
    /// The limit may be chosen; read to within a tick.
    AtMost,
    /// The limit itself is too much.
    Below,
}

impl LimitKind {
    /// In words, before a value.
    pub fn words(self) -> &'static str {
        match self {
            LimitKind::AtLeast => "at least",
            LimitKind::Above => "more than",
            LimitKind::AtMost => "at most",
            LimitKind::Below => "less than",
        }
    }

    /// Whether it bounds from below.
    pub fn is_lower(self) -> bool {
        matches!(self, LimitKind::AtLeast | LimitKind::Above)
    }
}

/// A known mistake, as the formula that the student in fact used.
#[derive(Debug, Clone)]
pub struct Slip {
    /// Its name, for counting it over a class.
    pub name: String,
    /// Index of the step it is made in.
    pub step: StepId,
    /// What was worked out instead.
    pub used: Formula,
    /// Condition under which it can be made at all.
    pub when: Option<Formula>,
    /// What to tell the student.
    pub says: String,
}

/// Something that can hurt, and what to do about it.
#[derive(Debug, Clone)]
pub struct Caution {
    /// A heading.
    pub about: String,
    /// The advice.
    pub says: String,
}

/// How fresh problems are made.
#[derive(Debug, Clone, Default)]
pub struct Practice {
    /// The situation in a sentence, for the head of a sheet.
    pub tells: String,
    /// What has to hold for a problem to be set.
    pub require: Vec<Requirement>,
    /// Its levels, the easiest first.
    pub levels: Vec<Level>,
}

/// A condition on a problem.
#[derive(Debug, Clone)]
pub struct Requirement {
    /// What has to hold.
    pub rule: Formula,
    /// In words.
    pub says: String,
}
