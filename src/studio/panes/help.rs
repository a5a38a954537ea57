//! The keys of the screen, from the one table.

use super::span;
use crate::studio::brush::Brush;
use crate::studio::keymap::Place;
use crate::studio::theme::Role;
use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::widgets::{Block, Paragraph};

/// Columns of the keys, and of a key with what it does.
const KEYS: usize = 10;
const COLUMN: u16 = 39;

/// Shows the keys over everything else, in two columns where one is too long;
/// the row under the cursor is done by Enter.
pub(crate) fn help(frame: &mut Frame, brush: &Brush, chosen: usize) {
    let place = brush.place;
    let lines = said(brush, chosen);
    let area = brush.area;
    let inside = area.height.saturating_sub(2).max(1);
    let columns = (lines.len() as u16).div_ceil(inside).max(1);
    let width = (COLUMN * columns + 2).min(area.width);
    let height = (lines.len() as u16).div_ceil(columns) + 2;
    let shown = Rect {
        x: (area.width - width) / 2,
        y: area.height.saturating_sub(height) / 2,
        width,
        height: height.min(area.height),
    };
    brush.wipe(frame, shown);
    let menu = Brush {
        place: Place::Keys,
        ..*brush
    };
    let block = Block::bordered()
        .border_style(brush.style(Role::Quiet))
        .title(span(
            &menu,
            Role::Title,
            " Keys: press one, or ⟨↑⟩ ⟨↓⟩ and ⟨Enter⟩ ",
        ));
    let inner = block.inner(shown);
    frame.render_widget(block, shown);
    let each = lines.len().div_ceil(usize::from(columns)).max(1);
    let wide = inner.width / columns;
    for (i, part) in lines.chunks(each).enumerate() {
        let part_area = Rect {
            x: inner.x + wide * i as u16,
            width: wide,
            ..inner
        };
        frame.render_widget(Paragraph::new(part.to_vec()), part_area);
        let rows = brush.keys.rows(place).skip(each * i);
        for (y, row) in (part_area.y..part_area.bottom()).zip(rows.take(part.len())) {
            let spot = Rect {
                y,
                height: 1,
                ..part_area
            };
            brush.spot(spot, row.message());
        }
    }
}

/// Each key with what it does, and how to read the screen.
fn said(brush: &Brush, chosen: usize) -> Vec<Line<'static>> {
    let rows = brush.keys.rows(brush.place).enumerate().map(|(i, row)| {
        let (sign, key, does) = match i == chosen {
            true => ("▸", Role::Cursor, Role::Cursor),
            false => (" ", Role::Key, Role::Text),
        };
        Line::from(vec![
            span(brush, key, format!("{sign}{:<KEYS$}", row.shown)),
            span(brush, does, row.usual.does),
        ])
    });
    let notes = notes(brush.place).iter();
    let notes = notes.map(|t| Line::from(span(brush, Role::Quiet, format!(" {t}"))));
    rows.chain(notes).collect()
}

/// How to read the screen.
fn notes(place: Place) -> &'static [&'static str] {
    match place {
        Place::Desk => &[
            "═ rings  ^ pinned  ▾ plays  ▸ in use",
            "Stop if it hurts; headphones low.",
        ],
        Place::Shed => &[
            "A pass is clean when nothing slipped",
            "or stopped from start to end.",
            "Warm up slowly. Stop if it hurts,",
            "tingles or goes numb; if that stays,",
            "see a doctor. A teacher's advice goes",
            "first. Keep headphones low.",
        ],
        Place::Shelf => &["Letters find by the start", "of words: title, key, tags."],
        Place::Stand => &[
            "Page keys are what foot",
            "pedals send. Nothing here",
            "changes a song.",
        ],
        _ => &[],
    }
}
