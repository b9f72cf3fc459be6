//! Tokens to a tree, by precedence: `or`, `and`, `not`, comparisons, `+ -`, `* /`, sign, calls.

use super::fault::FormulaFault;
use super::lex::{Placed, Token, lex};

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Operator {
    Add,
    Subtract,
    Multiply,
    Divide,
    Less,
    LessOrEqual,
    Greater,
    GreaterOrEqual,
    Equal,
    Unequal,
    And,
    Or,
}

#[derive(Debug, Clone, PartialEq)]
pub(super) enum Tree {
    Number(f64),
    Length(f64),
    Word(String),
    Name(String),
    Negate(Box<Term>),
    Not(Box<Term>),
    Binary(Operator, Box<Term>, Box<Term>),
    Call(String, Vec<Term>),
}

#[derive(Debug, Clone, PartialEq)]
pub(super) struct Term {
    pub tree: Tree,
    pub span: (usize, usize),
}

/// Deeper nesting than any person writes; it keeps the recursion from a hostile file within the stack.
const DEEPEST: usize = 40;

pub(super) fn parse(text: &str) -> Result<Term, FormulaFault> {
    if text.len() > 2_000 {
        return Err(FormulaFault::new((0, text.len()), "a formula has at most 2,000 characters"));
    }
    let mut parser = Parser { text, tokens: lex(text)?, at: 0, depth: 0 };
    let term = parser.level(0)?;
    match parser.tokens.get(parser.at) {
        None => Ok(term),
        Some(rest) => {
            let left = &text[rest.span.0..];
            Err(FormulaFault::new(rest.span, format!("an operator such as + or * is missing before {left:?}")))
        }
    }
}

struct Parser<'t> {
    text: &'t str,
    tokens: Vec<Placed>,
    at: usize,
    depth: usize,
}

/// Binary operators by level, loosest first. `not` binds between `and` and the comparisons.
fn binary(level: usize, token: &Token) -> Option<Operator> {
    use Operator::*;
    let sign = match token {
        Token::Name(name) => name.as_str(),
        Token::Sign(sign) => sign,
        Token::Number(_) | Token::Length(_) | Token::Word(_) => return None,
    };
    let found = match sign {
        "or" => (0, Or),
        "and" => (1, And),
        "<" => (2, Less),
        "<=" => (2, LessOrEqual),
        ">" => (2, Greater),
        ">=" => (2, GreaterOrEqual),
        "=" => (2, Equal),
        "!=" => (2, Unequal),
        "+" => (3, Add),
        "-" => (3, Subtract),
        "*" => (4, Multiply),
        "/" => (4, Divide),
        _ => return None,
    };
    (found.0 == level).then_some(found.1)
}

const COMPARISON: usize = 2;
const TIGHTEST: usize = 5;

impl Parser<'_> {
    fn level(&mut self, level: usize) -> Result<Term, FormulaFault> {
        if level == TIGHTEST {
            return self.unary();
        }
        if level == COMPARISON && self.takes_name("not") {
            let start = self.tokens[self.at - 1].span.0;
            let inner = self.deeper(|parser| parser.level(COMPARISON))?;
            let span = (start, inner.span.1);
            return Ok(Term { tree: Tree::Not(Box::new(inner)), span });
        }
        let mut left = self.level(level + 1)?;
        let mut terms = 0;
        while let Some(operator) = self.tokens.get(self.at).and_then(|next| binary(level, &next.token)) {
            terms += 1;
            if level == COMPARISON && terms > 1 {
                let span = self.tokens[self.at].span;
                return Err(FormulaFault::new(span, "compare two things at a time, and join comparisons with `and`"));
            }
            if terms > 200 {
                return Err(FormulaFault::new(left.span, "this formula is too long"));
            }
            self.at += 1;
            let right = self.level(level + 1)?;
            let span = (left.span.0, right.span.1);
            left = Term { tree: Tree::Binary(operator, Box::new(left), Box::new(right)), span };
        }
        Ok(left)
    }

    fn unary(&mut self) -> Result<Term, FormulaFault> {
        if self.takes_sign("-") {
            let start = self.tokens[self.at - 1].span.0;
            let inner = self.deeper(Parser::unary)?;
            let span = (start, inner.span.1);
            return Ok(Term { tree: Tree::Negate(Box::new(inner)), span });
        }
        self.operand()
    }

    fn operand(&mut self) -> Result<Term, FormulaFault> {
        let Some(Placed { token, span }) = self.tokens.get(self.at).cloned() else {
            let end = self.text.len();
            return Err(FormulaFault::new((end, end), "the formula stops where a measure or a number was expected"));
        };
        self.at += 1;
        let tree = match token {
            Token::Number(number) => Tree::Number(number),
            Token::Length(length) => Tree::Length(length),
            Token::Word(word) => Tree::Word(word),
            Token::Name(name) if self.takes_sign("(") => {
                let arguments = self.deeper(Parser::arguments)?;
                let span = (span.0, self.tokens[self.at - 1].span.1);
                return Ok(Term { tree: Tree::Call(name, arguments), span });
            }
            Token::Name(name) => Tree::Name(name),
            Token::Sign("(") => {
                let inner = self.deeper(|parser| parser.level(0))?;
                self.closes(span)?;
                return Ok(Term { span: (span.0, self.tokens[self.at - 1].span.1), ..inner });
            }
            Token::Sign(sign) => {
                let message = format!("a measure or a number was expected before `{sign}`");
                return Err(FormulaFault::new(span, message));
            }
        };
        Ok(Term { tree, span })
    }

    fn arguments(&mut self) -> Result<Vec<Term>, FormulaFault> {
        let open = self.tokens[self.at - 1].span;
        let mut arguments = Vec::new();
        if self.takes_sign(")") {
            return Ok(arguments);
        }
        loop {
            arguments.push(self.level(0)?);
            if !self.takes_sign(",") {
                self.closes(open)?;
                return Ok(arguments);
            }
        }
    }

    fn closes(&mut self, open: (usize, usize)) -> Result<(), FormulaFault> {
        if self.takes_sign(")") {
            return Ok(());
        }
        Err(FormulaFault::new(open, "this bracket is never closed"))
    }

    fn takes_sign(&mut self, sign: &'static str) -> bool {
        self.takes(|token| *token == Token::Sign(sign))
    }

    fn takes_name(&mut self, name: &str) -> bool {
        self.takes(|token| matches!(token, Token::Name(found) if found == name))
    }

    fn takes(&mut self, wanted: impl Fn(&Token) -> bool) -> bool {
        let found = self.tokens.get(self.at).is_some_and(|next| wanted(&next.token));
        self.at += usize::from(found);
        found
    }

    fn deeper<T>(&mut self, read: impl FnOnce(&mut Self) -> Result<T, FormulaFault>) -> Result<T, FormulaFault> {
        self.depth += 1;
        if self.depth > DEEPEST {
            let span = self.tokens[self.at - 1].span;
            return Err(FormulaFault::new(span, "this formula nests too deeply"));
        }
        let read = read(self);
        self.depth -= 1;
        read
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn broken_formulas_say_where_and_why() {
        let fault = |text: &str| {
            let fault = parse(text).unwrap_err();
            (fault.start, fault.message)
        };
        assert_eq!(fault("2 *"), (3, "the formula stops where a measure or a number was expected".into()));
        assert_eq!(fault("(2 + 3"), (0, "this bracket is never closed".into()));
        assert_eq!(fault("max(2, 3"), (3, "this bracket is never closed".into()));
        assert_eq!(fault("flap 2"), (5, "an operator such as + or * is missing before \"2\"".into()));
        assert_eq!(fault("* 2"), (0, "a measure or a number was expected before `*`".into()));
        assert_eq!(fault("1 < 2 < 3").0, 6);
        assert!(fault(&"(".repeat(500)).1.contains("nests too deeply"));
        assert!(fault(&"-".repeat(500)).1.contains("nests too deeply"));
        assert!(fault(&format!("1{}", "+1".repeat(900))).1.contains("too long"));
    }
}
