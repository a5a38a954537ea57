//! The Shelf drawn, and driven by messages.

use super::{shown, tell};
use crate::shelf::{Binned, Entry, Name, Seal, Version};
use crate::studio::*;
use jiff::Timestamp;
use jiff::tz::TimeZone;
use std::collections::HashMap;

fn name(text: &str) -> Name {
    Name::from_title(text)
}

fn entry(title: &str, key: &str, tags: &[&str], done: [usize; 4]) -> Entry {
    Entry {
        title: title.into(),
        key: key.into(),
        tags: tags.iter().map(|t| (*t).into()).collect(),
        bars: 16,
        done,
        ..Entry::named(name(title))
    }
}

fn entries() -> Vec<Entry> {
    let mut torn = Entry::named(name("torn"));
    torn.problem = Some("“torn” is not a song yet: 3:1: a quote is missing".into());
    vec![
        entry(
            "Fog on the Ferry",
            "D dorian",
            &["waltz", "quiet"],
            [16, 9, 0, 0],
        ),
        entry("Herring Boats", "G major", &[], [16, 16, 16, 2]),
        entry(
            "A Candle in the Customs House, by the Window That Faces the Sea",
            "E minor",
            &["encore"],
            [0; 4],
        ),
        torn,
    ]
}

fn lists() -> Vec<List> {
    let list = |title: &str, songs: &[&str]| List {
        name: name(title),
        title: title.into(),
        songs: songs.iter().map(|s| name(s)).collect(),
        problem: None,
    };
    vec![
        list(
            "Choir without Piano",
            &["Herring Boats", "Fog on the Ferry", "gone"],
        ),
        list("Spare Evening", &[]),
    ]
}

fn listed(entries: Vec<Entry>, lists: Vec<List>) -> Message {
    Message::News(News::Listed {
        entries,
        unread: 0,
        lists,
        folder: "songs".into(),
    })
}

pub(super) fn studio() -> Studio {
    let shelf = Shelf::new(TimeZone::UTC);
    let mut studio = Studio::choosing(shelf, Theme::named("none").unwrap());
    assert_eq!(studio.begin(), [Order::Disk(Errand::List)]);
    studio.update(listed(entries(), lists()));
    studio
}

fn shelf(studio: &Studio) -> &Shelf {
    match &studio.screen {
        Screen::Shelf(shelf) => shelf,
        _ => panic!("not at the Shelf"),
    }
}

fn typed(text: &str) -> Vec<Message> {
    text.chars().map(Message::Type).collect()
}

fn errands(orders: Vec<Order>) -> Vec<Errand> {
    let errand = |o| match o {
        Order::Disk(errand) => errand,
        other => panic!("{other:?}"),
    };
    orders.into_iter().map(errand).collect()
}

mod answers;
mod choice;

const SIZES: [(u16, u16); 3] = [(80, 24), (120, 40), (200, 60)];

#[test]
fn the_songs_at_all_sizes() {
    let studio = studio();
    for (width, height) in SIZES {
        insta::assert_snapshot!(format!("songs_{width}"), shown(&studio, width, height));
    }
    insta::assert_snapshot!("small", shown(&studio, 40, 12));
}

#[test]
fn the_setlists_at_all_sizes() {
    let mut studio = studio();
    tell(
        &mut studio,
        &[
            Message::Shelf(Ask::Turn),
            Message::Shelf(Ask::Side(1)),
            Message::Choose(1),
        ],
    );
    for (width, height) in SIZES {
        insta::assert_snapshot!(format!("setlists_{width}"), shown(&studio, width, height));
    }
}

#[test]
fn what_lies_over_the_list() {
    let mut studio = studio();
    let at = Timestamp::from_second(1_767_000_000).unwrap();
    let bin = vec![
        (
            Kind::Song,
            Binned {
                number: 1,
                at,
                name: name("Herring Boats"),
            },
        ),
        (
            Kind::Setlist,
            Binned {
                number: 1,
                at,
                name: name("Spare"),
            },
        ),
    ];
    studio.update(Message::News(News::Binned(bin)));
    insta::assert_snapshot!("bin", shown(&studio, 80, 24));
    studio.update(Message::Back);
    let versions = vec![Version {
        number: 1,
        until: at,
    }];
    studio.update(Message::News(News::Versions(
        name("Herring Boats"),
        versions,
    )));
    insta::assert_snapshot!("versions", shown(&studio, 80, 24));
    studio.update(Message::Back);
    let lines = vec!["4:7: this bar has 5 beats, the meter says 4".to_string(); 3];
    studio.update(Message::News(News::Notices("Herring Boats".into(), lines)));
    insta::assert_snapshot!("notices", shown(&studio, 80, 24));
    studio.update(Message::Back);
    studio.update(Message::Shelf(Ask::Export));
    insta::assert_snapshot!("line", shown(&studio, 80, 24));
}

#[test]
fn without_colour_the_same_is_drawn_and_the_chosen_row_has_a_sign() {
    let (mut plain, mut bright) = (studio(), studio());
    bright.look.theme = Theme::named("harbour").unwrap();
    for message in [Message::Idle, Message::Choose(1), Message::Shelf(Ask::Turn)] {
        plain.update(message.clone());
        bright.update(message);
        let text = shown(&plain, 80, 24);
        assert_eq!(text, shown(&bright, 80, 24));
        assert_eq!(text.matches('▸').count(), 1, "{text}");
    }
}

#[test]
fn every_empty_list_teaches() {
    let mut studio = Studio::choosing(Shelf::new(TimeZone::UTC), Theme::named("none").unwrap());
    assert!(shown(&studio, 80, 24).contains("Looking at your songs"));
    studio.update(listed(Vec::new(), Vec::new()));
    assert!(shown(&studio, 80, 24).contains("Ctrl-G gets them from a file"));
    studio.update(Message::Shelf(Ask::Turn));
    assert!(shown(&studio, 80, 24).contains("n makes one"));
    studio.update(listed(entries(), lists()));
    studio.update(Message::Choose(1));
    assert!(shown(&studio, 80, 24).contains("No songs are in it yet"));
    studio.update(Message::Back);
    tell(&mut studio, &typed("zzz"));
    assert!(shown(&studio, 80, 24).contains("begin so. Backspace takes"));
    for news in [
        News::Binned(Vec::new()),
        News::Versions(name("x"), Vec::new()),
        News::Notices("x".into(), Vec::new()),
    ] {
        studio.update(Message::News(news));
        let Some(pile) = &shelf(&studio).pile else {
            panic!("nothing is shown");
        };
        let words: Vec<&str> = pile.nothing().split(' ').take(4).collect();
        assert!(shown(&studio, 80, 24).contains(&words.join(" ")));
        studio.update(Message::Back);
    }
}

#[test]
fn songs_are_found_as_they_are_typed_and_the_choice_stays_when_more_are_read() {
    let mut studio = studio();
    tell(&mut studio, &typed("quiet d"));
    assert_eq!(shelf(&studio).entry().unwrap().title, "Fog on the Ferry");
    assert_eq!(shelf(&studio).count(), 1);
    assert!(studio.update(Message::Back).is_empty());
    tell(&mut studio, &[Message::Last, Message::Choose(-1)]);
    let chosen = shelf(&studio).entry().unwrap().name.clone();
    let read = entry("Zephyr", "C major", &[], [0; 4]);
    let read = Entry {
        name: chosen.clone(),
        ..read
    };
    studio.update(Message::News(News::Entries(vec![read])));
    assert_eq!(shelf(&studio).entry().unwrap().title, "Zephyr");
}

#[test]
fn one_step_back_too_many_does_not_leave() {
    let mut studio = studio();
    let leaves = [Order::Stop, Order::Quit];
    assert_eq!(studio.update(Message::Back), []);
    assert!(shown(&studio, 80, 24).contains("Esc again leaves Thumbline"));
    assert_eq!(studio.update(Message::Back), leaves);
    // Anything else in between is no second step.
    let mut studio = self::studio();
    tell(&mut studio, &[Message::Back, Message::Choose(1)]);
    assert_eq!(studio.update(Message::Back), []);
    assert_eq!(studio.update(Message::Quit), leaves);
}

#[test]
fn a_song_is_opened_once_and_comes_to_the_desk() {
    let mut studio = studio();
    tell(&mut studio, &typed("herring"));
    let open = studio.update(Message::Open);
    assert_eq!(errands(open), [Errand::Open(name("Herring Boats"))]);
    assert!(studio.update(Message::Open).is_empty());
    let address = Address {
        folder: "songs".into(),
        name: name("Herring Boats"),
    };
    let opened = News::Opened {
        address: address.clone(),
        text: super::SONG.into(),
        seal: Seal::ABSENT,
    };
    let orders = studio.update(Message::News(opened));
    assert!(matches!(orders[0], Order::Load(_)));
    // What a crash left is brought back.
    let jotted = super::SONG.replace("90", "91");
    let held = News::Held {
        address: address.clone(),
        refused: None,
        jotted: Some(jotted),
    };
    studio.update(Message::News(held));
    assert_eq!(
        super::on_desk(&studio).arrangement.song.tempo.per_minute,
        91
    );
    assert!(super::on_desk(&studio).is_changed());
    // Another program changed it: leaving waits for a decision, and nothing is lost either way.
    let save = errands(studio.update(Message::Back));
    assert!(matches!(&save[..], [Errand::Save { .. }]));
    let unsaved = News::Unsaved {
        address: Some(address.clone()),
        why: "changed".into(),
        changed: true,
    };
    assert!(studio.update(Message::News(unsaved)).is_empty());
    let save = errands(studio.update(Message::Save));
    assert!(
        matches!(&save[..], [Errand::Save { seal: None, .. }]),
        "{save:?}"
    );
    let saved = News::Saved {
        address: address.clone(),
        seal: Seal::ABSENT,
    };
    studio.update(Message::News(saved));
    let orders = studio.update(Message::Back);
    assert_eq!(orders[0], Order::Disk(Errand::Release(address)));
    assert_eq!(studio.place(), keymap::Place::Shelf);
    assert_eq!(shelf(&studio).typed, "herring");
}

#[test]
fn a_song_held_elsewhere_becomes_another_one_when_it_is_changed() {
    let mut studio = super::studio();
    let held = News::Held {
        address: super::buoys(),
        refused: Some("open".into()),
        jotted: None,
    };
    studio.update(Message::News(held));
    let orders = studio.update(Message::Pin);
    let added = orders
        .iter()
        .any(|o| matches!(o, Order::Disk(Errand::Add { title, .. }) if title == "Two Buoys"));
    assert!(added, "{orders:?}");
    // Leaving waits for the answer.
    assert!(studio.update(Message::Quit).is_empty());
    let address = Address {
        name: name("two-buoys-2"),
        ..super::buoys()
    };
    let orders = studio.update(Message::News(News::Added {
        address,
        seal: Seal::ABSENT,
    }));
    assert_eq!(orders.last(), Some(&Order::Quit));
}

#[test]
fn setlists_are_made_ordered_and_shortened() {
    let mut studio = studio();
    tell(&mut studio, &typed("herring"));
    studio.update(Message::Shelf(Ask::Enlist));
    tell(&mut studio, &[Message::Choose(1)]);
    let put = errands(studio.update(Message::Open));
    let spare = |after: &[&str]| Errand::SetSongs {
        name: name("Spare Evening"),
        before: Vec::new(),
        after: after.iter().map(|s| name(s)).collect(),
    };
    assert_eq!(put, [spare(&["Herring Boats"])]);
    studio.update(Message::Shelf(Ask::Enlist));
    tell(&mut studio, &[vec![Message::Clear], typed("Late")].concat());
    let made = errands(studio.update(Message::Open));
    assert_eq!(
        made,
        [Errand::NewSetlist(
            "Late".into(),
            vec![name("Herring Boats")]
        )]
    );
    tell(
        &mut studio,
        &[Message::Shelf(Ask::Turn), Message::First, Message::Open],
    );
    let songs = |s: &Studio| -> Vec<String> {
        shelf(s).lists[0]
            .songs
            .iter()
            .map(ToString::to_string)
            .collect()
    };
    tell(
        &mut studio,
        &[
            Message::Shelf(Ask::Shift(1)),
            Message::Shelf(Ask::Shift(1)),
            Message::Shelf(Ask::Shift(1)),
        ],
    );
    assert_eq!(
        songs(&studio),
        ["fog-on-the-ferry", "gone", "herring-boats"]
    );
    tell(&mut studio, &[Message::Shelf(Ask::ThrowAway)]);
    assert_eq!(songs(&studio), ["fog-on-the-ferry", "gone"]);
    let stand = errands(
        tell(&mut studio, &[Message::Stand])
            .into_iter()
            .filter(|o| matches!(o, Order::Disk(_)))
            .collect(),
    );
    assert_eq!(stand, [Errand::Read(name("gone"))]);
}

#[test]
fn lines_are_typed_and_answered() {
    let mut studio = studio();
    tell(&mut studio, &typed("fog"));
    studio.update(Message::Shelf(Ask::Tags));
    tell(&mut studio, &typed(", late night,, "));
    let tags = ["waltz", "quiet", "late night"].map(String::from).to_vec();
    let asked = errands(studio.update(Message::Open));
    assert_eq!(asked, [Errand::Tag(name("Fog on the Ferry"), tags)]);
    studio.update(Message::Shelf(Ask::Export));
    tell(&mut studio, &[Message::Choose(1), Message::Choose(1)]);
    let export = |replace| Errand::Export {
        what: Paper::Song(name("Fog on the Ferry")),
        path: "fog-on-the-ferry.svg".into(),
        replace,
    };
    assert_eq!(errands(studio.update(Message::Open)), [export(false)]);
    studio.update(Message::News(News::Exists("fog-on-the-ferry.svg".into())));
    assert!(shown(&studio, 80, 24).contains("Enter again replaces it"));
    assert_eq!(errands(studio.update(Message::Open)), [export(true)]);
    studio.update(Message::News(News::Done("written".into())));
    assert_eq!(studio.place(), keymap::Place::Shelf);
}

#[test]
fn a_book_shows_what_it_could_not_read() {
    let book =
        "X:1\nT:Gull\nM:3/4\nL:1/4\nK:C\n\"C\"C E |\n\nX:2\nT:Odd\nM:3/4\nL:1/4\nK:C\nC99999 |\n";
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("gulls.abc");
    std::fs::write(&path, book).unwrap();
    let mut opened = crate::exchange::input::open(&path).unwrap();
    opened.name = "gulls.abc".into();
    assert!(opened.songs[1].is_err());
    let mut studio = Studio::choosing(
        Shelf::book(opened, TimeZone::UTC),
        Theme::named("none").unwrap(),
    );
    insta::assert_snapshot!("book", shown(&studio, 80, 24));
    assert!(studio.update(Message::Shelf(Ask::ThrowAway)).is_empty());
    tell(&mut studio, &[Message::Choose(1)]);
    assert!(studio.update(Message::Open).is_empty());
    tell(&mut studio, &[Message::Choose(-1)]);
    assert!(matches!(studio.update(Message::Open)[0], Order::Load(_)));
    // What is worth knowing is told at the Desk as well.
    assert!(shown(&studio, 80, 24).contains("Ctrl-W"));
    studio.update(Message::Shelf(Ask::Notices));
    assert!(shown(&studio, 80, 24).contains("1/1  6:4: bar 1 has 2 beats"));
    // With its first change the tune becomes a song of the shelf.
    let orders = studio.update(Message::Pin);
    assert!(
        orders
            .iter()
            .any(|o| matches!(o, Order::Disk(Errand::Add { .. })))
    );
}

#[test]
fn the_help_names_every_key() {
    let by_place: HashMap<_, _> = [
        (keymap::Place::Shelf, vec![]),
        (keymap::Place::Setlists, vec![Message::Shelf(Ask::Turn)]),
        (keymap::Place::Line, vec![Message::Shelf(Ask::Import)]),
        (
            keymap::Place::Pile,
            vec![Message::News(News::Binned(Vec::new()))],
        ),
    ]
    .map(|(place, messages)| (format!("{place:?}"), (place, messages)))
    .into();
    for (place, messages) in by_place.into_values() {
        let mut studio = studio();
        tell(&mut studio, &messages);
        assert_eq!(studio.place(), place);
        studio.update(Message::Help);
        let text = shown(&studio, 80, 24);
        for row in keymap::Keymap::default().rows(place) {
            assert!(
                text.contains(row.usual.does),
                "{place:?}: {} is not shown",
                row.usual.does
            );
        }
    }
}
