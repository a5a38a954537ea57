//! What is laid over the sheet: the chord that is typed, and what holds for the song.

use super::middle;
use crate::exchange::plain_text;
use crate::score::{counted, missing};
use crate::studio::brush::Brush;
use crate::studio::panes::shelf::{chosen, end_of, fitted, row_spots};
use crate::studio::panes::span;
use crate::studio::screens::{ChordLine, Fact, Writing};
use crate::studio::theme::Role;
use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::widgets::{Block, Paragraph};

/// Rows under the sheet.
const FOOT: u16 = 4;
/// Columns of what a fact is called.
const NAME: usize = 38;

/// A chord that is typed, and over which beat. An error is shown whole, however long it is.
pub(super) fn chord(writing: &Writing, chord: &ChordLine, brush: &Brush, frame: &mut Frame) {
    let area = brush.area;
    let width = area.width.saturating_sub(8).clamp(1, 60);
    let inside = usize::from(width.saturating_sub(4)).max(1);
    let song = writing.song();
    let place = song.bars.get(chord.at.bar).map(|bar| {
        let lacks = missing(&song.bars).get(chord.at.bar).copied().unwrap_or(0);
        let beat = counted(bar, lacks, chord.at.at);
        match bar.number {
            0 => format!(" Chord over the pickup, beat {beat} "),
            n => format!(" Chord over bar {n}, beat {beat} "),
        }
    });
    let (role, text) = match &chord.said {
        Some(text) => (Role::Warning, plain_text(text)),
        None => (
            Role::Quiet,
            "as you would write it: C, Am7, D7/F#, N.C.; empty takes it away".into(),
        ),
    };
    let mut lines = vec![
        Line::from(vec![
            span(brush, Role::Text, " "),
            span(
                brush,
                if chord.offered {
                    Role::Cursor
                } else {
                    Role::Chord
                },
                end_of(&chord.text, inside - 1),
            ),
            span(brush, Role::Key, "▏"),
        ]),
        Line::default(),
    ];
    lines.extend(brush.lines(role, &text, inside, " "));
    let keys = " ⟨Enter⟩ that is it   ⟨Tab⟩ the next beat   ⟨Esc⟩ leave it";
    lines.push(brush.line(Role::Quiet, keys));
    // At the foot of the sheet, so that the bars above it are seen.
    let height = (lines.len() as u16 + 2).min(area.height);
    let shown = Rect {
        x: area.x + (area.width - width.min(area.width)) / 2,
        y: area.y + area.height.saturating_sub(height + FOOT),
        width: width.min(area.width),
        height,
    };
    brush.wipe(frame, shown);
    let block = Block::bordered()
        .border_style(brush.style(Role::Quiet))
        .title(span(brush, Role::Title, place.unwrap_or_default()));
    frame.render_widget(Paragraph::new(lines).block(block), shown);
}

/// What holds for the song or from the bar of the caret on.
pub(super) fn facts(writing: &Writing, brush: &Brush, frame: &mut Frame) {
    let at = writing.list.unwrap_or_default().at;
    let width = brush.area.width.saturating_sub(8).clamp(1, 70);
    let room = usize::from(width).saturating_sub(NAME + 6);
    let mut lines: Vec<Line> = (Fact::ALL.iter().enumerate())
        .map(|(i, &fact)| {
            let (sign, role) = match i == at {
                true => ("▸", Role::Cursor),
                false => (" ", Role::Text),
            };
            let value = plain_text(&writing.value(fact));
            Line::from(vec![
                span(brush, Role::Key, format!(" {sign} ")),
                span(brush, role, fitted(fact.name(), NAME)),
                span(brush, Role::Text, fitted(&value, room)),
            ])
        })
        .collect();
    lines.push(Line::default());
    let keys = " ⟨Enter⟩ changes it   ⟨Esc⟩ back to the notes";
    lines.push(brush.line(Role::Quiet, keys));
    let shown = middle(brush.area, width, lines.len() as u16 + 2);
    brush.wipe(frame, shown);
    let block = Block::bordered()
        .border_style(brush.style(Role::Quiet))
        .title(span(brush, Role::Title, " The song "));
    let does = |i| Some(chosen(i, Some(at)));
    row_spots(brush, block.inner(shown), 0..Fact::ALL.len(), does);
    frame.render_widget(Paragraph::new(lines).block(block), shown);
}
