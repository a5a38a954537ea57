use super::measure::NUMBER;
use super::rhythm::Sign;
use super::written;
use super::*;
use crate::arrange::{Arrangement, Layer, RightFinger, Technique};
use crate::guitar::Instrument;
use crate::score::fixture;
use crate::song::{Bar, ChordChange, Close, Place, Tempo};
use crate::theory::{QUARTER, Symbol, Ticks};
use proptest::prelude::*;

fn laid_out(arrangement: &Arrangement, options: Options) -> Document {
    Booklet::of(std::slice::from_ref(arrangement)).lay_out(options)
}

fn texts(document: &Document) -> Vec<&str> {
    let marks = document.pages.iter().flatten();
    marks
        .filter_map(|m| match m {
            Mark::Text { text, .. } => Some(text.as_str()),
            _ => None,
        })
        .collect()
}

#[test]
fn nothing_touches_in_the_songs_arranged_by_hand() {
    for arrangement in [fixture::waltz(), fixture::round()] {
        for paper in [Paper::A4, Paper::Letter] {
            for large in [false, true] {
                let document = laid_out(&arrangement, Options { paper, large });
                assert_eq!(document.faults(), Vec::<String>::new());
                assert!(large || document.pages.len() == 1);
            }
        }
    }
}

#[test]
fn a_sheet_says_all_that_a_student_needs() {
    let document = laid_out(&fixture::waltz(), Options::default());
    let texts = texts(&document);
    for wanted in [
        "Lamps on the Quay",
        "C",
        "G/B",
        "= 96",
        "1 / 1",
        "p",
        "0",
        "1",
        "2",
    ] {
        assert!(texts.contains(&wanted), "{wanted} is missing");
    }
    let facts = texts
        .iter()
        .find(|t| t.starts_with("C major"))
        .expect("the facts");
    assert_eq!(
        *facts,
        "C major  ·  3/4  ·  standard tuning, E A D G B E  ·  melody + bass + fill"
    );
    assert!(texts.iter().any(|t| t.starts_with("Signs: ")));
}

#[test]
fn repeats_endings_and_barres_are_written() {
    let document = laid_out(&fixture::round(), Options::default());
    let texts = texts(&document);
    for wanted in ["1, 2.", "3.", "3×", "B1:1-6", "= 60", "3"] {
        assert!(texts.contains(&wanted), "{wanted} is missing in {texts:?}");
    }
}

#[test]
fn a_letter_stands_only_below_what_the_right_hand_plucks() {
    let mut arrangement = fixture::round();
    arrangement.plucks[0].technique = Technique::Hit;
    let document = laid_out(&arrangement, Options::default());
    let is_letter = |t: &&&str| ["p", "i", "m", "a"].contains(*t);
    let letters = texts(&document).iter().filter(is_letter).count();
    let plucks = arrangement.plucks.len();
    // Two notes are slurred.
    assert_eq!(letters, plucks - 3);
}

#[test]
fn the_paper_is_as_large_as_the_standard_says() {
    // ISO 216: A4 is 210 × 297 mm. ANSI/ASME Y14.1: A (letter) is 8.5 × 11 in.
    let mm = |points: f64| points / 72.0 * 25.4;
    let (w, h) = Paper::A4.size();
    assert!((mm(w) - 210.0).abs() < 1e-9 && (mm(h) - 297.0).abs() < 1e-9);
    assert_eq!(Paper::Letter.size(), (612.0, 792.0));
}

#[test]
fn several_songs_have_contents_and_pages_of_their_own() {
    let songs = [fixture::waltz(), fixture::round()];
    let mut booklet = Booklet::of(&songs);
    booklet.title = "Harbour evening";
    booklet.parts[1].kind = "easy";
    let document = booklet.lay_out(Options::default());
    assert_eq!(document.pages.len(), 3);
    assert_eq!(document.title, "Harbour evening");
    let names: Vec<(&str, usize)> = (document.parts.iter())
        .map(|(n, p)| (n.as_str(), *p))
        .collect();
    assert_eq!(
        names,
        [("Lamps on the Quay", 1), ("Round the Breakwater, easy", 2)]
    );
    assert_eq!(document.faults(), Vec::<String>::new());
    let texts = texts(&document);
    assert!(texts.contains(&"3 / 3") && texts.contains(&"Harbour evening"));
}

#[test]
fn a_hundred_songs_need_several_pages_of_contents() {
    let songs: Vec<Arrangement> = (0..100).map(|_| fixture::waltz()).collect();
    let document = Booklet::of(&songs).lay_out(Options::default());
    assert_eq!(document.pages.len(), 103);
    assert_eq!(document.parts[0].1, 3);
    assert!(texts(&document).contains(&"103"));
    let links: Vec<(usize, usize)> = document.links.iter().map(|l| (l.page, l.to)).collect();
    assert_eq!((links.len(), links[0], links[99]), (100, (0, 3), (2, 102)));
}

#[test]
fn no_songs_are_no_pages_and_no_title_is_a_page() {
    let document = Booklet::of(&[]).lay_out(Options::default());
    assert!(document.pages.is_empty());
    assert!(document.pdf().starts_with(b"%PDF"));
    let mut arrangement = fixture::arranged("", Vec::new(), &[]);
    arrangement.song.title = "\u{1b}[2J".into();
    let document = laid_out(&arrangement, Options::default());
    assert_eq!(document.pages.len(), 1);
    assert_eq!(document.title, "\u{fffd}[2J");
    assert!(!document.svg().contains('\u{1b}'));
}

#[test]
fn both_files_hold_the_text() {
    let document = laid_out(&fixture::round(), Options::default());
    let svg = document.svg();
    assert!(svg.starts_with("<?xml") && svg.trim_end().ends_with("</svg>"));
    assert!(svg.contains(">Round the Breakwater</text>"));
    let pdf = document.pdf();
    assert!(pdf.starts_with(b"%PDF-1.7"));
    assert!(pdf.len() < 100_000, "{} bytes", pdf.len());
    let has = |what: &[u8]| pdf.windows(what.len()).any(|w| w == what);
    assert!(has(b"(Round the Breakwater)") && has(b"+Andika-Bold"));
    assert!(has(b"/ToUnicode") && has(b"/FontFile2"));
}

#[test]
fn a_bar_too_wide_is_cut_at_beats_or_made_smaller() {
    let run = |count: i64, step: i64| -> Vec<fixture::Attack> {
        let attack = |i| {
            (
                step * i,
                step * (i + 1),
                1,
                12,
                4,
                RightFinger::M,
                Layer::Melody,
            )
        };
        (0..count).map(attack).collect()
    };
    // Sixteenths over 64 beats; then 48 notes to a beat, which can't be cut.
    let mut long = fixture::bar(1, "4/4");
    long.length = 64 * QUARTER;
    let mut dense = fixture::arranged("Dense", vec![fixture::bar(1, "4/4")], &run(4, 8));
    let first = dense.plucks[0].clone();
    dense.plucks.splice(
        0..1,
        (0..48).map(|i| {
            let at = i * QUARTER / 48;
            crate::arrange::Pluck {
                at,
                end: at + QUARTER / 48,
                ..first.clone()
            }
        }),
    );
    for (arrangement, count, size) in [
        (
            fixture::arranged("Long", vec![long], &run(256, 2)),
            256,
            NUMBER..=NUMBER,
        ),
        (dense, 51, 4.0..=NUMBER - 0.1),
    ] {
        let document = laid_out(&arrangement, Options::default());
        assert_eq!(document.faults(), Vec::<String>::new());
        let numbers = document.pages.iter().flatten().filter_map(|m| match m {
            Mark::Text { text, size, .. } if text == "12" => Some(*size),
            _ => None,
        });
        let sizes: Vec<f64> = numbers.collect();
        assert_eq!(sizes.len(), count);
        let least = sizes.into_iter().fold(NUMBER, f64::min);
        assert!(size.contains(&least), "{least}");
    }
}

#[test]
fn five_hundred_bars_are_all_there() {
    let mut bars: Vec<Bar> = (1..=500).map(|n| fixture::bar(n, "4/4")).collect();
    bars[499].close = Close::Final;
    let attacks: Vec<fixture::Attack> = (0..2000)
        .map(|i| {
            (
                8 * i,
                8 * i + 8,
                1 + (i % 3) as u8,
                3,
                3,
                RightFinger::M,
                Layer::Melody,
            )
        })
        .collect();
    let document = laid_out(
        &fixture::arranged("Long", bars, &attacks),
        Options::default(),
    );
    let texts = texts(&document);
    for number in 4..=500 {
        assert!(texts.contains(&number.to_string().as_str()), "bar {number}");
    }
    assert!(document.pages.len() > 15);
}

/// The lower voice as it is written: each note's onset and end, ties joined, in ticks from the start.
fn lower_notes(arrangement: &Arrangement) -> Vec<(Ticks, Ticks)> {
    let starts = arrangement.song.starts();
    let bars = written::bars(arrangement);
    let mut notes: Vec<(Ticks, Ticks)> = Vec::new();
    let mut tied = false;
    for (bar, from) in bars.iter().zip(starts) {
        for Sign {
            at, end, tied: on, ..
        } in &bar.lower.signs
        {
            match notes.last_mut().filter(|_| tied) {
                Some(note) => note.1 = from + end,
                None => notes.push((from + at, from + end)),
            }
            tied = *on;
        }
    }
    notes
}

/// Lower notes that are written longer than their string rings.
fn overlong(arrangement: &Arrangement) -> Vec<String> {
    let below = |at| {
        let here = arrangement.plucks.iter().filter(move |p| p.at == at);
        here.filter(|p| p.layer != Layer::Melody)
    };
    let notes = lower_notes(arrangement).into_iter();
    let faults = notes.filter(|&(at, end)| {
        let bass = below(at).filter(|p| p.layer == Layer::Bass).map(|p| p.end);
        let rings = bass.max().or_else(|| below(at).map(|p| p.end).max());
        rings.is_none_or(|rings| rings < end)
    });
    faults
        .map(|(at, end)| format!("{at} is written to {end}"))
        .collect()
}

#[test]
fn no_bass_of_the_demo_songs_is_written_longer_than_it_rings() {
    for (name, arrangement) in fixture::demos() {
        assert_eq!(overlong(&arrangement), Vec::<String>::new(), "{name}");
        assert!(lower_notes(&arrangement).len() > 10, "{name}");
    }
}

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
        prop_assert_eq!(overlong(&song), Vec::<String>::new());
        prop_assert!(document.pdf().len() > 1000);
        prop_assert!(document.svg().contains("</svg>"));
    }
}
