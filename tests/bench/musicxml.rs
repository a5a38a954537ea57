//! How long MusicXML takes: a score of ten megabytes read, and a thousand open tunes written, alone
//! and from their abc text on, in layers one to three.
//!
//! `cargo bench --bench musicxml`. One thread, release build, by the clock; memory as Linux counts it.

#[path = "../support/mod.rs"]
mod support;

use std::time::Instant;
use support::timing::report;
use support::{plain_chords, read_corpus};
use thumbline::arrange::{Arrangement, Options, arrange};
use thumbline::exchange::input::Choice;
use thumbline::exchange::musicxml;
use thumbline::guitar::{Hand, Instrument};
use thumbline::song::SongFile;

const TUNES: usize = 1000;
const TIMES: usize = 9;

fn main() {
    let text = large(10_000_000);
    let before = most_memory();
    report(
        &format!("{:.1} MB read", text.len() as f64 / 1e6),
        TIMES,
        || {
            let read = musicxml::read(&text, &Choice::default());
            assert!(read.is_ok_and(|(song, _)| song.bars.len() > 1000));
        },
    );
    if let (Some(before), Some(after)) = (before, most_memory()) {
        println!("memory: {before:.0} MB with its text, {after:.0} MB at most while reading");
    }
    let songs = read_corpus(TUNES);
    if songs.len() < TUNES {
        return println!("too few tunes: run tests/outside/corpus.py first");
    }
    let start = Instant::now();
    let arranged: Vec<Arrangement> = songs.into_iter().filter_map(|t| arranged(t.1)).collect();
    let solving = start.elapsed().as_secs_f64();
    let count = arranged.len();
    println!("{count} of {TUNES} tunes arranged in {solving:.2} s");
    report(&format!("{count} tunes written"), TIMES, || {
        for arrangement in &arranged {
            std::hint::black_box(musicxml::write(arrangement));
        }
    });
}

fn arranged(mut song: thumbline::song::Song) -> Option<Arrangement> {
    plain_chords(&mut song);
    let hand = Hand::wished(&Default::default()).expect("the usual hand");
    arrange(&song, &Instrument::standard(), &hand, &Options::default()).ok()
}

/// A score of at least so many bytes: the bars of a demo song over and over, as we write them.
fn large(bytes: usize) -> String {
    let demo = include_str!("../../songs/lamps-along-the-quay.toml");
    let (_, song, _) = SongFile::parse(demo).expect("a song");
    let text = musicxml::write(&arranged(song).expect("it can be arranged"));
    let second = text.match_indices("<measure ").nth(1).map_or(0, |m| m.0);
    let end = text.rfind("<measure ").unwrap_or(text.len());
    let (head, body, tail) = (&text[..second], &text[second..end], &text[end..]);
    head.to_string() + &body.repeat(bytes / body.len() + 1) + tail
}

/// The most memory that this process has had, in MB.
fn most_memory() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM:"))?;
    let kilobytes: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kilobytes / 1024.0)
}
