//! Bars of tab as every screen draws them: the strings' names, the place that is heard, and cells
//! that fall inside the pane.

use crate::exchange::tab::{Block, Rows, Strip};
use crate::studio::brush::Brush;
use crate::studio::screens::PREFIX;
use crate::studio::theme::Role;
use crate::theory::Ticks;
use ratatui::buffer::{Buffer, Cell};
use ratatui::layout::Rect;
use ratatui::style::Style;

/// A strip, and which of its rows are shown.
pub(super) struct Staff<'a> {
    pub strip: &'a Strip,
    pub rows: &'a [usize],
    pub brush: &'a Brush<'a>,
}

impl Staff<'_> {
    /// The rows in which anything is written in the whole song, so that nothing jumps.
    pub fn rows_in_use(strip: &Strip) -> Vec<usize> {
        let rows = strip.rows;
        let used = |row: &usize| {
            *row == rows.ruler()
                || (strip.blocks.iter())
                    .filter_map(|b| b.cells.get(*row))
                    .any(|cells| cells.iter().any(|c| *c != ' '))
        };
        (0..rows.count()).filter(used).collect()
    }

    /// The rows that are shown where there is room for so many.
    pub fn rows_that_fit(strip: &Strip, room: u16) -> Vec<usize> {
        let used = Staff::rows_in_use(strip);
        strip.rows.fitting(used, room.into())
    }

    /// How many rows bars take without the hands' fingers, with those of the left, and with both.
    pub fn heights(strip: &Strip) -> [u16; 3] {
        let (used, rows) = (Staff::rows_in_use(strip), strip.rows);
        [rows.left(), rows.right(), rows.count()]
            .map(|end| used.partition_point(|row| *row < end) as u16)
    }

    /// Which line of the pane a row of the strip is on, if it is shown.
    pub fn shown(&self, row: usize) -> Option<usize> {
        self.rows.iter().position(|&r| r == row)
    }

    /// What each row is, before the first bar.
    pub fn names(&self, pen: &mut Pen) {
        let rows = self.strip.rows;
        for (y, &row) in self.rows.iter().enumerate() {
            if row == rows.left() {
                pen.before(y, "L", self.brush.style(Role::Quiet));
            } else if row == rows.right() {
                pen.before(y, "R", self.brush.style(Role::Quiet));
            } else {
                self.name(row, y, pen);
            }
        }
    }

    /// The open note of a string, and the line that the bars begin with.
    pub fn name(&self, row: usize, y: usize, pen: &mut Pen) {
        if self.strip.rows.is_string(row) {
            let name = self.strip.names.get(row - Rows::FIRST_STRING);
            let text = format!("{:<2}│", name.map_or("", String::as_str));
            pen.before(y, &text, self.brush.style(Role::Quiet));
        }
    }

    /// Where the music is in a bar, in ticks since its start: a mark over the strings and a light on
    /// them.
    pub fn position(&self, block: &Block, at: Ticks, pen: &mut Pen) {
        let column = block.column(at);
        let style = self.brush.style(Role::Playing);
        let rows = self.strip.rows;
        for row in (1..=rows.strings).map(|s| rows.string(s as u8)) {
            if let Some(y) = self.shown(row) {
                pen.paint(column, y, style);
            }
        }
        if let Some(y) = self.shown(rows.ruler()) {
            pen.put(column, y, '▾', style);
        }
    }
}

/// How many columns of a line that is wider than the room are pushed out on the left, so that one
/// of its columns is seen.
pub(super) fn pushed_out(whole: usize, room: usize, column: usize) -> usize {
    let most = whole.saturating_sub(room);
    column.saturating_sub(room * 2 / 3).min(most)
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
    /// A pen at the first bar of a line of tab, so many columns of which are pushed out.
    pub fn of_tab(area: Rect, buffer: &mut Buffer, pushed_out: usize) -> Pen<'_> {
        let from = i64::from(area.x) + i64::from(PREFIX);
        Pen {
            left: from - pushed_out as i64,
            from,
            area,
            buffer,
        }
    }

    /// Where on the terminal a cell of the bar lies, if it is inside the pane.
    pub fn place(&self, column: usize, y: usize) -> Option<(u16, u16)> {
        let x = self.left + column as i64;
        let y = usize::from(self.area.y) + y;
        let inside = x >= self.from
            && x < i64::from(self.area.right())
            && y < usize::from(self.area.bottom());
        inside.then_some((x as u16, y as u16))
    }

    fn cell(&mut self, column: usize, y: usize) -> Option<&mut Cell> {
        let place = self.place(column, y)?;
        self.buffer.cell_mut(place)
    }

    /// Writes what stands before the first bar, as far as the pane goes.
    pub fn before(&mut self, y: usize, text: &str, style: Style) {
        let y = usize::from(self.area.y) + y;
        if y < usize::from(self.area.bottom()) {
            let width = usize::from(self.area.width);
            (self.buffer).set_stringn(self.area.x, y as u16, text, width, style);
        }
    }

    pub fn put(&mut self, column: usize, y: usize, sign: char, style: Style) {
        if let Some(cell) = self.cell(column, y) {
            cell.set_char(sign).set_style(style);
        }
    }

    pub fn paint(&mut self, column: usize, y: usize, style: Style) {
        if let Some(cell) = self.cell(column, y) {
            cell.set_style(style);
        }
    }
}
