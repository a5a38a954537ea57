//! The Shed drawn: the bars on top, then what to do now, below it what is set and what is due.

mod bars;
mod charts;
mod lines;
mod today;

use super::shelf::row_spots;
use super::span;
use crate::studio::brush::Brush;
use crate::studio::log::Log;
use crate::studio::message::Message;
use crate::studio::screens::{Pane, Setting, Shed};
use crate::studio::theme::Role;
use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::text::Line;
use ratatui::widgets::{Paragraph, Wrap};
use std::ops::Range;

/// The smallest terminal that everything fits.
const SMALLEST: (u16, u16) = (80, 21);
/// Lines that are always there: title, what to do, way up, care, keys.
const ALWAYS: u16 = 5;
/// Rows of the settings that are seen at least; the bars come before the others.
const FEWEST: u16 = 3;
/// Columns of the settings: what is played, and how.
const WHAT: u16 = 22;
const HOW: u16 = 24;
/// From this size on all panes are shown at once.
const WIDE: u16 = 70;
const HIGH: u16 = 12;
/// Columns of the plan beside the charts, at least and at most, and lines of a chart at most.
const PLAN: (u16, u16) = (36, 56);
const CHART: u16 = 12;

/// Draws the Shed.
pub(crate) fn shed(shed: &Shed, log: &Log, brush: &Brush, frame: &mut Frame) {
    let area = brush.area;
    if area.width < SMALLEST.0 || area.height < SMALLEST.1 {
        return small(brush, frame);
    }
    let settings = settings_height(shed);
    let spare = area.height.saturating_sub(ALWAYS + settings);
    let most = area.height.saturating_sub(ALWAYS + FEWEST);
    let rows = bars::rows(shed, spare, most);
    let left = spare.saturating_sub(rows.len() as u16);
    let [title, _, bars, _, now, way, _, below, care, keys] = Layout::vertical([
        Constraint::Length(1),
        Constraint::Length(u16::from(left > 2)),
        Constraint::Length(rows.len() as u16),
        Constraint::Length(u16::from(left > 1)),
        Constraint::Length(1),
        Constraint::Length(1),
        Constraint::Length(u16::from(left > 0)),
        Constraint::Fill(1),
        Constraint::Length(1),
        Constraint::Length(1),
    ])
    .areas(area);
    frame.render_widget(lines::title(shed, log, brush), title);
    bars::bars(shed, brush, &rows, bars, frame.buffer_mut());
    frame.render_widget(lines::now(shed, brush), now);
    frame.render_widget(lines::way(shed, log, brush), way);
    frame.render_widget(lines::care(shed, log, brush), care);
    brush.hint(lines::KEYS, keys, frame);
    let [what, how, beside] = Layout::horizontal([
        Constraint::Length(WHAT),
        Constraint::Length(HOW),
        Constraint::Min(0),
    ])
    .areas(below);
    let split = split(shed);
    draw_settings(shed, brush, 0..split, what, frame);
    draw_settings(shed, brush, split..shed.settings().len(), how, frame);
    draw_beside(shed, log, brush, beside, frame);
}

/// A terminal on which nothing could be read from behind a guitar.
fn small(brush: &Brush, frame: &mut Frame) {
    let area = brush.area;
    let text = format!(
        "The Shed is read from behind a guitar and needs {} columns and {} lines; this terminal \
         has {} and {}. Make it larger, or go back with ⟨Esc⟩.",
        SMALLEST.0, SMALLEST.1, area.width, area.height
    );
    let line = Line::from(span(brush, Role::Text, text));
    frame.render_widget(Paragraph::new(line).wrap(Wrap { trim: true }), area);
}

/// How many settings say what is played.
fn split(shed: &Shed) -> usize {
    let settings = shed.settings();
    let how = settings.iter().position(|s| *s == Setting::From);
    how.unwrap_or(settings.len())
}

fn settings_height(shed: &Shed) -> u16 {
    let split = split(shed);
    split.max(shed.settings().len() - split) as u16
}

/// The settings of a column that there is room for, the chosen one among them.
fn seen(part: Range<usize>, chosen: usize, room: usize) -> Range<usize> {
    let last = part.end.saturating_sub(room).max(part.start);
    let from = match part.contains(&chosen) {
        true => (chosen + 1).saturating_sub(room).clamp(part.start, last),
        false => part.start,
    };
    from..part.end.min(from + room)
}

fn draw_settings(shed: &Shed, brush: &Brush, part: Range<usize>, area: Rect, frame: &mut Frame) {
    let part = seen(part, shed.row, area.height.into());
    let does = |i| Some(Message::Choose(i as isize - shed.row as isize));
    row_spots(brush, area, part.clone(), does);
    let settings = shed.settings();
    let lines: Vec<Line> = (settings.iter().enumerate())
        .filter(|(i, _)| part.contains(i))
        .map(|(i, &setting)| {
            let here = i == shed.row;
            let (sign, role) = match here {
                true => ("▸", Role::Cursor),
                false => (" ", Role::Text),
            };
            Line::from(vec![
                span(brush, Role::Key, format!(" {sign}")),
                span(brush, Role::Quiet, format!("{:<9}", setting.name())),
                span(brush, role, shed.value(setting)),
            ])
        })
        .collect();
    frame.render_widget(Paragraph::new(lines), area);
}

/// The plan and the charts: all of them where there is room, else the one chosen.
fn draw_beside(shed: &Shed, log: &Log, brush: &Brush, area: Rect, frame: &mut Frame) {
    if area.width < WIDE || area.height < HIGH {
        return draw_pane(shed.pane, shed, log, brush, area, frame);
    }
    let plan = (area.width * 2 / 5).clamp(PLAN.0, PLAN.1);
    let [left, right] =
        Layout::horizontal([Constraint::Length(plan), Constraint::Min(0)]).areas(area);
    let each = (area.height / 2).min(CHART);
    let [top, bottom, _] = Layout::vertical([
        Constraint::Length(each),
        Constraint::Length(each),
        Constraint::Min(0),
    ])
    .areas(right);
    for (pane, area) in [
        (Pane::Today, left),
        (Pane::Tempo, top),
        (Pane::Effort, bottom),
    ] {
        let area = Rect {
            width: area.width.saturating_sub(2),
            ..area
        };
        draw_pane(pane, shed, log, brush, area, frame);
    }
}

fn draw_pane(pane: Pane, shed: &Shed, log: &Log, brush: &Brush, area: Rect, frame: &mut Frame) {
    match pane {
        Pane::Today => today::today(shed, log, brush, area, frame),
        Pane::Tempo => charts::tempo(shed, log, brush, area, frame),
        Pane::Effort => charts::effort(shed, brush, area, frame),
    }
}

/// A title and a text below it, broken into lines.
fn teach(title: String, text: &str, brush: &Brush, area: Rect, frame: &mut Frame) {
    let lines = vec![
        Line::from(span(brush, Role::Title, title)),
        brush.line(Role::Quiet, text),
    ];
    frame.render_widget(Paragraph::new(lines).wrap(Wrap { trim: true }), area);
}
