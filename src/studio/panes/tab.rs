//! The scrolling tab: the strip of bars cut into lines, with cursor, pins and the playing position.

use super::lines::layer_role;
use crate::arrange::Pluck;
use crate::exchange::tab::{Block, Rows};
use crate::studio::brush::Brush;
use crate::studio::message::Message;
use crate::studio::screens::Desk;
use crate::studio::theme::Role;
use crate::theory::Ticks;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// Columns before the first bar: the string's name and the bar line.
pub(super) const PREFIX: u16 = 3;

/// Draws as many lines of tab as there is room for, the one in question first.
pub(crate) fn tab(desk: &Desk, brush: &Brush, area: Rect, buffer: &mut Buffer) {
    let rows = rows_in_use(desk);
    let room = usize::from(area.width.saturating_sub(PREFIX)).max(1);
    let lines = desk.strip.lines(room);
    let focus = desk.heard().unwrap_or_else(|| (desk.bar(), desk.at));
    let line = lines.iter().position(|l| l.contains(&focus.0)).unwrap_or(0);
    let each = rows.len() as u16 + 1;
    let shown = usize::from(((area.height + 1) / each).max(1));
    let first = line.min(lines.len().saturating_sub(shown));
    let sheet = Sheet {
        desk,
        brush,
        starts: desk.arrangement.song.starts(),
        rows,
    };
    for (i, bars) in lines.iter().skip(first).take(shown).enumerate() {
        let y = area.y + each * i as u16;
        let place = Rect {
            y,
            height: (area.bottom() - y).min(each),
            ..area
        };
        let shift = sheet.shift(bars, focus, room);
        sheet.line(bars, shift, place, buffer);
    }
}

/// The rows in which anything is written in the whole song, so that nothing jumps.
fn rows_in_use(desk: &Desk) -> Vec<usize> {
    let rows = desk.strip.rows;
    let used = |row: &usize| {
        *row == rows.ruler()
            || (desk.strip.blocks.iter())
                .filter_map(|b| b.cells.get(*row))
                .any(|cells| cells.iter().any(|c| *c != ' '))
    };
    (0..rows.count()).filter(used).collect()
}

/// As many whole bars to a line as fit, at least one.
pub(super) fn fill(blocks: &[Block], room: usize) -> Vec<std::ops::Range<usize>> {
    let mut lines: Vec<std::ops::Range<usize>> = Vec::new();
    let mut used = 0;
    for (i, block) in blocks.iter().enumerate() {
        match lines.last_mut() {
            Some(line) if used + block.width() <= room => {
                line.end = i + 1;
                used += block.width();
            }
            _ => {
                lines.push(i..i + 1);
                used = block.width();
            }
        }
    }
    lines
}

struct Sheet<'a> {
    desk: &'a Desk,
    brush: &'a Brush<'a>,
    starts: Vec<Ticks>,
    rows: Vec<usize>,
}

impl Sheet<'_> {
    /// How many columns of a bar too wide for the line are pushed out on the left to show a place.
    fn shift(&self, bars: &std::ops::Range<usize>, focus: (usize, Ticks), room: usize) -> usize {
        let blocks = self.desk.strip.blocks.get(bars.clone()).unwrap_or_default();
        let whole: usize = blocks.iter().map(Block::width).sum();
        match blocks.first() {
            Some(block) if whole > room && bars.contains(&focus.0) => {
                let column = block.column(focus.1 - self.starts[bars.start]);
                column.saturating_sub(room * 2 / 3).min(whole - room)
            }
            _ => 0,
        }
    }

    fn line(&self, bars: &std::ops::Range<usize>, shift: usize, area: Rect, buffer: &mut Buffer) {
        self.names(area, buffer);
        let mut pen = Pen {
            left: i64::from(area.x + PREFIX) - shift as i64,
            from: i64::from(area.x + PREFIX),
            area,
            buffer,
        };
        for bar in bars.clone() {
            let Some(block) = self.desk.strip.blocks.get(bar) else {
                continue;
            };
            self.cells(block, bar, &mut pen);
            self.whole(block, bar, &pen);
            self.notes(block, bar, &mut pen);
            self.position(block, bar, &mut pen);
            pen.left += block.width() as i64;
        }
    }

    fn names(&self, area: Rect, buffer: &mut Buffer) {
        let rows = self.desk.strip.rows;
        for (y, &row) in (area.y..area.bottom()).zip(&self.rows) {
            let text = if rows.is_string(row) {
                let name = self.desk.strip.names.get(row - Rows::FIRST_STRING);
                format!("{:<2}│", name.map_or("", String::as_str))
            } else if row == rows.left() {
                "L".into()
            } else if row == rows.right() {
                "R".into()
            } else {
                continue;
            };
            let style = self.brush.style(Role::Quiet);
            buffer.set_stringn(area.x, y, text, usize::from(area.width), style);
        }
    }

    /// The bar as it is drawn, each row painted by what it holds.
    fn cells(&self, block: &Block, bar: usize, pen: &mut Pen) {
        let rows = self.desk.strip.rows;
        let here = bar == self.desk.bar();
        for (y, &row) in self.rows.iter().enumerate() {
            let role = match row {
                Rows::CHORDS | Rows::SHAPES => Role::Chord,
                Rows::NUMBERS if here => Role::Title,
                _ if row > rows.ruler() => Role::Finger,
                _ => Role::Quiet,
            };
            let cells = block.cells.get(row).map(Vec::as_slice).unwrap_or_default();
            for (column, &sign) in cells.iter().enumerate() {
                let role = if sign == '═' { Role::Ring } else { role };
                let mut style = self.brush.style(role);
                if here && (rows.is_string(row) || row == rows.ruler()) {
                    style = style.patch(self.brush.style(Role::Bar));
                }
                pen.put(column, y, sign, style);
            }
            if here && row == Rows::NUMBERS {
                pen.put(0, y, '▸', self.brush.style(Role::Key));
            }
        }
    }

    /// The frets painted by layer, the note under the cursor and the pins.
    fn notes(&self, block: &Block, bar: usize, pen: &mut Pen) {
        let rows = self.desk.strip.rows;
        let Some(&start) = self.starts.get(bar) else {
            return;
        };
        let under = self.desk.pluck();
        for pluck in self.desk.arrangement.plucks.iter().filter(|p| p.bar == bar) {
            let column = block.column(pluck.at - start);
            if let Some(y) = self.shown(rows.string(pluck.string)) {
                let mut style = self.brush.style(layer_role(pluck.layer));
                if bar == self.desk.bar() {
                    style = style.patch(self.brush.style(Role::Bar));
                }
                if under == Some(pluck) {
                    style = self.brush.style(Role::Cursor);
                }
                for i in 0..pluck.fret.to_string().len() {
                    pen.paint(column + i, y, style);
                    self.spot(pen, column + i, y, pluck);
                }
            }
            if let (Some(y), Some(_)) = (self.shown(rows.ruler()), self.desk.pin_of(pluck)) {
                pen.put(column, y, '^', self.brush.style(Role::Warning));
            }
        }
    }

    /// Where the music is: a mark over the strings and a light on them.
    fn position(&self, block: &Block, bar: usize, pen: &mut Pen) {
        let Some((_, at)) = self.desk.heard().filter(|h| h.0 == bar) else {
            return;
        };
        let column = block.column(at - self.starts[bar]);
        let style = self.brush.style(Role::Playing);
        let rows = self.desk.strip.rows;
        for row in (1..=rows.strings).map(|s| rows.string(s as u8)) {
            if let Some(y) = self.shown(row) {
                pen.paint(column, y, style);
            }
        }
        if let Some(y) = self.shown(rows.ruler()) {
            pen.put(column, y, '▾', style);
        }
    }

    /// A click on a bar goes to its first note.
    fn whole(&self, block: &Block, bar: usize, pen: &Pen) {
        let Some(start) = self.desk.first_onset(bar) else {
            return;
        };
        let right = i64::from(pen.area.right());
        let from = pen.left.clamp(pen.from.min(right), right);
        let to = (pen.left + block.width() as i64).clamp(from, right);
        let area = Rect {
            x: from as u16,
            width: (to - from) as u16,
            ..pen.area
        };
        let to = Message::Point(start, self.desk.string);
        self.brush.spot(area, Some(to));
    }

    /// A click on a note goes to it.
    fn spot(&self, pen: &Pen, column: usize, y: usize, pluck: &Pluck) {
        if let Some((x, y)) = pen.place(column, y) {
            let to = Message::Point(pluck.at, pluck.string);
            self.brush.spot(Rect::new(x, y, 1, 1), Some(to));
        }
    }

    fn shown(&self, row: usize) -> Option<usize> {
        self.rows.iter().position(|&r| r == row)
    }
}

/// Writes cells of a bar where they fall inside the pane.
pub(super) struct Pen<'a> {
    /// Where the bar's first column lies; may be outside.
    pub left: i64,
    /// The first column that may be written.
    pub from: i64,
    pub area: Rect,
    pub buffer: &'a mut Buffer,
}

impl Pen<'_> {
    /// Where on the terminal a cell of the bar lies, if it is inside the pane.
    fn place(&self, column: usize, y: usize) -> Option<(u16, u16)> {
        let x = self.left + column as i64;
        let y = usize::from(self.area.y) + y;
        let inside = x >= self.from
            && x < i64::from(self.area.right())
            && y < usize::from(self.area.bottom());
        inside.then_some((x as u16, y as u16))
    }

    fn cell(&mut self, column: usize, y: usize) -> Option<&mut ratatui::buffer::Cell> {
        let place = self.place(column, y)?;
        self.buffer.cell_mut(place)
    }

    /// Writes what stands before the first bar, as far as the pane goes.
    pub fn before(&mut self, y: usize, text: &str, style: ratatui::style::Style) {
        let y = usize::from(self.area.y) + y;
        if y < usize::from(self.area.bottom()) {
            let width = usize::from(self.area.width);
            (self.buffer).set_stringn(self.area.x, y as u16, text, width, style);
        }
    }

    pub fn put(&mut self, column: usize, y: usize, sign: char, style: ratatui::style::Style) {
        if let Some(cell) = self.cell(column, y) {
            cell.set_char(sign).set_style(style);
        }
    }

    pub fn paint(&mut self, column: usize, y: usize, style: ratatui::style::Style) {
        if let Some(cell) = self.cell(column, y) {
            cell.set_style(style);
        }
    }
}
