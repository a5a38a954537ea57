//! Drawn grips, each rule on its own, and what must hold for every grip.

use super::*;
use crate::guitar::{Instrument, Span};
use proptest::prelude::*;

fn neck() -> Neck {
    Neck::new(&Instrument::standard())
}

fn medium(frets: &[i8], fingers: &[u8]) -> Result<Option<Stretch>, Refusal> {
    Hand::named("medium")
        .unwrap()
        .judge(&neck(), &Grip::from_low(frets, fingers))
}

#[test]
fn open_chords_and_barres_are_held() {
    for (frets, fingers) in [
        ([-1, 3, 2, 0, 1, 0], [0, 3, 2, 0, 1, 0]),
        ([3, 2, 0, 0, 0, 3], [2, 1, 0, 0, 0, 3]),
        ([0, 2, 2, 1, 0, 0], [0, 2, 3, 1, 0, 0]),
        ([1, 3, 3, 2, 1, 1], [1, 3, 4, 2, 1, 1]),
        ([-1, 2, 4, 4, 4, 2], [0, 1, 3, 3, 3, 1]),
        ([3, -1, 0, 0, 0, 3], [2, 0, 0, 0, 0, 3]),
    ] {
        let verdict = medium(&frets, &fingers);
        assert!(matches!(verdict, Ok(Some(_))), "{frets:?}: {verdict:?}");
    }
}

#[test]
fn a_finger_on_the_lowest_of_eight_strings_lies_there() {
    let eight = Instrument::new("F#1 B1 E2 A2 D3 G3 B3 E4", 0, 19).unwrap();
    let mut grip = Grip::EMPTY;
    (grip.frets[7], grip.fingers[7]) = (3, 1);
    (grip.frets[4], grip.fingers[4]) = (5, 3);
    let hand = Hand::named("medium").unwrap();
    let stretch = hand.judge(&Neck::new(&eight), &grip).unwrap().unwrap();
    assert_eq!(stretch.fingers, (1, 3));
}

#[test]
fn under_two_fingers_there_is_no_stretch() {
    assert_eq!(medium(&[], &[]), Ok(None));
    assert_eq!(medium(&[0; 6], &[0; 6]), Ok(None));
    assert_eq!(medium(&[5; 6], &[1; 6]), Ok(None));
}

#[test]
fn each_rule_refuses_with_its_own_reason() {
    for (frets, fingers, wanted) in [
        // A finger missing, idle, unknown, at two frets.
        (
            [-1, 3, 2, 0, 1, 0],
            [0, 3, 0, 0, 1, 0],
            Refusal::NoFinger(4),
        ),
        (
            [-1, 3, 2, 0, 1, 0],
            [0, 3, 5, 0, 1, 0],
            Refusal::NoFinger(4),
        ),
        (
            [-1, 3, 2, 0, 1, 0],
            [0, 3, 2, 4, 1, 0],
            Refusal::IdleFinger(3),
        ),
        (
            [-1, 3, 2, 0, 1, 0],
            [4, 3, 2, 0, 1, 0],
            Refusal::IdleFinger(6),
        ),
        (
            [-1, 3, 2, 0, 1, 0],
            [0, 3, 3, 0, 1, 0],
            Refusal::TwoFrets(3),
        ),
        // Beyond the last fret.
        (
            [-1, -1, -1, -1, -1, 20],
            [0, 0, 0, 0, 0, 1],
            Refusal::OffNeck(1),
        ),
        // An open string, and a string at a lower fret, under a barre.
        (
            [2, 2, 0, 2, 2, 2],
            [1, 1, 0, 1, 1, 1],
            Refusal::OpenUnderBarre(4),
        ),
        (
            [-1, 3, 2, 0, 0, 3],
            [0, 3, 2, 0, 0, 3],
            Refusal::OpenUnderBarre(2),
        ),
        (
            [-1, 3, 2, 3, -1, -1],
            [0, 2, 1, 2, 0, 0],
            Refusal::OpenUnderBarre(4),
        ),
        // Out of order along the neck, and at one fret.
        (
            [-1, 3, 2, 0, 1, 0],
            [0, 1, 2, 0, 3, 0],
            Refusal::Crossed(1, 2),
        ),
        (
            [-1, 0, 2, 2, 2, 0],
            [0, 0, 3, 2, 1, 0],
            Refusal::Crossed(1, 2),
        ),
        (
            [1, 1, 1, 1, 1, 1],
            [1, 1, 2, 1, 1, 1],
            Refusal::Crossed(1, 2),
        ),
        // Out of reach.
        (
            [-1, 5, 1, -1, -1, -1],
            [0, 2, 1, 0, 0, 0],
            Refusal::TooFar(1, 2),
        ),
        (
            [-1, 7, 1, -1, -1, -1],
            [0, 4, 1, 0, 0, 0],
            Refusal::TooFar(1, 4),
        ),
    ] {
        assert_eq!(
            medium(&frets, &fingers),
            Err(wanted),
            "{frets:?} {fingers:?}"
        );
    }
    assert_eq!(
        medium(&[0, -1, -1, -1, -1, -1, -1], &[0; 7]),
        Err(Refusal::OffNeck(7))
    );
}

#[test]
fn at_one_fret_the_lower_finger_takes_the_lower_string() {
    // A major: 2, 3, 4 on strings 4, 3, 2.
    assert!(medium(&[-1, 0, 2, 2, 2, 0], &[0, 0, 2, 3, 4, 0]).is_ok());
    assert!(medium(&[-1, 0, 2, 2, 2, 0], &[0, 0, 1, 2, 3, 0]).is_ok());
    // G major 7: the index may take string 1 when 2 is on string 5, but not next to it.
    assert!(medium(&[3, 2, 0, 0, 0, 2], &[3, 2, 0, 0, 0, 1]).is_ok());
    assert_eq!(
        medium(&[-1, -1, -1, 2, 2, -1], &[0, 0, 0, 2, 1, 0]),
        Err(Refusal::Crossed(1, 2))
    );
    assert_eq!(
        medium(&[3, 2, 0, 0, 0, 2], &[4, 3, 0, 0, 0, 2]),
        Err(Refusal::Crossed(2, 3))
    );
}

#[test]
fn the_stretch_is_worked_out_as_it_is_written() {
    // Fingers 1 at string 2 fret 1 and 3 at string 5 fret 3, with an open string between: along
    // 27.4 and 95.3 mm, string pitch at 95.3 mm 8.7 + 3·95.3/650 = 9.140 mm, to tenths three spaces 27.5
    // mm: √(67.9² + 27.5²) = 73.3 mm of 69 comfortable and 100 largest.
    let stretch = medium(&[-1, 3, 2, 0, 1, 0], &[0, 3, 2, 0, 1, 0])
        .unwrap()
        .unwrap();
    let wanted = Stretch {
        fingers: (1, 3),
        distance: 733,
        percent: 106,
        reserve: 138,
    };
    assert_eq!(stretch, wanted);
}

#[test]
fn the_index_may_lie_over_strings_that_do_not_sound() {
    // Fret 5 on string 1 and fret 7 on string 6: over silent strings the index can reach down
    // to string 6, over an open one it can't.
    let silent = medium(&[7, -1, -1, -1, -1, 5], &[3, 0, 0, 0, 0, 1])
        .unwrap()
        .unwrap();
    let along = neck().along(7) - neck().along(5);
    assert_eq!(silent.distance, along);
    let open = medium(&[7, -1, -1, 0, -1, 5], &[3, 0, 0, 0, 0, 1])
        .unwrap()
        .unwrap();
    assert!(open.distance > along);
}

#[test]
fn side_by_side_at_one_fret_fingers_are_a_string_apart() {
    let stretch = medium(&[-1, -1, 7, 7, -1, -1], &[0, 0, 1, 2, 0, 0])
        .unwrap()
        .unwrap();
    let neck = neck();
    assert_eq!(stretch.distance, neck.across(4, 7) - neck.across(3, 7));
}

#[test]
fn of_two_strained_pairs_the_one_with_less_left_counts() {
    let span = |comfortable, largest| Span {
        comfortable,
        largest,
    };
    let (tight, wide) = (span(100, 1000), span(2000, 3000));
    let hand = Hand::custom("mine", [wide, tight, wide, wide, wide, wide]).unwrap();
    let grip = Grip::from_low(&[-1, 7, 6, 5, -1, -1], &[0, 3, 2, 1, 0, 0]);
    let stretch = hand.judge(&neck(), &grip).unwrap().unwrap();
    assert_eq!(stretch.fingers, (2, 3));
    assert!(stretch.percent > 100 && stretch.reserve > 0);
}

#[test]
fn roots_are_rounded_to_the_nearest() {
    for square in 0..40_000i32 {
        assert_eq!(
            rounded_root(square),
            f64::from(square).sqrt().round() as i32
        );
    }
}

/// Grips that look like ones somebody might hold, and many that don't.
fn grips() -> impl Strategy<Value = Grip> {
    let string = prop_oneof![
        2 => Just((-1i8, 0u8)),
        1 => Just((0, 0)),
        5 => (0..=3u8, 0..2i8).prop_map(|(finger, on)| (finger as i8 + 1 + on, finger + 1)),
    ];
    (prop::collection::vec(string, 6), 0..12i8).prop_map(|(strings, up)| {
        let mut grip = Grip::EMPTY;
        for (index, (fret, finger)) in strings.into_iter().enumerate() {
            grip.frets[index] = if fret > 0 { fret + up } else { fret };
            grip.fingers[index] = finger;
        }
        grip
    })
}

proptest! {
    #![proptest_config(ProptestConfig { max_global_rejects: 100_000, ..crate::properties::cases(3000) })]

    #[test]
    fn taking_a_string_away_keeps_a_grip_playable(grip in grips(), name in 0..3usize) {
        let hand = Hand::named(["small", "medium", "large"][name]).unwrap();
        let neck = neck();
        prop_assume!(hand.judge(&neck, &grip).is_ok());
        for string in 0..MAX_STRINGS {
            let mut less = grip;
            less.frets[string] = -1;
            less.fingers[string] = 0;
            let verdict = hand.judge(&neck, &less);
            prop_assert!(verdict.is_ok(), "{} then {}: {:?}", grip, less, verdict);
        }
    }

    #[test]
    fn nothing_that_can_be_written_upsets_the_hand(
        frets in prop::array::uniform8(any::<i8>()),
        fingers in prop::array::uniform8(any::<u8>()),
    ) {
        let hand = Hand::named("medium").unwrap();
        if let Ok(Some(stretch)) = hand.judge(&neck(), &Grip { frets, fingers }) {
            prop_assert!(stretch.fingers.0 < stretch.fingers.1);
        }
    }

    #[test]
    fn a_larger_hand_holds_what_a_smaller_one_does(grip in grips()) {
        let hands = ["small", "medium", "large"].map(|name| Hand::named(name).unwrap());
        let held = hands.map(|hand| hand.judge(&neck(), &grip).is_ok());
        prop_assert!(held.is_sorted(), "{}: {:?}", grip, held);
    }
}
