use super::*;
use proptest::prelude::*;

fn in_these(surroundings: &[(&str, &str)]) -> (Letters, String) {
    found(|name| {
        let mut all = surroundings.iter();
        all.find(|(n, _)| *n == name).map(|(_, v)| v.to_string())
    })
}

#[cfg(not(windows))]
#[test]
fn the_first_variable_that_says_something_decides() {
    use Letters::{All, Ascii, Few};
    for (surroundings, letters, why) in [
        (&[][..], Ascii, "none of LC_ALL, LC_CTYPE, LANG is set"),
        (
            &[("LANG", "en_GB.UTF-8")],
            All,
            "UTF-8, as LANG says: en_GB.UTF-8",
        ),
        (
            &[("LANG", "en_GB.UTF-8"), ("LC_ALL", "C")],
            Ascii,
            "plain ASCII, as LC_ALL says: C",
        ),
        (
            &[("LANG", "en_GB.UTF-8"), ("LC_CTYPE", "POSIX")],
            Ascii,
            "as LC_CTYPE says: POSIX",
        ),
        (
            &[("LANG", "C"), ("LC_CTYPE", "C.utf8")],
            All,
            "as LC_CTYPE says",
        ),
        // One that is empty says nothing.
        (&[("LC_ALL", ""), ("LANG", "C.UTF-8")], All, "as LANG says"),
        (&[("LANG", "de_DE")], Ascii, "as LANG says: de_DE"),
        (&[("LANG", "de_DE.ISO-8859-15@euro")], Ascii, "8859"),
        (&[("LANG", "de_DE.utf8@euro")], All, "utf8"),
        (&[("LC_CTYPE", "UTF-8")], All, "as LC_CTYPE says: UTF-8"),
        (&[("LANG", "ja_JP.eucJP")], Ascii, "eucJP"),
        (
            &[("LANG", "C.UTF-8"), ("TERM", "linux")],
            Few,
            "TERM is linux",
        ),
        (&[("LC_ALL", "C"), ("TERM", "linux")], Ascii, "LC_ALL"),
        (
            &[("LANG", "C.UTF-8"), ("TERM", "tmux-256color")],
            All,
            "LANG",
        ),
    ] {
        let (found, said) = in_these(surroundings);
        assert_eq!(found, letters, "{surroundings:?}");
        assert!(said.contains(why), "{surroundings:?}: {said}");
    }
}

#[cfg(windows)]
#[test]
fn a_locale_without_utf8_is_no_reason_for_it() {
    let (letters, why) = in_these(&[("LANG", "C")]);
    assert_eq!((letters, why.contains("LANG")), (Letters::All, false));
}

fn row(letters: Letters, line: &str) -> String {
    // As on a screen, where a blank lies under the second half of a sign of two columns.
    let cells: Vec<&str> = cells(line)
        .into_iter()
        .map(|c| if c.is_empty() { " " } else { c })
        .collect();
    let fitted = letters.row(&cells);
    assert_eq!(fitted.len(), cells.len(), "{line}");
    let text = |c: &Cell| c.sign.map_or(cells[c.from].to_string(), String::from);
    fitted.iter().map(text).collect()
}

#[test]
fn a_row_moves_on_where_there_is_room() {
    let ascii = |line| row(Letters::Ascii, line);
    for (line, expected) in [
        ("Grüße, Zoë · F♯m7♭5 ", "Grusse, Zoe - F#m7b5"),
        ("Grüße, Zoë · F♯m7♭5", "Gruse, Zoe - F#m7b5"),
        ("“quay” – ×2", "\"quay\" - x2"),
        ("2½ of 3 beats     x", "2 1/2 of 3 beats  x"),
        ("2½ of 3 beats    x", "2 1/2 of 3 beats x"),
        ("2½ of 3 beats  x", "2+ of 3 beats  x"),
        ("½ a beat  ", "1/2 a beat"),
        ("reading …   ", "reading ... "),
        ("a │ reading …│   ", "a | readin...|   "),
        ("│…│   ", "|.|   "),
        ("a … g     x", "a ... g   x"),
        ("the window that f…  x", "the window that...  x"),
        (
            "↑↓ choose   Enter takes it       ",
            "Up/Down choose   Enter takes it  ",
        ),
        (
            "↑↓ choose   Enter takes it   ",
            "Up/Down choose Enter takes it",
        ),
        ("↑↓ choose", "^v choose"),
        ("┌ ↑ or ↓ ─────┐", "+ Up or Down -+"),
        ("─12═│┃ ▸ ▾ ●○", "-12=|| > v *o"),
        ("港の歌        5", "GangnoGe      5"),
        ("港の歌 5", "GanoGe 5"),
        ("\u{fffd}\u{2060}", "?"),
    ] {
        let fitted = ascii(line);
        assert!(fitted.is_ascii(), "{fitted}");
        assert_eq!(fitted, expected, "{line}");
    }
}

#[test]
fn the_console_keeps_letters_lines_and_arrows() {
    let line = "─│═ Zoë ↑↓ F♯ ▸ “quay” Ж 港";
    assert_eq!(row(Letters::Few, line), "─│═ Zoë ↑↓ F# > \"quay\" Ж Ga");
    assert_eq!(row(Letters::All, line).trim_end(), line);
}

/// Debian's fonts for the console: `tests/outside/console`.
#[test]
fn what_the_console_keeps_is_in_all_its_fonts() {
    let common = include_str!("../../../tests/outside/console/common.txt");
    let common = common.lines().last().unwrap_or_default();
    for sign in stand_in::FEW.chars() {
        assert!(common.contains(sign), "{sign}");
    }
}

#[test]
fn texts_keep_their_columns() {
    let text = "bar  key   beats\n5    F♯m   2½     held\n6    G     3      “x”\n";
    assert_eq!(
        Letters::Ascii.text(text),
        "bar  key   beats\n5    F#m   2 1/2  held\n6    G     3      \"x\"\n"
    );
    assert_eq!(Letters::All.text(text), text);
    assert_eq!(
        Letters::Ascii.text("\r5 of 9\u{1b}[0m …"),
        "\r5 of 9\u{1b}[0m ..."
    );
}

#[test]
fn what_follows_a_sign_made_wide_stays() {
    assert!(Letters::Ascii.text("❤\u{fe0f}U").ends_with('U'));
    assert!(Letters::Ascii.text("1\u{fe0f}\u{20e3}st").ends_with("st"));
}

#[test]
fn json_says_the_same_in_ascii() {
    let json = "{\"title\": \"Zoë’s “𝄞” \\\"Air\\\"\"}";
    let ascii = ascii_json(json);
    assert!(ascii.is_ascii(), "{ascii}");
    let read = |t: &str| serde_json::from_str::<serde_json::Value>(t).unwrap();
    assert_eq!(read(&ascii), read(json));
}

#[test]
fn json_that_is_shown_steers_no_terminal() {
    let json = "{\n  \"title\": \"Zoë \u{9b}31m \u{202e}\"\n}";
    let plain = plain_json(json);
    assert_eq!(plain, "{\n  \"title\": \"Zoë \\u009b31m \\u202e\"\n}");
}

proptest! {
    #![proptest_config(crate::properties::cases(256))]

    #[test]
    fn any_line_comes_out_as_long_and_in_ascii(line in "[ │½…↑↓é港\u{301}\\PC]{0,40}") {
        let fitted = row(Letters::Ascii, &line);
        prop_assert!(fitted.is_ascii(), "{fitted:?}");
        let text = Letters::Ascii.text(&line);
        prop_assert!(text.is_ascii());
        // Only for `…` may a letter go.
        let mut out = text.chars();
        let mut letters = line.chars().filter(char::is_ascii_alphanumeric);
        prop_assert!(line.contains('…') || letters.all(|l| out.any(|c| c == l)), "{text:?}");
        prop_assert_eq!(Letters::All.text(&line), line);
    }
}
