//! Real passages with the optimum that the arranger finds, for a general solver to be held against:
//! `tests/outside/optimum/compare.py` reads what is written here and works each one out again.

mod support;

use serde_json::{Value, json};
use std::path::Path;
use std::time::Instant;
use support::read_corpus;
use thumbline::arrange::{Arrangement, Costs, Goal, Layer, Options, arrange};
use thumbline::exchange::json;
use thumbline::guitar::{Hand, Instrument};
use thumbline::song::{Close, Song};

/// Tunes that passages are cut from, spread over the corpus.
const TUNES: usize = 170;
/// Notes that a passage has: enough to be a puzzle, few enough for a general solver to prove.
const NOTES: std::ops::RangeInclusive<usize> = 6..=13;

#[test]
#[ignore = "needs the tunes that tests/outside/corpus.py copies; run with --run-ignored or --ignored"]
fn passages_are_written_for_the_solver() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("target/optimum");
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("the target folder can be written");
    let mut written = 0;
    for (i, (name, tune)) in read_corpus(TUNES).into_iter().enumerate() {
        let Some(passage) = passage(&tune, 2 + i % 3) else {
            continue;
        };
        let Some(case) = case(&name, &passage, i) else {
            continue;
        };
        let path = folder.join(format!("{i:02}.json"));
        std::fs::write(path, format!("{case:#}\n")).expect("the target folder can be written");
        written += 1;
    }
    assert!(
        written >= 20,
        "only {written} passages in {}; run tests/outside/corpus.py first",
        support::corpus_folder().display()
    );
}

/// The first `count` whole bars in a row from the tune's middle on that have a fair number of notes,
/// as a song of their own without repeats. Chords are its own, else by the plain rule.
fn passage(tune: &Song, count: usize) -> Option<Song> {
    let mut tune = tune.clone();
    let middle = tune.bars.len() / 2;
    let found = (middle..tune.bars.len().saturating_sub(count - 1)).find(|&at| {
        let bars = &tune.bars[at..at + count];
        let notes: usize = bars.iter().map(|b| b.notes.len()).sum();
        NOTES.contains(&notes) && bars.iter().all(|b| b.length == b.meter.bar())
    })?;
    tune.bars = tune.bars.split_off(found);
    tune.bars.truncate(count);
    for bar in &mut tune.bars {
        bar.close = Close::Single;
        bar.opens_repeat = false;
        bar.ending.clear();
        bar.tempo = None;
    }
    Some(tune)
}

/// The passage's optimum by both goals, each with the time it took, and the costs it stands under.
/// Layer, hand, capo and tuning take turns. None where the melody does not fit the neck or the bars
/// have no chord.
fn case(name: &str, song: &Song, turn: usize) -> Option<Value> {
    let layer = [Layer::Bass, Layer::Fill][turn % 2];
    let hand = Hand::named(["small", "medium", "large"][turn % 3]).expect("it is built in");
    let capo = [0, 0, 0, 2][turn % 4];
    let tuning = ["standard", "standard", "D2 A2 D3 G3 B3 E4"][turn / 2 % 3];
    let instrument = Instrument::new(tuning, capo, 19).expect("it can be built");
    let solve = |goal| {
        let options = Options {
            layer,
            goal,
            ..Options::default()
        };
        let start = Instant::now();
        let arrangement = arrange(song, &instrument, &hand, &options).ok()?;
        Some((arrangement, start.elapsed().as_micros()))
    };
    let (total, hardest) = (solve(Goal::Total)?, solve(Goal::HardestStep)?);
    if total.0.layer != layer {
        return None;
    }
    assert_eq!(total.0.shift, hardest.0.shift, "{name}: the octave differs");
    let read = |a: &Arrangement| -> Value {
        serde_json::from_str(&json::write(a)).expect("what is written is JSON")
    };
    Some(json!({
        "name": name,
        "key": song.bars[0].key.to_string(),
        "costs": table(Costs::default()),
        "total": { "micros": total.1, "arrangement": read(&total.0) },
        "hardest": { "micros": hardest.1, "arrangement": read(&hardest.0) },
    }))
}

/// The cost table by name.
fn table(costs: Costs) -> Value {
    macro_rules! by_name {
        ($($name:ident),*) => {{
            let Costs { $($name),* } = costs;
            [$((stringify!($name).to_string(), json!($name))),*].into_iter().collect()
        }};
    }
    by_name!(
        place,
        guide,
        jump,
        travel,
        stretch,
        barre,
        barre_string,
        high,
        position,
        cramp,
        melody_cut,
        low,
        bass_cut,
        bass_missing,
        bass_sung,
        bass_high,
        bass_stopped,
        fill_cut,
        thin,
        no_third,
        no_seventh,
        two_thirds,
        mud,
        leap,
        lead
    )
}
