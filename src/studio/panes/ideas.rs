//! The ideas for the bar under the cursor: what each does, why, and what it costs the hands.

use super::span;
use crate::arrange::why;
use crate::exchange::plain_text;
use crate::studio::brush::Brush;
use crate::studio::message::Message;
use crate::studio::screens::{Desk, Ideas, signed};
use crate::studio::theme::Role;
use ratatui::layout::Rect;
use ratatui::text::Line;

/// The lines of the pane, the list kept around the chosen idea where there is no room for all.
pub(crate) fn ideas(
    desk: &Desk,
    brush: &Brush,
    (width, height): (usize, usize),
) -> Vec<Line<'static>> {
    let bars = &desk.arrangement.song.bars;
    let number = bars.get(desk.bar()).map_or(0, |b| b.number);
    let head = format!(" Ideas, bar {number}   ⟨i⟩ ⟨I⟩ choose   ⟨y⟩ take or put back   ⟨x⟩ leave");
    let head = short(&brush.says(&head), width);
    let mut lines = vec![Line::from(span(brush, Role::Title, head))];
    let here = desk.ideas.as_ref().filter(|i| i.bar == desk.bar());
    let Some(ideas) = here else {
        let text = if desk.playing.is_some() {
            " (when it is still)"
        } else {
            " …"
        };
        lines.push(Line::from(span(brush, Role::Quiet, text)));
        return lines;
    };
    if ideas.is_empty() {
        let text = " nothing that this hand can play here";
        lines.push(Line::from(span(brush, Role::Quiet, text)));
        return lines;
    }
    lines.extend(listed(ideas, height).map(|at| row(desk, brush, ideas, at, width)));
    lines
}

/// The ideas that there is room for under the head.
fn listed(ideas: &Ideas, height: usize) -> std::ops::Range<usize> {
    let room = height.saturating_sub(1).max(1);
    let from = (ideas.chosen.saturating_sub(room / 2)).min(ideas.len().saturating_sub(room));
    from..ideas.len().min(from + room)
}

/// A click on an idea chooses it, one on the chosen idea takes it.
pub(crate) fn idea_spots(desk: &Desk, brush: &Brush, area: Rect) {
    let here = desk.ideas.as_ref().filter(|i| i.bar == desk.bar());
    let Some(ideas) = here.filter(|i| !i.is_empty()) else {
        return;
    };
    for (y, at) in (area.y + 1..area.bottom()).zip(listed(ideas, area.height.into())) {
        let message = match at == ideas.chosen {
            true => Message::TakeIdea,
            false => Message::Idea(at as isize - ideas.chosen as isize),
        };
        brush.spot(
            Rect {
                y,
                height: 1,
                ..area
            },
            Some(message),
        );
    }
}

/// One idea: taken or not, its effort, what it does and why.
fn row(desk: &Desk, brush: &Brush, ideas: &Ideas, at: usize, width: usize) -> Line<'static> {
    let chosen = at == ideas.chosen;
    let sign = if chosen { '▸' } else { ' ' };
    let (text, taken) = match ideas.taken.get(at) {
        Some(&index) => {
            let idea = desk.arrangement.song.ideas.get(index);
            let text = idea.map_or(String::new(), |i| why(&i.figure));
            (format!("{sign}√       {text}"), true)
        }
        None => {
            let offer = ideas.offers.get(at - ideas.taken.len());
            let text = offer.map_or(String::new(), |o| {
                format!("{sign}  {:>5} {}: {}", signed(o.effort()), o.text, o.reason)
            });
            (text, false)
        }
    };
    let role = match (chosen, taken) {
        (true, _) => Role::Key,
        (false, true) => Role::Chord,
        (false, false) => Role::Text,
    };
    Line::from(span(brush, role, short(&plain_text(&text), width)))
}

/// A text cut to a width, with a sign that it goes on.
fn short(text: &str, width: usize) -> String {
    if text.chars().count() <= width {
        return text.to_owned();
    }
    let cut: String = text.chars().take(width.saturating_sub(1)).collect();
    cut + "…"
}
