use super::*;
use crate::score::fixture;
use proptest::prelude::*;

const Q: Ticks = QUARTER;

/// Notes of these lengths one after another; negative lengths are rests.
fn voice(meter: &str, lengths: &[Ticks]) -> Voice {
    let bar = fixture::bar(1, meter);
    let mut at = 0;
    let spans: Vec<Span> = (lengths.iter())
        .map(|&l| {
            let span = Span {
                at,
                end: at + l.abs(),
                kind: if l > 0 {
                    Kind::Note { tied: false }
                } else {
                    Kind::Rest
                },
            };
            at = span.end;
            span
        })
        .collect();
    write(&spans, &Grid::new(&bar, 0))
}

/// Each sign as a player would say it: `4` a quarter, `4.` dotted, `~` tied on, `r` a rest.
fn said(voice: &Voice) -> String {
    let signs = voice.signs.iter().map(|s| {
        format!(
            "{}{}{}{}",
            if s.rest { "r" } else { "" },
            1 << s.value.head,
            ".".repeat(s.value.dots.into()),
            if s.tied { "~" } else { "" }
        )
    });
    signs.collect::<Vec<_>>().join(" ")
}

#[test]
fn single_values_and_ties_show_the_beats() {
    let cases: &[(&str, &[Ticks], &str)] = &[
        ("4/4", &[Q, Q, 2 * Q], "4 4 2"),
        ("4/4", &[3 * Q, Q], "2. 4"),
        ("4/4", &[3 * Q / 2, Q / 2, Q, Q], "4. 8 4 4"),
        ("4/4", &[Q / 2, Q, Q / 2, 2 * Q], "8 4 8 2"),
        // Five eighths: to the middle, and on.
        ("4/4", &[5 * Q / 2, 3 * Q / 2], "2~ 8 4."),
        ("4/4", &[Q, Q / 2, Q, 3 * Q / 2], "4 8 8~ 8 4."),
        ("3/4", &[5 * Q / 2, Q / 2], "2~ 8 8"),
        ("3/4", &[-Q, 2 * Q], "r4 2"),
        ("6/8", &[Q, Q / 2, 3 * Q / 2], "4 8 4."),
        ("6/8", &[5 * Q / 2, Q / 2], "4.~ 4 8"),
        ("4/4", &[-4 * Q], "r1"),
        ("4/4", &[-3 * Q / 2, Q / 2, 2 * Q], "r4 r8 8 2"),
        (
            "4/4",
            &[Q / 32, Q / 32, Q / 16, Q / 8, Q / 4, Q / 2, 3 * Q],
            "128 128 64 32 16 8 2.",
        ),
        (
            "4/4",
            &[Q / 4, 3 * Q / 4, 3 * Q / 4, Q / 4, 2 * Q],
            "16 8. 8. 16 2",
        ),
    ];
    for (meter, lengths, wanted) in cases {
        assert_eq!(said(&voice(meter, lengths)), *wanted, "{meter} {lengths:?}");
    }
}

#[test]
fn tuplets_are_found_in_their_smallest_stretch() {
    let third = Q / 3;
    let v = voice("4/4", &[third, third, third, Q, 2 * Q]);
    assert_eq!(
        (said(&v).as_str(), v.tuplets.as_slice()),
        ("8 8 8 4 2", &[3u8][..])
    );
    assert_eq!(v.beams, [(0, 2)]);
    let v = voice("4/4", &[2 * third, third, 3 * Q]);
    assert_eq!(said(&v), "4 8 2.");
    // Three quarters in the time of two.
    let v = voice("4/4", &[2 * third, 2 * third, 2 * third, 2 * Q]);
    assert_eq!(
        (said(&v).as_str(), v.tuplets.as_slice()),
        ("4 4 4 2", &[3u8][..])
    );
    // Three sixteenths in the time of an eighth.
    let v = voice("2/4", &[Q / 6, Q / 6, Q / 6, Q / 2, Q]);
    assert_eq!(
        (said(&v).as_str(), v.tuplets.as_slice()),
        ("16 16 16 8 4", &[3u8][..])
    );
    let v = voice("2/4", &[Q / 5, Q / 5, Q / 5, Q / 5, Q / 5, Q]);
    assert_eq!(
        (said(&v).as_str(), v.tuplets.as_slice()),
        ("16 16 16 16 16 4", &[5u8][..])
    );
    assert_eq!(v.signs[4].tuplet, Some(0));
    assert_eq!(v.signs[5].tuplet, None);
    // Three quarters in the time of two, from an offbeat on.
    let v = voice("4/4", &[Q / 2, 2 * third, 2 * third, 2 * third, 3 * Q / 2]);
    assert_eq!(
        (said(&v).as_str(), v.tuplets.as_slice()),
        ("8 4 4 4 4.", &[3u8][..])
    );
}

#[test]
fn beams_join_what_lies_in_one_beat() {
    let eighths = [Q / 2; 8];
    assert_eq!(
        voice("4/4", &eighths).beams,
        [(0, 1), (2, 3), (4, 5), (6, 7)]
    );
    assert_eq!(voice("6/8", &eighths[..6]).beams, [(0, 2), (3, 5)]);
    assert_eq!(voice("3/8", &eighths[..3]).beams, [(0, 2)]);
    let rested = voice("2/4", &[Q / 2, -Q / 2, Q / 4, Q / 4, Q / 2]);
    assert_eq!(rested.beams, [(2, 4)]);
}

#[test]
fn a_pickup_keeps_its_beats() {
    let mut bar = fixture::bar(0, "3/4");
    bar.length = Q;
    let spans = [0, Q / 2].map(|at| Span {
        at,
        end: at + Q / 2,
        kind: Kind::Note { tied: false },
    });
    let v = write(&spans, &Grid::new(&bar, 2 * Q));
    assert_eq!(said(&v), "8 8");
    assert_eq!(v.beams, [(0, 1)]);
    assert_eq!(v.signs[1].at, Q / 2);
}

proptest! {
    #![proptest_config(crate::properties::cases(256))]

    /// Whatever a bar holds, the signs follow each other and fill what they stand for.
    #[test]
    fn signs_fill_the_bar(
        mut cuts in prop::collection::btree_set(1i64..4 * Q, 0..14),
        coarse in prop::sample::select(vec![1, Q / 32, Q / 16, Q / 4, Q / 3, Q / 5, Q / 6]),
        meter in prop::sample::select(vec!["4/4", "2/2", "12/8", "2+3+3/8", "8/8"]),
    ) {
        cuts = cuts.into_iter().map(|c| c / coarse * coarse).filter(|&c| c > 0).collect();
        let mut lengths = Vec::new();
        let mut from = 0;
        let whole = fixture::bar(1, meter).length;
        for cut in cuts.into_iter().filter(|&c| c < whole).chain([whole]) {
            lengths.push(cut - from);
            from = cut;
        }
        let v = voice(meter, &lengths);
        let mut at = 0;
        for sign in &v.signs {
            prop_assert_eq!(sign.at, at);
            prop_assert!(sign.end > at);
            at = sign.end;
        }
        prop_assert_eq!(at, whole);
        for &(a, b) in &v.beams {
            prop_assert!(a < b && b < v.signs.len());
        }
        // Outside tuplets every value of a multiple of the finest is exact.
        for sign in v.signs.iter().filter(|s| s.tuplet.is_none() && coarse % FINEST == 0) {
            prop_assert_eq!(Value::of(sign.end - sign.at), Some(sign.value));
        }
    }
}
