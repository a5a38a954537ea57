//! Terminals that show less than others: without UTF-8, the Linux console, one that can't be painted.
#![cfg(unix)]

#[path = "support/pty.rs"]
#[allow(dead_code)]
mod pty;

use pty::{ENTER, House, Studio, TAB, ctrl};

/// A song whose title no ASCII can spell.
const SONG: &str = "format = 1
title = \"Zoë’s “Réel” ½\"
key = \"F#m\"
meter = \"3/4\"
unit = \"1/4\"
tempo = \"1/4=90\"
tags = [\"fête\"]
tune = \"\"\"
\"F#m\"F A c | \"Bm7b5\"B3 | \"C#7\"=c ^B G | \"F#m\"F3 |]
\"\"\"
";

fn house() -> House {
    House::with(&[("reel.toml", SONG)])
}

fn start(house: &House, words: &[&str], more: &[(&str, &str)]) -> Studio {
    house.start_with(words, (80, 24), more)
}

#[track_caller]
fn only_ascii(studio: &Studio) {
    let bytes = studio.bytes();
    let text = String::from_utf8_lossy(&bytes);
    let other: String = text.chars().filter(|c| !c.is_ascii()).collect();
    assert!(other.is_empty(), "{other}");
}

#[test]
fn without_utf_8_no_screen_sends_more_than_ascii() {
    let house = house();
    let mut studio = start(&house, &[], &[("LC_ALL", "C")]);
    studio.see("Zoe's \"Reel\" 1/2");
    studio.press("fete");
    studio.see("1 of 1 song");
    studio.press(TAB);
    studio.see("Setlists");
    studio.press(TAB);
    studio.press(ENTER);
    studio.see("stretch");
    studio.see("F#m");
    studio.see("E |-");
    studio.press("?");
    studio.see("Keys: press one, or Up Down and Enter");
    studio.escape(|t| !t.contains("Keys: press one"));
    studio.press("4");
    studio.see("Ideas, bar 1");
    studio.press("w");
    studio.see("Space begins");
    studio.press(TAB);
    studio.see("goal, time");
    studio.escape(|t| t.contains("n write"));
    studio.press(&ctrl('r'));
    studio.see("PgDn on");
    studio.escape(|t| t.contains("n write"));
    studio.press("n");
    studio.see("a-g notes");
    studio.escape(|t| t.contains("n write"));
    studio.press("q");
    assert!(studio.end().success());
    studio.is_given_back();
    only_ascii(&studio);
}

#[test]
fn commands_print_ascii_on_a_terminal_and_json_that_says_the_same() {
    let house = house();
    let song = house.songs().join("reel.toml");
    let song = song.to_str().unwrap();
    let bare = [("LC_CTYPE", "POSIX"), ("LANG", "")];
    for (words, expected) in [
        (&["arrange", song][..], "G|-"),
        (&["check", song], "\"Zoe's \"Reel\" 1/2\": 4 bars"),
        (&["arrange", song, "--ideas", "1"], "F#"),
        (&["check", song, "--json"], "Zo\\u00eb"),
        (&["arrange", song, "--json"], "Zo\\u00eb"),
        (&["arrange", "Zoë"], "\"Zoe\""),
        (&["probe"], "plain ASCII, as LC_CTYPE says: POSIX"),
    ] {
        let mut command = start(&house, words, &bare);
        command.end();
        let said = || String::from_utf8_lossy(&command.bytes()).contains(expected);
        command.until(&format!("{words:?}: {expected}"), said);
        only_ascii(&command);
    }
    // A file is not a terminal.
    let written = house.path().join("reel.txt");
    let words = ["arrange", song, "-o", written.to_str().unwrap()];
    assert!(start(&house, &words, &bare).end().success());
    let tab = std::fs::read_to_string(written).unwrap();
    assert!(tab.contains("Zoë’s “Réel” ½") && tab.contains('│'), "{tab}");
}

#[test]
fn the_console_gets_lines_and_letters_and_no_colour_that_it_lacks() {
    let house = house();
    let mut studio = start(&house, &[], &[("TERM", "linux")]);
    studio.see("Zoë's \"Réel\" 1/2");
    studio.press(ENTER);
    studio.see("E │─");
    let text = studio.see("F#m");
    assert!(!text.contains(['♯', '♩', '▸', '·']), "{text}");
    let bytes = studio.bytes();
    let sent = String::from_utf8_lossy(&bytes);
    assert!(!sent.contains("38;2;") && !sent.contains("48;2;"));
    studio.press("q");
    assert!(studio.end().success());
}

#[test]
fn a_terminal_that_can_not_be_painted_is_told_so() {
    let house = house();
    let mut studio = start(&house, &[], &[("TERM", "dumb"), ("LC_ALL", "C")]);
    assert_eq!(studio.end().exit_code(), 3);
    studio.see("can't paint on this terminal");
    only_ascii(&studio);
    assert!(!studio.bytes().contains(&0x1b));
}
