//! How fast a plucked guitar string dies away.
//!
//! The losses of the string itself follow J. Woodhouse, “On the synthesis of guitar plucks”, Acta
//! Acustica united with Acustica 90 (2004) 928–944: the loss factor of overtone n is
//! `η = (T(ηF + ηA/ω) + EI·ηB(nπ/L)²) / (T + EI(nπ/L)²)`, with friction (`ηF`), air (`ηA`) and
//! bending (`ηB`) parts. The numbers for a classical set are from memory. Their
//! digits, tensions and stiffnesses agree with the table attributed to that author in the published
//! code of the student project PAM-ATIAM-JLLC-BD-2015-2016/octo-couscous-omega
//! (`matlab/F_select_string_parameters.m`), but its powers of ten for the losses do not: those stay
//! from memory, the paper itself not having been at hand.
//! What the body takes is a straight line over frequency, chosen so that open strings ring
//! for 3 to 8 seconds and partials near 2.5 kHz for about one; higher partials of a guitar die
//! faster than lower ones (E. Jansson, “Fundamentals of guitar tone”, J. Acoust. Soc. Am. 71
//! (1982) S8).

use std::f64::consts::{LN_10, PI};

/// The losses of one string of the set.
struct Losses {
    /// Friction inside the string, without dimension.
    friction: f64,
    /// Air, in 1/s.
    air: f64,
    /// Bending: ηB·EI/T in m².
    bending: f64,
}

/// Strings 1 to 6 of a classical set. A seventh and eighth string are taken like the sixth.
const SET: [Losses; 6] = [
    losses(40e-5, 1.5, 2.4e-2, 130e-6, 70.3),
    losses(40e-5, 1.2, 2.0e-2, 160e-6, 53.4),
    losses(14e-5, 1.7, 2.0e-2, 310e-6, 58.3),
    losses(5e-5, 1.2, 2.0e-2, 51e-6, 71.2),
    losses(7e-5, 0.9, 2.5e-2, 40e-6, 73.9),
    losses(2e-5, 1.2, 2.0e-2, 57e-6, 71.6),
];

/// Sounding length of an open string in metres.
const SCALE: f64 = 0.65;

const fn losses(friction: f64, air: f64, bending: f64, stiffness: f64, tension: f64) -> Losses {
    Losses {
        friction,
        air,
        bending: bending * stiffness / tension,
    }
}

/// What the bridge takes away, in 1/s, at `hz`.
fn body(hz: f64) -> f64 {
    0.8 + hz / 600.0
}

/// Seconds in which a partial at `hz` of a note of fundamental `f0` falls by 60 dB.
///
/// `string` counts from 1, the highest; `fret` sets the sounding length and is counted from the
/// capo or the nut, which makes little difference. Always above zero.
pub fn ring_seconds(string: u8, fret: u8, f0: f64, hz: f64) -> f64 {
    let index = usize::from(string.clamp(1, 6)) - 1;
    let losses = &SET[index];
    let length = SCALE * 2f64.powf(-f64::from(fret) / 12.0);
    let wave = hz / f0 * PI / length;
    let omega = 2.0 * PI * hz;
    let loss = losses.air + omega * (losses.friction + losses.bending * wave * wave) + body(hz);
    6.0 * LN_10 / loss
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Open strings and fretted notes of a guitar in standard tuning (ISO 16, A4 = 440 Hz).
    const OPEN: [f64; 6] = [329.628, 246.942, 195.998, 146.832, 110.0, 82.407];

    #[test]
    fn open_strings_ring_for_seconds_and_basses_longest() {
        let rings: Vec<f64> = (1..=6u8)
            .map(|s| ring_seconds(s, 0, OPEN[usize::from(s) - 1], OPEN[usize::from(s) - 1]))
            .collect();
        assert!(rings.iter().all(|t| (3.0..8.0).contains(t)), "{rings:?}");
        assert!(rings[5] > rings[0] && rings[4] > rings[1], "{rings:?}");
    }

    #[test]
    fn higher_partials_and_higher_frets_die_faster() {
        for string in 1..=6u8 {
            let f0 = OPEN[usize::from(string) - 1];
            let partials: Vec<f64> = (1..20)
                .map(|n| ring_seconds(string, 0, f0, f0 * f64::from(n)))
                .collect();
            assert!(partials.windows(2).all(|w| w[1] < w[0]));
            let twelfth = ring_seconds(string, 12, 2.0 * f0, 2.0 * f0);
            assert!(twelfth < partials[0]);
        }
    }
}
