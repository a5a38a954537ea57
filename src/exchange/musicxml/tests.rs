//! What is written, line by line, and what must hold of any arrangement.

use super::*;
use crate::arrange::{Layer, Options, RightFinger, Technique, arrange};
use crate::guitar::{Hand, Instrument};
use crate::score::fixture;
use crate::song::abc;
use std::io::Read;

/// The document without its header, so that a snapshot shows the music.
fn music(text: &str) -> &str {
    let from = text.find("<part id").unwrap();
    &text[from..]
}

/// Elements on one line that hold nothing but texts.
fn folded(text: &str) -> String {
    let lines: Vec<&str> = text.lines().map(str::trim).collect();
    let mut out = String::new();
    for line in lines {
        let opens = [
            "<measure",
            "<note",
            "<backup",
            "<harmony",
            "<direction",
            "<barline",
            "<attributes",
        ];
        if opens.iter().any(|o| line.starts_with(o)) {
            out.push('\n');
        }
        out += line;
    }
    out
}

#[test]
fn two_staves_with_voices_chords_and_fingers() {
    insta::assert_snapshot!(folded(music(&write(&fixture::waltz()))));
}

#[test]
fn repeats_endings_ties_tuplets_and_slurs() {
    let mut arrangement = fixture::round();
    arrangement.plucks[1].technique = Technique::Roll;
    arrangement.plucks[4].technique = Technique::Harmonic;
    insta::assert_snapshot!(folded(music(&write(&arrangement))));
}

#[test]
fn the_compressed_file_holds_the_same() {
    let arrangement = fixture::waltz();
    let bytes = write_compressed(&arrangement);
    let mut archive = zip::ZipArchive::new(std::io::Cursor::new(&bytes[..])).unwrap();
    // MusicXML 4.0, “Compressed .mxl files”: the media type first and uncompressed, then the list of
    // contents under its fixed name.
    assert_eq!(archive.name_for_index(0).unwrap().unwrap(), "mimetype");
    assert_eq!(
        archive.by_index(0).unwrap().compression(),
        zip::CompressionMethod::Stored
    );
    let mut text = |name: &str| {
        let mut text = String::new();
        archive
            .by_name(name)
            .unwrap()
            .read_to_string(&mut text)
            .unwrap();
        text
    };
    assert!(text("META-INF/container.xml").contains("full-path=\"score.musicxml\""));
    assert_eq!(text("score.musicxml"), write(&arrangement));
    assert_eq!(write_compressed(&arrangement), bytes);
}

#[test]
fn strange_titles_stay_well_formed() {
    let mut arrangement = fixture::waltz();
    arrangement.song.title = "Tide & <Tow> \u{1b}[2J \u{0} \"Zoë\"".into();
    let text = write(&arrangement);
    assert!(
        text.contains("Tide &amp; &lt;Tow&gt; \u{fffd}[2J \u{fffd}"),
        "{}",
        &text[..400]
    );
}

#[test]
fn a_barre_is_named_where_it_is_laid_down() {
    let mut arrangement = fixture::round();
    arrangement.plucks[2].barre = true;
    let written = write(&arrangement);
    let names = |text: &str| written.matches(text).count();
    // In the first bar, and anew in the last one.
    assert_eq!(names("<words>B I</words>"), 2, "{written}");
    assert_eq!(names("<other-technical>barre</other-technical>"), 1);
}

#[test]
fn the_capo_is_said_and_frets_count_from_it() {
    let text = "X:1\nL:1/4\nM:4/4\nK:D\n\"D\"d f a f |]\n";
    let song = abc::read_book(text).remove(0).unwrap().song;
    let instrument = Instrument::new("drop D", 2, 19).unwrap();
    let hand = Hand::named("medium").unwrap();
    let options = Options {
        layer: Layer::Melody,
        ..Options::default()
    };
    let arrangement = arrange(&song, &instrument, &hand, &options).unwrap();
    let written = write(&arrangement);
    assert!(written.contains("<capo>2</capo>"));
    assert!(written.contains("<words>Capo 2</words>"));
    let first = &arrangement.plucks[0];
    let open = instrument.open[usize::from(first.string) - 1].midi();
    assert_eq!(first.pitch.midi(), open + 2 + i32::from(first.fret));
    assert!(RightFinger::ALL.contains(&first.right));
}
