//! Every screen as it is painted: with all colours, with sixteen, and without any.
//!
//! A picture shows the text, then, cell by cell, a letter for what it is painted with, and at the end
//! what each letter means in the themes `harbour`, `plain` and `none`.

use super::screens;
use crate::studio::*;
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::buffer::Buffer;
use ratatui::style::{Color, Modifier};

const SIZES: [(u16, u16); 3] = [(80, 24), (120, 40), (200, 60)];
const THEMES: [&str; 3] = ["harbour", "plain", "none"];
/// Letters for paints, in the order in which they come.
const LETTERS: &str = "·abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789";

fn drawn(studio: &mut Studio, theme: &str, width: u16, height: u16) -> Buffer {
    studio.look.theme = Theme::named(theme).unwrap();
    let mut terminal = Terminal::new(TestBackend::new(width, height)).unwrap();
    terminal
        .draw(|frame| {
            view(studio, frame);
        })
        .unwrap();
    terminal.backend().buffer().clone()
}

fn colour(colour: Color) -> String {
    match colour {
        Color::Reset => "–".into(),
        other => other.to_string().to_lowercase(),
    }
}

/// What a cell is painted with.
fn paint(buffer: &Buffer, x: u16, y: u16) -> String {
    let cell = &buffer[(x, y)];
    let weights = [
        (Modifier::BOLD, " bold"),
        (Modifier::DIM, " dim"),
        (Modifier::UNDERLINED, " underlined"),
        (Modifier::REVERSED, " reversed"),
    ];
    let words = weights.map(|(m, word)| if cell.modifier.contains(m) { word } else { "" });
    format!(
        "{} on {}{}",
        colour(cell.fg),
        colour(cell.bg),
        words.concat()
    )
}

/// Text, paint and legend of a screen.
fn picture(studio: &mut Studio, width: u16, height: u16) -> String {
    studio.update(Message::Size(width, height));
    let buffers = THEMES.map(|theme| drawn(studio, theme, width, height));
    let mut legend: Vec<[String; 3]> = Vec::new();
    let (mut text, mut paints) = (String::new(), String::new());
    for y in 0..height {
        let (mut row, mut painted) = (String::new(), String::new());
        for x in 0..width {
            let symbols = buffers.each_ref().map(|b| b[(x, y)].symbol());
            // The themes differ in paint alone.
            assert!(symbols.iter().all(|s| *s == symbols[0]), "{x}, {y}");
            row += symbols[0];
            let paint = buffers.each_ref().map(|b| paint(b, x, y));
            let at = legend.iter().position(|p| *p == paint).unwrap_or_else(|| {
                legend.push(paint);
                legend.len() - 1
            });
            painted.extend(LETTERS.chars().nth(at));
        }
        text += &format!("{}\n", row.trim_end());
        paints += &format!("{}\n", painted.trim_end_matches('·'));
    }
    let legend = legend.iter().zip(LETTERS.chars());
    let legend: Vec<String> = legend
        .map(|(p, letter)| format!("{letter} = {}", p.join(" | ")))
        .collect();
    format!("{text}\n{paints}\n{}", legend.join("\n"))
}

fn pictures(name: &str) {
    let mut studio = screens::of(name);
    for (width, height) in SIZES {
        let picture = picture(&mut studio, width, height);
        insta::assert_snapshot!(format!("{name}_{width}"), picture);
    }
    studio.look.theme = Theme::named("none").unwrap();
    let small = super::shown(&studio, 40, 12);
    assert!(small.starts_with("This terminal is 40×12."), "{small}");
}

/// One test a screen.
macro_rules! painted {
    ($($test:ident: $name:literal,)*) => {
        $(
            #[test]
            fn $test() {
                pictures($name);
            }
        )*
    };
}

painted! {
    the_shelf: "shelf",
    the_setlists: "setlists",
    a_line_that_is_typed: "line",
    the_desk: "desk",
    the_ideas: "ideas",
    the_writing_screen: "writing",
    the_neck_to_write_on: "neck",
    a_chord_that_is_typed: "chord",
    the_settings_of_a_song: "settings",
    the_shed: "shed",
    the_stand: "stand",
    the_list_of_keys: "keys",
    the_tour: "tour",
    a_notice: "notice",
}
