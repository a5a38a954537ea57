//! A soft edge on top of a sound.

use std::f64::consts::PI;

/// Two equal lowpasses of one pole, one behind the other.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Smooth {
    /// How much of what is new comes through at once, 0 to 1.
    share: f32,
    state: [f32; 2],
}

impl Smooth {
    /// Each lets half the power through at `edge`; both in Hz.
    pub fn new(edge: f64, rate: f64) -> Smooth {
        Smooth {
            share: (1.0 - (-2.0 * PI * edge / rate).exp()) as f32,
            state: [0.0; 2],
        }
    }

    /// Samples after which next to nothing is left of what came in.
    pub fn rest(&self) -> usize {
        (20.0 / self.share) as usize
    }

    /// The next sample.
    #[inline]
    pub fn next(&mut self, x: f32) -> f32 {
        self.state[0] += self.share * (x - self.state[0]);
        self.state[1] += self.share * (self.state[0] - self.state[1]);
        self.state[1]
    }
}
