//! The neck to write on, as it lies before the player: string 1 on top, the nut on the left.

use crate::guitar::Instrument;
use crate::studio::brush::Brush;
use crate::studio::screens::Writing;
use crate::studio::theme::Role;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// Columns of a fret, and before the first one.
const FRET: usize = 4;
const NAME: usize = 4;

/// How many rows it takes: the strings and the numbers of the frets.
pub(super) fn rows(instrument: &Instrument) -> u16 {
    instrument.strings() as u16 + 1
}

/// Draws the neck, while notes are written on it.
pub(super) fn draw(writing: &Writing, brush: &Brush, area: Rect, buffer: &mut Buffer) {
    let Some((string, fret)) = writing.neck else {
        return;
    };
    let instrument = &writing.instrument;
    let room = usize::from(area.width).saturating_sub(NAME + 1) / FRET;
    let frets = room.clamp(1, usize::from(instrument.top_fret()) + 1);
    let first = usize::from(fret).saturating_sub(frets - 1);
    let shown = first..first + frets;
    let mut put = |x: usize, y: usize, text: &str, role: Role| {
        let y = area.y + y as u16;
        if y < area.bottom() {
            let width = usize::from(area.width).saturating_sub(x);
            buffer.set_stringn(area.x + x as u16, y, text, width, brush.style(role));
        }
    };
    for (row, open) in instrument.open.iter().enumerate() {
        put(1, row, &open.name.to_string(), Role::Quiet);
        for (i, f) in shown.clone().enumerate() {
            let here = (row + 1, f) == (usize::from(string), usize::from(fret));
            let wire = match f {
                0 => "   ║",
                _ => "───┼",
            };
            put(NAME + i * FRET, row, wire, Role::Quiet);
            if here {
                put(NAME + i * FRET + 1, row, "●", Role::Cursor);
            }
        }
    }
    let strings = instrument.strings();
    for (i, f) in shown.enumerate() {
        let role = match f == usize::from(fret) {
            true => Role::Title,
            false => Role::Quiet,
        };
        put(NAME + i * FRET + 1, strings, &f.to_string(), role);
    }
}
