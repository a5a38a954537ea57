//! The studio driven by messages and drawn on a terminal in memory.

use super::keymap::{BINDINGS, Place};
use super::*;
use crate::arrange::Layer;
use crate::shelf::{Name, Seal};
use crate::song::{SongFile, Target, Wish};
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use jiff::tz::TimeZone;
use ratatui::Terminal;
use ratatui::backend::TestBackend;

mod desk;
mod home;
mod ideas;
mod keys;
mod letters;
mod mouse;
mod paint;
mod screens;
mod shelf;
mod sizes;
mod stand;
mod tour;
mod writing;

const SONG: &str = "# Kept.
format = 1
title = \"Two Buoys\"
key = \"C\"
meter = \"3/4\"
unit = \"1/4\"
tempo = \"1/4=90\"
tune = \"\"\"
\"C\"E G c | \"F\"A F A | \"G7\"B G D | \"C\"E3 |]
\"\"\"
";

fn buoys() -> Address {
    Address {
        folder: "songs".into(),
        name: Name::new("buoys").unwrap(),
    }
}

fn desk() -> Desk {
    let (file, song, _) = SongFile::parse(SONG).unwrap();
    Desk::open(song, Home::at(buoys(), file, Seal::ABSENT, Vec::new())).unwrap()
}

fn studio() -> Studio {
    Studio::at_desk(desk(), Theme::named("none").unwrap(), TimeZone::UTC)
}

/// A song of another tune, in 3/4, in layer 1 on the Desk.
fn melody(tune: &str) -> Studio {
    let (before, _) = SONG.split_once("\"C\"E G c").unwrap();
    let (_, song, _) = SongFile::parse(&format!("{before}{tune}\n\"\"\"\n")).unwrap();
    let desk = Desk::open(song, Home::nowhere(Vec::new())).unwrap();
    let mut studio = Studio::at_desk(desk, Theme::named("none").unwrap(), TimeZone::UTC);
    studio.update(Message::Layer(Layer::Melody));
    studio
}

fn on_desk(studio: &Studio) -> &Desk {
    match &studio.screen {
        Screen::Desk(desk) => desk,
        _ => panic!("not at the Desk"),
    }
}

pub(super) fn shown(studio: &Studio, width: u16, height: u16) -> String {
    let mut terminal = Terminal::new(TestBackend::new(width, height)).unwrap();
    terminal
        .draw(|frame| {
            view(studio, frame);
        })
        .unwrap();
    let buffer = terminal.backend().buffer().clone();
    let lines = (0..height).map(|y| {
        let line: String = (0..width).map(|x| buffer[(x, y)].symbol()).collect();
        line.trim_end().to_string()
    });
    lines.collect::<Vec<_>>().join("\n")
}

pub(super) fn tell(studio: &mut Studio, messages: &[Message]) -> Vec<Order> {
    let orders = messages.iter().map(|m| studio.update(m.clone()));
    orders.flatten().collect()
}

#[test]
fn the_desk_at_80_by_24() {
    let mut studio = studio();
    tell(
        &mut studio,
        &[Message::Bar(1), Message::Note(5), Message::Idle],
    );
    insta::assert_snapshot!(shown(&studio, 80, 24));
}

#[test]
fn the_desk_at_120_by_40() {
    let mut studio = studio();
    tell(&mut studio, &[Message::Last, Message::Pin, Message::Idle]);
    insta::assert_snapshot!(shown(&studio, 120, 40));
}

#[test]
fn the_keys_of_the_desk() {
    let mut studio = studio();
    studio.update(Message::Help);
    for (width, height) in [(80, 24), (120, 40)] {
        let text = shown(&studio, width, height);
        for row in BINDINGS
            .iter()
            .filter(|b| [Place::Desk, Place::Everywhere].contains(&b.place))
        {
            assert!(text.contains(row.does), "{} is not shown", row.does);
        }
    }
    let esc = KeyEvent::new(KeyCode::Esc, KeyModifiers::NONE);
    assert_eq!(studio.press(esc), None);
    assert_eq!(studio.help, None);
    assert_eq!(studio.place(), Place::Desk);
}

fn pressed(studio: &mut Studio, codes: &[KeyCode]) -> Option<Message> {
    let keys = codes.iter().map(|c| KeyEvent::new(*c, KeyModifiers::NONE));
    keys.map(|key| studio.press(key)).last().flatten()
}

#[test]
fn a_line_of_the_help_can_be_done() {
    let mut studio = studio();
    studio.update(Message::Help);
    let mut to = vec![KeyCode::Home];
    let rows = || BINDINGS.iter().filter(|b| b.place == Place::Desk);
    let at = rows().position(|b| b.message == Message::Pin).unwrap();
    to.extend(vec![KeyCode::Down; at]);
    assert_eq!(pressed(&mut studio, &to), None);
    assert!(shown(&studio, 80, 24).contains("▸p "));
    assert_eq!(pressed(&mut studio, &[KeyCode::Enter]), Some(Message::Pin));
    assert_eq!(studio.help, None);
    // A key that is pressed while they are shown does what it does.
    studio.update(Message::Help);
    assert_eq!(
        pressed(&mut studio, &[KeyCode::Char('q')]),
        Some(Message::Quit)
    );
    assert_eq!(studio.help, None);
    // The cursor stays on the list.
    studio.update(Message::Help);
    pressed(&mut studio, &[KeyCode::End, KeyCode::Down, KeyCode::Down]);
    assert_eq!(pressed(&mut studio, &[KeyCode::Enter]), Some(Message::Quit));
}

#[test]
fn the_keys_that_the_player_has_are_shown_and_done() {
    let mut studio = studio();
    let mut look = studio.look.clone();
    look.keys.change("desk", "p", &["F7".into()]).unwrap();
    studio.update(Message::Dress(Box::new(look)));
    assert!(shown(&studio, 80, 24).contains("F7 pin"));
    studio.update(Message::Help);
    assert!(shown(&studio, 80, 24).contains("F7        pin it"));
    assert_eq!(pressed(&mut studio, &[KeyCode::F(7)]), Some(Message::Pin));
    assert_eq!(pressed(&mut studio, &[KeyCode::Char('p')]), None);
}

#[test]
fn a_notice_is_read_on_any_screen_until_a_key_is_pressed() {
    let mut studio = studio();
    let text = "config.toml: p at the Desk would both be “this” and “that”".to_string();
    studio.update(Message::Notice(text.clone()));
    assert!(shown(&studio, 80, 24).contains(&text));
    studio.update(Message::Idle);
    assert!(shown(&studio, 120, 40).contains(&text));
    pressed(&mut studio, &[KeyCode::Right]);
    assert!(!shown(&studio, 80, 24).contains(&text));
}

#[test]
fn every_size_can_be_drawn() {
    let mut studio = studio();
    for (width, height) in [(1, 1), (3, 2), (20, 5), (40, 60), (79, 23), (300, 100)] {
        studio.help = (width % 2 == 0).then_some(3);
        assert!(shown(&studio, width, height).lines().count() <= usize::from(height));
    }
}

#[test]
fn the_cursor_stays_in_the_song() {
    let mut studio = studio();
    tell(&mut studio, &[Message::Onset(-3), Message::Bar(-1)]);
    assert_eq!(on_desk(&studio).at, 0);
    tell(&mut studio, &[Message::Onset(2)]);
    assert_eq!(on_desk(&studio).at, 2 * crate::theory::QUARTER);
    tell(
        &mut studio,
        &[Message::Bar(99), Message::Onset(99), Message::Note(-9)],
    );
    assert_eq!(on_desk(&studio).bar(), 3);
    assert_eq!(on_desk(&studio).pluck().unwrap().layer, Layer::Melody);
}

#[test]
fn bars_in_which_nothing_is_struck_are_stepped_over() {
    let mut studio = melody("\"C\"c3- | c3 | z3 | z d e |]");
    let mut bar = |by| {
        studio.update(Message::Bar(by));
        on_desk(&studio).bar()
    };
    assert_eq!([1, 1, -1, -1].map(&mut bar), [3, 3, 0, 0]);
}

#[test]
fn what_is_said_stays_until_a_key_is_pressed() {
    let mut studio = studio();
    let text = "this program was built without sound";
    let by_itself = [
        Message::Sound(text.into()),
        Message::Unheard,
        Message::Size(80, 24),
        Message::Heard(None),
    ];
    let screens = [
        vec![],
        vec![Message::Stand],
        vec![Message::Back, Message::Practise],
    ];
    for to in screens {
        tell(&mut studio, &to);
        tell(&mut studio, &by_itself);
        assert!(shown(&studio, 80, 24).contains(text), "{to:?}");
    }
}

#[test]
fn layers_are_stepped_through() {
    let mut studio = studio();
    let orders = studio.update(Message::Layer(Layer::Melody));
    assert!(matches!(orders.as_slice(), [Order::Load(_)]));
    let plucks = |s: &Studio| on_desk(s).arrangement.plucks.len();
    let alone = plucks(&studio);
    assert_eq!(alone, 10);
    // It is asked first whether tune and chords are known.
    assert!(studio.update(Message::Layer(Layer::Bass)).is_empty());
    assert_eq!(plucks(&studio), alone);
    studio.update(Message::Layer(Layer::Bass));
    let with_bass = plucks(&studio);
    assert_eq!(with_bass, 14);
    studio.update(Message::Layer(Layer::Fill));
    assert!(plucks(&studio) > with_bass);
}

#[test]
fn the_song_is_known_before_layer_2() {
    let mut studio = studio();
    studio.update(Message::Layer(Layer::Melody));
    insta::assert_snapshot!("layer_1", shown(&studio, 80, 24));
    let events = |orders: Vec<Order>| match orders.as_slice() {
        [Order::Load(score)] => score.events.iter().map(|e| e.layer).collect::<Vec<_>>(),
        other => panic!("{other:?}"),
    };
    // Four chords, four or five strings without the two highest: no tune.
    let chords = events(studio.update(Message::Hear));
    assert!(chords.len() >= 12 && chords.iter().all(|l| *l == Layer::Fill));
    let both = events(studio.update(Message::Hear));
    assert_eq!(both.iter().filter(|l| **l == Layer::Melody).count(), 10);
    assert!(both.contains(&Layer::Fill));
    assert_eq!(events(studio.update(Message::Hear)), [Layer::Melody; 10]);
    let layer = |s: &Studio| on_desk(s).options.layer;
    // Another key in between, and it is asked again.
    tell(
        &mut studio,
        &[
            Message::Layer(Layer::Bass),
            Message::Onset(1),
            Message::Layer(Layer::Bass),
        ],
    );
    assert_eq!(layer(&studio), Layer::Melody);
    assert!(shown(&studio, 80, 24).contains("2 again goes on"));
    tell(
        &mut studio,
        &[Message::TickAll, Message::Layer(Layer::Fill)],
    );
    assert_eq!(layer(&studio), Layer::Fill);
    tell(
        &mut studio,
        &[
            Message::Layer(Layer::Melody),
            Message::TickAll,
            Message::Layer(Layer::Bass),
        ],
    );
    assert_eq!(layer(&studio), Layer::Melody);
    assert!(on_desk(&studio).done() == 0);
    tell(&mut studio, &[Message::Layer(Layer::Bass), Message::Hear]);
    assert!(shown(&studio, 80, 24).contains("press 1 first"));
}

#[test]
fn pins_are_set_taken_out_undone_and_done_again() {
    let mut studio = studio();
    let before = on_desk(&studio).arrangement.clone();
    tell(&mut studio, &[Message::Note(-9), Message::Pin]);
    let pins = on_desk(&studio).arrangement.song.pins.clone();
    let pluck = on_desk(&studio).pluck().unwrap().clone();
    assert_eq!(
        pins.iter().map(|p| &p.wish).collect::<Vec<_>>(),
        [&Wish::Place {
            target: Target::Melody,
            string: Some(pluck.string),
            fret: Some(pluck.fret),
            finger: None,
        }]
    );
    studio.update(Message::Undo);
    assert_eq!(on_desk(&studio).arrangement, before);
    studio.update(Message::Redo);
    assert_eq!(on_desk(&studio).arrangement.song.pins, pins);
    studio.update(Message::Pin);
    assert!(on_desk(&studio).arrangement.song.pins.is_empty());
}

#[test]
fn each_change_is_jotted_down_and_leaving_saves_it_with_the_comments() {
    let mut studio = studio();
    let orders = studio.update(Message::Pin);
    let jotted =
        |o: &Order| matches!(o, Order::Disk(Errand::Jot { text, .. }) if text.contains("[[pin]]"));
    assert!(orders.iter().any(jotted), "{orders:?}");
    assert!(on_desk(&studio).is_changed());
    let orders = studio.update(Message::Quit);
    let [Order::Disk(Errand::Save { address, text, .. })] = orders.as_slice() else {
        panic!("{orders:?}");
    };
    assert_eq!(*address, buoys());
    assert!(
        text.starts_with("# Kept.\n") && text.contains("[[pin]]"),
        "{text}"
    );
    let saved = News::Saved {
        address: buoys(),
        seal: Seal::ABSENT,
    };
    let orders = studio.update(Message::News(saved));
    let release = Order::Disk(Errand::Release(buoys()));
    assert_eq!(orders, [release, Order::Stop, Order::Quit]);
}

#[test]
fn a_clash_is_named_and_all_stays() {
    let text = SONG.to_string()
        + "[[pin]]\nbar = 1\nbeat = 2\nnothing = true\n[[pin]]\nbar = 1\nnote = \"bass\"\nstring = 5\n";
    let (_, song, _) = SongFile::parse(&text).unwrap();
    let mut desk = Desk::open(song, Home::nowhere(Vec::new())).unwrap();
    let before = desk.arrangement.clone();
    let mut clashing = before.song.pins.clone();
    clashing.push(crate::song::Pin {
        wish: Wish::Grip(vec![Some(12), None, None, None, None, Some(1)]),
        ..before.song.pins[1].clone()
    });
    assert!(desk.take_for_test(clashing).contains("all stays as it was"));
    assert_eq!(desk.arrangement, before);
}

#[test]
fn music_is_played_from_the_cursor_and_round_a_bar() {
    let q = crate::theory::QUARTER;
    let mut studio = studio();
    let orders = tell(&mut studio, &[Message::Onset(4), Message::Play]);
    let play = |from, to, repeat| Order::Play {
        from,
        to,
        repeat,
        count_in: 0,
    };
    assert_eq!(orders, [play(4 * q, 12 * q, false)]);
    tell(&mut studio, &[Message::Heard(Some(7 * q))]);
    assert_eq!(on_desk(&studio).heard(), Some((2, 7 * q)));
    assert!(shown(&studio, 80, 24).contains('▾'));
    assert_eq!(studio.update(Message::Play), [Order::Stop]);
    studio.update(Message::Heard(None));
    assert_eq!(studio.update(Message::Loop), [play(3 * q, 6 * q, true)]);
    assert_eq!(studio.update(Message::Tempo(-200)), [Order::Speed(20)]);
    assert_eq!(studio.update(Message::Click), [Order::Click(true)]);
}

#[test]
fn the_desk_prints_what_lies_on_it() {
    let mut studio = studio();
    tell(&mut studio, &[Message::Layer(Layer::Bass)]);
    let orders = studio.update(Message::Shelf(Ask::Export));
    let [Order::Disk(Errand::Print(arrangement, name))] = &orders[..] else {
        panic!("{orders:?}");
    };
    assert_eq!((name.as_str(), arrangement.layer), ("buoys", Layer::Bass));
    studio.update(Message::News(News::Printed("/evening/buoys.pdf".into())));
    assert!(shown(&studio, 80, 24).contains("sheets written: /evening/buoys.pdf"));
}

#[test]
fn easier_and_fuller_are_taken_as_pins() {
    let mut taken = 0;
    for (bar, step) in (0..4).flat_map(|bar| [(bar, -1), (bar, 1)]) {
        let mut studio = studio();
        tell(&mut studio, &[Message::Bar(bar), Message::Lean(step)]);
        let said = on_desk(&studio).said.clone().unwrap().1;
        let pins = on_desk(&studio).arrangement.song.pins.len();
        assert_eq!(said.contains("taken"), pins > 0, "{said}");
        taken += usize::from(pins > 0);
        tell(&mut studio, &[Message::Undo]);
        assert!(on_desk(&studio).arrangement.song.pins.is_empty());
    }
    assert!(taken > 0);
}
