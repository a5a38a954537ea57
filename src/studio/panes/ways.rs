//! The ways to play the bar under the cursor.

use super::span;
use crate::arrange::Variant;
use crate::studio::brush::Brush;
use crate::studio::screens::{Desk, tenths};
use crate::studio::theme::Role;
use ratatui::text::Line;

/// The lines of the pane, the list kept around the way in use where there is no room for all.
pub(crate) fn ways(desk: &Desk, brush: &Brush, height: usize) -> Vec<Line<'static>> {
    let number = desk.arrangement.song.number(desk.bar());
    let mut lines = vec![Line::from(span(
        brush,
        Role::Title,
        format!("Ways, bar {number}"),
    ))];
    let Some((_, front)) = &desk.front else {
        let text = if desk.playing.is_some() {
            "(when it is still)"
        } else {
            "…"
        };
        lines.push(Line::from(span(brush, Role::Quiet, text)));
        return lines;
    };
    lines.push(Line::from(span(brush, Role::Quiet, "  full  effort")));
    let room = height.saturating_sub(3).max(1);
    let here = front.stands.unwrap_or(0);
    let from = here
        .saturating_sub(room / 2)
        .min(front.variants.len().saturating_sub(room));
    for (i, variant) in front.variants.iter().enumerate().skip(from).take(room) {
        lines.push(way(variant, front.stands == Some(i), brush));
    }
    if front.stands.is_none() {
        lines.push(way(&front.current, true, brush));
    }
    lines
}

fn way(variant: &Variant, current: bool, brush: &Brush) -> Line<'static> {
    let (sign, role) = if current {
        ('▸', Role::Key)
    } else {
        (' ', Role::Text)
    };
    let effort = tenths(variant.effort);
    Line::from(span(
        brush,
        role,
        format!("{sign} {:>4}  {effort:>6}", variant.fullness),
    ))
}
