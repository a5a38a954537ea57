//! The parts that screens are drawn from.

mod big;
mod help;
mod ideas;
mod lines;
mod lists;
mod neck;
mod shed;
mod shelf;
mod staff;
mod stand;
mod tab;
mod tour;
mod ways;
mod writing;

pub(super) use help::help;
pub(super) use ideas::{idea_spots, ideas};
pub(super) use lines::{footer, legend, reason, stretch, title};
pub(super) use neck::neck;
pub(super) use shed::shed;
pub(super) use shelf::shelf;
pub(super) use stand::stand;
pub(super) use tab::{tab, tab_heights};
pub(super) use tour::{TOUR, tour};
pub(super) use ways::ways;
pub(super) use writing::writing;

use super::brush::Brush;
use super::screens::Weight;
use super::theme::Role;
use ratatui::text::Span;
use std::borrow::Cow;

/// A text painted by its meaning, its keys named as this player has them.
pub(super) fn span(brush: &Brush, role: Role, text: impl Into<String>) -> Span<'static> {
    let text = text.into();
    match brush.says(&text) {
        Cow::Borrowed(_) => Span::styled(text, brush.style(role)),
        Cow::Owned(said) => Span::styled(said, brush.style(role)),
    }
}

/// The role that what is said is painted in.
fn weighed(weight: Weight) -> Role {
    match weight {
        Weight::News => Role::Key,
        Weight::Trouble => Role::Danger,
    }
}
