//! A formula's text as a tree, to be changed at one place as a student would.

use std::fmt;

/// A part of a formula. Conditions are left as they are written.
#[derive(Debug, Clone, PartialEq)]
pub enum Tree {
    /// A number, a length, a measure, a condition.
    Leaf(String),
    /// A function of some parts.
    Call(String, Vec<Tree>),
    /// Parts added, or taken off where it is false.
    Sum(Vec<(bool, Tree)>),
    /// Parts multiplied, or divided by where it is false.
    Product(Vec<(bool, Tree)>),
}

/// Reads a formula; nothing, for what can't be read here.
pub fn read(text: &str) -> Option<Tree> {
    let tokens = tokens(text)?;
    let mut reader = Reader { tokens: &tokens, at: 0 };
    let tree = reader.sum()?;
    (reader.at == tokens.len()).then_some(tree)
}

fn tokens(text: &str) -> Option<Vec<String>> {
    let mut tokens = Vec::new();
    let mut rest = text.trim_start();
    while let Some(first) = rest.chars().next() {
        let length = if first.is_ascii_digit() {
            number(rest)
        } else if first.is_ascii_alphabetic() {
            rest.find(|c: char| !(c.is_ascii_alphanumeric() || c == '_' || c == '.')).unwrap_or(rest.len())
        } else if first == '\'' {
            rest[1..].find('\'')? + 2
        } else if rest.starts_with("!=") || rest.starts_with(">=") || rest.starts_with("<=") {
            2
        } else {
            first.len_utf8()
        };
        tokens.push(rest[..length].to_owned());
        rest = rest[length..].trim_start();
    }
    Some(tokens)
}

/// How long a number is, with its fraction and its unit: `1 1/2 in`, `0.6`, `3 mm`.
fn number(text: &str) -> usize {
    let digits = |from: usize| {
        let is_digit = |c: char| c.is_ascii_digit() || c == '.' || c == '/';
        from + text[from..].find(|c| !is_digit(c)).unwrap_or(text.len() - from)
    };
    let mut end = digits(0);
    let next = text[end..].trim_start();
    let part = next.split(' ').next().unwrap_or_default();
    if part.contains('/') && part.starts_with(|c: char| c.is_ascii_digit()) {
        end = digits(text.len() - next.len());
    }
    let next = text[end..].trim_start();
    for unit in ["in", "cm", "mm"] {
        if next
            .strip_prefix(unit)
            .is_some_and(|after| !after.starts_with(|c: char| c.is_ascii_alphanumeric() || c == '_'))
        {
            return text.len() - next.len() + unit.len();
        }
    }
    end
}

struct Reader<'t> {
    tokens: &'t [String],
    at: usize,
}

impl Reader<'_> {
    fn peek(&self) -> &str {
        self.tokens.get(self.at).map_or("", String::as_str)
    }

    fn take(&mut self, wanted: &str) -> Option<()> {
        let found = self.peek() == wanted;
        self.at += usize::from(found);
        found.then_some(())
    }

    fn sum(&mut self) -> Option<Tree> {
        let mut terms = vec![(self.take("-").is_none(), self.product()?)];
        while matches!(self.peek(), "+" | "-") {
            let plus = self.take("+").is_some() || self.take("-").is_none();
            terms.push((plus, self.product()?));
        }
        Some(if terms.len() == 1 && terms[0].0 { terms.remove(0).1 } else { Tree::Sum(terms) })
    }

    fn product(&mut self) -> Option<Tree> {
        let mut factors = vec![(true, self.single()?)];
        while matches!(self.peek(), "*" | "/") {
            let times = self.take("*").is_some() || self.take("/").is_none();
            factors.push((times, self.single()?));
        }
        Some(if factors.len() == 1 { factors.remove(0).1 } else { Tree::Product(factors) })
    }

    fn single(&mut self) -> Option<Tree> {
        if self.take("(").is_some() {
            let inner = self.sum()?;
            self.take(")")?;
            return Some(inner);
        }
        let token = self.peek().to_owned();
        if !token.starts_with(|c: char| c.is_ascii_alphanumeric()) {
            return None;
        }
        self.at += 1;
        if self.take("(").is_none() {
            return Some(Tree::Leaf(token));
        }
        let mut parts = if token == "if" { vec![self.condition()?] } else { vec![self.sum()?] };
        while self.take(",").is_some() {
            parts.push(self.sum()?);
        }
        self.take(")")?;
        Some(Tree::Call(token, parts))
    }

    fn condition(&mut self) -> Option<Tree> {
        let (from, mut depth) = (self.at, 0);
        while self.at < self.tokens.len() {
            match self.peek() {
                "(" => depth += 1,
                ")" => depth -= 1,
                "," if depth == 0 => return Some(Tree::Leaf(self.tokens[from..self.at].join(" "))),
                _ => {}
            }
            self.at += 1;
        }
        None
    }
}

impl fmt::Display for Tree {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Tree::Leaf(text) => f.write_str(text),
            Tree::Call(name, parts) => {
                let parts: Vec<String> = parts.iter().map(Tree::to_string).collect();
                write!(f, "{name}({})", parts.join(", "))
            }
            Tree::Sum(terms) => {
                for (at, (plus, term)) in terms.iter().enumerate() {
                    match (at, plus) {
                        (0, true) => {}
                        (0, false) => f.write_str("0 in - ")?,
                        (_, true) => f.write_str(" + ")?,
                        (_, false) => f.write_str(" - ")?,
                    }
                    match term {
                        Tree::Sum(_) => write!(f, "({term})")?,
                        _ => write!(f, "{term}")?,
                    }
                }
                Ok(())
            }
            Tree::Product(factors) => {
                for (at, (times, factor)) in factors.iter().enumerate() {
                    match (at, times) {
                        (0, true) => {}
                        (0, false) => f.write_str("1 / ")?,
                        (_, true) => f.write_str(" * ")?,
                        (_, false) => f.write_str(" / ")?,
                    }
                    match factor {
                        Tree::Sum(_) | Tree::Product(_) => write!(f, "({factor})")?,
                        _ => write!(f, "{factor}")?,
                    }
                }
                Ok(())
            }
        }
    }
}

impl Tree {
    /// Every tree that differs from this one in one part, which `change` gives other forms of.
    pub fn changed(&self, change: &dyn Fn(&Tree) -> Vec<(String, Tree)>) -> Vec<(String, Tree)> {
        let mut all = change(self);
        let mut within = |parts: Vec<&Tree>, put: &dyn Fn(usize, Tree) -> Tree| {
            for (at, part) in parts.into_iter().enumerate() {
                all.extend(part.changed(change).into_iter().map(|(what, tree)| (what, put(at, tree))));
            }
        };
        let put_pair = |terms: &[(bool, Tree)], at: usize, tree: Tree| {
            let mut terms = terms.to_vec();
            terms[at].1 = tree;
            terms
        };
        match self {
            Tree::Leaf(_) => {}
            Tree::Call(name, parts) => within(parts.iter().collect(), &|at, tree| {
                let mut parts = parts.clone();
                parts[at] = tree;
                Tree::Call(name.clone(), parts)
            }),
            Tree::Sum(terms) => {
                within(terms.iter().map(|(_, term)| term).collect(), &|at, tree| Tree::Sum(put_pair(terms, at, tree)));
            }
            Tree::Product(factors) => within(factors.iter().map(|(_, factor)| factor).collect(), &|at, tree| {
                Tree::Product(put_pair(factors, at, tree))
            }),
        }
        all
    }

    /// So many times this.
    pub fn times(self, factor: &str) -> Tree {
        Tree::Product(vec![(true, Tree::Leaf(factor.to_owned())), (true, self)])
    }

    pub fn leaf(text: &str) -> Tree {
        Tree::Leaf(text.to_owned())
    }
}
