//! `foldmark check`: answers marked, one sheet after another; one that can't be read stops none.

use super::args::CheckArgs;
use super::inputs::{Source, class_file, is_letter, policy, sources};
use super::marking::{Handed, Marking, Unread, Wanted};
use super::results::{Folder, gradebook};
use super::shelf::open_for;
use super::terminal::{Done, Failure, Progress, error, notice, print};
use crate::check::{AnswerSheet, Graded, Grader, Table, answers_of_letter, read_answers, table_sheets};
use crate::class::{Folders, Policy, Show};
use crate::exercise::{Exercise, Shelf};
use crate::files::{FileFault, Pieces, read_text, shown};
use crate::practice::recall;
use crate::text::{Fault, quoted};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// So many sheets are marked side by side before what comes of them is gathered.
const BATCH: usize = 128;

/// So many pieces of a table are graded by each thread before their lines are written.
const PIECES_EACH: usize = 8;

pub(super) fn run(args: &CheckArgs) -> Done {
    let class_file = args.class.clone().map_or_else(|| class_file(&args.paths), |named| Ok(Some(named)))?;
    let shelf = open_for(&args.shelf, class_file.as_deref())?;
    let asked = args.exercise.as_ref().map(|name| shelf.get(name)).transpose()?;
    let policy = policy(class_file.as_deref(), args.class.is_some(), &shelf)?;
    // Where nothing is named, or the class's own folder, the class knows what there is to mark, and where its pages go.
    let is_class = |path: &PathBuf| class_file.as_ref().is_some_and(|file| file.parent() == Some(path.as_path()));
    let names_class = args.paths.iter().all(is_class) && (args.paths.is_empty() || policy.folders.handed_in.is_some());
    let folders = if names_class { policy.folders.clone() } else { Folders::default() };
    let beside = |name: String| class_file.as_ref().map(|file| file.with_file_name(name));
    let named = args.paths.iter().filter(|_| !names_class).cloned();
    let paths: Vec<PathBuf> = named.chain(folders.handed_in.and_then(beside)).collect();
    if paths.is_empty() {
        return Err("name what is to be marked: answer files, tables or folders of them; or go to the folder of a class, whose \
                    class.toml names what was handed in"
            .to_owned()
            .into());
    }
    let wants_nothing = args.out.is_none() && args.gradebook.is_none() && !args.json;
    let marked = folders.marked.and_then(beside).filter(|_| wants_nothing);
    // The pages of a class are made anew each time.
    let force = args.force || marked.is_some();
    let out = args.out.clone().or(marked);
    let show = args.show.map(Show::from).or(policy.show).unwrap_or_default();
    let (sources, faults) = sources(&paths);
    let is_gradebook_alone = args.gradebook.is_some() && out.is_none() && !args.json && !args.details;
    let wanted = Wanted { details: args.details && !args.json, json: args.json };
    let mut marking = Marking::new(&shelf, &policy, show, wanted);
    marking.faults = faults;
    // Whether there is room for the results is told before the work is done.
    marking.gradebook = args.gradebook.as_ref().map(|place| gradebook(place, args.force)).transpose()?;
    marking.folder = out.as_ref().map(|place| Folder::new(place, force)).transpose()?;

    let class = Class { shelf: &shelf, policy: &policy, asked, is_gradebook_alone };
    let mut handed_in = class.handed_in(&sources).into_iter();
    for run in sources.chunk_by(|one, next| matches!((one, next), (Source::Sheet(_), Source::Sheet(_)))) {
        match &run[0] {
            Source::Table(path) => class.table(path, &mut marking)?,
            Source::Sheet(_) => {
                let handed: Vec<Handed> = handed_in.by_ref().take(run.len()).flatten().collect();
                let progress = Progress::new(handed.len(), "marking");
                for batch in handed.chunks(BATCH) {
                    marking.mark(batch)?;
                    progress.advance(batch.len() as u64);
                }
            }
        }
    }
    finish(args, out.as_deref(), marking)
}

/// Prints the result, then what could not be read, and puts what was written into its place.
fn finish(args: &CheckArgs, out: Option<&Path>, mut marking: Marking) -> Done {
    print(&if args.json { marking.json()? } else { marking.text() })?;
    for sentence in &marking.faults {
        error(sentence);
    }
    marking.put()?;
    if let Some(gradebook) = &args.gradebook {
        notice(&format!("the gradebook is {}", shown(gradebook)));
    }
    if let Some(folder) = out {
        notice(&format!("the pages are in {}; open index.html", shown(folder)));
    }
    Ok(marking.status())
}

/// What sheets are read and marked by.
struct Class<'s> {
    shelf: &'s Shelf,
    policy: &'s Policy,
    /// The exercise that all sheets are for, if that is known.
    asked: Option<&'s Exercise>,
    is_gradebook_alone: bool,
}

impl Class<'_> {
    /// The answer files, read; nothing for one in whose place a later one of the same student counts.
    fn handed_in(&self, sources: &[Source]) -> Vec<Option<Handed<'static>>> {
        let files: Vec<&Path> = sources
            .iter()
            .filter_map(|source| match source {
                Source::Sheet(path) => Some(path.as_path()),
                Source::Table(_) => None,
            })
            .collect();
        let read = |file: &&Path| Some(Handed { file: shown(file), table: None, sheet: self.sheet(file) });
        let mut handed: Vec<Option<Handed>> = files.par_iter().map(read).collect();
        let mut latest: BTreeMap<[String; 4], usize> = BTreeMap::new();
        for at in 0..handed.len() {
            let Some(Handed { sheet: Ok(sheet), file, .. }) = &handed[at] else { continue };
            let whose = [&sheet.student, &sheet.id, &sheet.exercise, &sheet.code].map(|text| text.trim().to_owned());
            let Some(before) = latest.insert(whose, at) else { continue };
            let earlier = handed[before].as_ref().map_or("", |earlier| &earlier.file);
            notice(&format!(
                "{earlier} and {file} are both of {}, for {}; {file} counts. If these are two people, an `id` in their files tells them apart",
                sheet.shown_name(),
                quoted(&sheet.exercise)
            ));
            handed[before] = None;
        }
        handed
    }

    fn sheet(&self, file: &Path) -> Result<AnswerSheet, Unread> {
        let text = read_text(file).map_err(Unread::File)?;
        let text = if is_letter(file) { answers_of_letter(&text) } else { text.as_str().into() };
        let mut sheet = read_answers(&text).map_err(Unread::Faults)?;
        recall(&mut sheet, self.shelf).map_err(Unread::Faults)?;
        match self.asked {
            Some(asked) if asked.name != sheet.exercise => {
                let message = format!("this is for {}, and {} is asked for", quoted(&sheet.exercise), asked.name);
                Err(Unread::Faults(vec![Fault { place: None, key: "exercise".to_owned(), message }]))
            }
            _ => Ok(sheet),
        }
    }

    /// Marks the rows of a table.
    fn table(&self, path: &Path, marking: &mut Marking) -> Result<(), Failure> {
        let file = shown(path);
        let mut pieces = match Pieces::open(path) {
            Ok(opened) => opened,
            Err(fault) => {
                marking.faults.push(fault.to_string());
                return Ok(());
            }
        };
        let (table, notes) = match Table::read(pieces.begins(), self.asked, self.shelf) {
            Ok(read) => read,
            Err(says) => {
                marking.faults.push(format!("{file}: {says}"));
                return Ok(());
            }
        };
        for note in notes {
            let says = format!("{file}: {}", note.says);
            if note.is_fault { marking.faults.push(says) } else { notice(&says) }
        }
        pieces.pass_head(&table);
        let progress = Progress::new(pieces.length as usize, "marking");
        let end = if self.is_gradebook_alone {
            self.grade(&table, &file, pieces, marking, &progress)?
        } else {
            self.mark(&table, &file, pieces, marking, &progress)?
        };
        marking.faults.extend(end.map(|fault| fault.to_string()));
        Ok(())
    }

    /// Marks every row as a sheet of its own. Returns why not all were read, if so.
    fn mark(
        &self,
        table: &Table,
        file: &str,
        mut pieces: Pieces,
        marking: &mut Marking,
        progress: &Progress,
    ) -> Result<Option<FileFault>, Failure> {
        // As a spreadsheet counts: the head is the first.
        let mut row = 2;
        loop {
            let piece = match pieces.next() {
                Ok(Some(piece)) => piece,
                Ok(None) => return Ok(None),
                Err(fault) => return Ok(Some(fault)),
            };
            let (sheets, rows) = table_sheets(table, &piece, row, self.shelf);
            row += rows;
            let handed = sheets.into_iter().map(|sheet| Handed {
                file: file.to_owned(),
                table: Some(table),
                sheet: sheet
                    .and_then(|mut sheet| recall(&mut sheet, self.shelf).map(|()| sheet))
                    .map_err(Unread::Faults),
            });
            let handed: Vec<Handed> = handed.collect();
            for batch in handed.chunks(BATCH) {
                marking.mark(batch)?;
            }
            progress.advance(piece.len() as u64);
        }
    }

    /// Grades the rows for the gradebook alone, with nothing kept of them. Returns why not all were read, if so.
    fn grade(
        &self,
        table: &Table,
        file: &str,
        mut pieces: Pieces,
        marking: &mut Marking,
        progress: &Progress,
    ) -> Result<Option<FileFault>, Failure> {
        let count = PIECES_EACH * rayon::current_num_threads();
        let mut graders: Vec<Grader> =
            (0..count).map(|_| Grader::new(table, self.shelf, self.policy, recall)).collect();
        let (mut row, mut end) = (2, None);
        let mut read = || {
            let mut batch = Vec::new();
            while batch.len() < count && end.is_none() {
                match pieces.next() {
                    Ok(Some(piece)) => batch.push(piece),
                    Ok(None) => break,
                    Err(sentence) => end = Some(sentence),
                }
            }
            batch
        };
        let mut batch = read();
        while !batch.is_empty() {
            // The next pieces are read while these are graded.
            let grade = || -> Vec<Graded> {
                let pieces = graders.par_iter_mut().zip(&batch).with_max_len(1);
                pieces.map(|(grader, piece)| grader.grade(piece)).collect()
            };
            let (graded, next) = rayon::join(grade, &mut read);
            for Graded { lines, rows, faults, all_right } in graded {
                if let Some(gradebook) = &mut marking.gradebook {
                    gradebook.add(&lines)?;
                }
                marking.all_right &= all_right;
                marking.has_told |= !faults.is_empty();
                for mut fault in faults {
                    // Its row is counted from the beginning of its piece.
                    fault.place.iter_mut().for_each(|place| place.line += row - 1);
                    progress.aside(|| error(&format!("{file}: {}", table.tell(&fault))));
                }
                row += rows;
            }
            progress.advance(batch.iter().map(|piece| piece.len() as u64).sum());
            batch = next;
        }
        for grader in graders {
            marking.tally.add_counts(grader.into_tally());
        }
        Ok(end)
    }
}
