//! The keys of the screen, from the one table.

use super::span;
use crate::studio::keymap::{Place, rows};
use crate::studio::theme::{Role, Theme};
use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::widgets::{Block, Clear, Paragraph};

/// Columns of the keys, and of a key with what it does.
const KEYS: usize = 10;
const COLUMN: u16 = 39;

/// Shows the keys over everything else, in two columns where one is too long.
pub(crate) fn help(frame: &mut Frame, theme: &Theme, place: Place) {
    let mut lines: Vec<Line> = rows(place)
        .map(|row| {
            Line::from(vec![
                span(theme, Role::Key, format!(" {:<KEYS$}", row.shown)),
                span(theme, Role::Text, row.does),
            ])
        })
        .collect();
    lines.extend(
        notes(place)
            .iter()
            .map(|t| Line::from(span(theme, Role::Quiet, format!(" {t}")))),
    );
    let area = frame.area();
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
    frame.render_widget(Clear, shown);
    let block = Block::bordered()
        .border_style(theme.style(Role::Quiet))
        .title(span(theme, Role::Title, " Keys "));
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
    }
}

/// How to read the screen.
fn notes(place: Place) -> &'static [&'static str] {
    match place {
        Place::Desk => &[
            "═ rings  ^ pinned  ▾ playing",
            "▸ the bar, the way in use",
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
