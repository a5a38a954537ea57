//! How long it takes to read a book of a thousand abc tunes, out of those that
//! `tests/outside/corpus.py` copies.
//!
//! `cargo bench --bench read`. One thread, release build, by the clock.

#[path = "../support/mod.rs"]
mod support;

use support::timing::report;
use support::{corpus_files, spread};
use thumbline::song::abc;

const TUNES: usize = 1000;
const TIMES: usize = 15;

fn main() {
    let tunes = texts();
    if tunes.len() < TUNES {
        return println!("too few tunes: run tests/outside/corpus.py first");
    }
    let book = spread(tunes, TUNES).join("\n");
    let read = abc::read_book(&book);
    let notes = |bars: &[thumbline::song::Bar]| bars.iter().map(|b| b.notes.len()).sum::<usize>();
    let count: usize = read.iter().flatten().map(|t| notes(&t.song.bars)).sum();
    println!(
        "{} tunes, {} of them readable, {count} notes, {} kB",
        read.len(),
        read.iter().flatten().count(),
        book.len() / 1000
    );
    report("reading them", TIMES, || {
        std::hint::black_box(abc::read_book(&book));
    });
}

/// The text of every tune of the corpus, without what stands before a file's first one.
fn texts() -> Vec<String> {
    let mut tunes = Vec::new();
    for path in corpus_files() {
        let bytes = std::fs::read(&path).expect("a file just listed can be read");
        let mut tune: Option<String> = None;
        for line in String::from_utf8_lossy(&bytes).lines() {
            if line.starts_with("X:") {
                tunes.extend(tune.replace(String::new()));
            }
            if let Some(text) = &mut tune {
                text.push_str(line);
                text.push('\n');
            }
        }
        tunes.extend(tune);
    }
    tunes
}
