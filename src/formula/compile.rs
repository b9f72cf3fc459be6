//! From the tree as written to the tree as checked: names are found, kinds are fitted together.

use super::fault::FormulaFault;
use super::function::{Extreme, FUNCTIONS, Fold, Function, Tick};
use super::kind::{Base, Kind, TableId};
use super::names::Names;
use super::node::Node;
use super::parse::{Operator, Term, Tree};
use crate::text::{Shown, did_you_mean, or_did_you_mean};

type Checked = Result<(Node, Kind), FormulaFault>;

pub(super) fn compile(term: &Term, names: &dyn Names) -> Checked {
    Compiler { names }.node(term)
}

struct Compiler<'n> {
    names: &'n dyn Names,
}

fn fault<T>(term: &Term, message: impl Into<String>) -> Result<T, FormulaFault> {
    Err(FormulaFault::new(term.span, message))
}

impl Compiler<'_> {
    fn node(&self, term: &Term) -> Checked {
        match &term.tree {
            Tree::Number(value) => Ok((Node::Literal(*value, Kind::NUMBER), Kind::NUMBER)),
            Tree::Length(value) => Ok((Node::Literal(*value, Kind::LENGTH), Kind::LENGTH)),
            Tree::Word(_) => {
                fault(term, "a word in quotes can only be compared with a choice, as in sizing = \"girth\"")
            }
            Tree::Name(name) => self.name(term, name),
            Tree::Negate(inner) => {
                let (node, kind) = self.node(inner)?;
                self.quantity(inner, kind)?;
                Ok((Node::Negate(Box::new(node)), kind))
            }
            Tree::Not(inner) => {
                let (node, kind) = self.truth(inner)?;
                Ok((Node::Not(Box::new(node)), kind))
            }
            Tree::Binary(operator, left, right) => self.binary(term, *operator, left, right),
            Tree::Call(name, arguments) => self.call(term, name, arguments),
        }
    }

    fn name(&self, term: &Term, name: &str) -> Checked {
        if name == "pi" {
            return Ok((Node::Pi, Kind::NUMBER));
        }
        if let Some(symbol) = self.names.symbol(name) {
            return Ok((Node::Measure(symbol.slot, symbol.kind), symbol.kind));
        }
        let all = self.names.all();
        let columns: Vec<_> = all.iter().filter(|known| known.starts_with(&format!("{name}."))).collect();
        if let Some(first) = columns.first() {
            return fault(term, format!("`{name}` is a table; name one of its columns, such as `{first}`"));
        }
        let hint = or_did_you_mean(name, all.iter().map(String::as_str), Shown::Key);
        fault(term, format!("there is no measure `{name}`{hint}"))
    }

    fn truth(&self, term: &Term) -> Checked {
        let (node, kind) = self.node(term)?;
        if kind.base == Base::Truth {
            return Ok((node, kind));
        }
        fault(term, format!("a condition was expected here, such as a < b, but this is {}", kind.describe()))
    }

    /// A length, a number or an area: something that has a size.
    fn quantity(&self, term: &Term, kind: Kind) -> Result<(), FormulaFault> {
        match kind.base {
            Base::Length | Base::Number | Base::Area => Ok(()),
            Base::Truth | Base::Word(_) => fault(term, format!("{} can't be calculated with", kind.describe())),
        }
    }

    /// The table that both lists run over; a single value goes with any list.
    fn list(&self, term: &Term, one: Kind, other: Kind) -> Result<Option<TableId>, FormulaFault> {
        match (one.list, other.list) {
            (Some(a), Some(b)) if a != b => {
                fault(term, "these lists come from two different tables, whose rows do not belong together")
            }
            (a, b) => Ok(a.or(b)),
        }
    }

    fn binary(&self, term: &Term, operator: Operator, left: &Term, right: &Term) -> Checked {
        use Operator::*;
        if matches!(operator, Equal | Unequal) {
            for (word, choice) in [(left, right), (right, left)] {
                if let Tree::Word(text) = &word.tree {
                    return self.word(operator, word, text, choice);
                }
            }
        }
        let read = if matches!(operator, And | Or) { Self::truth } else { Self::node };
        let ((left_node, left_kind), (right_node, right_kind)) = (read(self, left)?, read(self, right)?);
        let list = self.list(term, left_kind, right_kind)?;
        let base = if matches!(operator, And | Or) {
            Base::Truth
        } else {
            self.quantity(left, left_kind)?;
            self.quantity(right, right_kind)?;
            self.fit(term, operator, (left, left_kind.base), (right, right_kind.base))?
        };
        Ok((Node::Binary(operator, Box::new(left_node), Box::new(right_node)), Kind { base, list }))
    }

    fn fit(
        &self,
        term: &Term,
        operator: Operator,
        (left, left_base): (&Term, Base),
        (right, right_base): (&Term, Base),
    ) -> Result<Base, FormulaFault> {
        use Base::{Area, Length, Number};
        use Operator::*;
        match (operator, left_base, right_base) {
            (Add | Subtract, a, b) if a == b => Ok(a),
            (Less | LessOrEqual | Greater | GreaterOrEqual | Equal | Unequal, a, b) if a == b => Ok(Base::Truth),
            (Multiply, Number, other) | (Multiply, other, Number) => Ok(other),
            (Multiply, Length, Length) => Ok(Area),
            (Multiply, ..) => fault(term, "a length times an area is more than a draft needs"),
            (Divide, a, Number) => Ok(a),
            (Divide, a, b) if a == b => Ok(Number),
            (Divide, Area, Length) => Ok(Length),
            (Divide, a, b) => fault(term, format!("{} can't be divided by {}", a.with_article(), b.with_article())),
            (Add | Subtract | Less | LessOrEqual | Greater | GreaterOrEqual | Equal | Unequal | And | Or, a, b) => {
                let deed = match operator {
                    Add => "added",
                    Subtract => "subtracted from each other",
                    Multiply | Divide | Less | LessOrEqual | Greater | GreaterOrEqual | Equal | Unequal | And | Or => {
                        "compared"
                    }
                };
                let hint = [left, right].into_iter().find_map(|side| {
                    let Tree::Number(number) = side.tree else { return None };
                    Some(format!("; give {number} a unit, or multiply instead"))
                });
                let message = format!(
                    "{} and {} can't be {deed}{}",
                    a.with_article(),
                    b.with_article(),
                    hint.unwrap_or_default()
                );
                fault(term, message)
            }
        }
    }

    fn word(&self, operator: Operator, word: &Term, text: &str, choice: &Term) -> Checked {
        if matches!(choice.tree, Tree::Word(_)) {
            return fault(choice, "two words in quotes are compared; one side has to be a choice");
        }
        let (node, kind) = self.node(choice)?;
        let Base::Word(set) = kind.base else {
            return fault(word, format!("a word is compared with {}; only a choice can be", kind.describe()));
        };
        match self.names.word(set, text) {
            Ok(value) => {
                let word = Node::Word(value, text.to_owned());
                let kind = Kind { base: Base::Truth, list: kind.list };
                Ok((Node::Binary(operator, Box::new(node), Box::new(word)), kind))
            }
            Err(known) => fault(word, format!("{text:?} is not one of its words: {}", known.join(", "))),
        }
    }

    fn call(&self, term: &Term, name: &str, arguments: &[Term]) -> Checked {
        let Some(function) = Function::named(name) else {
            let known = FUNCTIONS.map(|(known, ..)| known);
            let hint = did_you_mean(name, known, Shown::Key);
            let hint = hint.unwrap_or_else(|| format!("there are {}", known.join(", ")));
            return fault(term, format!("there is no function `{name}`; {hint}"));
        };
        let takes = |least: usize, most: usize| {
            if (least..=most).contains(&arguments.len()) {
                return Ok(());
            }
            let wanted = match (least, most) {
                (1, 1) => "one value".to_owned(),
                (_, usize::MAX) => "a list, or values with commas between them".to_owned(),
                (a, b) if a == b => format!("{a} values"),
                (a, b) => format!("{a} or {b} values"),
            };
            fault(term, format!("`{name}` takes {wanted}, but {} are given", arguments.len()))
        };
        match function {
            Function::Fold(Fold::Extreme(extreme)) if arguments.len() > 1 => self.pick(term, extreme, arguments),
            Function::Fold(fold) => {
                let most = if matches!(fold, Fold::Extreme(_)) { usize::MAX } else { 1 };
                takes(1, most)?;
                let (node, kind) = self.node(&arguments[0])?;
                let Some(table) = kind.list else {
                    let message =
                        format!("`{name}` takes a list, such as a column of a table, but this is {}", kind.describe());
                    return fault(&arguments[0], message);
                };
                let base = if fold == Fold::Count {
                    Base::Number
                } else {
                    self.quantity(&arguments[0], kind)?;
                    kind.base
                };
                Ok((Node::Fold(fold, table, Box::new(node)), Kind::one(base)))
            }
            Function::If => {
                takes(3, 3)?;
                self.choose(term, arguments)
            }
            Function::Tick(tick) => {
                takes(1, 2)?;
                self.tick(tick, arguments)
            }
            Function::Of(of) => {
                takes(1, 1)?;
                let (node, kind) = self.node(&arguments[0])?;
                self.quantity(&arguments[0], kind)?;
                let base = of.base(kind.base, arguments[0].span)?;
                Ok((Node::Of(of, Box::new(node)), Kind { base, list: kind.list }))
            }
        }
    }

    fn pick(&self, term: &Term, extreme: Extreme, arguments: &[Term]) -> Checked {
        let mut nodes = Vec::with_capacity(arguments.len());
        let mut whole: Option<Kind> = None;
        for argument in arguments {
            let (node, kind) = self.node(argument)?;
            self.quantity(argument, kind)?;
            nodes.push(node);
            whole = Some(match whole {
                None => kind,
                Some(so_far) if so_far.base == kind.base => {
                    Kind { base: kind.base, list: self.list(term, so_far, kind)? }
                }
                Some(so_far) => {
                    let message =
                        format!("{} and {} can't be compared", so_far.base.with_article(), kind.base.with_article());
                    return fault(argument, message);
                }
            });
        }
        Ok((Node::Pick(extreme, nodes), whole.unwrap_or(Kind::NUMBER)))
    }

    fn tick(&self, function: Tick, arguments: &[Term]) -> Checked {
        let (node, kind) = self.node(&arguments[0])?;
        if !matches!(kind.base, Base::Length | Base::Number) {
            return fault(
                &arguments[0],
                format!("a length or a number was expected here, but this is {}", kind.describe()),
            );
        }
        let tick = match arguments.get(1) {
            None => None,
            Some(argument) => {
                let (tick, tick_kind) = self.node(argument)?;
                if tick_kind != Kind::one(kind.base) {
                    let message = format!(
                        "the step to round to is {}, but {} was expected",
                        tick_kind.describe(),
                        kind.base.with_article()
                    );
                    return fault(argument, message);
                }
                Some(Box::new(tick))
            }
        };
        let base = function.base(kind.base);
        Ok((Node::Tick(function, Box::new(node), tick, kind), Kind { base, list: kind.list }))
    }

    fn choose(&self, term: &Term, arguments: &[Term]) -> Checked {
        let (condition, condition_kind) = self.truth(&arguments[0])?;
        let (yes, yes_kind) = self.node(&arguments[1])?;
        let (no, no_kind) = self.node(&arguments[2])?;
        if yes_kind.base != no_kind.base {
            let message = format!(
                "both outcomes have to be of one kind, but one is {} and the other {}",
                yes_kind.base.with_article(),
                no_kind.base.with_article()
            );
            return fault(term, message);
        }
        let list =
            self.list(term, Kind { base: yes_kind.base, list: self.list(term, yes_kind, no_kind)? }, condition_kind)?;
        Ok((Node::If(Box::new(condition), Box::new(yes), Box::new(no)), Kind { base: yes_kind.base, list }))
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Formula, NoNames, NoValues, Slot, Symbol, Values, WordSet};
    use super::*;

    /// A table of three rows, a length, and a choice.
    struct Sheet;

    impl Names for Sheet {
        fn symbol(&self, name: &str) -> Option<Symbol> {
            let list = |base, table| Kind { base, list: Some(TableId(table)) };
            let (slot, kind) = match name {
                "hem" => (0, Kind::LENGTH),
                "rows.width" => (1, list(Base::Length, 0)),
                "rows.count" => (2, list(Base::Number, 0)),
                "others.width" => (3, list(Base::Length, 1)),
                "sizing" => (4, Kind::one(Base::Word(WordSet(0)))),
                _ => return None,
            };
            Some(Symbol { slot: Slot(slot), kind })
        }
        fn all(&self) -> Vec<String> {
            ["hem", "rows.width", "rows.count", "others.width", "sizing"].map(str::to_owned).to_vec()
        }
        fn word(&self, _: WordSet, word: &str) -> Result<f64, Vec<String>> {
            let words = ["girth", "layout"];
            words
                .iter()
                .position(|known| *known == word)
                .map(|at| at as f64)
                .ok_or_else(|| words.map(str::to_owned).to_vec())
        }
    }

    impl Values for Sheet {
        fn value(&self, slot: Slot, row: usize) -> Option<f64> {
            match slot.0 {
                0 => Some(10.0),
                1 => Some([2.0, 5.0, 3.0][row]),
                2 => Some([1.0, 2.0, 4.0][row]),
                _ => Some(1.0),
            }
        }
        fn rows(&self, _: TableId) -> usize {
            3
        }
        fn tick(&self) -> f64 {
            4.0
        }
    }

    fn evaluated(text: &str) -> Option<f64> {
        Formula::compile(text, &Sheet).unwrap_or_else(|fault| panic!("{text}: {fault}")).evaluate(&Sheet, None)
    }

    fn value(text: &str) -> f64 {
        evaluated(text).unwrap()
    }

    #[test]
    fn lists_fold_over_their_rows() {
        assert_eq!(value("sum(rows.width * rows.count)"), 2.0 + 10.0 + 12.0);
        assert_eq!(value("max(rows.width)"), 5.0);
        assert_eq!(value("min(rows.width) + hem"), 12.0);
        assert_eq!(value("count(rows.width)"), 3.0);
        assert_eq!(value("last(rows.width) - first(rows.width)"), 1.0);
        assert_eq!(value("min(hem, max(rows.width))"), 5.0);
    }

    #[test]
    fn precedence_is_the_usual_one() {
        assert_eq!(value("2 + 3 * 4"), 14.0);
        assert_eq!(value("(2 + 3) * 4"), 20.0);
        assert_eq!(value("12 / 2 / 3"), 2.0);
        assert_eq!(value("10 - 4 - 3"), 3.0);
        assert_eq!(value("-2 * 3"), -6.0);
        assert_eq!(value("half(3) * 2"), 3.0);
        assert_eq!(value("if(1 < 2 and not 3 < 2, 7, 8)"), 7.0);
        assert_eq!(value("if(sizing = 'layout' or odd(2), 7, 8)"), 7.0);
        assert_eq!(value("sqrt(hem * hem)"), 10.0);
        assert_eq!(value("round_up(hem)"), 12.0);
        assert_eq!(value("round_down(hem)"), 8.0);
        assert_eq!(value("round_up(7 / 2)"), 4.0);
    }

    #[test]
    fn what_cannot_be_worked_out_has_no_value() {
        assert_eq!(evaluated("1 / (3 - 3)"), None);
        assert_eq!(evaluated("sqrt(0 - 4)"), None);
        assert_eq!(evaluated("max(1, sqrt(0 - 4), 3)"), None, "a maximum does not hide what went wrong");
        assert_eq!(Formula::compile("1 / 0", &NoNames).unwrap().evaluate(&NoValues, None), None);
    }

    #[test]
    fn kinds_that_do_not_fit_are_told_in_a_sentence() {
        let fault = |text: &str| Formula::compile(text, &Sheet).unwrap_err().message;
        assert_eq!(fault("hem + 2"), "a length and a number can't be added; give 2 a unit, or multiply instead");
        assert_eq!(fault("hem < hem * hem"), "a length and an area can't be compared");
        assert_eq!(fault("2 / hem"), "a number can't be divided by a length");
        assert_eq!(fault("hem * hem * hem"), "a length times an area is more than a draft needs");
        assert_eq!(fault("rows"), "`rows` is a table; name one of its columns, such as `rows.width`");
        assert_eq!(fault("rows.widht"), "there is no measure `rows.widht`; did you mean `rows.width`?");
        assert_eq!(
            fault("rows.width + others.width"),
            "these lists come from two different tables, whose rows do not belong together"
        );
        assert_eq!(fault("sum(hem)"), "`sum` takes a list, such as a column of a table, but this is a length");
        assert_eq!(fault("summ(rows.width)"), "there is no function `summ`; did you mean `sum`?");
        assert_eq!(fault("half(hem, hem)"), "`half` takes one value, but 2 are given");
        assert_eq!(fault("sizing + 2"), "a word can't be calculated with");
        assert_eq!(fault("sizing = 'lay'"), "\"lay\" is not one of its words: girth, layout");
        assert_eq!(fault("hem = 'girth'"), "a word is compared with a length; only a choice can be");
        assert_eq!(fault("if(hem, 1, 2)"), "a condition was expected here, such as a < b, but this is a length");
        assert_eq!(
            fault("if(1 < 2, 1, hem)"),
            "both outcomes have to be of one kind, but one is a number and the other a length"
        );
        assert_eq!(fault("sqrt(hem)"), "the square root of a length has no meaning; it takes an area or a number");
        assert_eq!(fault("round_up(hem, 2)"), "the step to round to is a number, but a length was expected");
        assert_eq!(fault("odd(hem)"), "only a number can be odd, and this is a length");
    }
}
