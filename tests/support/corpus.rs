//! Open abc tunes from outside, put into a folder by `tests/outside/corpus.py`.

use super::plain_chords;
use std::path::{Path, PathBuf};
use thumbline::song::{Song, abc};

/// The folder named by `THUMBLINE_CORPUS`, else `target/corpus` in the project.
pub fn corpus_folder() -> PathBuf {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    root.join(std::env::var_os("THUMBLINE_CORPUS").unwrap_or("target/corpus".into()))
}

/// Every `.abc` file below the corpus folder, in order; none when there is no such folder.
pub fn corpus_files() -> Vec<PathBuf> {
    let mut files = Vec::new();
    let mut folders = vec![corpus_folder()];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).into_iter().flatten().flatten() {
            let path = entry.path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "abc") {
                files.push(path);
            }
        }
    }
    files.sort();
    files
}

/// At most `limit` of some things in order, spread evenly over them all.
pub fn spread<T>(things: Vec<T>, limit: usize) -> Vec<T> {
    let all = things.len();
    let wanted = limit.min(all);
    // Thing i stays when the number of those due by then steps up with it.
    let due = |i: usize| i * wanted / all;
    let kept = things.into_iter().enumerate();
    kept.filter(|(i, _)| due(i + 1) > due(*i))
        .map(|(_, thing)| thing)
        .collect()
}

/// At most `limit` tunes that the abc reader reads, spread evenly over the corpus, each with the
/// name of its file and its number there, and with chords by a plain rule where it comes without.
/// The files are not all UTF-8; other bytes, which stand in titles, are read as the replacement
/// character.
pub fn read_corpus(limit: usize) -> Vec<(String, Song)> {
    let mut tunes = Vec::new();
    for path in corpus_files() {
        let bytes = std::fs::read(&path).expect("a file just listed can be read");
        let stem = path.file_stem().unwrap_or_default().to_string_lossy();
        for tune in abc::read_book(&String::from_utf8_lossy(&bytes)) {
            let Ok(tune) = tune else { continue };
            tunes.push((format!("{stem}, tune {}", tune.number), tune.song));
        }
    }
    let mut tunes = spread(tunes, limit);
    for (_, song) in &mut tunes {
        if song.bars.iter().all(|b| b.chords.is_empty()) {
            plain_chords(song);
        }
    }
    tunes
}

/// How many tunes a benchmark is over, spread evenly over the corpus so that all collections take part.
const TUNES: usize = 320;

/// Tunes of 24 to 40 bars.
pub fn folk_tunes() -> Vec<Song> {
    let tunes = read_corpus(usize::MAX).into_iter().map(|(_, song)| song);
    let fair = tunes.filter(|s| (24..=40).contains(&s.bars.len()));
    spread(fair.collect(), TUNES)
}

/// The median of how many bars songs have.
pub fn median_bars(songs: &[Song]) -> usize {
    let mut bars: Vec<usize> = songs.iter().map(|s| s.bars.len()).collect();
    bars.sort_unstable();
    bars.get(bars.len() / 2).copied().unwrap_or_default()
}
