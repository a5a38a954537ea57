use super::*;
use crate::score::fixture;

#[test]
fn a_waltz_in_words() {
    insta::assert_snapshot!(write(&fixture::waltz()));
}

#[test]
fn repeats_endings_and_all_ways_to_play_a_note() {
    let mut arrangement = fixture::round();
    arrangement.plucks[1].technique = Technique::Roll;
    arrangement.plucks[4].technique = Technique::Harmonic;
    arrangement.instrument.capo = 2;
    insta::assert_snapshot!(write(&arrangement));
}

#[test]
fn a_bar_like_another_names_it_and_every_beat_has_its_line() {
    let mut arrangement = fixture::waltz();
    // The last bar once more.
    let mut bar = arrangement.song.bars[2].clone();
    bar.number = 3;
    arrangement.song.bars.push(bar);
    let length = arrangement.song.bars[2].length;
    let again: Vec<Pluck> = (arrangement.plucks.iter())
        .filter(|p| p.bar == 2)
        .map(|p| Pluck {
            bar: 3,
            at: p.at + length,
            end: p.end + length,
            ..p.clone()
        })
        .collect();
    arrangement.plucks.extend(again);
    let text = write(&arrangement);
    assert!(text.contains("\nBar 3: same as bar 2.\n"), "{text}");
    let beats = |bar: &str| {
        let (_, rest) = text.split_once(&format!("\n{bar}.\n")).unwrap();
        rest.lines().take_while(|l| l.starts_with("Beat ")).count()
    };
    assert_eq!((beats("Pickup"), beats("Bar 1"), beats("Bar 2")), (1, 3, 3));
}

#[test]
fn a_bar_like_the_pickup_names_it() {
    let mut arrangement = fixture::waltz();
    arrangement.song.bars[1].chords.clear();
    arrangement.song.bars.truncate(2);
    arrangement.plucks.truncate(1);
    // Both bars are the last beat of three, with the same note.
    let mut again = arrangement.plucks[0].clone();
    (again.bar, again.at, again.end) = (1, again.end, 2 * again.end);
    arrangement.song.bars[1].length = arrangement.song.bars[0].length;
    arrangement.song.bars[1].opens_repeat = true;
    arrangement.plucks.push(again);
    let text = write(&arrangement);
    assert!(text.contains("\nBar 1: same as the pickup.\n"), "{text}");
}

#[test]
fn a_chord_over_silence_is_no_hold() {
    let mut arrangement = fixture::waltz();
    arrangement.plucks.clear();
    let text = write(&arrangement);
    assert!(
        text.contains("chord C; rest.") && !text.contains("hold"),
        "{text}"
    );
}

#[test]
fn nothing_in_it_is_a_sign_for_the_eye() {
    for arrangement in [fixture::waltz(), fixture::round()] {
        let text = write(&arrangement);
        assert!(text.is_ascii(), "{text}");
        assert!(!text.contains(['#', '/', '|', '*', '_', '(']), "{text}");
    }
}
