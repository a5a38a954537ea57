//! The scrolling tab: the strip of bars cut into lines, with cursor, pins and the playing position.

use super::lines::layer_role;
use super::staff::{Pen, Staff, pushed_out};
use crate::arrange::Pluck;
use crate::exchange::tab::{Block, Rows};
use crate::studio::brush::Brush;
use crate::studio::message::Message;
use crate::studio::screens::{Desk, PREFIX};
use crate::studio::theme::Role;
use crate::theory::Ticks;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// How many rows the tab takes without the hands' fingers, with those of the left, and with both.
pub(crate) fn tab_heights(desk: &Desk) -> [u16; 3] {
    Staff::heights(&desk.strip)
}

/// Draws as many lines of tab as there is room for, the one in question first.
pub(crate) fn tab(desk: &Desk, brush: &Brush, area: Rect, buffer: &mut Buffer) {
    let rows = Staff::rows_that_fit(&desk.strip, area.height);
    let room = usize::from(area.width.saturating_sub(PREFIX)).max(1);
    let mut lines = desk.strip.lines(room);
    let focus = desk.heard().unwrap_or_else(|| (desk.bar(), desk.at));
    let line = lines.iter().position(|l| l.contains(&focus.0)).unwrap_or(0);
    if rows.is_empty() {
        return;
    }
    let each = rows.len() as u16 + 1;
    let shown = usize::from(((area.height + 1) / each).max(1));
    if let (1, Some(last)) = (shown, lines.last_mut()) {
        last.start = filled_up(&desk.strip.blocks, last, room);
    }
    let first = line.min(lines.len().saturating_sub(shown));
    let sheet = Sheet {
        desk,
        brush,
        starts: desk.arrangement.song.starts(),
        staff: Staff {
            strip: &desk.strip,
            rows: &rows,
            brush,
        },
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

/// The bar that the last line begins with where it stands alone: bars before it fill it up.
fn filled_up(blocks: &[Block], last: &std::ops::Range<usize>, room: usize) -> usize {
    let width = |bars: std::ops::Range<usize>| {
        let blocks = blocks.get(bars).unwrap_or_default();
        blocks.iter().map(Block::width).sum::<usize>()
    };
    let fits = |from: &usize| width(*from..last.end) <= room;
    let before = (0..last.start).rev().take_while(fits);
    before.last().unwrap_or(last.start)
}

struct Sheet<'a> {
    desk: &'a Desk,
    brush: &'a Brush<'a>,
    starts: Vec<Ticks>,
    staff: Staff<'a>,
}

impl Sheet<'_> {
    /// How many columns of a bar too wide for the line are pushed out on the left to show a place.
    fn shift(&self, bars: &std::ops::Range<usize>, focus: (usize, Ticks), room: usize) -> usize {
        let blocks = self.desk.strip.blocks.get(bars.clone()).unwrap_or_default();
        let whole: usize = blocks.iter().map(Block::width).sum();
        match (blocks.first(), self.starts.get(bars.start)) {
            (Some(block), Some(start)) if bars.contains(&focus.0) => {
                pushed_out(whole, room, block.column(focus.1 - start))
            }
            _ => 0,
        }
    }

    fn line(&self, bars: &std::ops::Range<usize>, shift: usize, area: Rect, buffer: &mut Buffer) {
        let mut pen = Pen::of_tab(area, buffer, shift);
        self.staff.names(&mut pen);
        for bar in bars.clone() {
            let Some(block) = self.desk.strip.blocks.get(bar) else {
                continue;
            };
            self.cells(block, bar, &mut pen);
            self.whole(block, bar, &pen);
            self.notes(block, bar, &mut pen);
            let heard = self.desk.heard().filter(|h| h.0 == bar);
            if let (Some((_, at)), Some(start)) = (heard, self.starts.get(bar)) {
                self.staff.position(block, at - start, &mut pen);
            }
            pen.left += block.width() as i64;
        }
    }

    /// The bar as it is drawn, each row painted by what it holds.
    fn cells(&self, block: &Block, bar: usize, pen: &mut Pen) {
        let rows = self.desk.strip.rows;
        let here = bar == self.desk.bar();
        for (y, &row) in self.staff.rows.iter().enumerate() {
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
            if let Some(y) = self.staff.shown(rows.string(pluck.string)) {
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
            if let (Some(y), Some(_)) = (self.staff.shown(rows.ruler()), self.desk.pin_of(pluck)) {
                pen.put(column, y, '^', self.brush.style(Role::Warning));
            }
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
}
