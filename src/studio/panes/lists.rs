//! The setlists: all of them on the left, the songs of one on the right.

use super::shelf::{TITLE, chosen, fitted, row_spots, teaching};
use super::span;
use crate::studio::brush::Brush;
use crate::studio::disk::List;
use crate::studio::message::{Ask, Message};
use crate::studio::screens::Shelf;
use crate::studio::theme::Role;
use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

/// Columns of the setlists.
const LISTS: u16 = 32;

/// Draws the setlists.
pub(super) fn setlists(shelf: &Shelf, brush: &Brush, area: Rect, frame: &mut Frame) {
    if shelf.lists.is_empty() {
        let text = "There are no setlists yet. ⟨n⟩ makes one; or ⟨Tab⟩ to the songs, where ⟨Ctrl-L⟩ puts \
                    one into a list.";
        frame.render_widget(teaching(text, brush, area.width), area);
        return;
    }
    let [left, right] =
        Layout::horizontal([Constraint::Length(LISTS), Constraint::Min(1)]).areas(area);
    let room = usize::from(area.height).max(1);
    let from = (shelf.list + 1).saturating_sub(room);
    let rows = shelf.lists.iter().enumerate().skip(from).take(room);
    let lines: Vec<Line> = rows.map(|(i, list)| row(shelf, i, list, brush)).collect();
    frame.render_widget(Paragraph::new(lines), left);
    let does = |i| match shelf.song {
        None => Some(chosen(i, Some(shelf.list))),
        Some(_) => Some(Message::Shelf(Ask::Side(-1))),
    };
    row_spots(brush, left, from..shelf.lists.len(), does);
    if let Some(list) = shelf.chosen_list() {
        songs(shelf, list, brush, right, frame);
    }
}

fn row(shelf: &Shelf, i: usize, list: &List, brush: &Brush) -> Line<'static> {
    let (sign, role) = match (i == shelf.list, shelf.song) {
        (true, None) => ("▸", Role::Cursor),
        (true, Some(_)) => ("›", Role::Title),
        (false, _) => (" ", Role::Text),
    };
    let title = fitted(&list.title, usize::from(LISTS) - 10);
    Line::from(vec![
        span(brush, Role::Key, format!(" {sign} ")),
        span(brush, role, title),
        span(brush, Role::Quiet, format!("{:>3}", list.songs.len())),
    ])
}

fn songs(shelf: &Shelf, list: &List, brush: &Brush, area: Rect, frame: &mut Frame) {
    if let Some(problem) = &list.problem {
        frame.render_widget(teaching(problem, brush, area.width), area);
        return;
    }
    if list.songs.is_empty() {
        let text =
            "No songs are in it yet. ⟨Tab⟩ goes to the songs; ⟨Ctrl-L⟩ puts the chosen one here.";
        frame.render_widget(teaching(text, brush, area.width), area);
        return;
    }
    let room = usize::from(area.height).max(1);
    let from = (shelf.song.unwrap_or(0) + 1).saturating_sub(room);
    let width = usize::from(area.width).saturating_sub(22).clamp(8, TITLE);
    let rows = list.songs.iter().enumerate().skip(from).take(room);
    let lines: Vec<Line> = rows
        .map(|(i, name)| {
            let (sign, role) = match shelf.song == Some(i) {
                true => ("▸", Role::Cursor),
                false => (" ", Role::Text),
            };
            let (title, about) = match shelf.named(name) {
                Some(entry) => (entry.title.clone(), entry.key.clone()),
                None => (name.to_string(), "not here".into()),
            };
            Line::from(vec![
                span(brush, Role::Key, format!(" {sign} ")),
                span(brush, Role::Quiet, format!("{:>2}  ", i + 1)),
                span(brush, role, fitted(&title, width)),
                span(brush, Role::Chord, format!("  {about}")),
            ])
        })
        .collect();
    frame.render_widget(Paragraph::new(lines), area);
    let does = |i| match shelf.song {
        None => Some(Message::Shelf(Ask::Side(1))),
        at => Some(chosen(i, at)),
    };
    row_spots(brush, area, from..list.songs.len(), does);
}

/// The keys that matter most.
pub(super) fn hint(shelf: &Shelf) -> &'static str {
    match (shelf.lists.is_empty(), shelf.song) {
        (true, _) => "⟨n⟩ new setlist   ⟨Tab⟩ songs   ⟨Ctrl-U⟩ bin   ⟨?⟩ keys",
        (_, None) => {
            "⟨n⟩ new   ⟨→⟩ its songs   ⟨Ctrl-R⟩ Stand   ⟨Ctrl-E⟩ write   ⟨Tab⟩ songs   ⟨?⟩ keys"
        }
        (_, Some(_)) => {
            "⟨<⟩ ⟨>⟩ move it   ⟨Del⟩ off the list   ⟨Enter⟩ Desk   ⟨Ctrl-R⟩ Stand   ⟨?⟩ keys"
        }
    }
}
