//! Inches or centimetres, by the reader's choice: what a page says in both, and the switch between them.
//!
//! What is not shown is not displayed, and so no screen reader reads it either. Without script a page stays in the
//! system that it starts with.

use crate::html::escape;
use crate::length::{Ruler, Unit};

/// A system of units.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum System {
    /// Inches and their fractions.
    Inch,
    /// Centimetres and millimetres.
    Metric,
}

impl System {
    pub(super) const BOTH: [System; 2] = [System::Inch, System::Metric];

    /// The system of a ruler.
    ///
    /// ```
    /// use foldmark::{length::Ruler, lesson::System};
    /// assert_eq!(System::of(Ruler::EIGHTH), System::Inch);
    /// ```
    pub fn of(ruler: Ruler) -> System {
        if ruler.is_metric() { System::Metric } else { System::Inch }
    }

    /// The system that a unit belongs to, as `book.toml` writes it: "in", "cm".
    ///
    /// ```
    /// use foldmark::lesson::System;
    /// assert_eq!(System::read("cm"), Some(System::Metric));
    /// assert_eq!(System::read("ell"), None);
    /// ```
    pub fn read(unit: &str) -> Option<System> {
        Unit::read(unit).map(|unit| if unit.is_metric() { System::Metric } else { System::Inch })
    }

    /// The other one.
    pub(super) fn other(self) -> System {
        match self {
            System::Inch => System::Metric,
            System::Metric => System::Inch,
        }
    }

    /// The key of a draft's twin, and what a page calls it in its own markup.
    pub(super) fn key(self) -> &'static str {
        match self {
            System::Inch => "inch",
            System::Metric => "metric",
        }
    }

    /// As people say it.
    pub(super) fn people(self) -> &'static str {
        match self {
            System::Inch => "inches",
            System::Metric => "centimetres",
        }
    }
}

/// Something said in both systems.
#[derive(Debug, Clone)]
pub(super) struct Both<T> {
    pub inch: T,
    pub metric: T,
}

impl<T> Both<T> {
    /// `one` is of this system, `twin` of the other.
    pub(super) fn new(system: System, one: T, twin: T) -> Both<T> {
        match system {
            System::Inch => Both { inch: one, metric: twin },
            System::Metric => Both { inch: twin, metric: one },
        }
    }
}

/// Within a line: both, of which `first` shows.
pub(super) fn inline(texts: Both<&str>, first: System) -> String {
    let span = |system: System, text: &str| format!("<span {}>{}</span>", attributes(system, first), escape(text));
    format!("{}{}", span(System::Inch, texts.inch), span(System::Metric, texts.metric))
}

/// Parts of a page, as they are written, and whether any differ. What both say in the same words stands once.
pub(super) fn blocks(parts: Both<Vec<String>>, first: System) -> (String, bool) {
    let Both { inch, metric } = parts;
    let mut written: Vec<String> = Vec::new();
    let put = |written: &mut Vec<String>, inch: &mut Vec<String>, metric: &mut Vec<String>| {
        for (system, parts) in [(System::Inch, inch), (System::Metric, metric)] {
            if !parts.is_empty() {
                let parts = std::mem::take(parts).join("\n\n");
                written.push(format!("<div {}>\n\n{parts}\n\n</div>", attributes(system, first)));
            }
        }
    };
    let (mut inches, mut metrics) = (Vec::new(), Vec::new());
    let are_paired = inch.len() == metric.len();
    let most = inch.len().max(metric.len());
    let (mut inch, mut metric) = (inch.into_iter(), metric.into_iter());
    for _ in 0..most {
        match (inch.next(), metric.next()) {
            (Some(one), Some(other)) if are_paired && one == other => {
                put(&mut written, &mut inches, &mut metrics);
                written.push(one);
            }
            (one, other) => {
                inches.extend(one);
                metrics.extend(other);
            }
        }
    }
    put(&mut written, &mut inches, &mut metrics);
    let is_both = written.iter().any(|part| part.starts_with("<div class=\"foldmark-"));
    (written.join("\n\n"), is_both)
}

fn attributes(system: System, first: System) -> String {
    let hidden = if system == first { "" } else { " hidden" };
    format!("class=\"foldmark-{}\"{hidden}", system.key())
}

/// The switch: one block of HTML. The page's script shows it.
pub(super) fn switch(first: System) -> String {
    let button = |system: System| {
        let (value, people, pressed) = (system.key(), system.people(), system == first);
        format!("<button type=\"button\" value=\"{value}\" aria-pressed=\"{pressed}\">{people}</button>")
    };
    format!(
        "<div class=\"foldmark-units\" role=\"group\" aria-label=\"Measures in\" hidden>\n<span aria-hidden=\"true\">Measures in</span>\n{}\n</div>",
        System::BOTH.map(button).join("\n"),
    )
}
