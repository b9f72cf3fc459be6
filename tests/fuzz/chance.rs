//! Chance that is the same every time.

use rand_pcg::Pcg64;
use rand_pcg::rand_core::Rng;

pub struct Chance(Pcg64);

impl Chance {
    /// The stream of an input.
    pub fn new(seed: u64, input: u64) -> Chance {
        Chance(Pcg64::new(u128::from(seed), u128::from(input)))
    }

    /// A number below another, which is above zero.
    pub fn below(&mut self, most: usize) -> usize {
        (self.0.next_u64() % most as u64) as usize
    }

    /// Once in so many times.
    pub fn is_once_in(&mut self, times: usize) -> bool {
        self.below(times) == 0
    }

    pub fn pick<'t, T: ?Sized>(&mut self, from: &'t [impl AsRef<T>]) -> &'t T {
        from[self.below(from.len())].as_ref()
    }
}
