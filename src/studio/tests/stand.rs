//! The Stand drawn, and driven by messages.

use super::{SONG, shown, tell};
use crate::shelf::Name;
use crate::studio::*;
use crate::theory::QUARTER;
use jiff::tz::TimeZone;

fn name(text: &str) -> Name {
    Name::from_title(text)
}

/// A setlist of two songs on the Stand, the first one read.
pub(super) fn studio() -> Studio {
    let mut studio = Studio::choosing(Shelf::new(TimeZone::UTC), Theme::named("none").unwrap());
    let list = List {
        name: name("evening"),
        title: "Evening".into(),
        songs: vec![name("buoys"), name("gone")],
        problem: None,
    };
    let listed = News::Listed {
        entries: Vec::new(),
        unread: 0,
        lists: vec![list],
        folder: "songs".into(),
    };
    tell(
        &mut studio,
        &[
            Message::News(listed),
            Message::Shelf(Ask::Turn),
            Message::Stand,
            Message::News(News::Read(name("buoys"), Ok(long()))),
        ],
    );
    studio
}

/// The song, four times as long.
fn long() -> String {
    let tune = "\"C\"E G c | \"F\"A F A | \"G7\"B G D | \"C\"E3 |";
    SONG.replace("\"C\"E3 |]", &format!("\"C\"E3 | {tune} {tune} {tune}]"))
}

fn stand(studio: &Studio) -> &Stand {
    match &studio.screen {
        Screen::Stand(stand) => stand,
        _ => panic!("not at the Stand"),
    }
}

#[test]
fn the_stand_at_all_sizes() {
    for (width, height) in [(80, 24), (120, 40), (200, 60)] {
        let mut studio = studio();
        studio.update(Message::Size(width, height));
        studio.update(Message::Page(1));
        let text = shown(&studio, width, height);
        let mut bright = studio;
        bright.look.theme = Theme::named("harbour").unwrap();
        assert_eq!(shown(&bright, width, height), text);
        insta::assert_snapshot!(format!("stand_{width}"), text);
    }
    insta::assert_snapshot!("stand_small", shown(&studio(), 40, 12));
}

#[test]
fn page_keys_walk_through_the_evening() {
    let mut studio = studio();
    let mut bars = Vec::new();
    let orders = loop {
        bars.push(stand(&studio).bar);
        let orders = studio.update(Message::Page(1));
        if stand(&studio).at == 1 || bars.len() > 20 {
            break orders;
        }
    };
    assert!(bars.len() > 3 && bars.is_sorted(), "{bars:?}");
    assert!(orders.contains(&Order::Disk(Errand::Read(name("gone")))));
    let missing = News::Read(name("gone"), Err("it was thrown away".into()));
    studio.update(Message::News(missing));
    assert!(shown(&studio, 80, 24).contains("it was thrown away"));
    tell(&mut studio, &[Message::Page(1)]);
    assert!(shown(&studio, 80, 24).contains("this is the last song"));
    let orders = studio.update(Message::Page(-1));
    assert!(orders.contains(&Order::Disk(Errand::Read(name("buoys")))));
    // Back to the list that it came from.
    assert_eq!(studio.update(Message::Back)[0], Order::Stop);
    assert_eq!(studio.place(), keymap::Place::Setlists);
}

#[test]
fn the_count_in_is_seen_and_the_page_follows_the_music() {
    let mut studio = studio();
    let orders = studio.update(Message::Play);
    let [
        Order::Play {
            from: 0,
            count_in: 1,
            repeat: false,
            ..
        },
    ] = orders[..]
    else {
        panic!("{orders:?}");
    };
    studio.update(Message::Heard(Some(-2 * QUARTER + 1)));
    assert_eq!(stand(&studio).counted(), Some((2, true)));
    studio.update(Message::Heard(Some(-QUARTER / 4)));
    assert_eq!(stand(&studio).counted(), Some((3, false)));
    assert_eq!(stand(&studio).heard(), None);
    studio.update(Message::Heard(Some(10 * QUARTER)));
    assert_eq!(stand(&studio).counted(), None);
    assert_eq!(stand(&studio).bar, 3);
    assert!(shown(&studio, 80, 24).contains('▲'));
    // While the music leads, a page key does nothing.
    studio.update(Message::Page(1));
    assert_eq!(stand(&studio).bar, 3);
    assert_eq!(studio.update(Message::Play), [Order::Stop]);
}

#[test]
fn the_song_on_the_desk_comes_as_it_is_there_and_goes_back() {
    let mut studio = super::studio();
    tell(&mut studio, &[Message::Bar(1), Message::Pin]);
    let before = super::on_desk(&studio).arrangement.clone();
    let orders = studio.update(Message::Stand);
    assert!(orders.iter().any(|o| matches!(o, Order::Load(_))));
    assert_eq!(stand(&studio).bar, 1);
    assert_eq!(stand(&studio).sheet().unwrap().arrangement, before);
    tell(&mut studio, &[Message::Pin, Message::Undo, Message::Save]);
    studio.update(Message::Back);
    assert_eq!(super::on_desk(&studio).arrangement, before);
    // Leaving the program from the Stand saves what is on the Desk.
    studio.update(Message::Stand);
    let orders = studio.update(Message::Quit);
    assert!(matches!(
        orders.last(),
        Some(Order::Disk(Errand::Save { .. }))
    ));
}

#[test]
fn ideas_that_were_taken_are_rehearsed() {
    let mut studio = studio();
    let coloured = format!("{}[[idea]]\nbar = 1\nfigure = \"root and fifth\"\n", long());
    let read = News::Read(name("gone"), Ok(coloured));
    tell(&mut studio, &[Message::Song(1), Message::News(read)]);
    let layer = stand(&studio).sheet().unwrap().arrangement.layer;
    assert_eq!(layer, crate::arrange::Layer::Colour);
}

#[test]
fn a_harmonic_keeps_its_signs() {
    let mut studio = studio();
    let harmonic = "[[idea]]\nbar = 1\nfigure = \"harmonic\"\nstring = 6\nfret = 12\n";
    let read = News::Read(name("gone"), Ok(format!("{}{harmonic}", long())));
    tell(&mut studio, &[Message::Song(1), Message::News(read)]);
    let text = shown(&studio, 80, 24);
    assert!(text.contains("─<12>"), "{text}");
}

#[test]
fn pages_are_turned_by_the_rows_that_the_tour_leaves() {
    let mut studio = studio();
    let messages = [Message::Size(80, 24), Message::Tour, Message::First];
    tell(&mut studio, &messages);
    let stand = stand(&studio);
    let room = (80, 24 - panes::TOUR);
    let drawn = screens::Layout::new(&stand.sheet().unwrap().strip, room);
    assert_eq!(stand.layout(), Some(drawn));
}

#[test]
fn whoever_could_not_leave_hears_what_lies_on_the_desk() {
    let mut studio = super::studio();
    tell(&mut studio, &[Message::Pin, Message::Stand, Message::Play]);
    studio.update(Message::Tempo(-40));
    let orders = studio.update(Message::Quit);
    let unsaved = News::Unsaved {
        address: Some(super::buoys()),
        why: "the disk is full".into(),
        changed: false,
    };
    studio.update(Message::News(unsaved));
    let desk = super::on_desk(&studio);
    let heard = [Order::Stop, desk.load(), Order::Speed(100)];
    assert_eq!(orders[..3], heard);
}

#[test]
fn the_help_names_every_key() {
    let mut studio = studio();
    studio.update(Message::Help);
    let text = shown(&studio, 80, 24);
    for row in keymap::Keymap::default().rows(keymap::Place::Stand) {
        assert!(
            text.contains(row.usual.does),
            "{} is not shown",
            row.usual.does
        );
    }
}

#[test]
fn what_the_tour_says_takes_rows_from_the_page() {
    let mut studio = studio();
    studio.update(Message::Size(80, 25));
    let whole = stand(&studio).layout();
    studio.update(Message::Tour);
    assert_ne!(stand(&studio).layout(), whole);
    studio.update(Message::Size(80, 28));
    assert_eq!(stand(&studio).layout(), whole);
    studio.update(Message::Tour);
    studio.update(Message::Size(80, 25));
    assert_eq!(stand(&studio).layout(), whole);
}

#[test]
fn a_bar_wider_than_the_page_follows_the_music() {
    let many = "C/ D/ E/ F/ G/ A/ B/ c/ ".repeat(16);
    let mut studio = super::melody(&format!("\"C\"{many}|]"));
    tell(&mut studio, &[Message::Stand, Message::Play]);
    studio.update(Message::Heard(Some(60 * QUARTER)));
    let text = shown(&studio, 80, 24);
    assert!(text.contains('▲'), "{text}");
}
