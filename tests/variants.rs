//! The k best and the fronts of the demo songs: ordered, different, within the hard rules, and to be
//! had again by pins.

// A test that can't read its song should stop right there, in helpers as well.
#![allow(clippy::unwrap_used)]

mod checker;

use checker::broken_rules;
use std::collections::HashSet;
use thumbline::arrange::{Arrangement, Goal, Layer, Options, Variant, arrange, best, variants};
use thumbline::exchange::json;
use thumbline::guitar::{Hand, Instrument};
use thumbline::song::{Song, SongFile, Wish, abc};
use thumbline::theory::Ticks;

const FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/songs");

fn songs() -> Vec<(String, Song)> {
    let mut songs = Vec::new();
    for entry in std::fs::read_dir(FOLDER).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|e| e == "toml") {
            let text = std::fs::read_to_string(&path).unwrap();
            let (_, song, _) = SongFile::parse(&text).unwrap();
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            songs.push((name, song));
        }
    }
    songs.sort_by(|a, b| a.0.cmp(&b.0));
    assert!(songs.len() > 3);
    songs
}

fn guitar() -> (Instrument, Hand) {
    (Instrument::standard(), Hand::named("medium").unwrap())
}

#[track_caller]
fn keeps_the_rules(name: &str, arrangement: &Arrangement) {
    let value = serde_json::from_str(&json::write(arrangement)).unwrap();
    let faults = broken_rules(&value);
    assert!(faults.is_empty(), "{name}: {faults:#?}");
}

/// Onset, string and fret of each note in a bar.
fn struck(arrangement: &Arrangement, bar: usize) -> Vec<(Ticks, u8, u8)> {
    let here = arrangement.plucks.iter().filter(|p| p.bar == bar);
    here.map(|p| (p.at, p.string, p.fret)).collect()
}

/// What is played outside a bar: onset, string, fret and finger of each note.
fn around(arrangement: &Arrangement, bar: usize) -> Vec<(Ticks, u8, u8, u8)> {
    let there = arrangement.plucks.iter().filter(|p| p.bar != bar);
    there.map(|p| (p.at, p.string, p.fret, p.left)).collect()
}

/// How long each melody note sounds.
fn melody(arrangement: &Arrangement) -> Vec<Ticks> {
    let tune = arrangement.plucks.iter();
    let tune = tune.filter(|p| p.layer == Layer::Melody);
    tune.map(|p| p.end - p.at).collect()
}

#[test]
fn fronts_rise_and_break_no_rule() {
    let (instrument, hand) = guitar();
    let options = Options::default();
    for (name, song) in songs() {
        let now = arrange(&song, &instrument, &hand, &options).unwrap();
        for bar in (0..song.bars.len()).step_by(6) {
            let place = format!("{name}, bar index {bar}");
            let front = variants(&song, &instrument, &hand, &options, bar).unwrap();
            assert!(!front.variants.is_empty(), "{place}");
            let rises = |w: &[Variant]| w[0].effort < w[1].effort && w[0].fullness < w[1].fullness;
            assert!(front.variants.windows(2).all(rises), "{place}");
            assert_eq!(front.current.arrangement, now, "{place}");
            let level = |v: &Variant| (v.effort, v.fullness);
            match front.stands {
                Some(i) => assert_eq!(front.variants[i], front.current, "{place}"),
                None => {
                    let (effort, full) = level(&front.current);
                    let beats = |v: &Variant| v.effort <= effort && v.fullness >= full;
                    assert!(front.variants.iter().any(beats), "{place}");
                }
            }
            for variant in &front.variants {
                let other = &variant.arrangement;
                keeps_the_rules(&place, other);
                assert_eq!(around(other, bar), around(&now, bar), "{place}");
                assert!(other.price.total() >= now.price.total(), "{place}");
                let rise = other.price.effort() - now.price.effort();
                assert_eq!(rise, variant.effort - front.current.effort, "{place}");
                let longer = melody(other).into_iter().zip(melody(&now));
                assert!(longer.clone().all(|(o, n)| o >= n), "{place}");
                assert_eq!(longer.len(), now.melody.len(), "{place}");
            }
        }
    }
}

#[test]
fn a_variant_taken_by_its_pins_is_struck_again() {
    let (instrument, hand) = guitar();
    let options = Options::default();
    let mut taken = 0;
    for (name, song) in songs() {
        for bar in (1..song.bars.len()).step_by(9) {
            let front = variants(&song, &instrument, &hand, &options, bar).unwrap();
            for (i, variant) in front.variants.iter().enumerate() {
                let mut pinned = song.clone();
                pinned.pins.extend(variant.pins());
                let again = arrange(&pinned, &instrument, &hand, &options).unwrap();
                let place = format!("{name}, bar index {bar}, variant {i}");
                assert_eq!(
                    struck(&again, bar),
                    struck(&variant.arrangement, bar),
                    "{place}"
                );
                let most = variant.arrangement.price.total();
                assert!(again.price.total() <= most, "{place}");
                keeps_the_rules(&place, &again);
                taken += 1;
            }
        }
    }
    assert!(taken > 20, "{taken}");
}

#[test]
fn pins_are_kept_by_every_variant() {
    let (instrument, hand) = guitar();
    let options = Options::default();
    let (name, song) = songs().remove(0);
    let bar = 2;
    let front = variants(&song, &instrument, &hand, &options, bar).unwrap();
    let fullest = front.variants.last().unwrap();
    let mut pinned = song.clone();
    let pins = fullest.pins().into_iter();
    pinned
        .pins
        .extend(pins.filter(|p| matches!(p.wish, Wish::Place { .. })));
    let narrowed = variants(&pinned, &instrument, &hand, &options, bar).unwrap();
    assert!(!narrowed.variants.is_empty());
    for variant in &narrowed.variants {
        keeps_the_rules(&name, &variant.arrangement);
    }
}

#[test]
fn a_bar_without_notes_has_one_way() {
    let (instrument, hand) = guitar();
    let options = Options::default();
    let (_, song) = songs().remove(0);
    let front = variants(&song, &instrument, &hand, &options, 9_999).unwrap();
    assert_eq!(front.variants.len(), 1);
    assert_eq!((front.stands, front.current.fullness), (Some(0), 0));
    assert_eq!(front.current.effort, 0);
    assert!(front.current.pins().is_empty());
}

#[test]
fn the_best_are_different_and_in_order() {
    let (instrument, hand) = guitar();
    for layer in [Layer::Melody, Layer::Bass, Layer::Fill] {
        let options = Options {
            layer,
            ..Options::default()
        };
        for (name, song) in songs() {
            let found = best(&song, &instrument, &hand, &options, 8).unwrap();
            assert_eq!(found.len(), 8, "{name}");
            let first = arrange(&song, &instrument, &hand, &options).unwrap();
            assert_eq!(found[0], first, "{name}");
            let prices: Vec<i64> = found.iter().map(|a| a.price.total()).collect();
            assert!(prices.is_sorted(), "{name}: {prices:?}");
            let played: HashSet<Vec<_>> = (found.iter())
                .map(|a| {
                    let plucks = a.plucks.iter();
                    plucks
                        .map(|p| (p.at, p.end, p.string, p.fret, p.left))
                        .collect()
                })
                .collect();
            assert_eq!(played.len(), found.len(), "{name}");
            found.iter().for_each(|a| keeps_the_rules(&name, a));
        }
    }
    let (_, song) = songs().remove(0);
    let none = best(&song, &instrument, &hand, &Options::default(), 0).unwrap();
    assert!(none.is_empty());
}

#[test]
fn with_the_hardest_step_least_none_of_the_best_has_a_harder_one() {
    let (instrument, hand) = guitar();
    let options = Options {
        goal: Goal::HardestStep,
        ..Options::default()
    };
    let song = abc::read_book(TUNE).remove(0).unwrap().song;
    let first = arrange(&song, &instrument, &hand, &options).unwrap();
    let found = best(&song, &instrument, &hand, &options, 6).unwrap();
    assert_eq!((found.len(), &found[0]), (6, &first));
    let hardest = |a: &Arrangement| a.slices.iter().map(|s| s.price.total()).max();
    assert!(found.iter().all(|a| hardest(a) == hardest(&first)));
    assert!(found.is_sorted_by_key(|a| a.price.total()));
}

const TUNE: &str = "X:7\nT:Gulls over the Weir\nM:3/4\nL:1/4\nQ:1/4=90\nK:G\n\
                    \"G\"G A B|\"D7\"A F D|\"G\"G3|]\n";

/// Exit code, output and errors of `thumbline arrange` on the tune.
fn listed(args: &[&str]) -> (u8, String, String) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("gulls.abc");
    std::fs::write(&path, TUNE).unwrap();
    let start = ["thumbline", "arrange", path.to_str().unwrap()];
    let all = start.iter().chain(args).map(Into::into);
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let code = thumbline::cli::run(all, &mut out, &mut err);
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (code, text(out), text(err))
}

#[test]
fn the_variants_of_a_bar_are_listed() {
    let (code, out, err) = listed(&["--variants", "2"]);
    assert_eq!((code, err.as_str()), (0, ""));
    assert!(
        out.starts_with("Gulls over the Weir, bar 2, from easier to fuller\n"),
        "{out}"
    );
    let rows = out.lines().filter(|l| l.contains("xx")).count();
    assert!(rows > 0 && out.contains('*'), "{out}");
    let (code, out, _) = listed(&["--variants", "2", "--json"]);
    let value: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!((code, value["number"].as_u64()), (0, Some(2)));
    let all = value["variants"].as_array().unwrap();
    assert!(!all.is_empty());
    assert!(all.is_sorted_by_key(|v| v["fullness"].as_u64()));
    assert_eq!(all[0]["grips"].as_array().unwrap().len(), 3);
    let (code, _, err) = listed(&["--variants", "12"]);
    assert_eq!(code, 2);
    // It is at fault what was typed, so no line of the tune is shown.
    assert!(err.starts_with("there is no bar 12 in "), "{err}");
    assert!(err.ends_with("gulls.abc; its bars are 1 to 3\n"), "{err}");
}

#[test]
fn the_best_are_listed() {
    let (code, out, err) = listed(&["--best", "5"]);
    assert_eq!((code, err.as_str()), (0, ""));
    assert_eq!(out.lines().count(), 2 + 1 + 5, "{out}");
    assert!(out.lines().skip(4).all(|l| l.contains("bar ")), "{out}");
    let (code, out, _) = listed(&["--best", "5", "--json"]);
    let value: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!((code, value["best"][0]["more"].as_i64()), (0, Some(0)));
    assert_eq!(value["best"].as_array().unwrap().len(), 5);
    assert!(!value["best"][4]["otherwise"].as_array().unwrap().is_empty());
    let (code, _, _) = listed(&["--best", "5", "--variants", "2"]);
    assert_eq!(code, 2);
    let (code, _, _) = listed(&["--best", "0"]);
    assert_eq!(code, 2);
}
