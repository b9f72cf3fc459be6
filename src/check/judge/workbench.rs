//! Where sheets are read and judged, one after another.

use super::coarser_ruler::coarser_ruler;
use super::follow_through::{Judge, Worked};
use super::reading::{Reading, Room, read_again};
use super::rules::Rules;
use crate::check::handed_in::{Answers, HandedIn, Unread, read_answers_of};
use crate::check::result::{StepGrade, Verdict};
use crate::draft::{Givens, Measures, WorkFault, work};
use crate::exercise::{GivenId, GivenKind, OnSheet, StepId};
use crate::formula::Values;
use crate::length::{Ruler, Unit};
use crate::text::{Fault, harmless};
use typed_index_collections::TiVec;

/// The sheet on the bench. What is made for one sheet is used for the next, so that nothing is allocated for a sheet about
/// which nothing has to be told.
pub(in crate::check) struct Workbench<'e> {
    /// What a bare number is measured in.
    pub unit: Option<Unit>,
    pub ruler: Ruler,
    pub givens: Measures,
    pub answers: Answers,
    /// What can't be read, in the order of the answers.
    pub unread: Vec<Unread>,
    pub judge: Judge<'e>,
    /// The ruler that the judge's widths are for, if they are for one that a sheet states.
    widths_for: Option<Ruler>,
    /// The ruler that the sheet was drafted on, where that is coarser than it says.
    pub coarser: Option<Ruler>,
    pub worked: Worked,
    /// The one thing that accounts for several answers.
    pub reading: Option<Reading>,
    /// Room to read a sheet again, once one was.
    room: Option<Room>,
    absurd: Vec<(StepId, usize)>,
    grades: TiVec<StepId, StepGrade>,
}

impl<'e> Workbench<'e> {
    pub fn new(rules: &Rules<'e>) -> Workbench<'e> {
        let exercise = rules.exercise;
        let (unit, ruler) = rules.measuring(None, None);
        let tables = exercise.givens.iter().filter(|given| matches!(given.kind, GivenKind::Table { .. }));
        let givens = Measures::new(exercise, &vec![0; tables.count()], ruler);
        Workbench {
            unit,
            ruler,
            answers: Answers::new(exercise, &givens),
            unread: Vec::new(),
            judge: Judge { exercise, widths: TiVec::new() },
            widths_for: None,
            coarser: None,
            worked: Worked::new(exercise, &givens),
            reading: None,
            room: None,
            absurd: Vec::new(),
            grades: TiVec::new(),
            givens,
        }
    }

    /// Reads a sheet: what is given, and what was answered.
    ///
    /// # Errors
    /// Faults in the givens, with their places.
    pub fn read<S: HandedIn>(&mut self, rules: &Rules<'e>, sheet: &S) -> Result<(), Vec<Fault>> {
        (self.unit, self.ruler) = rules.measuring(sheet.unit(), sheet.ruler());
        let of_class = |given: GivenId| rules.given[given].as_deref().filter(|_| !sheet.is_set_by_code());
        Givens::read_into(&mut self.givens, rules.exercise, sheet.givens(), &of_class, self.unit, self.ruler)?;
        self.answers.reshape(rules.exercise, &self.givens);
        self.unread.clear();
        read_answers_of(rules.exercise, sheet, self.unit, &mut self.answers, &mut self.unread);
        Ok(())
    }

    /// Judges the sheet that was read.
    ///
    /// # Errors
    /// A fault, if the draft can't be worked from what is given.
    pub fn judge<S: HandedIn>(&mut self, rules: &Rules<'e>, sheet: &S) -> Result<(), Vec<Fault>> {
        let unworkable = |fault: WorkFault| vec![Fault::whole(fault.to_string())];
        self.put_in_told(rules).map_err(unworkable)?;
        if self.widths_for != Some(self.ruler) {
            self.judge.widths = rules.widths(self.ruler);
            self.widths_for = Some(self.ruler);
        }
        self.absurd.clear();
        let Workbench { judge, givens, answers, worked, absurd, .. } = self;
        judge.judge(givens, answers, worked, Some(absurd)).map_err(unworkable)?;
        self.reading = self.in_its_place();
        if self.reading.is_none() {
            self.take_out_absurd(sheet);
            self.coarser = coarser_ruler(&self.judge, self.ruler, &self.answers, &self.worked.judged);
            if let Some(coarser) = self.coarser {
                (self.judge.widths, self.widths_for) = (rules.widths_if_coarser(coarser), None);
                self.judge.judge(&self.givens, &self.answers, &mut self.worked, None).map_err(unworkable)?;
            }
            self.reading = self.read_again();
        }
        for Unread { cell, .. } in &self.unread {
            self.worked.judged[*cell].verdict = Verdict::Unreadable;
        }
        Ok(())
    }

    fn read_again(&mut self) -> Option<Reading> {
        let Workbench { judge, ruler, givens, answers, worked, room, .. } = self;
        read_again(judge, *ruler, givens, answers, worked, room)
    }

    /// What is absurd where it stands may be right on another line, or in another unit: the reading by which it is.
    fn in_its_place(&mut self) -> Option<Reading> {
        if self.absurd.is_empty() {
            return None;
        }
        let before = self.worked.clone();
        let reading =
            self.judge.judge(&self.givens, &self.answers, &mut self.worked, None).ok().and_then(|()| self.read_again());
        let is_right =
            |&(step, row): &(StepId, usize)| self.worked.judged[self.answers.cell(step, row)].verdict.earns();
        let fits = reading.filter(|reading| reading.is_of_writing() && self.absurd.iter().all(is_right));
        if fits.is_some() {
            self.coarser = None;
        } else {
            self.worked = before;
        }
        fits
    }

    /// Puts in what a sheet tells instead of asking for it, and for what it leaves out the program's own choice.
    fn put_in_told(&mut self, rules: &Rules<'e>) -> Result<(), WorkFault> {
        let exercise = rules.exercise;
        if exercise.steps.iter().all(|step| step.on_sheet == OnSheet::Asked) {
            return Ok(());
        }
        self.unread.retain(|unread| exercise.steps[unread.step].on_sheet == OnSheet::Asked);
        let mut measures = self.givens.clone();
        work(exercise, &mut measures, &|_, _| None)?;
        for (index, step) in exercise.steps.iter_enumerated().filter(|(_, step)| step.on_sheet != OnSheet::Asked) {
            let is_known = step.on_sheet == OnSheet::Told || step.is_choice();
            for (row, cell) in self.answers.cells(index).enumerate() {
                self.answers.set(cell, Some(measures.value(step.slot, row)).filter(|_| is_known).flatten());
            }
        }
        Ok(())
    }

    /// Nothing is worked from an absurd choice: it counts as one that can't be read.
    fn take_out_absurd<S: HandedIn>(&mut self, sheet: &S) {
        for &(step, row) in &self.absurd {
            let cell = self.answers.cell(step, row);
            self.answers.set(cell, None);
            let field = sheet.answer(step, row);
            let written = field.map_or("", |field| field.text.trim());
            // The limit itself is for those to tell who may.
            let why =
                format!("\"{}\" is far more than it could be; check the number and its unit", harmless(written, 40));
            self.unread.push(Unread { step, cell, place: field.and_then(|field| field.place), why });
        }
        if !self.absurd.is_empty() {
            self.unread.sort_by_key(|unread| unread.cell);
        }
    }

    /// What was found about each step as a whole.
    pub fn grades(&mut self, rules: &Rules<'e>) -> &TiVec<StepId, StepGrade> {
        self.grades.clear();
        for (index, step) in rules.exercise.steps.iter_enumerated() {
            let mut grade = rules.blank_grade(index);
            if step.on_sheet == OnSheet::Asked {
                self.answers.cells(index).for_each(|cell| grade.take_in(self.worked.judged[cell].verdict));
            }
            self.grades.push(grade);
        }
        &self.grades
    }
}
