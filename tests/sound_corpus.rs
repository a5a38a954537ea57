//! Tunes from outside, arranged and rendered as loud as can be set: nothing leaves the limiter
//! above its ceiling.
//!
//!     python3 tests/outside/corpus.py
//!     cargo test --release --test sound_corpus -- --ignored --nocapture
//!
//! `THUMBLINE_TUNES` sets how many of the tunes take part, spread evenly; 300 if nothing is said.
#![cfg(feature = "sound")]

mod support;

use thumbline::arrange::{Options, arrange};
use thumbline::guitar::{Hand, Instrument};
use thumbline::score::Score;
use thumbline::sound::level::{CEILING, LEVEL_RANGE_DB};
use thumbline::sound::{ClickSetting, Render, Settings};

#[test]
#[ignore = "needs the corpus: python3 tests/outside/corpus.py"]
fn nothing_passes_the_ceiling() {
    let limit = std::env::var("THUMBLINE_TUNES").ok();
    let limit = limit.and_then(|n| n.parse().ok()).unwrap_or(300);
    let tunes = support::read_corpus(limit);
    assert!(!tunes.is_empty(), "no tune found; run corpus.py first");
    let guitar = Instrument::standard();
    let hand = Hand::named("medium").expect("a built-in hand");
    let loudest = LEVEL_RANGE_DB.1;
    // A low rate, for speed: the limiter works on samples, whatever their rate.
    let settings = Settings {
        rate: 11_025,
        level_db: loudest,
        click: ClickSetting {
            on: true,
            divisions: true,
            level_db: loudest,
        },
        ..Settings::default()
    };
    let (mut peak, mut rendered, mut frames) = (0f32, 0, 0usize);
    for (name, song) in &tunes {
        // What can't be arranged is another test's matter.
        let Ok(arrangement) = arrange(song, &guitar, &hand, &Options::default()) else {
            continue;
        };
        for x in Render::new(&Score::new(&arrangement), &settings).flatten() {
            assert!(
                x.is_finite() && x.abs() <= CEILING * 1.000_01,
                "{name}: {x}"
            );
            peak = peak.max(x.abs());
            frames += 1;
        }
        rendered += 1;
    }
    assert!(rendered * 2 > tunes.len(), "{rendered} of {}", tunes.len());
    assert!(
        peak > CEILING * 0.99,
        "the limiter was never needed: {peak}"
    );
    println!(
        "{rendered} of {} tunes, {:.0} minutes: peak {:.3} dBFS",
        tunes.len(),
        frames as f64 / 2.0 / 11_025.0 / 60.0,
        20.0 * peak.log10()
    );
}
