//! Every reader fed with damaged files: an answer each time, never a panic, and nothing that was read
//! is a song that can't be kept.
//!
//! Some hundreds of files in the ordinary run; `THUMBLINE_MINUTES=60 cargo test --release --test mangled
//! -- --nocapture` goes on for an hour and tells how many there were and which took longest. A file
//! that breaks a reader is left in `target/mangled`.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};
use thumbline::arrange::{Arrangement, Options, arrange};
use thumbline::exchange::{input, midi, musicxml};
use thumbline::guitar::{Hand, Instrument};
use thumbline::shelf::Setlist;
use thumbline::song::{Song, SongFile, abc};
use thumbline::studio::Theme;

/// Files of each kind in the ordinary run.
const ROUNDS: usize = 150;
/// Files of a kind one after another.
const AT_ONCE: usize = 10;
/// Longer songs are read but not arranged.
const ARRANGED: usize = 6;

/// Numbers by a xorshift generator (G. Marsaglia, Journal of Statistical Software 8 (2003), 14), the
/// same in each run.
struct Numbers(u64);

impl Numbers {
    fn next(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }

    fn below(&mut self, limit: usize) -> usize {
        match limit {
            0 => 0,
            limit => (self.next() % limit as u64) as usize,
        }
    }
}

/// A kind of file: what it is called, whole files of the kind, and words that mean something in it.
struct Kind {
    ending: &'static str,
    seeds: Vec<Vec<u8>>,
    words: &'static [&'static str],
}

/// Numbers and signs at which readers stumble.
const WORDS: &[&str] = &[
    "0",
    "-1",
    "1/0",
    "99999999999999999999",
    "2147483648",
    "\u{0}",
    "\u{feff}",
    "\u{202e}",
    "\"",
    "\"\"\"",
    "\\",
    "\r",
    "\n\n",
    "♭♭♭",
    "é",
    "\u{1b}[2J",
    "NaN",
    "1e999",
    "%",
    "[",
    "]",
    "{",
    "}",
    "|",
];

fn demo(name: &str) -> String {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("songs");
    std::fs::read_to_string(folder.join(name)).expect("a demo song")
}

/// The first bars of a song, so that damage falls on every part of a file.
fn short(mut song: Song) -> Song {
    song.bars.truncate(ARRANGED);
    song.pins.clear();
    song.ideas.clear();
    song
}

fn arranged(song: &Song) -> Option<Arrangement> {
    let instrument = Instrument::wished(&song.guitar).ok()?;
    let hand = Hand::wished(&song.guitar).ok()?;
    arrange(song, &instrument, &hand, &Options::default()).ok()
}

fn kinds() -> Vec<Kind> {
    let names = ["salt-on-the-window.toml", "tide-table-dance.toml"];
    let songs = names.map(|name| SongFile::parse(&demo(name)).expect("a song").1);
    let short: Vec<Song> = songs.into_iter().map(short).collect();
    let all: Vec<Arrangement> = short.iter().filter_map(arranged).collect();
    assert_eq!(all.len(), names.len());
    let of = |make: &dyn Fn(&Arrangement) -> Vec<u8>| all.iter().map(make).collect::<Vec<_>>();
    let kept = |song: &Song| SongFile::new(song).expect("it can be kept").to_string();
    let mut book: Vec<Vec<u8>> = vec![demo("evening-book.abc").into_bytes()];
    book.extend(short.iter().map(|s| abc::write_tune(s, 1).into_bytes()));
    vec![
        Kind {
            ending: "toml",
            seeds: short.iter().map(|s| kept(s).into_bytes()).collect(),
            words: &[
                "[[pin]]\n",
                "[[idea]]\n",
                "tune = ",
                "bar = 1\n",
                "meter = \"0/4\"\n",
                "[guitar]\n",
            ],
        },
        Kind {
            ending: "abc",
            seeds: book,
            words: &[
                "X:1\n",
                "K:C\n",
                "M:9999/8\n",
                "L:1/0\n",
                "(3:2:",
                "[1",
                ":|",
                "z9999",
                "!",
                ">>>",
                "[V:2]",
                "\"G7\"",
            ],
        },
        Kind {
            ending: "musicxml",
            seeds: of(&|a| musicxml::write(a).into_bytes()),
            words: &[
                "<note>",
                "</measure>",
                "<!ENTITY a \"&a;&a;\">",
                "&a;",
                "<divisions>0</divisions>",
                "<duration>-4</duration>",
                "<backup>",
                "<chord/>",
                "<![CDATA[",
            ],
        },
        Kind {
            ending: "mxl",
            seeds: of(&musicxml::write_compressed),
            words: &["PK\u{1}\u{2}", "../../x", "META-INF/container.xml"],
        },
        Kind {
            ending: "mid",
            seeds: of(&midi::write),
            words: &["MTrk", "MThd", "\u{7f}\u{7f}\u{7f}\u{7f}"],
        },
    ]
}

/// A damaged file.
fn mangled(kind: &Kind, numbers: &mut Numbers) -> Vec<u8> {
    let seed = |numbers: &mut Numbers| kind.seeds[numbers.below(kind.seeds.len())].clone();
    let mut bytes = seed(numbers);
    for _ in 0..1 + numbers.below(6) {
        let at = numbers.below(bytes.len() + 1);
        let to = (at + numbers.below(40)).min(bytes.len());
        match numbers.below(8) {
            0 if at < bytes.len() => bytes[at] ^= 1 << numbers.below(8),
            1 if at < bytes.len() => bytes[at] = numbers.next() as u8,
            2 => drop(bytes.drain(at..to)),
            3 => {
                let part = bytes[at..to].repeat(1 + numbers.below(30));
                bytes.splice(at..at, part);
            }
            4 => bytes.truncate(at),
            5 => {
                let other = seed(numbers);
                let from = numbers.below(other.len());
                bytes.truncate(at);
                bytes.extend_from_slice(&other[from..]);
            }
            6 => {
                let word = kind.words[numbers.below(kind.words.len())];
                bytes.splice(at..at, word.bytes());
            }
            _ => {
                let word = WORDS[numbers.below(WORDS.len())];
                bytes.splice(at..to, word.bytes());
            }
        }
    }
    bytes
}

/// Reads a file as the program does, and goes on with what was read. Whether there was a song.
fn go_through(path: &Path, bytes: &[u8]) -> bool {
    std::fs::write(path, bytes).expect("a file can be written");
    let Ok(opened) = input::open(path) else {
        return false;
    };
    for song in opened.songs.iter().flatten().map(|s| &s.song) {
        let _ = song.check();
        // What can be kept can be read again.
        if let Ok(file) = SongFile::new(song) {
            let text = file.to_string();
            SongFile::parse(&text).unwrap_or_else(|e| panic!("{e}, kept as:\n{text}"));
        }
        if song.bars.len() <= ARRANGED {
            let _ = arranged(song);
        }
    }
    opened.songs.iter().any(Result::is_ok)
}

#[test]
fn damaged_files_get_an_answer() {
    let folder = tempfile::tempdir().expect("a folder");
    let minutes = std::env::var("THUMBLINE_MINUTES").ok();
    let minutes: Option<u64> = minutes.and_then(|m| m.parse().ok());
    let end = minutes.map(|m| Instant::now() + Duration::from_secs(60 * m));
    let mut numbers = Numbers(minutes.map_or(2026, |m| 7 + m));
    let kinds = kinds();
    for (i, kind) in kinds.iter().cycle().enumerate() {
        let of_each = i / kinds.len() * AT_ONCE;
        let over = end.map_or(of_each >= ROUNDS, |end| Instant::now() > end);
        if over {
            println!("{} files in all", i * AT_ONCE);
            break;
        }
        let path = folder.path().join(format!("damaged.{}", kind.ending));
        let (mut read, mut slowest) = (0, Duration::ZERO);
        for _ in 0..AT_ONCE {
            let bytes = mangled(kind, &mut numbers);
            let start = Instant::now();
            let result = catch_unwind(AssertUnwindSafe(|| go_through(&path, &bytes)));
            slowest = slowest.max(start.elapsed());
            match result {
                Ok(was_read) => read += u32::from(was_read),
                Err(_) => panic!(
                    "a file broke the reader: {}",
                    left(kind.ending, &bytes).display()
                ),
            }
        }
        if minutes.is_some() && slowest > Duration::from_secs(1) {
            println!(
                "{}: {read} of {AT_ONCE} read, one took {slowest:?}",
                kind.ending
            );
        }
    }
}

/// Leaves a file where it can be looked at.
fn left(ending: &str, bytes: &[u8]) -> PathBuf {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("target/mangled");
    let path = folder.join(format!("broke.{ending}"));
    let written = std::fs::create_dir_all(&folder).and_then(|()| std::fs::write(&path, bytes));
    written.expect("a file can be written");
    path
}

#[test]
fn damaged_texts_get_an_answer() {
    let seeds = [
        "title = \"Evening\"\nsongs = [\"lamps\", \"gangway\"]\n".to_string(),
        include_str!("../themes/harbour.toml").to_string(),
        "2026-01-04T19:00:00 two-buoys bars 6-6 fill at 60% 3 of 3 clean in 40 s\n".to_string(),
    ];
    let kind = Kind {
        ending: "txt",
        seeds: seeds.map(String::into_bytes).to_vec(),
        words: &[
            "#ffffff",
            "on on",
            "bars 9-3",
            "at 100000%",
            "[palette]\n",
            "songs = 3\n",
        ],
    };
    let mut numbers = Numbers(88);
    for _ in 0..20 * ROUNDS {
        let bytes = mangled(&kind, &mut numbers);
        let text = String::from_utf8_lossy(&bytes);
        let _ = Theme::parse(&text);
        let _ = Setlist::parse(&text);
        let (records, errors) = thumbline::practice::read(&text);
        let lines = text.lines().filter(|l| !l.trim().is_empty()).count();
        assert!(records.len() + errors.len() <= lines, "{text}");
    }
}
