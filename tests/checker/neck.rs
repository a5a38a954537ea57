//! The neck in millimetres, in floating point.

use super::sheet::Instrument;

/// How far down the neck a fingertip stopping `fret` (above the capo) lies from the nut: three
/// quarters of the fret space towards the fret.
pub fn along_mm(guitar: &Instrument, fret: i32) -> f64 {
    let behind = fret_mm(guitar.scale_mm, guitar.capo + fret - 1);
    let here = fret_mm(guitar.scale_mm, guitar.capo + fret);
    behind + 0.75 * (here - behind)
}

/// Between neighbouring strings where a fingertip stops `fret`: strings run straight from nut to
/// bridge.
pub fn spacing_mm(guitar: &Instrument, fret: i32) -> f64 {
    let wider = guitar.bridge_spacing_mm - guitar.nut_spacing_mm;
    guitar.nut_spacing_mm + wider * along_mm(guitar, fret) / guitar.scale_mm
}

/// Where fret `n`, counted from the nut, lies: equal temperament divides the octave, half of the
/// string, into twelve equal ratios.
fn fret_mm(scale: f64, n: i32) -> f64 {
    scale * (1.0 - 2f64.powf(-f64::from(n) / 12.0))
}
