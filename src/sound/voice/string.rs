//! A guitar string that can be plucked again while it sounds.

use super::line::Line;
use super::pluck::Pluck;

/// Seconds in which an old note gives way to a new one on the same string.
///
/// Measured as the spike above 4 kHz at the cut against the attack's own: a hard cut 241 times,
/// 1 ms 4.5 times, 3 ms 1.6 times, 5 ms 1.2 times.
const CROSSFADE: f64 = 0.004;

/// One string: two lines, so that a new attack fades the old note out instead of cutting it.
///
/// It gives the force on the bridge. All memory is taken when it is made.
#[derive(Debug, Clone)]
pub struct PluckedString {
    lines: [Line; 2],
    current: usize,
    /// Weight of the old line, falling from 1 to 0.
    old: f32,
    step: f32,
    /// An attack that came before the old note was faded; it starts when there is room.
    waiting: Option<Pluck>,
}

impl PluckedString {
    /// A silent string for `rate` samples a second; `seed` makes its finger noise its own.
    pub fn new(rate: f64, seed: u32) -> PluckedString {
        let seed = seed.wrapping_mul(0x9E37_79B9);
        PluckedString {
            lines: [Line::new(rate, seed), Line::new(rate, seed ^ 0x5bd1_e995)],
            current: 0,
            old: 0.0,
            step: (1.0 / (CROSSFADE * rate)) as f32,
            waiting: None,
        }
    }

    /// Plucks the string now. Of several attacks within 4 ms the first sounds at once and
    /// the last as soon as the note before is gone.
    pub fn pluck(&mut self, pluck: &Pluck) {
        if self.old > 0.0 && self.lines[1 - self.current].sounds() {
            self.waiting = Some(*pluck);
            return;
        }
        self.waiting = None;
        if self.lines[self.current].sounds() {
            self.current = 1 - self.current;
            self.old = 1.0;
        }
        self.lines[self.current].pluck(pluck);
    }

    /// Damps the string so that it falls by 60 dB in `seconds`, as a lifted finger or a resting
    /// hand does.
    pub fn damp(&mut self, seconds: f64) {
        self.waiting = None;
        self.lines.iter_mut().for_each(|l| l.damp(seconds));
    }

    /// True while there is something to hear.
    pub fn sounds(&self) -> bool {
        self.waiting.is_some() || self.lines.iter().any(Line::sounds)
    }

    /// Adds the string's sound to `out`.
    pub fn add(&mut self, out: &mut [f32]) {
        if !self.sounds() {
            return;
        }
        let mut faded = 0;
        while self.old > 0.0 && faded < out.len() {
            out[faded] += self.next();
            faded += 1;
        }
        let out = &mut out[faded..];
        if self.lines[self.current].sounds() {
            self.lines[self.current].add(out);
        }
    }

    #[inline]
    fn next(&mut self) -> f32 {
        let mut out = 0.0;
        if self.lines[self.current].sounds() {
            out = self.lines[self.current].sample();
        }
        if self.old > 0.0 {
            let line = &mut self.lines[1 - self.current];
            if line.sounds() {
                // The weight is smoothed at both ends: 3x² − 2x³.
                out += line.sample() * self.old * self.old * (3.0 - 2.0 * self.old);
            }
            self.old -= self.step;
            if self.old <= 0.0 {
                self.old = 0.0;
                if let Some(pluck) = self.waiting.take() {
                    self.pluck(&pluck);
                }
            }
        }
        out
    }
}
