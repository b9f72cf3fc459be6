//! The short table of functions, split by what they do with what they are given: whoever adds one to a group is shown by
//! the compiler every place that has to know of it.

use super::fault::FormulaFault;
use super::kind::Base;

/// A function of the formula language.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Function {
    /// Of a list, over its rows; the largest and smallest of several values as well.
    Fold(Fold),
    /// Of one value, or of each of a list.
    Of(Of),
    /// Of a value and a tick, the ruler's where none is named.
    Tick(Tick),
    /// The second value if the first holds, otherwise the third.
    If,
}

/// What makes one value of the rows of a list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fold {
    /// The rows added up.
    Sum,
    /// The largest or the smallest.
    Extreme(Extreme),
    /// How many rows there are.
    Count,
    /// The first row.
    First,
    /// The last row.
    Last,
}

/// Which of several values is picked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Extreme {
    /// The largest.
    Max,
    /// The smallest.
    Min,
}

/// What is made of one value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Of {
    /// Half of it.
    Half,
    /// It, without its sign.
    Abs,
    /// A length whose square is the area; the root of a number.
    Sqrt,
    /// Whether a number is odd.
    Odd,
}

/// What is asked of a value and a tick.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tick {
    /// The value moved to a multiple of the tick.
    Round(Round),
    /// Whether it is a multiple already.
    On,
}

/// Which way a value is moved to a tick.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Round {
    /// Up.
    Up,
    /// Down.
    Down,
    /// To the nearest; a value half-way goes up.
    Near,
}

/// Every function with its name and what it does, in the order in which help lists them.
pub const FUNCTIONS: [(&str, Function, &str); 15] = [
    ("sum", Function::Fold(Fold::Sum), "the rows of a list added up"),
    ("max", Function::Fold(Fold::Extreme(Extreme::Max)), "the largest of a list, or of several values"),
    ("min", Function::Fold(Fold::Extreme(Extreme::Min)), "the smallest of a list, or of several values"),
    ("count", Function::Fold(Fold::Count), "how many rows a list has"),
    ("first", Function::Fold(Fold::First), "the first row of a list"),
    ("last", Function::Fold(Fold::Last), "the last row of a list"),
    ("half", Function::Of(Of::Half), "half of a value"),
    ("abs", Function::Of(Of::Abs), "a value without its sign"),
    ("sqrt", Function::Of(Of::Sqrt), "the square root of an area (a length) or of a number"),
    (
        "round_up",
        Function::Tick(Tick::Round(Round::Up)),
        "up to a tick of the ruler, or to a multiple of the second value",
    ),
    ("round_down", Function::Tick(Tick::Round(Round::Down)), "down to a tick, or to a multiple of the second value"),
    (
        "round_near",
        Function::Tick(Tick::Round(Round::Near)),
        "to the nearest tick, or multiple of the second value; half-way goes up",
    ),
    ("odd", Function::Of(Of::Odd), "whether a whole number is odd"),
    ("on_tick", Function::Tick(Tick::On), "whether a length falls on a tick, or on a multiple of the second value"),
    ("if", Function::If, "if(condition, value, otherwise)"),
];

impl Function {
    pub(super) fn named(name: &str) -> Option<Function> {
        FUNCTIONS.iter().find(|(known, ..)| *known == name).map(|(_, function, _)| *function)
    }
}

impl Fold {
    /// One value of so many rows, of which `at` gives each; `None` where there is none to take.
    #[inline]
    pub(super) fn value(self, rows: usize, at: impl Fn(usize) -> f64) -> Option<f64> {
        match self {
            Fold::Count => Some(rows as f64),
            Fold::Sum => {
                let mut sum = 0.0;
                for row in 0..rows {
                    sum += at(row);
                }
                Some(sum)
            }
            Fold::First => (rows > 0).then(|| at(0)),
            Fold::Last => rows.checked_sub(1).map(at),
            Fold::Extreme(extreme) => {
                let mut best = (rows > 0).then(|| at(0))?;
                for row in 1..rows {
                    best = extreme.pick(best, at(row));
                }
                Some(best)
            }
        }
    }
}

impl Extreme {
    /// The one of two values that is asked for.
    #[inline]
    pub(super) fn pick(self, best: f64, next: f64) -> f64 {
        let better = match self {
            Extreme::Max => next > best,
            Extreme::Min => next < best,
        };
        // f64::max would drop what is no number, and with it the sign that something went wrong.
        if better || next.is_nan() { next } else { best }
    }
}

impl Of {
    /// What it makes of a value.
    #[inline]
    pub(super) fn value(self, value: f64) -> f64 {
        match self {
            Of::Half => value / 2.0,
            Of::Abs => value.abs(),
            Of::Sqrt => value.sqrt(),
            Of::Odd => f64::from(libm::fmod(value.abs(), 2.0) == 1.0),
        }
    }

    /// What it makes of a kind of value, which stands at `span`.
    ///
    /// # Errors
    /// That it can't be taken of this kind.
    pub(super) fn base(self, base: Base, span: (usize, usize)) -> Result<Base, FormulaFault> {
        match (self, base) {
            (Of::Half | Of::Abs, base) => Ok(base),
            (Of::Sqrt, Base::Area) => Ok(Base::Length),
            (Of::Sqrt, Base::Length) => {
                let message = "the square root of a length has no meaning; it takes an area or a number";
                Err(FormulaFault::new(span, message))
            }
            (Of::Sqrt, base) => Ok(base),
            (Of::Odd, Base::Number) => Ok(Base::Truth),
            (Of::Odd, other) => {
                Err(FormulaFault::new(span, format!("only a number can be odd, and this is {}", other.with_article())))
            }
        }
    }
}

impl Tick {
    /// What it makes of a value and a tick.
    pub(super) fn value(self, value: f64, tick: f64) -> f64 {
        match self {
            Tick::Round(way) => way.to_tick(value, tick),
            Tick::On => f64::from((value - Round::Near.to_tick(value, tick)).abs() < 0.5),
        }
    }

    /// What it makes of a kind of value.
    pub(super) fn base(self, base: Base) -> Base {
        match self {
            Tick::Round(_) => base,
            Tick::On => Base::Truth,
        }
    }
}

impl Round {
    /// `value` moved to a multiple of `tick`. A value that lies within a millionth of a tick of a multiple
    /// counts as lying on it, so that rounding noise of a division never costs a whole tick.
    fn to_tick(self, value: f64, tick: f64) -> f64 {
        let ticks = value / tick;
        let nearest = libm::floor(ticks + 0.5);
        let whole = if (ticks - nearest).abs() < 1e-6 {
            nearest
        } else {
            match self {
                Round::Up => libm::ceil(ticks),
                Round::Down => libm::floor(ticks),
                Round::Near => nearest,
            }
        };
        whole * tick
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rounding_noise_costs_no_tick() {
        assert_eq!(Round::Up.to_tick(0.1 + 0.2, 0.1), 3.0 * 0.1);
        assert_eq!(Round::Up.to_tick(3.2, 1.0), 4.0);
        assert_eq!(Round::Down.to_tick(3.8, 1.0), 3.0);
        assert_eq!(Round::Near.to_tick(3.5, 1.0), 4.0);
        assert_eq!(Round::Near.to_tick(-3.5, 1.0), -3.0);
    }
}
