//! Short struck sounds: the click and a hit on the body.

use super::smooth::Smooth;
use crate::exchange::Noise;
use std::f64::consts::{LN_10, PI};

/// Above this the noise grows fainter, in Hz: skin and wood don't hiss.
const NOISE_EDGE: f64 = 2200.0;

/// One tone of a struck sound.
#[derive(Debug, Clone, Copy)]
pub struct Tone {
    /// Frequency in Hz.
    pub hz: f64,
    /// Amplitude, 1 is full scale.
    pub level: f32,
    /// Seconds to −60 dB.
    pub ring: f64,
}

/// A struck sound of three tones and a burst of noise.
#[derive(Debug, Clone, Copy)]
pub struct Struck {
    /// The tones.
    pub tones: [Tone; 3],
    /// Amplitude of the noise.
    pub noise: f32,
    /// Seconds to −60 dB of the noise.
    pub noise_ring: f64,
}

/// Plays struck sounds; four may overlap, so that a new one doesn't cut those before.
#[derive(Debug, Clone)]
pub struct Ping {
    rate: f64,
    voices: [Voice; 4],
    next: usize,
}

/// Three rotating, shrinking vectors and a shrinking noise.
#[derive(Debug, Clone, Copy, Default)]
struct Voice {
    left: usize,
    tones: [[f32; 2]; 3],
    turn: [[f32; 2]; 3],
    level: f32,
    noise_fall: f32,
    /// Opens within the first third of a millisecond, so that nothing cracks.
    open: f32,
    open_step: f32,
    smooth: Smooth,
    noise: Noise,
}

impl Ping {
    /// Nothing sounds yet; `rate` in Hz.
    pub fn new(rate: f64) -> Ping {
        Ping {
            rate,
            voices: [Voice::default(); 4],
            next: 0,
        }
    }

    /// Strikes, `level` times as strong as written.
    pub fn strike(&mut self, sound: &Struck, level: f32) {
        let rate = self.rate;
        let longest = sound.tones.iter().map(|t| t.ring).fold(0.0, f64::max);
        let longest = longest.max(sound.noise_ring);
        let fall = |ring: f64| (-3.0 * LN_10 / (ring * rate)).exp();
        let turn = |t: Tone| {
            let angle = 2.0 * PI * t.hz / rate;
            let fall = fall(t.ring);
            [(fall * angle.cos()) as f32, (fall * angle.sin()) as f32]
        };
        self.voices[self.next] = Voice {
            left: (longest * 4.0 / 3.0 * rate) as usize,
            tones: sound.tones.map(|t| [t.level * level, 0.0]),
            turn: sound.tones.map(turn),
            level: sound.noise * level,
            noise_fall: fall(sound.noise_ring) as f32,
            open: 0.0,
            open_step: (3000.0 / rate) as f32,
            smooth: Smooth::new(NOISE_EDGE, rate),
            noise: Noise(0x1234_5679 ^ self.next as u32),
        };
        self.next = (self.next + 1) % self.voices.len();
    }

    /// Adds what sounds to `out`.
    pub fn add(&mut self, out: &mut [f32]) {
        for voice in self.voices.iter_mut().filter(|v| v.left > 0) {
            let n = voice.left.min(out.len());
            for sample in &mut out[..n] {
                *sample += voice.next();
            }
            voice.left -= n;
        }
    }
}

impl Voice {
    fn next(&mut self) -> f32 {
        let mut sum = 0.0;
        for ([x, y], [c, s]) in self.tones.iter_mut().zip(self.turn) {
            sum += *y;
            (*x, *y) = (*x * c - *y * s, *x * s + *y * c);
        }
        let hiss = self.smooth.next(self.noise.next());
        let out = (sum + hiss * self.level) * self.open;
        self.open = (self.open + self.open_step).min(1.0);
        self.level *= self.noise_fall;
        out
    }
}
