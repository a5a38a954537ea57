//! The neck with the grip under the cursor, seen as the player hangs it up: nut on top, low string
//! on the left.

use super::span;
use crate::guitar::{Barre, Grip};
use crate::studio::brush::Brush;
use crate::studio::screens::Desk;
use crate::studio::theme::Role;
use ratatui::text::Line;

/// Frets that are always shown.
const FRETS: u8 = 5;

/// The lines of the neck pane.
pub(crate) fn neck(desk: &Desk, brush: &Brush) -> Vec<Line<'static>> {
    let instrument = &desk.arrangement.instrument;
    let strings = instrument.strings();
    let grip = desk.slice().map_or(Grip::EMPTY, |s| s.grip);
    let names: Vec<String> = (instrument.open.iter().rev())
        .map(|p| format!("{:<2}", p.name.to_string()))
        .collect();
    let mut lines = vec![
        Line::from(span(brush, Role::Title, format!("    {}", names.concat()))),
        Line::from(span(
            brush,
            Role::Text,
            format!("    {}", ends(&grip, strings)),
        )),
    ];
    let (low, high) = window(&grip, strings);
    let barres: Vec<Barre> = grip.barres().collect();
    for fret in low..=high {
        let label = if fret == low || grip.frets.contains(&(fret as i8)) {
            format!("{fret:>2} ")
        } else {
            "   ".into()
        };
        lines.push(Line::from(vec![
            span(brush, Role::Quiet, label),
            span(brush, Role::Text, row(&grip, &barres, strings, fret)),
        ]));
    }
    lines
}

/// Over the nut: what is open (o) and what is silent (x).
fn ends(grip: &Grip, strings: usize) -> String {
    let signs = grip.frets.iter().take(strings).rev();
    signs
        .map(|&fret| match fret {
            ..0 => "x ",
            0 => "o ",
            _ => "  ",
        })
        .collect()
}

/// The frets to show: from the first, or from the lowest stopped one where the first five do not
/// hold the grip.
fn window(grip: &Grip, strings: usize) -> (u8, u8) {
    let stopped = || grip.frets.iter().take(strings).filter(|f| **f > 0);
    let lowest = stopped().min().map_or(1, |f| f.unsigned_abs());
    let highest = stopped().max().map_or(1, |f| f.unsigned_abs());
    let low = if highest <= FRETS { 1 } else { lowest };
    (low, highest.max(low + FRETS - 1))
}

/// One fret: each finger by its number, a barre drawn through.
fn row(grip: &Grip, barres: &[Barre], strings: usize, fret: u8) -> String {
    let mut text = String::from(" ");
    for string in (1..=strings).rev() {
        let stopped = grip.frets[string - 1] == fret as i8;
        let under = |s: usize| {
            let inside = |b: &&Barre| usize::from(b.from) <= s && s <= usize::from(b.to);
            barres.iter().filter(|b| b.fret == fret).any(|b| inside(&b))
        };
        match (stopped, under(string)) {
            (true, _) => text += &grip.fingers[string - 1].to_string(),
            (_, true) => text.push('═'),
            _ => text.push('│'),
        }
        let joined = string > 1 && under(string) && under(string - 1);
        text.push(if joined { '═' } else { ' ' });
    }
    text
}
