//! `foldmark check`: answers marked, one sheet after another; one that can't be read stops none.

use super::args::CheckArgs;
use super::class_folder::roster;
use super::course::CourseResults;
use super::gathering::Gathering;
use super::inputs::{Source, class_file, policy, sources};
use super::kept_sets::KeptSets;
use super::marking::{BATCH, Handed, Marking, Wanted};
use super::results::{Folder, gradebook};
use super::shelf::open_for;
use super::terminal::{Done, Progress, error, notice, print};
use crate::class::{Folders, Policy, Show};
use crate::files::{settle, shown};
use std::path::{Path, PathBuf};

pub(super) fn run(args: &CheckArgs) -> Done {
    let class_file = args.class.clone().map_or_else(|| class_file(&args.paths), |named| Ok(Some(named)))?;
    // Sheets and keys that a killed program was about to put belong together.
    if let Some(file) = &class_file {
        settle(file.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or(Path::new(".")));
    }
    let library = open_for(&args.shelf, class_file.as_deref())?;
    let policy = policy(class_file.as_deref(), args.class.is_some(), &library.shelf)?;
    let beside = |name: &Option<String>| Some(class_file.as_ref()?.with_file_name(name.as_ref()?));
    let kept = KeptSets::open(beside(&policy.folders.keys).as_deref(), library);
    let shelf = &kept.shelves[0];
    let asked = args.exercise.as_ref().map(|name| shelf.get(name)).transpose()?;
    // Where nothing is named, or the class's own folder, the class knows what there is to mark, and where its pages go.
    let is_class = |path: &PathBuf| class_file.as_ref().is_some_and(|file| file.parent() == Some(path.as_path()));
    let names_class = args.paths.iter().all(is_class) && (args.paths.is_empty() || policy.folders.handed_in.is_some());
    let handed_in = beside(&policy.folders.handed_in);
    let named = args.paths.iter().filter(|_| !names_class).cloned();
    let paths: Vec<PathBuf> = named.chain(handed_in.clone().filter(|_| names_class)).collect();
    if paths.is_empty() {
        return Err("name what is to be marked: answer files, tables or folders of them; or go to the folder of a class, whose \
                    class.toml names what was handed in"
            .to_owned()
            .into());
    }
    let wants_nothing = args.out.is_none() && args.gradebook.is_none() && !args.json;
    let marked = beside(&policy.folders.marked).filter(|_| names_class && wants_nothing);
    let show = args.show.map(Show::from).or(policy.show).unwrap_or_default();
    let is_of_class = class_parts(class_file.as_deref(), &policy);
    let (sources, faults) = sources(&paths, &is_of_class);
    let is_gradebook_alone = args.gradebook.is_some() && args.out.is_none() && !args.json && !args.details;
    let wanted = Wanted { details: args.details && !args.json, json: args.json };
    let mut marking = Marking::new(&kept.shelves, &policy, show, wanted);
    marking.faults = faults;
    // Whether there is room for the results is told before the work is done.
    marking.gradebook = args.gradebook.as_ref().map(|place| gradebook(place, args.force)).transpose()?;
    marking.folder = args.out.as_ref().map(|place| Folder::new(place, args.force)).transpose()?;
    marking.replaces = args.gradebook.iter().any(|place| place.is_file())
        || args.out.iter().any(|out| out.join("index.html").is_file());
    if let Some(root) = &marked {
        let students = beside(&policy.roster).map(|file| roster(&file)).transpose();
        // Without its roster a class is marked all the same.
        let (students, columns, refused) = students
            .unwrap_or_else(|failure| {
                failure.0.iter().for_each(|sentence| error(sentence));
                None
            })
            .unwrap_or_default();
        marking.has_told |= refused > 0;
        marking.handed_in = handed_in.as_deref().map(shown).unwrap_or_default();
        marking.course = Some(CourseResults::new(root, args.force, &policy.title, (students, columns), &kept));
    }

    let gathering = Gathering { kept: &kept, policy: &policy, asked, is_gradebook_alone, handed_in };
    let (sheets, tables) = gathering.handed_in(&sources);
    let mut sheets = sheets.into_iter();
    for run in sources.chunk_by(|one, next| matches!((one, next), (Source::Sheet(_), Source::Sheet(_)))) {
        match &run[0] {
            Source::Table(_) | Source::Spreadsheet(_) => gathering.tables(&run[0], &tables, &mut marking)?,
            Source::Sheet(_) => {
                let handed: Vec<Handed> = sheets.by_ref().take(run.len()).flatten().collect();
                let progress = Progress::new(handed.len(), "marking");
                for batch in handed.chunks(BATCH) {
                    marking.mark(batch)?;
                    progress.advance(batch.len() as u64);
                }
            }
        }
    }
    finish(args, args.out.as_deref().or(marked.as_deref()), marking)
}

/// What of a class's folder is none of the answers: what it keeps there itself.
fn class_parts(class_file: Option<&Path>, policy: &Policy) -> impl Fn(&Path) -> bool {
    let Folders { exercises, sheets, keys, marked, .. } = &policy.folders;
    let places = [exercises, sheets, keys, marked, &policy.roster].into_iter().flatten();
    let places: Vec<PathBuf> = places.filter_map(|name| class_file?.with_file_name(name).canonicalize().ok()).collect();
    move |path: &Path| !places.is_empty() && path.canonicalize().is_ok_and(|path| places.contains(&path))
}

/// Prints the result, then what could not be read, and puts what was written into its place.
fn finish(args: &CheckArgs, out: Option<&Path>, mut marking: Marking) -> Done {
    print(&if args.json { marking.json()? } else { marking.text() })?;
    for sentence in &marking.faults {
        error(&sentence.to_string());
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
