//! The real program, started as a player would start it: what it says.

#![allow(clippy::unwrap_used)] // a test that can't start the program has failed

mod support;

use std::process::{Command, Stdio};
use support::program::{TUNE, code, err, out, thumbline};

#[test]
fn a_tune_on_standard_input_becomes_tab_on_standard_output() {
    let output = thumbline(&["arrange", "-"], TUNE.as_bytes());
    code(&output, 0);
    let tab = out(&output);
    assert!(
        tab.starts_with("Gulls over the Weir\nG major, 3/4, quarter = 90"),
        "{tab}"
    );
    assert!(tab.contains("D7") && tab.contains("Signs:"));
    assert_eq!(err(&output), "");
}

#[test]
fn options_reach_the_tab() {
    let args = [
        "arrange",
        "-",
        "--layer",
        "2",
        "--key",
        "A",
        "--capo",
        "2",
        "--hand",
        "small",
        "--ascii",
        "--width",
        "50",
        "--reasons",
    ];
    let output = thumbline(&args, TUNE.as_bytes());
    code(&output, 0);
    let tab = out(&output);
    assert!(
        tab.is_ascii() && tab.lines().all(|l| l.len() <= 50),
        "{tab}"
    );
    for part in [
        "A major",
        "layers: melody + bass tuning",
        "capo at fret 2",
        "small hand",
        "Why each note",
    ] {
        let words: Vec<&str> = tab.split_whitespace().collect();
        assert!(words.join(" ").contains(part), "{part} is missing in {tab}");
    }
}

#[test]
fn chord_boxes_stand_before_the_tab() {
    let output = thumbline(&["arrange", "-", "--boxes", "--ascii"], TUNE.as_bytes());
    code(&output, 0);
    let tab = out(&output);
    let (boxes, strings) = (tab.find("=========="), tab.find("\nE|"));
    assert!(boxes.is_some() && boxes < strings, "{tab}");
}

#[test]
fn json_on_standard_output_is_one_object_or_an_array() {
    let one = thumbline(&["arrange", "-", "--json"], TUNE.as_bytes());
    code(&one, 0);
    let value: serde_json::Value = serde_json::from_slice(&one.stdout).unwrap();
    assert_eq!(value["title"], "Gulls over the Weir");
    let book = format!("{TUNE}\n{}", TUNE.replace("X:7", "X:8"));
    let two = thumbline(&["arrange", "-", "--json"], book.as_bytes());
    let value: serde_json::Value = serde_json::from_slice(&two.stdout).unwrap();
    assert_eq!(value.as_array().map(Vec::len), Some(2));
}

#[test]
fn one_tune_of_a_book() {
    let book = format!(
        "{TUNE}\n{}",
        TUNE.replace("X:7", "X:8").replace("Gulls", "Terns")
    );
    let output = thumbline(&["arrange", "-", "--tune", "8"], book.as_bytes());
    code(&output, 0);
    assert!(out(&output).starts_with("Terns over the Weir\n"));
    let output = thumbline(&["arrange", "-", "--tune", "9"], book.as_bytes());
    code(&output, 1);
    assert!(err(&output).contains("it has 7, 8"), "{}", err(&output));
}

#[test]
fn what_was_typed_wrongly_is_code_2() {
    for (args, said) in [
        (&["arrange"][..], "<IN>"),
        (&["sing"], "sing"),
        (&["arrange", "-", "--colour", "loud"], "walking"),
        (&["arrange", "-", "--budget", "much"], "budget"),
        (
            &["arrange", "-", "--budget", "-3"],
            "a budget is a number of efforts, 0 or more",
        ),
        (&["arrange", "-", "--layer", "5"], "1..=4"),
        (&["arrange", "-", "--key", "H"], "is not a key"),
        (&["arrange", "-", "--hand", "huge"], "is not a hand"),
        (&["arrange", "-", "--tuning", "Q2"], "is not a tuning"),
        (&["arrange", "-", "--capo", "30"], "capo"),
        (&["arrange", "-", "--width", "9"], "40 to 1000"),
        (&["arrange", "-", "-o", "a.doc"], ".json"),
        (&["arrange", "-", "-o", "a.txt", "--grades"], ".pdf"),
        (
            &["arrange", "-", "-o", "a.pdf", "--paper", "a3"],
            "a4 or letter",
        ),
        (&["arrange", "-", "--full", "--easy"], "--easy"),
    ] {
        let output = thumbline(args, TUNE.as_bytes());
        code(&output, 2);
        assert!(err(&output).contains(said), "{args:?}: {}", err(&output));
        assert_eq!(out(&output), "");
    }
}

#[test]
fn bad_input_is_code_1_and_says_what_to_do() {
    let truncated = &TUNE.as_bytes()[..TUNE.len() - 12];
    let cases: [(&[u8], &str); 5] = [
        (b"", "is empty"),
        (b"X:1\0\0", "is not a text"),
        (b"just words\n", "X:1"),
        (b"X:1\nT:Rests\nK:C\nz4|\n", "no note"),
        (b"title = \"x\"\nkey = 3\n", "standard input:2:"),
    ];
    for (input, said) in cases {
        let output = thumbline(&["arrange", "-"], input);
        code(&output, 1);
        assert!(err(&output).contains(said), "{said}: {}", err(&output));
        assert_eq!(out(&output), "");
    }
    // A torn file that still holds a tune is arranged as far as it goes.
    code(&thumbline(&["arrange", "-"], truncated), 0);
}

#[test]
fn a_place_is_shown_with_a_caret() {
    let song =
        "title = \"x\"\nkey = \"G\"\nmeter = \"3/4\"\ntune = \"\"\"\n\"Gxyz\"G A B|\n\"\"\"\n";
    let output = thumbline(&["check", "-"], song.as_bytes());
    code(&output, 1);
    let text = err(&output);
    assert!(text.starts_with("standard input:5:"), "{text}");
    assert!(
        text.contains("| \"Gxyz\"G A B|\n") && text.contains("^\n"),
        "{text}"
    );
}

#[test]
fn latin_1_and_missing_chords_are_told_and_arranged() {
    let mut bytes = TUNE.replace("Weir", "Wehr at \u{e4}").into_bytes();
    let at = bytes.iter().position(|&b| b == 0xc3).unwrap();
    bytes.splice(at..at + 2, [0xe4]);
    let output = thumbline(&["arrange", "-"], &bytes);
    code(&output, 0);
    assert!(out(&output).starts_with("Gulls over the Wehr at ä\n"));
    assert!(err(&output).contains("Latin-1"));
    let bare = "X:1\nT:Bare\nM:3/4\nL:1/4\nK:G\nG A B|A F D|\n";
    let output = thumbline(&["arrange", "-"], bare.as_bytes());
    code(&output, 0);
    assert!(out(&output).starts_with("Bare\n"));
}

#[test]
fn check_lists_songs_and_remarks() {
    let output = thumbline(&["check", "-"], TUNE.as_bytes());
    code(&output, 0);
    let text = out(&output);
    assert!(
        text.starts_with("standard input: tune 7, “Gulls over the Weir”: 4 bars, G major, 3/4"),
        "{text}"
    );
    let output = thumbline(&["check", "-", "--json"], TUNE.as_bytes());
    let value: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(value[0]["songs"][0]["number"], 7);
}

#[test]
fn titles_can_not_steer_the_terminal() {
    let tune = TUNE.replace("Gulls", "\u{1b}]0;x\u{7}Gulls");
    for command in ["arrange", "check"] {
        let output = thumbline(&[command, "-"], tune.as_bytes());
        code(&output, 0);
        assert!(!output.stdout.contains(&0x1b) && !output.stderr.contains(&0x1b));
    }
}

#[test]
fn help_names_the_cautions_and_shells_get_their_script() {
    let output = thumbline(&["--help"], b"");
    code(&output, 0);
    assert!(out(&output).contains("hand therapist"), "{}", out(&output));
    let script = thumbline(&["completions", "bash"], b"");
    code(&script, 0);
    assert!(out(&script).contains("_thumbline"));
    let page = thumbline(&["man"], b"");
    code(&page, 0);
    assert!(out(&page).contains(".TH thumbline") && out(&page).contains("hand therapist"));
    // One page with a part for each subcommand, and no word of pages that aren't there.
    assert_eq!(out(&page).matches(".SH SYNOPSIS").count(), 1);
    assert!(out(&page).contains(".SS \"thumbline survey\"") && !out(&page).contains("(1)"));
}

#[test]
fn the_version_is_short_or_tells_how_it_was_built() {
    let number = concat!("thumbline ", env!("CARGO_PKG_VERSION"), "\n");
    let short = thumbline(&["-V"], b"");
    code(&short, 0);
    assert_eq!(out(&short), number);
    let long = thumbline(&["--version"], b"");
    code(&long, 0);
    let text = out(&long);
    let told = text.strip_prefix(number).unwrap();
    let line = |name: &str| {
        let mut lines = told.lines().filter_map(|l| l.strip_prefix(name));
        lines.next().map(str::trim).unwrap_or_default().to_string()
    };
    let sound = ["left out", "built in"][usize::from(cfg!(feature = "sound"))];
    assert_eq!(line("sound"), sound, "{text}");
    let profile = ["release", "debug"][usize::from(cfg!(debug_assertions))];
    assert_eq!(line("profile"), profile, "{text}");
    assert!(line("target").contains(std::env::consts::ARCH), "{text}");
    assert!(line("built by").starts_with("rustc 1."), "{text}");
    // The manual page is the same on every machine.
    let page = out(&thumbline(&["man"], b""));
    assert!(!page.contains(&line("target")), "{page}");
}

#[test]
fn the_studio_wants_a_terminal() {
    for args in [&[][..], &["songs/lamps-along-the-quay.toml"]] {
        let output = thumbline(args, b"");
        code(&output, 3);
        assert!(output.stdout.is_empty());
        assert!(String::from_utf8_lossy(&output.stderr).contains("needs a terminal"));
    }
}

#[test]
fn a_reader_that_leaves_early_is_no_failure() {
    let mut child = Command::new(env!("CARGO_BIN_EXE_thumbline"))
        .args(["completions", "zsh"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    code(&output, 0);
    assert_eq!(err(&output), "");
}
