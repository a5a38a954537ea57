//! The Stand: few bars, far apart, with the bar number and the chords in large letters.

use super::big::{ROWS, big};
use super::lines::layer_role;
use super::shelf::{fitted, teaching};
use super::staff::{Pen, Staff, pushed_out};
use super::{span, weighed};
use crate::exchange::tab::{Block, Rows};
use crate::studio::brush::Brush;
use crate::studio::screens::{FOOT, HEAD, Layout as Plan, PREFIX, Page, Sheet, Stand};
use crate::studio::theme::Role;
use crate::theory::Ticks;
use ratatui::Frame;
use ratatui::buffer::Buffer;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::Style;
use ratatui::text::Line;
use std::ops::Range;
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
        let line = Line::from(span(brush, weighed(*weight), format!(" {text}")));
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
            let text = song.number(stand.bar).to_string();
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
        for bars in self.plan.lines.iter().skip(line).take(self.plan.seen) {
            let below = Rect {
                y,
                height: area.bottom().saturating_sub(y),
                ..area
            };
            y = y.saturating_add(self.line(bars.clone(), below, buffer));
        }
    }

    /// Draws a line of bars at the top of an area and gives the rows that it takes.
    fn line(&self, bars: Range<usize>, area: Rect, buffer: &mut Buffer) -> u16 {
        let rows = self.sheet.strip.rows;
        let mut pen = Pen::of_tab(area, buffer, self.shift(&bars, area.width));
        let left = pen.left;
        let staff = Staff {
            strip: &self.sheet.strip,
            rows: &self.plan.rows,
            brush: self.brush,
        };
        let mut y = 0;
        for &row in &self.plan.rows {
            let last = row + 1 == rows.ruler();
            let high = match rows.is_string(row) && !last {
                true => self.plan.high,
                false => 1,
            };
            staff.name(row, y, &mut pen);
            for bar in bars.clone() {
                let Some(block) = self.sheet.strip.blocks.get(bar) else {
                    continue;
                };
                self.cells(block, bar, row, y, &mut pen);
                for between in y + 1..y + high {
                    self.bar_lines(block, row, between, &mut pen);
                }
                pen.left += (block.width() * self.plan.wide) as i64;
            }
            pen.left = left;
            y += high;
        }
        y as u16
    }

    /// How many columns of a bar too wide for the line are pushed out on the left to follow the
    /// music.
    fn shift(&self, bars: &Range<usize>, width: u16) -> usize {
        let room = usize::from(width.saturating_sub(PREFIX));
        let blocks = self.sheet.strip.blocks.get(bars.clone());
        let blocks = blocks.unwrap_or_default();
        let whole = blocks.iter().map(Block::width).sum::<usize>() * self.plan.wide;
        match (self.stand.heard(), blocks.first()) {
            (Some((bar, at)), Some(block)) if bars.contains(&bar) => {
                let starts = self.sheet.arrangement.song.starts();
                let start = starts.get(bars.start).copied().unwrap_or(0);
                pushed_out(whole, room, self.column(block, at - start))
            }
            _ => 0,
        }
    }

    /// One row of one bar, made wide.
    fn stretched(&self, block: &Block, row: usize) -> Vec<char> {
        let cells = block.cells.get(row).map(Vec::as_slice).unwrap_or_default();
        let is_string = self.sheet.strip.rows.is_string(row);
        stretched(cells, self.plan.wide, if is_string { '─' } else { ' ' })
    }

    /// One row of one bar.
    fn cells(&self, block: &Block, bar: usize, row: usize, y: usize, pen: &mut Pen) {
        let role = match row {
            Rows::CHORDS | Rows::SHAPES => Role::Chord,
            _ => Role::Quiet,
        };
        for (column, sign) in self.stretched(block, row).into_iter().enumerate() {
            let role = if sign == '═' { Role::Ring } else { role };
            pen.put(column, y, sign, self.brush.style(role));
        }
        self.notes(block, bar, row, y, pen);
        self.position(block, bar, row, y, pen);
    }

    /// What goes on below a string where strings lie far apart.
    fn bar_lines(&self, block: &Block, row: usize, y: usize, pen: &mut Pen) {
        let cells = self.stretched(block, row).into_iter().enumerate();
        for (column, sign) in cells.filter(|c| matches!(c.1, '│' | '┃')) {
            pen.put(column, y, sign, self.brush.style(Role::Quiet));
        }
    }

    /// The frets of a string, painted by layer.
    fn notes(&self, block: &Block, bar: usize, row: usize, y: usize, pen: &mut Pen) {
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
            let heard = self.stand.heard();
            if heard.is_some_and(|(_, at)| (pluck.at..pluck.end).contains(&at)) {
                style = self.brush.style(Role::Cursor);
            }
            for i in 0..pluck.fret.to_string().len() {
                pen.paint(column + i, y, style);
            }
        }
    }

    /// Where the music is, or the bar that comes first, under the strings.
    fn position(&self, block: &Block, bar: usize, row: usize, y: usize, pen: &mut Pen) {
        if row != self.sheet.strip.rows.ruler() || bar != self.stand.bar {
            return;
        }
        let start = self.sheet.arrangement.song.starts();
        let start = start.get(bar).copied().unwrap_or(0);
        match self.stand.heard() {
            Some((_, at)) => {
                let style = self.brush.style(Role::Playing);
                pen.put(self.column(block, at - start), y, '▲', style);
            }
            None => pen.put(0, y, '▸', self.brush.style(Role::Key)),
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
