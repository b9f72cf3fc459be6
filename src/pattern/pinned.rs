//! What one pins above the table: objects, givens, every measure with its sum, the cutting list, and what can hurt.

use super::fault::PatternFault;
use super::font::Letters;
use crate::draft::Draft;
use crate::exercise::{GivenKind, StepRule};

/// What a paragraph is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Heading,
    Body,
}

/// A paragraph, and what it is.
pub(super) type Paragraph = (Kind, String);

/// All of it, in paragraphs.
pub(super) fn paragraphs(draft: &Draft, letters: &Letters) -> Result<Vec<Paragraph>, PatternFault> {
    let exercise = draft.exercise;
    let mut told: Vec<Paragraph> = vec![(Kind::Heading, "Given".to_owned())];
    let text = |slot, row| draft.givens.text(exercise, slot, row);
    for given in &exercise.givens {
        match &given.kind {
            GivenKind::Length { slot, .. } | GivenKind::Number { slot, .. } | GivenKind::Choice { slot, .. } => {
                told.extend(text(*slot, 0).map(|value| (Kind::Body, format!("{}: {value}", given.title))));
            }
            GivenKind::Table { table, columns, .. } => {
                for (row, name) in draft.givens.row_names.get(table.0).into_iter().flatten().enumerate() {
                    let cells: Vec<String> = columns
                        .iter()
                        .filter_map(|column| {
                            Some(format!("{} {}", column.title.to_lowercase(), text(column.slot, row)?))
                        })
                        .collect();
                    told.push((Kind::Body, format!("{name}: {}", cells.join(", "))));
                }
            }
        }
    }
    told.push((Kind::Heading, "Measures".to_owned()));
    for step in &exercise.steps {
        for row in 0..draft.rows(step) {
            let (label, value, sum) =
                (draft.label(step, row), draft.text_at(step.slot, row), draft.arithmetic(step, row));
            let how = match &step.rule {
                StepRule::Within { .. } => format!(", your choice: {sum}"),
                StepRule::Value(_) if sum == value => String::new(),
                StepRule::Value(_) => format!(" = {sum}"),
            };
            told.push((Kind::Body, format!("{label}: {value}{how}")));
        }
    }
    told.push((Kind::Heading, "To cut".to_owned()));
    for line in draft.cutting_list().map_err(|fault| PatternFault(fault.to_string()))? {
        let fold = line.fold.map_or_else(String::new, |edge| format!(", {edge} edge on the FOLD"));
        let size = format!("{} × {}", draft.write(line.width), draft.write(line.height));
        told.push((
            Kind::Body,
            format!("{}: {} from {}, {size}{fold}", line.piece.title, line.piece.count, line.piece.cloth),
        ));
    }
    told.push((Kind::Heading, "Take care".to_owned()));
    let tools = [
        "Rotary cutter: close the blade whenever you put it down; cut away from yourself, along a ruler that your hand \
         does not reach over, on a mat.",
        "Shears: carry them closed, and hand them on with the handles first.",
        "Iron: it stays hot long after it is switched off; set it on its heel, away from the paper and from the cord.",
    ];
    told.extend(tools.iter().map(|tool| (Kind::Body, (*tool).to_owned())));
    told.extend(exercise.cautions.iter().map(|caution| (Kind::Body, format!("{}: {}", caution.about, caution.says))));
    told.into_iter().map(|(kind, text)| Ok((kind, letters.set(&text)?))).collect()
}
