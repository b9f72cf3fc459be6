//! What holds for the course as a whole: links, exercises, homework, words.

use super::shared::files;
use foldmark::book::build_book;
use foldmark::check::read_answers;
use foldmark::exercise::{Shelf, Sign, shipped};
use mdbook_driver::MDBook;
use mdbook_markdown::pulldown_cmark::{CodeBlockKind, Event, Options, Parser, Tag, TagEnd};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use std::sync::LazyLock;

/// Chapters that are looked up, tell of the program, or are for instructors: their words are not measured, and they need no second unit.
const NO_LESSONS: [&str; 7] =
    ["SUMMARY.md", "authors.md", "class.md", "class-desk.md", "glossary.md", "sources.md", "true-size.md"];

/// The chapters by file name.
fn chapters() -> BTreeMap<String, String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("book");
    let files = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let chapters = files.filter(|path| path.extension().is_some_and(|ending| ending == "md"));
    chapters
        .map(|path| (path.file_name().unwrap().to_str().unwrap().to_owned(), fs::read_to_string(path).unwrap()))
        .collect()
}

fn lessons() -> BTreeMap<String, String> {
    chapters().into_iter().filter(|(name, _)| !NO_LESSONS.contains(&name.as_str())).collect()
}

/// The blocks of a chapter: what each asks for, and its body.
fn blocks(text: &str) -> Vec<(String, String)> {
    let mut found = Vec::new();
    let mut open: Option<(String, String)> = None;
    for event in Parser::new(text) {
        match event {
            Event::Start(Tag::CodeBlock(CodeBlockKind::Fenced(info))) => {
                open = info.strip_prefix("foldmark ").map(|word| (word.to_owned(), String::new()));
            }
            Event::Text(text) => open.iter_mut().for_each(|(_, body)| body.push_str(&text)),
            Event::End(TagEnd::CodeBlock) => found.extend(open.take()),
            _ => {}
        }
    }
    found
}

/// The running text of a chapter, a piece for each paragraph or item; a worked value counts as a short word.
fn paragraphs(text: &str) -> Vec<String> {
    let mut paragraphs = Vec::new();
    let (mut now, mut is_told) = (String::new(), true);
    for event in Parser::new_ext(text, Options::ENABLE_TABLES) {
        match event {
            Event::Start(Tag::CodeBlock(_) | Tag::Heading { .. } | Tag::Table(_)) => is_told = false,
            Event::End(TagEnd::CodeBlock | TagEnd::Heading(_) | TagEnd::Table) => is_told = true,
            Event::Text(text) if is_told => now.push_str(&text),
            Event::Code(_) if is_told => now.push_str("two"),
            Event::SoftBreak | Event::HardBreak => now.push(' '),
            Event::End(TagEnd::Paragraph | TagEnd::Item) => paragraphs.push(std::mem::take(&mut now)),
            _ => {}
        }
    }
    paragraphs.retain(|paragraph| !paragraph.trim().is_empty());
    paragraphs
}

#[test]
fn every_chapter_is_in_the_summary_and_every_exercise_has_its_lesson() {
    let chapters = chapters();
    for name in chapters.keys().filter(|name| *name != "SUMMARY.md") {
        assert!(chapters["SUMMARY.md"].contains(&format!("({name})")), "{name} is not in the summary");
    }
    let mut taught = BTreeSet::new();
    for text in chapters.values() {
        for (_, body) in blocks(text).iter().filter(|(word, _)| word == "draft") {
            let exercise =
                body.lines().find_map(|line| line.strip_prefix("exercise = ")).expect("a draft has an exercise");
            taught.insert(exercise.trim().trim_matches('"').to_owned());
        }
    }
    for (name, _) in shipped() {
        assert!(taught.contains(name), "there is no lesson on {name}");
    }
}

/// The chapters that set homework, authors' chapter aside: each teaches one exercise.
fn drafting_lessons() -> Vec<(String, String)> {
    lessons().into_iter().filter(|(_, text)| blocks(text).iter().any(|(word, _)| word == "homework")).collect()
}

/// The text of a key in a block's body.
fn key<'b>(body: &'b str, name: &str) -> Option<&'b str> {
    body.lines().find_map(|line| line.strip_prefix(name)?.strip_prefix(" = "))
}

#[test]
fn every_drafting_lesson_has_the_same_shape() {
    let shape = [
        "What you will be able to do",
        "What you need",
        "The worked draft",
        "What goes wrong",
        "Try it with other numbers",
        "Homework",
        "Take care",
    ];
    for (name, text) in drafting_lessons() {
        let headings: Vec<&str> = text.lines().filter_map(|line| line.strip_prefix("## ")).collect();
        assert_eq!(headings, shape, "{name}");
        let answers = text.split("## Try it with other numbers").nth(1).unwrap().matches("<details>").count();
        assert!(answers >= 2, "{name} has {answers} problems with an answer");
        let drawn = blocks(&text).iter().filter(|(word, _)| word == "wrong").count();
        assert!(drawn >= 2, "{name} draws {drawn} mistakes");
    }
}

#[test]
fn every_drafting_lesson_shows_every_step_and_every_slip() {
    let shelf = Shelf::shipped();
    let mut left_out = BTreeSet::new();
    for (name, text) in drafting_lessons() {
        let blocks = blocks(&text);
        let draft = blocks.iter().find(|(word, _)| word == "draft").unwrap();
        let exercise = shelf.get(key(&draft.1, "exercise").unwrap().trim_matches('"')).unwrap();
        let told_in = |word: &str, step: &str| {
            let quoted = format!("\"{step}\"");
            blocks.iter().filter(|(block, _)| block == word).any(|(_, body)| body.contains(&quoted))
        };
        for step in exercise.steps.iter().filter(|step| !told_in("step", &step.name)) {
            left_out.insert(format!("{name} does not work {}", step.name));
        }
        let wrong = exercise.slips.iter().map(|slip| &exercise.steps[slip.step].name);
        for step in wrong.filter(|step| !told_in("slips", step)) {
            left_out.insert(format!("{name} does not tell what goes wrong in {step}"));
        }
    }
    assert!(left_out.is_empty(), "{left_out:#?}");
}

#[test]
fn every_draft_has_its_twin_in_the_other_system() {
    for (name, text) in lessons() {
        for (_, body) in blocks(&text).iter().filter(|(word, _)| word == "draft") {
            assert!(body.contains("\n[metric]") || body.contains("\n[inch]"), "{name}: {body}");
        }
        assert!(!text.contains("<!-- wants"), "{name} waits for a figure");
    }
}

/// The built course, file by file: built once for all that look at it.
pub static BUILT: LazyLock<BTreeMap<String, Vec<u8>>> = LazyLock::new(|| {
    let out = tempfile::tempdir().unwrap();
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    build_book(root, Some(&out.path().join("pages"))).unwrap();
    files(&out.path().join("pages"))
});

/// Its pages by name.
fn pages() -> BTreeMap<&'static str, &'static str> {
    let pages = BUILT.iter().filter(|(place, _)| place.ends_with(".html") && !place.contains('/'));
    pages.map(|(name, bytes)| (name.as_str(), str::from_utf8(bytes).unwrap())).collect()
}

/// What stands in an attribute, wherever it stands in the page.
fn attributes<'p>(page: &'p str, name: &str) -> Vec<&'p str> {
    page.split(&format!(" {name}=\"")).skip(1).filter_map(|rest| rest.split('"').next()).collect()
}

#[test]
fn every_link_leads_somewhere_and_every_homework_can_be_read() {
    let pages = pages();
    let mut homework = 0;
    for (&name, &page) in &pages {
        let main = page.split("<main>").nth(1).and_then(|rest| rest.split("</main>").next()).unwrap_or_default();
        for link in attributes(main, "href") {
            if link.contains("://") || link.starts_with("mailto:") {
                continue;
            }
            // What lies beside the pages is no chapter.
            if link.starts_with("foldmark/") {
                assert!(BUILT.contains_key(link), "{name}: {link} leads nowhere");
                continue;
            }
            let (file, anchor) = link.split_once('#').unwrap_or((link, ""));
            let file = if file.is_empty() { name } else { file };
            let target = pages.get(file).unwrap_or_else(|| panic!("{name}: {link} leads nowhere"));
            // On the page for printing, the anchors of all chapters are joined.
            let is_there = anchor.is_empty() || attributes(target, "id").contains(&anchor);
            assert!(is_there, "{name}: {link} has no such place");
        }
        if name == "print.html" || name == "authors.html" {
            continue;
        }
        for code in main.split("<code class=\"language-toml").skip(1) {
            let body = code.split_once('>').and_then(|(_, rest)| rest.split_once("</code>")).unwrap().0;
            let text = body
                .replace("&quot;", "\"")
                .replace("&lt;", "<")
                .replace("&gt;", ">")
                .replace("&#39;", "'")
                .replace("&#x27;", "'")
                .replace("&amp;", "&");
            if !text.contains("[answer]") {
                continue;
            }
            let filled = text.replacen("student = \"\"", "student = \"Clover\"", 1);
            read_answers(&filled).unwrap_or_else(|faults| panic!("{name}: {faults:?}\n{filled}"));
            homework += 1;
        }
    }
    assert!(homework >= 2 * shipped().count() - 4, "{homework}");
}

/// Homework asks for what is on the paper, and for no more than can be measured with care in an evening (ten answers: the
/// course's own limit, no source). What is reckoned is told as such.
#[test]
fn homework_asks_for_what_is_on_the_paper() {
    let shelf = Shelf::shipped();
    let pages = pages();
    for (name, text) in drafting_lessons() {
        let blocks = blocks(&text);
        let draft = blocks.iter().find(|(word, _)| word == "draft").unwrap();
        let exercise = shelf.get(key(&draft.1, "exercise").unwrap().trim_matches('"')).unwrap();
        assert!((6..=10).contains(&exercise.core.len()), "{name} asks for {}", exercise.core.len());
        // The figure of every step stands in its lesson, which another test holds; of the pieces those that it shows.
        let is_shown = |piece: &str| blocks.iter().any(|(_, body)| key(body, "piece") == Some(&format!("\"{piece}\"")));
        let drawn: Vec<&Sign> = exercise.steps.iter().flat_map(|step| &step.draw).map(|drawn| &drawn.sign).collect();
        let on_pieces = exercise.pieces.iter().filter(|piece| is_shown(&piece.name)).flat_map(|piece| &piece.marks);
        let drawn: Vec<&Sign> = drawn.into_iter().chain(on_pieces.map(|drawn| &drawn.sign)).collect();
        for &id in &exercise.core {
            let step = &exercise.steps[id];
            let measures = |sign: &&&Sign| match sign {
                Sign::Measure { step, .. } => *step == id,
                Sign::Dividers { across, .. } => across.widths.uses().contains(&step.slot),
                _ => false,
            };
            assert!(step.is_reckoned || drawn.iter().any(|sign| measures(&sign)), "{name}: {} is not drawn", step.name);
        }
        // So does the grey box, and it says of the rest that it may stay empty.
        let page = pages[name.replace(".md", ".html").as_str()];
        let file = page.split("[answer]\n").nth(1).and_then(|rest| rest.split("</code>").next()).unwrap();
        let (asked, more) =
            file.split_once("# If you measured these as well; what you leave empty costs nothing.").unwrap();
        let named = |part: &str| -> Vec<String> {
            part.lines().filter_map(|line| Some(line.split_once(" = ")?.0.to_owned())).collect()
        };
        let of_core: Vec<String> = exercise.core.iter().map(|step| exercise.steps[*step].name.clone()).collect();
        assert_eq!(named(asked), of_core, "{name}");
        assert_eq!(named(more).len(), exercise.steps.len() - exercise.core.len(), "{name}");
        let reckoned = asked.lines().filter(|line| line.ends_with(", as you reckoned it")).count();
        assert_eq!(reckoned, exercise.core.iter().filter(|step| exercise.steps[**step].is_reckoned).count(), "{name}");
    }
}

/// A lesson begins with what the one before it taught, answers folded away, and its homework takes one up again.
#[test]
fn every_drafting_lesson_recalls_and_mixes() {
    let lessons = drafting_lessons();
    for (name, text) in &lessons {
        let start = text.split("## What you will be able to do").next().unwrap();
        assert!(start.contains("**What do you still know?**"), "{name}");
        let (questions, answers) = start.split_once("<details>").unwrap_or_else(|| panic!("{name} folds no answers"));
        let numbered = |part: &str| part.lines().filter(|line| line.starts_with(|c: char| c.is_ascii_digit())).count();
        assert!((2..=3).contains(&numbered(questions)) && numbered(questions) == numbered(answers), "{name}");
        let homework = text.split("## Homework").nth(1).unwrap();
        assert!(homework.contains("**One from before.**") || name == "roll.md", "{name}");
    }
}

/// Students see the chapters that are for them first, and then nothing but what is for instructors.
#[test]
fn what_is_for_instructors_stands_at_the_end() {
    let summary = &chapters()["SUMMARY.md"];
    let (students, instructors) = summary.split_once("# For instructors").unwrap();
    for name in ["class.md", "class-desk.md", "authors.md", "sources.md"] {
        assert!(instructors.contains(&format!("({name})")) && !students.contains(&format!("({name})")), "{name}");
    }
    assert!(!instructors.contains("\n# "), "a part comes after that for instructors");
}

/// "= ≈ 3 in + 1 in" is no sum that anybody writes.
#[test]
fn sums_look_like_sums() {
    for (&name, page) in &pages() {
        let main = page.split("<main>").nth(1).and_then(|rest| rest.split("</main>").next()).unwrap_or_default();
        // As it is read: without tags, with one space between two words.
        let mut is_tag = false;
        let written = main.chars().filter(|letter| {
            is_tag |= *letter == '<';
            let is_written = !is_tag;
            is_tag &= *letter != '>';
            is_written
        });
        let text = written.collect::<String>().replace("&nbsp;", " ");
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        for odd in ["= ≈", "(≈", "≈ ≈", "+ ≈", "− ≈"] {
            let found = text.find(odd).map(|at| text[at..].chars().take(60).collect::<String>());
            assert!(found.is_none() || name == "answers.html", "{name}: {found:?}");
        }
    }
}

/// mdBook itself, which calls the preprocessor as a program of its own, against the build in this process.
#[test]
fn mdbook_builds_the_same_pages() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let out = tempfile::tempdir().unwrap();
    let mut config = MDBook::load(root).unwrap().config;
    config.set("preprocessor.foldmark.command", env!("CARGO_BIN_EXE_mdbook-foldmark")).unwrap();
    config.build.build_dir = out.path().join("by-mdbook");
    MDBook::load_with_config(root, config).unwrap().build().unwrap();

    let by_mdbook = files(&out.path().join("by-mdbook"));
    let mut in_process: BTreeMap<_, _> = BUILT.iter().collect();
    // Our own list of what was built.
    in_process.remove(&".built-by-foldmark".to_owned()).expect("the list");
    assert!(by_mdbook.len() > 50 && by_mdbook.keys().eq(in_process.keys().copied()), "{:?}", by_mdbook.keys());
    for (place, bytes) in &by_mdbook {
        assert!(in_process[place] == bytes, "{place} differs");
    }
}

/// Measurements that stand in the text as they are, each with its reason.
const TYPED: [(&str, &str); 2] = [
    // The tolerance that a published handbook allows: it is not worked out from anything.
    ("patch-pocket.md", "2 mm"),
    // What a machine is set to.
    ("cloth.md", "2.5 mm"),
];

/// What else is read: cells of tables, headings, and captions.
fn beside_the_text(text: &str) -> Vec<String> {
    let captions = blocks(text).into_iter().filter_map(|(_, body)| key(&body, "caption").map(str::to_owned));
    let (mut found, mut is_cell): (Vec<String>, bool) = (captions.collect(), false);
    for event in Parser::new_ext(text, Options::ENABLE_TABLES) {
        match event {
            Event::Start(Tag::TableCell | Tag::Heading { .. }) => {
                is_cell = true;
                found.push(String::new());
            }
            Event::End(TagEnd::TableCell | TagEnd::Heading(_)) => is_cell = false,
            Event::Text(text) if is_cell => found.last_mut().unwrap().push_str(&text),
            _ => {}
        }
    }
    found
}

#[test]
fn no_measurement_is_typed_that_the_program_could_work_out() {
    const UNITS: [&str; 9] = ["in", "inch", "inches", "cm", "mm", "m", "ft", "yd", "centimetres"];
    let mut typed = Vec::new();
    for (name, text) in lessons().into_iter().filter(|(name, _)| name != "measuring.md") {
        for paragraph in paragraphs(&text).into_iter().chain(beside_the_text(&text)) {
            let words: Vec<&str> = paragraph.split_whitespace().collect();
            for pair in words.windows(2) {
                let is_number = pair[0].chars().all(|letter| letter.is_ascii_digit() || "/.,½¼¾⅛".contains(letter));
                let unit = pair[1].trim_end_matches(|letter: char| !letter.is_alphanumeric());
                let found = format!("{} {unit}", pair[0]);
                if is_number && UNITS.contains(&unit) && !TYPED.contains(&(name.as_str(), found.as_str())) {
                    typed.push(format!("{name}: {found} in: {paragraph}"));
                }
            }
        }
    }
    assert!(typed.is_empty(), "{}", typed.join("\n"));
}

/// The Automated Readability Index (R. J. Senter and E. A. Smith, 1967; from memory): 4.71 letters a word, 0.5 words a
/// sentence, less 21.43, is a school grade.
fn grade(paragraphs: &[String]) -> f64 {
    let (mut letters, mut words, mut sentences) = (0, 0, 0);
    for paragraph in paragraphs {
        let of_paragraph: Vec<&str> =
            paragraph.split_whitespace().filter(|word| word.contains(char::is_alphanumeric)).collect();
        letters += of_paragraph.iter().flat_map(|word| word.chars()).filter(|letter| letter.is_alphanumeric()).count();
        words += of_paragraph.len();
        let ends = of_paragraph
            .iter()
            .filter(|word| word.trim_end_matches(['"', '”', ')', '*']).ends_with(['.', '?', '!', ':']));
        sentences += ends.count().max(1);
    }
    4.71 * letters as f64 / words as f64 + 0.5 * words as f64 / sentences as f64 - 21.43
}

#[test]
fn the_lessons_can_be_read_by_anyone() {
    // Worked by hand: 3 + 3 + 3 letters, 3 words, 1 sentence.
    assert!((grade(&["The cat sat.".to_owned()]) - (4.71 * 3.0 + 1.5 - 21.43)).abs() < 1e-9);
    for (name, text) in lessons() {
        let paragraphs = paragraphs(&text);
        let grade = grade(&paragraphs);
        println!("{name}: grade {grade:.1}");
        assert!(grade <= 8.0, "{name} reads like grade {grade:.1}");
        for sentence in paragraphs.iter().flat_map(|paragraph| paragraph.split(['.', '?', '!', ':'])) {
            let words = sentence.split_whitespace().count();
            assert!(words <= 40, "{name}: a sentence of {words} words: {sentence}");
        }
    }
}
