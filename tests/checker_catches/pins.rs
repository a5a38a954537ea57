//! Pins that are kept and pins that are not.

use super::{broken_rules, caught, with};
use serde_json::{Value, json};

/// What is found with one pin at the start of bar 1, the open C.
fn pinned(mut pin: Value) -> Vec<String> {
    pin["bar"] = json!(1);
    pin["at"] = json!(0);
    broken_rules(&with(&[("/pins", json!([pin]))]))
}

#[test]
fn kept_pins_pass() {
    for pin in [
        json!({"kind": "place", "target": "melody", "string": 1, "fret": null, "finger": 0}),
        json!({"kind": "place", "target": "bass", "string": 5, "fret": 3, "finger": 3}),
        json!({"kind": "grip", "frets": [0, 1, 0, null, 3, null]}),
        json!({"kind": "bass", "name": "C", "octave": 3}),
        json!({"kind": "bass", "name": "B♯", "octave": 2}),
        json!({"kind": "bass", "name": "Dbb", "octave": null}),
        json!({"kind": "fill", "notes": 2}),
    ] {
        assert_eq!(pinned(pin), Vec::<String>::new());
    }
}

#[test]
fn broken_pins_are_caught() {
    for (pin, sentence) in [
        (
            json!({"kind": "place", "target": "melody", "string": 2, "fret": 5, "finger": null}),
            "the place pinned is not played",
        ),
        (
            json!({"kind": "place", "target": "bass", "string": 5, "fret": 3, "finger": 4}),
            "the place pinned is not played",
        ),
        (
            json!({"kind": "grip", "frets": [0, 1, 0, 2, 3, null]}),
            "the grip pinned is not held",
        ),
        (
            json!({"kind": "bass", "name": "C", "octave": 2}),
            "the pinned bass C is not struck",
        ),
        (
            json!({"kind": "bass", "name": "E", "octave": null}),
            "the pinned bass E is not struck",
        ),
        (
            json!({"kind": "fill", "notes": 1}),
            "1 fill notes are pinned, 2 are struck",
        ),
        (
            json!({"kind": "nothing"}),
            "nothing was to be struck under the melody",
        ),
    ] {
        assert_eq!(pinned(pin), [format!("bar 1, tick 0: {sentence}")]);
    }
}

#[test]
fn a_pinned_bass_need_not_be_the_chords() {
    let other_bass = ("/chords/0/bass", json!(4));
    let pin = json!([{"kind": "bass", "name": "C", "octave": null, "bar": 1, "at": 0}]);
    caught(
        std::slice::from_ref(&other_bass),
        "the bass is not the one of C",
    );
    assert_eq!(
        broken_rules(&with(&[other_bass, ("/pins", pin)])),
        Vec::<String>::new()
    );
}
