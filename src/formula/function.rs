//! The short table of functions.

/// A function of the formula language.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Function {
    /// The rows of a list added up.
    Sum,
    /// The largest of a list, or of several values.
    Max,
    /// The smallest of a list, or of several values.
    Min,
    /// How many rows a list has.
    Count,
    /// The first row of a list.
    First,
    /// The last row of a list.
    Last,
    /// Half of a value.
    Half,
    /// A value without its sign.
    Abs,
    /// A length whose square is the area; the root of a number.
    Sqrt,
    /// Up to a tick of the ruler, or to a multiple of the second value.
    RoundUp,
    /// Down to a tick.
    RoundDown,
    /// To the nearest tick; a value half-way goes up.
    RoundNear,
    /// Whether a number is odd.
    Odd,
    /// Whether a length falls on a tick of the ruler, or on a multiple of the second value.
    OnTick,
    /// The second value if the first holds, otherwise the third.
    If,
}

/// Every function with its name and what it does, in the order in which help lists them.
pub const FUNCTIONS: [(&str, Function, &str); 15] = [
    ("sum", Function::Sum, "the rows of a list added up"),
    ("max", Function::Max, "the largest of a list, or of several values"),
    ("min", Function::Min, "the smallest of a list, or of several values"),
    ("count", Function::Count, "how many rows a list has"),
    ("first", Function::First, "the first row of a list"),
    ("last", Function::Last, "the last row of a list"),
    ("half", Function::Half, "half of a value"),
    ("abs", Function::Abs, "a value without its sign"),
    ("sqrt", Function::Sqrt, "the square root of an area (a length) or of a number"),
    ("round_up", Function::RoundUp, "up to a tick of the ruler, or to a multiple of the second value"),
    ("round_down", Function::RoundDown, "down to a tick, or to a multiple of the second value"),
    ("round_near", Function::RoundNear, "to the nearest tick, or multiple of the second value; half-way goes up"),
    ("odd", Function::Odd, "whether a whole number is odd"),
    ("on_tick", Function::OnTick, "whether a length falls on a tick, or on a multiple of the second value"),
    ("if", Function::If, "if(condition, value, otherwise)"),
];

impl Function {
    pub(super) fn named(name: &str) -> Option<Function> {
        FUNCTIONS.iter().find(|(known, ..)| *known == name).map(|(_, function, _)| *function)
    }

    /// Folds the rows of a list into one value.
    pub(super) fn folds(self) -> bool {
        use Function::*;
        matches!(self, Sum | Max | Min | Count | First | Last)
    }

    pub(super) fn rounds(self) -> bool {
        matches!(self, Function::RoundUp | Function::RoundDown | Function::RoundNear)
    }
}

/// `value` moved to a multiple of `tick`. A value that lies within a millionth of a tick of a multiple
/// counts as lying on it, so that rounding noise of a division never costs a whole tick.
pub(super) fn to_tick(function: Function, value: f64, tick: f64) -> f64 {
    let ticks = value / tick;
    let nearest = libm::floor(ticks + 0.5);
    let whole = if (ticks - nearest).abs() < 1e-6 {
        nearest
    } else {
        match function {
            Function::RoundUp => libm::ceil(ticks),
            Function::RoundDown => libm::floor(ticks),
            _ => nearest,
        }
    };
    whole * tick
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rounding_noise_costs_no_tick() {
        assert_eq!(to_tick(Function::RoundUp, 0.1 + 0.2, 0.1), 3.0 * 0.1);
        assert_eq!(to_tick(Function::RoundUp, 3.2, 1.0), 4.0);
        assert_eq!(to_tick(Function::RoundDown, 3.8, 1.0), 3.0);
        assert_eq!(to_tick(Function::RoundNear, 3.5, 1.0), 4.0);
        assert_eq!(to_tick(Function::RoundNear, -3.5, 1.0), -3.0);
    }
}
