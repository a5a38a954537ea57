//! The pictures of the README are what the studio draws.
//!
//! `THUMBLINE_PICTURES=1 cargo test --test pictures` draws them anew.

#![allow(clippy::unwrap_used)] // a test that can't set a screen up has failed

mod svg;

use jiff::civil::date;
use jiff::tz::TimeZone;
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use std::path::Path;
use svg::{Bare, svg};
use thumbline::shelf::{Folders, Name, Seal, Shelf as Songs};
use thumbline::song::SongFile;
use thumbline::studio::{Address, Desk, Home, Message, News, Role, Shelf, Studio, Theme, view};
use thumbline::theory::QUARTER;

/// The most that a picture may weigh, in bytes.
const HEAVIEST: usize = 60_000;

fn theme() -> Theme {
    Theme::named("harbour").unwrap()
}

fn desk(song: &str) -> Studio {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("songs/{song}.toml"));
    let (file, song_read, _) = SongFile::parse(&std::fs::read_to_string(file).unwrap()).unwrap();
    let address = Address {
        folder: "songs".into(),
        name: Name::new(song).unwrap(),
    };
    let home = Home::at(address, file, Seal::ABSENT, Vec::new());
    let desk = Desk::open(song_read, home).unwrap();
    Studio::at_desk(desk, theme(), TimeZone::UTC)
}

fn tell(studio: &mut Studio, messages: impl IntoIterator<Item = Message>) {
    for message in messages {
        studio.update(message);
    }
}

/// Holds the picture of a screen against the file, or writes it.
#[track_caller]
fn picture(studio: &mut Studio, name: &str, title: &str, (width, height): (u16, u16)) {
    studio.update(Message::Size(width, height));
    let mut terminal = Terminal::new(TestBackend::new(width, height)).unwrap();
    let draw = |frame: &mut ratatui::Frame| {
        view(studio, frame);
    };
    terminal.draw(draw).unwrap();
    let ground = theme().style(Role::Ground);
    let bare = Bare {
        ink: ground.fg.unwrap(),
        ground: ground.bg.unwrap(),
    };
    let drawn = svg(terminal.backend().buffer(), title, &bare);
    assert!(drawn.len() <= HEAVIEST, "{name}: {} bytes", drawn.len());
    let pictures = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/pictures");
    let file = pictures.join(format!("{name}.svg"));
    if std::env::var_os("THUMBLINE_PICTURES").is_some() {
        std::fs::write(&file, &drawn).unwrap();
    }
    let kept = std::fs::read_to_string(&file).unwrap_or_default();
    assert!(
        kept == drawn,
        "{name}.svg is not what is drawn; THUMBLINE_PICTURES=1 draws it anew"
    );
}

#[test]
fn the_desk() {
    let mut studio = desk("lamps-along-the-quay");
    tell(
        &mut studio,
        [Message::Bar(3), Message::Note(3), Message::Idle],
    );
    picture(&mut studio, "desk", "The Desk", (100, 26));
}

#[test]
fn the_shed() {
    let mut studio = desk("lamps-along-the-quay");
    let log: String = [
        (
            "02T19:02:11",
            "bars 31-31 fill at 60% 5 of 7 clean in 190 s",
        ),
        (
            "03T18:40:52",
            "bars 31-31 fill at 70% 4 of 6 clean in 150 s",
        ),
        ("04T19:21:05", "bars 8-8 fill at 65% 3 of 7 clean in 170 s"),
        (
            "05T19:12:40",
            "bars 31-31 fill at 80% 6 of 7 clean in 160 s",
        ),
        ("06T18:10:05", "bars 8-8 fill at 75% 3 of 3 clean in 70 s"),
    ]
    .map(|(at, what)| format!("2026-01-{at} lamps-along-the-quay {what}\n"))
    .concat();
    let messages = [
        Message::Clock(date(2026, 1, 6).at(18, 30, 0, 0), 0),
        Message::Bar(13),
        Message::Practise,
        Message::News(News::LogRead(Ok(log))),
        Message::Turn,
        Message::Play,
        Message::Heard(Some(QUARTER)),
    ];
    tell(&mut studio, messages);
    picture(&mut studio, "shed", "The Shed", (120, 40));
}

#[test]
fn the_stand() {
    let mut studio = desk("the-ferry-holds-for-snow");
    tell(&mut studio, [Message::Bar(4), Message::Stand]);
    picture(&mut studio, "stand", "The Stand", (80, 24));
}

#[test]
fn the_shelf() {
    let folder = tempfile::tempdir().unwrap();
    let folders = Folders::under(folder.path());
    let now = jiff::Timestamp::from_second(1_767_700_000).unwrap();
    let songs = Songs::open(folders, now).unwrap();
    let unread = songs.unread().unwrap().into_iter();
    let mut entries: Vec<_> = unread.map(|e| songs.entry(e.name)).collect();
    for (i, entry) in entries.iter_mut().enumerate() {
        entry.changed = None;
        // The first songs are well on their way.
        let done = [4, 3, 2].map(|rest: usize| entry.bars * rest.saturating_sub(i) / 4);
        entry.done = [done[0], done[1], done[2], 0];
    }
    let listed = News::Listed {
        entries,
        unread: 0,
        lists: Vec::new(),
        folder: "songs".into(),
    };
    let mut studio = Studio::choosing(Shelf::new(TimeZone::UTC), theme());
    tell(&mut studio, [Message::News(listed), Message::Choose(3)]);
    picture(&mut studio, "shelf", "The Shelf", (80, 24));
}
