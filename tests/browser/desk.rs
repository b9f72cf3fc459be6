//! The desk in a real browser, from a folder: what is dropped on it is marked as by the commands, byte for byte; sets are theirs,
//! too; a sheet of paper is typed in; nothing leaves the machine.

use std::collections::BTreeMap;
use std::io::{Cursor, Read};
use std::path::Path;
use std::time::{Duration, Instant};
use std::{env, fs, thread};

use serde_json::Value;
use zip::ZipArchive;

use crate::axe::Axe;
use crate::devtools::{Result, Tab};
use crate::every_page::Kind;
use crate::shared::sent::class_with_answers;
use crate::shared::{files, folder, names, run, write};
use crate::{WIDTHS, open_tab};

/// Files by their names, with their bytes.
type Saved = BTreeMap<String, Vec<u8>>;

fn open(tab: &mut Tab, desk: &Path, width: u32) -> Result<()> {
    tab.load(&format!("file://{}", desk.display()), width, "")?;
    tab.evaluate(include_str!("desk.js"))?;
    tab.evaluate("trial.button('Choose files').then(() => {})")?;
    Ok(())
}

fn drop_on(tab: &mut Tab, given: &[&Path]) -> Result<String> {
    tab.drop_files((100.0, 300.0), given)?;
    let told = tab.evaluate("trial.taken()").map_err(|error| format!("{error}: {:?}", tab.errors))?;
    Ok(told.as_str().unwrap_or_default().to_owned())
}

fn saved(tab: &mut Tab) -> Result<Saved> {
    Ok(saved_as(tab)?.0)
}

/// Everything that the page saves as one archive, and that.
fn saved_as(tab: &mut Tab) -> Result<(Saved, Vec<u8>)> {
    let place = tempfile::tempdir()?;
    tab.save_into(place.path())?;
    tab.evaluate("trial.press('Save all as one archive')")?;
    let file = place.path().join("class.zip");
    let end = Instant::now() + Duration::from_secs(30);
    while !file.is_file() {
        if Instant::now() > end {
            return Err("nothing was saved".into());
        }
        thread::sleep(Duration::from_millis(20));
    }
    let bytes = fs::read(file)?;
    let mut archive = ZipArchive::new(Cursor::new(bytes.clone()))?;
    let mut found = BTreeMap::new();
    for at in 0..archive.len() {
        let mut file = archive.by_index(at)?;
        let mut bytes = Vec::new();
        file.read_to_end(&mut bytes)?;
        found.insert(file.name().to_owned(), bytes);
    }
    Ok((found, bytes))
}

fn differing(by_desk: &Saved, root: &Path, place: &str) -> Vec<String> {
    let by_command = files(&root.join(place));
    let below = |name: &String| name.strip_prefix(&format!("{place}/")).map(str::to_owned);
    let names = by_command.keys().cloned().chain(by_desk.keys().filter_map(below));
    let names = names.filter(|name| by_command.get(name) != by_desk.get(&format!("{place}/{name}")));
    names.map(|name| format!("{place}/{name}")).collect()
}

#[test]
fn a_class_that_is_dropped_is_marked_as_by_the_command() -> Result<()> {
    let dir = folder();
    let root = dir.path().join("class");
    class_with_answers(&root);
    let mut tab = open_tab();
    tab.watch_network()?;
    open(&mut tab, &root.join("desk.html"), 1280)?;
    let told = drop_on(&mut tab, &[&root])?;
    assert!(told.contains("None of the class’s work, and left where it is"), "{told}");
    tab.evaluate("trial.press('Mark what was handed in')")?;
    tab.evaluate("trial.page('marked/index.html').then(() => {})")?;
    let (_, text, errors) = run(&root, &["check"]);
    let shown = tab.evaluate("trial.part('Mark').querySelector('pre').textContent")?;
    assert_eq!(shown, text);
    let told = tab.evaluate("[...trial.part('Mark').querySelectorAll('li')].map((one) => one.textContent)")?;
    let told: Vec<&str> = told.as_array().into_iter().flatten().filter_map(Value::as_str).collect();
    assert!(told.iter().any(|says| says.starts_with("handed-in/sedge.docx: this is a document")), "{told:?}");
    assert!(told.iter().all(|says| errors.contains(says)), "{told:?}: {errors}");

    // Its links lead on, and a stranger's text is text there.
    let tansy = tab.evaluate(
        "(async () => { const click = async (on, words) => [...on.querySelectorAll('a')].find((one) => words(one)).click(); \
         await click(await trial.page('marked/index.html'), (one) => /week-1\\/index/.test(one.getAttribute('href'))); \
         await click(await trial.page('marked/week-1/index.html'), (one) => /tansy/.test(one.getAttribute('href'))); \
         return (await trial.page('marked/week-1/students/tansy.html')).title; })()",
    )?;
    assert!(tansy.as_str().is_some_and(|title| title.contains("Tansy")), "{tansy}");

    let by_desk = saved(&mut tab)?;
    assert!(by_desk.contains_key("marked/week-1/students/mullerkraut.html"));
    assert_eq!(differing(&by_desk, &root, "marked"), [] as [&str; 0]);
    assert_eq!(differing(&by_desk, &root, "handed-in"), ["handed-in/.hidden"]);
    assert_eq!(tab.errors, [] as [&str; 0]);
    let away: Vec<&String> =
        tab.requests.iter().filter(|url| !url.ends_with("/desk.html") && !url.starts_with("blob:")).collect();
    assert!(away.is_empty(), "{away:?}");
    Ok(())
}

const AIM: f64 = 2_000.0;

/// From the drop to the page of the class, the quickest of three times. What is aimed at is two seconds; as with all that is
/// measured in a browser, on a machine that may have other work five times as much is held.
#[test]
fn three_hundred_sheets_at_once() -> Result<()> {
    let dir = folder();
    let root = dir.path().join("class");
    run(dir.path(), &["start", "class"]);
    let students: String = (1..=300).map(|at| format!("Sedge {at},{at}\n")).collect();
    write(&root, "roster.csv", format!("student,id\n{students}"));
    let (status, _, errors) = run(&root, &["practice", "flap-roll"]);
    assert_eq!((status, errors.as_str()), (0, ""));
    fs::remove_file(root.join("handed-in/rosemary.toml"))?;
    let keys = names(&root.join("keys/week-1"));
    for name in keys.iter().filter(|name| name.starts_with("key-") && name.ends_with(".toml")) {
        let key = fs::read_to_string(root.join("keys/week-1").join(name))?;
        // A wrong answer in each third, so that there is something to be explained.
        let is_wrong = name.contains("3-sedge");
        let text = if is_wrong { key.replace("cut_width = \"", "cut_width = \"1") } else { key };
        write(&root, &format!("handed-in/{name}"), text);
    }
    let mut tab = open_tab();
    open(&mut tab, &root.join("desk.html"), 1280)?;
    // The class is on the desk already; then the answers come.
    let rest: Vec<_> = ["class.toml", "roster.csv", "exercises", "keys"].map(|name| root.join(name)).into();
    let set_up = dir.path().join("set-up");
    for (name, bytes) in
        files(&root).into_iter().filter(|(name, _)| rest.iter().any(|it| root.join(name).starts_with(it)))
    {
        write(&set_up, &name, bytes);
    }
    drop_on(&mut tab, &[&set_up])?;
    tab.evaluate(
        "document.querySelector('.told').replaceChildren(); globalThis.begun = 0; \
        document.addEventListener('drop', () => (globalThis.begun = performance.now()), true)",
    )?;
    let told = drop_on(&mut tab, &[&root.join("handed-in")])?;
    assert!(told.starts_with("300 files are on the desk"), "{told}");
    let read = tab.evaluate("performance.now() - begun")?;
    let mut times = Vec::new();
    for _ in 0..3 {
        let took = tab.evaluate(
            "(async () => { const start = performance.now(); await trial.press('Mark what was handed in'); \
             await trial.page('marked/index.html'); return performance.now() - start; })()",
        )?;
        times.extend(took.as_f64());
    }
    let (read, took) = (read.as_f64().unwrap_or(f64::NAN), times.iter().copied().fold(f64::NAN, f64::min));
    println!("300 sheets: read in {read:.0} ms, marked and shown in {took:.0} ms; aim: {AIM} ms");
    run(&root, &["check"]);
    assert_eq!(differing(&saved(&mut tab)?, &root, "marked"), [] as [&str; 0]);
    assert!(read + took < 5.0 * AIM, "{read} and {took} ms");
    Ok(())
}

#[test]
fn a_set_is_that_of_the_command_and_paper_is_typed_in() -> Result<()> {
    let dir = folder();
    run(dir.path(), &["start", "class"]);
    let root = dir.path().join("class");
    let mut tab = open_tab();
    open(&mut tab, &root.join("desk.html"), 1280)?;
    drop_on(&mut tab, &[&root])?;
    tab.evaluate("trial.press('Set practice')")?;
    let sheets = tab.evaluate("trial.page('sheets/week-1/sheets.html').then((page) => page.body.textContent)")?;
    assert!(
        ["Rosemary", "Sorrel", "Tansy"].iter().all(|name| sheets.as_str().is_some_and(|it| it.contains(name))),
        "{sheets}"
    );
    run(&root, &["practice"]);
    let by_desk = saved(&mut tab)?;
    for place in ["sheets", "keys"] {
        assert_eq!(differing(&by_desk, &root, place), [] as [&str; 0]);
    }

    // What stands on a sheet of paper, as its key has it.
    let key: toml::Table = fs::read_to_string(root.join("keys/week-1/key-02-sorrel.toml"))?.parse()?;
    let answers: BTreeMap<&String, &str> = key["answer"]
        .as_table()
        .into_iter()
        .flatten()
        .filter_map(|(step, text)| Some((step, text.as_str()?)))
        .collect();
    tab.evaluate(&format!(
        "(async () => {{ const select = trial.field('Which sheet'); \
         select.value = [...select.options].find((one) => one.textContent.includes('Sorrel')).value; \
         select.dispatchEvent(new Event('change')); \
         for (const [step, text] of Object.entries({})) {{ \
           const input = await trial.until(() => document.querySelector(`[data-key=\"${{step}} 0\"]`), step); \
           input.value = text; for (const kind of ['input', 'change', 'blur']) input.dispatchEvent(new Event(kind)); }} \
         await trial.press('Put it with what was handed in'); \
         return (await trial.until(() => /lies in (\\S+)\\./.exec(trial.part('Type in a sheet of paper').textContent), 'typed'))[1]; }})()",
        serde_json::to_string(&answers)?
    ))?;
    tab.evaluate("trial.press('Mark what was handed in')")?;
    tab.evaluate("trial.page('marked/index.html').then(() => {})")?;
    let by_desk = saved(&mut tab)?;
    let book = String::from_utf8(by_desk["marked/gradebook.csv"].clone())?;
    assert!(
        book.lines().any(|line| line.starts_with("Sorrel,") && line.contains(&format!(",{}", answers.len()))),
        "{book}"
    );
    // The command finds the same in what was saved.
    let typed: Vec<&String> = by_desk.keys().filter(|name| name.contains("typed-in")).collect();
    assert_eq!(typed, ["handed-in/typed-in/week-1/sorrel-napkin-roll.toml"]);
    write(&root, typed[0], &by_desk[typed[0]]);
    run(&root, &["check"]);
    assert_eq!(differing(&by_desk, &root, "marked"), [] as [&str; 0]);
    assert_eq!(tab.errors, [] as [&str; 0]);
    Ok(())
}

/// As an instructor would who has nothing but the page: a roster, a set, paper, marks, the archive; and the week after.
#[test]
fn a_class_is_run_from_beginning_to_end() -> Result<()> {
    let dir = folder();
    run(dir.path(), &["start", "made"]);
    let desk = dir.path().join("desk.html");
    fs::copy(dir.path().join("made/desk.html"), &desk)?;
    write(dir.path(), "people.csv", "student;id\r\nSorrel;3\r\nSorrel;9\r\nMüllerkraut;\r\n");
    let mut tab = open_tab();
    open(&mut tab, &desk, 360)?;
    tab.choose_files("document.querySelector('input[accept]')", &[&dir.path().join("people.csv")])?;
    tab.evaluate("trial.taken()")?;
    tab.evaluate(
        "(async () => { for (const label of ['Sleeve', 'Patch pocket']) trial.field(label).click(); \
         await trial.press('Set practice'); const page = await trial.page('sheets/week-1/sheets.html'); \
         const frame = document.querySelector('iframe'); frame.contentWindow.print = () => (globalThis.printed = true); \
         await trial.press('Print this page'); if (!globalThis.printed) throw new Error('not printed'); })()",
    )?;
    let typed = "(async () => { const select = trial.field('Which sheet'); \
         select.value = [...select.options].find((one) => one.textContent.includes('(9), sleeve')).value; \
         select.dispatchEvent(new Event('change')); \
         const input = await trial.until(() => document.querySelector('.foldmark-sheet input'), 'a line'); \
         input.value = '4 1/2 in'; for (const kind of ['input', 'change', 'blur']) input.dispatchEvent(new Event(kind)); \
         await trial.press('Put it with what was handed in'); \
         await trial.until(() => [...trial.field('Which sheet').options].some((one) => one.textContent.endsWith('typed in')), 'typed'); })()";
    tab.evaluate(typed)?;
    tab.evaluate("trial.press('Mark what was handed in').then(() => trial.page('marked/index.html')).then(() => {})")?;
    let (first, archive) = saved_as(&mut tab)?;
    assert_eq!(tab.errors, [] as [&str; 0]);

    // Unpacked, it is a folder that the command finds the same in.
    let root = dir.path().join("class");
    first.iter().for_each(|(name, bytes)| write(&root, name, bytes));
    let (_, _, errors) = run(&root, &["check", "--force"]);
    assert!(errors.contains("missing: Sorrel (3), Müllerkraut"), "{errors}");
    assert_eq!(differing(&first, &root, "marked"), [] as [&str; 0]);
    run(&root, &["practice", "--level", "2", "zip-pouch"]);

    // The week after, everything is there again.
    let kept = dir.path().join("class.zip");
    fs::write(&kept, archive)?;
    open(&mut tab, &desk, 1280)?;
    let told = drop_on(&mut tab, &[&kept])?;
    assert!(told.starts_with("1 file is on the desk"), "{told}");
    tab.evaluate(
        "(async () => { for (const one of document.querySelectorAll('.boxes input:checked')) one.click(); \
         trial.field('Flat pouch').click(); const level = trial.field('Level'); level.value = '2'; \
         level.dispatchEvent(new Event('change')); await trial.press('Set practice'); \
         await trial.page('sheets/week-2/sheets.html'); })()",
    )?;
    let (second, _) = saved_as(&mut tab)?;
    for place in ["sheets", "keys", "marked", "handed-in"] {
        assert_eq!(differing(&second, &root, place), [] as [&str; 0]);
    }
    assert_eq!(tab.errors, [] as [&str; 0]);
    Ok(())
}

/// From a telephone to a desk, by day and by night: nothing is wider than the window, everything that is pressed is large
/// enough, and axe-core finds nothing. With `FOLDMARK_PICTURES` naming a folder, pictures are put there for someone to look at.
#[test]
fn it_is_sound_at_every_width() -> Result<()> {
    let dir = folder();
    let root = dir.path().join("class");
    class_with_answers(&root);
    for (width, scheme) in WIDTHS.iter().flat_map(|width| ["light", "dark"].map(|scheme| (*width, scheme))) {
        // In a tab of its own: who leaves one with something unsaved is asked about it, and nobody would answer.
        let mut axe = Axe::new();
        let tab = &mut axe.tab;
        tab.prefer(scheme)?;
        open(tab, &root.join("desk.html"), width)?;
        drop_on(tab, &[&root])?;
        tab.evaluate("trial.press('Mark what was handed in')")?;
        tab.evaluate("trial.page('marked/index.html').then(() => {})")?;
        tab.evaluate(
            "(async () => { const select = trial.field('Which sheet'); select.value = '1'; \
             select.dispatchEvent(new Event('change')); \
             await trial.until(() => document.querySelector('.foldmark-sheet svg'), 'a figure'); \
             for (const one of document.querySelectorAll('details')) one.open = true; })()",
        )?;
        let wide = tab.evaluate("[document.documentElement.scrollWidth, innerWidth]")?;
        assert!(wide[0].as_f64() <= wide[1].as_f64(), "{width} {scheme}: {wide}");
        let small = tab.evaluate(
            "[...document.querySelectorAll('button, select, input:not([type=checkbox]):not([type=file])')] \
             .filter((one) => one.checkVisibility() && one.getBoundingClientRect().height < 43.5).map((one) => one.outerHTML)",
        )?;
        assert_eq!(small, serde_json::json!([]), "{width} {scheme}");
        if let Some(place) = env::var_os("FOLDMARK_PICTURES") {
            fs::write(Path::new(&place).join(format!("desk-{width}-{scheme}.png")), tab.picture()?)?;
        }
        assert_eq!(tab.errors, [] as [&str; 0], "{width} {scheme}");
        assert_eq!(axe.look(Kind::Practice)?, [] as [&str; 0], "{width} {scheme}");
    }
    Ok(())
}

/// Files of strangers: what is no answer is told of, and the desk goes on.
#[test]
fn hostile_files_are_refused_with_a_sentence() -> Result<()> {
    let dir = folder();
    run(dir.path(), &["start", "class"]);
    let root = dir.path().join("class");
    let mut tab = open_tab();
    open(&mut tab, &root.join("desk.html"), 1280)?;
    drop_on(&mut tab, &[&root])?;
    let sent = dir.path().join("sent");
    write(
        &sent,
        "<img src=x onerror=alert(1)>.toml",
        "exercise = \"<script>alert(1)</script>\"\nstudent = \"<b>x</b>\"\n",
    );
    write(&sent, "nested.toml", format!("a = {}{}", "[".repeat(100_000), "]".repeat(100_000)));
    write(&sent, "long.toml", "a".repeat(2 << 20));
    write(&sent, "no-spreadsheet.xlsx", b"PK\x03\x04 nothing");
    tab.evaluate("document.querySelector('.told').replaceChildren()")?;
    let told = drop_on(&mut tab, &[&sent])?;
    // From a folder that is dropped Chromium gives a page that lies in a folder no file of such a name, and the page says so.
    assert!(told.starts_with("3 files are on the desk") && told.contains("passes over files"), "{told}");
    tab.evaluate("document.querySelector('.told').replaceChildren()")?;
    tab.choose_files("document.querySelector('input[webkitdirectory]')", &[&sent])?;
    let told = tab.evaluate("trial.taken()")?;
    assert!(told.as_str().is_some_and(|told| told.starts_with("4 files are on the desk")), "{told}");
    tab.evaluate("trial.press('Mark what was handed in')")?;
    tab.evaluate("trial.page('marked/index.html').then(() => {})")?;
    let told = tab.evaluate("trial.part('Mark').textContent")?;
    let told = told.as_str().unwrap_or_default();
    for says in
        ["nested.toml: ", "long.toml: the file has 2.1 MB", "can't be read as a spreadsheet", "onerror=alert(1)"]
    {
        assert!(told.contains(says), "{says}: {told}");
    }
    let inside =
        tab.evaluate("trial.page('marked/index.html').then((page) => page.querySelectorAll('script, img').length)")?;
    assert_eq!((inside, tab.evaluate("document.querySelectorAll('b, img').length")?), (0.into(), 0.into()));
    write(dir.path(), "big.csv", "x".repeat(17 << 20));
    tab.evaluate("document.querySelector('.told').replaceChildren()")?;
    let told = drop_on(&mut tab, &[&dir.path().join("big.csv")])?;
    assert!(told.contains("at most 16 MB are read"), "{told}");
    assert_eq!(tab.errors, [] as [&str; 0]);
    Ok(())
}
