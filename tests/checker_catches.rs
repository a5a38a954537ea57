//! The checker itself: a sound arrangement passes, and each single fault put into it is named.

mod checker;

use checker::broken_rules;
use serde_json::{Value, json};

/// Four bars written by hand: a pickup, an open C, a barred F, a G7 with a short note under the
/// fill and a rest at the end.
fn good() -> Value {
    serde_json::from_str(include_str!("checker/good.json")).expect("the file is JSON")
}

/// The good arrangement with some values changed, each named by its JSON pointer (RFC 6901).
fn with(changes: &[(&str, Value)]) -> Value {
    let mut json = good();
    for (pointer, value) in changes {
        *json.pointer_mut(pointer).expect(pointer) = value.clone();
    }
    json
}

/// Every sentence about the changed arrangement, checked to hold the one expected.
fn caught(changes: &[(&str, Value)], sentence: &str) {
    let found = broken_rules(&with(changes));
    assert!(
        found.iter().any(|f| f.contains(sentence)),
        "{changes:?} should give “{sentence}”, gave {found:#?}"
    );
}

#[test]
fn a_sound_arrangement_passes() {
    assert_eq!(broken_rules(&good()), Vec::<String>::new());
}

#[test]
fn a_fault_is_put_at_its_place() {
    let found = broken_rules(&with(&[("/bars/1/plucks/4/midi", json!(63))]));
    assert_eq!(
        found,
        [
            "bar 1, tick 20160: string 2, fret 3 does not sound pitch 63",
            "bar 1, tick 20160: the tune has pitch 62, played is 63",
        ]
    );
}

#[test]
fn what_is_no_arrangement_is_refused() {
    for json in [json!(null), json!({}), with(&[("/version", json!(2))])] {
        let found = broken_rules(&json);
        assert!(
            found[0].starts_with("the JSON is not an arrangement"),
            "{found:?}"
        );
    }
}

#[test]
fn faults_of_time_are_caught() {
    caught(&[("/bars/2/at", json!(50_401))], "index 2 is out of place");
    caught(
        &[("/bars/1/slices/0/end", json!(30_000))],
        "leave a gap or overlap",
    );
    caught(
        &[("/bars/3/slices/2/end", json!(131_000))],
        "do not reach the end",
    );
    caught(
        &[("/bars/1/slices/0/grip/frets", json!([0, 1]))],
        "not one entry a string",
    );
    caught(
        &[("/bars/1/plucks/4/at", json!(31_000))],
        "falls inside a slice",
    );
    caught(
        &[("/bars/1/plucks/4/at", json!(50_400))],
        "starts outside its bar",
    );
    caught(
        &[("/bars/3/plucks/0/end", json!(131_041))],
        "ends outside the song",
    );
    caught(
        &[("/bars/1/plucks/0/string", json!(7))],
        "there is no string 7",
    );
    caught(
        &[("/bars/1/plucks/0/string", json!(2))],
        "the plucks are not in order",
    );
    caught(
        &[("/melody/1/end", json!(30_241))],
        "two melody notes overlap",
    );
    caught(
        &[("/chords/1/at", json!(10_080))],
        "the chords are not in order",
    );
}

#[test]
fn a_song_may_start_with_a_rest() {
    let mut json = good();
    json["bars"][0]["slices"] = json!([]);
    json["bars"][0]["plucks"] = json!([]);
    json["melody"].as_array_mut().unwrap().remove(0);
    assert_eq!(broken_rules(&json), Vec::<String>::new());
}

#[test]
fn faults_of_strings_are_caught() {
    caught(
        &[("/bars/1/plucks/2/end", json!(30_241))],
        "string 2 sounds two notes at once",
    );
    caught(
        &[("/bars/1/plucks/0/fret", json!(2))],
        "string 5, fret 2 does not sound pitch 48",
    );
    caught(
        &[("/instrument/capo", json!(2))],
        "string 5, fret 3 does not sound pitch 48",
    );
    caught(&[("/instrument/frets", json!(2))], "string 5 has no fret 3");
    caught(
        &[("/bars/1/plucks/0/left", json!(0))],
        "string 5 is stopped by no finger",
    );
    caught(
        &[("/bars/1/plucks/1/left", json!(2))],
        "string 3 is open with a finger",
    );
    caught(
        &[("/bars/1/plucks/0/end", json!(30_240))],
        "the grip on string 5 is not the fret that sounds",
    );
    caught(
        &[("/bars/1/slices/1/grip/fingers/4", json!(2))],
        "the finger on string 5 changes while it sounds",
    );
}

#[test]
fn a_harmonic_sounds_at_its_node_only() {
    // The harmonic series: touched at the half the octave, at a third the twelfth, at a quarter two
    // octaves. String 1 open is MIDI 64; the note of the tune is moved along.
    let touched = |fret: i32, midi: i32| {
        with(&[
            ("/bars/0/plucks/0/technique", json!("harmonic")),
            ("/bars/0/plucks/0/left", json!(0)),
            ("/bars/0/plucks/0/fret", json!(fret)),
            ("/bars/0/plucks/0/midi", json!(midi)),
            ("/melody/0/midi", json!(midi)),
        ])
    };
    for (fret, midi) in [(12, 76), (7, 83), (5, 88), (19, 83)] {
        assert_eq!(broken_rules(&touched(fret, midi)), Vec::<String>::new());
    }
    for (fret, midi) in [(12, 77), (3, 67), (6, 70), (0, 64)] {
        let found = broken_rules(&touched(fret, midi));
        assert_eq!(found.len(), 1, "fret {fret}: {found:?}");
        assert!(found[0].contains("does not sound pitch"));
    }
}

#[test]
fn faults_of_the_left_hand_are_caught() {
    caught(
        &[("/hand/spans/3/largest_mm", json!(60))],
        "fingers 1 and 3 are 72.5 mm apart, the hand reaches 60.0",
    );
    caught(
        &[
            ("/bars/1/plucks/0/left", json!(1)),
            ("/bars/1/plucks/2/left", json!(3)),
            ("/bars/1/slices/0/grip/fingers", json!([0, 3, 0, 0, 1, 0])),
        ],
        "finger 1 is at a higher fret than finger 3",
    );
    caught(
        &[
            ("/bars/1/plucks/0/left", json!(1)),
            ("/bars/1/slices/0/grip/fingers/4", json!(1)),
        ],
        "finger 1 is at two frets at once",
    );
    caught(
        &[
            ("/bars/3/plucks/0/left", json!(3)),
            ("/bars/3/slices/0/grip/fingers", json!([4, 2, 0, 0, 0, 3])),
        ],
        "fingers 2 and 3 cross at one fret",
    );
    caught(
        &[
            ("/bars/2/plucks/2/fret", json!(0)),
            ("/bars/2/plucks/2/midi", json!(59)),
            ("/bars/2/slices/0/grip/frets/1", json!(0)),
        ],
        "string 2 is wanted open under a barre",
    );
    caught(
        &[
            (
                "/bars/2/slices/0/grip/frets",
                json!([2, 2, 1, null, null, 2]),
            ),
            ("/bars/2/slices/0/grip/fingers", json!([2, 2, 1, 0, 0, 2])),
        ],
        "string 3 is wanted below the barre that lies on it",
    );
    caught(
        &[("/bars/1/slices/0/grip/fingers/1", json!(0))],
        "fret and finger at odds",
    );
    caught(
        &[("/bars/2/slices/0/barre/0/to", json!(5))],
        "the barres named",
    );
    caught(
        &[("/bars/2/plucks/0/barre", json!(false))],
        "the barre mark on string 6 is wrong",
    );
    caught(
        &[("/bars/1/plucks/0/barre", json!(true))],
        "the barre mark on string 5 is wrong",
    );
    caught(
        &[("/bars/1/slices/0/stretch/mm", json!(40.0))],
        "stretch told is not the real one",
    );
    caught(
        &[("/bars/1/slices/0/stretch", json!(null))],
        "the stretch is not told",
    );
    caught(
        &[("/hand/spans/3/fingers", json!([2, 3]))],
        "says nothing of fingers 1 and 3",
    );
}

#[test]
fn a_span_is_refused_only_beyond_the_rounding() {
    // Fingers 1 and 3 of the C grip: frets 1 and 3, three strings apart.
    let spread = good()["bars"][1]["slices"][0]["stretch"]["mm"]
        .as_f64()
        .unwrap();
    let reach = |mm: f64| broken_rules(&with(&[("/hand/spans/3/largest_mm", json!(mm))])).len();
    assert_eq!(reach(spread - 0.1), 0);
    assert_eq!(reach(spread - 0.4), 1);
}

#[test]
fn faults_of_the_melody_are_caught() {
    caught(
        &[("/melody/5/midi", json!(60))],
        "the tune has pitch 60, played is 59",
    );
    caught(
        &[("/melody/5/at", json!(105_000))],
        "a note of the tune is not played",
    );
    caught(
        &[("/bars/3/plucks/3/layer", json!("fill"))],
        "a note of the tune is not played",
    );
    caught(
        &[("/bars/3/plucks/1/layer", json!("melody"))],
        "has no note in the tune",
    );
    caught(
        &[("/melody/6/end", json!(120_000))],
        "sounds longer than written",
    );
    // The fill on string 2 under the G7 now meets a longer note below it.
    caught(
        &[
            ("/melody/5/end", json!(105_841)),
            ("/melody/6/at", json!(105_841)),
        ],
        "string 2 rings on above the melody",
    );
    // Equal in pitch to the melody note it stands under, and above it.
    caught(
        &[("/melody/1/midi", json!(60))],
        "string 2 is struck at or above the melody",
    );
    caught(
        &[("/melody/1/midi", json!(59))],
        "string 2 is struck at or above the melody",
    );
}

#[test]
fn faults_of_the_harmony_are_caught() {
    caught(
        &[("/chords/0/bass", json!(4))],
        "the bass is not the one of C",
    );
    caught(
        &[
            ("/chords/0/bass", json!(null)),
            ("/chords/0/classes", json!([])),
        ],
        "the fill on string 3 is not in C",
    );
    caught(
        &[("/chords/0/classes", json!([0, 4]))],
        "the fill on string 3 is not in C",
    );
    caught(
        &[("/chords/1/at", json!(40_320))],
        "the bass of C rings into the next chord",
    );
    caught(
        &[("/chords/1/at", json!(40_320))],
        "the fill of C rings into the next chord",
    );
    caught(
        &[("/chords/0/at", json!(20_160))],
        "a bass note before the first chord",
    );
    caught(&[("/layer", json!(2))], "a layer that was not asked for");
    caught(
        &[
            ("/bars/1/plucks/0/layer", json!("fill")),
            ("/bars/1/plucks/1/layer", json!("bass")),
        ],
        "the fill on string 5 is not above the bass",
    );
    caught(
        &[("/bars/0/plucks/0/layer", json!("bass"))],
        "a bass note in the pickup",
    );
}

#[test]
fn colour_may_walk_the_bass() {
    let walked = with(&[("/chords/0/bass", json!(4)), ("/layer", json!(4))]);
    assert_eq!(broken_rules(&walked), Vec::<String>::new());
}

#[test]
fn faults_of_the_right_hand_are_caught() {
    caught(
        &[("/bars/1/plucks/1/right", json!("p"))],
        "strings 5 and 3 do not get right fingers in order",
    );
    caught(
        &[
            ("/bars/1/plucks/2/right", json!("a")),
            ("/bars/1/plucks/3/right", json!("m")),
        ],
        "strings 2 and 1 do not get right fingers in order",
    );
}

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
    caught(&[other_bass.clone()], "the bass is not the one of C");
    assert_eq!(
        broken_rules(&with(&[other_bass, ("/pins", pin)])),
        Vec::<String>::new()
    );
}

#[test]
fn five_strings_at_once_must_be_swept() {
    // A silent string of the open C joins in: E on string 4, fret 2, finger 2.
    let five = |technique: &str| {
        let mut json = good();
        let plucks = json["bars"][1]["plucks"].as_array_mut().unwrap();
        let mut extra = plucks[0].clone();
        for (name, value) in [("string", 4), ("fret", 2), ("midi", 52), ("left", 2)] {
            extra[name] = json!(value);
        }
        extra["layer"] = json!("fill");
        extra["end"] = json!(30_240);
        plucks.insert(1, extra);
        for pluck in &mut plucks[..5] {
            pluck["technique"] = json!(technique);
        }
        json["bars"][1]["slices"][0]["grip"]["frets"][3] = json!(2);
        json["bars"][1]["slices"][0]["grip"]["fingers"][3] = json!(2);
        broken_rules(&json)
    };
    assert_eq!(five("roll"), Vec::<String>::new());
    assert_eq!(five("brush"), Vec::<String>::new());
    let found = five("plain");
    assert!(
        found[0].contains("5 strings are plucked at once"),
        "{found:?}"
    );
}
