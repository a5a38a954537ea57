//! The tour, gone through by its own words.

use super::{desk, shown, tell};
use crate::arrange::Layer;
use crate::studio::*;
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use jiff::tz::TimeZone;

fn at_shelf() -> Studio {
    let shelf = Shelf::new(TimeZone::UTC);
    let mut studio = Studio::choosing(shelf, Theme::named("none").unwrap());
    studio.update(Message::News(News::Welcome));
    studio
}

fn press(studio: &mut Studio, code: KeyCode) {
    let key = KeyEvent::new(code, KeyModifiers::NONE);
    if let Some(message) = studio.press(key) {
        studio.update(message);
    }
}

#[test]
fn it_is_offered_once_and_left_by_any_other_key() {
    let mut studio = at_shelf();
    insta::assert_snapshot!(shown(&studio, 80, 24));
    studio.update(Message::Idle);
    assert_eq!(studio.tour, Some(Tour::Offered));
    press(&mut studio, KeyCode::Down);
    assert_eq!(studio.tour, None);
    press(&mut studio, KeyCode::F(2));
    assert_eq!(studio.tour, Some(Tour::At(0)));
    press(&mut studio, KeyCode::F(2));
    assert_eq!(studio.tour, None);
}

#[test]
fn doing_what_it_says_goes_on_to_the_end() {
    let mut studio = Studio::at_desk(desk(), Theme::named("none").unwrap(), TimeZone::UTC);
    // At the Desk it begins with what is there to be seen.
    studio.update(Message::Tour);
    let mut said = vec![shown(&studio, 80, 24)];
    let does: [&[Message]; 10] = [
        &[Message::Onset(1)],
        &[Message::Play, Message::Play],
        &[Message::Layer(Layer::Melody)],
        &[Message::Layer(Layer::Bass), Message::Layer(Layer::Bass)],
        &[Message::Layer(Layer::Fill)],
        &[Message::Lean(-1)],
        &[Message::Pin],
        &[Message::Practise],
        &[Message::Back],
        &[Message::Stand],
    ];
    for (i, messages) in does.into_iter().enumerate() {
        let before = studio.tour;
        assert_eq!(before, Some(Tour::At(i + 1)));
        tell(&mut studio, &[Message::Idle]);
        assert_eq!(studio.tour, before);
        tell(&mut studio, messages);
        said.push(shown(&studio, 80, 24));
    }
    assert_eq!(studio.tour, Some(Tour::At(11)));
    tell(&mut studio, &[Message::Back]);
    assert_eq!(studio.tour, None);
    insta::assert_snapshot!(said.join("\n=====\n"));
}

#[test]
fn it_waits_where_it_left_off() {
    let mut studio = Studio::at_desk(desk(), Theme::named("none").unwrap(), TimeZone::UTC);
    studio.update(Message::Tour);
    studio.update(Message::Stand);
    assert!(shown(&studio, 80, 24).contains("This goes on at the Desk. Esc goes back."));
    studio.update(Message::Back);
    assert!(shown(&studio, 80, 24).contains("This is its tab"));
    // The list of keys lies over everything.
    studio.update(Message::Help);
    assert!(shown(&studio, 80, 24).contains("look round, or end it"));
}
