//! Between the writing screen, the Desk and the disk.

use super::super::on_desk;
use super::*;

#[test]
fn ticks_stay_with_their_bars() {
    use crate::arrange::Layer;
    let mut studio = eight();
    press(&mut studio, "Esc");
    // Bars 1 and 4 as printed; the pickup comes before them.
    tell(
        &mut studio,
        &[Message::First, Message::Bar(1), Message::Tick],
    );
    tell(&mut studio, &[Message::Bar(3), Message::Tick]);
    let ticked = |studio: &Studio| -> Vec<usize> {
        let text = match &studio.screen {
            Screen::Writing(w) => w.progress().clone(),
            _ => panic!("not writing"),
        };
        (0..12)
            .filter(|&b| text.is_done(Layer::Melody, b))
            .collect()
    };
    press(&mut studio, "n");
    assert_eq!(ticked(&studio), [1, 4]);
    press(&mut studio, "Home PgDn x");
    assert_eq!(ticked(&studio), [3]);
    press(&mut studio, "u");
    assert_eq!(ticked(&studio), [1, 4]);
    press(&mut studio, "y End v");
    let last = written(&studio).song().bars.len() - 1;
    assert_eq!(ticked(&studio), [3, last]);
    press(&mut studio, "v");
    assert_eq!(ticked(&studio), [3, last]);
    press(&mut studio, "u u u");
    assert_eq!(ticked(&studio), [1, 4]);
    press(&mut studio, "Home PgDn PgDn m PgDn k v v");
    assert_eq!(ticked(&studio), [1, 8]);
}

#[test]
fn the_song_goes_to_the_desk_and_back() {
    let mut studio = eight();
    let orders = press(&mut studio, "Home PgDn PgDn Esc");
    assert!(orders.iter().any(|o| matches!(o, Order::Load(_))));
    let desk = on_desk(&studio);
    assert_eq!(desk.options.layer, crate::arrange::Layer::Melody);
    assert_eq!(desk.bar(), 2);
    assert!(desk.is_changed());
    tell(&mut studio, &[Message::Pin]);
    let pins = on_desk(&studio).arrangement.song.pins.clone();
    assert_eq!(pins.len(), 1);
    // The pinned note moves: its pin goes, and undo brings both back.
    press(&mut studio, "n Right Up");
    assert!(written(&studio).song().pins.is_empty());
    press(&mut studio, "u");
    assert_eq!(written(&studio).song().pins, pins);
    press(&mut studio, "u");
    assert!(
        written(&studio).song().pins.is_empty(),
        "the pin itself is undone"
    );
    press(&mut studio, "u");
    assert_eq!(said(&studio), "undone");
}

#[test]
fn what_can_not_be_arranged_stays_and_says_why() {
    let mut studio = begun();
    press(&mut studio, "1r Esc");
    assert!(
        said(&studio).contains("only rests are written"),
        "{}",
        said(&studio)
    );
    press(&mut studio, "4g , , g ' ' ' ' ' Esc");
    let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let text = words(&shown(&studio, 80, 24));
    assert!(
        text.contains(&words(&said(&studio).replace(['⟨', '⟩'], ""))),
        "{text}"
    );
    assert!(
        said(&studio).contains("no octave of it fits"),
        "{}",
        said(&studio)
    );
    let mut studio = begun();
    press(&mut studio, "1r Esc");
    let orders = press(&mut studio, "Esc");
    assert!(
        matches!(orders.last(), Some(Order::Disk(Errand::Save { .. }))),
        "{orders:?}"
    );
    let saved = News::Saved {
        address: moorings(),
        seal: Seal::ABSENT,
    };
    studio.update(Message::News(saved));
    assert_eq!(studio.place(), keymap::Place::Shelf);
}

#[test]
fn a_song_without_a_note_opens_for_writing() {
    let shelf = Shelf::new(TimeZone::UTC);
    let mut studio = Studio::choosing(shelf, Theme::named("none").unwrap());
    let mut entry = crate::shelf::Entry::named(moorings().name);
    entry.title = "Moorings".into();
    let listed = News::Listed {
        entries: vec![entry],
        unread: 0,
        lists: Vec::new(),
        folder: "songs".into(),
    };
    studio.update(Message::News(listed));
    press(&mut studio, "Enter");
    let text = "title = \"Moorings\"\nmeter = \"6/8\"\ntune = \"\"\"\n\"\"\"\n";
    let opened = News::Opened {
        address: moorings(),
        text: text.into(),
        seal: Seal::ABSENT,
    };
    studio.update(Message::News(opened));
    assert!(said(&studio).contains("a to g write notes"));
    // The bar to write in is there, and nothing is changed by it.
    assert!(!written(&studio).is_changed());
    assert_eq!(studio.update(Message::Idle), []);
    assert_eq!(
        written(&studio).draft.count().to_string(),
        "bar 1: 0 of 6 eighths"
    );
    // What a crash left is back, also where it could not be arranged.
    let jotted = text.replace("\"\"\"\n\"\"\"", "\"\"\"\nc'''6 |\n\"\"\"");
    let held = News::Held {
        address: moorings(),
        refused: None,
        jotted: Some(jotted),
    };
    studio.update(Message::News(held));
    assert!(said(&studio).contains("is back"));
    assert_eq!(tune(&studio), "c'''6 |");
}

#[test]
fn leaving_the_program_saves_first() {
    let mut studio = begun();
    press(&mut studio, "4g");
    let orders = studio.update(Message::Quit);
    let save =
        |o: &Order| matches!(o, Order::Disk(Errand::Save { text, .. }) if text.contains("G2"));
    assert!(orders.iter().any(save), "{orders:?}");
    let saved = News::Saved {
        address: moorings(),
        seal: Seal::ABSENT,
    };
    let orders = studio.update(Message::News(saved));
    let release = Order::Disk(Errand::Release(moorings()));
    assert_eq!(orders, [release, Order::Stop, Order::Quit]);
}

#[test]
fn a_song_without_a_note_says_what_to_do_on_the_stand() {
    let stand = Stand::song(moorings().name, "Moorings".into());
    let mut studio = Studio::choosing(Shelf::new(TimeZone::UTC), Theme::named("none").unwrap());
    studio.screen = Screen::Stand(Box::new(stand));
    let text = "title = \"Moorings\"\nmeter = \"3/4\"\ntune = \"\"\"\nz6 |\n\"\"\"\n";
    studio.update(Message::News(News::Read(moorings().name, Ok(text.into()))));
    let text = shown(&studio, 80, 24);
    assert!(
        text.contains("no note is written in this song yet"),
        "{text}"
    );
}

#[test]
fn what_a_crash_left_is_written_on_where_it_can_not_be_arranged() {
    let mut studio = super::super::studio();
    let wide = super::super::SONG.replace("\"C\"E G c", "\"C\"E,, G c'''");
    let held = News::Held {
        address: super::super::buoys(),
        refused: None,
        jotted: Some(wide),
    };
    studio.update(Message::News(held));
    assert!(said(&studio).contains("is back"));
    assert!(tune(&studio).starts_with("\"C\"E,,"), "{}", tune(&studio));
    assert!(written(&studio).is_changed());
    press(&mut studio, "Esc");
    assert!(said(&studio).contains("no octave of it fits"));
    press(&mut studio, "u");
    assert_eq!(said(&studio), "nothing to undo");
}

#[test]
fn the_hand_on_the_neck_is_told_the_note_that_it_writes() {
    let mut studio = super::super::melody("\"C\"C, E, G, |]");
    assert_eq!(on_desk(&studio).arrangement.shift, 12);
    press(&mut studio, "n n");
    let text = shown(&studio, 80, 24);
    press(&mut studio, "Enter");
    let (_, item) = written(&studio).draft.before().unwrap();
    let hand = format!("the hand: {} on string", item.note.unwrap().pitch);
    assert!(text.contains(&hand), "{hand}\n{text}");
}

#[test]
fn a_song_that_comes_too_late_does_not_hide_the_one_that_is_written() {
    let mut studio = super::super::shelf::studio();
    let orders = press(&mut studio, "Herring Enter");
    let [Order::Disk(Errand::Open(name))] = &orders[..] else {
        panic!("{orders:?}");
    };
    let address = Address {
        name: name.clone(),
        ..moorings()
    };
    begin(&mut studio);
    let opened = News::Opened {
        address: address.clone(),
        text: super::super::SONG.into(),
        seal: Seal::ABSENT,
    };
    let orders = studio.update(Message::News(opened));
    assert_eq!(orders, [Order::Disk(Errand::Release(address))]);
    let added = News::Added {
        address: moorings(),
        seal: Seal::ABSENT,
    };
    studio.update(Message::News(added));
    assert_eq!(written(&studio).address(), Some(&moorings()));
    assert!(!written(&studio).is_saving());
}

#[test]
fn what_a_crash_left_comes_back_without_being_heard_on_the_stand() {
    let mut studio = super::super::studio();
    studio.update(Message::Stand);
    let held = News::Held {
        address: super::super::buoys(),
        refused: None,
        jotted: Some(super::super::SONG.replace("90", "91")),
    };
    assert_eq!(studio.update(Message::News(held)), []);
    studio.update(Message::Back);
    assert_eq!(on_desk(&studio).arrangement.song.tempo.per_minute, 91);
}
