//! The parts that screens are drawn from.

mod big;
mod help;
mod ideas;
mod lines;
mod lists;
mod neck;
mod shed;
mod shelf;
mod stand;
mod tab;
mod ways;
mod writing;

pub(super) use help::help;
pub(super) use ideas::ideas;
pub(super) use lines::{footer, legend, reason, stretch, title};
pub(super) use neck::neck;
pub(super) use shed::shed;
pub(super) use shelf::shelf;
pub(super) use stand::stand;
pub(super) use tab::tab;
pub(super) use ways::ways;
pub(super) use writing::writing;

use super::theme::{Role, Theme};
use ratatui::text::Span;

/// A text painted by its meaning.
fn span(theme: &Theme, role: Role, text: impl Into<String>) -> Span<'static> {
    Span::styled(text.into(), theme.style(role))
}
