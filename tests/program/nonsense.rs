//! Twice as much nonsense takes about twice the work to refuse, and not four times. The work is counted in bytes that are
//! allocated: on a busy machine a clock tells nothing. `cargo bench` has the times.

use super::command::SHEET;
use foldmark::check::{mark, read_answers};
use foldmark::draft::{Givens, Raw};
use foldmark::exercise::{Exercise, Shelf, read};
use foldmark::length::{Length, Ruler};

/// Holds the work for twice as much of something against the work for it once.
fn grows_evenly(what: &str, much: usize, refuse: impl Fn(usize)) {
    let [once, twice] = [much, 2 * much].map(|much| allocation_counter::measure(|| refuse(much)).bytes_total);
    assert!(once > 0 && twice < 3 * once, "{what}: {once} bytes, and {twice} for twice as much");
}

fn keys(count: usize) -> String {
    (0..count).map(|at| format!("k{at}=1\n")).collect()
}

/// Nothing of the sheet is marked, or something of it is told as a fault.
fn is_refused(exercise: &Exercise, sheet: &str) {
    let faults = read_answers(sheet).and_then(|sheet| mark(exercise, &sheet).map(|marked| marked.faults));
    assert!(faults.is_err() || faults.is_ok_and(|faults| !faults.is_empty()));
}

#[test]
fn answer_files() {
    let shelf = Shelf::shipped();
    let roll = shelf.get("flap-roll").unwrap();
    let nonsense: &[(&str, &dyn Fn(usize) -> String)] = &[
        ("the same key", &|much| "a=1\n".repeat(much)),
        ("no keys", &|much| "=\n".repeat(much)),
        ("keys of answers", &|much| format!("{SHEET}{}", keys(much))),
        ("keys of a row", &|much| SHEET.replace("[[given.objects]]\n", &format!("[[given.objects]]\n{}", keys(much)))),
        ("keys of givens", &|much| SHEET.replace("[given]\n", &format!("[given]\n{}", keys(much)))),
    ];
    for (what, text) in nonsense {
        grows_evenly(what, 5_000, |much| is_refused(roll, &text(much)));
    }
    let start = SHEET.split("slot").next().unwrap();
    grows_evenly("answers to one step", 5_000, |much| {
        is_refused(roll, &format!("{start}slot = [{}]\n", "\"1\",".repeat(much)));
    });
}

#[test]
fn givens_and_lengths() {
    let shelf = Shelf::shipped();
    let roll = shelf.get("flap-roll").unwrap();
    grows_evenly("rows", 2_000, |much| {
        let mut raw = Raw::default();
        for _ in 0..much {
            raw.add("objects=name: chisel, length: 9 in, girth: 3 in, count: 4").unwrap();
        }
        assert!(Givens::read(roll, &raw, None, Ruler::EIGHTH).is_err());
    });
    grows_evenly("digits", 50_000, |much| assert!(Length::read(&"9".repeat(much), None).is_err()));
}

#[test]
fn exercise_files() {
    let step = |at: usize| format!("[[step]]\nname = \"s{at}\"\ntitle = \"S\"\nwhy = \"W\"\nvalue = \"1 in\"\n");
    let head = "title = \"A\"\nteaches = \"B\"\n";
    let is_refused = |text: &str| assert!(read("mine", text).is_err());
    grows_evenly("steps", 1_500, |much| {
        is_refused(&(head.to_owned() + &(0..much).map(step).collect::<String>()));
    });
    grows_evenly("marks", 2_500, |much| {
        let marks = r#"{ spot = ["1 in", "1 in"] },"#.repeat(much);
        is_refused(&format!("{head}{}draw = [{marks}]\n", step(0)));
    });
    // Refused from what is written, before anything is worked: a list within a list, so many deep.
    grows_evenly("a list within a list", 15, |depth| {
        let (open, close) = ("sum(parts.width * count(parts.width) + ".repeat(depth), ")".repeat(depth));
        is_refused(&format!(
            "{head}[[given]]\nname = \"parts\"\ntitle = \"Parts\"\nrows = [1, 1000]\n\
             columns = [{{ name = \"width\", title = \"w\", kind = \"length\", range = [\"1 in\", \"9 in\"] }}]\n\
             {}",
            step(0).replace("1 in", &format!("{open}parts.width{close}"))
        ));
    });
}
