//! Songs that no player would write: their sheets are in order all the same.

use super::*;
use crate::arrange::Technique;
use crate::guitar::Instrument;
use crate::song::Tempo;
use proptest::prelude::*;

/// A song that no player would write, to see that its sheet is still in order.
fn any_song() -> impl Strategy<Value = Arrangement> {
    let meter = prop::sample::select(vec!["4/4", "3/4", "6/8", "2/2", "5/8"]);
    let note = (
        0i64..16,
        1i64..20,
        1u8..=8,
        0u8..15,
        0u8..=4,
        0usize..4,
        0usize..3,
        0usize..12,
    );
    let bar = (meter, prop::collection::vec(note, 0..10), 0u8..12);
    let chords = prop::sample::select(vec!["C", "F#m7b5/C", "G7sus4", "Bbmaj9", "N.C.", "Am"]);
    (
        prop::collection::vec((bar, prop::option::of(chords)), 1..14),
        "\\PC{0,60}|[ -~]{0,220}|[\\x00-\\x20]{0,8}",
        4usize..=8,
        0u8..4,
    )
        .prop_map(|(bars, title, strings, capo)| build(bars, &title, strings, capo))
}

/// A meter, notes, and a number that chooses what is special about the bar.
type AnyBar<'a> = (&'a str, Vec<Note>, u8);
/// Onset, length, string, fret, left finger, right finger, layer, technique.
type Note = (i64, i64, u8, u8, u8, usize, usize, usize);

fn build(
    list: Vec<(AnyBar<'_>, Option<&str>)>,
    title: &str,
    strings: usize,
    capo: u8,
) -> Arrangement {
    const UNIT: i64 = QUARTER / 8;
    let fingers = [
        RightFinger::P,
        RightFinger::I,
        RightFinger::M,
        RightFinger::A,
    ];
    let layers = [Layer::Melody, Layer::Bass, Layer::Fill];
    let mut bars = Vec::new();
    let mut attacks: Vec<fixture::Attack> = Vec::new();
    let mut ways = Vec::new();
    let mut start = 0;
    for (i, ((meter, notes, sign), chord)) in list.into_iter().enumerate() {
        let mut bar = fixture::bar(i as u32 + 1, meter);
        bar.opens_repeat = sign == 1;
        bar.close = match sign {
            2 => Close::Repeat(2),
            3 => Close::Repeat(4),
            4 => Close::Double,
            5 => Close::Final,
            _ => Close::Single,
        };
        if sign == 6 {
            bar.ending = vec![1, 2, 3];
        }
        if sign == 7 || sign == 6 {
            let (beat, per_minute) = (QUARTER / 2 * 3, 120);
            bar.tempo = Some(Tempo { beat, per_minute });
        }
        let whole = bar.length / UNIT;
        if let Some(symbol) = chord {
            for at in [0, bar.length / 2] {
                bar.chords.push(ChordChange {
                    at,
                    symbol: Symbol::parse(symbol).unwrap(),
                    place: Place::default(),
                });
            }
        }
        for (at, length, string, fret, left, right, layer, way) in notes {
            let string = (string - 1) % strings as u8 + 1;
            let at = start + at % whole;
            if attacks.iter().any(|a| (a.0, a.2) == (at, string)) {
                continue;
            }
            let melody = layers[layer] == Layer::Melody;
            if melody && attacks.iter().any(|a| a.0 == at && a.6 == Layer::Melody) {
                continue;
            }
            let left = if fret == 0 { 0 } else { left };
            attacks.push((
                at,
                at + length,
                string,
                fret,
                left,
                fingers[right],
                layers[layer],
            ));
            ways.push((at, string, way));
        }
        start += whole;
        bars.push(bar);
    }
    attacks.sort_by_key(|a| (a.0, std::cmp::Reverse(a.2)));
    let end = start;
    for i in 0..attacks.len() {
        let melody = attacks[i].6 == Layer::Melody;
        let next = (attacks.iter().skip(i + 1))
            .find(|a| a.0 > attacks[i].0 && (a.2 == attacks[i].2 || melody && a.6 == Layer::Melody))
            .map_or(end, |a| a.0);
        attacks[i].1 = attacks[i].1.min(next).min(end);
    }
    let mut arrangement = fixture::arranged_on(&instrument(strings, capo), title, bars, &attacks);
    for pluck in &mut arrangement.plucks {
        let way = ways
            .iter()
            .find(|w| (w.0 * UNIT, w.1) == (pluck.at, pluck.string));
        pluck.technique = match way.map(|w| w.2) {
            Some(0) => Technique::Harmonic,
            Some(1) => Technique::Roll,
            Some(2) => Technique::Hit,
            Some(3) => Technique::Brush,
            Some(4) => Technique::Slur,
            _ => Technique::Plain,
        };
    }
    arrangement
}

fn instrument(strings: usize, capo: u8) -> Instrument {
    let open = ["F#1", "B1", "E2", "A2", "D3", "G3", "B3", "E4"];
    Instrument::new(&open[8 - strings..].join(" "), capo, 19).unwrap()
}

proptest! {
    #![proptest_config(crate::properties::cases(96))]

    /// Whatever the song, no text touches a text or a line, and nothing leaves the paper.
    #[test]
    fn nothing_ever_touches(
        song in any_song(),
        letter in any::<bool>(),
        large in any::<bool>(),
    ) {
        let paper = if letter { Paper::Letter } else { Paper::A4 };
        let document = laid_out(&song, Options { paper, large });
        let faults = document.faults();
        prop_assert!(faults.is_empty(), "{:#?}", faults);
        prop_assert!(legend(&document).starts_with("Signs: "));
        prop_assert_eq!(overlong(&song), Vec::<String>::new());
        prop_assert!(document.pdf().len() > 1000);
        prop_assert!(document.svg().contains("</svg>"));
    }
}
