//! What is kept of the song on the Desk when the disk refuses it.

use super::{SONG, buoys, on_desk, studio, tell};
use crate::shelf::Seal;
use crate::song::SongFile;
use crate::studio::*;
use jiff::tz::TimeZone;

fn unsaved(address: Option<Address>, changed: bool) -> Message {
    Message::News(News::Unsaved {
        address,
        why: "no room on the disk".into(),
        changed,
    })
}

fn held(refused: Option<&str>, jotted: Option<String>) -> Message {
    Message::News(News::Held {
        address: buoys(),
        refused: refused.map(String::from),
        jotted,
    })
}

fn said(studio: &Studio) -> String {
    on_desk(studio).said.clone().unwrap().1
}

/// A song that lies in no file yet.
fn nowhere() -> Studio {
    let (_, song, _) = SongFile::parse(SONG).unwrap();
    let desk = Desk::open(song, Home::nowhere(Vec::new())).unwrap();
    Studio::at_desk(desk, Theme::named("none").unwrap(), TimeZone::UTC)
}

#[test]
fn a_file_that_another_program_changed_is_not_held_against_each_further_change() {
    let mut studio = studio();
    tell(&mut studio, &[Message::Pin, unsaved(Some(buoys()), true)]);
    let orders = studio.update(Message::Pin);
    let jot = |o: &Order| matches!(o, Order::Disk(Errand::Jot { seal: None, .. }));
    assert!(orders.iter().any(jot), "{orders:?}");
}

#[test]
fn a_song_that_another_window_holds_is_kept_as_one_of_its_own() {
    let mut studio = studio();
    tell(&mut studio, &[Message::Pin, Message::Save]);
    let orders = studio.update(held(Some("open in another window"), None));
    assert!(matches!(orders[..], [Order::Disk(Errand::Add { .. })]));
    let seal = Seal::ABSENT;
    let (theirs, address) = (
        buoys(),
        Address {
            folder: "mine".into(),
            ..buoys()
        },
    );
    tell(
        &mut studio,
        &[
            Message::News(News::Saved {
                address: theirs,
                seal: seal.clone(),
            }),
            Message::News(News::Added { address, seal }),
        ],
    );
    assert!(!on_desk(&studio).is_changed() && !on_desk(&studio).is_saving());
    assert!(studio.update(Message::Quit).contains(&Order::Quit));
}

#[test]
fn what_a_crash_left_is_arranged_for_the_guitar_it_asks_for() {
    let mut studio = studio();
    let text = SONG.to_string() + "[guitar]\ncapo = 3\nhand = \"small\"\n";
    studio.update(held(None, Some(text)));
    let arrangement = &on_desk(&studio).arrangement;
    assert_eq!(arrangement.song.guitar.capo, Some(3));
    let (_, song, _) = SongFile::parse(SONG).unwrap();
    let before = Desk::open(song, Home::nowhere(Vec::new())).unwrap();
    assert_eq!(arrangement.instrument.capo, 3);
    assert_ne!(arrangement.hand, before.arrangement.hand);
}

#[test]
fn nothing_is_put_on_the_shelf_where_a_song_is_only_looked_at() {
    let mut studio = studio();
    let orders = studio.update(held(Some("open in another window"), None));
    assert_eq!(orders, []);
}

#[test]
fn a_song_without_a_file_is_thrown_away_only_after_a_save_on_leaving_failed() {
    let mut studio = nowhere();
    tell(&mut studio, &[Message::Pin, unsaved(None, false)]);
    let orders = studio.update(Message::Quit);
    assert!(matches!(orders[..], [Order::Disk(Errand::Add { .. })]));
    studio.update(unsaved(None, false));
    assert!(
        said(&studio).contains("throws it away"),
        "{}",
        said(&studio)
    );
    assert!(studio.update(Message::Quit).contains(&Order::Quit));
}

#[test]
fn a_change_after_the_warning_is_saved_before_anything_is_thrown_away() {
    let mut studio = nowhere();
    tell(
        &mut studio,
        &[Message::Pin, unsaved(None, false), Message::Quit],
    );
    tell(
        &mut studio,
        &[unsaved(None, false), Message::Onset(1), Message::Pin],
    );
    studio.update(unsaved(None, false));
    assert!(
        !said(&studio).contains("throws it away"),
        "{}",
        said(&studio)
    );
    assert!(!studio.update(Message::Quit).contains(&Order::Quit));
}

#[test]
fn a_save_that_worked_is_one_though_the_journal_could_not_be_written() {
    let mut studio = studio();
    let unjotted = News::Unjotted {
        address: buoys(),
        why: "no room on the disk".into(),
        changed: false,
    };
    let saved = News::Saved {
        address: buoys(),
        seal: Seal::ABSENT,
    };
    tell(
        &mut studio,
        &[
            Message::Pin,
            Message::Save,
            Message::News(unjotted),
            Message::News(saved),
        ],
    );
    assert!(!on_desk(&studio).is_changed());
}
