//! The program killed in the midst of writing, over and over: at most the last key is lost, and the
//! song can always be read.
//!
//! `THUMBLINE_KILLS=200 cargo test --test studio_kills` kills it as often as that.
#![cfg(unix)]

#[path = "support/numbers.rs"]
#[allow(dead_code)]
mod numbers;
#[path = "support/pty.rs"]
#[allow(dead_code)]
mod pty;

use numbers::Numbers;
use pty::{END, ENTER, House, RIGHT, Studio};
use thumbline::song::SongFile;

/// How often it is killed where nothing else is asked for.
const KILLS: u32 = 24;

const SONG: &str = "# A hand wrote this.
format = 1
title = \"Weir\"
key = \"C\"
meter = \"4/4\"
unit = \"1/4\"
tempo = \"1/4=90\"
tune = \"\"\"
\"C\"c d e c | \"G7\"d e f d | \"C\"c d e c |
\"\"\"
";

#[test]
fn at_most_the_last_key_is_lost() {
    let wished = std::env::var("THUMBLINE_KILLS").ok();
    let kills = wished.and_then(|n| n.parse().ok()).unwrap_or(KILLS);
    let mut numbers = Numbers(kills);
    let (mut lost, mut slips) = (0, 0);
    for round in 0..kills {
        let house = House::with(&[("weir.toml", SONG)]);
        let keys = 1 + numbers.below(12);
        // A little later each time, so that the last key is killed in every state of its way.
        let slip = numbers.below(8);
        let (before, after) = match round % 2 {
            0 => written(&house, keys, slip),
            _ => pinned(&house, keys, slip),
        };
        let kept = after - before;
        assert!(
            kept == keys || kept + 1 == keys,
            "round {round}: of {keys} keys {kept} were kept:\n{}",
            house.song("weir.toml")
        );
        assert!(house.song("weir.toml").starts_with("# A hand wrote this."));
        lost += keys - kept;
        slips += slip;
    }
    println!("{kills} kills, {lost} last keys lost, killed {slips} ms after them in all");
}

/// Kills the program so many milliseconds after the last key.
fn kill(mut studio: Studio, slip: u32) {
    std::thread::sleep(std::time::Duration::from_millis(slip.into()));
    studio.signal("KILL");
    studio.end();
}

fn opened(house: &House) -> Studio {
    let mut studio = house.start(&[]);
    studio.see("Weir");
    studio.press(ENTER);
    studio.see("stretch");
    studio
}

/// What the file holds once the song was opened again and left.
fn reopened(house: &House) -> thumbline::song::Song {
    // The file itself can be read whenever the program was killed.
    SongFile::parse(&house.song("weir.toml")).expect("it is a song");
    let mut studio = opened(house);
    studio.press("q");
    assert!(studio.end().success());
    let (_, song, _) = SongFile::parse(&house.song("weir.toml")).expect("it is a song");
    song
}

/// Notes written, each but the last one seen: how many there were and are.
fn written(house: &House, keys: u32, slip: u32) -> (u32, u32) {
    let mut studio = opened(house);
    studio.press("n");
    studio.see("a–g notes");
    studio.press(END);
    studio.see("bar 3: 4 of 4 beats");
    studio.press("4");
    for i in 0..keys {
        studio.press(["c", "d", "e", "f"][i as usize % 4]);
        if i + 1 < keys {
            studio.see(&format!("bar {}: {} of 4 beats", 4 + i / 4, i % 4 + 1));
        }
    }
    kill(studio, slip);
    let song = reopened(house);
    let notes = song.bars.iter().map(|b| b.notes.len() as u32);
    (12, notes.sum())
}

/// Notes pinned, each but the last one seen.
fn pinned(house: &House, keys: u32, slip: u32) -> (u32, u32) {
    let mut studio = opened(house);
    studio.press("1");
    studio.see("1 melody");
    for i in 0..keys {
        studio.press("p");
        if i + 1 < keys {
            studio.see("^ pinned");
            studio.press(RIGHT);
            studio.wait("the next note", |t| !t.contains("^ pinned"));
        }
    }
    kill(studio, slip);
    (0, reopened(house).pins.len() as u32)
}
