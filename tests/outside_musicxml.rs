//! Writes arrangements as MusicXML and as JSON, for `tests/outside/musicxml/check.py` to compare.

mod support;

use std::path::Path;
use support::{plain_chords, read_corpus};
use thumbline::arrange::{Layer, Options, arrange};
use thumbline::exchange::{json, musicxml};
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
    for (i, (name, mut song)) in songs.into_iter().enumerate() {
        if song.bars.iter().all(|b| b.chords.is_empty()) {
            plain_chords(&mut song);
        }
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
