//! The pluck against the physics of a plucked string.

use super::bench::{OPEN, left, note, score};
use thumbline::arrange::{Layer, Technique};
use thumbline::sound::voice::{Line, Pluck, hertz, ring_seconds};
use thumbline::sound::{LayerSet, Render, Settings};
use thumbline::theory::QUARTER;

/// Amplitude of one frequency in `sound`, by a Hann-windowed Fourier sum.
fn amplitude(sound: &[f32], rate: f64, hz: f64) -> f64 {
    let (mut re, mut im, mut weight) = (0.0, 0.0, 0.0);
    for (i, &x) in sound.iter().enumerate() {
        let t = i as f64 / sound.len() as f64;
        let window = 0.5 - 0.5 * (2.0 * std::f64::consts::PI * t).cos();
        let angle = 2.0 * std::f64::consts::PI * hz * i as f64 / rate;
        re += f64::from(x) * window * angle.cos();
        im += f64::from(x) * window * angle.sin();
        weight += window;
    }
    2.0 * re.hypot(im) / weight
}

fn string(string: u8, fret: u8) -> (Pluck, Vec<f32>) {
    let midi = OPEN[usize::from(string) - 1] + i32::from(fret);
    let mut pluck = Pluck::new(string, fret, midi, Layer::Melody, Technique::Plain, 1.0);
    pluck.noise = 0.0;
    let mut line = Line::new(48_000.0, 7);
    line.pluck(&pluck);
    (pluck, (0..96_000).map(|_| line.sample()).collect())
}

/// Fletcher and Rossing, “The Physics of Musical Instruments”, ideal plucked string: the force on
/// the bridge has overtones `sin(nπβ)/n` when plucked at the fraction β of its length.
#[test]
fn overtones_are_those_of_a_plucked_string() {
    for s in [1, 3, 6] {
        let (pluck, sound) = string(s, 0);
        let start = &sound[480..480 + 9600];
        let first = amplitude(start, 48_000.0, pluck.hz);
        for n in 2..=8 {
            let n = f64::from(n);
            // The finger rounds the pulse off, twice, above its edge; the rest is the string.
            let round = |hz: f64| 1.0 / (1.0 + (hz / f64::from(pluck.edge)).powi(2));
            let ideal = |n: f64| (n * std::f64::consts::PI * pluck.place).sin().abs() / n;
            let want = ideal(n) / ideal(1.0) * round(n * pluck.hz) / round(pluck.hz);
            let got = amplitude(start, 48_000.0, n * pluck.hz) / first;
            assert!(
                (got - want).abs() < 0.08 + 0.25 * want,
                "string {s}, overtone {n}: {got:.3} for {want:.3}"
            );
        }
    }
}

#[test]
fn every_string_rings_as_long_as_its_losses_say() {
    for s in 1..=6u8 {
        for fret in [0, 5, 12] {
            let (pluck, sound) = string(s, fret);
            let want = ring_seconds(s, fret, pluck.hz, pluck.hz);
            let early = amplitude(&sound[4_800..14_400], 48_000.0, pluck.hz);
            let late = amplitude(&sound[52_800..62_400], 48_000.0, pluck.hz);
            // One second lies between the two.
            let got = 3.0 / (early / late).log10();
            assert!(
                (got / want - 1.0).abs() < 0.03,
                "string {s} fret {fret}: {got} s for {want}"
            );
        }
    }
}

#[test]
fn high_partials_die_before_low_ones() {
    let (pluck, sound) = string(6, 0);
    let fall = |n: f64| {
        amplitude(&sound[4_800..14_400], 48_000.0, n * pluck.hz)
            / amplitude(&sound[28_800..38_400], 48_000.0, n * pluck.hz)
    };
    assert!(fall(24.0) > 2.0 * fall(1.0));
}

#[test]
fn a_lifted_finger_ends_the_note() {
    let score = score(1, vec![note(0, QUARTER, 3, 2)]);
    let sound: Vec<f32> = Render::new(&score, &Settings::default())
        .map(|f| f[0])
        .collect();
    let peak = |at: f64| {
        let i = (at * 48_000.0) as usize;
        sound[i..i + 2_400].iter().fold(0f32, |p, x| p.max(x.abs()))
    };
    // A quarter at 120 lasts half a second.
    assert!(peak(0.4) > 0.02 && peak(1.2) < peak(0.4) * 0.03);
}

#[test]
fn harmonics_have_no_overtones_between_their_own() {
    // The octave harmonic of the open third string, G3: it sounds G4 and its overtones.
    let mut event = note(0, 4 * QUARTER, 3, 12);
    event.technique = Technique::Harmonic;
    let sound: Vec<f32> = Render::new(&score(1, vec![event]), &Settings::default())
        .map(|f| f[0])
        .collect();
    let g3 = hertz(55.0);
    let at = |n: f64| amplitude(&sound[9_600..28_800], 48_000.0, n * g3);
    assert!(at(2.0) > 100.0 * at(1.0) && at(2.0) > 100.0 * at(3.0));
}

#[test]
fn a_muted_layer_is_silent_and_leaves_the_others_alone() {
    let mut bass = note(0, QUARTER, 6, 0);
    bass.layer = Layer::Bass;
    let both = score(1, vec![bass, note(0, QUARTER, 1, 0)]);
    let alone = score(1, vec![bass]);
    let muted = Settings {
        layers: LayerSet::ALL.without(Layer::Melody),
        ..Settings::default()
    };
    let wanted = left(&alone, &Settings::default(), 1.0);
    assert!(left(&both, &muted, 1.0) == wanted);
    let none = Settings {
        layers: LayerSet::NONE,
        ..Settings::default()
    };
    assert!(left(&both, &none, 1.0).iter().all(|&x| x == 0.0));
}
