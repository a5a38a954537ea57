//! How long it takes to set sheets and to write them as PDF and SVG: a demo song in large print,
//! which fills three pages, and all demo songs as one booklet.
//!
//! `cargo bench --bench sheet`. One thread, release build, by the clock.

#[path = "../support/timing.rs"]
#[allow(dead_code)]
mod timing;

use std::path::Path;
use thumbline::arrange::{Arrangement, arrange};
use thumbline::exchange::sheet::{Booklet, Document, Options};
use thumbline::guitar::{Hand, Instrument};
use thumbline::song::SongFile;
use timing::report;

const TIMES: usize = 25;

fn main() {
    let songs = arranged();
    let large = Options {
        large: true,
        ..Options::default()
    };
    let three = songs.iter().find(|a| a.song.title.starts_with("Lamps"));
    let three = Booklet::of(three.map(std::slice::from_ref).unwrap_or_default());
    let all = Booklet::of(&songs);
    for (name, booklet, options) in [
        ("one song in large print", three, large),
        ("all demo songs", all, Options::default()),
    ] {
        let document = booklet.lay_out(options);
        println!("{name}, {} pages", document.pages.len());
        report("  set", TIMES, || drop(booklet.lay_out(options)));
        report("  set and written as PDF", TIMES, || {
            drop(booklet.lay_out(options).pdf())
        });
        report("  set and written as SVG", TIMES, || {
            drop(Document::svg(&booklet.lay_out(options)))
        });
    }
}

fn arranged() -> Vec<Arrangement> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("songs");
    let mut paths: Vec<_> = (std::fs::read_dir(folder).expect("the demo songs"))
        .filter_map(|e| Some(e.ok()?.path()))
        .filter(|p| p.extension().is_some_and(|e| e == "toml"))
        .collect();
    paths.sort();
    let song = |path: &Path| {
        let text = std::fs::read_to_string(path).expect("a song");
        let (_, song, _) = SongFile::parse(&text).expect("it can be read");
        let instrument = Instrument::wished(&song.guitar).expect("an instrument");
        let hand = Hand::wished(&song.guitar).expect("a hand");
        arrange(&song, &instrument, &hand, &Default::default()).expect("it can be arranged")
    };
    paths.iter().map(|p| song(p)).collect()
}
