//! What a person sees: errors, notices, progress. Colour only on a terminal, and never when `NO_COLOR` is
//! set, unless the command line asks for it: the `anstream` crate sees to that.

use super::args::Colour;
use anstream::ColorChoice;
use anstyle::{AnsiColor, Style};
use indicatif::{ProgressBar, ProgressStyle};
use std::fmt::Display;
use std::io::{self, Write};
use std::process::{ExitCode, Termination};
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

/// How a command ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Status {
    /// All well.
    Well,
    /// Something marked is not right.
    NotRight,
    /// The request, or a part of it, could not be carried out.
    NotDone,
}

impl Termination for Status {
    fn report(self) -> ExitCode {
        ExitCode::from(match self {
            Status::Well => 0,
            Status::NotRight => 1,
            Status::NotDone => 2,
        })
    }
}

/// Why a command could not be carried out: a sentence each.
#[derive(Debug)]
pub(super) struct Failure(pub Vec<String>);

impl<T: Display> From<T> for Failure {
    fn from(sentence: T) -> Failure {
        Failure(vec![sentence.to_string()])
    }
}

pub(super) type Done = Result<Status, Failure>;

/// Whether notes and progress are left out.
static IS_QUIET: AtomicBool = AtomicBool::new(false);

pub(super) fn be_quiet(is_quiet: bool) {
    IS_QUIET.store(is_quiet, Ordering::Relaxed);
}

fn is_quiet() -> bool {
    IS_QUIET.load(Ordering::Relaxed)
}

/// Decides about colour in all that is said from here on.
pub(super) fn colour(when: Colour) {
    match when {
        Colour::Auto => ColorChoice::Auto,
        Colour::Always => ColorChoice::Always,
        Colour::Never => ColorChoice::Never,
    }
    .write_global();
}

/// A sentence quotes strangers, and whoever wrote it made that harmless; this is for whoever forgot.
fn harmless(sentence: &str) -> String {
    let lines: Vec<String> =
        sentence.split('\n').map(|line| crate::text::harmless(line, usize::MAX).into_owned()).collect();
    lines.join("\n")
}

/// A line on standard error; one that can't be written is let go, since there is nowhere to say so.
fn say(line: &str) {
    let _ = writeln!(anstream::stderr(), "{line}");
}

pub(super) fn error(sentence: &str) {
    let sentence = harmless(sentence);
    let style = AnsiColor::Red.on_default().bold();
    say(&format!("{style}error:{style:#} {sentence}"));
}

pub(super) fn notice(sentence: &str) {
    if is_quiet() {
        return;
    }
    let sentence = harmless(sentence);
    let style = Style::new().bold();
    say(&format!("{style}note:{style:#} {sentence}"));
}

/// Prints results. Whoever reads them may stop early (`foldmark list | head -1`); that is no error.
pub(super) fn print(text: &str) -> Result<(), Failure> {
    print_on(text).map(|_| ())
}

/// Prints a part of a result, and tells whether anyone still reads.
pub(super) fn print_on(text: &str) -> Result<bool, Failure> {
    let mut out = io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Ok(()) => Ok(true),
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(false),
        Err(error) => Err(format!("the result can't be printed: {error}").into()),
    }
}

/// Prints data as JSON.
pub(super) fn print_json(data: &impl serde::Serialize) -> Result<(), Failure> {
    let text =
        serde_json::to_string_pretty(data).map_err(|error| format!("the result can't be written as JSON: {error}"))?;
    print(&(text + "\n"))
}

/// Progress on standard error, shown only once the work has taken a second, and only on a terminal.
pub(super) struct Progress {
    bar: ProgressBar,
    begun: Instant,
    label: &'static str,
}

impl Progress {
    pub(super) fn new(steps: usize, label: &'static str) -> Progress {
        let bar = ProgressBar::hidden();
        bar.set_length(steps as u64);
        Progress { bar, begun: Instant::now(), label }
    }

    pub(super) fn step(&self) {
        self.advance(1);
    }

    pub(super) fn advance(&self, steps: u64) {
        self.bar.inc(steps);
        if self.bar.is_hidden() && !is_quiet() && self.begun.elapsed() > Duration::from_secs(1) {
            self.bar.set_draw_target(indicatif::ProgressDrawTarget::stderr());
            let style = ProgressStyle::with_template("{msg} [{bar:30}] {percent} %, {eta} to go");
            self.bar.set_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()).progress_chars("=> "));
            self.bar.set_message(self.label);
        }
    }

    /// Says something while the bar is out of the way.
    pub(super) fn aside(&self, say: impl FnOnce()) {
        self.bar.suspend(say);
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}
