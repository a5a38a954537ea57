//! One vibrating string: a tuned, damped delay line.
//!
//! The extended Karplus–Strong string of D. A. Jaffe and J. O. Smith, “Extensions of the
//! Karplus–Strong plucked-string algorithm”, Computer Music Journal 7(2) (1983): a delay of one
//! period, a loss filter, and an allpass that makes the period exact, the filter's own delay
//! reckoned in. The loss filter has one pole, set so that the fundamental and one high partial die
//! in the times asked for. One thing is done otherwise: the excitation is not noise but the force a plucked string puts on its bridge: a pulse as wide as the plucking place is far
//! from the bridge, rounded by the finger (N. H. Fletcher and T. D. Rossing, “The Physics of
//! Musical Instruments”, chapter on vibrating strings: overtones fall as `sin(nπβ)/n`).

use super::pluck::Pluck;
use super::smooth::Smooth;
use crate::exchange::Noise;
use std::f64::consts::PI;

/// The lowest pitch a line can hold, in Hz; below the B0 of an eight-string guitar.
const LOWEST: f64 = 24.0;

/// Samples over which the loss follows a lifted finger, as a smoothing time in seconds.
const LIFT: f64 = 0.004;

/// Below this the string is still: −120 dB.
const STILL: f32 = 1e-6;

/// A string's vibration.
#[derive(Debug, Clone)]
pub struct Line {
    wave: Vec<f32>,
    mask: usize,
    /// Where the next sample is written.
    head: usize,
    /// Whole samples of delay.
    delay: usize,
    /// Samples since the attack, up to `delay`; the wave before that is not ours.
    age: usize,
    allpass: f32,
    last_in: f32,
    last_out: f32,
    /// What the loss filter keeps from one sample to the next, and its last value.
    keep: f32,
    kept: f32,
    gain: f32,
    target: f32,
    follow: f32,
    drive: Drive,
    /// Largest output of the period being counted, and samples counted.
    peak: f32,
    counted: usize,
    sounding: bool,
    hz: f64,
    rate: f64,
}

/// What the finger does to the string during the first period.
#[derive(Debug, Clone, Default)]
struct Drive {
    /// Samples still to come, the finger's rounding included.
    left: usize,
    at: usize,
    width: usize,
    period: usize,
    push: f32,
    hiss: f32,
    round: Smooth,
    noise: Noise,
}

impl Drive {
    /// The next sample of bridge force.
    fn next(&mut self) -> f32 {
        self.left -= 1;
        let mut force = 0.0;
        if self.at < self.period {
            // A pulse of the plucking place's width, its mean taken off: a string has no steady
            // part to ring with.
            let mean = self.width as f32 / self.period as f32;
            force = if self.at < self.width {
                1.0 - mean
            } else {
                -mean
            };
            force += self.hiss * self.noise.next();
            self.at += 1;
        }
        self.round.next(force * self.push)
    }
}

impl Line {
    /// A silent line for one sample rate in Hz.
    pub fn new(rate: f64, seed: u32) -> Line {
        let size = ((rate / LOWEST) as usize + 4).next_power_of_two();
        Line {
            wave: vec![0.0; size],
            mask: size - 1,
            head: 0,
            delay: 1,
            age: 0,
            allpass: 0.0,
            last_in: 0.0,
            last_out: 0.0,
            keep: 0.0,
            kept: 0.0,
            gain: 0.0,
            target: 0.0,
            follow: (1.0 - (-1.0 / (LIFT * rate)).exp()) as f32,
            drive: Drive {
                noise: Noise(seed | 1),
                ..Drive::default()
            },
            peak: 0.0,
            counted: 0,
            sounding: false,
            hz: 110.0,
            rate,
        }
    }

    /// True while there is something to hear.
    pub fn sounds(&self) -> bool {
        self.sounding
    }

    /// Plucks the line; what it did before is forgotten.
    pub fn pluck(&mut self, pluck: &Pluck) {
        let rate = self.rate;
        let hz = pluck.hz.clamp(LOWEST, rate / 8.0);
        let omega = 2.0 * PI * hz / rate;
        let (gain, keep) = loss(pluck, hz, rate);
        // What the loss filter leaves of the period; the allpass takes the fraction, which is kept
        // away from 0.
        let lag = (keep * omega.sin()).atan2(1.0 - keep * omega.cos()) / omega;
        let total = rate / hz - lag;
        let whole = (total - 0.2).floor();
        let part = total - whole;
        let allpass = (0.5 * (1.0 - part) * omega).sin() / (0.5 * (1.0 + part) * omega).sin();
        self.hz = hz;
        self.delay = (whole as usize).clamp(1, self.mask);
        self.age = 0;
        self.allpass = allpass as f32;
        (self.last_in, self.last_out, self.kept) = (0.0, 0.0, 0.0);
        self.keep = keep as f32;
        (self.gain, self.target) = (gain as f32, gain as f32);
        (self.peak, self.counted, self.sounding) = (0.0, 0, true);
        let period = (rate / hz).round().max(2.0);
        let edge = f64::from(pluck.edge).min(rate * 0.4);
        let round = Smooth::new(edge, rate);
        self.drive = Drive {
            left: period as usize + round.rest(),
            at: 0,
            width: (period * pluck.place).round().max(1.0) as usize,
            period: period as usize,
            push: pluck.level,
            hiss: pluck.noise,
            round,
            noise: self.drive.noise,
        };
    }

    /// Lets the line die away within `seconds` (to −60 dB), as when a finger touches it.
    pub fn damp(&mut self, seconds: f64) {
        let gain = 10f64.powf(-3.0 / (self.hz * seconds)) as f32;
        self.target = self.target.min(gain);
    }

    /// Adds the bridge force to `out`.
    pub fn add(&mut self, out: &mut [f32]) {
        // The finger is done later than the first period, so that after it every read is ours.
        let (driven, free) = out.split_at_mut(self.drive.left.min(out.len()));
        for sample in driven {
            *sample += self.sample();
        }
        self.ring(free);
    }

    /// [`Line::sample`] without a finger on the string, for many samples at once.
    fn ring(&mut self, out: &mut [f32]) {
        let wave = self.wave.as_mut_slice();
        let (mut head, mut last_in, mut last_out) = (self.head, self.last_in, self.last_out);
        let (mut gain, mut kept, mut peak) = (self.gain, self.kept, self.peak);
        for sample in out.iter_mut() {
            let read = wave[(head.wrapping_sub(self.delay)) & self.mask];
            let tuned = self.allpass * (read - last_out) + last_in;
            (last_in, last_out) = (read, tuned);
            gain += self.follow * (self.target - gain);
            kept = tuned + self.keep * (kept - tuned);
            let lost = gain * kept;
            wave[head] = lost;
            head = (head + 1) & self.mask;
            peak = peak.max(lost.abs());
            *sample += lost;
        }
        (self.head, self.last_in, self.last_out) = (head, last_in, last_out);
        (self.gain, self.kept, self.peak) = (gain, kept, peak);
        self.counted += out.len();
        self.settle();
    }

    /// The next sample of bridge force.
    #[inline]
    pub fn sample(&mut self) -> f32 {
        let read = if self.age < self.delay {
            self.age += 1;
            0.0
        } else {
            self.wave[(self.head.wrapping_sub(self.delay)) & self.mask]
        };
        let tuned = self.allpass * (read - self.last_out) + self.last_in;
        self.last_in = read;
        self.last_out = tuned;
        self.gain += self.follow * (self.target - self.gain);
        self.kept = tuned + self.keep * (self.kept - tuned);
        let lost = self.gain * self.kept;
        let out = if self.drive.left > 0 {
            lost + self.drive.next()
        } else {
            lost
        };
        self.wave[self.head] = out;
        self.head = (self.head + 1) & self.mask;
        self.peak = self.peak.max(out.abs());
        self.counted += 1;
        self.settle();
        out
    }

    /// Puts the line to rest once a whole period was still, before numbers grow too small to
    /// reckon with quickly.
    #[inline]
    fn settle(&mut self) {
        if self.counted > self.delay + 2 {
            self.sounding = self.peak > STILL || self.drive.left > 0;
            (self.peak, self.counted) = (0.0, 0);
        }
    }
}

/// Gain and pole of the loss filter `gain·(1 − pole)/(1 − pole·z⁻¹)` that lets the fundamental and
/// one high partial ring as long as asked.
fn loss(pluck: &Pluck, hz: f64, rate: f64) -> (f64, f64) {
    let once = |seconds: f64| 10f64.powf(-3.0 / (hz * seconds.max(1e-3)));
    let cos = |f: f64| (2.0 * PI * f / rate).cos();
    let high = pluck.high.min(0.4 * rate).max(1.5 * hz);
    let low_gain = once(pluck.ring);
    let ratio = (once(pluck.ring_high) / low_gain).clamp(0.1, 1.0).powi(2);
    // |H|² at both frequencies in that ratio is a quadratic equation in the pole, whose two
    // solutions are each other's inverse.
    let (a, b) = (1.0 - ratio, cos(hz) - ratio * cos(high));
    let pole = if a < 1e-9 {
        0.0
    } else {
        (b - (b * b - a * a).max(0.0).sqrt()) / a
    };
    let pole = pole.clamp(0.0, 0.9);
    let passes = (1.0 - pole) / (1.0 - 2.0 * pole * cos(hz) + pole * pole).sqrt();
    // A loop gain of one would never end; very long notes are held just below.
    ((low_gain / passes).min(0.999_99), pole)
}
