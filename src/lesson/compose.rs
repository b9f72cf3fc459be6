//! What each block says: from a worked draft to the parts of a page.

use super::content::{Content, Span, plain};
use crate::check::blank_file;
use crate::draft::{Draft, PieceFault};
use crate::exercise::{Exercise, GivenKind, Step, StepId, StepRule};
use crate::figure;
use crate::formula::Values;
use crate::html::{keep_lengths, keep_together};
use crate::length::Ruler;

fn length(text: &str) -> Vec<Span> {
    plain(keep_together(text))
}

/// The givens of a draft.
pub(super) fn givens(draft: &Draft) -> Vec<Content> {
    let exercise = draft.exercise;
    let mut parts = Vec::new();
    let mut rows = Vec::new();
    for given in exercise.givens.iter().filter(|given| given.is_needed(&draft.measures)) {
        match &given.kind {
            GivenKind::Table { table, columns, each, .. } => {
                let used: Vec<_> = columns.iter().filter(|column| column.is_needed(&draft.measures)).collect();
                let mut head = vec![each.clone()];
                head.extend(used.iter().map(|column| column.title.clone()));
                let row = |row: usize| {
                    let mut cells = vec![plain(draft.givens.row_names[table.0][row].as_str())];
                    cells.extend(used.iter().map(|column| length(&draft.text_at(column.slot, row))));
                    cells
                };
                parts.push(Content::Table { head, rows: (0..draft.measures.rows(*table)).map(row).collect() });
            }
            GivenKind::Choice { slot, words, .. } => {
                let word = draft.measures.word(*slot).and_then(|index| words.get(index));
                rows.push(vec![plain(given.title.as_str()), plain(word.map_or("", |word| word.says.as_str()))]);
            }
            GivenKind::Length { slot, .. } | GivenKind::Number { slot, .. } => {
                rows.push(vec![plain(given.title.as_str()), length(&draft.text_at(*slot, 0))]);
            }
        }
    }
    parts.push(Content::Table { head: vec!["Given".to_owned(), "Value".to_owned()], rows });
    parts
}

/// A step in a sentence: its arithmetic and its value. For a list, one sentence for each row.
fn worked(draft: &Draft, step: &Step) -> Vec<Vec<Span>> {
    let row = |row: usize| {
        let text = draft.text_at(step.slot, row);
        let value = keep_together(&text);
        let name = draft.label(step, row);
        match &step.rule {
            StepRule::Value(formula) => {
                let sum = draft.sum(formula, step.kind.list.map(|_| row));
                // A rounded value says so by a sign of its own.
                let equals = if value.starts_with('≈') { "" } else { "= " };
                // A step that only takes a value over has no arithmetic to show.
                let parts = match keep_lengths(&sum.parts) {
                    _ if text.trim_start_matches("≈ ") == sum.parts => String::new(),
                    parts => format!("{} {parts} ", if sum.is_rounded { '≈' } else { '=' }),
                };
                let worked = vec![Span::Strong(name), Span::Plain(format!(" {parts}{equals}")), Span::Strong(value)];
                let why = sum.is_off.then(|| Span::Plain(format!(" ({})", sum.why())));
                worked.into_iter().chain(why).collect()
            }
            StepRule::Within { .. } => {
                // The limits stand below, each with its reason.
                vec![
                    Span::Strong(name),
                    Span::Plain(", your choice within the limits below: ".to_owned()),
                    Span::Strong(value),
                ]
            }
        }
    };
    (0..draft.rows(step)).map(row).collect()
}

/// One step: its figure if it draws, its rule, its arithmetic and the reason.
pub(super) fn step(draft: &Draft, index: StepId) -> Vec<Content> {
    let step = &draft.exercise.steps[index];
    let mut parts = Vec::new();
    if !step.draw.is_empty() {
        parts.push(Content::Figure { figure: figure::step(draft, index), caption: plain(step.title.as_str()) });
    }
    let sentences = worked(draft, step);
    if let [only] = &sentences[..] {
        parts.push(Content::Paragraph(only.clone()));
    } else {
        parts.push(Content::List(sentences));
    }
    parts.push(Content::Paragraph(plain(step.why.as_str())));
    let limits = draft.limits(step);
    if !limits.is_empty() {
        parts.push(Content::List(limits.iter().map(|limit| plain(keep_lengths(limit))).collect()));
    }
    parts
}

/// The steps as a table: measure, rule, arithmetic, value.
pub(super) fn steps(draft: &Draft, indices: &[StepId]) -> Vec<Content> {
    let mut rows = Vec::new();
    for &index in indices {
        let step = &draft.exercise.steps[index];
        for row in 0..draft.rows(step) {
            let name = draft.label(step, row);
            let value = vec![Span::Strong(keep_together(&draft.text_at(step.slot, row)))];
            rows.push(vec![
                plain(name),
                plain(draft.rule(step)),
                plain(keep_lengths(&draft.arithmetic(step, row))),
                value,
            ]);
        }
    }
    let head = ["Measure", "Rule", "With the numbers", "Value"].map(str::to_owned).to_vec();
    vec![Content::Table { head, rows }]
}

/// What goes wrong: each slip with what it would make of this draft; of a list, of its first row.
pub(super) fn slips(draft: &Draft, indices: &[StepId]) -> Vec<Content> {
    let exercise = draft.exercise;
    let can_be = |slip: &&crate::exercise::Slip| {
        indices.contains(&slip.step) && slip.when.as_ref().is_none_or(|when| when.holds(&draft.measures))
    };
    let item = |slip: &crate::exercise::Slip| {
        let step = &exercise.steps[slip.step];
        let wrong = draft.write_value(step.kind.base, slip.used.evaluate(&draft.measures, Some(0)));
        let right = draft.text_at(step.slot, 0);
        let row = match draft.row_name(step, 0) {
            "" => String::new(),
            row => format!(", {row}"),
        };
        let instead = format!("{} instead of {}. {}", keep_together(&wrong), keep_together(&right), slip.says);
        vec![Span::Strong(format!("{}{row}: ", step.title)), Span::Plain(instead)]
    };
    // With some givens a mistake makes no difference.
    let shows = |slip: &&crate::exercise::Slip| {
        let step = &exercise.steps[slip.step];
        draft.write_value(step.kind.base, slip.used.evaluate(&draft.measures, Some(0))) != draft.text_at(step.slot, 0)
    };
    vec![Content::List(exercise.slips.iter().filter(can_be).filter(shows).map(item).collect())]
}

/// The cutting list.
pub(super) fn cutting(draft: &Draft) -> Result<Vec<Content>, PieceFault> {
    let row = |line: crate::draft::CutLine| {
        let mut notes = Vec::new();
        notes.extend(line.fold.map(|edge| format!("{edge} edge on the fold")));
        if !line.piece.note.is_empty() {
            notes.push(line.piece.note.clone());
        }
        let size = format!(
            "{} × {}",
            keep_together(&draft.write(line.width).to_string()),
            keep_together(&draft.write(line.height).to_string())
        );
        vec![
            plain(line.piece.title.as_str()),
            plain(line.piece.cloth.as_str()),
            plain(line.piece.count.to_string()),
            plain(size),
            plain(notes.join("; ")),
        ]
    };
    let rows = draft.cutting_list()?.into_iter().map(row).collect();
    let head = ["Piece", "From", "Cut", "Width × height", "Note"].map(str::to_owned).to_vec();
    Ok(vec![Content::Table { head, rows }])
}

/// What can hurt.
pub(super) fn cautions(exercise: &Exercise) -> Vec<Content> {
    let caution = |caution: &crate::exercise::Caution| {
        Content::Warning(vec![Span::Strong(format!("{}. ", caution.about)), Span::Plain(caution.says.clone())])
    };
    exercise.cautions.iter().map(caution).collect()
}

/// What to measure, what to work out, and an answer file to copy.
pub(super) fn homework(exercise: &Exercise, ruler: Ruler) -> Vec<Content> {
    let mut parts = Vec::new();
    for given in &exercise.givens {
        let GivenKind::Table { columns, each, .. } = &given.kind else { continue };
        parts.push(Content::Paragraph(plain(format!("For each kind of {each}, write down:"))));
        let item = |column: &crate::exercise::Column| {
            let says = if column.says.is_empty() { String::new() } else { format!(": {}", column.says) };
            vec![Span::Strong(column.title.clone()), Span::Plain(says)]
        };
        parts.push(Content::List(columns.iter().map(item).collect()));
    }
    let asked = exercise.steps.keys().filter(|step| exercise.asks(*step)).count();
    let says = if asked < exercise.steps.len() {
        format!(
            "Draft it, measure your draft, and fill in this file. It asks for {asked} measure{}. What stands beneath you may \
             add: it is marked, and costs nothing if you leave it empty.",
            if asked == 1 { "" } else { "s" }
        )
    } else {
        "Draft it, measure your draft, and fill in this file:".to_owned()
    };
    parts.push(Content::Paragraph(plain(says)));
    parts.push(Content::Code { language: "toml", text: blank_file(exercise, ruler, 1) });
    parts
}
