//! The strip below the screen in which the tour speaks.

use super::span;
use crate::studio::brush::Brush;
use crate::studio::theme::Role;
use crate::studio::tour::Tour;
use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::widgets::{Block, Borders, Paragraph};

/// Rows of the strip: a rule and two lines.
pub(crate) const TOUR: u16 = 3;

/// Says what is to be tried next.
pub(crate) fn tour(tour: &Tour, brush: &Brush, area: Rect, frame: &mut Frame) {
    let block = Block::new()
        .borders(Borders::TOP)
        .border_style(brush.style(Role::Key))
        .title(span(brush, Role::Title, format!(" {} ", tour.title())));
    let width = usize::from(area.width.saturating_sub(2));
    let text = tour.text(brush.place);
    let lines = brush.lines(Role::Text, &text, width, " ");
    frame.render_widget(Paragraph::new(lines).block(block), area);
}
