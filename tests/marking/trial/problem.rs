//! Problems to be answered, and the chance they are made with.
//!
//! Half of them are practice problems, tidy as the author wanted them. The other half are what students bring
//! along: the same givens, each on any tick between the ends of what practice varies, with none of the author's
//! conditions. Those are invented here, apart from the practice room.

use foldmark::draft::{Draft, Givens, Measures, broken_limit, range, work};
use foldmark::exercise::{Exercise, GivenKind, StepRule, Vary, usual_on};
use foldmark::formula::{Base, Values};
use foldmark::length::{Length, Ruler, Tolerance};
use foldmark::practice::{PracticeFault, set};
use rand_pcg::Pcg64;
use rand_pcg::rand_core::Rng;

/// What the whole trial begins with.
pub fn trial_seed() -> u64 {
    std::env::var("FOLDMARK_SEED").ok().and_then(|seed| seed.parse().ok()).unwrap_or(2026)
}

/// Chance from a seed: the same on every machine.
#[derive(Clone)]
pub struct Dice(Pcg64);

impl Dice {
    pub fn new(seed: usize, purpose: &str) -> Dice {
        // FNV-1a, 64 bit; any fixed mixing of the bytes would do.
        let stream = purpose
            .bytes()
            .fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3));
        Dice(Pcg64::new(u128::from(trial_seed()) << 64 | seed as u128, u128::from(stream)))
    }

    /// A number below `end`, which is at least 1.
    pub fn below(&mut self, end: usize) -> usize {
        (self.0.next_u64() % end.max(1) as u64) as usize
    }

    pub fn percent(&mut self, percent: usize) -> bool {
        self.below(100) < percent
    }

    /// From 0 up to, not including, 1.
    pub fn share(&mut self) -> f64 {
        self.below(1 << 30) as f64 / (1_u64 << 30) as f64
    }

    pub fn pick<'t, T>(&mut self, items: &'t [T]) -> Option<&'t T> {
        if items.is_empty() { None } else { Some(&items[self.below(items.len())]) }
    }
}

/// So many problems of an exercise on a ruler, practice problems and own ones in turn.
pub fn problems(exercise: &Exercise, ruler: Ruler, count: usize) -> Vec<Givens> {
    let seed = trial_seed();
    let tidy = match set(exercise, ruler, count.div_ceil(2), seed) {
        Err(PracticeFault::TooFew { exist, .. }) if exist > 0 => set(exercise, ruler, exist, seed),
        made => made,
    };
    let mut tidy = tidy.unwrap_or_default().into_iter().map(|problem| problem.draft.givens);
    let mut all = Vec::new();
    for index in 0..count {
        let next = if index % 2 == 0 { tidy.next() } else { None };
        all.push(next.unwrap_or_else(|| own_problem(exercise, ruler, index)));
    }
    all
}

/// Givens on any tick, for which the draft can be worked and every choice has room.
pub fn own_problem(exercise: &Exercise, ruler: Ruler, index: usize) -> Givens {
    let mut dice = Dice::new(index, &format!("{} on {ruler}", exercise.name));
    for _ in 0..20_000 {
        let measures = draw(exercise, ruler, &mut dice);
        let mut worked = measures.clone();
        if work(exercise, &mut worked, &|_, _| None).is_err() || !is_sound(exercise, ruler, &worked) {
            continue;
        }
        let names = exercise.givens.iter().filter_map(|given| match &given.kind {
            GivenKind::Table { table, each, .. } => {
                Some((1..=measures.rows(*table)).map(|row| format!("{each} {row}")).collect())
            }
            _ => None,
        });
        return Givens { ruler, row_names: names.collect(), measures };
    }
    panic!("{}: no sound problem was found on {ruler}", exercise.name);
}

fn draw(exercise: &Exercise, ruler: Ruler, dice: &mut Dice) -> Measures {
    let mut rows = vec![0; exercise.scope.tables()];
    for given in &exercise.givens {
        if let GivenKind::Table { table, rows: range, varies, .. } = &given.kind {
            let (least, most) = varies.as_ref().map_or(*range, |(least, most, _)| (*least, *most));
            rows[table.0] = least + dice.below(most - least + 1);
        }
    }
    let mut measures = Measures::new(exercise, &rows, ruler);
    for given in &exercise.givens {
        let (slot, value) = match &given.kind {
            GivenKind::Length { slot, usual, varies, .. } => {
                let usual = usual_on(ruler, usual).map_or(f64::NAN, Length::as_nm_f64);
                (*slot, varied(varies.as_ref(), ruler, dice).unwrap_or(usual))
            }
            GivenKind::Number { slot, usual, varies, .. } => {
                (*slot, varied(varies.as_ref(), ruler, dice).unwrap_or(usual.unwrap_or(1) as f64))
            }
            GivenKind::Choice { slot, words, .. } => (*slot, dice.below(words.len()) as f64),
            GivenKind::Table { .. } => continue,
        };
        measures.set(slot, 0, value);
    }
    for given in &exercise.givens {
        let GivenKind::Table { table, columns, .. } = &given.kind else { continue };
        for row in 0..rows[table.0] {
            for column in columns.iter().filter(|column| column.is_needed(&measures)).collect::<Vec<_>>() {
                if let Some(value) = varied(column.varies.as_ref(), ruler, dice) {
                    measures.set(column.slot, row, value);
                }
            }
        }
    }
    measures
}

/// Any tick between the least and the greatest that practice gives.
fn varied(varies: Option<&Vary>, ruler: Ruler, dice: &mut Dice) -> Option<f64> {
    let tick = ruler.tick().nm();
    let mut between = |from: i64, to: i64| {
        let (first, last) = ((from + tick - 1) / tick, to / tick);
        Length::from_nm((first + dice.below((last - first + 1).max(1) as usize) as i64) * tick).as_nm_f64()
    };
    match varies? {
        Vary::Ticks { from, to, .. } => Some(between(from.nm(), to.nm())),
        Vary::OneOf(lengths) => {
            let lengths: Vec<i64> = lengths.iter().map(|one| one.length.nm()).collect();
            Some(between(*lengths.iter().min()?, *lengths.iter().max()?))
        }
        Vary::Number { parts, from, to } => Some(parts.value(from + dice.below((to - from + 1) as usize) as i64)),
        Vary::Words(words) => dice.pick(words).map(|word| *word as f64),
    }
}

fn is_sound(exercise: &Exercise, ruler: Ruler, measures: &Measures) -> bool {
    let tick = ruler.tick().as_nm_f64();
    for step in &exercise.steps {
        for row in 0..measures.count(exercise, step.slot) {
            let value = measures.value(step.slot, row).unwrap_or(f64::NAN);
            if !value.is_finite() || value < tick && step.kind.base == Base::Length {
                return false;
            }
            let StepRule::Within { .. } = step.rule else { continue };
            let has_room = match range(step, measures, row) {
                (Some(low), Some(high)) => high.value - low.value >= tick,
                _ => true,
            };
            if !has_room || broken_limit(step, value, measures, row, Tolerance::exactly()).is_some() {
                return false;
            }
        }
    }
    let givens = Givens { ruler, row_names: Vec::new(), measures: measures.clone() };
    let draft = Draft { exercise, givens, measures: measures.clone() };
    draft.pieces().all(|piece| draft.piece(piece).is_ok())
}
