//! The hand model of the library and that of the checker, written apart, agree on any grip.

mod checker;

use checker::broken_rules;
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use serde_json::{Value, json};
use thumbline::guitar::{Grip, Hand, Instrument, Neck, Refusal, Stretch};

const STRINGS: usize = 6;

/// Grips that a hand might be asked for: fingers at frets that mostly rise, each string silent,
/// open or under some finger, and now and then a slip.
fn grips() -> impl Strategy<Value = Grip> {
    let base = 1..13i8;
    let steps = prop::array::uniform4(0..3i8);
    let strings = prop::array::uniform6(0..6u8);
    let slip = prop::option::weighted(0.1, (0..STRINGS, -1..=1i8, 0..5u8));
    (base, steps, strings, slip).prop_map(|(base, steps, strings, slip)| {
        let mut frets = [0; 4];
        let mut fret = base - 1;
        for (finger, step) in steps.into_iter().enumerate() {
            fret += if finger == 0 { 1 } else { step };
            frets[finger] = fret;
        }
        let mut grip = Grip::EMPTY;
        for (i, kind) in strings.into_iter().enumerate() {
            (grip.frets[i], grip.fingers[i]) = match kind {
                0 => (-1, 0),
                1 => (0, 0),
                _ => (frets[usize::from(kind) - 2], kind - 1),
            };
        }
        if let Some((string, off, finger)) = slip {
            grip.frets[string] = (grip.frets[string] + off).max(-1);
            grip.fingers[string] = finger;
        }
        grip
    })
}

/// An arrangement of one bar in which this grip is rolled; spans are `less` mm shorter than the
/// hand's.
fn one_grip(
    guitar: &Instrument,
    hand: &Hand,
    grip: &Grip,
    told: Option<Stretch>,
    less: f64,
) -> Value {
    let pairs = (1..4u8).flat_map(|f| (f + 1..=4).map(move |g| (f, g)));
    let spans = pairs.map(|(f, g)| {
        let span = hand.spans[usize::from(f) - 1][usize::from(g) - 1];
        json!({"fingers": [f, g], "largest_mm": f64::from(span.largest) / 10.0 - less})
    });
    let open = guitar.open.iter().enumerate();
    let strings = open.map(|(i, p)| json!({"string": i + 1, "midi": p.midi()}));
    let barres: Vec<_> = grip.barres().collect();
    let barre = barres
        .iter()
        .map(|b| json!({"finger": b.finger, "fret": b.fret, "from": b.from, "to": b.to}));
    let sounding = (0..STRINGS).rev().filter(|&i| grip.frets[i] >= 0);
    let plucks = sounding.map(|i| {
        let (fret, left) = (grip.frets[i], grip.fingers[i]);
        json!({
            "at": 0, "end": 10_080, "string": i + 1, "fret": fret,
            "midi": guitar.sounding(i as u8 + 1, fret as u8), "left": left,
            "barre": barres.iter().any(|b| b.finger == left), "right": "p",
            "layer": "colour", "technique": "roll",
        })
    });
    let frets = grip.frets[..STRINGS].iter().map(|&f| (f >= 0).then_some(f));
    let stretch = told.map(|s| json!({"fingers": s.fingers, "mm": f64::from(s.distance) / 10.0}));
    json!({
        "format": "thumbline-arrangement", "version": 1, "ticks_per_quarter": 10_080, "layer": 4,
        "instrument": {
            "capo": guitar.capo, "frets": guitar.frets, "scale_mm": guitar.scale_mm,
            "nut_spacing_mm": guitar.nut_spacing_mm,
            "bridge_spacing_mm": guitar.bridge_spacing_mm,
            "strings": strings.collect::<Vec<_>>(),
        },
        "hand": {"spans": spans.collect::<Vec<_>>()},
        "melody": [], "chords": [],
        "ideas": [{"bar": 0, "to": 0, "at": 0, "figure": "roll", "strings": STRINGS}],
        "bars": [{
            "index": 0, "number": 1, "at": 0, "length": 10_080, "meter": "1/4",
            "slices": [{
                "at": 0, "end": 10_080, "barre": barre.collect::<Vec<_>>(), "stretch": stretch,
                "grip": {"frets": frets.collect::<Vec<_>>(), "fingers": grip.fingers[..STRINGS]},
            }],
            "plucks": plucks.collect::<Vec<_>>(),
        }],
    })
}

#[test]
fn what_one_hand_model_refuses_the_other_refuses() {
    let mut runner = TestRunner::deterministic();
    let (mut held, mut too_far, mut refused) = (0, 0, 0);
    for case in 0..12_000 {
        let grip = grips().new_tree(&mut runner).unwrap().current();
        let guitar = Instrument::new("standard", [0, 3, 5][case % 3], 20).unwrap();
        let hand = Hand::named(["small", "medium", "large"][case / 3 % 3]).unwrap();
        let verdict = hand.judge(&Neck::new(&guitar), &grip);
        let told = verdict.unwrap_or(None);
        // A grip that is only just too wide may pass within the rounding, so spans shrink a little.
        let less = if matches!(verdict, Err(Refusal::TooFar(..))) {
            0.4
        } else {
            0.0
        };
        let mut faults = broken_rules(&one_grip(&guitar, &hand, &grip, told, less));
        faults.retain(|f| !f.contains("stretch is not told") || verdict.is_ok());
        assert_eq!(
            faults.is_empty(),
            verdict.is_ok(),
            "{grip} fingers {:?}, {} hand, capo {}: {verdict:?}, {faults:#?}",
            &grip.fingers[..STRINGS],
            hand.name,
            guitar.capo
        );
        match verdict {
            Ok(_) => held += 1,
            Err(Refusal::TooFar(..)) => too_far += 1,
            Err(_) => refused += 1,
        }
    }
    // The grips were of every kind.
    assert!(
        held > 1000 && too_far > 100 && refused > 1000,
        "{held} {too_far} {refused}"
    );
}
