//! The rooms of the house know only those above them, the first five are pure, properties keep
//! their failures beside them, and no file holds two ideas.

use std::path::{Path, PathBuf};

/// From the top down.
const ROOMS: [&str; 11] = [
    "theory", "song", "guitar", "arrange", "score", "exchange", "sound", "practice", "shelf",
    "studio", "cli",
];
const PURE: usize = 5;

/// What a pure room has no business with.
const OUTSIDE: [&str; 9] = [
    "std::fs",
    "std::time",
    "std::env",
    "std::net",
    "std::thread",
    "ratatui",
    "crossterm",
    "cpal",
    "fundsp",
];

const LONGEST: usize = 500;

/// How a block of properties says how often it is tried.
const CONFIG: &str = "crate::properties::cases(";

/// The source files of a room with their code, tests cut off.
fn sources(room: &str) -> Vec<(PathBuf, String, usize)> {
    let mut found = Vec::new();
    let mut folders = vec![Path::new(env!("CARGO_MANIFEST_DIR")).join("src").join(room)];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).into_iter().flatten().flatten() {
            let path = entry.path();
            if path.is_dir() {
                folders.push(path);
                continue;
            }
            if path.extension().is_none_or(|e| e != "rs") {
                continue;
            }
            let text = std::fs::read_to_string(&path).expect("source is text");
            let lines = text.lines().count();
            let name = path
                .file_name()
                .unwrap_or_default()
                .to_string_lossy()
                .into_owned();
            let is_test = ["tests.rs", "fixture.rs", "exhaustive.rs"].contains(&name.as_str());
            let code = text
                .split("#[cfg(test)]\nmod tests")
                .next()
                .unwrap_or_default();
            found.push((
                path,
                if is_test {
                    String::new()
                } else {
                    code.to_string()
                },
                lines,
            ));
        }
    }
    found
}

#[test]
fn each_room_knows_only_those_above_it() {
    let mut wrong = Vec::new();
    for (i, room) in ROOMS.iter().enumerate() {
        for (path, code, _) in sources(room) {
            if code.contains("crate::{") {
                wrong.push(format!(
                    "{} names several rooms in one line",
                    path.display()
                ));
            }
            for below in &ROOMS[i + 1..] {
                if code.contains(&format!("crate::{below}")) {
                    wrong.push(format!("{} names {below}", path.display()));
                }
            }
        }
    }
    assert_eq!(wrong, Vec::<String>::new());
}

#[test]
fn the_first_rooms_are_pure() {
    let mut wrong = Vec::new();
    for room in &ROOMS[..PURE] {
        let files = sources(room);
        assert!(!files.is_empty(), "{room} has no files");
        for (path, code, _) in files {
            for outside in OUTSIDE.iter().filter(|o| code.contains(*o)) {
                wrong.push(format!("{} names {outside}", path.display()));
            }
        }
    }
    assert_eq!(wrong, Vec::<String>::new());
}

/// By itself proptest keeps them in a folder of their own at the top of the repository.
#[test]
fn properties_keep_their_failures_beside_their_source() {
    let mut wrong = Vec::new();
    for (path, _, _) in ROOMS.iter().flat_map(|room| sources(room)) {
        let text = std::fs::read_to_string(&path).expect("source is text");
        let mut blocks = text.split("proptest! {\n").skip(1);
        let says = |block: &str| (block.lines().next()).is_some_and(|l| l.contains(CONFIG));
        if !blocks.all(says) {
            wrong.push(format!("{}: begin with {CONFIG}…", path.display()));
        }
    }
    assert_eq!(wrong, Vec::<String>::new());
}

#[test]
fn no_file_holds_two_ideas() {
    let long: Vec<String> = (ROOMS.iter().flat_map(|room| sources(room)))
        .filter(|(_, _, lines)| *lines > LONGEST)
        .map(|(path, _, lines)| format!("{}: {lines} lines", path.display()))
        .collect();
    assert_eq!(long, Vec::<String>::new());
}
