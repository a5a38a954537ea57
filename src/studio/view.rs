//! The state drawn. Nothing here changes anything.

use super::panes;
use super::screens::Desk;
use super::state::{Screen, Studio};
use super::theme::{Role, Theme};
use crate::arrange::Layer;
use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;

/// The smallest terminal that everything fits.
const SMALLEST: (u16, u16) = (80, 24);
/// The smallest one on which anything but a sentence is drawn.
const LEAST: (u16, u16) = (60, 18);
/// Columns of the pane beside the tab.
const BESIDE: u16 = 18;

/// Draws the studio.
pub fn view(studio: &Studio, frame: &mut Frame) {
    let theme = &studio.theme;
    let area = frame.area();
    if area.width < LEAST.0 || area.height < LEAST.1 {
        frame.render_widget(too_small(area, theme), area);
        return;
    }
    match &studio.screen {
        Screen::Shelf(shelf) => panes::shelf(shelf, theme, frame),
        Screen::Desk(desk) => draw_desk(desk, theme, frame),
        Screen::Writing(writing) => panes::writing(writing, theme, frame),
        Screen::Shed(shed) => panes::shed(shed, &studio.log, theme, frame),
        Screen::Stand(stand) => panes::stand(stand, theme, frame),
    }
    if studio.help {
        panes::help(frame, theme, studio.place());
    }
}

/// What is said where hardly anything fits.
fn too_small(area: Rect, theme: &Theme) -> Paragraph<'static> {
    let text = format!(
        "This terminal is {}×{}. Thumbline needs 80×24: make the window larger or its letters \
         smaller. Nothing is lost meanwhile.",
        area.width, area.height
    );
    let lines = textwrap::wrap(&text, usize::from(area.width.max(1)));
    let lines: Vec<Line> = (lines.iter())
        .map(|l| Line::from(painted(theme, Role::Text, l.to_string())))
        .collect();
    Paragraph::new(lines)
}

fn painted(theme: &Theme, role: Role, text: impl Into<String>) -> Span<'static> {
    Span::styled(text.into(), theme.style(role))
}

fn draw_desk(desk: &Desk, theme: &Theme, frame: &mut Frame) {
    let area = frame.area();
    // The ideas of the fourth layer lie under the tab; the tab keeps at least two thirds.
    let ideas_high = match desk.options.layer {
        Layer::Colour => (area.height / 4).clamp(4, 14),
        _ => 0,
    };
    let [title, middle, ideas, chord, stretch, reason, said, keys] = Layout::vertical([
        Constraint::Length(1),
        Constraint::Min(1),
        Constraint::Length(ideas_high),
        Constraint::Length(1),
        Constraint::Length(1),
        Constraint::Length(1),
        Constraint::Length(1),
        Constraint::Length(1),
    ])
    .areas(area);
    frame.render_widget(panes::title(desk, theme), title);
    let [tab, beside] =
        Layout::horizontal([Constraint::Min(1), Constraint::Length(BESIDE)]).areas(middle);
    panes::tab(desk, theme, tab, frame.buffer_mut());
    draw_beside(desk, theme, beside, frame);
    if ideas_high > 0 {
        let room = (ideas.width.into(), ideas.height.into());
        frame.render_widget(Paragraph::new(panes::ideas(desk, theme, room)), ideas);
    }
    frame.render_widget(panes::legend(desk, theme), chord);
    frame.render_widget(panes::stretch(desk, theme), stretch);
    frame.render_widget(panes::reason(desk, theme), reason);
    frame.render_widget(panes::footer(desk, theme), said);
    let small = area.width < SMALLEST.0 || area.height < SMALLEST.1;
    let hint = if small {
        format!(
            " {}×{} is small: 80×24 shows it all   ? keys",
            area.width, area.height
        )
    } else {
        " ? keys  Space play  h hear  n write  p pin  e easier  f fuller  w Shed  q leave".into()
    };
    frame.render_widget(Line::from(painted(theme, Role::Quiet, hint)), keys);
}

/// The neck, and below it the ways to play the bar.
fn draw_beside(desk: &Desk, theme: &Theme, area: Rect, frame: &mut Frame) {
    let area = Rect {
        x: area.x + 1,
        width: area.width.saturating_sub(1),
        ..area
    };
    let neck = panes::neck(desk, theme);
    let [top, bottom] = Layout::vertical([
        Constraint::Length(neck.len() as u16 + 1),
        Constraint::Min(0),
    ])
    .areas(area);
    frame.render_widget(Paragraph::new(neck), top);
    let ways = panes::ways(desk, theme, usize::from(bottom.height));
    frame.render_widget(Paragraph::new(ways), bottom);
}
