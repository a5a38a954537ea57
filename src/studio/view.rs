//! The state drawn. Nothing here changes anything.

use super::panes;
use super::screens::{Desk, Start};
use super::state::{Screen, Studio};
use super::theme::{Role, Theme};
use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;

/// The smallest terminal that everything fits.
const SMALLEST: (u16, u16) = (80, 24);
/// Columns of the pane beside the tab.
const BESIDE: u16 = 18;

/// Draws the studio.
pub fn view(studio: &Studio, frame: &mut Frame) {
    let theme = &studio.theme;
    match &studio.screen {
        Screen::Start(start) => draw_start(start, theme, frame),
        Screen::Desk(desk) => draw_desk(desk, theme, frame),
        Screen::Shed(shed) => panes::shed(shed, &studio.log, theme, frame),
    }
    if studio.help {
        panes::help(frame, theme, studio.place());
    }
}

fn painted(theme: &Theme, role: Role, text: impl Into<String>) -> Span<'static> {
    Span::styled(text.into(), theme.style(role))
}

fn draw_desk(desk: &Desk, theme: &Theme, frame: &mut Frame) {
    let area = frame.area();
    let [title, middle, chord, stretch, reason, said, keys] = Layout::vertical([
        Constraint::Length(1),
        Constraint::Min(1),
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
        " ? keys   Space play   o loop bar   p pin   e easier   f fuller   q leave".into()
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

fn draw_start(start: &Start, theme: &Theme, frame: &mut Frame) {
    let [head, list, foot] = Layout::vertical([
        Constraint::Length(4),
        Constraint::Min(1),
        Constraint::Length(2),
    ])
    .areas(frame.area());
    let head_lines = vec![
        Line::from(painted(theme, Role::Title, " Thumbline")),
        Line::default(),
        Line::from(vec![
            painted(theme, Role::Quiet, " find: "),
            painted(theme, Role::Text, start.typed.clone()),
            painted(theme, Role::Cursor, "▏"),
        ]),
    ];
    frame.render_widget(Paragraph::new(head_lines), head);
    let found = start.found();
    let room = usize::from(list.height).max(1);
    let from = (start.chosen + 1).saturating_sub(room);
    let mut lines: Vec<Line> = (found.iter().enumerate().skip(from).take(room))
        .map(|(i, choice)| {
            let (sign, role) = if i == start.chosen {
                ("▸", Role::Cursor)
            } else {
                (" ", Role::Text)
            };
            Line::from(vec![
                painted(theme, Role::Key, format!(" {sign} ")),
                painted(theme, role, format!("{:<36}", choice.title)),
                painted(theme, Role::Quiet, format!("  {}", choice.about)),
            ])
        })
        .collect();
    if found.is_empty() {
        let text = "   No song has that in its title, key or meter. Backspace takes a letter back.";
        lines.push(Line::from(painted(theme, Role::Quiet, text)));
    }
    frame.render_widget(Paragraph::new(lines), list);
    let said = match &start.trouble {
        Some(text) => painted(theme, Role::Danger, format!(" {text}")),
        None => painted(theme, Role::Quiet, format!(" {} songs", found.len())),
    };
    let keys = painted(
        theme,
        Role::Quiet,
        " type to find   ↑↓ choose   Enter open   Esc leave   ? keys",
    );
    frame.render_widget(
        Paragraph::new(vec![Line::from(said), Line::from(keys)]),
        foot,
    );
}
