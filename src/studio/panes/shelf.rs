//! The Shelf: songs with how far they have got, and what is laid over them.

use super::{lists, span, weighed};
use crate::arrange::Layer;
use crate::shelf::{Entry, Sort};
use crate::studio::brush::Brush;
use crate::studio::message::Message;
use crate::studio::screens::{Line as Typed, Pile, Shelf, Side};
use crate::studio::theme::Role;
use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::text::{Line, Span};
use ratatui::widgets::{Block, Paragraph};
use std::ops::Range;
use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// Columns of the key, of the number of bars and of each layer.
const KEY: usize = 13;
const BARS: usize = 4;
const LAYER: usize = 8;
/// From here on the tags stand beside the songs.
const WITH_TAGS: u16 = 110;
/// No title needs more columns, and the eye finds its way along the row.
pub(super) const TITLE: usize = 60;

/// Draws the Shelf.
pub(crate) fn shelf(shelf: &Shelf, brush: &Brush, frame: &mut Frame) {
    let [head, _, list, _, said, keys] = Layout::vertical([
        Constraint::Length(1),
        Constraint::Length(1),
        Constraint::Min(1),
        Constraint::Length(1),
        Constraint::Length(1),
        Constraint::Length(1),
    ])
    .areas(brush.area);
    frame.render_widget(heading(shelf, brush, head.width), head);
    let hint = match (&shelf.pile, shelf.side) {
        (Some(pile), _) => {
            draw_pile(pile, shelf, brush, list, frame);
            pile.hint()
        }
        (None, Side::Songs) => {
            songs(shelf, brush, list, frame);
            "type to find   ⟨Enter⟩ Desk   ⟨Ctrl-N⟩ new song   ⟨Tab⟩ setlists   ⟨Esc⟩ leave   ⟨?⟩ keys"
        }
        (None, Side::Setlists) => {
            lists::setlists(shelf, brush, list, frame);
            lists::hint(shelf)
        }
    };
    frame.render_widget(remark(shelf, brush), said);
    brush.hint(&format!(" {hint}"), keys, frame);
    if let Some(line) = &shelf.line {
        draw_line(line, brush, frame);
    }
}

fn heading(shelf: &Shelf, brush: &Brush, width: u16) -> Line<'static> {
    let (left, right) = match (&shelf.pile, shelf.side) {
        (Some(pile), _) => (pile.title(), String::new()),
        (None, Side::Songs) => (shelf.heading().to_string(), counted(shelf)),
        (None, Side::Setlists) => {
            let count = shelf.lists.len();
            let word = if count == 1 { "setlist" } else { "setlists" };
            ("Setlists".into(), format!("{count} {word}"))
        }
    };
    let gap = usize::from(width).saturating_sub(left.width() + right.width() + 2);
    Line::from(vec![
        span(brush, Role::Title, format!(" {left}")),
        Span::raw(" ".repeat(gap)),
        span(brush, Role::Quiet, right),
    ])
}

fn counted(shelf: &Shelf) -> String {
    let word = |n: usize| if n == 1 { "song" } else { "songs" };
    let (found, all) = (shelf.count(), shelf.entries.len());
    let count = match shelf.typed.trim() {
        "" => format!("{all} {}", word(all)),
        _ => format!("{found} of {all} {}", word(all)),
    };
    let order = match shelf.sort {
        Sort::Title => "by title",
        Sort::Key => "by key",
        Sort::Changed => "last changed first",
        Sort::Progress => "least far first",
    };
    match (shelf.unread, shelf.is_book()) {
        (_, true) => count,
        (0, _) => format!("{count}, {order}"),
        (n, _) => format!("{count}, {order}, {n} still being read"),
    }
}

fn songs(shelf: &Shelf, brush: &Brush, area: Rect, frame: &mut Frame) {
    let [find, columns, rows] = Layout::vertical([
        Constraint::Length(2),
        Constraint::Length(1),
        Constraint::Min(1),
    ])
    .areas(area);
    let find_line = Line::from(vec![
        span(brush, Role::Quiet, " find  "),
        span(brush, Role::Text, shelf.typed.clone()),
        span(brush, Role::Key, "▏"),
    ]);
    frame.render_widget(find_line, find);
    if let Some(text) = nothing_to_show(shelf) {
        frame.render_widget(teaching(&text, brush, rows.width), rows);
        return;
    }
    let widths = Widths::of(area.width);
    frame.render_widget(widths.head(brush), columns);
    let room = usize::from(rows.height).max(1);
    let at = shelf.at();
    let from = at.saturating_sub(room / 2);
    let from = from.min(shelf.count().saturating_sub(room));
    let lines: Vec<Line> = (shelf.found().enumerate().skip(from).take(room))
        .map(|(i, entry)| widths.row(entry, i == at, brush))
        .collect();
    frame.render_widget(Paragraph::new(lines), rows);
    let does = |i| Some(chosen(i, Some(at)));
    row_spots(brush, rows, from..shelf.count(), does);
}

/// What clicks do on the rows of a list, one line each; `rows` begin at the top of the area.
pub(super) fn row_spots(
    brush: &Brush,
    area: Rect,
    rows: Range<usize>,
    does: impl Fn(usize) -> Option<Message>,
) {
    for (y, i) in (area.y..area.bottom()).zip(rows) {
        let row = Rect {
            y,
            height: 1,
            ..area
        };
        brush.spot(row, does(i));
    }
}

/// A click on a row chooses it, one on the chosen row opens it.
pub(super) fn chosen(row: usize, at: Option<usize>) -> Message {
    match at {
        Some(at) if at == row => Message::Open,
        at => Message::Choose(row as isize - at.unwrap_or(0) as isize),
    }
}

fn nothing_to_show(shelf: &Shelf) -> Option<String> {
    let known = !shelf.entries.is_empty();
    match (shelf.listed, known, shelf.count()) {
        (false, false, _) => Some("Looking at your songs …".into()),
        (_, false, _) => Some(format!(
            "No songs lie here yet. ⟨Ctrl-N⟩ writes one; ⟨Ctrl-G⟩ gets them from a file: .toml, .abc, .mxl, \
             .mid. What was thrown away is still there: ⟨Ctrl-U⟩. The folder: {}",
            shelf.folder
        )),
        (_, true, 0) => Some(
            "No song has words in its title, key or tags that begin so. ⟨Backspace⟩ takes a letter \
             back, ⟨Esc⟩ all of them."
                .into(),
        ),
        _ => None,
    }
}

/// How wide the columns are.
struct Widths {
    title: usize,
    tags: usize,
}

impl Widths {
    fn of(width: u16) -> Widths {
        let fixed = 3 + KEY + BARS + 4 * LAYER + 2;
        let rest = usize::from(width).saturating_sub(fixed).max(8);
        match width {
            WITH_TAGS.. => Widths {
                title: (rest * 3 / 5).min(TITLE),
                tags: rest - rest * 3 / 5 - 3,
            },
            _ => Widths {
                title: rest,
                tags: 0,
            },
        }
    }

    fn head(&self, brush: &Brush) -> Line<'static> {
        let layers = Layer::ALL.map(|l| format!("{:>LAYER$}", l.name()));
        let tags = if self.tags > 0 { "   tags" } else { "" };
        let text = format!(
            "   {:<title$}{:<KEY$}{:>BARS$}{}{tags}",
            "title",
            "key",
            "bars",
            layers.concat(),
            title = self.title
        );
        Line::from(span(brush, Role::Quiet, text))
    }

    fn row(&self, entry: &Entry, chosen: bool, brush: &Brush) -> Line<'static> {
        let (sign, role) = match chosen {
            true => ("▸", Role::Cursor),
            false => (" ", Role::Text),
        };
        let mut spans = vec![
            span(brush, Role::Key, format!(" {sign} ")),
            span(brush, role, fitted(&entry.title, self.title - 1)),
            Span::raw(" "),
        ];
        if entry.problem.is_some() {
            spans.push(span(brush, Role::Warning, "! can't be read"));
            return Line::from(spans);
        }
        let bars = match entry.bars {
            0 => String::new(),
            n => n.to_string(),
        };
        spans.push(span(brush, Role::Chord, fitted(&entry.key, KEY)));
        spans.push(span(brush, Role::Quiet, format!("{bars:>BARS$}")));
        for done in entry.done {
            let (role, text) = match done {
                _ if entry.bars == 0 => (Role::Quiet, String::new()),
                0 => (Role::Quiet, "·".to_string()),
                n if n == entry.bars => (Role::Key, "all".into()),
                n => (Role::Text, n.to_string()),
            };
            spans.push(span(brush, role, format!("{text:>LAYER$}")));
        }
        if self.tags > 0 {
            let tags = format!("   {}", fitted(&entry.tags.join(", "), self.tags));
            spans.push(span(brush, Role::Quiet, tags));
        }
        Line::from(spans)
    }
}

/// What was last said, else what there is to know about the chosen song.
fn remark(shelf: &Shelf, brush: &Brush) -> Line<'static> {
    if let Some((weight, text)) = &shelf.said {
        return Line::from(span(brush, weighed(*weight), format!(" {text}")));
    }
    let entry = shelf.entry().filter(|_| shelf.pile.is_none());
    match (shelf.side, entry) {
        (Side::Songs, Some(entry)) => match (&entry.problem, entry.tags.as_slice()) {
            (Some(problem), _) => Line::from(span(brush, Role::Warning, format!(" {problem}"))),
            (None, []) if shelf.is_book() || entry.bars == 0 => Line::default(),
            (None, []) => {
                let text = " no tags: ⟨Ctrl-T⟩ gives it some, to find it by";
                Line::from(span(brush, Role::Quiet, text))
            }
            (None, tags) => {
                let text = format!(" tags: {}", tags.join(", "));
                Line::from(span(brush, Role::Quiet, text))
            }
        },
        _ => Line::default(),
    }
}

fn draw_pile(pile: &Pile, shelf: &Shelf, brush: &Brush, area: Rect, frame: &mut Frame) {
    let rows = pile.rows(&shelf.zone);
    if rows.is_empty() {
        frame.render_widget(teaching(pile.nothing(), brush, area.width), area);
        return;
    }
    let width = usize::from(area.width.saturating_sub(4)).max(1);
    let room = usize::from(area.height).max(1);
    let from = match pile.is_chosen_from() {
        true => (pile.at + 1).saturating_sub(room),
        false => pile.at,
    };
    let mut lines = Vec::new();
    for (i, text) in rows.iter().enumerate().skip(from) {
        let chosen = pile.is_chosen_from() && i == pile.at;
        let role = if chosen { Role::Cursor } else { Role::Text };
        let text = brush.says(text);
        // Each row that is chosen from is one line, so that the chosen one is seen.
        let parts = match pile.is_chosen_from() {
            true => vec![short(&text, width).into()],
            false => textwrap::wrap(&text, width),
        };
        for (part, text) in parts.iter().enumerate() {
            let sign = match (chosen, pile.is_chosen_from(), part) {
                (true, _, 0) => " ▸ ",
                (_, false, 0) => " · ",
                _ => "   ",
            };
            lines.push(Line::from(vec![
                span(brush, Role::Key, sign),
                span(brush, role, text.to_string()),
            ]));
        }
        if lines.len() >= room {
            break;
        }
    }
    frame.render_widget(Paragraph::new(lines), area);
    if pile.is_chosen_from() {
        let does = |i| Some(chosen(i, Some(pile.at)));
        row_spots(brush, area, from..rows.len(), does);
    }
}

/// A line that is being typed, in a box over everything.
pub(super) fn draw_line(line: &Typed, brush: &Brush, frame: &mut Frame) {
    let area = brush.area;
    let width = area.width.saturating_sub(8).clamp(1, 76);
    let inside = usize::from(width.saturating_sub(4)).max(1);
    let title = format!(" {} ", fitted(&line.title, line.title.width().min(inside)));
    let block = Block::bordered()
        .border_style(brush.style(Role::Quiet))
        .title(span(brush, Role::Title, title));
    let (role, said) = match &line.said {
        Some(text) => (Role::Warning, text.as_str()),
        None => (Role::Quiet, "⟨Enter⟩ that is it   ⟨Esc⟩ leave it"),
    };
    let mut lines = vec![
        Line::from(vec![
            Span::raw(" "),
            span(
                brush,
                if line.offered {
                    Role::Cursor
                } else {
                    Role::Text
                },
                end_of(&line.text, inside - 1),
            ),
            span(brush, Role::Key, "▏"),
        ]),
        Line::default(),
    ];
    // Nothing that is said is cut, however narrow the screen.
    for (role, text) in [(Role::Quiet, line.hint.as_str()), (role, said)] {
        lines.extend(brush.lines(role, text, inside, " "));
    }
    let shown = Rect {
        x: (area.width - width) / 2,
        y: area.height / 3,
        width,
        height: (lines.len() as u16 + 2).min(area.height - area.height / 3),
    };
    brush.wipe(frame, shown);
    frame.render_widget(Paragraph::new(lines).block(block), shown);
}

/// A sentence that teaches, where there is nothing to list.
pub(super) fn teaching(text: &str, brush: &Brush, width: u16) -> Paragraph<'static> {
    let width = usize::from(width.saturating_sub(6)).clamp(1, 74);
    Paragraph::new(brush.lines(Role::Quiet, text, width, "   "))
}

/// A text in exactly so many columns: cut with `…`, or filled with blanks.
pub(super) fn fitted(text: &str, width: usize) -> String {
    let mut out = String::new();
    let mut used = 0;
    let whole = text.width() <= width;
    let room = if whole {
        width
    } else {
        width.saturating_sub(1)
    };
    for c in text.chars() {
        let wide = c.width().unwrap_or(0);
        if used + wide > room {
            break;
        }
        out.push(c);
        used += wide;
    }
    if !whole && width > 0 {
        // A word is cut, not the blank behind it.
        out.truncate(out.trim_end().len());
        used = out.width();
        out.push('…');
        used += 1;
    }
    out + &" ".repeat(width.saturating_sub(used))
}

/// A text in so many columns at most: cut with `…` where it is longer.
pub(super) fn short(text: &str, width: usize) -> String {
    fitted(text, width).trim_end().to_string()
}

/// The end of a text that takes more than so many columns.
pub(super) fn end_of(text: &str, room: usize) -> &str {
    let mut used = 0;
    let mut from = text.len();
    for (at, c) in text.char_indices().rev() {
        used += c.width().unwrap_or(0);
        if used > room {
            break;
        }
        from = at;
    }
    text.get(from..).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn texts_are_cut_by_the_columns_that_they_take() {
        assert_eq!(end_of("abc", 2), "bc");
        assert_eq!(end_of("a港港", 3), "港");
        assert_eq!(end_of("港", 9), "港");
        assert_eq!(short("港港港", 5), "港港…");
        assert_eq!(short("ab", 5), "ab");
    }
}
