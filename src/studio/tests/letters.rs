//! Every screen in the letters of terminals that show no more than those.

use super::{screens, shown};
use crate::exchange::letters::Letters;
use crate::studio::*;
use proptest::prelude::*;
use ratatui::Terminal;
use ratatui::backend::TestBackend;

#[test]
fn every_screen_in_ascii_at_80_by_24() {
    for (name, make) in screens::ALL {
        let mut studio = make();
        studio.letters = Letters::Ascii;
        studio.update(Message::Size(80, 24));
        insta::assert_snapshot!(format!("ascii_{name}"), shown(&studio, 80, 24));
    }
}

#[test]
fn the_console_gets_its_lines_and_no_other_signs() {
    for (name, make) in screens::ALL {
        let mut studio = make();
        studio.letters = Letters::Few;
        studio.update(Message::Size(80, 24));
        let text = shown(&studio, 80, 24);
        assert!(Letters::Few.shows(&text), "{name}:\n{text}");
    }
    let mut desk = screens::of("desk");
    desk.letters = Letters::Few;
    assert!(shown(&desk, 80, 24).contains("E │────"));
}

#[test]
fn clicks_are_where_the_keys_are_shown() {
    for letters in [Letters::All, Letters::Ascii] {
        let mut studio = screens::of("setlists");
        studio.letters = letters;
        let mut terminal = Terminal::new(TestBackend::new(80, 24)).unwrap();
        let mut spots = Spots::default();
        terminal.draw(|f| spots = view(&studio, f)).unwrap();
        let text = shown(&studio, 80, 24);
        let (y, line) = text.lines().enumerate().last().unwrap();
        for (key, message) in [("Ctrl-R", Message::Stand), ("?", Message::Help)] {
            let x = line.chars().count() - line.split(key).last().unwrap().chars().count() - 1;
            assert_eq!(spots.at(x as u16, y as u16), Some(&message), "{line}");
        }
    }
}

#[test]
fn the_tour_says_all_it_has_to_say() {
    for name in ["shelf", "desk", "shed", "stand"] {
        let mut studio = screens::of(name);
        studio.letters = Letters::Ascii;
        for tour in (0..12).map(Tour::At) {
            studio.tour = Some(tour);
            let text = tour.text(studio.place()).replace(['⟨', '⟩'], "");
            let last = text.split(' ').next_back().unwrap();
            let shown = shown(&studio, 80, 24);
            let end = shown.lines().last().unwrap();
            assert!(end.ends_with(last), "{text}\n{shown}");
        }
    }
}

proptest! {
    #![proptest_config(crate::properties::cases(6))]

    #[test]
    fn no_screen_of_any_size_shows_more_than_ascii(width in 1u16..220, height in 1u16..70) {
        for (name, make) in screens::ALL {
            let mut studio = make();
            studio.letters = Letters::Ascii;
            studio.update(Message::Size(width, height));
            let text = shown(&studio, width, height);
            prop_assert!(text.is_ascii(), "{name}:\n{text}");
        }
    }
}
