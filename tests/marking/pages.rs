//! The pages that come out of marking: what they say, what they must not say, and that nobody's name can break them.

use super::demo_class::{names, sheet};
use foldmark::check::{
    AnswerSheet, ClassTally, MarkedSheet, Marker, answer_file, class_page, feedback_page, mark, read_answers,
};
use foldmark::class::{Policy, Show};
use foldmark::draft::{Draft, Givens, Raw};
use foldmark::exercise::{GivenKind, Shelf, StepId, StepRule};
use foldmark::figure;
use foldmark::formula::{Base, Values};
use foldmark::length::{Length, Ruler};
use foldmark::practice::set;
use rayon::prelude::*;
use std::collections::BTreeSet;

/// A page without its style sheet, and with each drawing told in words.
fn in_short(page: &str) -> String {
    let (head, rest) = page.split_once("<style>").unwrap();
    let (_, rest) = rest.split_once("</style>").unwrap();
    let mut short = format!("{head}<style>…</style>");
    let mut rest = rest;
    while let Some(start) = rest.find("<svg") {
        let end = start + rest[start..].find("</svg>").unwrap() + "</svg>".len();
        let drawing = &rest[start..end];
        let part = |name: &str| Some(drawing.split_once(&format!(" {name}=\""))?.1.split_once('"')?.0);
        short += &rest[..start];
        short += &match (part("aria-label"), part("aria-description")) {
            (Some(title), Some(told)) => format!("[drawing: {title} | {told}]"),
            _ => "[line]".to_owned(),
        };
        rest = &rest[end..];
    }
    short + rest
}

fn demo_class(shelf: &Shelf) -> ClassTally {
    let mut class = ClassTally::default();
    for name in names() {
        let sheet = sheet(&name);
        class.count(&mark(shelf.get(&sheet.exercise).unwrap(), &sheet).unwrap());
    }
    class
}

#[test]
fn pages_of_the_demo_class() {
    let shelf = Shelf::shipped();
    for (name, show) in
        [("bryony", Show::Full), ("rosemary", Show::Full), ("mullein", Show::Coach), ("vetch", Show::Marks)]
    {
        let sheet = sheet(name);
        let marked = mark(shelf.get(&sheet.exercise).unwrap(), &sheet).unwrap();
        insta::assert_snapshot!(format!("{name}_{show:?}").to_lowercase(), in_short(&feedback_page(&marked, show)));
    }
    let names = names();
    let page =
        class_page(&demo_class(&shelf), "Thursday evening", &|line| Some(format!("feedback/{}.html", names[line])));
    insta::assert_snapshot!("class", in_short(&page));
}

#[test]
fn the_same_sheets_give_the_same_bytes() {
    let pages = || {
        let shelf = Shelf::shipped();
        let student = |name: &String| {
            let sheet = sheet(name);
            let marked = mark(shelf.get(&sheet.exercise).unwrap(), &sheet).unwrap();
            Show::ALL.map(|(_, show)| feedback_page(&marked, show))
        };
        let mut pages: Vec<String> = names().iter().flat_map(student).collect();
        pages.push(class_page(&demo_class(&shelf), "Thursday", &|line| Some(format!("{line}.html"))));
        pages
    };
    let (one, other) = (pages(), pages());
    assert_eq!(one.len(), 55);
    assert!(one == other);
}

// ---------------------------------------------------------------- what coach and marks must not say

/// Numbers that look random and are the same every time.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) % sides.max(1) as u64) as usize
    }
}

/// A text's numbers in order, each with whether a unit follows: 12 1/2, 12-1/2, 5/8, 31.8 and 31,8 are one number each.
fn numbers(text: &str) -> Vec<(f64, bool)> {
    let text = text.replace(['\u{a0}', '-'], " ");
    let letters: Vec<char> = text.chars().collect();
    let digits = |mut at: usize| {
        let start = at;
        while letters.get(at).is_some_and(char::is_ascii_digit) {
            at += 1;
        }
        (at > start).then(|| (letters[start..at].iter().collect::<String>().parse::<f64>().unwrap(), at))
    };
    let fraction = |at: usize| {
        let (top, at) = digits(at)?;
        let (bottom, at) = letters.get(at).filter(|letter| **letter == '/').and_then(|_| digits(at + 1))?;
        Some((top / bottom, at))
    };
    let mut numbers = Vec::new();
    let mut at = 0;
    while at < letters.len() {
        if !letters[at].is_ascii_digit() {
            at += 1;
            continue;
        }
        let read = fraction(at).or_else(|| {
            let (whole, end) = digits(at)?;
            if let Some((part, end)) = letters.get(end).filter(|letter| **letter == ' ').and_then(|_| fraction(end + 1))
            {
                return Some((whole + part, end));
            }
            let decimals = letters.get(end).filter(|letter| matches!(**letter, '.' | ','));
            if let Some((part, last)) = decimals.and_then(|_| digits(end + 1)) {
                return Some((whole + part / 10_f64.powi((last - end - 1) as i32), last));
            }
            Some((whole, end))
        });
        let (value, end) = read.expect("a digit begins a number");
        let rest: String = letters[end..].iter().take(4).collect();
        let rest = rest.trim_start();
        let has_unit = ["in", "cm", "mm", "ft", "yd", "m ", "\"", "'"].iter().any(|unit| rest.starts_with(unit));
        numbers.push((value, has_unit));
        at = end;
    }
    numbers
}

#[test]
fn numbers_are_found_as_they_are_written() {
    let found = numbers("12 1/2 in, 5/8\", 31,8 cm; 2 of 18, 13-1/4 or 6.");
    let expected =
        [(12.5, true), (0.625, true), (31.8, true), (2.0, false), (18.0, false), (13.25, false), (6.0, false)];
    assert_eq!(found, expected);
}

/// The text that a page shows or tells, without markup.
fn text_of(page: &str) -> String {
    let (head, rest) = page.split_once("<style>").unwrap();
    let (_, body) = rest.split_once("</style>").unwrap();
    let mut text = String::new();
    for part in [head, body] {
        let mut rest = part;
        // Up to the next tag, and on behind it.
        while let Some((before, after)) = rest.split_once('<') {
            let (tag, after) = after.split_once('>').unwrap_or((after, ""));
            text += before;
            // What is only heard can be read, too.
            for key in [" aria-label=\"", " aria-description=\""] {
                let told = tag.split_once(key).and_then(|(_, rest)| rest.split_once('"'));
                text.push('\n');
                text += told.map_or("", |(told, _)| told);
            }
            text.push('\n');
            rest = after;
        }
        text += rest;
    }
    text.replace("&apos;", "'")
        .replace("&lt;", "<")
        .replace("&gt;", ">")
        .replace("&quot;", "\"")
        .replace("&#39;", "'")
        .replace("&amp;", "&")
}

/// Values as they are compared, to a millionth.
fn millionths(value: f64) -> i64 {
    (value * 1e6).round() as i64
}

/// The numbers that a page may show: lengths, and others.
struct Allowed {
    lengths: BTreeSet<i64>,
    others: BTreeSet<i64>,
}

impl Allowed {
    /// What the exercise's own text, the program's and the student's say.
    fn new(sheet: &AnswerSheet, marked: &MarkedSheet) -> Allowed {
        let exercise = marked.truth.exercise;
        let mut texts: Vec<String> =
            vec![exercise.title.clone(), "like 12 1/2 in or 31.8 cm; write 1250 or 1.25".to_owned()];
        for step in &exercise.steps {
            texts.extend([step.title.clone(), step.short.clone(), step.nudge.clone()]);
            if let StepRule::Within { limits, .. } = &step.rule {
                texts.extend(limits.iter().map(|limit| limit.why.clone()));
            }
        }
        texts.extend(exercise.slips.iter().map(|slip| slip.says.clone()));
        texts.extend(exercise.cautions.iter().map(|caution| caution.says.clone()));
        let given = &sheet.given;
        texts.extend(given.singles.iter().map(|entry| entry.text.clone()));
        for row in given.tables.iter().flat_map(|(_, rows)| rows) {
            texts.push(row.name.clone());
            texts.extend(row.cells.iter().map(|cell| cell.text.clone()));
        }
        texts.extend(sheet.answers.iter().flat_map(|answer| &answer.values).map(|value| value.text.clone()));
        // What is said of the ruler, and of the form in which numbers were written.
        texts.push(marked.truth.givens.ruler.to_string());
        texts.extend(marked.remarks.iter().cloned());
        let lengths: BTreeSet<i64> =
            texts.iter().flat_map(|text| numbers(text)).map(|(value, _)| millionths(value)).collect();
        let counts = (0..=marked.cells.len()).map(|count| millionths(count as f64));
        let counted = [marked.points, marked.out_of].map(|points| i64::from(points.hundredths()) * 10_000);
        let version = millionths(f64::from(exercise.version));
        Allowed { others: lengths.iter().copied().chain(counts).chain(counted).chain([version]).collect(), lengths }
    }

    /// The numbers of a page that it should not have.
    fn leaks(&self, page: &str) -> Vec<(f64, bool)> {
        let is_leak = |(value, has_unit): &(f64, bool)| {
            let known = if *has_unit { &self.lengths } else { &self.others };
            !known.contains(&millionths(*value))
        };
        numbers(&text_of(page)).into_iter().filter(is_leak).collect()
    }
}

/// A value as a student would write it.
fn written(base: Base, value: f64, ruler: Ruler) -> String {
    match Length::from_nm_f64(value.abs()) {
        Some(length) if base == Base::Length => ruler.write_exactly(length),
        _ => format!("{}", value.round()),
    }
}

/// Makes answers wrong in the ways in which they are.
fn spoil(sheet: &mut AnswerSheet, draft: &Draft, dice: &mut Dice) {
    let exercise = draft.exercise;
    let ruler = draft.givens.ruler;
    for answer in &mut sheet.answers {
        let index = exercise.steps.position(|step| step.name == answer.step).unwrap();
        let step = &exercise.steps[index];
        let slips: Vec<_> = exercise.slips.iter().filter(|slip| slip.step == index).collect();
        for (row, value) in answer.values.iter_mut().enumerate() {
            let right = draft.measures.value(step.slot, row).unwrap();
            let ticks = ruler.tick().as_nm_f64() * (2 + dice.roll(40)) as f64;
            let wrong = match dice.roll(18) {
                0 => right + ticks,
                1 => (right - ticks).abs(),
                2 => right * 2.0,
                3 => right / 2.0,
                4 => right * 30.0,
                5 | 6 if !slips.is_empty() => {
                    slips[dice.roll(slips.len())].used.evaluate(&draft.measures, Some(row)).unwrap_or(f64::NAN)
                }
                7 => {
                    let other = &exercise.steps[StepId(dice.roll(exercise.steps.len()))];
                    draft.measures.value(other.slot, 0).unwrap()
                }
                8 => {
                    value.text = ["", "about 5", "1,250 mm", "five", "7 or 8 in"][dice.roll(5)].to_owned();
                    continue;
                }
                _ => continue,
            };
            value.text = written(step.kind.base, if wrong.is_finite() { wrong } else { ticks }, ruler);
        }
    }
}

/// The outline that a sheet's page may show: from the exercise's example, with the words that the student chose.
fn outline(marked: &MarkedSheet) -> Option<String> {
    let exercise = marked.truth.exercise;
    let ruler = exercise.usual_ruler(false);
    let mut like = Givens::read(exercise, &Raw::example(exercise), None, ruler).unwrap();
    for given in &exercise.givens {
        if let GivenKind::Choice { slot, .. } = given.kind {
            like.measures.set(slot, 0, marked.truth.measures.value(slot, 0).unwrap());
        }
    }
    let steps: Vec<_> = exercise.steps.keys().filter(|step| !marked.verdict(*step).earns()).collect();
    let blank = figure::blank(exercise, Some(&like), &steps)?;
    (!blank.letters.is_empty()).then(|| blank.figure.inline("draft"))
}

/// Every number on these pages is one that the student wrote or was given, or that the exercise tells everyone, or counts
/// answers, points and versions; and the drawing is made without the student's sheet.
#[test]
fn coach_and_marks_give_nothing_away() {
    let shelf = Shelf::shipped();
    let cases = shelf.iter().flat_map(|exercise| [Ruler::EIGHTH, Ruler::MILLIMETRE].map(|ruler| (exercise, ruler)));
    let cases: Vec<_> = cases.collect();
    let counts = cases.par_iter().enumerate().map(|(at, (exercise, ruler))| {
        let mut dice = Dice(5 + at as u64);
        let (mut sheets, mut drawn, mut full, mut told) = (0, 0, 0, 0);
        for problem in set(exercise, *ruler, 40, 17).unwrap() {
            let filled = read_answers(&answer_file(&problem.draft, "Hedge nettle", true)).unwrap();
            for _ in 0..3 {
                let mut sheet = filled.clone();
                spoil(&mut sheet, &problem.draft, &mut dice);
                let marked = mark(exercise, &sheet).unwrap_or_else(|faults| panic!("{}", faults[0]));
                let allowed = Allowed::new(&sheet, &marked);
                let outline = outline(&marked);
                for show in [Show::Coach, Show::Marks] {
                    let page = feedback_page(&marked, show);
                    let leaks = allowed.leaks(&page);
                    assert!(leaks.is_empty(), "{} {show:?}: {leaks:?} in\n{}", exercise.name, text_of(&page));
                    match &outline {
                        Some(outline) => {
                            assert!(page.contains(outline), "{}: another drawing", exercise.name);
                            assert_eq!(page.matches("<path").count(), outline.matches("<path").count());
                        }
                        None => assert!(!page.contains("<path"), "{}", exercise.name),
                    }
                }
                sheets += 1;
                drawn += usize::from(outline.is_some());
                // With everything told the same search finds something nearly always.
                if sheets % 5 == 0 {
                    full += 1;
                    told += usize::from(!allowed.leaks(&feedback_page(&marked, Show::Full)).is_empty());
                }
            }
        }
        [sheets, drawn, full, told]
    });
    let sum = |one: [usize; 4], other: [usize; 4]| std::array::from_fn(|at| one[at] + other[at]);
    let [sheets, drawn, full, told] = counts.reduce(|| [0; 4], sum);
    assert!(sheets > 3_000 && drawn * 10 > sheets * 8, "{sheets} sheets, {drawn} drawn");
    assert!(full > 600 && told * 10 > full * 9, "{told} of {full} told");
}

// ---------------------------------------------------------------- what a student may write

/// The elements of a page in order, each with the names of its attributes; values come apart.
fn structure(page: &str) -> (Vec<String>, Vec<(String, String)>) {
    let mut elements = Vec::new();
    let mut values = Vec::new();
    let mut rest = page;
    while let Some(start) = rest.find('<') {
        rest = &rest[start + 1..];
        let mut shape = String::new();
        let mut inside = rest;
        loop {
            let end =
                inside.find(['>', '"']).unwrap_or_else(|| panic!("a tag has no end: {}", &rest[..rest.len().min(80)]));
            shape += &inside[..end];
            let is_quoted = inside[end..].starts_with('"');
            inside = &inside[end + 1..];
            if !is_quoted {
                break;
            }
            let (value, after) = inside.split_once('"').unwrap();
            let name = shape.trim_end_matches('=').rsplit(' ').next().unwrap().to_owned();
            values.push((name, value.to_owned()));
            inside = after;
        }
        elements.push(shape);
        rest = inside;
    }
    (elements, values)
}

const HOSTILE: [&str; 9] = [
    "<script>alert(1)</script>",
    "\"><img src=x onerror=alert(1)>",
    "' onmouseover='alert(1)",
    "</title></style></svg><svg onload=alert(1)>",
    "javascript:alert(1)",
    "&lt;b&gt; &#60;script&#62;",
    "abc\u{202e}fdp.exe\u{2066}\u{200b}",
    "<!--",
    "]]>&amp;",
];

/// A sheet with the same text wherever a student can write one.
fn everywhere(text: &str) -> AnswerSheet {
    let mut sheet = sheet("bryony");
    sheet.student = text.to_owned();
    sheet.id = text.to_owned();
    for row in sheet.given.tables.iter_mut().flat_map(|(_, rows)| rows) {
        row.name = text.to_owned();
    }
    for (index, answer) in sheet.answers.iter_mut().enumerate() {
        if index % 3 == 0 {
            answer.values.iter_mut().for_each(|value| value.text = text.to_owned());
        }
        if index == 4 {
            answer.step = text.to_owned();
        }
    }
    sheet
}

#[test]
fn whatever_a_student_writes_is_shown_as_text() {
    let shelf = Shelf::shipped();
    let roll = shelf.get("flap-roll").unwrap();
    let pages = |text: &str| {
        let marked = mark(roll, &everywhere(text)).unwrap();
        let mut class = ClassTally::default();
        class.count(&marked);
        class.count(&marked);
        let mut pages: Vec<String> = Show::ALL.iter().map(|(_, show)| feedback_page(&marked, *show)).collect();
        pages.push(class_page(&class, text, &|line| {
            Some(if line == 0 { text.to_owned() } else { "a.html".to_owned() })
        }));
        pages
    };
    let plain: Vec<_> = pages("Betony Betony Betony").iter().map(|page| structure(page).0).collect();
    for text in HOSTILE {
        for (page, plain) in pages(text).iter().zip(&plain) {
            let (elements, values) = structure(page);
            // A hostile text may be too long for a column and be cut, and may be no link: nothing else changes.
            let bare = |elements: &[String]| -> Vec<String> {
                let kept =
                    |element: &&String| !element.starts_with("a ") && *element != "/a" && !element.contains("path");
                elements.iter().filter(kept).map(|element| element.replace("bdi title=", "bdi")).collect()
            };
            assert_eq!(bare(&elements), bare(plain), "{text}");
            for (name, value) in &values {
                assert!(!name.starts_with("on") && name != "src", "{name}={value}");
                assert!(name != "href" || value == "a.html", "{name}={value}");
            }
            assert!(!page.contains("<script") && !page.contains("<img") && !page.contains("javascript:alert(1)\""));
            let is_hidden = |letter: char| matches!(letter, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
            assert!(!page.contains(is_hidden), "{text}");
        }
    }
    let [page, ..] = &pages("<script>alert(1)</script>")[..] else { panic!() };
    assert!(page.contains("<h1><bdi>&lt;script&gt;alert(1)&lt;/script&gt;</bdi>"), "{page}");
    assert!(page.contains("<title>&lt;script&gt;alert(1)&lt;/script&gt;: Roll with a folding flap</title>"));
}

#[test]
fn a_very_long_name_is_cut() {
    let shelf = Shelf::shipped();
    let marked = mark(shelf.get("flap-roll").unwrap(), &everywhere(&"W".repeat(5_000))).unwrap();
    let mut class = ClassTally::default();
    class.count(&marked);
    for page in [feedback_page(&marked, Show::Full), class_page(&class, "", &|_| None)] {
        assert!(!page.contains(&"W".repeat(110)), "{page}");
        assert!(page.contains(&format!("{}…", "W".repeat(10))));
    }
}

// ---------------------------------------------------------------- what a class has laid down, and what it got wrong

#[test]
fn what_does_not_count_is_shown_as_such() {
    let shelf = Shelf::shipped();
    let policy = "[[exercise]]\nname = \"flap-roll\"\nsteps = [\"cut_width\", \"flap\"]\npoints = { cut_width = 3 }\n";
    let policy = Policy::read(policy, &shelf).unwrap();
    let marked = Marker::new(shelf.get("flap-roll").unwrap(), &policy).mark(&sheet("mullein")).unwrap();
    let page = feedback_page(&marked, Show::Coach);
    assert_eq!(page.matches("<small>does not count</small>").count(), 16, "{page}");
    assert!(page.contains("<bdi>Cut width</bdi> <small>3 points</small>"), "{page}");
    assert!(page.contains("<bdi>Flap</bdi> <small>1 point</small>"), "{page}");
    // The cut height is wrong as well, and nobody has to look at it again.
    assert!(page.contains("<b class=\"letter\">A</b> Cut width") && !page.contains("<b class=\"letter\">B</b>"));
    let mut class = ClassTally::default();
    class.count(&marked);
    let page = class_page(&class, "", &|_| None);
    assert_eq!(page.matches("<small>does not count</small>").count(), 16, "{page}");
    assert!(page.contains("<strong>1 of 1:</strong> The allowance was added once. There is a seam on both sides"));
    assert!(!page.contains("There is a seam at the base"), "{page}");
}

/// Two answers exchanged are one mistake in two steps, and whoever made it is counted once.
#[test]
fn a_mistake_is_counted_once_for_each_student() {
    let shelf = Shelf::shipped();
    let roll = shelf.get("flap-roll").unwrap();
    let mut class = ClassTally::default();
    for name in ["rosemary", "yarrow", "tansy"] {
        let mut sheet = sheet(name);
        if name != "yarrow" {
            let text = |step: &str| sheet.answers.iter().position(|answer| answer.step == step).unwrap();
            let (one, other) = (text("full_height"), text("tie_length"));
            let values = sheet.answers[one].values.clone();
            sheet.answers[one].values = std::mem::replace(&mut sheet.answers[other].values, values);
        }
        class.count(&mark(roll, &sheet).unwrap());
    }
    let common = class.exercises["flap-roll"].most_common();
    let step = |name: &str| roll.steps.position(|step| step.name == name).unwrap();
    assert_eq!(common[0].says, "Full height and tie length stand in each other's place.");
    // It is charged once: the length of the tie, and what follows from it, are right once that is put right.
    assert_eq!(common[0].steps, [step("full_height")]);
    assert_eq!(common[0].lines, [0, 2]);
    assert!(common.iter().all(|mistake| mistake.lines.len() <= 2));
    let page = class_page(&class, "", &|_| None);
    let told = "<strong>2 of 3:</strong> Full height and tie length stand in each other&#39;s place.";
    assert!(page.contains(told), "{page}");
}
