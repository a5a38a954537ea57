//! What saving keeps of a file's text, and what it writes anew.

use super::tests::{FILE, parse};
use crate::theory::QUARTER;

#[test]
fn a_tempo_changes_its_field_and_no_tune() {
    let (mut file, mut song, _) = parse(FILE);
    song.tempo.per_minute = 60;
    file.update(&song).unwrap();
    let wanted = FILE.replace("tempo = 96", "tempo = \"1/4=60\"");
    assert_eq!(file.to_string(), wanted);
}

#[test]
fn what_the_tune_says_at_its_start_counts_and_stays_there() {
    let text = "tune = \"\"\"\nM:3/4\nQ:1/4=60\nK:D\n% first part\nf6 |\n\"\"\"\n";
    let (mut file, mut song, _) = parse(text);
    assert_eq!((song.tempo.per_minute, song.key.fifths()), (60, 2));
    song.title = "Ice".into();
    file.update(&song).unwrap();
    assert_eq!(file.to_string(), format!("{text}title = \"Ice\"\n"));
    song.tempo.per_minute = 80;
    file.update(&song).unwrap();
    assert!(parse(&file.to_string()).1.same_as(&song), "{file}");
}

#[test]
fn a_file_keeps_its_line_ends() {
    let text = FILE.replace('\n', "\r\n");
    let (mut file, mut song, _) = parse(&text);
    song.title = "Ice".into();
    song.bars[4].notes[0].pitch = "B4".parse().unwrap();
    file.update(&song).unwrap();
    let wanted = text
        .replace("Ice on the Rail", "Ice")
        .replace("c4 e2", "B4 e2");
    assert_eq!(file.to_string(), wanted);
}

#[test]
fn an_idea_that_was_taken_can_be_left() {
    let text = "tune = \"c8|\"\n[[idea]]\nbar = 1\nfigure = \"hits\"\nleft = false\n";
    let (mut file, mut song, _) = parse(text);
    song.ideas[0].left = true;
    file.update(&song).unwrap();
    assert_eq!(file.to_string(), text.replace("false", "true"));
}

#[test]
fn what_spoke_of_no_bar_goes_when_the_tune_gets_that_bar() {
    let text = "tune = \"c8|\"\n[[pin]]\nbar = 2\nfill = 1\n[[pin]]\nbar = 3\nfill = 2\n\
                [[idea]]\nbar = 2\nto = 1\nfigure = \"hits\"\n";
    let (mut file, mut song, _) = parse(text);
    song.bars.push(song.bars[0].clone());
    file.update(&song).unwrap();
    assert_eq!(file.song().bars.len(), 2);
    let text = file.to_string();
    assert!(
        !text.contains("bar = 2") && text.contains("bar = 3"),
        "{text}"
    );
}

#[test]
fn bars_come_and_go() {
    let (mut file, mut song, _) = parse(FILE);
    let bar = song.bars.remove(2);
    song.pins.remove(0);
    song.pins[0].bar -= 1;
    song.number_bars();
    file.update(&song).unwrap();
    assert!(parse(&file.to_string()).1.same_as(&song));
    assert!(file.to_string().contains("% second part"));
    song.bars.insert(2, bar);
    song.number_bars();
    song.pins[0].bar += 1;
    file.update(&song).unwrap();
    assert!(parse(&file.to_string()).1.same_as(&song));
    assert!(file.to_string().contains("bar = 3\ntaken = true"));
}

#[test]
fn a_chord_in_the_middle_of_a_note_parts_it() {
    let (mut file, mut song, _) = parse("tune = \"\"\"\n\"C\"c8 |]\n\"\"\"");
    let mut chord = song.bars[0].chords[0].clone();
    chord.at = 2 * QUARTER;
    song.bars[0].chords.push(chord);
    file.update(&song).unwrap();
    let read = parse(&file.to_string()).1;
    assert_eq!(read.bars[0].chords.len(), 2);
    assert_eq!(read.bars[0].notes.len(), 2);
    assert!(read.bars[0].notes[0].tied);
}

#[test]
fn a_key_change_rewrites_the_tune() {
    let (mut file, song, _) = parse(FILE);
    let moved = song.transposed(3);
    file.update(&moved).unwrap();
    let text = file.to_string();
    assert!(text.contains("key = \"Bb\"") && text.contains("# working title"));
    assert!(parse(&text).1.same_as(&moved));
}
