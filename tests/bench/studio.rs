//! How long the studio takes to show something: the first frame with a thousand songs on the Shelf, a
//! frame of a long song, and from a key to the frame that shows what came of it.
//!
//! `cargo bench --bench studio`. One thread, release build, by the clock; what a frame writes to the
//! terminal is counted in. Memory and processor time of the whole program: `tests/bench/studio.py`.

use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use jiff::Timestamp;
use jiff::tz::TimeZone;
use ratatui::backend::CrosstermBackend;
use ratatui::layout::Rect;
use ratatui::{Terminal, TerminalOptions, Viewport};
use std::io::{Sink, sink};
use std::time::Instant;
use thumbline::shelf::{Folders, Shelf as Songs};
use thumbline::song::SongFile;
use thumbline::studio::{Desk, Home, Message, News, Shelf, Studio, Theme, view};

type Screen = Terminal<CrosstermBackend<Sink>>;

fn main() {
    first_frame(1000);
    frames(500, (200, 50));
    keys(64, (120, 40));
}

/// The Shelf with so many songs on disk, from opening the folder to the first frame.
fn first_frame(count: usize) {
    let folder = tempfile::tempdir().expect("a folder");
    let folders = Folders::under(folder.path());
    let songs = Songs::open(folders.clone(), Timestamp::now()).expect("a shelf");
    for i in 0..count {
        let text = song(32).replace("Long", &format!("Long {i}"));
        std::fs::write(folders.songs.join(format!("long-{i}.toml")), text).expect("written");
    }
    drop(songs);
    report(&format!("first frame, {count} songs"), 25, || {
        let start = Instant::now();
        let songs = Songs::open(folders.clone(), Timestamp::now()).expect("a shelf");
        let entries = songs.unread().expect("songs");
        let mut studio = Studio::choosing(Shelf::new(TimeZone::UTC), theme());
        studio.update(Message::News(News::Listed {
            unread: entries.len(),
            entries,
            lists: Vec::new(),
            folder: folders.songs.clone(),
        }));
        draw(&studio, &mut screen((120, 40)));
        start.elapsed().as_secs_f64()
    });
}

/// A frame of a long song, the cursor in its midst and moving.
fn frames(bars: usize, size: (u16, u16)) {
    let mut studio = at_desk(bars);
    studio.update(Message::Bar(bars as isize / 2));
    let mut screen = screen(size);
    let name = format!("frame {}×{}, {bars} bars", size.0, size.1);
    report(&name, 500, || {
        studio.update(Message::Onset(1));
        let start = Instant::now();
        draw(&studio, &mut screen);
        start.elapsed().as_secs_f64()
    });
}

/// From a key to its frame: notes all over the song are pinned and let go, each time solved anew.
fn keys(bars: usize, size: (u16, u16)) {
    let mut studio = at_desk(bars);
    let mut screen = screen(size);
    draw(&studio, &mut screen);
    let pin = KeyEvent::new(KeyCode::Char('p'), KeyModifiers::NONE);
    let name = format!("key to frame with a new solution, {bars} bars");
    report(&name, 200, || {
        studio.update(Message::Onset(1));
        let start = Instant::now();
        if let Some(message) = studio.press(pin) {
            studio.update(message);
        }
        draw(&studio, &mut screen);
        start.elapsed().as_secs_f64()
    });
}

/// Median, the slowest of twenty, and the slowest.
fn report(what: &str, times: usize, mut run: impl FnMut() -> f64) {
    let mut millis: Vec<f64> = (0..times).map(|_| run() * 1000.0).collect();
    millis.sort_by(f64::total_cmp);
    println!(
        "{what}: median {:.2} ms, 95 of 100 under {:.2} ms, at worst {:.2} ms",
        millis[times / 2],
        millis[times * 95 / 100],
        millis[times - 1]
    );
}

fn draw(studio: &Studio, screen: &mut Screen) {
    let draw = |frame: &mut ratatui::Frame| {
        view(studio, frame);
    };
    screen.draw(draw).expect("drawn");
}

fn screen((width, height): (u16, u16)) -> Screen {
    let options = TerminalOptions {
        viewport: Viewport::Fixed(Rect::new(0, 0, width, height)),
    };
    Terminal::with_options(CrosstermBackend::new(sink()), options).expect("a terminal")
}

fn theme() -> Theme {
    Theme::named("harbour").expect("a theme")
}

fn at_desk(bars: usize) -> Studio {
    let (_, song, _) = SongFile::parse(&song(bars)).expect("a song");
    let desk = Desk::open(song, Home::nowhere(Vec::new())).expect("it can be arranged");
    Studio::at_desk(desk, theme(), TimeZone::UTC)
}

/// The bars of a demo song over and over.
fn song(bars: usize) -> String {
    let demo = include_str!("../../songs/lamps-along-the-quay.toml");
    let (_, tune) = demo.split_once("\"\"\"").expect("a tune");
    let (tune, _) = tune.split_once("\"\"\"").expect("its end");
    // Without the pickup.
    let all = tune.split('|').map(str::trim).skip(1);
    let all: Vec<&str> = all.filter(|b| b.contains('"')).collect();
    let body: Vec<&str> = all.iter().cycle().take(bars).copied().collect();
    format!(
        "format = 1\ntitle = \"Long\"\nkey = \"G\"\nmeter = \"3/4\"\nunit = \"1/8\"\n\
         tempo = \"1/4=104\"\ntune = \"\"\"\n{} |]\n\"\"\"\n",
        body.join(" | ")
    )
}
