//! What an exercise is, once read.

use super::fitting::Fitting;
use super::given::{Given, GivenKind};
use super::index::{GivenId, PieceId, SlipId, StepId};
use super::mark::{Drawn, Sign};
use super::piece::{Piece, Seam, edges_of};
use super::practice::{Level, Practice};
use super::scene::{CrossSection, View};
use super::scope::Scope;
use super::step::{OnSheet, Slip, Step, StepRule};
use crate::formula::{Formula, Slot};
use crate::length::Ruler;
use std::sync::OnceLock;
use typed_index_collections::TiVec;

/// An exercise: givens, steps, slips, pieces, cautions. Read from TOML by [`read`](crate::exercise::read).
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
    /// The steps that sheets ask for, as far as their level asks for them; all of them, if there is none. See
    /// [`Exercise::asks`].
    pub core: Vec<StepId>,
    /// Whether that was laid down for a set of sheets, and not by the exercise.
    pub is_core_of_set: bool,
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
    /// What is bought beside cloth.
    pub fittings: Vec<Fitting>,
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
    /// The exercise as a sheet of each level sets it, in the order of the levels, as far as that was asked for.
    pub(in crate::exercise) at_levels: Vec<OnceLock<Box<Exercise>>>,
    /// By slot what rests on it, once that was asked for.
    pub(in crate::exercise) dependents: OnceLock<Vec<Dependents>>,
}

/// What rests on one measure.
#[derive(Debug, Clone)]
pub(in crate::exercise) struct Dependents {
    /// See [`Exercise::dependents`].
    pub worked: Vec<StepId>,
    /// See [`Exercise::limited`].
    pub limited: Vec<StepId>,
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

    /// The formulas of pieces and their marks.
    pub(crate) fn formulas_of_pieces(&self) -> Vec<&Formula> {
        let mut all = Vec::new();
        self.pieces.iter().for_each(|piece| piece.formulas(&mut all));
        all
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
        for fitting in &self.fittings {
            all.extend(fitting.length.iter().chain(&fitting.when));
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

    /// What the exercise lays down for a level of practice.
    pub fn level(&self, level: u8) -> Option<&Level> {
        self.practice.levels.iter().find(|known| known.level == level)
    }

    /// Whether a sheet asks for a step. What it does not ask for, and does not tell either, may be handed in as well: it is
    /// marked, and earns nothing.
    ///
    /// ```
    /// use foldmark::exercise::Shelf;
    /// let shelf = Shelf::shipped();
    /// let roll = shelf.get("flap-roll").unwrap();
    /// let [cut, tie] = ["cut_width", "tie_cut"].map(|name| roll.step_id(name).unwrap());
    /// assert!(roll.asks(cut) && !roll.asks(tie));
    /// ```
    pub fn asks(&self, step: StepId) -> bool {
        self.steps[step].on_sheet == OnSheet::Asked && (self.core.is_empty() || self.core.contains(&step))
    }

    /// The exercise with other steps to ask for, and with the choices that they rest on: nobody can judge them otherwise.
    ///
    /// ```
    /// use foldmark::exercise::Shelf;
    /// let shelf = Shelf::shipped();
    /// let roll = shelf.get("flap-roll").unwrap();
    /// let asking = roll.asking(&[roll.step_id("cut_height").unwrap()]);
    /// let asked: Vec<&str> = asking.core.iter().map(|step| asking.steps[*step].name.as_str()).collect();
    /// assert_eq!(asked, ["pocket_height", "flap", "cut_height"]);
    /// ```
    pub fn asking(&self, steps: &[StepId]) -> Exercise {
        let belongs =
            |step: &StepId| steps.contains(step) || steps.iter().any(|asked| self.rests_on_choice(*asked, *step));
        let at_levels = self.at_levels.iter().map(|_| OnceLock::new()).collect();
        let core = self.steps.keys().filter(belongs).collect();
        Exercise { core, is_core_of_set: true, at_levels, ..self.clone() }
    }

    /// Whether a step rests on another, which the student chooses.
    pub(in crate::exercise) fn rests_on_choice(&self, step: StepId, choice: StepId) -> bool {
        self.steps[choice].is_choice() && self.rests_on(step, &|used| used == choice)
    }

    /// Whether some figure of a step or a piece shows where a step is measured: by a dimension, or as the width that
    /// lines or objects are set apart by.
    pub(in crate::exercise) fn is_measured(&self, step: StepId) -> bool {
        let slot = self.steps[step].slot;
        let shows = |drawn: &Drawn| match &drawn.sign {
            Sign::Measure { step: shown, .. } => *shown == step,
            Sign::Dividers { across, .. } | Sign::Objects { across, .. } => across.widths.uses() == [slot],
            Sign::Line { .. }
            | Sign::Arc { .. }
            | Sign::Circle { .. }
            | Sign::Box { .. }
            | Sign::Spot { .. }
            | Sign::Notch { .. }
            | Sign::Divide { .. } => false,
        };
        let of_steps = self.steps.iter().flat_map(|step| &step.draw);
        of_steps.chain(self.pieces.iter().flat_map(|piece| &piece.marks)).any(shows)
    }

    /// The exercise as a sheet of a level sets it: with the steps that are asked for and told there, and how exactly. Level 0
    /// is the exercise itself; nothing, if it has no such level.
    ///
    /// ```
    /// use foldmark::exercise::{OnSheet, Shelf};
    /// let shelf = Shelf::shipped();
    /// let roll = shelf.get("flap-roll").unwrap();
    /// let worked_backwards = roll.at_level(4).unwrap();
    /// assert!(worked_backwards.steps.iter().any(|step| step.on_sheet == OnSheet::Told));
    /// assert!(roll.steps.iter().all(|step| step.on_sheet == OnSheet::Asked));
    /// ```
    pub fn at_level(&self, level: u8) -> Option<&Exercise> {
        if level == 0 {
            return Some(self);
        }
        let index = self.practice.levels.iter().position(|known| known.level == level)?;
        Some(self.at_levels[index].get_or_init(|| Box::new(self.set_at(&self.practice.levels[index]))))
    }

    fn set_at(&self, level: &Level) -> Exercise {
        let mut set = self.clone();
        // A copy needs no copies of its own.
        set.practice.levels.clear();
        set.at_levels.clear();
        // Where a level asks for nothing of the core, it asks for all that it does not tell.
        set.core.retain(|step| level.on_sheet(*step) == OnSheet::Asked);
        set.practice.require.extend(level.require.iter().cloned());
        if !level.rulers.is_empty() {
            set.rulers.clone_from(&level.rulers);
        }
        for (index, step) in set.steps.iter_mut_enumerated() {
            step.on_sheet = level.on_sheet(index);
            step.is_exact = level.exact;
            step.changes = OnceLock::new();
            let StepRule::Value(value) = &mut step.rule else { continue };
            if level.rounds_up.contains(&index) {
                set.slips.push(Slip {
                    name: format!("{}-rounded-down", step.name.replace('_', "-")),
                    step: index,
                    used: value.rounded(false),
                    when: None,
                    says: "It was rounded down. What leaves room is rounded up: a tick too much does no harm, and \
                           a tick too little is too tight."
                        .to_owned(),
                });
                *value = value.rounded(true);
            }
        }
        set
    }
}

/// Something that can hurt, and what to do about it.
#[derive(Debug, Clone)]
pub struct Caution {
    /// A heading.
    pub about: String,
    /// The advice.
    pub says: String,
}
