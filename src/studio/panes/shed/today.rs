//! The plan for today.

use super::super::span;
use super::teach;
use crate::practice::Turn;
use crate::studio::brush::Brush;
use crate::studio::log::Log;
use crate::studio::screens::Shed;
use crate::studio::theme::Role;
use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::text::Line;
use ratatui::widgets::{Paragraph, Wrap};

/// From this width on a turn says its tempo and length, too.
const WIDE: u16 = 50;

const FIRST: &str = "Nothing is logged yet. After each pass say whether it was clean, and tomorrow \
                     the plan knows what to bring back. ⟨t⟩ takes a turn, ⟨Space⟩ begins.";
const NOTHING_DUE: &str = "Nothing is due today: a bar that went well rests for some days, since \
                           skill settles between them. Any bar can be chosen with ⟨,⟩ and ⟨.⟩";

/// The turns of today, and what to do about them.
pub(super) fn today(shed: &Shed, log: &Log, brush: &Brush, area: Rect, frame: &mut Frame) {
    let title = || "Today".to_string();
    if !log.is_read {
        return teach(title(), "the log is being read", brush, area, frame);
    }
    if shed.turns.is_empty() {
        return teach(title(), NOTHING_DUE, brush, area, frame);
    }
    let first = log.records.is_empty();
    let taught = if first {
        lines_of(&brush.says(FIRST), area.width)
    } else {
        0
    };
    let [head, list, text] = Layout::vertical([
        Constraint::Length(1),
        Constraint::Length((shed.turns.len() as u16).min(area.height.saturating_sub(1 + taught))),
        Constraint::Min(0),
    ])
    .areas(area);
    frame.render_widget(
        Line::from(span(brush, Role::Title, heading(shed, log))),
        head,
    );
    let room = usize::from(list.height);
    let here = shed.turn.map_or(0, |(i, _)| i);
    let from = here
        .saturating_sub(room / 2)
        .min(shed.turns.len() - room.min(shed.turns.len()));
    let lines: Vec<Line> = (shed.turns.iter().enumerate().skip(from).take(room))
        .map(|(i, turn)| line(shed, i, turn, shed.is_done(i, log), brush, area.width))
        .collect();
    frame.render_widget(Paragraph::new(lines), list);
    if first {
        let line = brush.line(Role::Quiet, FIRST);
        frame.render_widget(Paragraph::new(line).wrap(Wrap { trim: true }), text);
    }
}

fn heading(shed: &Shed, log: &Log) -> String {
    let done = (0..shed.turns.len())
        .filter(|i| shed.is_done(*i, log))
        .count();
    match (done, shed.turns.len()) {
        (0, 1) => "Today: one turn".into(),
        (0, all) => format!("Today: {all} turns, {} minutes", shed.wishes.minutes),
        (done, all) => format!("Today: {done} of {all} turns done"),
    }
}

fn line(
    shed: &Shed,
    index: usize,
    turn: &Turn,
    done: bool,
    brush: &Brush,
    width: u16,
) -> Line<'static> {
    let here = shed.turn.is_some_and(|(i, _)| i == index);
    let (sign, role) = match (here, done) {
        (true, _) => ("▸", Role::Title),
        (_, true) => ("✓", Role::Quiet),
        _ => (" ", Role::Text),
    };
    let bar = shed.number(turn.passage.first());
    let mut text = format!("bar {bar:<3} ");
    if width >= WIDE {
        let (minutes, seconds) = (turn.seconds / 60, turn.seconds % 60);
        text += &format!("{minutes}:{seconds:02} at {:>3} %  ", turn.tempo);
    }
    Line::from(vec![
        span(brush, Role::Key, format!("{sign} ")),
        span(brush, role, text),
        span(brush, Role::Quiet, turn.reason.clone()),
    ])
}

/// How many lines a text takes.
fn lines_of(text: &str, width: u16) -> u16 {
    textwrap::wrap(text, usize::from(width.max(1))).len() as u16
}
