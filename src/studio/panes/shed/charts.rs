//! The charts of the Shed: tempo and time over days, effort over bars.

use super::super::span;
use super::teach;
use crate::practice::{by_day, tempo_over_days};
use crate::studio::brush::Brush;
use crate::studio::log::Log;
use crate::studio::screens::Shed;
use crate::studio::theme::Role;
use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::Style;
use ratatui::text::Line;
use ratatui::widgets::{Bar, BarChart, BarGroup, Paragraph};
use std::ops::Range;

/// Columns of a day beside its bar: the date, the tempo, the time.
const DATE: usize = 7;
const FIGURES: usize = 14;
/// The longest bar of a day, and the widest of a bar's effort.
const LONGEST: usize = 50;
const WIDEST: usize = 3;

/// The fastest clean tempo of each day, and how long was practised on it.
pub(super) fn tempo(shed: &Shed, log: &Log, brush: &Brush, area: Rect, frame: &mut Frame) {
    let bar = shed.passage.first();
    let title = format!("Bar {}: clean tempo, │ goal, time", shed.number(bar));
    let days = by_day(&log.records, Some(&shed.song));
    if days.is_empty() {
        let text = "This song is not in the log yet. Each day of practice gets a line here, with \
                    the fastest tempo at which the bar was clean.";
        return teach(title, text, brush, area, frame);
    }
    let tempos = tempo_over_days(&log.records, &shed.song, Some(bar));
    let best = tempos.iter().map(|t| t.1).max().unwrap_or(0);
    let most = usize::from(best.max(shed.wishes.goal));
    let room = usize::from(area.width)
        .saturating_sub(DATE + FIGURES + 1)
        .clamp(1, LONGEST);
    // A line below stays free.
    let shown = usize::from(area.height.saturating_sub(2));
    let mut lines = vec![Line::from(span(brush, Role::Title, title))];
    for (day, seconds) in days.iter().skip(days.len().saturating_sub(shown)) {
        let tempo = tempos
            .iter()
            .find(|t| t.0 == *day)
            .map(|t| usize::from(t.1));
        let long = tempo.map_or(0, |t| t * room / most.max(1));
        let goal = usize::from(shed.wishes.goal) * room / most.max(1);
        let said = tempo.map_or("  –  ".into(), |t| format!("{t:>3} %"));
        lines.push(Line::from(vec![
            span(
                brush,
                Role::Quiet,
                format!("{:<DATE$}", day.strftime("%-d %b").to_string()),
            ),
            span(brush, Role::Melody, "▬".repeat(long)),
            span(brush, Role::Quiet, "·".repeat(goal.saturating_sub(long))),
            span(
                brush,
                Role::Quiet,
                format!("│{}", " ".repeat(room - long.max(goal))),
            ),
            span(brush, Role::Text, said),
            span(
                brush,
                Role::Quiet,
                format!("{:>5} min", seconds.div_ceil(60)),
            ),
        ]));
    }
    frame.render_widget(Paragraph::new(lines), area);
}

/// What each bar costs the hands, with the bars in question marked below.
pub(super) fn effort(shed: &Shed, brush: &Brush, area: Rect, frame: &mut Frame) {
    let title = "Effort over bars, ▲ the bars here".to_string();
    if shed.efforts.iter().all(|e| *e <= 0) {
        let text = "No bar of this song costs the hands anything yet; add a layer on the Desk.";
        return teach(title, text, brush, area, frame);
    }
    let [head, chart, marks, numbers] = Layout::vertical([
        Constraint::Length(1),
        Constraint::Min(1),
        Constraint::Length(1),
        Constraint::Length(1),
    ])
    .areas(area);
    frame.render_widget(Line::from(span(brush, Role::Title, title)), head);
    let room = usize::from(area.width).max(1);
    let wide = (room / shed.efforts.len().max(1)).clamp(1, WIDEST);
    let shown = window(shed, room / wide);
    let here = |bar: usize| shed.passage.bars().contains(&bar);
    let bars: Vec<Bar> = shown
        .clone()
        .map(|bar| column(shed, bar, here(bar), brush))
        .collect();
    let most = shed.efforts.iter().copied().max().unwrap_or(1).max(1) as u64;
    let widget = BarChart::default()
        .data(BarGroup::default().bars(&bars))
        .bar_width(wide as u16)
        .bar_gap(0)
        .max(most);
    frame.render_widget(widget, chart);
    let under: String = (shown.clone())
        .map(|bar| if here(bar) { "▲" } else { " " }.repeat(wide))
        .collect();
    frame.render_widget(Line::from(span(brush, Role::Key, under)), marks);
    let line = numbered(shed, shown, wide);
    frame.render_widget(Line::from(span(brush, Role::Quiet, line)), numbers);
}

fn column(shed: &Shed, bar: usize, here: bool, brush: &Brush) -> Bar<'static> {
    let style = brush.style(if here { Role::Melody } else { Role::Quiet });
    let effort = shed.efforts.get(bar).copied().unwrap_or(0).max(0);
    Bar::default()
        .value(effort as u64)
        .text_value(String::new())
        .style(Style::default().patch(style))
}

/// The bars that fit, those in question among them.
fn window(shed: &Shed, room: usize) -> Range<usize> {
    let count = shed.efforts.len();
    let from = shed.passage.first().saturating_sub(room / 3);
    let from = from.min(count.saturating_sub(room));
    from..(from + room).min(count)
}

/// The numbers of every fifth bar, and of the first.
fn numbered(shed: &Shed, shown: Range<usize>, wide: usize) -> String {
    let mut line = String::new();
    for (i, bar) in shown.enumerate() {
        let number = shed.number(bar);
        if (i == 0 || number.is_multiple_of(5)) && line.len() <= i * wide {
            line += &" ".repeat(i * wide - line.len());
            line += &format!("{number} ");
        }
    }
    line
}
