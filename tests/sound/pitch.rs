//! Every string and fret in tune, measured on the finished sound by its spectrum.

use super::bench::{OPEN, left, note, score};
use realfft::RealFftPlanner;
use thumbline::sound::Settings;
use thumbline::theory::QUARTER;

/// The fundamental of `sound` near `guess`, in Hz: the highest point of a parabola through the
/// logarithms of the three largest lines of a Gaussian-windowed spectrum. A Gaussian's transform
/// is a Gaussian, so the parabola is exact (M. Gasior and J. L. Gonzalez, “Improving FFT frequency
/// measurement resolution by parabolic and Gaussian spectrum interpolation”, CERN, 2004).
fn fundamental(sound: &[f32], rate: f64, guess: f64) -> f64 {
    let size = 32_768;
    let mut planner = RealFftPlanner::<f64>::new();
    let fft = planner.plan_fft_forward(size);
    let mut input = fft.make_input_vec();
    for (i, x) in input.iter_mut().enumerate() {
        let t = (i as f64 - size as f64 / 2.0) / (size as f64 / 8.0);
        *x = f64::from(sound[i]) * (-0.5 * t * t).exp();
    }
    let mut output = fft.make_output_vec();
    fft.process(&mut input, &mut output)
        .expect("the buffers are the plan's own");
    let line = rate / size as f64;
    let power = |k: usize| output[k].norm_sqr().ln();
    let (low, high) = (
        (guess * 0.97 / line) as usize,
        (guess * 1.03 / line) as usize + 1,
    );
    let k = (low..=high)
        .max_by(|&a, &b| power(a).total_cmp(&power(b)))
        .expect("three cents hold some lines");
    let (a, b, c) = (power(k - 1), power(k), power(k + 1));
    (k as f64 + 0.5 * (a - c) / (a - 2.0 * b + c)) * line
}

/// ISO 16:1975: A4 is 440 Hz; equal temperament of twelve semitones.
fn tempered(midi: i32) -> f64 {
    440.0 * 2f64.powf(f64::from(midi - 69) / 12.0)
}

#[test]
fn every_fret_is_in_tune_within_a_cent() {
    for rate in [44_100, 48_000] {
        for string in 1..=6u8 {
            for fret in 0..=19u8 {
                let settings = Settings {
                    rate,
                    ..Settings::default()
                };
                let sound = left(
                    &score(1, vec![note(0, 4 * QUARTER, string, fret)]),
                    &settings,
                    0.8,
                );
                let want = tempered(OPEN[usize::from(string) - 1] + i32::from(fret));
                // The first 50 ms are attack and room building up.
                let got = fundamental(&sound[rate as usize / 20..], f64::from(rate), want);
                let cents = 1200.0 * (got / want).log2();
                assert!(
                    cents.abs() < 1.0,
                    "string {string} fret {fret} at {rate} Hz: {cents:.2} cents"
                );
            }
        }
    }
}
