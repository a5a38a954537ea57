//! Whatever is pressed, nothing breaks and no song is lost.

use super::shown;
use crate::shelf::{Folders, Store};
use crate::studio::disk::Clerk;
use crate::studio::keymap::{BINDINGS, Place};
use crate::studio::*;
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use jiff::tz::TimeZone;
use proptest::prelude::*;
use std::path::Path;

/// A studio with songs on a real disk, and no thread.
struct House {
    studio: Studio,
    clerk: Clerk,
    over: bool,
}

impl House {
    fn open(folder: &Path) -> House {
        let shelf = Shelf::new(TimeZone::UTC);
        let studio = Studio::choosing(shelf, Theme::named("none").unwrap());
        let mut house = House {
            studio,
            clerk: Clerk::new(Some(Folders::under(folder))),
            over: false,
        };
        let orders = house.studio.begin();
        house.obey(orders);
        house
    }

    fn obey(&mut self, orders: Vec<Order>) {
        for order in orders {
            match order {
                Order::Quit => self.over = true,
                // Files elsewhere are none of this test's business.
                Order::Disk(Errand::Export { .. } | Errand::Print(..) | Errand::Import(_)) => {}
                Order::Disk(errand) => {
                    let mut news = self.clerk.run(errand);
                    while self.clerk.has_unread() {
                        news.extend(self.clerk.read_on(2));
                    }
                    for news in news {
                        let orders = self.studio.update(Message::News(news));
                        self.obey(orders);
                    }
                }
                _ => {}
            }
        }
    }

    fn press(&mut self, (code, modifiers): (KeyCode, KeyModifiers)) {
        let key = KeyEvent::new(code, modifiers);
        if let Some(message) = self.studio.press(key) {
            let orders = self.studio.update(message);
            self.obey(orders);
        }
    }
}

/// A key of the table, or a letter, most often one that leads on.
fn key() -> impl Strategy<Value = (KeyCode, KeyModifiers)> {
    let table: Vec<_> = BINDINGS.iter().flat_map(|b| b.keys).copied().collect();
    prop_oneof![
        4 => prop::sample::select(table),
        1 => Just((KeyCode::Enter, KeyModifiers::NONE)),
        1 => Just((KeyCode::Esc, KeyModifiers::NONE)),
        1 => prop::char::range('a', 'h').prop_map(|c| (KeyCode::Char(c), KeyModifiers::NONE)),
    ]
}

/// Every text that can be had again: songs, earlier versions, the bin, what was jotted down.
fn kept(folder: &Path) -> Vec<String> {
    let mut texts = Vec::new();
    let mut folders = vec![folder.to_path_buf()];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap().flatten() {
            let path = entry.path();
            match path.is_dir() {
                true => folders.push(path),
                false => texts.extend(std::fs::read_to_string(path)),
            }
        }
    }
    texts
}

/// A new song is begun, and these keys are pressed; then the program is gone without a word. The
/// song that comes back is as it was after the last key.
fn crashed(keys: &[(KeyCode, KeyModifiers)]) -> Result<(), TestCaseError> {
    let folder = tempfile::tempdir().unwrap();
    let typed = |text: &str| -> Vec<(KeyCode, KeyModifiers)> {
        let key = |c| match c {
            '\n' => (KeyCode::Enter, KeyModifiers::NONE),
            c => (KeyCode::Char(c), KeyModifiers::NONE),
        };
        text.chars().map(key).collect()
    };
    let mut house = House::open(folder.path());
    house.press((KeyCode::Char('n'), KeyModifiers::CONTROL));
    for key in typed("Zz Buoy\n\n\n\n").iter().chain(keys) {
        house.press(*key);
    }
    let song = match &house.studio.screen {
        Screen::Writing(writing) => writing.song().clone(),
        Screen::Desk(desk) => desk.arrangement.song.clone(),
        _ => return Ok(()),
    };
    // Some keys lead to another song, or give this one a title to be found by.
    if !song.title.starts_with("Zz") {
        return Ok(());
    }
    drop(house);
    let mut house = House::open(folder.path());
    for key in typed("zz\n") {
        house.press(key);
    }
    let back = match &house.studio.screen {
        Screen::Writing(writing) => writing.song(),
        Screen::Desk(desk) => &desk.arrangement.song,
        _ => return Err(TestCaseError::fail("the song does not open")),
    };
    prop_assert!(back.same_as(&song), "{back:?}\n{song:?}");
    Ok(())
}

/// A key of the writing screen, most often one that writes.
fn writing_key() -> impl Strategy<Value = (KeyCode, KeyModifiers)> {
    let places = [
        Place::Writing,
        Place::Neck,
        Place::Chord,
        Place::Pile,
        Place::Line,
    ];
    let table = BINDINGS.iter().filter(move |b| places.contains(&b.place));
    let table: Vec<_> = table.flat_map(|b| b.keys).copied().collect();
    let letters = prop::sample::select("abcdefgGAC4828.r|h".chars().collect::<Vec<_>>());
    prop_oneof![
        1 => prop::sample::select(table),
        2 => letters.prop_map(|c| (KeyCode::Char(c), KeyModifiers::NONE)),
        1 => Just((KeyCode::Enter, KeyModifiers::NONE)),
    ]
}

proptest! {
    #![proptest_config(crate::properties::cases(12))]

    #[test]
    fn a_crash_loses_nothing_that_was_written(keys in prop::collection::vec(writing_key(), 1..60)) {
        crashed(&keys)?;
    }
}

proptest! {
    #![proptest_config(crate::properties::cases(12))]

    #[test]
    fn any_keys_leave_all_songs(keys in prop::collection::vec(key(), 1..40)) {
        let folder = tempfile::tempdir().unwrap();
        let songs = Folders::under(folder.path()).songs;
        // A shelf that was opened before, so that no demo songs come.
        std::fs::create_dir_all(songs.join(".thumbline")).unwrap();
        let texts: Vec<String> = (1..=3)
            .map(|i| super::SONG.replace("Two Buoys", &format!("Buoy {i}")))
            .collect();
        for (i, text) in texts.iter().enumerate() {
            std::fs::write(songs.join(format!("buoy-{i}.toml")), text).unwrap();
        }
        let mut house = House::open(folder.path());
        for key in keys {
            house.press(key);
            if house.over {
                house = House::open(folder.path());
            }
            prop_assert!(!shown(&house.studio, 80, 24).trim().is_empty());
        }
        let kept = kept(&songs);
        for text in &texts {
            prop_assert!(kept.contains(text), "lost: {text}");
        }
        let store = Store::open(&songs).unwrap();
        let count = store.names().unwrap().len() + store.bin().unwrap().len();
        prop_assert!(count >= texts.len());
    }
}

#[test]
fn sentences_name_the_keys_that_were_moved() {
    let mut studio = super::melody("\"C\"E G c |]");
    let mut look = studio.look.clone();
    look.keys.change("desk", "2", &["F6".into()]).unwrap();
    studio.update(Message::Dress(Box::new(look)));
    studio.update(Message::TickAll);
    assert!(shown(&studio, 80, 24).contains("F6 adds the bass"));
}
