//! The ideas for the bar under the cursor: what each does, why, and what it costs the hands.

use super::shelf::{row_spots, short};
use super::span;
use crate::arrange::why;
use crate::exchange::plain_text;
use crate::studio::brush::Brush;
use crate::studio::message::Message;
use crate::studio::screens::{Desk, Ideas, Shown, signed};
use crate::studio::theme::Role;
use ratatui::layout::Rect;
use ratatui::text::Line;

/// The lines of the pane, the list kept around the chosen idea where there is no room for all.
pub(crate) fn ideas(
    desk: &Desk,
    brush: &Brush,
    (width, height): (usize, usize),
) -> Vec<Line<'static>> {
    if let Some(shown) = &desk.proposal {
        return proposal(desk, shown, brush, (width, height));
    }
    let number = desk.arrangement.song.number(desk.bar());
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
    lines.extend(
        listed((ideas.chosen, ideas.len()), height).map(|at| row(desk, brush, ideas, at, width)),
    );
    lines
}

/// A proposal bar by bar: what it would do where, why, and what it costs in all.
fn proposal(
    desk: &Desk,
    shown: &Shown,
    brush: &Brush,
    (width, height): (usize, usize),
) -> Vec<Line<'static>> {
    let proposed = &shown.proposed;
    let heard = if shown.with { "with them" } else { "without" };
    let head = format!(
        " {}, {}, {}; heard {heard}",
        proposed.proposal.name(),
        shown.size(),
        signed(proposed.more()),
    );
    let head = short(&head, width);
    let mut lines = vec![Line::from(span(brush, Role::Title, head))];
    if proposed.offers.is_empty() {
        let text = " nothing that is worth its effort here";
        lines.push(Line::from(span(brush, Role::Quiet, text)));
    }
    for at in listed((shown.chosen, proposed.offers.len()), height) {
        let Some(offer) = proposed.offers.get(at) else {
            break;
        };
        let (sign, role) = match at == shown.chosen {
            true => ('▸', Role::Key),
            false => (' ', Role::Text),
        };
        let text = format!(
            "{sign}bar {:<3} {:>5} {}: {}",
            desk.arrangement.song.number(offer.idea.bar),
            signed(offer.effort()),
            offer.text,
            offer.reason
        );
        let text = short(&plain_text(&text), width);
        lines.push(Line::from(span(brush, role, text)));
    }
    lines
}

/// The lines of a list that there is room for under the head, around the chosen one.
fn listed((chosen, len): (usize, usize), height: usize) -> std::ops::Range<usize> {
    let room = height.saturating_sub(1).max(1);
    let from = (chosen.saturating_sub(room / 2)).min(len.saturating_sub(room));
    from..len.min(from + room)
}

/// A click on an idea chooses it, one on the chosen idea of a bar takes it.
pub(crate) fn idea_spots(desk: &Desk, brush: &Brush, area: Rect) {
    let here = desk.ideas.as_ref().filter(|i| i.bar == desk.bar());
    let (chosen, len) = match (&desk.proposal, here) {
        (Some(shown), _) => (shown.chosen, shown.proposed.offers.len()),
        (None, Some(ideas)) => (ideas.chosen, ideas.len()),
        (None, None) => return,
    };
    let does = |at| match (at == chosen, &desk.proposal) {
        (true, Some(_)) => None,
        (true, None) => Some(Message::TakeIdea),
        (false, _) => Some(Message::Idea(at as isize - chosen as isize)),
    };
    let rows = Rect {
        y: area.y + 1,
        height: area.height.saturating_sub(1),
        ..area
    };
    row_spots(brush, rows, listed((chosen, len), area.height.into()), does);
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
