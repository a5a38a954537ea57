//! Writes arrangements as MusicXML and as JSON, for `tests/outside/musicxml/check.py` to compare.

mod support;

use std::path::Path;
use support::read_corpus;
use thumbline::arrange::{Layer, Options, arrange};
use thumbline::exchange::{input, json, musicxml};
use thumbline::guitar::{Hand, Instrument};
use thumbline::song::{Song, SongFile};

/// How many open tunes are taken.
const TUNES: usize = 1200;

#[test]
#[ignore = "needs the tunes that tests/outside/corpus.py copies; run with --ignored"]
fn arrangements_are_written_for_the_check() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let folder = root.join("target/musicxml");
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("a folder of our own");
    let mut songs: Vec<(String, Song)> = (std::fs::read_dir(root.join("songs")).expect("songs"))
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|e| e == "toml"))
        .map(|path| {
            let text = std::fs::read_to_string(&path).expect("a song is text");
            let (_, song, _) = SongFile::parse(&text).expect("a song");
            let stem = path.file_stem().unwrap_or_default();
            (format!("a-{}", stem.to_string_lossy()), song)
        })
        .collect();
    songs.sort_by(|a, b| a.0.cmp(&b.0));
    songs.extend(read_corpus(TUNES));
    let mut written = 0;
    for (i, (name, song)) in songs.into_iter().enumerate() {
        let tuning = ["standard", "drop D", "DADGAD"][i % 3];
        let capo = [0, 2, 0, 5][i % 4];
        let instrument = Instrument::new(tuning, capo, 19).expect("a guitar");
        let hand = Hand::named("medium").expect("it is built in");
        let options = Options {
            layer: [Layer::Fill, Layer::Bass, Layer::Melody][i % 7 % 3],
            ..Options::default()
        };
        // What does not fit the neck is rightly refused.
        let Ok(arrangement) = arrange(&song, &instrument, &hand, &options) else {
            continue;
        };
        let plain: String = name
            .chars()
            .map(|c| if c.is_alphanumeric() { c } else { '-' })
            .collect();
        let base = folder.join(format!("{plain}-{i}"));
        let put = |ending: &str, bytes: &[u8]| {
            std::fs::write(base.with_extension(ending), bytes).expect("the disk takes it");
        };
        put("json", json::write(&arrangement).as_bytes());
        put("musicxml", musicxml::write(&arrangement).as_bytes());
        if i % 10 == 0 {
            put("mxl", &musicxml::write_compressed(&arrangement));
        }
        written += 1;
    }
    assert!(written > 8, "only {written} arrangements were written");
}

#[test]
#[ignore = "needs scores in THUMBLINE_SCORES; tests/outside/musicxml/read.py runs it"]
fn scores_from_outside_are_read_or_refused() {
    let folder = std::env::var_os("THUMBLINE_SCORES").expect("the folder of scores is named");
    let mut scores: Vec<_> = (std::fs::read_dir(&folder).expect("the folder can be listed"))
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|e| e != "tsv"))
        .collect();
    scores.sort();
    for path in scores {
        let opened = input::open(&path).expect("a file just listed can be opened");
        let text = match &opened.songs[0] {
            Ok(entry) => melody(&entry.song),
            Err(error) => format!("refused\t{error}\n"),
        };
        std::fs::write(path.with_extension("tsv"), text).expect("the disk takes it");
    }
}

/// The melody with ties joined: bar from 0, ticks from its bar line, MIDI number, length.
fn melody(song: &Song) -> String {
    let starts = song.starts();
    let mut lines: Vec<(usize, i64, i32, i64)> = Vec::new();
    let mut open = None;
    for (i, bar) in song.bars.iter().enumerate() {
        for note in &bar.notes {
            let midi = note.pitch.midi();
            match (open, lines.last_mut()) {
                (Some(tied), Some(last)) if tied == (midi, starts[i] + note.at) => {
                    last.3 += note.length;
                }
                _ => lines.push((i, note.at, midi, note.length)),
            }
            open = note
                .tied
                .then_some((midi, starts[i] + note.at + note.length));
        }
    }
    let line = |(bar, at, midi, length): (usize, i64, i32, i64)| {
        format!("{bar}\t{at}\t{midi}\t{length}\n")
    };
    lines.into_iter().map(line).collect()
}
