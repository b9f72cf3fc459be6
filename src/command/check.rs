//! `foldmark check`: answers marked, one sheet after another; one that can't be read stops none.

use super::args::CheckArgs;
use super::class_folder::roster;
use super::grading::grade;
use super::inputs::{class_file, policy};
use super::results::{Folder, Kept, gradebook};
use super::shelf::open_for;
use super::terminal::{Done, Failure, Status, error, notice, print};
use crate::class::{Folders, Policy, Show};
use crate::desk::{CourseResults, Gathering, Grade, KeptSets, Marking, Wanted, sources};
use crate::files::{Disk, Staged, settle, settle_for, shown};
use rayon::prelude::*;
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
    let kept = KeptSets::open(&Disk, beside(&policy.folders.keys).as_deref(), &library, &notice);
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
    let (sources, faults) = sources(&Disk, &paths, &is_of_class);
    let is_gradebook_alone = args.gradebook.is_some() && args.out.is_none() && !args.json && !args.details;
    let wanted = Wanted { details: args.details && !args.json, json: args.json };
    let mut marking = Marking::new((&kept.shelves, &policy, show), side_by_side, Kept::default(), wanted);
    marking.faults = faults;
    // Whether there is room for the results is told before the work is done.
    marking.keeper.gradebook = args.gradebook.as_ref().map(|place| gradebook(place, args.force)).transpose()?;
    marking.keeper.folder = args.out.as_ref().map(|place| Folder::new(place, args.force)).transpose()?;
    let replaces = args.gradebook.iter().any(|place| place.is_file())
        || args.out.iter().any(|out| out.join("index.html").is_file());
    if let Some(root) = &marked {
        // What a killed program was about to put is put before it is looked at.
        settle_for(root);
        let roster = beside(&policy.roster).map(|file| roster(&file)).transpose();
        // Without its roster a class is marked all the same.
        let roster = roster.unwrap_or_else(|failure| {
            failure.0.iter().for_each(|sentence| error(sentence));
            None
        });
        let roster = roster.unwrap_or_default();
        marking.keeper.has_told |= !roster.faults.is_empty();
        marking.handed_in = handed_in.as_deref().map(shown).unwrap_or_default();
        let students = (roster.students, roster.columns);
        marking.course = Some(CourseResults::new((&Disk, &notice), root, args.force, &policy.title, students, &kept));
    }

    let grade = is_gradebook_alone.then_some(grade as Grade<Kept>);
    let (kept, policy) = (&kept, &policy);
    let gathering =
        Gathering { files: &Disk, hands: side_by_side, say: &notice, kept, policy, asked, grade, handed_in };
    gathering.all(&sources, &mut marking)?;
    finish(args, marked.as_deref(), marking, replaces)
}

/// What of a class's folder is none of the answers: what it keeps there itself.
fn class_parts(class_file: Option<&Path>, policy: &Policy) -> impl Fn(&Path) -> bool {
    let Folders { exercises, sheets, keys, marked, .. } = &policy.folders;
    let places = [exercises, sheets, keys, marked, &policy.roster].into_iter().flatten();
    let places: Vec<PathBuf> = places.filter_map(|name| class_file?.with_file_name(name).canonicalize().ok()).collect();
    move |path: &Path| !places.is_empty() && path.canonicalize().is_ok_and(|path| places.contains(&path))
}

/// Work done by as many threads as the machine has cores for.
pub(super) fn side_by_side(count: usize, work: &(dyn Fn(usize) + Sync)) {
    (0..count).into_par_iter().with_max_len(1).for_each(work);
}

/// Prints the result, then what could not be read, and puts what was written into its place.
fn finish(args: &CheckArgs, marked: Option<&Path>, mut marking: Marking<Kept>, replaces: bool) -> Done {
    print(&if args.json { marking.json()? } else { marking.text() })?;
    for sentence in &marking.faults {
        error(&sentence.to_string());
    }
    if let Some(root) = marked {
        put_course(root, &mut marking)?;
    }
    if replaces && marking.tally.sheets() == 0 {
        return Err("nothing was found that can be marked; the earlier result stays as it is".into());
    }
    let status = match (marking.keeper.has_told || !marking.faults.is_empty(), marking.all_right) {
        (true, _) => Status::NotDone,
        (false, true) => Status::Well,
        (false, false) => Status::NotRight,
    };
    let sentences = marking.sentences();
    marking.keeper.put(&marking.tally, &marking.policy.title, &sentences)?;
    if let Some(gradebook) = &args.gradebook {
        notice(&format!("the gradebook is {}", shown(gradebook)));
    }
    if let Some(folder) = args.out.as_deref().or(marked) {
        notice(&format!("the pages are in {}; open index.html", shown(folder)));
    }
    Ok(status)
}

/// Puts the results of a class into its folder.
fn put_course(root: &Path, marking: &mut Marking<Kept>) -> Result<(), Failure> {
    // Whatever can't be written is told before anything is.
    let mut staged = None;
    let mut put = |name: &str, text: &str| {
        let staged = match &mut staged {
            Some(staged) => staged,
            None => staged.insert(Staged::new(root).map_err(|fault| fault.to_string())?),
        };
        staged.append(name, text).map_err(|fault| fault.to_string())
    };
    let Some(written) = marking.write_course(&mut put)? else { return Ok(()) };
    let entries: Vec<&str> = written.entries.iter().map(String::as_str).collect();
    staged.map_or(Ok(()), |staged| staged.put(&entries, true))?;
    written.notices.iter().for_each(|sentence| notice(sentence));
    written.told.iter().for_each(|sentence| error(sentence));
    marking.keeper.has_told |= !written.told.is_empty();
    Ok(())
}
