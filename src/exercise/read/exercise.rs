//! A file as a whole.

use super::fitting::read_fitting;
use super::given::read_givens;
use super::piece::read_pieces;
use super::practice::read_practice;
use super::reader::{Reader, line_of};
use super::scene::{read_section, read_view};
use super::seam::read_seams;
use super::step::{read_slip, read_steps};
use crate::exercise::language::EXERCISE;
use crate::exercise::model::{Caution, Exercise, PieceId, StepId};
use crate::text::{Document, Fault, Section, Text, quoted};
use std::sync::OnceLock;
use typed_index_collections::TiVec;

/// Longest exercise file that is read, in bytes.
const LONGEST: usize = 1 << 20;

/// Reads an exercise.
///
/// ```
/// let text = r#"
/// title = "Square mat"
/// teaches = "One allowance on every side"
/// [[given]]
/// name = "side"
/// title = "Finished side"
/// kind = "length"
/// range = ["2 in", "40 in"]
/// [[given]]
/// name = "allowance"
/// title = "Allowance"
/// kind = "length"
/// range = ["1/8 in", "1 in"]
/// usual = "1/2 in"
/// [[step]]
/// name = "cut_side"
/// title = "Cut side"
/// value = "side + 2 * allowence"
/// why = "A seam on both sides."
/// "#;
/// let faults = foldmark::exercise::read("mat", text).unwrap_err();
/// assert_eq!(
///     faults[0].to_string(),
///     "line 18, column 21: step.cut_side.value: there is no measure `allowence`; did you mean `allowance`?"
/// );
/// ```
///
/// # Errors
/// Every fault found, in the order of their places.
pub fn read(name: &str, text: &str) -> Result<Exercise, Vec<Fault>> {
    if text.trim().is_empty() {
        return Err(vec![Fault::whole("the file is empty; an exercise needs a title, givens and steps")]);
    }
    if text.len() > LONGEST {
        return Err(vec![Fault::whole(format!(
            "the file has {} bytes, and an exercise has at most {LONGEST}",
            text.len()
        ))]);
    }
    let document = Document::new(text);
    let table = document.parse();
    if document.is_broken() {
        return Err(document.into_faults());
    }
    let exercise = read_exercise(name, &Section::root(&document, &table, &EXERCISE));
    let faults = document.into_faults();
    if faults.is_empty() { Ok(exercise) } else { Err(faults) }
}

fn read_exercise(name: &str, root: &Section) -> Exercise {
    let mut reader = Reader::default();
    let (title, teaches) = (line_of(root, "title"), line_of(root, "teaches"));
    let version = root.whole("version").unwrap_or(1) as u32;
    let level = root.whole("level").unwrap_or(1) as u8;
    let rulers = reader.rulers(root);
    let givens = read_givens(&mut reader, root);
    if !root.has("step") {
        root.note("step", "there are no steps; a draft needs at least one [[step]]");
    }
    let (steps, order) = read_steps(&mut reader, root);
    let reader = reader;
    let slips = root.tables("slip").into_iter().filter_map(|slip| read_slip(&reader, &slip, &steps)).collect();
    let pieces: TiVec<PieceId, _> = read_pieces(&reader, root.tables("piece"), &steps).into();
    let seams = read_seams(&reader, root, &pieces);
    let fittings = root.tables("fitting").iter().filter_map(|one| read_fitting(&reader, one)).collect();
    let sections = root.tables("section").iter().filter_map(|section| read_section(&reader, section)).collect();
    let views = root.tables("view").iter().filter_map(|view| read_view(&reader, view)).collect();
    let cautions = root.tables("caution").iter().filter_map(read_caution).collect();
    let practice = root.table("practice").map(|practice| read_practice(&reader, &practice, &givens, &steps));
    let practice = practice.unwrap_or_default();
    let at_levels = practice.levels.iter().map(|_| OnceLock::new()).collect();
    let name = name.to_owned();
    let mut exercise = Exercise {
        name,
        title,
        version,
        level,
        teaches,
        rulers,
        core: Vec::new(),
        is_core_of_set: false,
        givens,
        steps,
        slips,
        pieces,
        seams,
        fittings,
        sections,
        views,
        cautions,
        practice,
        scope: reader.scope.clone(),
        order,
        at_levels,
        dependents: OnceLock::new(),
    };
    note_names_that_come_twice(root, &exercise);
    exercise.core = read_core(&reader, root, &exercise);
    exercise
}

/// More answers than these make homework long.
const MOST_OF_CORE: usize = 10;

/// The steps that sheets ask for.
fn read_core(reader: &Reader, root: &Section, exercise: &Exercise) -> Vec<StepId> {
    let texts = root.texts("core");
    if texts.len() > MOST_OF_CORE {
        let message = format!(
            "{} steps are named; homework asks for at most {MOST_OF_CORE}, those that the lesson is about",
            texts.len()
        );
        root.note("core", message);
    }
    let steps = &exercise.steps;
    let named: Vec<(StepId, Text)> = texts
        .into_iter()
        .filter_map(|text| Some((reader.find_step(root, "core", text.clone(), steps)?, text)))
        .collect();
    let is_named = |step: StepId| named.iter().any(|(known, _)| *known == step);
    for (at, (step, text)) in named.iter().enumerate() {
        let name = quoted(&text.value);
        if named[..at].iter().any(|(known, _)| known == step) {
            root.note_text("core", text, format!("{name} stands here twice"));
        }
        if !steps[*step].is_reckoned && !exercise.is_measured(*step) {
            let message = format!(
                "{name} has a dimension in no figure, so nobody can measure it; draw `measure = {name}`, or write \
                 `reckoned = true` in its step, and sheets say so"
            );
            root.note_text("core", text, message);
        }
        let rests_on = |choice: &StepId| !is_named(*choice) && exercise.rests_on_choice(*step, *choice);
        if let Some(choice) = steps.keys().find(rests_on) {
            let message = format!(
                "{name} rests on the choice {}, which has to be asked for as well",
                quoted(&steps[choice].name)
            );
            root.note_text("core", text, message);
        }
    }
    steps.keys().filter(|step| is_named(*step)).collect()
}

fn note_names_that_come_twice(root: &Section, exercise: &Exercise) {
    let names: [(&str, Vec<&str>); 4] = [
        ("slip", exercise.slips.iter().map(|slip| slip.name.as_str()).collect()),
        ("piece", exercise.pieces.iter().map(|piece| piece.name.as_str()).collect()),
        ("section", exercise.sections.iter().map(|section| section.name.as_str()).collect()),
        ("view", exercise.views.iter().map(|view| view.name.as_str()).collect()),
    ];
    for (key, names) in names {
        if let Some(twice) = (1..names.len()).find(|at| names[..*at].contains(&names[*at])) {
            let message =
                format!("the name {} stands here twice; every {key} needs one of its own", quoted(names[twice]));
            root.note(key, message);
        }
    }
}

fn read_caution(section: &Section) -> Option<Caution> {
    let (about, says) = (section.text("about"), section.text("says"));
    Some(Caution { about: about?.value, says: says?.value })
}
