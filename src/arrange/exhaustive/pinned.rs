//! Dropping held against keeping everything, where grips are pinned.

use super::*;
use crate::arrange::{Lean, Options, arrange};
use crate::song::{Idea, Pin, Wish};

/// The song with some of the grips pinned that it has when it is arranged fuller.
fn pinned(mut song: Song, picks: &[prop::sample::Index]) -> Option<Song> {
    let (instrument, hand) = guitar();
    let options = Options {
        layer: Layer::Colour,
        shift: Some(0),
        lean: Lean::Full,
        ..Options::default()
    };
    let slices = arrange(&song, &instrument, &hand, &options).ok()?.slices;
    let starts = song.starts();
    for pick in picks {
        let slice = pick.get(&slices);
        let frets = slice.grip.frets[..instrument.strings()].iter();
        song.pins.push(Pin {
            bar: slice.bar,
            at: slice.at - starts[slice.bar],
            wish: Wish::Grip(frets.map(|&f| u8::try_from(f).ok()).collect()),
            place: Place::default(),
        });
    }
    Some(song)
}

proptest! {
    #![proptest_config(crate::properties::cases(120))]

    #[test]
    fn dropping_outdone_states_changes_nothing_under_pins(
        bars in tunes(52..=79, 1..=6, 1..=3),
        chords in chords(),
        ideas in prop_oneof![Just(Vec::<Idea>::new()), colours::ideas()],
        tempo in 40..240u32,
        picks in prop::collection::vec(any::<prop::sample::Index>(), 1..=2),
    ) {
        prop_assume!(bars.iter().flatten().any(|n| n.0 > 0));
        let song = colours::coloured(&bars, &chords, tempo, ideas);
        if let Some(song) = pinned(song, &picks) {
            let (with, without) = with_and_without(&song, Layer::Colour);
            prop_assert_eq!(with, without);
        }
    }
}

/// Whoever comes to a pinned grip without a note that rings into it sets down the whole grip there: the
/// stretched one costs more at first and is the best all the same.
#[test]
fn a_pinned_grip_holds_what_rang_into_it() {
    let chords = [chord(Letter::F, false, false)];
    let mut song = song(&[vec![(64, 4), (64, 4)]], &chords, 60);
    song.pins.push(Pin {
        bar: 0,
        at: 2 * QUARTER,
        wish: Wish::Grip([Some(0), None, Some(5), None, Some(0), Some(1)].into()),
        place: Place::default(),
    });
    let (with, without) = with_and_without(&song, Layer::Fill);
    assert!(without.is_some());
    assert_eq!(with, without);
}
