//! The reader as a whole: what a text becomes, and what is said about it. The texts are invented.

use super::*;
use crate::song::{Bar, Close};
use crate::theory::beats;

fn tune(body: &str) -> AbcTune {
    under("M:4/4\nL:1/4\nK:C", body)
}

fn under(header: &str, body: &str) -> AbcTune {
    let text = format!("X:1\nT:Test\n{header}\n{body}\n");
    read_book(&text).remove(0).unwrap()
}

/// Each bar's notes as `onset name×length`, in quarters.
fn notes(body: &str) -> Vec<String> {
    spelled(&tune(body).song)
}

fn spelled(song: &Song) -> Vec<String> {
    song.bars.iter().map(bar).collect()
}

fn bar(bar: &Bar) -> String {
    let note = |n: &crate::song::Note| {
        let tie = if n.tied { "-" } else { "" };
        format!("{} {}×{}{tie}", beats(n.at), n.pitch, beats(n.length))
    };
    bar.notes.iter().map(note).collect::<Vec<_>>().join(", ")
}

/// The pitches alone.
fn names(header: &str, body: &str) -> String {
    let song = under(header, body).song;
    let names = song.bars.iter().flat_map(|b| &b.notes);
    names
        .map(|n| n.pitch.to_string())
        .collect::<Vec<_>>()
        .join(" ")
}

fn chords(song: &Song) -> Vec<String> {
    let bars = song.bars.iter().enumerate();
    bars.flat_map(|(i, b)| {
        b.chords
            .iter()
            .map(move |c| format!("{i}+{} {}", beats(c.at), c.symbol.ascii()))
    })
    .collect()
}

fn said(body: &str) -> Vec<String> {
    tune(body).notices.iter().map(ToString::to_string).collect()
}

#[test]
fn lengths_and_octaves() {
    assert_eq!(notes("C, C c c'|"), ["0 C3×1, 1 C4×1, 2 C5×1, 3 C6×1"]);
    assert_eq!(
        notes("C/ D// E3/2 F3/4 G/4|"),
        ["0 C4×½, ½ D4×¼, ¾ E4×1½, 2¼ F4×¾, 3 G4×¼"]
    );
}

#[test]
fn rests_and_spacers() {
    assert_eq!(
        notes("z C x y D | Z | Z2 | E4"),
        ["1 C4×1, 3 D4×1", "", "", "", "0 E4×4"]
    );
}

#[test]
fn accidentals_last_to_the_bar_line_in_every_octave() {
    // abc 2.1, section 11.3: the default is `pitch`.
    let body = "^F F f =f | F __B B ^^c";
    assert_eq!(names("K:C", body), "F♯4 F♯4 F♯5 F5 F4 B♭♭4 B♭♭4 C♯♯5");
    let octave = names("%%propagate-accidentals octave\nK:C", "^F F f | F");
    assert_eq!(octave, "F♯4 F♯4 F5 F4");
    let not = names("I:propagate-accidentals not\nK:C", "^F F f | F");
    assert_eq!(not, "F♯4 F4 F5 F4");
}

#[test]
fn the_signature_and_its_changes() {
    assert_eq!(names("K:D", "F c [K:F] B | F"), "F♯4 C♯5 B♭4 F4");
    assert_eq!(names("K:Eb", "B =B | B\nK:none\nB"), "B♭4 B4 B♭4 B4");
    assert_eq!(names("K:D exp ^c", "F c"), "F4 C♯5");
}

#[test]
fn tuplets() {
    assert_eq!(notes("(3CDE F2|"), ["0 C4×⅔, ⅔ D4×⅔, 1⅓ E4×⅔, 2 F4×2"]);
    assert_eq!(notes("(3:2:2C2D E2|"), ["0 C4×1⅓, 1⅓ D4×⅔, 2 E4×2"]);
    let song = under("M:6/8\nL:1/8\nK:C", "(5CDEFG ABc|").song;
    assert_eq!(bar(&song.bars[0]).split(", ").nth(5), Some("1½ A4×½"));
}

#[test]
fn broken_rhythm_with_everything_in_between() {
    assert_eq!(notes("C>D E<F|"), ["0 C4×1½, 1½ D4×½, 2 E4×½, 2½ F4×1½"]);
    assert_eq!(notes("C>>D E>>>F|"), ["0 C4×1¾, 1¾ D4×¼, 2 E4×1⅞, 3⅞ F4×⅛"]);
    assert_eq!(notes("C>{d}D z>[CE]|"), ["0 C4×1½, 1½ D4×½, 3½ E4×½"]);
    assert_eq!(notes("C<D>E C/|"), ["0 C4×½, ½ D4×2¼, 2¾ E4×½, 3¼ C4×½"]);
}

#[test]
fn ties() {
    assert_eq!(notes("C2 C2-|\nC4|"), ["0 C4×2, 2 C4×2-", "0 C4×4"]);
    assert_eq!(
        notes("[CE-]2 [CE]2-|[CE]4|"),
        ["0 E4×2-, 2 E4×2-", "0 E4×4"]
    );
    // The tie of a lower note is not the melody's.
    assert_eq!(notes("[EC-]2 E2|"), ["0 E4×2, 2 E4×2"]);
    // A tied note keeps its accidental over the bar line; the next one does not.
    assert_eq!(names("K:C", "^F4-|F2F2"), "F♯4 F♯4 F4");
    assert_eq!(
        said("C2-D2|"),
        ["6:3: passed over: ties that lead to no note of the same pitch"]
    );
}

#[test]
fn a_chord_of_notes_gives_its_top_note() {
    assert_eq!(notes("[CEG]2 [c/E]4|"), ["0 G4×2, 2 C5×2"]);
    assert_eq!(notes("[CE\nG]4 [CE|D4"), ["0 G4×4, 4 E4×1", "0 D4×4"]);
    assert_eq!(
        said("[CEG]4|[CE]4|"),
        ["6:1: passed over: the lower notes of chords written in [ ] (2 times, first here)"]
    );
}

#[test]
fn chord_symbols_stand_at_the_next_note() {
    let song = tune("\"Am7\"A2 \"D/F#\"z2|\"^slowly\"\"G\"G4\"C\"|C>\"F\"D z2").song;
    assert_eq!(
        chords(&song),
        ["0+0 Am7", "0+2 D/F#", "1+0 G", "2+0 C", "2+1½ F"]
    );
    let none = tune("\"N.C.\"C4|").song;
    assert_eq!(chords(&none), ["0+0 N.C."]);
}

#[test]
fn an_unreadable_chord_is_left_out_or_refused() {
    let text = "C2 \"Cwrong\"C2|";
    let read = tune(text);
    assert!(read.song.bars[0].chords.is_empty());
    assert!(
        read.notices[0].text.contains("Cwrong"),
        "{}",
        read.notices[0]
    );
    let strict = Header {
        strict_chords: true,
        ..Header::new("C".parse().unwrap(), "4/4".parse().ok())
    };
    let error = read_tune(&strict, text, Place { line: 7, column: 5 }).unwrap_err();
    assert_eq!(error.place.line, 7);
    assert!(
        error.place.column >= 9 && error.text.contains("Cwrong"),
        "{error}"
    );
}

#[test]
fn places_point_into_the_text_around_the_body() {
    let header = Header::new("C".parse().unwrap(), "4/4".parse().ok());
    let body = "C8|\n  D8|";
    let (song, notices) = read_tune(&header, body, Place { line: 3, column: 9 }).unwrap();
    let place = |i: usize| song.bars[i].notes[0].place;
    assert_eq!(place(0), Place { line: 3, column: 9 });
    assert_eq!(place(1), Place { line: 4, column: 3 });
    assert_eq!(notices, []);
}

#[test]
fn bars_are_numbered() {
    let numbers = |body: &str| -> Vec<u32> {
        let song = under("M:3/4\nL:1/4\nK:C", body).song;
        song.bars.iter().map(|b| b.number).collect()
    };
    assert_eq!(numbers("C|D3|E3|F2|"), [0, 1, 2, 3]);
    assert_eq!(numbers("D3|E2:|C|D3|E2:|"), [1, 2, 2, 3, 4]);
    assert_eq!(numbers("C|D3|[1E2:|[2E2||F|G3|"), [0, 1, 2, 3, 3, 4]);
}

#[test]
fn bar_lines_at_line_ends_count_once() {
    let song = tune("C4|\n|:D4:|\n|]").song;
    let closes: Vec<Close> = song.bars.iter().map(|b| b.close).collect();
    assert_eq!(closes, [Close::Single, Close::Repeat(2)]);
    assert!(song.bars[1].opens_repeat);
}

#[test]
fn more_passes_than_a_song_has_are_told() {
    let read = tune("|:C4::::::::|D4::::::::::| [1,65E4|");
    let closes: Vec<Close> = read.song.bars.iter().map(|b| b.close).collect();
    assert_eq!(closes, [Close::Repeat(9), Close::Repeat(9), Close::Single]);
    assert_eq!(
        read.notices[0].to_string(),
        "6:16: passed over: passes beyond the most that a song has (2 times, first here)"
    );
}

#[test]
fn free_meter_takes_bars_as_they_are() {
    let read = under("M:none\nL:1/4\nK:C", "C3|D5|E/|");
    let meters: Vec<String> = read.song.bars.iter().map(|b| b.meter.to_string()).collect();
    assert_eq!(meters, ["3/4", "5/4", "1/8"]);
    assert_eq!(read.notices, []);
}

#[test]
fn the_first_voice_is_read() {
    assert_eq!(
        names("V:1\nV:2\nK:C", "V:1\nC D|\nV:2\nE F|[M:2/4]\n[V:1] G A|"),
        "C4 D4 G4 A4"
    );
    assert_eq!(names("K:C", "[V:a]C [V:b]D [V:a]E"), "C4 E4");
    assert_eq!(names("V:1\nK:C", "C D|\nV:2\nE|\nV:1\nF"), "C4 D4 F4");
}

#[test]
fn what_is_passed_over_is_named() {
    let read =
        tune("!trill!C .D (EF)|~G {ab}A TB & C4|*\nw: la la\n%%MIDI program 1\n% remark\nC4");
    insta::assert_snapshot!(
        read.notices.iter().map(|n| format!("{n}\n")).collect::<String>(),
        @r"
    6:1: passed over: marks !trill!
    6:10: passed over: staccato dots
    6:13: passed over: slurs
    6:18: passed over: ornaments (~)
    6:21: passed over: grace notes
    6:27: passed over: trills
    6:30: passed over: second parts written with &
    6:35: passed over: line-break marks
    7:1: passed over: lyrics
    8:1: passed over: directives %%MIDI
    "
    );
}

#[test]
fn tempo_and_its_changes() {
    let read = under("M:6/8\nL:1/8\nQ:3/8=92.4\nK:C", "C6|[Q:1/4=60]D6|");
    assert_eq!(
        (read.song.tempo.beat, read.song.tempo.per_minute),
        (15_120, 92)
    );
    assert_eq!(read.song.bars[1].tempo.map(|t| t.per_minute), Some(60));
    assert_eq!(
        read.notices[0].to_string(),
        "5:1: tempo “3/8=92.4” is rounded to 92"
    );
}

#[test]
fn a_tempo_amid_a_bar_is_told() {
    let read = tune("C2 [Q:1/4=60] D2 | E4 |");
    assert_eq!(read.song.bars[1].tempo.map(|t| t.per_minute), Some(60));
    assert_eq!(
        read.notices[0].to_string(),
        "6:4: a change of tempo amid a bar holds from the next bar on"
    );
    assert_eq!(
        said("C4 | E4 |[Q:1/4=60]"),
        ["6:10: this change of tempo has no bar after it and is left out"]
    );
}

#[test]
fn a_book_of_tunes() {
    let book = "M:3/4\nC:Ann\n\nX:1\nT:One\nT:Uno\nK:G\nG3|\n\nX:2\nT:Two\nK:C\n\nX:3\nC4\n";
    let read = read_book(book);
    assert_eq!(read.len(), 3);
    let one = read[0].as_ref().unwrap();
    assert_eq!((one.number, one.song.title.as_str()), (1, "One"));
    assert_eq!(one.song.composer.as_deref(), Some("Ann"));
    assert_eq!(one.song.bars[0].meter.to_string(), "3/4");
    assert_eq!(read[1].as_ref().unwrap_err().place.line, 12);
    let third = read[2].as_ref().unwrap();
    assert!(
        third.notices[0].text.contains("no K: field"),
        "{}",
        third.notices[0]
    );
}

#[test]
fn a_tune_says_otherwise_than_the_file_header() {
    let header = "T:Collection\nC:Ann\nR:waltz\nM:3/4\nL:1/4\nQ:1/4=90\nK:G\n\n";
    let own = "X:1\nT:One\nC:Bob\nR:slow\nM:4/4\nL:1/8\nQ:1/4=60\nK:C\nF8|\n\n";
    let none = "X:2\nF3|\nG3|\n";
    let read = read_book(&format!("{header}{own}{none}"));
    let said = |i: usize| {
        let AbcTune { song, notices, .. } = read[i].as_ref().unwrap();
        assert_eq!(notices, &[]);
        let first = &song.bars[0];
        format!(
            "{} by {}, {}: {}, {}, {}, {}, {} bars",
            song.title,
            song.composer.as_deref().unwrap_or("-"),
            song.tags.join(" "),
            song.key,
            first.meter,
            song.tempo,
            bar(first),
            song.bars.len()
        )
    };
    assert_eq!(
        said(0),
        "One by Bob, waltz slow: C major, 4/4, 1/4=60, 0 F4×4, 1 bars"
    );
    assert_eq!(
        said(1),
        "Collection by Ann, waltz: G major, 3/4, 1/4=90, 0 F♯4×3, 2 bars"
    );
}

#[test]
fn a_title_that_goes_on_is_told() {
    let read = under("T:Long\n+:er\nN:a remark\n+:goes on\nK:C", "C|");
    let told: Vec<String> = read.notices.iter().map(ToString::to_string).collect();
    assert_eq!(
        told,
        [
            "3:1: passed over: titles after the first",
            "4:1: passed over: lines +: that go on with a title, a composer or a rhythm",
            "5:1: passed over: what N: says"
        ]
    );
}

#[test]
fn an_open_block_in_the_file_header_swallows_no_tune() {
    let read = read_book("%%begintext\n\nX:1\nT:One\nK:C\nC|\n");
    assert_eq!(read[0].as_ref().unwrap().song.title, "One");
}

#[test]
fn what_a_header_repeats_without_end_is_bounded() {
    let header = format!("T:{}\n{}", "x".repeat(10_000), "R:x\n".repeat(1_000));
    let tunes = "X:1\nK:C\nC\n\n".repeat(50_010);
    let read = read_book(&(header + &tunes));
    assert_eq!(read.len(), 50_001);
    let song = &read[0].as_ref().unwrap().song;
    assert_eq!((song.title.len(), song.tags.len()), (200, 16));
    assert_eq!(read[50_000].as_ref().unwrap_err().place.line, 201_002);
}
