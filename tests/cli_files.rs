//! The real program, started as a player would start it: files that it reads and writes.

#![allow(clippy::unwrap_used)] // a test that can't start the program has failed

mod support;

use support::program::{TUNE, code, err, out, path, thumbline};

#[test]
fn several_files_are_written_at_once() {
    let folder = tempfile::tempdir().unwrap();
    let source = folder.path().join("weir.abc");
    std::fs::write(&source, TUNE).unwrap();
    let outs = ["weir.txt", "weir.json", "weir.mid"].map(|n| folder.path().join(n));
    let output = thumbline(
        &[
            "arrange",
            path(&source),
            "-o",
            path(&outs[0]),
            "-o",
            path(&outs[1]),
            "-o",
            path(&outs[2]),
        ],
        b"",
    );
    code(&output, 0);
    assert_eq!(out(&output), "");
    assert!(
        std::fs::read_to_string(&outs[0])
            .unwrap()
            .contains("Signs:")
    );
    let json: serde_json::Value =
        serde_json::from_slice(&std::fs::read(&outs[1]).unwrap()).unwrap();
    assert_eq!(json["format"], "thumbline-arrangement");
    let midi = std::fs::read(&outs[2]).unwrap();
    assert_eq!(midly::Smf::parse(&midi).unwrap().tracks.len(), 4);
}

#[test]
fn sheets_are_written_singly_in_grades_and_as_a_booklet() {
    let folder = tempfile::tempdir().unwrap();
    let (pdf, svg) = (
        folder.path().join("weir.pdf"),
        folder.path().join("weir.svg"),
    );
    let both = ["-o", path(&pdf), "-o", path(&svg)];
    let run = |more: &[&str], input: &str| {
        let args = [&["arrange", "-"], &both[..], more].concat();
        code(&thumbline(&args, input.as_bytes()), 0);
        assert!(std::fs::read(&pdf).unwrap().starts_with(b"%PDF-"));
        std::fs::read_to_string(&svg).unwrap()
    };
    let pages = |svg: &str| svg.matches("<g id=\"page-").count();
    let one = run(&[], TUNE);
    assert_eq!(pages(&one), 1);
    assert!(one.contains("width=\"595.28pt\"") && one.contains(">Gulls over the Weir</text>"));
    let letter = run(&["--paper", "letter", "--large"], TUNE);
    assert!(letter.contains("width=\"612pt\""));
    let grades = run(&["--grades", "--booklet", "For the Class"], TUNE);
    assert!(grades.contains(">For the Class</text>") && grades.contains("grade 1"));
    let book = format!("{TUNE}\n{}", TUNE.replace("X:7", "X:8"));
    let two = run(&[], &book);
    assert_eq!(pages(&two), 3);
    assert!(two.contains(">Contents</text>"));
}

#[test]
fn files_that_are_not_there_or_not_ours() {
    let folder = tempfile::tempdir().unwrap();
    let other = folder.path().join("song.odt");
    std::fs::write(&other, "x").unwrap();
    let gone = folder.path().join("gone.abc");
    for (input, said) in [
        (gone.as_path(), "there is no file"),
        (other.as_path(), "ends in nothing known"),
        (folder.path(), "is a folder"),
    ] {
        let output = thumbline(&["arrange", path(input)], b"");
        code(&output, 1);
        assert!(err(&output).contains(said), "{}", err(&output));
    }
    let nowhere = folder.path().join("no").join("tab.txt");
    let output = thumbline(&["arrange", "-", "-o", path(&nowhere)], TUNE.as_bytes());
    code(&output, 3);
    assert!(
        err(&output).contains("can't be written"),
        "{}",
        err(&output)
    );
}

#[test]
fn a_guitar_that_can_not_be_is_shown_where_it_is_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    let song = folder.path().join("rail.toml");
    let with = |guitar: &str| {
        let text = format!("title = \"Rail\"\ntune = \"\"\"\nG4 |]\n\"\"\"\n[guitar]\n{guitar}\n");
        std::fs::write(&song, text).unwrap();
    };
    let told = |more: &[&str]| {
        let args = [&["arrange", path(&song), "--layer", "1"], more].concat();
        let output = thumbline(&args, b"");
        (output.status.code(), err(&output))
    };
    for (guitar, place, said) in [
        ("tuning = \"loud\"", ":6:10: ", "“loud” is not a tuning"),
        (
            "frets = 12\ncapo = 12",
            ":7:8: ",
            "a capo at fret 12 leaves no fret",
        ),
        ("hand = \"huge\"", ":6:8: ", "“huge” is not a hand"),
    ] {
        with(guitar);
        let (code, text) = told(&[]);
        assert_eq!(code, Some(1), "{text}");
        assert!(text.contains(&format!("{place}{said}")), "{text}");
        let shown = guitar.lines().last().unwrap();
        assert!(text.contains(&format!("| {shown}\n")), "{text}");
    }
    with("frets = 12");
    let (code, text) = told(&["--capo", "12"]);
    assert_eq!(code, Some(2), "{text}");
    assert!(text.contains("\n--capo: a capo at fret 12"), "{text}");
    let (code, text) = told(&["--tuning", "loud"]);
    assert_eq!(code, Some(2), "{text}");
    assert!(text.contains("--tuning: “loud” is not"), "{text}");
}

#[test]
fn songs_are_written_as_they_are_without_being_arranged() {
    let folder = tempfile::tempdir().unwrap();
    let (book, song) = (
        folder.path().join("two.abc"),
        folder.path().join("one.toml"),
    );
    // Without a chord only the melody could be arranged.
    let bare = TUNE
        .replace(['"'], "")
        .replace("GG", "G")
        .replace("D7A", "A");
    let two = format!("{bare}\n{}", TUNE.replace("X:7", "X:8"));
    let output = thumbline(
        &["arrange", "-", "-o", path(&book), "--key", "A"],
        two.as_bytes(),
    );
    code(&output, 0);
    assert_eq!(out(&output), "");
    let text = std::fs::read_to_string(&book).unwrap();
    assert!(
        text.contains("X:7\n") && text.contains("X:8\n") && text.contains("K:A\n"),
        "{text}"
    );
    let output = thumbline(&["arrange", "-", "-o", path(&song)], two.as_bytes());
    code(&output, 2);
    let args = [
        "arrange",
        path(&book),
        "--tune",
        "8",
        "--capo",
        "2",
        "-o",
        path(&song),
    ];
    code(&thumbline(&args, b""), 0);
    let text = std::fs::read_to_string(&song).unwrap();
    assert!(
        text.contains("key = \"A\"") && text.contains("capo = 2"),
        "{text}"
    );
    // A song file keeps what a person wrote in it.
    std::fs::write(&song, format!("# for the evening\n{text}")).unwrap();
    let again = folder.path().join("again.toml");
    code(
        &thumbline(&["arrange", path(&song), "-o", path(&again)], b""),
        0,
    );
    let kept = std::fs::read_to_string(&again).unwrap();
    assert_eq!(kept, format!("# for the evening\n{text}"));
}

#[test]
fn the_tab_in_words_goes_to_the_screen_and_to_text_files() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("gulls.txt");
    let screen = thumbline(&["arrange", "-", "--spoken"], TUNE.as_bytes());
    code(&screen, 0);
    assert!(out(&screen).starts_with("Gulls over the Weir.\nKey of G major, 3 4 time, 90 "));
    let args = ["arrange", "-", "--spoken", "-o", path(&file)];
    code(&thumbline(&args, TUNE.as_bytes()), 0);
    assert_eq!(std::fs::read_to_string(&file).unwrap(), out(&screen));
}

#[test]
fn a_score_is_read_by_part_and_voice_and_kept_as_a_song() {
    let folder = tempfile::tempdir().unwrap();
    let (score, song) = (
        folder.path().join("gulls.mxl"),
        folder.path().join("gulls.abc"),
    );
    code(
        &thumbline(&["arrange", "-", "-o", path(&score)], TUNE.as_bytes()),
        0,
    );
    let back = thumbline(&["arrange", path(&score), "-o", path(&song)], b"");
    code(&back, 0);
    assert!(
        err(&back).contains("passed over: notes of other voices"),
        "{}",
        err(&back)
    );
    let text = std::fs::read_to_string(&song).unwrap();
    let tune: Vec<&str> = text.lines().filter(|l| l.contains('|')).collect();
    assert_eq!(
        tune,
        ["d2 | \"G\"g2 a2 b2 | \"D7\"a2 f2 d2 | \"G\"g6 |]"],
        "{text}"
    );
    // The second voice is the bass.
    let args = ["arrange", path(&score), "--voice", "2", "--layer", "1"];
    code(&thumbline(&args, b""), 0);
    let wrong = thumbline(&["arrange", path(&score), "--part", "Flute"], b"");
    code(&wrong, 1);
    assert!(
        err(&wrong).contains("there is no part “Flute”; there is 1 Guitar"),
        "{}",
        err(&wrong)
    );
    let broken = thumbline(&["check", "-"], b"<score-partwise>\n<part>");
    code(&broken, 1);
    assert!(
        err(&broken).contains("standard input:2:7: the document ends before"),
        "{}",
        err(&broken)
    );
}

#[test]
fn a_midi_file_gets_its_chords_from_a_line() {
    let folder = tempfile::tempdir().unwrap();
    let (midi, song) = (
        folder.path().join("gulls.mid"),
        folder.path().join("gulls.toml"),
    );
    let written = thumbline(
        &["arrange", "-", "--layer", "1", "-o", path(&midi)],
        TUNE.as_bytes(),
    );
    code(&written, 0);
    let line = "Em | D7 . Am | G";
    let args = ["arrange", path(&midi), "--chords", line, "-o", path(&song)];
    let back = thumbline(&args, b"");
    code(&back, 0);
    assert!(
        err(&back).contains("a grid of 1 to a quarter"),
        "{}",
        err(&back)
    );
    let text = std::fs::read_to_string(&song).unwrap();
    assert!(text.contains("title = \"Gulls over the Weir\""), "{text}");
    let tune = "\"Em\"G2 A2 B2 | \"D7\"A2 F2 \"Am\"D2 | \"G\"G6 |";
    assert!(text.contains(tune), "{text}");
    let wrong = thumbline(&["arrange", path(&midi), "--chords", "H7"], b"");
    code(&wrong, 2);
    assert!(
        err(&wrong).starts_with("--chords: chord “H7”"),
        "{}",
        err(&wrong)
    );
    let noise = thumbline(&["check", "-"], b"MThd\0\0\0\x06\0\x02\0\x01\0\x60");
    code(&noise, 1);
    assert!(err(&noise).contains("format 2"), "{}", err(&noise));
}

#[test]
fn a_song_with_ideas_that_were_taken_is_arranged_with_them_unless_asked_otherwise() {
    let folder = tempfile::tempdir().unwrap();
    let song = folder.path().join("song.toml");
    let idea = "[[idea]]\nbar = 1\nfigure = \"root and fifth\"\n";
    let text = "key = \"C\"\nmeter = \"4/4\"\nunit = \"1/4\"\ntune = \"\"\"\n\"C\"e4 |]\n\"\"\"\n";
    for (more, args, layer) in [
        ("", &[][..], "+ fill"),
        (idea, &[][..], "+ colour"),
        (idea, &["--layer", "3"][..], "+ fill"),
    ] {
        std::fs::write(&song, format!("{text}{more}")).unwrap();
        let output = thumbline(&[&["arrange", path(&song)], args].concat(), b"");
        code(&output, 0);
        let tab = out(&output);
        assert!(tab.contains(layer), "{layer}: {tab}");
    }
}
