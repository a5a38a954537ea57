//! White noise.

/// White noise by a xorshift generator of 32 bits (G. Marsaglia, Journal of Statistical Software 8
/// (2003), 14), the same each time from the same seed, which must not be 0.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Noise(pub u32);

impl Noise {
    /// The next value, −1 to 1.
    #[inline]
    pub fn next(&mut self) -> f32 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 17;
        self.0 ^= self.0 << 5;
        self.0 as f32 / u32::MAX as f32 * 2.0 - 1.0
    }
}
