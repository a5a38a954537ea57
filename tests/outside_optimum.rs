//! Passages of open tunes, arranged and written out for `tests/outside/optimum/compare.py`, which
//! holds them against a general-purpose solver.

mod support;

use serde_json::{Value, json};
use std::time::Instant;
use support::{plain_chords, read_corpus};
use thumbline::arrange::{Arrangement, Costs, Goal, Layer, Options, arrange};
use thumbline::exchange::json;
use thumbline::guitar::{Hand, Instrument};
use thumbline::song::{Close, Song};
use thumbline::theory::Symbol;

/// How many passages are written, and how many notes one may have: few enough for the solver to
/// prove its answer.
const PASSAGES: usize = 26;
const NOTES: std::ops::RangeInclusive<usize> = 4..=9;

#[test]
#[ignore = "needs the tunes that tests/outside/corpus.py copies; writes to target/optimum"]
fn write_passages() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("target/optimum");
    std::fs::create_dir_all(&folder).expect("target can be written");
    let mut written = 0;
    for (i, (name, song)) in read_corpus(10 * PASSAGES).into_iter().enumerate() {
        let Some(song) = passage(song) else { continue };
        let layer = if i % 2 == 0 { Layer::Fill } else { Layer::Bass };
        let goal = if i % 3 == 2 {
            Goal::HardestStep
        } else {
            Goal::Total
        };
        let value = solved(&name, &song, layer, goal);
        let path = folder.join(format!("{written:02}.json"));
        std::fs::write(path, value.to_string()).expect("target can be written");
        written += 1;
        if written == PASSAGES {
            break;
        }
    }
    assert_eq!(written, PASSAGES, "run tests/outside/corpus.py first");
}

/// Two bars out of the middle of a tune.
fn passage(mut song: Song) -> Option<Song> {
    if song.bars.iter().all(|b| b.chords.is_empty()) {
        plain_chords(&mut song);
    }
    let full = |b: &thumbline::song::Bar| b.length == b.meter.bar() && !b.chords.is_empty();
    let first = (1..song.bars.len().checked_sub(1)?)
        .find(|&i| full(&song.bars[i]) && full(&song.bars[i + 1]))?;
    song.bars = song.bars[first..first + 2].to_vec();
    for bar in &mut song.bars {
        bar.opens_repeat = false;
        bar.close = Close::Single;
        bar.ending.clear();
    }
    let notes = song.bars.iter().map(|b| b.notes.len()).sum();
    NOTES.contains(&notes).then_some(song)
}

fn solved(name: &str, song: &Song, layer: Layer, goal: Goal) -> Value {
    let (instrument, hand) = (
        Instrument::standard(),
        Hand::named("medium").expect("it is built in"),
    );
    let options = Options {
        layer,
        goal,
        ..Options::default()
    };
    let first = arrange(song, &instrument, &hand, &options).expect("a common tune fits");
    let options = Options {
        shift: Some(first.shift),
        ..options
    };
    let start = Instant::now();
    let answer = arrange(song, &instrument, &hand, &options).expect("it fitted before");
    let millis = start.elapsed().as_secs_f64() * 1000.0;
    let hardest = answer.slices.iter().map(|s| s.price.total()).max();
    let arrangement: Value =
        serde_json::from_str(&json::write(&answer)).expect("what is written is JSON");
    json!({
        "name": name,
        "goal": format!("{goal:?}"),
        "total": answer.price.total(),
        "hardest": hardest,
        "millis": millis,
        "costs": costs(),
        "thirds_and_sevenths": thirds_and_sevenths(&answer),
        "arrangement": arrangement,
    })
}

/// The cost table by its fields' names.
fn costs() -> Value {
    let shown = format!("{:?}", Costs::default());
    let fields = shown.trim_start_matches("Costs { ").trim_end_matches(" }");
    let pairs = fields.split(", ").filter_map(|f| f.split_once(": "));
    pairs
        .map(|(name, amount)| {
            (
                name.to_string(),
                amount.parse::<i64>().expect("an amount").into(),
            )
        })
        .collect::<serde_json::Map<_, _>>()
        .into()
}

/// For each chord of the JSON, the classes of its third and seventh.
fn thirds_and_sevenths(arrangement: &Arrangement) -> Vec<Value> {
    let mut harmony = arrangement.song.harmony();
    harmony.dedup_by_key(|h| h.symbol);
    let symbols = harmony.into_iter().filter_map(|h| h.symbol);
    symbols
        .map(|symbol| match symbol {
            Symbol::Chord(chord) => {
                let class = |t| chord.class(t);
                json!([chord.third().map(class), chord.seventh().map(class)])
            }
            Symbol::NoChord => json!([null, null]),
        })
        .collect()
}
