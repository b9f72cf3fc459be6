//! Random givens from the whole of their stated ranges, and choices anywhere within their limits.

use foldmark::draft::{Bound, Draft, Givens, Measures, WorkFault, range, work};
use foldmark::exercise::{Exercise, GivenKind, LimitKind, Step, StepId, StepRule};
use foldmark::formula::Base;
use foldmark::geometry::Point;
use foldmark::length::Ruler;
use rand_pcg::Pcg64;
use rand_pcg::rand_core::Rng;

/// So many rows of a table at the most: more make a draft longer, but no different.
const MOST_ROWS: usize = 6;

/// Where no limit says how much, a choice is at most this much more than the least: ten inches.
const ROOM: f64 = 254e6;

pub struct Draws {
    dice: Pcg64,
}

/// How the choices of a draft are made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Choices {
    /// By the program.
    Suggested,
    /// Anywhere within their limits.
    Within,
    /// Anywhere from nothing to twice the most that is allowed.
    Wild,
}

/// What came of a draw.
pub struct Drawn<'e> {
    /// The draft.
    pub draft: Result<Draft<'e>, WorkFault>,
    /// A step whose limits pass each other by more than a tick: nobody can choose there. The most that is allowed is
    /// put in, if it is more than nothing; otherwise one tick.
    pub closed: Option<&'e Step>,
    /// Whether every choice could be made within its limits.
    pub is_legal: bool,
}

impl Draws {
    pub fn new(seed: u128) -> Draws {
        Draws { dice: Pcg64::new(seed, 1) }
    }

    /// One of so many, counted from 0. That the first are favoured by one in billions does not matter here.
    fn one_of(&mut self, options: i64) -> i64 {
        (self.dice.next_u64() % options as u64) as i64
    }

    /// A point of a grid of so many by so many.
    pub fn point(&mut self, across: i64) -> Point {
        Point::new(self.one_of(across) as f64, self.one_of(across) as f64)
    }

    /// A multiple of a step within a range; one time in four an end of it, whether or not it is a multiple.
    fn within(&mut self, least: i64, most: i64, step: i64) -> i64 {
        let (first, last) = ((least + step - 1).div_euclid(step), most.div_euclid(step));
        match self.one_of(8) {
            0 => least,
            1 => most,
            _ if first > last => least,
            _ => (first + self.one_of(last - first + 1)) * step,
        }
    }

    /// Givens on a ruler.
    pub fn givens(&mut self, exercise: &Exercise, ruler: Ruler) -> Givens {
        let tick = ruler.tick().nm();
        let mut rows = vec![0; exercise.scope.tables()];
        let mut row_names = Vec::new();
        for given in &exercise.givens {
            if let GivenKind::Table { table, rows: (least, most), each, .. } = &given.kind {
                rows[table.0] = self.within(*least as i64, (*most).min(MOST_ROWS) as i64, 1) as usize;
                row_names.push((1..=rows[table.0]).map(|row| format!("{each} {row}")).collect());
            }
        }
        let mut measures = Measures::new(exercise, &rows, ruler);
        for given in &exercise.givens {
            let (slot, value) = match &given.kind {
                GivenKind::Length { slot, range, .. } => (*slot, self.within(range.0.nm(), range.1.nm(), tick)),
                GivenKind::Number { slot, range, .. } => (*slot, self.within(range.0, range.1, 1)),
                GivenKind::Choice { slot, words, .. } => (*slot, self.one_of(words.len() as i64)),
                GivenKind::Table { .. } => continue,
            };
            measures.set(slot, 0, value as f64);
        }
        for given in &exercise.givens {
            let GivenKind::Table { table, columns, .. } = &given.kind else { continue };
            // One time in two a table's objects are like each other, as they are in a roll.
            let are_alike = self.one_of(2) == 0;
            for column in columns {
                let is_needed = column.is_needed(&measures);
                let (mut least, mut most) = column.range;
                for row in (0..rows[table.0]).filter(|_| is_needed) {
                    let step = if column.is_length { tick } else { 1 };
                    let value = self.within(least, most, step);
                    measures.set(column.slot, row, value as f64);
                    if are_alike && row == 0 {
                        (least, most) = (least.max(value * 3 / 4), most.min(value * 5 / 4));
                    }
                }
            }
        }
        Givens { ruler, row_names, measures }
    }

    /// A draft on a ruler.
    pub fn draft<'e>(&mut self, exercise: &'e Exercise, ruler: Ruler, how: Choices) -> Drawn<'e> {
        let givens = self.givens(exercise, ruler);
        let tick = ruler.tick().as_nm_f64();
        let (mut closed, mut is_legal) = (None, how != Choices::Wild);
        let mut chosen: Vec<(StepId, usize, f64)> = Vec::new();
        for &index in &exercise.order {
            let step = &exercise.steps[index];
            let StepRule::Within { .. } = step.rule else { continue };
            // What the limits use is worked before them; a fault farther on is met again below.
            let mut measures = givens.measures.clone();
            let _ = work(exercise, &mut measures, &|step, row| pick(&chosen, step, row));
            for row in 0..measures.count(exercise, step.slot) {
                let (low, high) = range(step, &measures, row);
                let is_closed = low.is_some_and(|low| low.value > high.map_or(f64::MAX, |high| high.value) + tick);
                let value = match how {
                    Choices::Wild => {
                        let most = high.map_or(ROOM, |high| high.value).max(tick);
                        Some(self.one_of(2 * (most / tick) as i64 + 1) as f64 * tick)
                    }
                    _ if is_closed => {
                        closed = closed.or(Some(step));
                        high.map(|high| if high.value < 1.0 { tick } else { high.value.round() })
                    }
                    _ => self.choice(step, ruler, low, high),
                };
                is_legal &= value.is_some() && !is_closed;
                chosen
                    .extend(value.filter(|_| is_closed || how != Choices::Suggested).map(|value| (index, row, value)));
            }
        }
        Drawn { draft: Draft::choosing(exercise, givens, &|step, row| pick(&chosen, step, row)), closed, is_legal }
    }

    /// A value within limits, on a tick if one lies there; none, if the limits pass each other.
    fn choice(&mut self, step: &Step, ruler: Ruler, low: Option<Bound>, high: Option<Bound>) -> Option<f64> {
        let tick = if step.kind.base == Base::Length { ruler.tick().as_nm_f64() } else { 1.0 };
        let least = low.map_or(0.0, |low| low.value).max(0.0);
        let most = high.map_or(least + ROOM, |high| high.value);
        let is_open = |bound: Option<Bound>, kind: LimitKind| bound.is_some_and(|bound| bound.limit.kind == kind);
        let (above, below) = (is_open(low, LimitKind::Above), is_open(high, LimitKind::Below));
        let (mut first, mut last) = ((least / tick).ceil(), (most / tick).floor());
        if above && first * tick <= least {
            first += 1.0;
        }
        if below && last * tick >= most {
            last -= 1.0;
        }
        if first <= last {
            return Some((first + self.one_of((last - first) as i64 + 1) as f64) * tick);
        }
        let middle = ((least + most) / 2.0).round();
        let fits = |value: f64| {
            (if above { value > least } else { value >= least }) && (if below { value < most } else { value <= most })
        };
        Some(middle).filter(|middle| fits(*middle))
    }
}

fn pick(chosen: &[(StepId, usize, f64)], step: StepId, row: usize) -> Option<f64> {
    chosen.iter().find(|(known, at, _)| (*known, *at) == (step, row)).map(|(_, _, value)| *value)
}

/// The givens of a draft in a few words, to be drawn again by hand.
pub fn told(draft: &Draft) -> String {
    let exercise = draft.exercise;
    let filled = foldmark::check::answer_file(draft, "Clover", true);
    let lines = filled.lines().skip_while(|line| !line.starts_with("ruler")).filter(|line| line.contains(" = "));
    let short = |line: &str| line.split("  #").next().unwrap_or_default().to_owned();
    format!("{}: {}", exercise.name, lines.map(short).collect::<Vec<_>>().join(", "))
}
