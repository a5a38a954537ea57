//! What holds for any text: nothing panics or hangs, bars are well formed, and what is written
//! reads the same.

use super::*;
use proptest::prelude::*;

#[test]
fn numbers_beyond_all_music_are_refused() {
    for body in [
        "C99999",
        "C/99999",
        "C9999999999999",
        "(99CDE",
        "(0CDE",
        "Z5000",
        "C>>>>>>>>>>D",
        "C,,,,,,,,,,",
        "c''''''''",
        "C/0",
        "^^^C",
    ] {
        let text = format!("X:1\nK:C\n{body}\n");
        assert!(read_book(&text)[0].is_err(), "{body}");
    }
}

#[test]
fn ten_thousand_bars_and_long_lines() {
    let long = format!("X:1\nL:1/4\nM:4/4\nK:C\n{}", "CDEF|".repeat(10_000));
    assert_eq!(
        read_book(&long)[0].as_ref().unwrap().song.bars.len(),
        10_000
    );
    for sign in [
        ")", "!", "\"", "[", "{", "&", "y", "(", "^C", "C>", "C-", "|:",
    ] {
        let text = format!("X:1\nK:C\nC{}", sign.repeat(100_000));
        assert_eq!(read_book(&text).len(), 1, "{sign}");
    }
}

fn abcish() -> impl Strategy<Value = String> {
    let words = prop::sample::select(vec![
        "C",
        "d'",
        "^F",
        "__B,",
        "=c",
        "z",
        "Z2",
        "x/",
        "y",
        "|",
        "||",
        "|:",
        ":|",
        "::",
        "|]",
        "[1",
        "|2",
        "[1,3",
        "[",
        "]",
        "[CEG]",
        "-",
        ">",
        "<<",
        "(3",
        "(5:4:6",
        "(",
        ")",
        "2",
        "/",
        "3/2",
        "//",
        "\"Am\"",
        "\"",
        "\"^x\"",
        "!",
        "!p!",
        "{",
        "}",
        "{g}",
        "&",
        "%",
        "%%",
        "\n",
        "\n\n",
        "X:2\n",
        "K:",
        "[K:G]",
        "[M:3/4]",
        "M:none\n",
        "L:1/16\n",
        "[V:2]",
        "V:1\n",
        "\\\n",
        "Q:1/4=90\n",
        "w:",
        "é",
        "\u{0}",
        "♯",
        " ",
        "9999",
        "40320",
        "~",
        ".",
        "*",
        "+",
        "'",
        ",",
        ":",
        "T:x\n",
        "[r:]",
    ]);
    prop::collection::vec(words, 0..60).prop_map(|words| words.concat())
}

proptest! {
    #![proptest_config(crate::properties::cases(256))]

    #[test]
    fn no_text_is_too_strange(text in "\\PC*", body in abcish()) {
        let abcish = read_book(&format!("X:1\nK:C\n{body}"));
        for tune in read_book(&text).into_iter().chain(abcish).flatten() {
            prop_assert!(!tune.song.bars.is_empty());
            prop_assert_eq!(tune.song.runs_on().len(), tune.song.bars.len());
        }
    }

    #[test]
    fn notes_lie_in_their_bars_in_order(body in abcish()) {
        for tune in read_book(&format!("X:1\nM:4/4\nK:C\n{body}")).into_iter().flatten() {
            for bar in &tune.song.bars {
                let mut at = 0;
                for note in &bar.notes {
                    prop_assert!(note.at >= at && note.length > 0);
                    at = note.at + note.length;
                }
                prop_assert!(at <= bar.length && bar.length > 0);
                prop_assert!(bar.chords.windows(2).all(|w| w[0].at < w[1].at));
            }
        }
    }

    #[test]
    fn what_is_written_reads_the_same(body in abcish()) {
        for tune in read_book(&format!("X:1\nM:4/4\nK:Bb\n{body}")).into_iter().flatten() {
            let text = write_tune(&tune.song, 1);
            let again = read_book(&text).remove(0).unwrap();
            prop_assert!(again.song.same_as(&tune.song), "{}", text);
        }
    }
}
