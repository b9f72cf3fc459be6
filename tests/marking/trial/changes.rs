//! One change to a step's own rule, of kinds that a student makes: what is left out, counted too often, taken for another.
//! Each gives other forms of one part of a rule.

use super::tree::Tree;
use foldmark::draft::Measures;
use foldmark::exercise::{Exercise, StepId, StepRule};
use foldmark::formula::{Base, Slot, Values};

/// A kind of change, with the forms that it gives of a part.
pub type Change = (&'static str, fn(&Site, &Tree) -> Vec<(String, Tree)>);

/// Where a change is made.
pub struct Site<'e> {
    pub exercise: &'e Exercise,
    pub step: StepId,
    /// Whether the student has a metric ruler.
    pub metric: bool,
    pub drafts: &'e [&'e Measures],
}

impl Site<'_> {
    /// Whether one measure is easily taken for another: no less than a third of it, and no more than three times as much, in
    /// half of the drafts.
    fn are_near(&self, one: Slot, other: Slot) -> bool {
        let near = |draft: &&&Measures| {
            let both = draft.value(one, 0).zip(draft.value(other, 0));
            both.is_some_and(|(one, other)| one <= 3.0 * other && other <= 3.0 * one)
        };
        2 * self.drafts.iter().filter(near).count() >= self.drafts.len()
    }
}

pub const CHANGES: [Change; 9] = [
    ("a term dropped", dropped),
    ("a term twice", |_, part| terms(part, |term| Some(term.clone().times("2")))),
    ("a term halved", |_, part| terms(part, |term| Some(Tree::Call("half".to_owned(), vec![term.clone()])))),
    ("a factor left out", factor_left_out),
    ("a bracket forgotten", bracket_forgotten),
    ("a measure of the same kind", neighbour),
    ("before for after the allowance", before_and_after),
    ("an allowance where none belongs", allowance_added),
    ("pi left out", |_, part| match part {
        Tree::Product(factors) => without(factors, |factor| *factor == Tree::leaf("pi")),
        _ => Vec::new(),
    }),
];

/// The same sum with one of its terms in another form.
fn terms(part: &Tree, form: impl Fn(&Tree) -> Option<Tree>) -> Vec<(String, Tree)> {
    let Tree::Sum(terms) = part else { return Vec::new() };
    let changed = terms.iter().enumerate().filter_map(|(at, (_, term))| {
        let mut terms = terms.clone();
        terms[at].1 = form(term)?;
        Some((term.to_string(), Tree::Sum(terms)))
    });
    changed.collect()
}

fn dropped(_: &Site, part: &Tree) -> Vec<(String, Tree)> {
    let Tree::Sum(terms) = part else { return Vec::new() };
    let left = (0..terms.len()).map(|at| {
        let mut left = terms.clone();
        let (_, term) = left.remove(at);
        let left = if left.len() == 1 && left[0].0 { left.remove(0).1 } else { Tree::Sum(left) };
        (term.to_string(), left)
    });
    left.collect()
}

/// A product without one of its factors.
fn without(factors: &[(bool, Tree)], such: impl Fn(&Tree) -> bool) -> Vec<(String, Tree)> {
    let left = (0..factors.len()).filter(|at| such(&factors[*at].1)).map(|at| {
        let mut left = factors.to_vec();
        let (_, factor) = left.remove(at);
        (factor.to_string(), if left.len() == 1 && left[0].0 { left.remove(0).1 } else { Tree::Product(left) })
    });
    left.collect()
}

fn is_plain_number(part: &Tree) -> bool {
    matches!(part, Tree::Leaf(text) if text.parse::<f64>().is_ok())
}

fn factor_left_out(_: &Site, part: &Tree) -> Vec<(String, Tree)> {
    match part {
        Tree::Product(factors) => without(factors, |factor| {
            is_plain_number(factor)
                || matches!(factor, Tree::Leaf(text) if text.ends_with(".count") || text == "leaves")
        }),
        Tree::Call(name, parts) if name == "half" => vec![("half".to_owned(), parts[0].clone())],
        _ => Vec::new(),
    }
}

/// Only the first of what stands in brackets gets the factor before them.
fn bracket_forgotten(_: &Site, part: &Tree) -> Vec<(String, Tree)> {
    let spread = |sum: &Tree, put: &dyn Fn(Tree) -> Tree| {
        let Tree::Sum(terms) = sum else { return Vec::new() };
        let forms = (0..terms.len()).map(|at| {
            let mut terms = terms.clone();
            terms[at].1 = put(terms[at].1.clone());
            (terms[at].1.to_string(), Tree::Sum(terms))
        });
        forms.collect()
    };
    match part {
        Tree::Call(name, parts) if name == "half" => {
            spread(&parts[0], &|term| Tree::Call("half".to_owned(), vec![term]))
        }
        Tree::Product(factors) => {
            let Some(at) = factors.iter().position(|(_, factor)| matches!(factor, Tree::Sum(_))) else {
                return Vec::new();
            };
            spread(&factors[at].1, &|term| {
                let mut factors = factors.clone();
                factors[at].1 = term;
                Tree::Product(factors)
            })
        }
        _ => Vec::new(),
    }
}

/// The measure of the same kind that stands before in the text, and the one after; one of the same rule; and the one that
/// is called the same but for one word.
fn neighbour(site: &Site, part: &Tree) -> Vec<(String, Tree)> {
    let Tree::Leaf(name) = part else { return Vec::new() };
    let exercise = site.exercise;
    let scope = &exercise.scope;
    let Some(slot) = scope.slot(name) else { return Vec::new() };
    let own = exercise.steps[site.step].slot;
    if matches!(scope.kind(slot).base, Base::Word(_)) {
        return Vec::new();
    }
    // What stands before the student at this step: the givens and the steps so far.
    let alike: Vec<Slot> = (0..own.0).map(Slot).filter(|other| scope.kind(*other) == scope.kind(slot)).collect();
    let Some(at) = alike.iter().position(|other| *other == slot) else { return Vec::new() };
    let words = [
        ("width", "height"),
        ("wide", "high"),
        ("long", "short"),
        ("front", "back"),
        ("upper", "lower"),
        ("seam", "hem"),
    ];
    let is_partner =
        |other: &str| words.iter().any(|(one, two)| name.replace(one, two) == other || name.replace(two, one) == other);
    let same_rule: Vec<Slot> = exercise.steps[site.step].formulas().flat_map(|rule| rule.uses()).copied().collect();
    let near = alike
        .iter()
        .enumerate()
        .filter(|(other, slot)| other.abs_diff(at) == 1 || same_rule.contains(slot) || is_partner(scope.name(**slot)));
    let others = near.map(|(_, other)| *other).filter(|other| *other != slot && site.are_near(slot, *other));
    others.map(|other| (format!("{} for {name}", scope.name(other)), Tree::leaf(scope.name(other)))).collect()
}

/// The measure as cut for the finished one, and the other way round: two steps of which one is the other with an
/// allowance.
fn before_and_after(site: &Site, part: &Tree) -> Vec<(String, Tree)> {
    let Tree::Leaf(name) = part else { return Vec::new() };
    let exercise = site.exercise;
    let Some(slot) = exercise.scope.slot(name) else { return Vec::new() };
    let allowances = allowances(exercise);
    let mut forms = Vec::new();
    for (index, step) in exercise.steps.iter_enumerated().filter(|(index, _)| *index != site.step) {
        let StepRule::Value(rule) = &step.rule else { continue };
        let uses = rule.uses();
        let is_cut = uses.iter().any(|used| allowances.contains(used));
        let comes_later = exercise.rests_on(index, &|used| used == site.step);
        if is_cut
            && !comes_later
            && site.are_near(slot, step.slot)
            && step.kind == exercise.scope.kind(slot)
            && uses.contains(&slot)
        {
            forms.push((format!("{} for {name}", step.name), Tree::leaf(&step.name)));
        }
        if is_cut && step.slot == slot {
            let finished =
                uses.iter().filter(|used| !allowances.contains(used) && exercise.scope.kind(**used) == step.kind);
            let names = finished.map(|used| exercise.scope.name(*used));
            forms.extend(names.map(|finished| (format!("{finished} for {name}"), Tree::leaf(finished))));
        }
    }
    forms
}

fn allowance_added(site: &Site, part: &Tree) -> Vec<(String, Tree)> {
    let step = &site.exercise.steps[site.step];
    let StepRule::Value(rule) = &step.rule else { return Vec::new() };
    let whole = super::tree::read(rule.text());
    if whole.as_ref() != Some(part) || step.kind.base != Base::Length || step.kind.list.is_some() {
        return Vec::new();
    }
    let mut forms = Vec::new();
    // The first is the usual one, which may be added twice.
    for (allowance, often) in allowances(site.exercise).into_iter().zip([&["1", "2"][..], &["1"]]) {
        if rule.uses().contains(&allowance) {
            continue;
        }
        let name = site.exercise.scope.name(allowance);
        for times in often {
            let more = Tree::leaf(name).times(times);
            forms.push((format!("{times} x {name}"), Tree::Sum(vec![(true, part.clone()), (true, more)])));
        }
    }
    forms
}

/// The givens that an edge is cut with, or that are called an allowance, a hem or a turn.
pub fn allowances(exercise: &Exercise) -> Vec<Slot> {
    let edges = exercise.pieces.iter().flat_map(|piece| piece.allowances()).flat_map(|formula| formula.uses());
    let edges: Vec<Slot> = edges.copied().collect();
    let called = |slot: Slot| {
        let title = exercise.scope.title(slot).to_lowercase();
        ["allowance", "hem", "turned"].iter().any(|word| title.contains(word))
    };
    let first_step = exercise.steps.iter().map(|step| step.slot.0).min().unwrap_or(0);
    let is_single_length = |slot: &Slot| {
        let kind = exercise.scope.kind(*slot);
        kind.base == Base::Length && kind.list.is_none()
    };
    (0..first_step).map(Slot).filter(is_single_length).filter(|slot| edges.contains(slot) || called(*slot)).collect()
}
