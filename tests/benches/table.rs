//! What marking a table costs, compared with merely reading it, and whether its length shows in the memory.

use foldmark::check::table_columns;
use foldmark::draft::Draft;
use foldmark::exercise::{Exercise, Shelf};
use foldmark::length::{Length, Ruler, Unit};
use foldmark::practice::set;
use std::fmt::Write;
use std::fs;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// Prints how long it takes and how much memory; `is_trial` only sees whether it runs.
pub fn print(is_trial: bool) {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let (class, grades) = (dir.path().join("class.csv"), dir.path().join("grades.csv"));
    let (rows, turns) = if is_trial { (1_000, 1) } else { (100_000, 15) };
    write_class(&class, rows);
    // Turn by turn, so that whatever else the machine does falls on both alike.
    let mut times: Vec<[Duration; 3]> = Vec::new();
    for _ in 0..turns {
        times.push([timed(|| read(&class)), timed(|| read_again(&class)), timed(|| grade(&class, &grades))]);
    }
    let [read, again, graded] = [0, 1, 2].map(|what| {
        let mut times: Vec<Duration> = times.iter().map(|turn| turn[what]).collect();
        times.sort();
        times[times.len() / 2]
    });
    let ratio = |read: Duration| graded.as_secs_f64() / read.as_secs_f64();
    println!("a table of {rows} rows, medians of {turns} turns:");
    println!("  read by the csv crate, a StringRecord each    {read:.1?}");
    println!("  the same, into one StringRecord               {again:.1?}");
    println!(
        "  marked, from the command to the gradebook     {graded:.1?}: {:.2} and {:.2} times as long",
        ratio(read),
        ratio(again)
    );
    for rows in if is_trial { [100, 1_000] } else { [10_000, 200_000] } {
        write_class(&class, rows);
        let peak = most_memory(start(&class, &grades));
        println!("  most memory for {rows} rows                   {:.1} MB", f64::from(peak) / 1024.0);
    }
}

fn timed(work: impl FnOnce()) -> Duration {
    let begun = Instant::now();
    work();
    begun.elapsed()
}

fn read(class: &Path) {
    let records = csv::Reader::from_path(class).expect("it was just written").into_records();
    let fields: usize = records.map(|record| record.expect("it is sound").len()).sum();
    assert!(fields > 0);
}

fn read_again(class: &Path) {
    let mut reader = csv::Reader::from_path(class).expect("it was just written");
    let mut record = csv::StringRecord::new();
    let mut fields = 0;
    while reader.read_record(&mut record).expect("it is sound") {
        fields += record.len();
    }
    assert!(fields > 0);
}

fn start(class: &Path, grades: &Path) -> Child {
    let _ = fs::remove_file(grades);
    let arguments = ["check".as_ref(), class.as_os_str(), "--gradebook".as_ref(), grades.as_os_str()];
    let mut command = Command::new(env!("CARGO_BIN_EXE_foldmark"));
    command.args(arguments).stdout(Stdio::null()).stderr(Stdio::null()).spawn().expect("the command runs")
}

fn grade(class: &Path, grades: &Path) {
    start(class, grades).wait().expect("it ends");
    assert!(grades.is_file(), "there is a gradebook");
}

/// How much memory a command takes at most, in kilobytes, as far as the system says.
fn most_memory(mut child: Child) -> u32 {
    let status = format!("/proc/{}/status", child.id());
    let mut peak = 0;
    while child.try_wait().expect("it ends").is_none() {
        let text = fs::read_to_string(&status).unwrap_or_default();
        let line = text.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        peak = peak.max(line.and_then(|line| line.trim().trim_end_matches(" kB").parse().ok()).unwrap_or(0));
        std::thread::sleep(Duration::from_millis(1));
    }
    peak
}

/// A class that drafts rolls for objects of its own, each with one answer in twenty an inch too long.
fn write_class(path: &Path, rows: usize) {
    let shelf = Shelf::shipped();
    let roll = shelf.get("flap-roll").expect("shipped");
    let columns = table_columns(roll, 3);
    let problems = set(roll, Ruler::EIGHTH, 200, 7).expect("there are so many");
    let mut text = columns.join(",") + "\n";
    for row in 0..rows {
        let draft = &problems[row % problems.len()].draft;
        for (at, column) in columns.iter().enumerate() {
            let is_wrong = (row * 31 + at * 7) % 97 < 5;
            let gap = if at == 0 { "" } else { "," };
            // Writing to a String can't fail.
            let _ = write!(text, "{gap}{}", field(roll, draft, column, row, is_wrong));
        }
        text.push('\n');
    }
    fs::write(path, text).expect("it can be written");
}

fn field(roll: &Exercise, draft: &Draft, column: &str, row: usize, is_wrong: bool) -> String {
    let parts: Vec<&str> = column.split('.').collect();
    let given = |name: &str, at: usize| {
        let slot = roll.scope.slot(name).expect("a given");
        let is_there = at < draft.measures.count(roll, slot);
        is_there.then(|| draft.givens.text(roll, slot, at)).flatten().unwrap_or_default()
    };
    let answer = |name: &str, at: usize| {
        let step = roll.step(name).expect("a step");
        if at >= draft.rows(step) {
            return String::new();
        }
        let right = draft.measures.length(step.slot, at).expect("a length");
        let wrong = Length::of(i64::from(is_wrong), Unit::Inch);
        draft.givens.ruler.write_exactly(right + wrong)
    };
    let number = |text: &str| text.parse::<usize>().expect("a row") - 1;
    match parts[..] {
        ["student"] => format!("Clover {row}"),
        ["id"] => row.to_string(),
        ["exercise"] => roll.name.clone(),
        ["version"] => roll.version.to_string(),
        ["unit"] => "in".to_owned(),
        ["ruler"] => "1/8 in".to_owned(),
        ["given", name] => given(name, 0),
        ["given", "objects", at, "name"] => draft.givens.row_names[0].get(number(at)).cloned().unwrap_or_default(),
        ["given", table, at, name] => given(&format!("{table}.{name}"), number(at)),
        ["answer", name] => answer(name, 0),
        ["answer", name, at] => answer(name, number(at)),
        _ => String::new(),
    }
}
