use super::measure::{BAR_NUMBER, FINGER, NUMBER, RING};
use super::rhythm::Sign;
use super::written;
use super::*;
use crate::arrange::{Arrangement, Layer, RightFinger, Technique};
use crate::score::fixture;
use crate::song::{Bar, ChordChange, Close, Place};
use crate::theory::{QUARTER, Symbol, Ticks};

mod any_song;

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

/// What the signs mean, from its lines.
fn legend(document: &Document) -> String {
    let texts = texts(document);
    let from = texts.iter().position(|t| t.starts_with("Signs: "));
    let lines = texts.iter().skip(from.expect("the signs"));
    let small = lines.take_while(|t| !t.contains(" / ") && **t != document.title);
    small.copied().collect::<Vec<_>>().join(" ")
}

#[test]
fn the_signs_are_those_that_are_printed() {
    let of = |arrangement: &Arrangement| legend(&laid_out(arrangement, Options::default()));
    let (waltz, round) = (of(&fixture::waltz()), of(&fixture::round()));
    for (sign, in_waltz, in_round) in [
        ("bold is the tune", true, true),
        ("in the boxes × a silent string", true, true),
        ("a circle an open one", true, false),
        ("B1:1-6 barre at fret 1 over strings 1 to 6", false, true),
        ("a bow from number to number", false, true),
        ("hold the note on", false, false),
        ("a whole note none", false, true),
    ] {
        assert_eq!(waltz.contains(sign), in_waltz, "{sign}: {waltz}");
        assert_eq!(round.contains(sign), in_round, "{sign}: {round}");
    }
    let mut held = fixture::waltz();
    held.plucks
        .retain(|p| p.bar != 2 || p.layer == Layer::Melody);
    if let Some(bass) = held.plucks.iter_mut().find(|p| p.layer == Layer::Bass) {
        bass.end += 2 * QUARTER;
    }
    assert!(of(&held).contains("a bow from stem to stem: hold the note on"));
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

/// All documents that a song's paper and print make.
fn all_documents(arrangement: &Arrangement) -> impl Iterator<Item = Document> {
    let options = [Paper::A4, Paper::Letter].map(|p| [false, true].map(|large| (p, large)));
    let options = options.into_iter().flatten();
    options.map(|(paper, large)| laid_out(arrangement, Options { paper, large }))
}

#[test]
fn no_sheet_of_the_demo_songs_lacks_the_meaning_of_the_signs() {
    for (name, arrangement) in fixture::demos() {
        for document in all_documents(&arrangement) {
            assert!(legend(&document).ends_with('.'), "{name}");
            assert_eq!(document.faults(), Vec::<String>::new(), "{name}");
        }
    }
}

#[test]
fn a_name_at_a_bars_end_keeps_clear_of_the_next_bars_number() {
    let mut bars: Vec<Bar> = (1..=8).map(|n| fixture::bar(n, "2/4")).collect();
    for bar in &mut bars {
        bar.chords.push(ChordChange {
            at: 3 * QUARTER / 2,
            symbol: Symbol::parse("A7/C#").unwrap(),
            place: Place::default(),
        });
    }
    let document = laid_out(&fixture::arranged("Ends", bars, &[]), Options::default());
    let areas = |of: &dyn Fn(&str, f64) -> bool| -> Vec<Area> {
        let marks = document.pages.iter().flatten();
        let texts = marks.filter(|m| matches!(m, Mark::Text { text, size, .. } if of(text, *size)));
        texts.map(Mark::area).collect()
    };
    let numbers = areas(&|_, size| size == BAR_NUMBER);
    for name in areas(&|text, _| text == "A7/C♯") {
        let after = numbers
            .iter()
            .filter(|n| n.left > name.left && n.bottom > name.top);
        let gap = after.map(|n| n.left - name.right).fold(100.0, f64::min);
        assert!(gap > 9.0, "{gap}");
    }
}

#[test]
fn no_ringing_line_runs_into_a_left_finger() {
    for (name, arrangement) in fixture::demos() {
        let document = laid_out(&arrangement, Options::default());
        for page in &document.pages {
            let finger = |m: &&Mark| matches!(m, Mark::Text { size, .. } if *size == FINGER);
            let ring = |m: &&Mark| matches!(m, Mark::Line { weight, .. } if *weight == RING);
            for finger in page.iter().filter(finger).map(Mark::area) {
                let near = Area {
                    bottom: finger.bottom + 2.0,
                    ..finger
                };
                let through = page.iter().filter(ring).find(|r| r.area().overlaps(&near));
                assert_eq!(through, None, "{name}");
            }
        }
    }
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
