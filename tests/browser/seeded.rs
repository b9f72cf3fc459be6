//! Choices that are the same at every run.

/// A stream of choices: splitmix64.
pub struct Seeded(pub u64);

impl Seeded {
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut it = self.0;
        it = (it ^ it >> 30).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        it = (it ^ it >> 27).wrapping_mul(0x94d0_49bb_1331_11eb);
        it ^ it >> 31
    }

    /// A number below `end`.
    pub fn below(&mut self, end: usize) -> usize {
        (self.next() % end.max(1) as u64) as usize
    }

    pub fn one_of<'t, T>(&mut self, many: &'t [T]) -> &'t T {
        &many[self.below(many.len())]
    }
}
