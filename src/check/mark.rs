//! A sheet, marked: each answer judged twice, points counted, wrong answers explained.

use super::answers::AnswerSheet;
use super::candidates::allowances;
use super::cause::Cause;
use super::cells::{Cells, read_cells, refuse};
use super::coarse::coarser_ruler;
use super::explain::{Evidence, Explanation};
use super::gradebook::StepGrade;
use super::judge::{Judge, Worked, usual_width};
use super::points::Points;
use super::policy::Policy;
use super::verdict::Verdict;
use crate::draft::{Draft, Entry, Givens, Raw};
use crate::exercise::{Exercise, Part, StepId};
use crate::formula::{Base, Slot, Values};
use crate::length::{Ruler, Unit};
use crate::text::{Fault, Place, harmless};
use typed_index_collections::{TiSlice, TiVec};

/// One answer, marked: one step, and one row of it where the step is a list.
#[derive(Debug, Clone, PartialEq)]
pub struct MarkedCell {
    /// Index of the step.
    pub step: StepId,
    /// Row, from 0.
    pub row: usize,
    /// What was found.
    pub verdict: Verdict,
    /// What the student wrote, made harmless; empty if nothing.
    pub written: String,
    /// The answer as read, in nanometres for a length.
    pub answer: Option<f64>,
    /// What follows from the true values; for a choice, the choice itself. Not a number where it rests on a
    /// choice that is missing.
    pub expected: f64,
    /// What follows from the student's own earlier answers.
    pub own: f64,
    /// Why it is wrong: nothing where no mistake fits, two where two fit equally well.
    pub explained: Vec<Explanation>,
    /// Why it could not be read, or why any choice would do; empty otherwise.
    pub remark: String,
    /// The choice that is missing or can't be read, and that the true value rests on: there is no true
    /// value to compare with then.
    pub rests_on: Option<StepId>,
    /// Where it stands in the file, if it does.
    pub place: Option<Place>,
}

impl MarkedCell {
    /// The one mistake that accounts for it, where exactly one does.
    pub fn cause(&self) -> Option<Cause> {
        match &self.explained[..] {
            [Explanation { causes, .. }] if causes.len() == 1 => Some(causes[0]),
            _ => None,
        }
    }

    /// The names of the mistakes offered, the best explanation first.
    pub fn cause_names<'e>(&self, exercise: &'e Exercise) -> Vec<Vec<&'e str>> {
        let names = |explanation: &Explanation| explanation.causes.iter().map(|cause| cause.name(exercise)).collect();
        self.explained.iter().map(names).collect()
    }

    pub(super) fn is_by(&self, cause: &Cause) -> bool {
        self.explained.iter().any(|explanation| explanation.causes.contains(cause))
    }
}

/// A sheet, marked.
#[derive(Debug, Clone)]
pub struct MarkedSheet<'e> {
    /// The student's name, made harmless.
    pub student: String,
    /// What tells the student from others of the same name, made harmless; empty if the sheet has none.
    pub id: String,
    /// The draft with the true values and the student's choices.
    pub truth: Draft<'e>,
    /// The draft with the student's own answers put in wherever they can be read.
    pub own: Draft<'e>,
    /// The answers in the order of the steps.
    pub cells: Vec<MarkedCell>,
    /// How far each step's answer may be off, in nanometres for a length.
    pub widths: TiVec<StepId, f64>,
    /// What each step is worth; nothing, where it does not count.
    pub worth: TiVec<StepId, Points>,
    /// Points earned.
    pub points: Points,
    /// Points to be had.
    pub out_of: Points,
    /// What is wrong with the file, apart from its answers: names that the exercise does not have.
    pub faults: Vec<Fault>,
    /// Things to be said once, such as an older version of the exercise; sentences without a full stop.
    pub remarks: Vec<String>,
}

impl MarkedSheet<'_> {
    /// Whether everything that counts is right, and nothing in the file was left unmarked.
    pub fn all_right(&self) -> bool {
        let counts = |cell: &&MarkedCell| self.counts(cell.step);
        self.faults.is_empty() && self.cells.iter().filter(counts).all(|cell| cell.verdict.earns())
    }

    /// Whether a step counts in this class. A step that earns nothing by the exercise's own word counts, too.
    pub fn counts(&self, step: StepId) -> bool {
        counts(self.truth.exercise, &self.worth, step)
    }

    /// What has to be told of the file: names that the exercise does not have, and answers that can't be read.
    pub fn told(&self) -> Vec<Fault> {
        let unread = self.cells.iter().filter(|cell| cell.verdict == Verdict::Unreadable).map(|cell| Fault {
            place: cell.place,
            key: format!("answer.{}", self.truth.exercise.steps[cell.step].name),
            message: cell.remark.clone(),
        });
        self.faults.iter().cloned().chain(unread).collect()
    }

    /// What was found about each step as a whole.
    pub fn grades(&self) -> TiVec<StepId, StepGrade> {
        let mut grades: TiVec<StepId, StepGrade> =
            self.worth.keys().map(|step| StepGrade::new(self.counts(step))).collect();
        for cell in &self.cells {
            grades[cell.step].add(cell.verdict, cell.answer.is_some());
        }
        grades
    }

    /// The worst verdict among a step's cells.
    pub fn verdict(&self, step: StepId) -> Verdict {
        let cells = self.cells.iter().filter(|cell| cell.step == step);
        cells.map(|cell| cell.verdict).max().unwrap_or(Verdict::Right)
    }
}

/// Marks sheets of one exercise by the policy of a class.
///
/// ```
/// use foldmark::check::{Marker, Policy, read_answers};
/// use foldmark::exercise::Shelf;
/// let shelf = Shelf::shipped();
/// let marker = Marker::new(shelf.get("flap-roll").unwrap(), &Policy::default());
/// let sheet = read_answers(r#"
/// exercise = "flap-roll"
/// student = "Tansy"
/// unit = "in"
/// [[given.objects]]
/// name = "chisel"
/// length = "9"
/// girth = "3"
/// count = 4
/// [answer]
/// slot = ["1 3/4"]
/// slots_width = "7"
/// finished_width = "7"
/// "#).unwrap();
/// let marked = marker.mark(&sheet).unwrap();
/// assert_eq!(marked.cells[1].verdict.words(), "right");
/// assert_eq!(marked.cells[2].verdict.words(), "not right");
/// ```
#[derive(Debug, Clone)]
pub struct Marker<'e> {
    pub(super) exercise: &'e Exercise,
    policy: Policy,
    pub(super) worth: TiVec<StepId, Points>,
    out_of: Points,
    allowances: Vec<Slot>,
}

/// A sheet may be drafted on a ruler so many times coarser than the class's; beyond that it is judged as if it were.
const COARSEST: i64 = 4;

/// Marks a sheet with no policy: what it says of itself, every step counts.
///
/// # Errors
/// Faults in the givens, with their places; or one fault if the draft can't be worked from them.
pub fn mark<'e>(exercise: &'e Exercise, sheet: &AnswerSheet) -> Result<MarkedSheet<'e>, Vec<Fault>> {
    Marker::new(exercise, &Policy::default()).mark(sheet)
}

impl<'e> Marker<'e> {
    /// Prepares the marking of an exercise.
    pub fn new(exercise: &'e Exercise, policy: &Policy) -> Marker<'e> {
        let asked = exercise.steps.iter().map(|step| step.part == Part::Asked);
        let worth: TiVec<StepId, Points> = policy.points(exercise).into_iter().zip(asked).map(worth_if).collect();
        let out_of = worth.iter().copied().sum();
        Marker { exercise, policy: policy.clone(), worth, out_of, allowances: allowances(exercise) }
    }

    /// Marks a sheet, and explains what is wrong in it.
    ///
    /// # Errors
    /// Faults in the givens, with their places; or one fault if the draft can't be worked from them.
    pub fn mark(&self, sheet: &AnswerSheet) -> Result<MarkedSheet<'e>, Vec<Fault>> {
        self.marked(sheet, true)
    }

    /// Marks a sheet without looking for reasons: what a gradebook needs, in a fraction of the time.
    ///
    /// # Errors
    /// As [`Marker::mark`].
    pub fn grade(&self, sheet: &AnswerSheet) -> Result<MarkedSheet<'e>, Vec<Fault>> {
        self.marked(sheet, false)
    }

    fn marked(&self, sheet: &AnswerSheet, explains: bool) -> Result<MarkedSheet<'e>, Vec<Fault>> {
        let exercise = self.exercise;
        let (unit, ruler) = self.measuring(sheet.unit, sheet.ruler);
        let mut remarks = Vec::new();
        let givens = Givens::read(exercise, &self.given(sheet, &mut remarks), unit, ruler)?;
        let mut read = read_cells(exercise, sheet, unit, &givens);
        remarks.extend(assigned(exercise, sheet));
        if let Some(assignment) = sheet.assignment.as_ref().filter(|assignment| !assignment.slips.is_empty()) {
            remarks.splice(0..0, version(exercise, sheet));
            return self.spotted(sheet, &assignment.slips, read, givens, remarks);
        }
        tell(exercise, &givens, &mut read)?;
        let Cells { mut cells, mut answers, faults, remarks: habits } = read;
        let mut judge = Judge { exercise, widths: self.widths(ruler, &mut remarks) };
        let mut worked = Worked::new(exercise, &givens.measures);
        let (mut judged, mut absurd) = (Vec::new(), Vec::new());
        judge
            .judge(&mut worked, &mut answers, &mut judged, &mut absurd)
            .map_err(|fault| vec![Fault::whole(fault.to_string())])?;
        for absurd in absurd {
            refuse(&mut cells[absurd]);
        }
        if let Some(coarser) = coarser_ruler(&judge, ruler, &answers, &judged) {
            remarks.push(format!(
                "every answer falls on {} ticks, and the sheet's ruler has {}; they are judged as read off the coarser one",
                coarser, ruler
            ));
            judge.widths = widths(exercise, coarser, self.policy.tolerance);
            judged = judge.verdicts(&worked, &answers);
        }
        for (cell, judged) in cells.iter_mut().zip(&judged) {
            cell.rests_on = worked.rests.truth[cell.step];
            (cell.expected, cell.own) = (judged.expected, judged.own);
            if cell.verdict != Verdict::Unreadable {
                cell.verdict = judged.verdict;
            }
        }
        if explains && cells.iter().any(|cell| cell.verdict.is_wrong()) {
            let (judge, allowances) = (&judge, &self.allowances[..]);
            let evidence = Evidence {
                judge,
                allowances,
                ruler,
                givens: &givens.measures,
                answers: &answers,
                worked: &worked,
                judged: &judged,
            };
            for (cell, explained) in cells.iter_mut().zip(evidence.explain()) {
                cell.explained = explained;
            }
        }
        remarks.splice(0..0, version(exercise, sheet));
        remarks.extend(habits);
        let truth = Draft { exercise, givens: givens.clone(), measures: worked.truth };
        let own = Draft { exercise, givens, measures: worked.own };
        let broken: Vec<StepId> =
            cells.iter().filter(|cell| cell.verdict == Verdict::OutsideRule).map(|cell| cell.step).collect();
        for (cell, _) in cells.iter_mut().zip(&judged).filter(|(_, judged)| judged.is_impossible) {
            cell.remark = impossible(&truth, cell, &broken);
        }
        cells.retain(|cell| exercise.steps[cell.step].part == Part::Asked);
        let mut marked = MarkedSheet {
            student: sheet.shown_name(),
            id: harmless(sheet.id.trim(), 40).into_owned(),
            truth,
            own,
            cells,
            widths: judge.widths,
            worth: self.worth.clone(),
            points: Points::NONE,
            out_of: Points::NONE,
            faults,
            remarks,
        };
        (marked.points, marked.out_of) = self.points(&marked.grades());
        Ok(marked)
    }

    /// What a bare number is measured in, and the ruler, of a sheet that states these.
    pub(super) fn measuring(&self, unit: Option<Unit>, ruler: Option<Ruler>) -> (Option<Unit>, Ruler) {
        let policy = &self.policy;
        let metric = match (unit.or(ruler.map(Ruler::unit)), policy.ruler, policy.unit) {
            (Some(unit), ..) => unit.is_metric(),
            (None, Some(ruler), _) => ruler.is_metric(),
            (None, None, Some(unit)) => unit.is_metric(),
            (None, None, None) => self.exercise.rulers.first().is_some_and(|ruler| ruler.is_metric()),
        };
        let of_class = policy.ruler.filter(|ruler| ruler.is_metric() == metric);
        let ruler = ruler.or(of_class).unwrap_or_else(|| self.exercise.usual_ruler(metric));
        (unit.or(policy.unit), ruler)
    }

    /// The sheet's givens, and the class's for what it leaves out.
    fn given<'s>(&self, sheet: &'s AnswerSheet, remarks: &mut Vec<String>) -> std::borrow::Cow<'s, Raw> {
        let mut given = std::borrow::Cow::Borrowed(&sheet.given);
        if sheet.assignment.is_some() {
            return given;
        }
        for (name, text) in &self.policy.given {
            let Some(known) = self.exercise.given(name) else { continue };
            let stated = given.singles.iter().find(|entry| entry.key == *name && !entry.text.trim().is_empty());
            match stated {
                Some(stated) if is_other(&stated.text, text, sheet.unit.or(self.policy.unit)) => remarks.push(format!(
                    "the class works with {} {}, and this sheet says {}; it is marked by its own",
                    known.title.to_lowercase(),
                    harmless(text, 40),
                    harmless(&stated.text, 40)
                )),
                Some(_) => {}
                None => {
                    let given = given.to_mut();
                    given.singles.retain(|entry| entry.key != *name);
                    given.singles.push(Entry { key: name.clone(), text: text.clone(), place: None });
                }
            }
        }
        given
    }

    /// How far each step's answer may be off on a sheet with this ruler.
    pub(super) fn widths(&self, ruler: Ruler, remarks: &mut Vec<String>) -> TiVec<StepId, f64> {
        let usual = self.policy.ruler.filter(|of_class| of_class.is_metric() == ruler.is_metric());
        let usual = usual.unwrap_or_else(|| self.exercise.usual_ruler(ruler.is_metric()));
        let most = usual.tick() * COARSEST;
        if ruler.tick() > most {
            let width = self.policy.tolerance.unwrap_or(most);
            remarks.push(format!(
                "the sheet says that its ruler has {ruler} ticks, which is too coarse for this exercise; an answer may be off by {}",
                usual.write_exactly(width)
            ));
            return widths(self.exercise, usual, Some(width));
        }
        if ruler.tick() > usual.tick() && self.policy.tolerance.is_none() {
            remarks.push(format!("drafted on a ruler of {ruler} ticks, where {usual} is usual, and judged by it"));
        }
        widths(self.exercise, ruler, self.policy.tolerance)
    }

    /// The exercise that is marked.
    pub fn exercise(&self) -> &'e Exercise {
        self.exercise
    }

    /// What the class lays down for a given that a sheet leaves out, as written.
    pub(super) fn usual(&self, given: &str) -> Option<&str> {
        self.policy.given.iter().find(|(name, _)| name == given).map(|(_, text)| text.as_str())
    }

    /// A step that nothing is known of yet.
    pub(super) fn blank_grade(&self, step: StepId) -> StepGrade {
        StepGrade::new(counts(self.exercise, &self.worth, step))
    }

    /// Points earned and to be had. A list earns its points only as a whole; what follows from the student's own
    /// figure may earn a part.
    pub(super) fn points(&self, grades: &TiSlice<StepId, StepGrade>) -> (Points, Points) {
        let is_wrong = |step: StepId| !grades[step].verdict.earns();
        let points = self.worth.iter_enumerated().zip(grades).map(|((step, worth), grade)| match grade.verdict {
            Verdict::Right => *worth,
            // What differs only by the rounding of figures that are right is no mistake.
            Verdict::RightFromOwn if self.policy.follow_through < 100 && self.exercise.rests_on(step, &is_wrong) => {
                worth.part(self.policy.follow_through)
            }
            Verdict::RightFromOwn => *worth,
            _ => Points::NONE,
        });
        (points.sum(), self.out_of)
    }
}

/// Whether a step counts. One that earns nothing by the exercise's own word counts, too.
fn counts(exercise: &Exercise, worth: &TiSlice<StepId, Points>, step: StepId) -> bool {
    let is_asked = exercise.steps[step].part == Part::Asked;
    is_asked && (worth[step] > Points::NONE || exercise.steps[step].points == 0)
}

/// What is not asked for earns nothing.
fn worth_if((worth, is_asked): (Points, bool)) -> Points {
    if is_asked { worth } else { Points::NONE }
}

/// What is to be said of a sheet whose code sets it.
fn assigned(exercise: &Exercise, sheet: &AnswerSheet) -> Vec<String> {
    let Some(assignment) = &sheet.assignment else { return Vec::new() };
    let given = "the file has givens of its own, which are not looked at: the sheet's code says what is given";
    let answered = |step: &&crate::exercise::Step| {
        let is_filled = |answer: &crate::check::Answer| answer.values.iter().any(|value| !value.text.trim().is_empty());
        step.part != Part::Asked && sheet.answers.iter().any(|answer| answer.step == step.name && is_filled(answer))
    };
    let told: Vec<&str> = exercise.steps.iter().filter(answered).map(|step| step.short.as_str()).collect();
    let not_asked = format!("the sheet does not ask for the {}, and the answer is not looked at", told.join(", the "));
    let given = assignment.had_givens.then(|| given.to_owned());
    given.into_iter().chain((!told.is_empty()).then_some(not_asked)).collect()
}

/// Puts in what the sheet tells, and for what it leaves out the program's own choice.
fn tell(exercise: &Exercise, givens: &Givens, read: &mut Cells) -> Result<(), Vec<Fault>> {
    if exercise.steps.iter().all(|step| step.part == Part::Asked) {
        return Ok(());
    }
    let draft = Draft::new(exercise, givens.clone()).map_err(|it| vec![Fault::whole(it.to_string())])?;
    for (at, cell) in read.cells.iter_mut().enumerate() {
        let step = &exercise.steps[cell.step];
        let is_known = step.part == Part::Told || step.is_choice();
        if step.part != Part::Asked {
            let value = is_known.then(|| draft.measures.value(step.slot, cell.row)).flatten();
            (cell.answer, cell.verdict) = (value, Verdict::Missing);
            read.answers.set(at, value);
        }
    }
    Ok(())
}

/// How far each step's answer may be off.
fn widths(exercise: &Exercise, ruler: Ruler, of_class: Option<crate::length::Length>) -> TiVec<StepId, f64> {
    let width = |step: &crate::exercise::Step| match of_class {
        Some(width) if step.kind.base == Base::Length && step.tolerance.is_none() && !step.is_exact => {
            width.as_nm_f64()
        }
        _ => usual_width(step, ruler),
    };
    exercise.steps.iter().map(width).collect()
}

/// Whether two texts stand for different values.
fn is_other(one: &str, other: &str, bare: Option<Unit>) -> bool {
    use crate::length::Length;
    match (Length::read(one, bare), Length::read(other, bare)) {
        (Ok(one), Ok(other)) => one != other,
        _ => one.trim() != other.trim(),
    }
}

/// Why any choice would do: nobody can choose rightly with these givens, or after a choice beyond its limits.
fn impossible(truth: &Draft, cell: &MarkedCell, broken: &[StepId]) -> String {
    let step = &truth.exercise.steps[cell.step];
    let earlier = broken.iter().find(|broken| truth.exercise.rests_on(cell.step, &|used| used == **broken));
    if let Some(earlier) = earlier {
        let earlier = &truth.exercise.steps[*earlier].short;
        return format!("with your {earlier} no {} is possible; put the {earlier} right first", step.short);
    }
    let (Some(low), Some(high)) = crate::draft::range(step, &truth.measures, cell.row) else { return String::new() };
    let (low, high) = (truth.write_limit(&low), truth.write_limit(&high));
    format!("with these givens no {} is possible: it would have to be {low} and {high}; change the givens", step.short)
}

fn version(exercise: &Exercise, sheet: &AnswerSheet) -> Option<String> {
    let version = sheet.version.filter(|version| *version != exercise.version)?;
    let way = if version < exercise.version { "an older version" } else { "a later version" };
    Some(format!(
        "the answers are for {way} of this exercise, {version}, and are marked by version {}",
        exercise.version
    ))
}
