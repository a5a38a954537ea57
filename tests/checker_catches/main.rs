//! The checker itself: a sound arrangement passes, and each single fault put into it is named.

#[path = "../checker/mod.rs"]
mod checker;

mod hands;
mod pins;

use checker::broken_rules;
use serde_json::{Value, json};

/// Four bars written by hand: a pickup, an open C, a barred F, a G7 with a short note under the
/// fill and a rest at the end.
fn good() -> Value {
    serde_json::from_str(include_str!("../checker/good.json")).expect("the file is JSON")
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
fn nothing_rings_over_a_bar_line_that_is_jumped() {
    let mut json = good();
    json["play_order"] = json!([0, 1, 1, 2, 3]);
    assert_eq!(broken_rules(&json), Vec::<String>::new());
    json["bars"][1]["plucks"][1]["end"] = json!(50_401);
    let found = broken_rules(&json);
    let jumped = "a note rings over a bar line that is jumped";
    assert!(found[0].ends_with(jumped), "{found:?}");
    json["play_order"] = json!([0, 1, 2, 3]);
    assert!(!broken_rules(&json)[0].ends_with(jumped));
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
    let idea = json!({"bar": 1, "to": 1, "at": 0, "figure": "bass", "note": {"name": "C"}});
    let walk = [("/chords/0/bass", json!(4)), ("/layer", json!(4))];
    let asked = [&walk[..], &[("/ideas", json!([idea]))]].concat();
    assert_eq!(broken_rules(&with(&asked)), Vec::<String>::new());
    caught(&walk, "the bass is not the one of C");
}
