//! How fast the main jobs are. Run by hand: `cargo bench`. The figures are written down in DEVELOPERS.md.

use divan::{Bencher, black_box};
use foldmark::book::{Foldmark, render_chapter};
use foldmark::check::{answer_file, mark, read_answers};
use foldmark::draft::{Draft, Givens, Raw, work};
use foldmark::exercise::{Exercise, Shelf, StepId};
use foldmark::figure;
use foldmark::lay::{Block, USUAL_WORK, pack};
use foldmark::length::{Length, Ruler, Unit};
use foldmark::lesson::{Chapter, Output};
use foldmark::pattern::{self, Named, Paper};
use mdbook_driver::MDBook;
use mdbook_preprocessor::book::{Book, BookItem, Chapter as Page};
use mdbook_preprocessor::config::Config;
use mdbook_preprocessor::{Preprocessor, PreprocessorContext};
use std::path::PathBuf;
use tempfile::TempDir;

mod problems;
mod table;

fn main() {
    divan::main();
    let quick = std::env::args().any(|argument| argument == "--test");
    problems::print(quick);
    table::print(quick);
}

fn shelf() -> Shelf {
    Shelf::shipped()
}

fn example(exercise: &Exercise) -> Draft<'_> {
    let givens = Givens::read(exercise, &Raw::example(exercise), None, Ruler::EIGHTH).expect("the example is sound");
    Draft::new(exercise, givens).expect("the example can be worked")
}

/// Every step of the roll, for three kinds of objects. Aim: under 2 µs.
#[divan::bench]
fn evaluate_the_roll(bencher: Bencher) {
    let shelf = shelf();
    let exercise = shelf.get("flap-roll").expect("shipped");
    let mut measures = example(exercise).measures;
    bencher.bench_local(|| work(exercise, black_box(&mut measures), &|_, _| None));
}

/// The roll at true size, as a PDF on some thirty sheets of A4. Aim: under 50 ms.
#[divan::bench]
fn print_a_pattern(bencher: Bencher) {
    let shelf = shelf();
    let draft = example(shelf.get("flap-roll").expect("shipped"));
    let named = Named::default();
    bencher.bench_local(|| pattern::pdf(black_box(&draft), Paper::A4, &named).map(|pdf| pdf.len()));
}

/// The same for the piece with the most curves: two tiles of a round base among nineteen. Aim: under 50 ms.
#[divan::bench]
fn print_a_round_pattern(bencher: Bencher) {
    let shelf = shelf();
    let draft = example(shelf.get("round-bucket").expect("shipped"));
    let named = Named::default();
    bencher.bench_local(|| pattern::pdf(black_box(&draft), Paper::A4, &named).map(|pdf| pdf.len()));
}

/// One sheet that was read, with two wrong answers. Aim: under 60 µs.
#[divan::bench]
fn mark_a_sheet(bencher: Bencher) {
    let shelf = shelf();
    let exercise = shelf.get("flap-roll").expect("shipped");
    let filled = answer_file(&example(exercise), "Clover", true)
        .replace("\"16 in\"", "\"15 1/2 in\"")
        .replace("\"31 in\"", "\"30 in\"");
    let sheet = read_answers(&filled).expect("it was just written");
    bencher.bench_local(|| mark(exercise, black_box(&sheet)).map(|marked| marked.points));
}

/// The same, from the text of the file.
#[divan::bench]
fn read_and_mark_a_file(bencher: Bencher) {
    let shelf = shelf();
    let exercise = shelf.get("flap-roll").expect("shipped");
    let filled = answer_file(&example(exercise), "Clover", true);
    bencher.bench_local(|| {
        mark(exercise, &read_answers(black_box(&filled)).expect("it was just written")).map(|marked| marked.points)
    });
}

/// One figure, from a draft to SVG text. Aim: under 300 µs.
#[divan::bench]
fn draw_a_step(bencher: Bencher) {
    let shelf = shelf();
    let draft = example(shelf.get("flap-roll").expect("shipped"));
    bencher.bench_local(|| figure::step(black_box(&draft), StepId(6)).inline("figure"));
}

/// The finished draft, with every dimension.
#[divan::bench]
fn draw_the_whole(bencher: Bencher) {
    let shelf = shelf();
    let draft = example(shelf.get("flap-roll").expect("shipped"));
    bencher.bench_local(|| figure::whole(black_box(&draft)).inline("figure"));
}

/// Read the exercise file and compile it.
/// Twenty pieces of ten sizes on a cloth 44 in wide, none of which may be turned. Aim: under 100 ms.
#[divan::bench]
fn lay_twenty_pieces(bencher: Bencher) {
    let sizes = [(19, 16), (4, 23), (14, 17), (14, 6), (12, 21), (9, 9), (7, 13), (5, 15), (3, 14), (21, 8)];
    let inches = |count| Length::of(count, Unit::Inch);
    let blocks: Vec<Block> =
        sizes.iter().flat_map(|(across, along)| [Block::fixed(inches(*across), inches(*along)); 2]).collect();
    bencher.bench(|| pack(black_box(inches(44)), black_box(&blocks), USUAL_WORK));
}

#[divan::bench]
fn read_the_exercise() -> bool {
    foldmark::exercise::read("flap-roll", include_str!("../../exercises/flap-roll.toml")).is_ok()
}

/// A sheet with 400 kB of keys that nobody knows.
#[divan::bench]
fn refuse_a_sheet_of_nonsense(bencher: Bencher) {
    let shelf = shelf();
    let exercise = shelf.get("flap-roll").expect("shipped");
    let keys: String = (0..40_000).map(|at| format!("k{at}=1\n")).collect();
    let sheet = answer_file(&example(exercise), "Clover", true) + &keys;
    bencher
        .bench_local(|| read_answers(black_box(&sheet)).and_then(|sheet| mark(exercise, &sheet).map(|_| ())).is_err());
}

const CHAPTERS: usize = 20;

/// A chapter with ten figures, as a lesson has them.
fn chapter() -> String {
    let mut text = "# A lesson\n\nWords that stand before the figures, as they do in any lesson.\n\n\
                    ```foldmark draft\nexercise = \"flap-roll\"\nruler = \"1/8 in\"\n```\n\n"
        .to_owned();
    for step in [
        "slots_width",
        "finished_width",
        "fold_height",
        "pocket_height",
        "bare_height",
        "flap",
        "full_height",
        "tie_position",
        "end_slot",
        "cut_width",
    ] {
        text += &format!(
            "## The {step}\n\nIt is `= {step}`. A few words are said about it here.\n\n```foldmark figure\nstep = \"{step}\"\n```\n\n"
        );
    }
    text
}

fn book() -> Book {
    let page = |number: usize| {
        BookItem::Chapter(Page::new("A lesson", chapter(), PathBuf::from(format!("lesson{number}.md")), Vec::new()))
    };
    Book::new_with_items((0..CHAPTERS).map(page).collect())
}

/// The files of a book: names and texts.
type Files = Vec<(String, String)>;

/// A book of 200 figures.
fn lessons() -> Files {
    let summary: String = (0..CHAPTERS).map(|number| format!("- [Lesson {number}](lesson{number}.md)\n")).collect();
    let chapters = (0..CHAPTERS).map(|number| (format!("lesson{number}.md"), chapter()));
    chapters.chain([("SUMMARY.md".to_owned(), summary)]).collect()
}

/// The course as it stands.
fn course() -> Files {
    let files = std::fs::read_dir("book").expect("the course is here").map(|entry| entry.expect("a file").path());
    let lessons = files.filter(|path| path.extension().is_some_and(|end| end == "md"));
    lessons
        .map(|path| {
            let name = path.file_name().expect("a name").to_string_lossy().into_owned();
            (name, std::fs::read_to_string(path).expect("a chapter"))
        })
        .collect()
}

/// The same with all that the program works out in its place.
fn pasted(files: Files) -> Files {
    let shelf = shelf();
    let paste = |(path, text): (String, String)| {
        let chapter = Chapter { path: &path, text: &text, first: None, is_live: false };
        let text = render_chapter(&shelf, chapter, Output::Html).expect("the lesson is sound");
        (path, text)
    };
    files.into_iter().map(paste).collect()
}

fn folder(files: &Files) -> TempDir {
    let root = tempfile::tempdir().expect("a temporary folder");
    std::fs::create_dir(root.path().join("src")).expect("a folder");
    for (name, text) in files {
        std::fs::write(root.path().join("src").join(name), text).expect("a file");
    }
    std::fs::write(root.path().join("book.toml"), "[book]\ntitle = \"Lessons\"\n").expect("a file");
    root
}

/// Builds a book as `foldmark book` does.
fn build(bencher: Bencher, files: Files) {
    bencher
        .with_inputs(|| folder(&files))
        .bench_local_refs(|root| foldmark::book::build_book(root.path(), None).expect("the book builds"));
}

/// Builds a book as mdBook alone does.
fn build_without(bencher: Bencher, files: Files) {
    bencher
        .with_inputs(|| folder(&files))
        .bench_local_refs(|root| MDBook::load(root.path()).and_then(|book| book.build()).expect("the book builds"));
}

/// Preprocessing alone: 200 figures drawn and put in their place.
#[divan::bench]
fn preprocess_200_figures(bencher: Bencher) {
    let context = PreprocessorContext::new(PathBuf::new(), Config::default(), "html".to_owned());
    bencher
        .with_inputs(book)
        .bench_local_values(|book| Foldmark::default().run(&context, book).map(|book| book.items.len()));
}

/// The book of 200 figures from start to end. Aim: within 1.3 times of the next.
#[divan::bench(sample_count = 20, sample_size = 1)]
fn build_book_drawing_200_figures(bencher: Bencher) {
    build(bencher, lessons());
}

/// The same book with the same figures already pasted in, by mdBook alone.
#[divan::bench(sample_count = 20, sample_size = 1)]
fn build_book_with_200_figures_pasted(bencher: Bencher) {
    build_without(bencher, pasted(lessons()));
}

/// The course from start to end. Aim: within 1.5 times of the next.
#[divan::bench(sample_count = 20, sample_size = 1)]
fn build_the_course(bencher: Bencher) {
    build(bencher, course());
}

/// The same course with all that the program works out already pasted in, by mdBook alone.
#[divan::bench(sample_count = 20, sample_size = 1)]
fn build_the_course_pasted(bencher: Bencher) {
    build_without(bencher, pasted(course()));
}
