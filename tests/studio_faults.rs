//! What the world does to a song that is worked on: a full disk, a folder that is gone, other
//! programs. Each is tried on the program itself, is told in words, and loses nothing.
#![cfg(unix)]

#[path = "support/pty.rs"]
#[allow(dead_code)]
mod pty;

use pty::{ENTER, House, RIGHT, Studio, ctrl};
use std::path::Path;
use thumbline::song::SongFile;

const SONG: &str = "format = 1
title = \"Weir\"
key = \"C\"
meter = \"4/4\"
unit = \"1/4\"
tempo = \"1/4=90\"
tune = \"\"\"
\"C\"c d e c | \"G7\"d e f d | \"C\"c d e c |
\"\"\"
";

const NAME: &str = "weir.toml";

fn house() -> House {
    House::with(&[(NAME, SONG)])
}

fn on_desk(mut studio: Studio) -> Studio {
    studio.see("Weir");
    studio.press(ENTER);
    studio.see("stretch");
    studio
}

fn pin(studio: &mut Studio) {
    studio.press("p");
    studio.see("^ pinned");
}

fn pins(text: &str) -> usize {
    let (_, song, _) = SongFile::parse(text).unwrap_or_else(|e| panic!("{e}:\n{text}"));
    song.pins.len()
}

/// The texts of all songs that lie on the shelf.
fn songs(house: &House) -> Vec<String> {
    let entries = std::fs::read_dir(house.songs())
        .expect("a folder")
        .flatten();
    let songs = entries.filter(|e| e.path().is_file());
    songs
        .map(|e| std::fs::read_to_string(e.path()).expect("a text"))
        .collect()
}

/// Whether a file below a folder holds a text.
fn holds(folder: &Path, text: &str) -> bool {
    let entries = std::fs::read_dir(folder).into_iter().flatten().flatten();
    let mut paths = entries.map(|e| e.path());
    paths.any(|path| match path.is_dir() {
        true => holds(&path, text),
        false => std::fs::read_to_string(&path).is_ok_and(|t| t.contains(text)),
    })
}

#[test]
fn a_full_disk_is_told_and_what_was_saved_stays() {
    let long = format!("# {}\n{SONG}", "A long remark. ".repeat(80));
    let house = House::with(&[(NAME, &long)]);
    // The shell lets no file grow over one block of 1024 bytes, and the program is not ended by
    // trying to, so that writing fails as on a full disk.
    let program = env!("CARGO_BIN_EXE_thumbline");
    let script = format!("trap '' XFSZ; ulimit -S -f 1; exec '{program}' 2>/dev/null");
    let mut studio = on_desk(house.start_other(Path::new("bash"), &["-c", &script]));
    pin(&mut studio);
    // The sentence names the file, whichever of the shelf it is.
    studio.see("thumbline/songs");
    studio.press(RIGHT);
    studio.wait("another key", |t| !t.contains("thumbline/songs"));
    // Leaving saves first; as that fails, the player stays and is told.
    studio.press("q");
    studio.see("thumbline/songs");
    studio.see("not saved");
    assert_eq!(house.song(NAME), long);
    // Where there is room again, it is saved.
    let limit = std::process::Command::new("prlimit")
        .args(["--pid", &studio.id().to_string(), "--fsize=unlimited"])
        .status();
    if limit.is_ok_and(|s| s.success()) {
        studio.press("s");
        studio.wait("it to be saved", |t| !t.contains("not saved"));
        assert_eq!(pins(&house.song(NAME)), 1);
        studio.press("q");
        assert!(studio.end().success());
    }
}

#[test]
fn a_folder_that_is_gone_can_come_back() {
    let house = house();
    let mut studio = on_desk(house.start(&[]));
    let aside = house.path().join("aside");
    std::fs::rename(house.songs(), &aside).unwrap();
    pin(&mut studio);
    studio.see("moved or deleted by another program");
    if house.songs().exists() {
        std::fs::remove_dir_all(house.songs()).unwrap();
    }
    std::fs::rename(&aside, house.songs()).unwrap();
    studio.press("s");
    studio.wait("it to be saved", |t| !t.contains("not saved"));
    assert_eq!(pins(&house.song(NAME)), 1);
}

#[test]
fn a_change_from_outside_is_told_and_both_texts_are_kept() {
    let house = house();
    let mut studio = on_desk(house.start(&[]));
    let theirs = SONG.replace("Weir", "Weir, their way");
    std::fs::write(house.songs().join(NAME), &theirs).unwrap();
    pin(&mut studio);
    studio.see("changed by another program");
    assert_eq!(house.song(NAME), theirs);
    studio.press("s");
    studio.wait("it to be saved", |t| !t.contains("not saved"));
    assert_eq!(pins(&house.song(NAME)), 1);
    // Theirs is among the earlier versions.
    studio.escape(|t| t.contains("find"));
    studio.press(&pty::ctrl('p'));
    studio.see("go back to it");
    assert!(holds(&house.songs().join(".thumbline"), "Weir, their way"));
}

#[test]
fn a_song_that_is_deleted_meanwhile_is_not_lost() {
    let house = house();
    let mut studio = on_desk(house.start(&[]));
    std::fs::remove_file(house.songs().join(NAME)).unwrap();
    pin(&mut studio);
    studio.see("moved or deleted by another program");
    studio.press("s");
    studio.wait("it to be saved", |t| !t.contains("not saved"));
    let texts = songs(&house);
    assert!(texts.iter().any(|t| pins(t) == 1), "{texts:?}");
}

#[test]
fn a_song_that_becomes_a_link_is_not_written_through() {
    let house = house();
    let mut studio = on_desk(house.start(&[]));
    let elsewhere = house.path().join("elsewhere.toml");
    std::fs::write(&elsewhere, "not ours").unwrap();
    let song = house.songs().join(NAME);
    std::fs::remove_file(&song).unwrap();
    std::os::unix::fs::symlink(&elsewhere, &song).unwrap();
    pin(&mut studio);
    studio.press("s");
    studio.see("not saved");
    studio.press("s");
    studio.wait("an answer", |t| t.contains("link"));
    assert_eq!(std::fs::read_to_string(&elsewhere).unwrap(), "not ours");
}

#[test]
fn a_log_that_can_not_be_written_is_told() {
    let house = house();
    std::fs::create_dir_all(house.path().join("data/thumbline/practice.log")).unwrap();
    let mut studio = on_desk(house.start(&[]));
    studio.press("w");
    studio.see("Space begins");
    studio.see("practice.log");
}

/// A house whose disk can be made to stand still while the program runs.
#[cfg(target_os = "linux")]
struct Still {
    house: House,
    layer: std::path::PathBuf,
}

#[cfg(target_os = "linux")]
impl Still {
    fn new() -> Still {
        let house = house();
        let layer = house.path().join("stall.so");
        let source = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/support/stall.c");
        let built = std::process::Command::new("cc")
            .args(["-shared", "-fPIC", "-o"])
            .args([layer.as_path(), Path::new(source)])
            .arg("-ldl")
            .status();
        // Where Rust programs are linked, there is one.
        assert!(built.is_ok_and(|s| s.success()), "no C compiler");
        Still { house, layer }
    }

    fn start(&self) -> Studio {
        let text = |path: &Path| path.to_str().expect("plain").to_owned();
        let surroundings = [
            ("LD_PRELOAD", text(&self.layer)),
            // Songs, log and config.
            ("STALL_FOLDER", text(self.house.path())),
            ("STALL_SWITCH", text(&self.switch())),
        ];
        let words: Vec<(&str, &str)> = surroundings.iter().map(|(n, v)| (*n, &**v)).collect();
        self.house.start_with(&[], (80, 24), &words)
    }

    fn switch(&self) -> std::path::PathBuf {
        self.house.path().join("still")
    }

    fn stand(&self) {
        std::fs::write(self.switch(), "").expect("written");
    }

    fn go_on(&self) {
        std::fs::remove_file(self.switch()).expect("removed");
    }
}

#[test]
#[cfg(target_os = "linux")]
fn a_disk_that_stands_still_holds_up_nobody_and_loses_nothing() {
    let still = Still::new();
    let mut studio = on_desk(still.start());
    still.stand();
    for _ in 0..5 {
        pin(&mut studio);
        studio.press(RIGHT);
    }
    studio.see("waiting for the disk, 2 s so far");
    studio.see("waiting for the disk, 3 s so far");
    pin(&mut studio);
    studio.press("s");
    assert_eq!(pins(&still.house.song(NAME)), 0);
    still.go_on();
    studio.wait("it to be written", |t| {
        !t.contains("waiting for the disk") && !t.contains("not saved")
    });
    studio.until("all pins", || pins(&still.house.song(NAME)) == 6);
}

#[test]
#[cfg(target_os = "linux")]
fn leaving_while_the_disk_stands_still_waits_for_it_in_plain_sight() {
    let still = Still::new();
    let mut studio = on_desk(still.start());
    still.stand();
    pin(&mut studio);
    studio.press("q");
    studio.see("again leaves now");
    studio.press("q");
    studio.see("waiting for the disk to take what you changed; Ctrl-C leaves without it");
    still.go_on();
    assert!(studio.end().success());
    assert_eq!(pins(&still.house.song(NAME)), 1);
}

#[test]
#[cfg(target_os = "linux")]
fn a_disk_that_never_answers_does_not_keep_the_player() {
    let still = Still::new();
    let mut studio = on_desk(still.start());
    pin(&mut studio);
    studio.press(RIGHT);
    studio.until("the journal", || holds(still.house.path(), "[[pin]]"));
    still.stand();
    pin(&mut studio);
    studio.press("q");
    studio.see("again leaves now");
    studio.press("q");
    studio.see("Ctrl-C leaves without it");
    studio.press(&ctrl('c'));
    assert!(!studio.end().success());
    // What was on the disk by then is there.
    assert!(holds(still.house.path(), "[[pin]]"));
}
