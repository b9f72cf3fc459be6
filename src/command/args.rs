//! What may be written on the command line.

use crate::class::Show;
use crate::length::{Ruler, Unit};
use crate::pattern::Paper;
use clap::{Parser, Subcommand, ValueEnum, ValueHint};
use std::ffi::{OsStr, OsString};
use std::path::PathBuf;

/// Teach people to draft their own patterns: work exercises, mark homework, set practice.
#[derive(Debug, Parser)]
#[command(
    name = "foldmark",
    version,
    max_term_width = 100,
    after_help = "Exit status: 0 all well, 1 something marked is not right, 2 the request could not be carried out."
)]
pub struct Args {
    #[command(flatten)]
    pub(super) saying: Saying,
    #[command(subcommand)]
    pub(super) command: Command,
}

/// How a command speaks, whichever it is.
#[derive(Debug, clap::Args)]
#[command(next_help_heading = "Everywhere")]
pub(super) struct Saying {
    /// Whether errors and notes have colour; auto is where it can be seen and NO_COLOR is not set.
    #[arg(long, global = true, value_enum, value_name = "WHEN", default_value_t)]
    pub color: Colour,
    /// Leave out notes and progress; results and errors remain.
    #[arg(long, short, global = true)]
    pub quiet: bool,
}

#[derive(Debug, Clone, Copy, Default, ValueEnum)]
pub(super) enum Colour {
    #[default]
    Auto,
    Always,
    Never,
}

impl Colour {
    /// What the words of a command line ask for: of a line that can't be read as a whole, too, for its errors and its help.
    pub fn asked(words: impl Iterator<Item = OsString>) -> Colour {
        let words: Vec<OsString> = words.take_while(|word| word != "--").collect();
        let read = |word: &OsStr| word.to_str().and_then(|word| Colour::from_str(word, false).ok());
        let of = |at: usize, word: &OsString| match word.to_str()?.strip_prefix("--color")? {
            "" => read(words.get(at + 1)?),
            rest => read(rest.strip_prefix('=')?.as_ref()),
        };
        words.iter().enumerate().find_map(|(at, word)| of(at, word)).unwrap_or_default()
    }
}

#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// The whole job on the shipped class: lessons, marking, a practice set.
    Demo(DemoArgs),
    /// Build the lessons of a book into web pages.
    Book(BookArgs),
    /// List the exercises.
    List(ListArgs),
    /// Explain an exercise: what is given, every step and the reason for it, what can hurt.
    Explain(ExplainArgs),
    /// Work an exercise for your own objects: steps, cutting list, figures.
    Draft(DraftArgs),
    /// Lay the pieces of a draft on their cloths: what to buy, and a drawing of each lay.
    Lay(LayArgs),
    /// Write the pattern at true size: a PDF for a printer, or an SVG or DXF drawing.
    Pattern(PatternArgs),
    /// Mark answers: files, folders of them, tables.
    Check(CheckArgs),
    /// Print an empty answer file, or the head of a table.
    Blank(BlankArgs),
    /// Set fresh problems: sheets, empty answer files, and a key in a folder of its own.
    Practice(PracticeArgs),
    /// Make the folder of a class, with all that the other commands need.
    Start(StartArgs),
    /// Trace off an exercise or a lesson that comes with the program, to change it in a class of yours.
    Trace(TraceArgs),
    /// Read exercises of your own and tell every fault.
    Proof(ProofArgs),
    /// Print the JSON Schema of a file or a result, for editors and programs.
    Schema(SchemaArgs),
    /// Print a completion script for a shell.
    Completions(CompletionsArgs),
    /// Print the man page of the program or of a command, or write all of them.
    Man(ManArgs),
}

#[derive(Debug, Clone, clap::Args)]
pub(super) struct Shelf {
    /// A folder with exercises of your own; one with the name of a shipped exercise replaces it. In a class's folder, its
    /// own, if left out.
    #[arg(long, value_name = "DIR", value_hint = ValueHint::DirPath)]
    pub exercises: Option<PathBuf>,
}

#[derive(Debug, clap::Args)]
pub(super) struct Measuring {
    /// What a bare number is measured in: in, ft, yd, mm, cm or m.
    #[arg(long, value_parser = read_unit)]
    pub unit: Option<Unit>,
    /// The ruler's smallest tick, such as "1/8 in" or "1 mm".
    #[arg(long, value_parser = read_ruler)]
    pub ruler: Option<Ruler>,
}

impl Measuring {
    /// Whether the metric system is meant; inches, if nothing says.
    pub fn is_metric(&self) -> bool {
        match (self.ruler, self.unit) {
            (Some(ruler), _) => ruler.is_metric(),
            (None, unit) => unit.is_some_and(Unit::is_metric),
        }
    }
}

fn whole<T: TryFrom<u64>>(text: &str, least: u64, most: u64) -> Result<T, String> {
    let number = text.trim().parse().ok().filter(|number| (least..=most).contains(number));
    number.and_then(|number| T::try_from(number).ok()).ok_or_else(|| match most {
        u64::MAX => "write a whole number, such as 12".to_owned(),
        most => format!("write a whole number from {least} to {most}"),
    })
}

fn read_unit(text: &str) -> Result<Unit, String> {
    Unit::read(text.trim()).ok_or_else(|| "write in, ft, yd, mm, cm or m".to_owned())
}

fn read_ruler(text: &str) -> Result<Ruler, String> {
    Ruler::read(text).map_err(|error| error.to_string())
}

#[derive(Debug, clap::Args)]
pub(super) struct DemoArgs {
    /// Where to put it.
    #[arg(long, value_name = "DIR", default_value = "foldmark-demo", value_hint = ValueHint::DirPath)]
    pub out: PathBuf,
}

#[derive(Debug, clap::Args)]
pub(super) struct BookArgs {
    /// The folder with the book's book.toml.
    #[arg(default_value = ".", value_hint = ValueHint::DirPath)]
    pub dir: PathBuf,
    /// Where to put the pages; otherwise where book.toml says.
    #[arg(long, value_name = "DIR", value_hint = ValueHint::DirPath)]
    pub out: Option<PathBuf>,
    /// Open them in the browser.
    #[arg(long)]
    pub open: bool,
    /// Call the programs that book.toml asks for, as preprocessors and renderers beside those of mdBook and this one. Without
    /// it none is called, and they are named.
    #[arg(long)]
    pub allow_commands: bool,
}

#[derive(Debug, clap::Args)]
pub(super) struct ListArgs {
    #[command(flatten)]
    pub shelf: Shelf,
    /// Print JSON, for a program to read.
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, clap::Args)]
pub(super) struct ExplainArgs {
    /// The exercise's name; `foldmark list` shows them.
    pub exercise: String,
    #[command(flatten)]
    pub measuring: Measuring,
    #[command(flatten)]
    pub shelf: Shelf,
}

/// An exercise, and what its draft is worked for.
#[derive(Debug, clap::Args)]
pub(super) struct Drafting {
    /// The exercise's name; `foldmark list` shows them.
    pub exercise: String,
    /// A given, such as "allowance=3/8 in", or a row such as "objects=name: chisel, length: 9 in, girth: 3 in,
    /// count: 4". Give it as often as needed. With none at all, the exercise's own example is worked.
    #[arg(long = "given", value_name = "GIVEN")]
    pub givens: Vec<String>,
    /// A choice of your own within the limits, such as "pocket_height=5 in".
    #[arg(long = "choose", value_name = "CHOICE")]
    pub choices: Vec<String>,
    #[command(flatten)]
    pub measuring: Measuring,
    #[command(flatten)]
    pub shelf: Shelf,
}

#[derive(Debug, clap::Args)]
pub(super) struct DraftArgs {
    #[command(flatten)]
    pub drafting: Drafting,
    /// A folder to write the figures to, as SVG files.
    #[arg(long, value_name = "DIR", value_hint = ValueHint::DirPath)]
    pub figures: Option<PathBuf>,
    /// Write over figures that exist.
    #[arg(long)]
    pub force: bool,
    /// Print JSON, for a program to read.
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, clap::Args)]
pub(super) struct LayArgs {
    #[command(flatten)]
    pub drafting: Drafting,
    /// How wide the cloth is, without its selvages; 44 in or 110 cm, if left out.
    #[arg(long)]
    pub width: Option<String>,
    /// How much of it there is, where one has it already.
    #[arg(long)]
    pub length: Option<String>,
    /// How its print repeats along it: every piece then begins at the same place of the print.
    #[arg(long)]
    pub repeat: Option<String>,
    /// Nap or print run one way: no piece is turned.
    #[arg(long)]
    pub one_way: bool,
    /// Pieces may lie across the grain as well, as straps, ties, felt and interfacing may.
    #[arg(long)]
    pub turn: bool,
    /// A piece that may lie across the grain, such as "tie"; give it once for each.
    #[arg(long = "turn-piece", value_name = "PIECE")]
    pub turning: Vec<String>,
    /// The cloth lies folded along its length, selvage to selvage.
    #[arg(long)]
    pub folded: bool,
    /// What is cut off each end to straighten it; 1 in or 25 mm, if left out.
    #[arg(long)]
    pub ends: Option<String>,
    /// A test square before and after washing: its side, then what is left along the grain and across, such as "20 cm, 19
    /// cm, 19.5 cm".
    #[arg(long)]
    pub washed: Option<String>,
    /// The step in which the shop cuts; 1/8 yd or 10 cm, if left out.
    #[arg(long)]
    pub step: Option<String>,
    /// What holds of one cloth only, such as "lining cloth=width: 54 in, turn: yes". The same words as above.
    #[arg(long = "cloth", value_name = "CLOTH")]
    pub cloths: Vec<String>,
    /// A folder to write a drawing of each lay to, as SVG files.
    #[arg(long, value_name = "DIR", value_hint = ValueHint::DirPath)]
    pub out: Option<PathBuf>,
    /// Write over drawings that exist.
    #[arg(long)]
    pub force: bool,
    /// Print JSON, for a program to read.
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, clap::Args)]
pub(super) struct PatternArgs {
    #[command(flatten)]
    pub drafting: Drafting,
    /// The paper of a PDF: a4, letter, another of a0 to a3, or a width and a height, such as 841x1189 or 36inx48in.
    #[arg(long, value_name = "PAPER", default_value = "a4", value_parser = read_paper)]
    pub paper: Paper,
    /// Whose pattern it is, to be written on every piece.
    #[arg(long, value_name = "NAME")]
    pub maker: Option<String>,
    /// A day to be written on every piece, such as 2026-03-05.
    #[arg(long, value_name = "DAY")]
    pub date: Option<String>,
    /// Only what is pinned above the table: givens, measures with their sums, what to cut, cautions.
    #[arg(long, conflicts_with = "overlay")]
    pub sheet: bool,
    /// To mark work on paper by: every line in a grey band, half of it as wide as the line may be off; one tick of the ruler,
    /// if nothing is written.
    #[arg(long, value_name = "LENGTH", num_args = 0..=1, require_equals = true, default_missing_value = "")]
    pub overlay: Option<String>,
    /// The code on a practice sheet: the pattern of what it sets.
    #[arg(long, value_name = "CODE", conflicts_with_all = ["givens", "choices", "unit", "ruler"])]
    pub code: Option<String>,
    /// The file to write, which ends in .pdf, .svg or .dxf; otherwise the exercise's name with .pdf behind it.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub out: Option<PathBuf>,
    /// Write over a file that exists.
    #[arg(long)]
    pub force: bool,
}

fn read_paper(text: &str) -> Result<Paper, String> {
    Paper::read(text).map_err(|fault| fault.to_string())
}

#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum ShowArg {
    /// Verdicts only.
    Marks,
    /// Nudges, but no answers.
    Coach,
    /// The worked arithmetic.
    Full,
}

impl From<ShowArg> for Show {
    fn from(arg: ShowArg) -> Show {
        match arg {
            ShowArg::Marks => Show::Marks,
            ShowArg::Coach => Show::Coach,
            ShowArg::Full => Show::Full,
        }
    }
}

#[derive(Debug, Clone, clap::Args)]
pub(super) struct CheckArgs {
    /// Answer files (.toml), texts that answers stand in (.txt), tables with one row for each student (.csv, .tsv, .xlsx,
    /// .ods), or folders of them; `-` is one of these on standard input. A class's folder stands for what was handed in there; so does nothing at all, in that
    /// folder or below it.
    #[arg(value_name = "PATH", value_hint = ValueHint::AnyPath)]
    pub paths: Vec<PathBuf>,
    /// What is laid down for the class. Otherwise class.toml in the folder that is marked, or in the nearest above it, or
    /// in the current folder or above that, if there is one.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub class: Option<PathBuf>,
    /// How much is shown; otherwise as class.toml says, or full.
    #[arg(long, value_enum, value_name = "LEVEL")]
    pub show: Option<ShowArg>,
    /// Print every student's report, too.
    #[arg(long)]
    pub details: bool,
    /// Print a line of JSON for each sheet as it is marked, and for all that can't be read, for a program to read; `foldmark
    /// schema line` tells what stands in it.
    #[arg(long)]
    pub json: bool,
    /// Write a folder with a page for the class, one for each student, the gradebook, and the result as JSON.
    #[arg(long, value_name = "DIR", value_hint = ValueHint::DirPath)]
    pub out: Option<PathBuf>,
    /// Write the gradebook, as CSV for a spreadsheet. Where nothing else is asked of a table, it tells which steps are
    /// wrong but not why, and is done in a moment however long the table is.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub gradebook: Option<PathBuf>,
    /// The exercise that the answers are for; a table needs no column for it then.
    #[arg(long, value_name = "NAME")]
    pub exercise: Option<String>,
    /// Replace an earlier result; that of a class even where less is found now.
    #[arg(long)]
    pub force: bool,
    #[command(flatten)]
    pub shelf: Shelf,
}

#[derive(Debug, clap::Args)]
pub(super) struct BlankArgs {
    /// The exercise's name; `foldmark list` shows them.
    pub exercise: String,
    /// The head of a table instead, for a class with one row for each student. Format its columns as text in a spreadsheet,
    /// which makes dates of fractions otherwise.
    #[arg(long)]
    pub csv: bool,
    /// How many rows each table of givens has; a student may leave some empty.
    #[arg(long, value_name = "N", value_parser = |text: &str| whole::<u16>(text, 1, 1000), default_value = "1")]
    pub rows: u16,
    #[command(flatten)]
    pub measuring: Measuring,
    /// The file to write; otherwise it is printed.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub out: Option<PathBuf>,
    /// Write over a file that exists.
    #[arg(long)]
    pub force: bool,
    #[command(flatten)]
    pub shelf: Shelf,
}

#[derive(Debug, clap::Args)]
pub(super) struct PracticeArgs {
    /// The exercises' names; `foldmark list` shows them. Of several, each sheet has a problem of each. In a class's folder,
    /// those that it practises, if left out.
    #[arg(value_name = "EXERCISE")]
    pub exercises_named: Vec<String>,
    /// How many sheets; no two are alike. 12, if nothing says.
    #[arg(long, value_parser = |text: &str| whole::<usize>(text, 0, u64::MAX))]
    pub count: Option<usize>,
    /// Those who get a sheet: a CSV file with a column `student`, and perhaps `id`, `level` and `unit`. In a class's folder, its roster.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath, conflicts_with = "count")]
    pub class: Option<PathBuf>,
    /// Any whole number; the same number gives the same set on every machine, in a class's folder with the same secret. 1, if
    /// left out; in a class's folder, the number of the week.
    #[arg(long, value_parser = |text: &str| whole::<u64>(text, 0, u64::MAX))]
    pub seed: Option<u64>,
    /// How hard, from 1; `foldmark explain` tells what each level of an exercise trains. The lowest, if left out.
    #[arg(long, value_parser = |text: &str| whole::<u8>(text, 1, u64::from(u8::MAX)))]
    pub level: Option<u8>,
    /// The steps that the sheets ask for, with commas between them; the choices that they rest on are asked for as well. With
    /// `--from` those of that set, else what the class asks for, or the core of each exercise, if left out.
    #[arg(long, value_name = "STEP", value_delimiter = ',')]
    pub steps: Vec<String>,
    /// Set finished drafts with so many slips in them to be found, 1 or 2, in place of drafts to be made.
    #[arg(long, value_name = "COUNT", value_parser = |text: &str| whole::<u8>(text, 1, 2))]
    pub slips: Option<u8>,
    #[command(flatten)]
    pub measuring: Measuring,
    /// Where to put the folders sheets, answers and key; `practice`, if left out. In a class's folder its own folders for
    /// sheets and keys, with a new week in each.
    #[arg(long, value_name = "DIR", value_hint = ValueHint::DirPath)]
    pub out: Option<PathBuf>,
    /// Which week of a class the set is for; the next one, if left out.
    #[arg(long, value_name = "N", value_parser = |text: &str| whole::<u16>(text, 1, 999), conflicts_with = "out")]
    pub week: Option<u16>,
    /// Choose from what went wrong in this set, such as `week-1`: for each student problems in which the steps that they missed
    /// matter, at a level that fits. It says why it chose. In a class's folder, after `foldmark check`.
    #[arg(long, value_name = "SET", conflicts_with_all = ["count", "slips", "class"])]
    pub from: Option<String>,
    /// With `--from`: for all the same steps and level, those that most of the class missed.
    #[arg(long, requires = "from")]
    pub together: bool,
    /// Replace an earlier set; in a class's folder that of the week, or the last one.
    #[arg(long)]
    pub force: bool,
    #[command(flatten)]
    pub shelf: Shelf,
}

#[derive(Debug, clap::Args)]
pub(super) struct StartArgs {
    /// The folder. What is in it already stays as it is; in that of a class nothing is made.
    #[arg(value_hint = ValueHint::DirPath)]
    pub dir: PathBuf,
}

#[derive(Debug, clap::Args)]
pub(super) struct TraceArgs {
    /// The exercise's name, as `foldmark list` shows it; or the lesson's, as its page is called.
    pub name: String,
    /// The lesson of that name, in place of the exercise.
    #[arg(long)]
    pub lesson: bool,
    /// What it is to be called; as before, if left out.
    #[arg(long = "as", value_name = "NAME")]
    pub rename: Option<String>,
}

#[derive(Debug, clap::Args)]
pub(super) struct ProofArgs {
    /// Exercise files.
    #[arg(required = true, value_hint = ValueHint::FilePath)]
    pub files: Vec<PathBuf>,
}

#[derive(Debug, clap::Args)]
pub(super) struct SchemaArgs {
    /// Of what.
    pub of: SchemaOf,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum SchemaOf {
    /// An exercise file.
    Exercise,
    /// An answer file.
    Answers,
    /// A class's class.toml.
    Class,
    /// A line of what `check --json` prints.
    Line,
    /// The result.json of a folder that `check --out` writes.
    Result,
}

#[derive(Debug, clap::Args)]
pub(super) struct CompletionsArgs {
    /// The shell.
    pub shell: clap_complete::Shell,
}

#[derive(Debug, clap::Args)]
pub(super) struct ManArgs {
    /// The command; the program as a whole, if left out.
    #[arg(value_name = "COMMAND", conflicts_with = "out")]
    pub of: Option<String>,
    /// A folder to write a page for the program and each command to.
    #[arg(long, value_name = "DIR", value_hint = ValueHint::DirPath)]
    pub out: Option<PathBuf>,
}
