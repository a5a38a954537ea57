//! Bars at every size of the terminal: what is shown of them is shown whole.

use super::{melody, shown, tell};
use crate::arrange::Layer;
use crate::studio::*;

/// Eight bars and one more, in 3/4.
const TUNE: &str = "\"C\"E G c | \"F\"A F A | \"G7\"B G D | \"C\"E3 | \"C\"E G c | \"F\"A F A | \"G7\"B G D | \
                    \"C\"E3 | \"F\"A F A |]";

/// The names of the strings that are drawn, from the top of the screen down, and `=` for the beats.
fn systems(text: &str) -> String {
    let named = |line: &str| {
        let (name, rest) = line.split_once('│')?;
        (name.len() <= 2 && rest.contains('─')).then(|| name.trim().to_string())
    };
    let beats = |line: &str| {
        let rest = line.trim_start_matches([' ', '▸', '▾']);
        line.starts_with("   ") && rest.starts_with('1') && rest.contains('2') && rest.contains('3')
    };
    let lines = text.lines().enumerate();
    let mut found = String::new();
    for (y, line) in lines {
        match named(line) {
            Some(name) => found += &name,
            None if beats(line) && text.lines().nth(y - 1).and_then(named).is_some() => {
                found += "="
            }
            None => {}
        }
    }
    found
}

/// Does something at every size, with and without the tour.
fn at_every_size(studio: &mut Studio, look: impl Fn(&str, &str)) {
    for tour in ["", " with the tour"] {
        for (width, height) in [60, 80, 120]
            .into_iter()
            .flat_map(|w| (18..44).map(move |h| (w, h)))
        {
            studio.update(Message::Size(width, height));
            let text = shown(studio, width, height);
            look(&text, &format!("{width}×{height}{tour}"));
        }
        studio.update(Message::Tour);
    }
}

fn whole(studio: &mut Studio, what: &str) {
    at_every_size(studio, |text, size| {
        let found = systems(text);
        let is_whole = !found.is_empty() && found.replace("EBGDAE=", "").is_empty();
        // The Shed says so where it is too small.
        let refuses = text.contains("Make it larger");
        assert!(is_whole || refuses, "{what} {size}: {found}\n{text}");
    });
}

#[test]
fn bars_are_shown_whole_at_every_size() {
    for layer in Layer::ALL {
        let mut studio = melody(TUNE);
        tell(
            &mut studio,
            &[Message::Layer(layer), Message::Layer(layer), Message::Idle],
        );
        whole(&mut studio, "Desk");
        studio.update(Message::Stand);
        whole(&mut studio, "Stand");
        tell(&mut studio, &[Message::Back, Message::Practise]);
        whole(&mut studio, "Shed");
    }
}

#[test]
fn notes_and_the_neck_they_are_written_on_are_shown_whole_at_every_size() {
    let mut studio = melody(TUNE);
    tell(&mut studio, &[Message::Write, Message::Pen(Pen::Neck)]);
    at_every_size(&mut studio, |text, size| {
        let strings = text.lines().filter(|l| l.contains("┼───┼")).count();
        let frets = text.lines().filter(|l| l.contains(" 5   6   7 ")).count();
        let notes = text.lines().filter(|l| l.contains("E4")).count();
        assert!(strings == 6 && frets == 1 && notes > 0, "{size}\n{text}");
    });
}
