//! Faults of both hands, and of harmonics.

use super::{broken_rules, caught, good, with};
use serde_json::json;

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
            (
                "/ideas",
                json!([{"bar": 0, "to": 0, "at": 0, "figure": "harmonic", "string": 1, "fret": fret}]),
            ),
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
        json["ideas"] = json!([{"bar": 1, "to": 1, "at": 0, "figure": "roll", "strings": 5}]);
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
