//! How long an exact solve takes, over the open tunes that `tests/outside/corpus.py` copies.
//!
//! `cargo bench --bench solve [-- melody|bass|fill]`: all layers, or the one named. One thread,
//! release build, by the clock; each time is the least of three, so that other work on the machine
//! counts less.

#[path = "../support/mod.rs"]
mod support;

use std::time::Instant;
use support::timing::spread_of;
use support::{folk_tunes, median_bars};
use thumbline::arrange::{Layer, Options, arrange};
use thumbline::guitar::{Hand, Instrument};
use thumbline::song::Song;

const LAYERS: [(&str, Layer); 3] = [
    ("melody", Layer::Melody),
    ("bass", Layer::Bass),
    ("fill", Layer::Fill),
];

fn main() {
    let named: Vec<String> = std::env::args().skip(1).collect();
    let chosen = |name: &str| named.iter().any(|n| n == name);
    let all = !LAYERS.iter().any(|(name, _)| chosen(name));
    let songs = folk_tunes();
    println!(
        "{} tunes with 24 to 40 bars, median {} bars",
        songs.len(),
        median_bars(&songs)
    );
    for (name, layer) in LAYERS {
        if all || chosen(name) {
            over_tunes(&songs, layer);
        }
    }
    if all {
        growth(&songs);
    }
}

/// Milliseconds for one solve, the least of three.
fn millis(song: &Song, layer: Layer) -> Option<f64> {
    let (instrument, hand) = (Instrument::standard(), Hand::named("medium").ok()?);
    let options = Options {
        layer,
        ..Options::default()
    };
    let once = || {
        let start = Instant::now();
        let arrangement = arrange(song, &instrument, &hand, &options);
        std::hint::black_box(&arrangement);
        arrangement
            .is_ok()
            .then(|| start.elapsed().as_secs_f64() * 1000.0)
    };
    (0..3)
        .map(|_| once())
        .min_by(|a, b| a.partial_cmp(b).unwrap_or(std::cmp::Ordering::Equal))?
}

fn over_tunes(songs: &[Song], layer: Layer) {
    let times = songs.iter().filter_map(|s| millis(s, layer)).collect();
    spread_of(&format!("{layer:?}"), times);
}

/// The same bars 1, 10 and 100 times over.
fn growth(songs: &[Song]) {
    let Some(song) = songs.iter().find(|s| s.bars.len() == 32) else {
        return;
    };
    for times in [1, 10, 100] {
        let mut long = song.clone();
        long.bars = (0..times).flat_map(|_| song.bars.iter().cloned()).collect();
        if let Some(ms) = millis(&long, Layer::Fill) {
            let bars = long.bars.len();
            println!(
                "{bars} bars: {ms:.2} ms, {:.1} µs a bar",
                ms * 1000.0 / bars as f64
            );
        }
    }
}
