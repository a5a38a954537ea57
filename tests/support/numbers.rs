//! Numbers by a simple generator, the same in each run.

pub struct Numbers(pub u32);

impl Numbers {
    /// The next number, less than `limit`.
    pub fn below(&mut self, limit: u32) -> u32 {
        self.0 = self.0.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (self.0 >> 8) % limit
    }

    /// One of some values.
    pub fn one<T: Copy, const N: usize>(&mut self, of: [T; N]) -> T {
        of[self.below(N as u32) as usize]
    }
}
