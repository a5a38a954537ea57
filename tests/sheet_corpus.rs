//! Sheets of open tunes in number: whatever is printed, no text touches a text or a line, nothing
//! leaves the margins, and every bar and chord is there.

mod support;

use std::collections::BTreeMap;
use support::{plain_chords, read_corpus};
use thumbline::arrange::{Arrangement, Options, arrange};
use thumbline::exchange::sheet::{self, Booklet, Document, Face, Mark, Paper};
use thumbline::guitar::{Hand, Instrument};

/// How many tunes are taken, and how many must at least be printed.
const TUNES: usize = 400;
const AT_LEAST: usize = 330;

#[test]
#[ignore = "needs the tunes that tests/outside/corpus.py copies; run with --run-ignored or --ignored"]
fn every_sheet_of_the_corpus_is_in_order() {
    let tunes = read_corpus(TUNES);
    let instrument = Instrument::standard();
    let hand = Hand::wished(&Default::default()).expect("the usual hand");
    let (mut printed, mut pages) = (0, 0);
    let mut faults: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for (i, (name, mut song)) in tunes.into_iter().enumerate() {
        plain_chords(&mut song);
        let Ok(arrangement) = arrange(&song, &instrument, &hand, &Options::default()) else {
            continue;
        };
        let paper = if i % 2 == 0 { Paper::A4 } else { Paper::Letter };
        let large = i % 3 == 0;
        let options = sheet::Options { paper, large };
        let document = Booklet::of(std::slice::from_ref(&arrangement)).lay_out(options);
        let found = [document.faults(), missing(&document, &arrangement)].concat();
        if !found.is_empty() {
            faults.insert(name, found);
        }
        assert!(document.pdf().starts_with(b"%PDF-"));
        printed += 1;
        pages += document.pages.len();
    }
    println!("{printed} tunes printed on {pages} pages");
    let first: Vec<_> = faults.iter().take(5).collect();
    assert!(
        faults.is_empty(),
        "{} sheets at fault: {first:#?}",
        faults.len()
    );
    assert!(printed >= AT_LEAST, "only {printed} tunes were printed");
}

/// Bar numbers, chords and frets that are not on the pages as often as they should.
fn missing(document: &Document, arrangement: &Arrangement) -> Vec<String> {
    let count = |wanted: &str, of: &[Face]| {
        let marks = document.pages.iter().flatten();
        marks
            .filter(|m| matches!(m, Mark::Text { text, face, .. } if text == wanted && of.contains(face)))
            .count()
    };
    let mut faults = Vec::new();
    let mut check = |what: String, of: &[Face], least: usize| {
        let there = count(&what, of);
        if there < least {
            faults.push(format!("{what} is there {there} times, not {least}"));
        }
    };
    let bars = &arrangement.song.bars;
    for bar in bars {
        let same = bars.iter().filter(|b| b.number == bar.number).count();
        check(bar.number.to_string(), &[Face::Regular], same);
        for change in &bar.chords {
            check(change.symbol.to_string(), &[Face::Bold], 1);
        }
    }
    for fret in 0..=19u8 {
        let struck = arrangement.plucks.iter().filter(|p| p.fret == fret).count();
        check(fret.to_string(), &[Face::Regular, Face::Bold], struck);
    }
    faults
}
