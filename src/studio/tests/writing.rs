//! The writing screen driven by keys and drawn.

use super::{shown, tell};
use crate::shelf::{Name, Seal};
use crate::song::SongFile;
use crate::studio::*;
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use jiff::tz::TimeZone;

mod desk;

/// What is pressed: words are keys by name, all else is typed sign by sign.
pub(super) fn press(studio: &mut Studio, keys: &str) -> Vec<Order> {
    let mut orders = Vec::new();
    for word in keys.split(' ') {
        let code = match word {
            "Enter" => KeyCode::Enter,
            "Esc" => KeyCode::Esc,
            "Tab" => KeyCode::Tab,
            "Back" => KeyCode::Backspace,
            "Del" => KeyCode::Delete,
            "Up" => KeyCode::Up,
            "Down" => KeyCode::Down,
            "Left" => KeyCode::Left,
            "Right" => KeyCode::Right,
            "PgUp" => KeyCode::PageUp,
            "PgDn" => KeyCode::PageDown,
            "Home" => KeyCode::Home,
            "End" => KeyCode::End,
            "Space" => KeyCode::Char(' '),
            text => {
                for c in text.chars() {
                    orders.extend(key(studio, KeyCode::Char(c), KeyModifiers::NONE));
                }
                continue;
            }
        };
        orders.extend(key(studio, code, KeyModifiers::NONE));
    }
    orders
}

fn key(studio: &mut Studio, code: KeyCode, modifiers: KeyModifiers) -> Vec<Order> {
    let message = studio.press(KeyEvent::new(code, modifiers));
    message.map_or_else(Vec::new, |m| studio.update(m))
}

fn written(studio: &Studio) -> &Writing {
    match &studio.screen {
        Screen::Writing(writing) => writing,
        _ => panic!("not at the writing screen"),
    }
}

/// The tune as it would be saved.
fn tune(studio: &Studio) -> String {
    let file = SongFile::new(written(studio).song()).unwrap();
    let text = file.to_string();
    let (_, body) = text.split_once("tune = \"\"\"\n").unwrap();
    body.split_once("\n\"\"\"").unwrap().0.to_string()
}

fn said(studio: &Studio) -> String {
    written(studio)
        .said
        .clone()
        .unwrap_or((Weight::News, String::new()))
        .1
}

fn moorings() -> Address {
    Address {
        folder: "songs".into(),
        name: Name::new("moorings").unwrap(),
    }
}

/// At the Shelf, begins a new song in G, 3/4.
fn begin(studio: &mut Studio) -> Vec<Order> {
    key(studio, KeyCode::Char('n'), KeyModifiers::CONTROL);
    press(
        studio,
        "Moorings Enter Del G Enter Del 3/4 Enter Del 92 Enter",
    )
}

/// A studio in which a new song in G, 3/4, was begun and lies on the shelf.
fn begun() -> Studio {
    let shelf = Shelf::new(TimeZone::UTC);
    let mut studio = Studio::choosing(shelf, Theme::named("none").unwrap());
    let empty = News::Listed {
        entries: Vec::new(),
        unread: 0,
        lists: Vec::new(),
        folder: "songs".into(),
    };
    studio.update(Message::News(empty));
    assert!(shown(&studio, 80, 24).contains("Ctrl-N"));
    let orders = begin(&mut studio);
    let add = |o: &Order| {
        matches!(o, Order::Disk(Errand::Add { title, text })
            if title == "Moorings" && text.contains("meter = \"3/4\"\n"))
    };
    assert!(orders.iter().any(add), "{orders:?}");
    let added = News::Added {
        address: moorings(),
        seal: Seal::ABSENT,
    };
    studio.update(Message::News(added));
    studio
}

/// A song of eight bars with its chords.
const EIGHT: &str = "4d|bag2.b4ceg2.a4bdb8agfa4c2.d4c2.b4adf2g";

pub(super) fn eight() -> Studio {
    let mut studio = begun();
    press(&mut studio, EIGHT);
    press(
        &mut studio,
        "Home PgDn Right h G Enter PgDn PgDn Right h Am7 Enter PgDn Right h D7/F# Enter",
    );
    studio
}

#[test]
fn a_new_song_is_asked_for_in_small_steps_and_mistakes_are_told() {
    let mut studio = begun();
    let song = written(&studio).song().clone();
    assert_eq!(
        (song.title.as_str(), song.key.to_string()),
        ("Moorings", "G major".into())
    );
    assert_eq!(song.tempo.to_string(), "1/4=92");
    assert_eq!(song.bars[0].meter.to_string(), "3/4");
    insta::assert_snapshot!("blank", shown(&studio, 80, 24));
    // Left without a note it goes back to the songs, saved as it is.
    let orders = press(&mut studio, "Esc");
    assert!(orders.contains(&Order::Disk(Errand::List)), "{orders:?}");
    key(&mut studio, KeyCode::Char('n'), KeyModifiers::CONTROL);
    press(&mut studio, "Enter");
    assert!(shown(&studio, 80, 24).contains("needs a title"));
    press(&mut studio, "X Enter Del H Enter");
    assert!(shown(&studio, 80, 24).contains("is not a key"));
    press(&mut studio, "Del Em Enter Del 3 Enter");
    assert!(shown(&studio, 80, 24).contains("is not a meter"));
    press(&mut studio, "Up Enter Del fast Enter");
    assert!(shown(&studio, 80, 24).contains("is not a tempo"));
    press(&mut studio, "Esc");
    assert_eq!(studio.place(), keymap::Place::Shelf);
}

#[test]
fn a_tune_is_written_by_letters_and_every_key_is_jotted_down_and_heard() {
    let mut studio = begun();
    let orders = press(&mut studio, "4g");
    let jotted =
        |o: &Order| matches!(o, Order::Disk(Errand::Jot { text, .. }) if text.contains("G2 |"));
    assert!(orders.iter().any(jotted), "{orders:?}");
    let played = |o: &Order| matches!(o, Order::Load(s) if s.events[0].midi == 67);
    assert!(orders.iter().any(played), "{orders:?}");
    assert!(
        matches!(orders[1], Order::Play { repeat: false, .. }),
        "{orders:?}"
    );
    press(&mut studio, "8ab4.c8r2d");
    assert_eq!(tune(&studio), "G2 AB c2- | cz d4 |");
    assert!(shown(&studio, 80, 24).contains("bar 2: 3 of 3 beats"));
    press(&mut studio, "3 8efg 3 ' , Back Back Back Back 4.");
    assert_eq!(tune(&studio), "G2 AB c2- | cz |");
    press(&mut studio, "Enter # - - Down");
    assert_eq!(tune(&studio), "G2 AB c2- | c z3 |");
    assert!(said(&studio).contains("none stands before the cursor"));
}

#[test]
fn a_bar_line_after_a_pickup_can_be_undone() {
    let mut studio = begun();
    press(&mut studio, "4d|");
    assert!(shown(&studio, 80, 24).contains("bar 2: 0 of 3 beats"));
    press(&mut studio, "u");
    assert!(shown(&studio, 80, 24).contains("bar 1: 1 of 3 beats"));
    press(&mut studio, "yg");
    assert_eq!(tune(&studio), "D2 | G2 |");
    assert!(shown(&studio, 80, 24).contains("pickup"));
}

#[test]
fn notes_are_changed_where_they_stand() {
    let mut studio = begun();
    press(&mut studio, "4gab Left Left Up");
    assert_eq!(tune(&studio), "A2 A2 B2 |");
    press(&mut studio, "# Right 8 Enter");
    assert_eq!(tune(&studio), "^A2 =A B2 |");
    assert!(shown(&studio, 80, 24).contains("bar 1: 2½ of 3 beats"));
    press(&mut studio, "' , Del t Home Del");
    assert_eq!(tune(&studio), "A-A |");
    press(&mut studio, "Right t");
    assert_eq!(tune(&studio), "AA |");
}

#[test]
fn everything_is_undone_and_done_again() {
    let mut studio = eight();
    let all = tune(&studio);
    let mut seen = vec![all.clone()];
    for _ in 0..200 {
        press(&mut studio, "u");
        seen.push(tune(&studio));
    }
    assert!(written(&studio).draft.is_blank());
    assert_eq!(said(&studio), "nothing to undo");
    seen.dedup();
    assert!(seen.len() > 25, "{}", seen.len());
    for _ in 0..200 {
        press(&mut studio, "y");
    }
    assert_eq!(tune(&studio), all);
    assert_eq!(said(&studio), "nothing to do again");
}

#[test]
fn the_screen_at_all_sizes() {
    let mut studio = eight();
    press(
        &mut studio,
        "PgUp PgUp ( PgDn PgDn ) [ Home PgDn Right Right",
    );
    for (width, height) in [(80, 24), (120, 40), (200, 60)] {
        insta::assert_snapshot!(format!("sheet_{width}"), shown(&studio, width, height));
    }
    for (width, height) in [(1, 1), (40, 12), (60, 18), (61, 19), (300, 90)] {
        assert!(!shown(&studio, width, height).trim().is_empty());
    }
}

#[test]
fn chords_go_from_beat_to_beat_and_a_mistake_is_told_in_full() {
    let mut studio = begun();
    press(&mut studio, "2.gab Home Right");
    let orders = press(&mut studio, "h G Tab");
    assert!(
        orders
            .iter()
            .any(|o| matches!(o, Order::Load(s) if s.events.len() > 2))
    );
    press(&mut studio, "Tab D7/F# Enter");
    assert_eq!(tune(&studio), "\"G\"G4- \"D7/F#\"G2 | A6 | B6 |");
    press(&mut studio, "PgDn Right h Gmaj9#11add13susq Enter");
    let text = shown(&studio, 80, 24);
    let error = written(&studio)
        .chord
        .as_ref()
        .unwrap()
        .said
        .clone()
        .unwrap();
    let words = |t: &str| {
        t.split_whitespace()
            .filter(|w| *w != "│")
            .map(String::from)
            .collect::<Vec<_>>()
            .join(" ")
    };
    assert!(words(&text).contains(&words(&error)), "{error}\n{text}");
    insta::assert_snapshot!("chord", text);
    press(&mut studio, "Esc PgUp PgUp Right h Del Enter");
    assert_eq!(tune(&studio), "G4- \"D7/F#\"G2 | A6 | B6 |");
    press(&mut studio, "End h C Tab Tab");
    assert_eq!(studio.place(), keymap::Place::Chord);
    press(&mut studio, "Tab Tab");
    assert_eq!(said(&studio), "that was the last beat");
}

#[test]
fn notes_are_written_on_the_neck() {
    let mut studio = begun();
    press(&mut studio, "4g n");
    assert_eq!(written(&studio).neck, Some((1, 3)));
    insta::assert_snapshot!("neck", shown(&studio, 80, 24));
    press(
        &mut studio,
        "Down Enter Left Left Left Enter r Right Enter 8 Enter Back",
    );
    assert_eq!(tune(&studio), "G2 D2 B,2 | z2 C2 |");
    press(&mut studio, "Down Down Down Down Down Down Right Enter");
    assert_eq!(written(&studio).neck, Some((6, 2)));
    assert_eq!(tune(&studio), "G2 D2 B,2 | z2 C2 F,, |");
    press(&mut studio, "Esc");
    assert_eq!(studio.place(), keymap::Place::Writing);
}

#[test]
fn what_holds_for_the_song_is_changed_from_a_list() {
    let mut studio = eight();
    press(&mut studio, "Home o");
    insta::assert_snapshot!("facts", shown(&studio, 80, 24));
    let down = |n: usize| "Down ".repeat(n).trim_end().to_string();
    press(
        &mut studio,
        &format!("Enter Del Tide Enter {} Enter 4/4 Enter", down(2)),
    );
    assert!(said(&studio).contains("drawn anew"), "{}", said(&studio));
    press(
        &mut studio,
        &format!("{} Enter A Enter {} Enter Del 3 Enter", down(2), down(3)),
    );
    assert_eq!(written(&studio).song().guitar.capo, Some(3));
    let song = written(&studio).song().clone();
    assert_eq!(
        (song.title.as_str(), song.key.to_string().as_str()),
        ("Tide", "A major")
    );
    assert_eq!(song.bars[1].meter.to_string(), "4/4");
    press(&mut studio, "Esc u u u u");
    assert_eq!(written(&studio).song().title, "Moorings");
    press(&mut studio, &format!("o {} Enter Del 30 Enter", down(7)));
    assert!(shown(&studio, 80, 24).contains("leaves no fret"));
    press(&mut studio, "Del 2 Enter Esc");
    assert_eq!(written(&studio).song().guitar.capo, Some(2));
    assert_eq!(written(&studio).instrument.capo, 2);
}

#[test]
fn half_steps_beyond_all_numbers_are_told() {
    let mut studio = eight();
    let before = tune(&studio);
    press(&mut studio, &format!("o {}Enter", "Down ".repeat(5)));
    press(&mut studio, "-2147483648 Enter");
    assert!(shown(&studio, 80, 24).contains("is no number of half steps"));
    assert_eq!(tune(&studio), before);
}

#[test]
fn the_tune_is_played_from_the_bar_of_the_caret() {
    let q = crate::theory::QUARTER;
    let mut studio = eight();
    let orders = press(&mut studio, "Home PgDn PgDn Space");
    let from = orders.iter().find_map(|o| match o {
        Order::Play { from, .. } => Some(*from),
        _ => None,
    });
    assert_eq!(from, Some(4 * q));
    studio.update(Message::Heard(Some(5 * q)));
    assert_eq!(written(&studio).heard(), Some(2));
    assert_eq!(press(&mut studio, "Space"), [Order::Stop]);
}

#[test]
fn the_help_names_every_key_of_the_writing_screen() {
    for keys in ["", "n", "h"] {
        let mut studio = eight();
        press(&mut studio, keys);
        let place = studio.place();
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
