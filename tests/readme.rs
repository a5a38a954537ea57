//! What `README.md` shows is what the program does.

use std::process::Command;
use thumbline::arrange::{Options, arrange};
use thumbline::guitar::{Hand, Instrument};
use thumbline::song::SongFile;
use thumbline::studio::keymap::{BINDINGS, Place};

const README: &str = include_str!("../README.md");

/// The text of the first block of this kind that holds this word.
fn block(kind: &str, word: &str) -> &'static str {
    let blocks = README.split("```").skip(1).step_by(2);
    let mut blocks = blocks.filter_map(|b| b.strip_prefix(&format!("{kind}\n")));
    (blocks.find(|b| b.contains(word))).expect("there is such a block")
}

#[test]
fn the_tab_is_what_the_song_gives() {
    let song = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/songs/lamps-along-the-quay.toml"
    );
    let out = Command::new(env!("CARGO_BIN_EXE_thumbline"))
        .args(["arrange", song])
        .output()
        .expect("the program runs");
    let printed = String::from_utf8(out.stdout).expect("tab is text");
    let strings = |text: &str| -> Vec<String> {
        let lines = text.lines().filter(|l| l.contains('│'));
        lines.map(str::to_string).take(6).collect()
    };
    let shown = strings(block("text", "│"));
    assert_eq!(shown.len(), 6);
    for (shown, printed) in shown.iter().zip(strings(&printed)) {
        // The README leaves the pickup out.
        let bars: Vec<&str> = printed.split('│').collect();
        assert_eq!(shown.trim_end(), [bars[0], bars[2], bars[3], ""].join("│"));
    }
}

#[test]
fn the_song_file_can_be_arranged() {
    let (_, song, notices) = SongFile::parse(block("toml", "tune")).expect("it is a song");
    assert_eq!(notices, []);
    assert_eq!(song.pins.len(), 1);
    let instrument = Instrument::wished(&song.guitar).expect("an instrument");
    let hand = Hand::wished(&song.guitar).expect("a hand");
    let arrangement =
        arrange(&song, &instrument, &hand, &Options::default()).expect("it can be arranged");
    // The pin is kept: the first melody note lies on string 2.
    assert!(
        arrangement
            .plucks
            .iter()
            .any(|p| p.at == 0 && p.string == 2)
    );
}

/// What the README says about keys is the table that the studio goes by.
#[test]
fn the_keys_are_those_of_the_studio() {
    let mut places: Vec<Place> = Vec::new();
    for binding in BINDINGS {
        if !places.contains(&binding.place) {
            places.push(binding.place);
        }
    }
    let mut expected = String::from("| screen | key | what it does |\n| --- | --- | --- |\n");
    for place in places {
        for (i, row) in BINDINGS.iter().filter(|b| b.place == place).enumerate() {
            let name = if i == 0 {
                place.to_string()
            } else {
                String::new()
            };
            expected += &format!(
                "| {name} | {} | {} |\n",
                row.shown.replace('|', "\\|"),
                row.does
            );
        }
    }
    assert!(
        README.contains(&expected),
        "the README's table of keys should be:\n{expected}"
    );
}
