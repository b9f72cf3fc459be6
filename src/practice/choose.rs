//! Choosing one of several: by chance, or each possibility in turn.
//!
//! What is drawn from a seed must never change with a new version of a library, so the stream is a named
//! generator (PCG XSL RR 128/64, `rand_pcg::Pcg64`) and the step from it to a choice is written out here.

use rand_pcg::Pcg64;
use rand_pcg::rand_core::Rng;

/// Something that chooses.
pub(super) trait Chooser {
    /// One of so many options, counted from 0; there is at least one.
    fn choose(&mut self, options: usize) -> usize;
}

/// Chooses by chance, evenly.
pub(super) struct Dice(Pcg64);

impl Dice {
    /// The stream for a seed and a purpose; streams of different purposes are independent.
    pub(super) fn new(seed: u64, purpose: &str) -> Dice {
        // FNV-1a (Fowler, Noll, Vo), 64 bit: any fixed mixing of the purpose's bytes would do.
        let stream = purpose
            .bytes()
            .fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3));
        Dice(Pcg64::new(u128::from(seed), u128::from(stream)))
    }
}

impl Dice {
    /// Puts items in an order left to chance.
    pub(super) fn shuffle<T>(&mut self, items: &mut [T]) {
        for last in (1..items.len()).rev() {
            items.swap(last, self.choose(last + 1));
        }
    }
}

impl Chooser for Dice {
    fn choose(&mut self, options: usize) -> usize {
        let options = options.max(1) as u64;
        loop {
            let value = self.0.next_u64();
            // Values in the last, incomplete round of the generator's range would favour small options.
            if value <= u64::MAX - options || value < u64::MAX - u64::MAX % options {
                return (value % options) as usize;
            }
        }
    }
}

/// Goes through every possibility in turn, like the wheels of a counter: the last choice made turns
/// fastest, and later choices may depend on earlier ones.
#[derive(Default)]
pub(super) struct Counter {
    wheels: Vec<(usize, usize)>,
    at: usize,
}

impl Counter {
    /// Turns on to the next possibility; `false` when all have been.
    pub(super) fn turn(&mut self) -> bool {
        self.wheels.truncate(self.at);
        self.at = 0;
        while let Some((chosen, options)) = self.wheels.last_mut() {
            if *chosen + 1 < *options {
                *chosen += 1;
                return true;
            }
            self.wheels.pop();
        }
        false
    }
}

impl Chooser for Counter {
    fn choose(&mut self, options: usize) -> usize {
        if self.at == self.wheels.len() {
            self.wheels.push((0, options));
        }
        self.at += 1;
        self.wheels[self.at - 1].0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_counter_sees_every_possibility_once() {
        let mut counter = Counter::default();
        let mut seen = Vec::new();
        loop {
            // The second wheel has as many options as the first one's choice says.
            let first = counter.choose(3);
            seen.push((first, counter.choose(first + 1)));
            if !counter.turn() {
                break;
            }
        }
        assert_eq!(seen, [(0, 0), (1, 0), (1, 1), (2, 0), (2, 1), (2, 2)]);
    }

    #[test]
    fn the_stream_is_pinned() {
        // Worked out apart from this code, with a plain Python version of the generator as published:
        // M. E. O'Neill, "PCG: A Family of Simple Fast Space-Efficient Statistically Good Algorithms for
        // Random Number Generation" (2014), XSL RR 128/64; the stream's number by FNV-1a, whose published
        // test vector is fnv1a64("foobar") = 85944171f73967e8.
        let mut dice = Dice::new(7, "flap-roll");
        let drawn: Vec<usize> = (0..8).map(|_| dice.choose(100)).collect();
        assert_eq!(drawn, [80, 42, 29, 16, 37, 74, 8, 54]);
    }

    #[test]
    fn dice_are_even() {
        let mut dice = Dice::new(1, "evenness");
        let mut counts = [0_u32; 7];
        for _ in 0..70_000 {
            counts[dice.choose(7)] += 1;
        }
        // Chi-squared with 6 degrees of freedom: 22.46 is passed once in a thousand (handbook table).
        let squared: f64 = counts.iter().map(|count| (f64::from(*count) - 10_000.0).powi(2) / 10_000.0).sum();
        assert!(squared < 22.46, "{counts:?}");
    }
}
