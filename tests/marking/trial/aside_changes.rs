//! Set aside: changes to a rule of other kinds than the open ones.

use super::changes::{Change, Site};
use super::tree::Tree;

pub const CHANGES: [Change; 8] = [
    ("a term with the other sign", other_sign),
    ("the smallest for the largest", other_extreme),
    ("another pi", other_pi),
    ("rounded before adding", rounded_first),
    ("a factor one off", factor_off),
    ("the factor on the term beside", factor_beside),
    ("a third for a half", |_, part| match part {
        Tree::Call(name, parts) if name == "half" => {
            let third = Tree::Product(vec![(true, parts[0].clone()), (false, Tree::leaf("3"))]);
            vec![(parts[0].to_string(), third)]
        }
        _ => Vec::new(),
    }),
    ("a measure in two terms", in_two_terms),
];

fn other_sign(_: &Site, part: &Tree) -> Vec<(String, Tree)> {
    let Tree::Sum(terms) = part else { return Vec::new() };
    let forms = (0..terms.len()).map(|at| {
        let mut terms = terms.clone();
        terms[at].0 = !terms[at].0;
        (terms[at].1.to_string(), Tree::Sum(terms))
    });
    forms.collect()
}

fn other_extreme(_: &Site, part: &Tree) -> Vec<(String, Tree)> {
    let Tree::Call(name, parts) = part else { return Vec::new() };
    let others: &[&str] = match &name[..] {
        "max" => &["min"],
        "min" => &["max"],
        "first" => &["last", "max"],
        "last" => &["first"],
        _ => &[],
    };
    others.iter().map(|other| (format!("{other} for {name}"), Tree::Call((*other).to_owned(), parts.clone()))).collect()
}

fn other_pi(_: &Site, part: &Tree) -> Vec<(String, Tree)> {
    if *part != Tree::leaf("pi") {
        return Vec::new();
    }
    ["3", "4", "3.5", "(pi * 2)", "(pi / 2)"].iter().map(|other| ((*other).to_owned(), Tree::leaf(other))).collect()
}

/// Every measure of a sum rounded, to what is quickly counted on the ruler.
fn rounded_first(site: &Site, part: &Tree) -> Vec<(String, Tree)> {
    let Tree::Sum(terms) = part else { return Vec::new() };
    let mark = if site.metric { "5 mm" } else { "1/2 in" };
    let forms = ["round_near", "round_up"].iter().map(|way| {
        let rounded = |term: &Tree| Tree::Call((*way).to_owned(), vec![term.clone(), Tree::leaf(mark)]);
        let terms = terms.iter().map(|(plus, term)| (*plus, rounded(term))).collect();
        (format!("{way} {mark}"), Tree::Sum(terms))
    });
    forms.collect()
}

fn factor_off(_: &Site, part: &Tree) -> Vec<(String, Tree)> {
    let Tree::Product(factors) = part else { return Vec::new() };
    let mut forms = Vec::new();
    for (at, (times, factor)) in factors.iter().enumerate() {
        let Tree::Leaf(text) = factor else { continue };
        let Ok(number) = text.parse::<i64>() else { continue };
        for other in [number - 1, number + 1].into_iter().filter(|other| *other > 1) {
            let mut factors = factors.clone();
            factors[at] = (*times, Tree::leaf(&other.to_string()));
            forms.push((format!("{other} for {number}"), Tree::Product(factors)));
        }
    }
    forms
}

/// `2 * a + b` for `a + 2 * b`.
fn factor_beside(_: &Site, part: &Tree) -> Vec<(String, Tree)> {
    let Tree::Sum(terms) = part else { return Vec::new() };
    let mut forms = Vec::new();
    for (at, (_, term)) in terms.iter().enumerate() {
        let (bare, put): (Tree, Box<dyn Fn(Tree) -> Tree>) = match term {
            Tree::Product(factors) if factors.len() == 2 && factors[0].0 && factors[1].0 => {
                let factor = factors[0].1.clone();
                (factors[1].1.clone(), Box::new(move |on| Tree::Product(vec![(true, factor.clone()), (true, on)])))
            }
            Tree::Call(name, parts) if name == "half" => {
                (parts[0].clone(), Box::new(|on| Tree::Call("half".to_owned(), vec![on])))
            }
            _ => continue,
        };
        for other in (0..terms.len()).filter(|other| *other != at) {
            let mut terms = terms.clone();
            terms[other].1 = put(terms[other].1.clone());
            terms[at].1 = bare.clone();
            forms.push((terms[other].1.to_string(), Tree::Sum(terms)));
        }
    }
    forms
}

/// The first term of a sum in the place of the second as well, or the other way round.
fn in_two_terms(_: &Site, part: &Tree) -> Vec<(String, Tree)> {
    let Tree::Sum(terms) = part else { return Vec::new() };
    if terms.len() < 3 {
        return Vec::new();
    }
    let forms = (1..terms.len()).map(|at| {
        let mut terms = terms.clone();
        terms[at].1 = terms[at - 1].1.clone();
        (terms[at].1.to_string(), Tree::Sum(terms))
    });
    forms.collect()
}
