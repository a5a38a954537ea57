//! What one attack asks of a string: pitch, strength, colour and how it rings.

use super::decay::ring_seconds;
use crate::arrange::{Layer, Technique};

/// One attack, ready to be played at any sample rate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pluck {
    /// Fundamental in Hz.
    pub hz: f64,
    /// Strength, 0 to about 1.5; a melody note off the beat has 1.
    pub level: f32,
    /// Where the plucking finger's edge stops exciting overtones, in Hz.
    pub edge: f32,
    /// Plucking place as a fraction of the sounding length, from the bridge: 0.05 to 0.5.
    pub place: f64,
    /// Seconds to −60 dB at the fundamental.
    pub ring: f64,
    /// The frequency at which `ring_high` holds, in Hz.
    pub high: f64,
    /// Seconds to −60 dB at `high`.
    pub ring_high: f64,
    /// How much finger noise goes with the attack, 0 to 1.
    pub noise: f32,
}

/// The frequency of a MIDI number in equal temperament, A4 = 440 Hz (ISO 16).
pub fn hertz(midi: f64) -> f64 {
    440.0 * 2f64.powf((midi - 69.0) / 12.0)
}

/// Cents by which a natural harmonic at this fret differs from the tempered note nearest to it.
///
/// Touching a string at 1/k of its length leaves the overtones k, 2k, …, which are pure; the frets
/// that lie near a node of k = 2 to 6 are listed.
fn harmonic_cents(fret: u8) -> f64 {
    let k: f64 = match fret {
        12 => 2.0,
        7 | 19 => 3.0,
        5 | 24 => 4.0,
        4 | 9 | 16 | 28 => 5.0,
        3 => 6.0,
        _ => return 0.0,
    };
    let cents = 1200.0 * k.log2();
    cents - (cents / 100.0).round() * 100.0
}

/// Strength and edge by layer: the tune carries, the thumb is round, the fill stays behind.
fn colour(layer: Layer) -> (f32, f32) {
    match layer {
        Layer::Melody => (1.0, 4000.0),
        Layer::Bass => (0.85, 2200.0),
        Layer::Fill => (0.5, 2800.0),
        Layer::Colour => (0.65, 3000.0),
    }
}

/// Where the right hand plucks an open string of 650 mm, as a fraction of it: 125 mm before the
/// bridge, at the edge of the sound hole (common practice, no source).
const HAND: f64 = 0.19;

impl Pluck {
    /// The attack of a note: `string` from 1 (highest), `fret` above the capo, what sounds as a
    /// MIDI number, how strongly the beat is felt (1 is neither strong nor weak).
    pub fn new(
        string: u8,
        fret: u8,
        midi: i32,
        layer: Layer,
        technique: Technique,
        accent: f32,
    ) -> Pluck {
        let (level, edge) = colour(layer);
        let hz = match technique {
            Technique::Harmonic => hertz(f64::from(midi) + harmonic_cents(fret) / 100.0),
            _ => hertz(f64::from(midi)),
        };
        let stopped = if technique == Technique::Harmonic {
            0
        } else {
            fret
        };
        let high = (4.0 * hz).max(2500.0);
        let pluck = Pluck {
            hz,
            level: level * accent,
            // Played harder, a string sounds brighter as well as louder.
            edge: (edge * accent).max(2.0 * hz as f32),
            place: (HAND * 2f64.powf(f64::from(stopped) / 12.0)).min(0.45),
            ring: ring_seconds(string, stopped, hz, hz),
            high,
            ring_high: ring_seconds(string, stopped, hz, high),
            noise: 0.06,
        };
        match technique {
            Technique::Plain | Technique::Roll | Technique::Hit => pluck,
            Technique::Brush => Pluck {
                edge: pluck.edge * 0.8,
                noise: 0.1,
                ..pluck
            },
            // The left hand alone moves the string less and with a soft fingertip.
            Technique::Slur => Pluck {
                level: pluck.level * 0.6,
                edge: pluck.edge * 0.7,
                noise: 0.02,
                ..pluck
            },
            // Touched at a node and plucked near the bridge.
            Technique::Harmonic => Pluck {
                level: pluck.level * 0.9,
                edge: pluck.edge * 0.8,
                place: 0.3,
                ring_high: pluck.ring_high * 0.6,
                noise: 0.02,
                ..pluck
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_temperament() {
        // ISO 16: A4 = 440 Hz. Table of equal-tempered pitches: E2 82.407, C4 261.626, E6 1318.51.
        for (midi, hz) in [(69, 440.0), (40, 82.407), (60, 261.626), (88, 1318.51)] {
            assert!((hertz(f64::from(midi)) - hz).abs() < hz * 1e-5, "{midi}");
        }
    }

    #[test]
    fn harmonics_are_pure() {
        // Just intonation: octave exact, twelfth +1.955 cents, two octaves and third −13.686 cents.
        assert_eq!(harmonic_cents(12), 0.0);
        assert!((harmonic_cents(7) - 1.955).abs() < 1e-3);
        assert!((harmonic_cents(4) + 13.686).abs() < 1e-3);
    }
}
