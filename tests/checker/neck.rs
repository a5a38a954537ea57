//! The neck in millimetres, in floating point.

use super::sheet::Instrument;

/// A finger on the neck: one string, or several along one fret.
pub struct Spot {
    /// From the nut, along the neck.
    along: f64,
    /// From string 1, across the neck: nearest and farthest string under the finger.
    across: (f64, f64),
}

impl Spot {
    /// A finger at `fret` above the capo over the strings `from` to `to` (from 1, `from` ≤ `to`).
    pub fn new(guitar: &Instrument, fret: i32, from: usize, to: usize) -> Spot {
        let along = fingertip(guitar, fret);
        let wider = guitar.bridge_spacing_mm - guitar.nut_spacing_mm;
        let spacing = guitar.nut_spacing_mm + wider * along / guitar.scale_mm;
        let across = |string: usize| (string as f64 - 1.0) * spacing;
        Spot {
            along,
            across: (across(from), across(to)),
        }
    }

    /// The shortest way between two fingers; over a barre, to its nearest point.
    pub fn distance(&self, other: &Spot) -> f64 {
        let apart = f64::max(
            self.across.0 - other.across.1,
            other.across.0 - self.across.1,
        );
        (self.along - other.along).hypot(apart.max(0.0))
    }
}

/// Where fret `n`, counted from the nut, lies: equal temperament divides the octave, half of the
/// string, into twelve equal ratios.
fn fret_mm(scale: f64, n: i32) -> f64 {
    scale * (1.0 - 2f64.powf(-f64::from(n) / 12.0))
}

/// A fingertip lies three quarters of the fret space towards the fret.
fn fingertip(guitar: &Instrument, fret: i32) -> f64 {
    let behind = fret_mm(guitar.scale_mm, guitar.capo + fret - 1);
    let here = fret_mm(guitar.scale_mm, guitar.capo + fret);
    behind + 0.75 * (here - behind)
}
