//! Points, counted in hundredths so that a part of a point stays exact.

use serde::{Serialize, Serializer};
use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign};

/// Points earned or to be had, exact to a hundredth.
///
/// ```
/// use foldmark::class::Points;
/// let three = Points::of(3);
/// assert_eq!(three.part(50).to_string(), "1.5");
/// assert_eq!((three + Points::of(1)).to_string(), "4");
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Points(u32);

impl Points {
    /// None.
    pub const NONE: Points = Points(0);

    /// Whole points.
    pub const fn of(whole: u32) -> Points {
        Points(whole.saturating_mul(100))
    }

    /// So many percent of them, halves of a hundredth rounded up.
    pub const fn part(self, percent: u32) -> Points {
        Points((self.0.saturating_mul(percent) + 50) / 100)
    }

    /// How many they are, if they are whole points.
    pub const fn whole(self) -> Option<u32> {
        if self.0.is_multiple_of(100) { Some(self.0 / 100) } else { None }
    }

    /// So many hundredths of a point.
    pub const fn of_hundredths(hundredths: u32) -> Points {
        Points(hundredths)
    }

    /// How many hundredths of a point they are.
    pub const fn hundredths(self) -> u32 {
        self.0
    }
}

impl fmt::Display for Points {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (whole, part) = (self.0 / 100, self.0 % 100);
        match part {
            0 => write!(f, "{whole}"),
            part if part % 10 == 0 => write!(f, "{whole}.{}", part / 10),
            part => write!(f, "{whole}.{part:02}"),
        }
    }
}

impl Add for Points {
    type Output = Points;
    fn add(self, other: Points) -> Points {
        Points(self.0.saturating_add(other.0))
    }
}

impl AddAssign for Points {
    fn add_assign(&mut self, other: Points) {
        *self = *self + other;
    }
}

impl Sum for Points {
    fn sum<I: Iterator<Item = Points>>(points: I) -> Points {
        points.fold(Points::NONE, Add::add)
    }
}

#[cfg(feature = "cli")]
impl schemars::JsonSchema for Points {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Points".into()
    }
    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({ "type": "number", "minimum": 0, "multipleOf": 0.01 })
    }
}

impl Serialize for Points {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self.0 % 100 {
            0 => serializer.serialize_u32(self.0 / 100),
            _ => serializer.serialize_f64(f64::from(self.0) / 100.0),
        }
    }
}
