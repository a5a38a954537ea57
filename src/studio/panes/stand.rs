//! The Stand: few bars, far apart, with the bar number and the chords in large letters.

use super::big::{ROWS, big};
use super::lines::layer_role;
use super::shelf::{fitted, teaching};
use super::span;
use crate::exchange::tab::{Block, Rows};
use crate::studio::brush::Brush;
use crate::studio::screens::{FOOT, HEAD, Layout as Plan, PREFIX, Page, Sheet, Stand, Weight};
use crate::studio::theme::Role;
use crate::theory::Ticks;
use ratatui::Frame;
use ratatui::buffer::Buffer;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::Style;
use ratatui::text::Line;
use unicode_width::UnicodeWidthStr;

/// Columns of the bar number.
const NUMBER: u16 = 16;

/// Draws the Stand.
pub(crate) fn stand(stand: &Stand, brush: &Brush, frame: &mut Frame) {
    let [head, middle, foot] = Layout::vertical([
        Constraint::Length(HEAD),
        Constraint::Min(1),
        Constraint::Length(FOOT),
    ])
    .areas(brush.area);
    let [title, large, _] = Layout::vertical([
        Constraint::Length(1),
        Constraint::Length(ROWS as u16),
        Constraint::Min(0),
    ])
    .areas(head);
    frame.render_widget(heading(stand, brush, title.width), title);
    match &stand.page {
        Page::Coming => frame.render_widget(teaching("…", brush, middle.width), middle),
        Page::Failed(why) => frame.render_widget(teaching(why, brush, middle.width), middle),
        Page::Sheet(sheet) => {
            draw_large(stand, sheet, brush, large, frame.buffer_mut());
            let plan = Plan::new(&sheet.strip, (brush.area.width, brush.area.height));
            let paper = Paper {
                stand,
                sheet,
                brush,
                plan: &plan,
            };
            paper.draw(middle, frame.buffer_mut());
        }
    }
    footer(stand, brush, foot, frame);
}

fn heading(stand: &Stand, brush: &Brush, width: u16) -> Line<'static> {
    let place = match &stand.evening {
        Some(evening) => format!("{evening}, {} of {}", stand.at + 1, stand.songs.len()),
        None => String::new(),
    };
    let room = usize::from(width).saturating_sub(place.width() + 3);
    let title = fitted(stand.title(), room);
    Line::from(vec![
        span(brush, Role::Title, format!(" {title} ")),
        span(brush, Role::Quiet, place),
    ])
}

/// What was last said, else which song comes next, and the keys.
fn footer(stand: &Stand, brush: &Brush, area: Rect, frame: &mut Frame) {
    if let Some((weight, text)) = &stand.said {
        let role = match weight {
            Weight::News => Role::Key,
            Weight::Trouble => Role::Danger,
        };
        let line = Line::from(span(brush, role, format!(" {text}")));
        frame.render_widget(line, area);
        return;
    }
    let mut words = String::from(" ⟨PgDn⟩ on   ⟨Space⟩ play   ⟨Esc⟩ back   ⟨?⟩ keys");
    if stand.speed != 100 {
        words += &format!("   {}%", stand.speed);
    }
    if stand.click {
        words += "   click";
    }
    if let Some((_, title)) = stand.songs.get(stand.at + 1) {
        words += &format!("   then: {title}");
    }
    brush.hint(&words, area, frame);
}

/// The bar number, or the beat counted in, then the chord and the one after it.
fn draw_large(stand: &Stand, sheet: &Sheet, brush: &Brush, area: Rect, buffer: &mut Buffer) {
    let [number, now, next] = Layout::horizontal([
        Constraint::Length(NUMBER),
        Constraint::Fill(1),
        Constraint::Fill(1),
    ])
    .areas(area);
    let song = &sheet.arrangement.song;
    match stand.counted() {
        Some((beat, fresh)) => {
            let role = if fresh { Role::Cursor } else { Role::Title };
            write(&format!(" {beat} "), brush.style(role), number, buffer);
        }
        None => {
            let text = song.bars.get(stand.bar).map_or(0, |b| b.number).to_string();
            write(&text, brush.style(Role::Quiet), number, buffer);
        }
    }
    let starts = song.starts();
    let here = starts.get(stand.bar).copied().unwrap_or(0);
    let at = stand.heard().map_or(here, |h| h.1);
    let harmony = song.harmony();
    let after = harmony.partition_point(|h| h.at <= at);
    // Before the first chord, as in a pickup, that one is what to get ready for.
    let first = after.saturating_sub(1);
    let symbol = |i: usize| harmony.get(i)?.symbol.map(ToString::to_string);
    let chord = symbol(first);
    let later = (first + 1..harmony.len()).map(symbol).find(|s| *s != chord);
    if let Some(text) = &chord {
        write(text, brush.style(Role::Chord), now, buffer);
    }
    if let Some(text) = later.flatten() {
        write(&text, brush.style(Role::Quiet), next, buffer);
    }
}

/// A text in large letters, or in plain ones where it is too long.
fn write(text: &str, style: Style, area: Rect, buffer: &mut Buffer) {
    let x = area.x + 1;
    let room = usize::from(area.width.saturating_sub(3));
    match big(text, room) {
        Some(rows) => {
            for (y, row) in (area.y..area.bottom()).zip(rows) {
                buffer.set_stringn(x, y, row, room, style);
            }
        }
        None => {
            let y = area.y + area.height / 2;
            buffer.set_stringn(x, y, text, room, style);
        }
    }
}

/// The tab, stretched.
struct Paper<'a> {
    stand: &'a Stand,
    sheet: &'a Sheet,
    brush: &'a Brush<'a>,
    plan: &'a Plan,
}

impl Paper<'_> {
    fn draw(&self, area: Rect, buffer: &mut Buffer) {
        let line = self.plan.line_of(self.stand.bar);
        let mut y = area.y;
        // Where only one line fits whole, the beginning of the next is better than nothing.
        for bars in self
            .plan
            .lines
            .iter()
            .skip(line)
            .take(self.plan.seen.max(2))
        {
            if y >= area.bottom() {
                break;
            }
            y = self.line(bars.clone(), Rect { y, ..area }, area.bottom(), buffer);
        }
    }

    /// Draws a line of bars and gives the row after it.
    fn line(
        &self,
        bars: std::ops::Range<usize>,
        at: Rect,
        bottom: u16,
        buffer: &mut Buffer,
    ) -> u16 {
        let rows = self.sheet.strip.rows;
        let mut y = at.y;
        for &row in &self.plan.rows {
            let last = row + 1 == rows.ruler();
            let high = match rows.is_string(row) && !last {
                true => self.plan.high as u16,
                false => 1,
            };
            if y < bottom {
                self.name(row, at.x, y, buffer);
            }
            let mut x = at.x + PREFIX;
            for bar in bars.clone() {
                let Some(block) = self.sheet.strip.blocks.get(bar) else {
                    continue;
                };
                for extra in 0..high {
                    if y + extra < bottom {
                        let place = (x, y + extra, at.right());
                        self.cells(block, bar, row, extra > 0, place, buffer);
                    }
                }
                x += (block.width() * self.plan.wide) as u16;
            }
            y += high;
        }
        y
    }

    fn name(&self, row: usize, x: u16, y: u16, buffer: &mut Buffer) {
        let strip = &self.sheet.strip;
        if strip.rows.is_string(row) {
            let name = strip.names.get(row - Rows::FIRST_STRING);
            let text = format!("{:<2}│", name.map_or("", String::as_str));
            buffer.set_string(x, y, text, self.brush.style(Role::Quiet));
        }
    }

    /// One row of one bar; `between` is a row below a string, where only bar lines go on.
    fn cells(
        &self,
        block: &Block,
        bar: usize,
        row: usize,
        between: bool,
        (left, y, right): (u16, u16, u16),
        buffer: &mut Buffer,
    ) {
        let rows = self.sheet.strip.rows;
        let cells = block.cells.get(row).map(Vec::as_slice).unwrap_or_default();
        let fill = if rows.is_string(row) { '─' } else { ' ' };
        let role = match row {
            Rows::CHORDS | Rows::SHAPES => Role::Chord,
            _ => Role::Quiet,
        };
        let mut put = |column: usize, sign: char, style: Style| {
            let x = usize::from(left) + column;
            if x < usize::from(right)
                && let Some(cell) = buffer.cell_mut((x as u16, y))
            {
                cell.set_char(sign).set_style(style);
            }
        };
        if between {
            let cells = stretched(cells, self.plan.wide, fill).into_iter();
            for (i, sign) in cells.enumerate().filter(|c| matches!(c.1, '│' | '┃')) {
                put(i, sign, self.brush.style(Role::Quiet));
            }
            return;
        }
        for (column, sign) in stretched(cells, self.plan.wide, fill)
            .into_iter()
            .enumerate()
        {
            let style = match sign {
                '═' => self.brush.style(Role::Ring),
                _ => self.brush.style(role),
            };
            put(column, sign, style);
        }
        self.notes(block, bar, row, &mut put);
        self.position(block, bar, row, &mut put);
    }

    /// The frets of a string, painted by layer.
    fn notes(
        &self,
        block: &Block,
        bar: usize,
        row: usize,
        put: &mut impl FnMut(usize, char, Style),
    ) {
        let rows = self.sheet.strip.rows;
        let starts = self.sheet.arrangement.song.starts();
        let Some(&start) = starts.get(bar).filter(|_| rows.is_string(row)) else {
            return;
        };
        let plucks = self.sheet.arrangement.plucks.iter();
        for pluck in plucks.filter(|p| p.bar == bar && rows.string(p.string) == row) {
            let column = self.column(block, pluck.at - start);
            let style = self.brush.style(layer_role(pluck.layer));
            let mut style = style.add_modifier(ratatui::style::Modifier::BOLD);
            let struck = self.stand.heard().is_some_and(|(_, at)| {
                (pluck.at..pluck.end).contains(&at) && starts.get(bar).is_some()
            });
            if struck {
                style = self.brush.style(Role::Cursor);
            }
            for (i, digit) in pluck.fret.to_string().chars().enumerate() {
                put(column + i, digit, style);
            }
        }
    }

    /// Where the music is, or the bar that comes first, under the strings.
    fn position(
        &self,
        block: &Block,
        bar: usize,
        row: usize,
        put: &mut impl FnMut(usize, char, Style),
    ) {
        if row != self.sheet.strip.rows.ruler() || bar != self.stand.bar {
            return;
        }
        let start = self.sheet.arrangement.song.starts();
        let start = start.get(bar).copied().unwrap_or(0);
        match self.stand.heard() {
            Some((_, at)) => put(
                self.column(block, at - start),
                '▲',
                self.brush.style(Role::Playing),
            ),
            None => put(0, '▸', self.brush.style(Role::Key)),
        }
    }

    fn column(&self, block: &Block, at: Ticks) -> usize {
        block.column(at) * self.plan.wide
    }
}

/// A row with each column made so many wide. What is written stays together; lines are drawn on.
/// The bar line that ends a bar is drawn at its end.
fn stretched(cells: &[char], wide: usize, fill: char) -> Vec<char> {
    let is_bar_line = |c: &&char| matches!(c, '│' | '┃' | ':');
    let tail = cells.iter().rev().take_while(is_bar_line).count();
    let (cells, close) = cells.split_at(cells.len() - tail);
    let mut out = inside(cells, wide, fill);
    let last = out.last().copied().filter(|c| *c == '═').unwrap_or(fill);
    out.extend(std::iter::repeat_n(last, tail * (wide - 1)));
    out.extend(close);
    out
}

fn inside(cells: &[char], wide: usize, fill: char) -> Vec<char> {
    let mut out = vec![fill; cells.len() * wide];
    let is_line = |c: char| matches!(c, '─' | '═' | ' ');
    let mut free = 0;
    for (i, &sign) in cells.iter().enumerate() {
        let from = i * wide;
        if is_line(sign) {
            for cell in out.iter_mut().take(from + wide).skip(from.max(free)) {
                *cell = sign;
            }
            continue;
        }
        // A sign right after another one belongs to the same word.
        let follows = i > 0 && cells.get(i - 1).is_some_and(|c| !is_line(*c)) && sign != '│';
        let to = if follows { free } else { from.max(free) };
        if let Some(cell) = out.get_mut(to) {
            *cell = sign;
        }
        free = to + 1;
        // What is not written in its own columns is drawn as what comes after it.
        let next = cells
            .get(i + 1)
            .copied()
            .filter(|c| is_line(*c))
            .unwrap_or(fill);
        for cell in out.iter_mut().take(from + wide).skip(free) {
            *cell = next;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wide(text: &str, fill: char) -> String {
        let cells: Vec<char> = text.chars().collect();
        stretched(&cells, 2, fill).into_iter().collect()
    }

    #[test]
    fn words_stay_together_and_lines_are_drawn_on() {
        assert_eq!(wide("─12═──│", '─'), "──12════─────│");
        assert_eq!(wide("│─0═│┃", '─'), "│───0═════│┃");
        assert_eq!(wide("  Am7  G", ' '), "    Am7       G ");
    }
}
