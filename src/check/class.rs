//! What a class as a whole got wrong, counted as its sheets go by.

use super::mark::{MarkedCell, MarkedSheet, Verdict};
use std::collections::BTreeMap;

/// What a class got wrong.
#[derive(Debug, Clone, Default)]
pub struct ClassTally {
    points: Vec<(String, u32, u32)>,
    /// By exercise and step, so that equal counts stay in the order of the work.
    steps: BTreeMap<(String, usize), StepTally>,
}

#[derive(Debug, Clone, Default)]
struct StepTally {
    title: String,
    wrong: usize,
    absent: usize,
    unjudged: usize,
    /// By slip; what no slip accounts for stands under `None`.
    slips: BTreeMap<Option<usize>, (String, usize)>,
}

impl ClassTally {
    /// Counts a sheet in.
    pub fn count(&mut self, sheet: &MarkedSheet) {
        let exercise = sheet.truth.exercise;
        self.points.push((sheet.student.clone(), sheet.points, sheet.out_of));
        for (index, step) in exercise.steps.iter().enumerate() {
            let verdict = sheet.verdict(index);
            if verdict.earns() {
                continue;
            }
            let tally = self.steps.entry((exercise.name.clone(), index)).or_default();
            tally.title.clone_from(&step.title);
            if matches!(verdict, Verdict::Missing | Verdict::Unreadable) {
                let is_there = |cell: &MarkedCell| cell.step == index && cell.answer.is_some();
                if sheet.cells.iter().any(is_there) {
                    tally.unjudged += 1
                } else {
                    tally.absent += 1
                }
                continue;
            }
            tally.wrong += 1;
            // A list counts once: by the first slip that one of its rows shows.
            let slip = sheet.cells.iter().filter(|cell| cell.step == index).find_map(|cell| cell.slip);
            let says = match (slip, verdict) {
                (Some(slip), _) => exercise.slips[slip].says.as_str(),
                (None, Verdict::OutsideRule) => "outside the limits",
                (None, _) => "no known slip accounts for it",
            };
            tally.slips.entry(slip).or_insert_with(|| (says.to_owned(), 0)).1 += 1;
        }
    }

    /// The points of every student, and what the class as a whole got wrong, most common first; empty for
    /// a single sheet.
    pub fn text(&self) -> String {
        let sheets = self.points.len();
        if sheets < 2 {
            return String::new();
        }
        let full = self.points.iter().filter(|(_, points, out_of)| points == out_of).count();
        let have = if full == 1 { "has" } else { "have" };
        let mut lines = vec![format!("The class: {sheets} sheets, of which {full} {have} full marks.")];
        let wide = self.points.iter().map(|(student, ..)| student.chars().count()).max().unwrap_or(0);
        lines.extend(
            self.points.iter().map(|(student, points, out_of)| format!("  {student:wide$}  {points:>3} of {out_of}")),
        );
        let mut common: Vec<&StepTally> = self.steps.values().collect();
        common.sort_by_key(|tally| std::cmp::Reverse((tally.wrong, tally.absent + tally.unjudged)));
        if !common.is_empty() {
            lines.push("What went wrong, most common first:".to_owned());
        }
        for tally in common {
            let absent = if tally.absent > 0 { format!("{} missing or unread", tally.absent) } else { String::new() };
            let wrong = if tally.wrong > 0 { format!("{} of {sheets} wrong", tally.wrong) } else { String::new() };
            let unjudged =
                if tally.unjudged > 0 { format!("{} can't be judged", tally.unjudged) } else { String::new() };
            let counts: Vec<String> = [wrong, absent, unjudged].into_iter().filter(|count| !count.is_empty()).collect();
            lines.push(format!("  {}: {}", tally.title, counts.join(", ")));
            let mut slips: Vec<&(String, usize)> = tally.slips.values().collect();
            slips.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
            lines.extend(slips.iter().map(|(says, count)| format!("    {count} × {says}")));
        }
        lines.join("\n") + "\n"
    }
}
