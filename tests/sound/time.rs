//! Onsets and loops at their samples.

use super::bench::{BAR, click_on, left, note, score, tempo};
use thumbline::score::{Event, Score};
use thumbline::song::Tempo;
use thumbline::sound::Settings;
use thumbline::theory::{QUARTER, Ticks};

/// Samples at which silence ends: the first above `threshold` after `gap` samples below it.
fn onsets(sound: &[f32], threshold: f32, gap: usize) -> Vec<usize> {
    let mut found = Vec::new();
    let mut still = gap;
    for (i, x) in sound.iter().enumerate() {
        if x.abs() < threshold {
            still += 1;
        } else {
            if still >= gap {
                found.push(i);
            }
            still = 0;
        }
    }
    found
}

/// Seconds from the start to a place, reckoned here from the definition: a tempo of n quarters a
/// minute makes a quarter last 60/n seconds.
fn seconds(score: &Score, at: Ticks) -> f64 {
    let mut total = 0.0;
    for (i, mark) in score.tempo.iter().enumerate() {
        let end = score.tempo.get(i + 1).map_or(at, |m| m.at.min(at));
        let span = (end - mark.at).max(0) as f64 / mark.tempo.beat as f64;
        total += span * 60.0 / f64::from(mark.tempo.per_minute);
    }
    total
}

fn near(got: &[usize], want: &[f64], rate: f64) {
    assert_eq!(got.len(), want.len(), "{got:?} {want:?}");
    for (&g, &w) in got.iter().zip(want) {
        let off = g as f64 / rate - w;
        assert!((-1e-9..0.001).contains(&off), "off by {off} s at {w} s");
    }
}

#[test]
fn clicks_follow_the_tempo_map() {
    let mut score = score(4, vec![]);
    // Changes on and between beats.
    score.tempo = vec![
        tempo(0, 120),
        tempo(BAR + QUARTER / 3, 77),
        tempo(2 * BAR, 203),
    ];
    let settings = Settings {
        rate: 44_100,
        click: click_on(),
        ..Settings::default()
    };
    let sound = left(&score, &settings, 9.0);
    let want: Vec<f64> = (0..16).map(|i| seconds(&score, i * QUARTER)).collect();
    near(&onsets(&sound, 1e-4, 2000), &want, 44_100.0);
}

#[test]
fn notes_begin_at_their_places_at_every_speed() {
    let places = [
        0,
        QUARTER,
        2 * QUARTER + QUARTER / 3,
        3 * QUARTER + 1,
        BAR + 7,
    ];
    let events = places.map(|at| note(at, QUARTER / 20, 2, 5)).to_vec();
    let mut score = score(2, events);
    score.tempo.push(tempo(3 * QUARTER, 97));
    for speed in [0.2, 0.731, 1.0, 2.0] {
        let settings = Settings {
            speed,
            ..Settings::default()
        };
        let sound = left(&score, &settings, 16.0);
        // A new note's first samples against the old one's faint rest and the room.
        let want: Vec<f64> = places.iter().map(|&p| seconds(&score, p) / speed).collect();
        for (i, &w) in want.iter().enumerate() {
            let at = (w * 48_000.0).ceil() as usize;
            let before = level(&sound[at.saturating_sub(48)..at]);
            let after = level(&sound[at..at + 48]);
            assert!(
                after > 10.0 * before && after > 1e-3,
                "note {i} at {speed}: {before} {after}"
            );
        }
    }
}

/// Largest step from sample to sample: an attack shows there at once, a ringing rest hardly.
fn level(sound: &[f32]) -> f32 {
    sound
        .windows(2)
        .map(|w| (w[1] - w[0]).abs())
        .fold(0.0, f32::max)
}

#[test]
fn a_hundred_passes_do_not_drift() {
    // Two thirds of a bar at 131 a minute: 58 633.6… samples, so every pass starts elsewhere
    // between two samples. A tempo mark inside makes it harder.
    let mut score = score(2, vec![]);
    score.tempo = vec![tempo(0, 131), tempo(QUARTER + 11, 173)];
    let to = BAR * 2 / 3;
    let pass = seconds(&score, to);
    let settings = Settings {
        range: Some((0, to)),
        passes: 100,
        click: click_on(),
        ..Settings::default()
    };
    let sound = left(&score, &settings, pass * 100.0 + 1.0);
    let found = onsets(&sound, 1e-4, 2000);
    let beats = [0, QUARTER, 2 * QUARTER].map(|b| seconds(&score, b));
    assert_eq!(found.len(), 300);
    for (i, &got) in found.iter().enumerate() {
        let want = ((i / 3) as f64 * pass + beats[i % 3]) * 48_000.0;
        // A click's first sample is zero, so it shows one sample later.
        let first = got as f64 - 1.0;
        assert!((first - want).abs() < 1.01, "click {i}: {first} for {want}");
    }
    // Beats that come back to a whole sample do so exactly.
    assert!((found[297] as f64 - 1.0 - 99.0 * pass * 48_000.0).abs() < 1.01);
}

#[test]
fn the_count_in_has_whole_bars_and_fills_up_a_pickup() {
    // 3/4 with one beat of pickup: two bars counted, then the two beats missing before it.
    let mut score = score(2, vec![]);
    let meter: thumbline::theory::Meter = "3/4".parse().unwrap();
    for (i, bar) in score.bars.iter_mut().enumerate() {
        bar.meter = meter.clone();
        (bar.at, bar.length, bar.missing) = match i {
            0 => (0, QUARTER, 2 * QUARTER),
            _ => (QUARTER, 3 * QUARTER, 0),
        };
    }
    score.length = 4 * QUARTER;
    let settings = Settings {
        count_in: 2,
        ..Settings::default()
    };
    let sound = left(&score, &settings, 6.0);
    let want: Vec<f64> = (0..8).map(|i| f64::from(i) * 0.5).collect();
    near(&onsets(&sound, 1e-4, 2000), &want, 48_000.0);
}

#[test]
fn subdivisions_are_halves_or_thirds() {
    let mut score = score(1, vec![]);
    score.bars[0].meter = "6/8".parse().unwrap();
    score.bars[0].length = 3 * QUARTER;
    score.length = 3 * QUARTER;
    let mut click = click_on();
    click.divisions = true;
    let settings = Settings {
        click,
        ..Settings::default()
    };
    let sound = left(&score, &settings, 2.0);
    let want: Vec<f64> = (0..6).map(|i| f64::from(i) * 0.25).collect();
    near(&onsets(&sound, 1e-4, 2000), &want, 48_000.0);
}

#[test]
fn a_loop_sounds_like_the_same_bars_written_out() {
    // 24 000 ticks a second, half a tick a sample, so that both run on the very same samples. The
    // notes ring up to the joint, begin on it, and end between.
    let mut once = score(
        1,
        vec![
            note(0, BAR, 6, 3),
            note(0, QUARTER, 1, 0),
            note(BAR / 2, BAR / 2, 2, 1),
            note(BAR - QUARTER / 4, QUARTER / 4, 1, 3),
        ],
    );
    once.tempo[0].tempo = Tempo {
        beat: 12_000,
        per_minute: 120,
    };
    let mut written = score(3, vec![]);
    written.tempo = once.tempo.clone();
    for pass in 0..3 {
        written.events.extend(once.events.iter().map(|e| Event {
            at: e.at + pass * BAR,
            end: e.end + pass * BAR,
            ..*e
        }));
    }
    let looped = Settings {
        passes: 3,
        ..Settings::default()
    };
    let looped = left(&once, &looped, 6.0);
    let written = left(&written, &Settings::default(), 6.0);
    assert!(written.iter().any(|x| x.abs() > 0.05));
    assert_eq!(looped, written);
}
