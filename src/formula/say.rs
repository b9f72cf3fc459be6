//! A formula as a person would write it: with names ("height to the fold − pocket height") or with the
//! numbers put in ("6 1/2 in − 4 in").

use super::function::{Extreme, Fold, Of, Round, Tick};
use super::kind::{Kind, TableId};
use super::node::Node;
use super::parse::Operator;
use super::values::{Slot, Values};

/// How measures and literals are written.
pub trait Say {
    /// A measure; `row` is the row of its table where a list is written out row by row.
    fn measure(&self, slot: Slot, row: Option<usize>, kind: Kind) -> String;
    /// That a choice is a certain word, or is not.
    fn choice(&self, slot: Slot, word: &str, holds: bool) -> String;
    /// A literal of the formula.
    fn literal(&self, value: f64, kind: Kind) -> String;
    /// Whether both outcomes of an `if` are written, with its condition; otherwise only the one that is taken.
    fn both_branches(&self) -> bool {
        false
    }
    /// Whether lists are written out row by row (with the numbers put in) or named once.
    fn row_by_row(&self) -> bool;
}

/// Rows past this many are not written out one by one.
const ROWS_SHOWN: usize = 6;

/// How tightly a written part binds, so that brackets stand only where they are needed.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Binds {
    Or,
    And,
    Comparison,
    Sum,
    /// Something divided: in brackets within a sum, since "3 in ÷ 2 + 1/4 in" invites dividing the sum.
    Quotient,
    Product,
    Tight,
}

pub(super) fn say(root: &Node, say: &dyn Say, values: &dyn Values, row: Option<usize>) -> String {
    Speaker { say, values }.part(root, row).0
}

struct Speaker<'s> {
    say: &'s dyn Say,
    values: &'s dyn Values,
}

impl Speaker<'_> {
    fn part(&self, node: &Node, row: Option<usize>) -> (String, Binds) {
        match node {
            Node::Literal(value, kind) => (self.say.literal(*value, *kind), Binds::Tight),
            Node::Pi => ("π".to_owned(), Binds::Tight),
            Node::Word(_, text) => (text.clone(), Binds::Tight),
            Node::Measure(slot, kind) => {
                let text = self.say.measure(*slot, row, *kind);
                // "2 × (≈ 3 1/8 in)": the sign must not meet another.
                let binds = if text.starts_with('≈') { Binds::Sum } else { Binds::Tight };
                (text, binds)
            }
            Node::Negate(inner) => (format!("−{}", self.within(inner, row, Binds::Tight)), Binds::Product),
            Node::Not(inner) => (format!("not {}", self.within(inner, row, Binds::Tight)), Binds::Comparison),
            Node::Binary(operator, left, right) => self.binary(*operator, left, right, row),
            Node::Fold(function, table, inner) => self.fold(*function, *table, inner),
            Node::Pick(extreme, nodes) => {
                let mut parts = Vec::new();
                nodes.iter().for_each(|node| self.picked(*extreme, node, row, &mut parts));
                one_of(*extreme, parts)
            }
            Node::Of(Of::Half, inner) => (format!("{} ÷ 2", self.within(inner, row, Binds::Product)), Binds::Quotient),
            Node::Of(Of::Sqrt, inner) => {
                let (text, is_literal) = (self.part(inner, row).0, matches!(**inner, Node::Literal(..)));
                (if is_literal { format!("√{text}") } else { format!("√({text})") }, Binds::Tight)
            }
            Node::Of(Of::Abs, inner) => (format!("|{}|", self.part(inner, row).0), Binds::Tight),
            Node::Of(Of::Odd, inner) => (format!("{} is odd", self.within(inner, row, Binds::Sum)), Binds::Comparison),
            Node::Tick(function, inner, tick, _) => {
                let way = match function {
                    Tick::Round(Round::Up) => "rounded up",
                    Tick::Round(Round::Down) => "rounded down",
                    Tick::Round(Round::Near) => "rounded",
                    Tick::On => "falls on a tick",
                };
                let to = tick.as_ref().map(|tick| format!(" to a multiple of {}", self.part(tick, row).0));
                let inner = self.within(inner, row, Binds::Sum);
                (format!("{inner}, {way}{}", to.unwrap_or_default()), Binds::Or)
            }
            Node::If(condition, yes, no) if self.say.both_branches() => {
                let [condition, yes, other] = [condition, yes, no].map(|node| self.part(node, row).0);
                // One that follows goes on with its own condition.
                let otherwise = if matches!(**no, Node::If(..)) { "" } else { "otherwise: " };
                (format!("if {condition}: {yes}; {otherwise}{other}"), Binds::Or)
            }
            Node::If(condition, yes, no) => {
                let taken = condition.evaluate(self.values, row.unwrap_or(0)) != 0.0;
                self.part(if taken { yes } else { no }, row)
            }
        }
    }

    /// The part, in brackets if it binds less tightly than its surroundings ask.
    fn within(&self, node: &Node, row: Option<usize>, least: Binds) -> String {
        let (text, binds) = self.part(node, row);
        if binds < least { format!("({text})") } else { text }
    }

    fn binary(&self, operator: Operator, left: &Node, right: &Node, row: Option<usize>) -> (String, Binds) {
        use Operator::*;
        if let Some(share) = self.share(operator, left, right, row) {
            return share;
        }
        if let (Equal | Unequal, Node::Measure(slot, _), Node::Word(_, word)) = (operator, left, right) {
            return (self.say.choice(*slot, word, operator == Equal), Binds::Comparison);
        }
        if operator == Multiply && left == right && !matches!(left, Node::Literal(..)) {
            // "5 in²" would be something else than (5 in)².
            let side = self.part(left, row).0;
            let square = if side.contains(' ') { format!("({side})²") } else { format!("{side}²") };
            return (square, Binds::Product);
        }
        // The right side of − and ÷ needs brackets at its own level: a − (b + c).
        let (sign, binds, right_binds) = match operator {
            Add => ("+", Binds::Sum, Binds::Sum),
            Subtract => ("−", Binds::Sum, Binds::Product),
            Multiply => ("×", Binds::Product, Binds::Product),
            Divide => ("÷", Binds::Quotient, Binds::Tight),
            And => ("and", Binds::And, Binds::And),
            Or => ("or", Binds::Or, Binds::Or),
            Less => ("<", Binds::Comparison, Binds::Sum),
            LessOrEqual => ("≤", Binds::Comparison, Binds::Sum),
            Greater => (">", Binds::Comparison, Binds::Sum),
            GreaterOrEqual => ("≥", Binds::Comparison, Binds::Sum),
            Equal => ("is", Binds::Comparison, Binds::Sum),
            Unequal => ("is not", Binds::Comparison, Binds::Sum),
        };
        let left_binds = match binds {
            Binds::Comparison => Binds::Sum,
            Binds::Quotient => Binds::Product,
            Binds::Or | Binds::And | Binds::Sum | Binds::Product | Binds::Tight => binds,
        };
        let side = |node: &Node, least: Binds| {
            let (text, found) = self.part(node, row);
            let is_share = binds == Binds::Sum && found == Binds::Quotient;
            if found < least || is_share { format!("({text})") } else { text }
        };
        (format!("{} {sign} {}", side(left, left_binds), side(right, right_binds)), binds)
    }

    /// `x * 2 / 3` as people say it, "2/3 of x", and `x * 3 / 2` as "1 1/2 × x".
    fn share(&self, operator: Operator, left: &Node, right: &Node, row: Option<usize>) -> Option<(String, Binds)> {
        let (Operator::Divide, Node::Binary(Operator::Multiply, whole, top), Node::Literal(below, kind)) =
            (operator, left, right)
        else {
            return None;
        };
        let Node::Literal(top, top_kind) = **top else { return None };
        let is_count = |value: f64| value >= 1.0 && libm::floor(value) == value;
        if *kind != Kind::NUMBER || top_kind != Kind::NUMBER || !is_count(top) || !is_count(*below) {
            return None;
        }
        let whole = self.within(whole, row, Binds::Tight);
        let (times, rest) = (libm::floor(top / below), libm::fmod(top, *below));
        Some(if times == 0.0 {
            (format!("{top}/{below} of {whole}"), Binds::Quotient)
        } else if rest == 0.0 {
            (format!("{times} × {whole}"), Binds::Product)
        } else {
            (format!("{times} {rest}/{below} × {whole}"), Binds::Product)
        })
    }

    /// What the largest or smallest is picked from: of a pick among picks of the same kind, all of them alike.
    fn picked(&self, extreme: Extreme, node: &Node, row: Option<usize>, into: &mut Vec<String>) {
        if let Node::Pick(same, nodes) = node
            && *same == extreme
        {
            nodes.iter().for_each(|node| self.picked(extreme, node, row, into));
        } else if let Node::Fold(Fold::Extreme(same), table, inner) = node
            && *same == extreme
            && self.is_written_out(*table)
        {
            into.extend((0..self.values.rows(*table)).map(|row| self.within(inner, Some(row), Binds::Quotient)));
        } else {
            into.push(self.within(node, row, Binds::Quotient));
        }
    }

    /// Whether the rows of a table are written out one by one.
    fn is_written_out(&self, table: TableId) -> bool {
        self.say.row_by_row() && (1..=ROWS_SHOWN).contains(&self.values.rows(table))
    }

    fn fold(&self, fold: Fold, table: TableId, inner: &Node) -> (String, Binds) {
        let rows = self.values.rows(table);
        let out = self.is_written_out(table);
        let named = |what: &str| (format!("the {what} {}", self.within(inner, None, Binds::Tight)), Binds::Tight);
        let each = |least: Binds| (0..rows).map(|row| self.within(inner, Some(row), least)).collect::<Vec<String>>();
        match fold {
            Fold::Count if self.say.row_by_row() => (rows.to_string(), Binds::Tight),
            Fold::Count => ("the number of rows".to_owned(), Binds::Tight),
            Fold::First if self.say.row_by_row() => self.part(inner, Some(0)),
            Fold::First => named("first"),
            Fold::Last if self.say.row_by_row() => self.part(inner, Some(rows.saturating_sub(1))),
            Fold::Last => named("last"),
            Fold::Sum | Fold::Extreme(_) if out && rows == 1 => self.part(inner, Some(0)),
            Fold::Sum if out => (each(Binds::Sum).join(" + "), Binds::Sum),
            Fold::Sum => named("sum of"),
            Fold::Extreme(extreme) if out => one_of(extreme, each(Binds::Quotient)),
            Fold::Extreme(extreme) => named(extreme_of(extreme, 3)),
        }
    }
}

/// "the largest of 3 in, 2 in and 1 in".
fn one_of(extreme: Extreme, parts: Vec<String>) -> (String, Binds) {
    (format!("the {} of {}", extreme_of(extreme, parts.len()), list(&parts)), Binds::Or)
}

fn extreme_of(extreme: Extreme, among: usize) -> &'static str {
    match (extreme, among) {
        (Extreme::Max, 2) => "larger",
        (Extreme::Max, _) => "largest",
        (Extreme::Min, 2) => "smaller",
        (Extreme::Min, _) => "smallest",
    }
}

fn list(parts: &[String]) -> String {
    match parts.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => parts.concat(),
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Base, Formula, Names, Symbol, WordSet};
    use super::*;

    /// Two tables of two rows each, two lengths, and a choice; a name is written as it is, a value in whole units.
    struct Sheet {
        row_by_row: bool,
    }

    const NAMES: [&str; 6] = ["wide", "high", "long.length", "short.length", "made", "times"];

    impl Names for Sheet {
        fn symbol(&self, name: &str) -> Option<Symbol> {
            let at = NAMES.iter().position(|known| *known == name)?;
            let list = |table| Kind { base: Base::Length, list: Some(TableId(table)) };
            let kind =
                [Kind::LENGTH, Kind::LENGTH, list(0), list(1), Kind::one(Base::Word(WordSet(0))), Kind::NUMBER][at];
            Some(Symbol { slot: Slot(at), kind })
        }
        fn all(&self) -> Vec<String> {
            NAMES.map(str::to_owned).to_vec()
        }
        fn word(&self, _: WordSet, word: &str) -> Result<f64, Vec<String>> {
            ["fold", "panels"].iter().position(|known| *known == word).map(|at| at as f64).ok_or_else(Vec::new)
        }
    }

    impl Values for Sheet {
        fn value(&self, slot: Slot, row: usize) -> Option<f64> {
            Some([[3.0, 3.0], [4.0, 4.0], [12.0, 10.0], [6.0, 5.0], [0.0, 0.0], [2.0, 2.0]][slot.0][row])
        }
        fn rows(&self, _: TableId) -> usize {
            2
        }
        fn tick(&self) -> f64 {
            1.0
        }
    }

    impl Say for Sheet {
        fn measure(&self, slot: Slot, row: Option<usize>, _: Kind) -> String {
            if self.row_by_row {
                format!("{} in", self.value(slot, row.unwrap_or(0)).unwrap())
            } else {
                NAMES[slot.0].to_owned()
            }
        }
        fn choice(&self, slot: Slot, word: &str, holds: bool) -> String {
            format!("{} {} {word}", NAMES[slot.0], if holds { "as" } else { "not as" })
        }
        fn literal(&self, value: f64, _: Kind) -> String {
            value.to_string()
        }
        fn both_branches(&self) -> bool {
            true
        }
        fn row_by_row(&self) -> bool {
            self.row_by_row
        }
    }

    fn said(text: &str) -> [String; 2] {
        let formula = Formula::compile(text, &Sheet { row_by_row: false }).unwrap_or_else(|fault| panic!("{fault}"));
        [false, true].map(|row_by_row| {
            let sheet = Sheet { row_by_row };
            formula.say(&sheet, &sheet, None)
        })
    }

    #[test]
    fn the_largest_of_several_is_said_once() {
        assert_eq!(said("max(long.length)"), ["the largest long.length", "the larger of 12 in and 10 in"]);
        assert_eq!(
            said("max(max(long.length), max(short.length))"),
            [
                "the larger of the largest long.length and the largest short.length",
                "the largest of 12 in, 10 in, 6 in and 5 in"
            ]
        );
        assert_eq!(
            said("max(wide, max(high, min(long.length)))")[1],
            "the largest of 3 in, 4 in and (the smaller of 12 in and 10 in)"
        );
        assert_eq!(said("min(2 * wide, wide + 2 * high)")[0], "the smaller of 2 × wide and (wide + 2 × high)");
        assert_eq!(
            said("sum(long.length * times)"),
            ["the sum of (long.length × times)", "12 in × 2 in + 10 in × 2 in"]
        );
        assert_eq!(said("first(long.length)")[0], "the first long.length");
        assert_eq!(said("count(long.length)"), ["the number of rows", "2"]);
    }

    #[test]
    fn squares_are_written_as_such() {
        assert_eq!(
            said("sqrt(wide * wide + half(high) * half(high))"),
            ["√(wide² + (high ÷ 2)²)", "√((3 in)² + (4 in ÷ 2)²)"]
        );
        assert_eq!(said("2 * 2")[0], "2 × 2");
        assert_eq!(said("wide * sqrt(2)")[0], "wide × √2");
        assert_eq!(said("wide * wide / high")[0], "wide² ÷ high");
    }

    #[test]
    fn conditions_follow_each_other() {
        assert_eq!(said("if(made = 'fold', wide, high)")[0], "if made as fold: wide; otherwise: high");
        assert_eq!(
            said("if(made != 'fold', wide, if(wide < high, high, 2 * high))")[0],
            "if made not as fold: wide; if wide < high: high; otherwise: 2 × high"
        );
        assert_eq!(said("2 * if(made = 'fold', wide, high)")[0], "2 × (if made as fold: wide; otherwise: high)");
    }
}
