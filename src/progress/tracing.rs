//! How likely it is that someone has mastered a step: Bayesian knowledge tracing (Corbett and Anderson, Knowledge tracing:
//! modeling the acquisition of procedural knowledge, User Modeling and User-Adapted Interaction 4, 1995, 253-278).
//!
//! Someone either has mastered a step or not. Each try says something about that, and each may teach it. Nothing is fitted:
//! a class has far too few answers for that, and whoever reads a page shall be able to work it out anew.

/// What a tracing takes for granted, each a probability.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tracing {
    /// That the step is mastered before the first try.
    pub start: f64,
    /// That a try teaches it.
    pub learns: f64,
    /// That an answer is right without it.
    pub guesses: f64,
    /// That an answer is wrong in spite of it.
    pub slips: f64,
}

/// From so likely on a step counts as mastered, as Corbett and Anderson have it.
pub const MASTERED: f64 = 0.95;

impl Tracing {
    /// For a measure that is worked out: hardly anyone guesses a length.
    pub const MEASURE: Tracing = Tracing { start: 0.4, learns: 0.2, guesses: 0.05, slips: 0.1 };

    /// For a choice within limits, which is often met by chance.
    pub const CHOICE: Tracing = Tracing { guesses: 0.3, ..Tracing::MEASURE };

    /// The usual one for a step.
    pub fn of(is_choice: bool) -> Tracing {
        if is_choice { Tracing::CHOICE } else { Tracing::MEASURE }
    }

    /// How likely the next answer is right, for someone who has mastered the step as likely as `known`.
    pub fn foresees(&self, known: f64) -> f64 {
        known * (1.0 - self.slips) + (1.0 - known) * self.guesses
    }

    /// How likely the step is mastered after one more try.
    pub fn after(&self, known: f64, is_right: bool) -> f64 {
        let (with, without) = match is_right {
            true => (known * (1.0 - self.slips), (1.0 - known) * self.guesses),
            false => (known * self.slips, (1.0 - known) * (1.0 - self.guesses)),
        };
        let seen = with / (with + without);
        seen + (1.0 - seen) * self.learns
    }

    /// How likely the step is mastered after some tries.
    ///
    /// ```
    /// use foldmark::progress::{MASTERED, Tracing};
    /// // Mastery takes more than one right answer.
    /// assert!(Tracing::MEASURE.known(&[true]) < MASTERED);
    /// assert!(Tracing::MEASURE.known(&[true, true]) >= MASTERED);
    /// ```
    pub fn known(&self, tries: &[bool]) -> f64 {
        tries.iter().fold(self.start, |known, is_right| self.after(known, *is_right))
    }
}

/// What is thought of someone's mastery of a step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// How likely it is mastered.
    pub known: f64,
    /// The same for someone who began with hardly anything, learns slowly and guesses well.
    pub least: f64,
    /// The same for someone who began with most, and learns fast.
    pub most: f64,
    /// How many tries it rests on.
    pub tries: usize,
}

/// How far an estimate may be relied on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Surety {
    /// It is mostly what was taken for granted.
    NotYet,
    /// Other students would come to something like it.
    Fair,
    /// It hardly depends on what was taken for granted.
    Sure,
}

impl Surety {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Surety::NotYet => "not yet sure",
            Surety::Fair => "fairly sure",
            Surety::Sure => "sure",
        }
    }
}

impl Estimate {
    /// From a step's tries, the earliest first.
    ///
    /// ```
    /// use foldmark::progress::{Estimate, Surety};
    /// let once = Estimate::new(false, &[true]);
    /// assert_eq!((once.tries, once.surety()), (1, Surety::NotYet));
    /// let often = Estimate::new(false, &[true, true, true]);
    /// assert!(often.is_mastered() && often.surety() == Surety::Sure);
    /// ```
    pub fn new(is_choice: bool, tries: &[bool]) -> Estimate {
        let usual = Tracing::of(is_choice);
        // The bound on guessing is 0.3, whatever is asked.
        let cautious = Tracing { start: 0.1, learns: 0.1, guesses: (2.0 * usual.guesses).min(0.3), ..usual };
        let generous = Tracing { start: 0.7, learns: 0.3, ..usual };
        let [known, least, most] = [usual, cautious, generous].map(|tracing| tracing.known(tries));
        Estimate { known, least, most, tries: tries.len() }
    }

    /// Whether the step counts as mastered: likely enough, and not only by what was taken for granted.
    pub fn is_mastered(&self) -> bool {
        self.known >= MASTERED && self.surety() > Surety::NotYet
    }

    /// How far it may be relied on: how much it would be another for someone who began and learns otherwise.
    pub fn surety(&self) -> Surety {
        match self.most - self.least {
            apart if apart < 0.1 => Surety::Sure,
            apart if apart < 0.3 => Surety::Fair,
            _ => Surety::NotYet,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked by hand from the formulas of Corbett and Anderson 1995, to six places.
    #[test]
    fn the_formulas_are_those_of_corbett_and_anderson() {
        let tracing = Tracing { start: 0.4, learns: 0.2, guesses: 0.2, slips: 0.1 };
        let after = |tries: &[bool]| format!("{:.6}", tracing.known(tries));
        for (right, known) in [(1, "0.800000"), (2, "0.957895"), (3, "0.992261"), (4, "0.998616")] {
            assert_eq!(after(&vec![true; right]), known);
        }
        assert_eq!(after(&[false]), "0.261538");
        assert!((tracing.foresees(0.4) - 0.48).abs() < 1e-12);
    }

    /// Made with pyBKT 1.4.3 of PyPI, `pyBKT.fit.predict_onestep.run(model, data)` with `prior` 0.4, `learns` 0.2, `forgets` 0,
    /// `slips` 0.1 and `guesses` 0.05 or 0.3: its second result is how likely the step is mastered before each try, its first how
    /// likely that try is right.
    #[test]
    fn an_outside_program_comes_to_the_same() {
        let measure = [
            ("rrrrrr", [0.4, 0.938462, 0.997096, 0.999871, 0.999994, 1.0]),
            ("wrwrrr", [0.4, 0.252459, 0.886989, 0.561926, 0.96679, 0.998476]),
            ("rwwrrw", [0.4, 0.938462, 0.692929, 0.353553, 0.92623, 0.996476]),
        ];
        let choice = [
            ("rrrrrr", [0.4, 0.733333, 0.913514, 0.975526, 0.993365, 0.998223]),
            ("wrwrrr", [0.4, 0.269565, 0.620339, 0.351396, 0.695275, 0.898024]),
            ("rwwrrw", [0.4, 0.733333, 0.425641, 0.276586, 0.627387, 0.867796]),
        ];
        for (tracing, pinned) in [(Tracing::MEASURE, measure), (Tracing::CHOICE, choice)] {
            for (letters, known) in pinned {
                let tries: Vec<bool> = letters.chars().map(|letter| letter == 'r').collect();
                for (at, known) in known.into_iter().enumerate() {
                    assert!((tracing.known(&tries[..at]) - known).abs() < 6e-7, "{letters} before {at}");
                }
            }
        }
        let foreseen = [0.39, 0.26459, 0.803941, 0.527637, 0.871771, 0.898705];
        let tries = [false, true, false, true, true, true];
        for (at, likely) in foreseen.into_iter().enumerate() {
            assert!((Tracing::MEASURE.foresees(Tracing::MEASURE.known(&tries[..at])) - likely).abs() < 6e-7);
        }
    }

    /// Both parameters keep within what is thought sensible: a slip at most 0.1, a guess at most 0.3.
    #[test]
    fn nobody_unlearns_by_being_right() {
        for tracing in [Tracing::MEASURE, Tracing::CHOICE] {
            assert!(tracing.slips <= 0.1 && tracing.guesses <= 0.3);
            for hundredths in 0..=100 {
                let known = f64::from(hundredths) / 100.0;
                assert!(tracing.after(known, true) >= known);
                assert!(tracing.after(known, true) >= tracing.after(known, false));
                assert!((0.0..=1.0).contains(&tracing.after(known, false)));
            }
        }
    }

    #[test]
    fn an_estimate_lies_between_the_cautious_and_the_generous_one() {
        for bits in 0..64_u32 {
            let tries: Vec<bool> = (0..6).map(|at| bits >> at & 1 == 1).collect();
            for is_choice in [false, true] {
                let Estimate { known, least, most, .. } = Estimate::new(is_choice, &tries);
                assert!(least <= known && known <= most, "{tries:?}");
            }
        }
    }
}
