//! Clicks and the wheel, on what is drawn.

use super::{ideas, melody, on_desk, screens, shelf, studio, tell};
use crate::arrange::Layer;
use crate::studio::*;
use ratatui::Terminal;
use ratatui::backend::TestBackend;

/// What the studio looks like and what clicks do on it.
fn drawn(studio: &Studio) -> (Vec<Vec<String>>, Spots) {
    let mut terminal = Terminal::new(TestBackend::new(80, 24)).unwrap();
    let mut spots = Spots::default();
    let draw = |frame: &mut ratatui::Frame| spots = view(studio, frame);
    terminal.draw(draw).unwrap();
    let buffer = terminal.backend().buffer();
    let row = |y| {
        (0..80)
            .map(move |x| buffer[(x, y)].symbol().to_string())
            .collect()
    };
    ((0..24).map(row).collect(), spots)
}

/// Clicks on the first place where a text stands.
fn click(studio: &mut Studio, text: &str) -> Option<Message> {
    let (rows, spots) = drawn(studio);
    let signs: Vec<String> = text.chars().map(String::from).collect();
    let find = |row: &Vec<String>| row.windows(signs.len()).position(|w| w == signs);
    let place = rows
        .iter()
        .enumerate()
        .find_map(|(y, r)| Some((find(r)?, y)));
    let (x, y) = place.unwrap_or_else(|| panic!("“{text}” is not shown"));
    studio.click(&spots, x as u16, y as u16)
}

#[test]
fn hints_can_be_clicked() {
    let mut studio = studio();
    assert_eq!(click(&mut studio, "Space play"), Some(Message::Play));
    assert_eq!(click(&mut studio, "play"), Some(Message::Play));
    assert_eq!(click(&mut studio, "leave"), Some(Message::Quit));
    assert_eq!(click(&mut studio, "? keys"), Some(Message::Help));
    assert_eq!(click(&mut studio, "Two Buoys"), None);
}

#[test]
fn a_click_on_a_bar_goes_to_its_first_note() {
    let mut studio = melody("\"C\"E G c | z d e |]");
    let to = click(&mut studio, "2  ").unwrap();
    studio.update(to);
    assert_eq!(on_desk(&studio).at, 4 * crate::theory::QUARTER);
}

#[test]
fn a_click_on_the_tab_goes_there() {
    let mut studio = studio();
    tell(&mut studio, &[Message::Layer(Layer::Bass)]);
    let last = on_desk(&studio).arrangement.plucks.last().unwrap().at;
    // The number of the fourth bar, then a note of it.
    let to = click(&mut studio, " 4 ").unwrap();
    studio.update(to);
    assert_eq!(on_desk(&studio).bar(), 3);
    let (_, spots) = drawn(&studio);
    let notes = (0..24).flat_map(|y| (0..60).map(move |x| (x, y)));
    let there: Vec<Message> = notes
        .filter_map(|(x, y)| studio.click(&spots, x, y))
        .filter(|m| matches!(m, Message::Point(at, _) if *at == last))
        .collect();
    assert!(!there.is_empty());
    for message in there {
        studio.update(message.clone());
        let under = on_desk(&studio).pluck().unwrap();
        assert!(matches!(message, Message::Point(at, s) if under.at == at && s > 0));
    }
}

#[test]
fn a_row_is_chosen_by_the_first_click_and_opened_by_the_second() {
    let mut studio = shelf::studio();
    let message = click(&mut studio, "Herring Boats").unwrap();
    assert!(matches!(message, Message::Choose(_)));
    studio.update(message);
    assert_eq!(click(&mut studio, "Herring Boats"), Some(Message::Open));
    studio.update(Message::Shelf(Ask::Turn));
    let message = click(&mut studio, "Spare Evening").unwrap();
    assert_eq!(message, Message::Choose(1));
    let message = click(&mut studio, "Fog on the Ferry").unwrap();
    assert_eq!(message, Message::Shelf(Ask::Side(1)));
    studio.update(message);
    let message = click(&mut studio, "Fog on the Ferry").unwrap();
    assert_eq!(message, Message::Choose(1));
    assert_eq!(
        click(&mut studio, "Spare Evening"),
        Some(Message::Shelf(Ask::Side(-1)))
    );
}

#[test]
fn rows_of_every_list_are_chosen() {
    let mut bin = screens::of("bin");
    let row = click(&mut bin, "spare");
    assert_eq!(row, Some(Message::Choose(1)));
    let mut settings = screens::of("settings");
    let row = click(&mut settings, "tuning");
    assert_eq!(row, Some(Message::Choose(6)));
    let mut shed = screens::of("shed");
    assert_eq!(click(&mut shed, "Join"), Some(Message::Choose(2)));
}

#[test]
fn ideas_are_chosen_and_taken() {
    let mut studio = ideas::in_colour();
    assert_eq!(click(&mut studio, "+0.1"), Some(Message::Idea(2)));
    assert_eq!(
        click(&mut studio, "A2 in the bass"),
        Some(Message::TakeIdea)
    );
}

#[test]
fn what_lies_over_the_screen_takes_the_clicks() {
    let mut studio = studio();
    studio.update(Message::Help);
    assert_eq!(click(&mut studio, "pin it"), Some(Message::Pin));
    assert_eq!(studio.help, None);
    studio.update(Message::Help);
    assert_eq!(click(&mut studio, "Keys: press"), None);
}

#[test]
fn the_wheel_goes_through_what_is_long() {
    let mut studio = studio();
    assert_eq!(studio.wheel(1), Some(Message::Bar(1)));
    studio.update(Message::Help);
    assert_eq!(studio.wheel(1), None);
    assert_eq!(studio.help, Some(1));
    let mut studio = shelf::studio();
    assert_eq!(studio.wheel(-1), Some(Message::Choose(-1)));
}
