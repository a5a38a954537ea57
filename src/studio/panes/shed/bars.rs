//! The bars in question as tab, with the place that is heard.

use super::super::lines::layer_role;
use super::super::staff::{Pen, Staff, pushed_out};
use crate::exchange::tab::{Block, Rows, fill};
use crate::studio::brush::Brush;
use crate::studio::screens::{PREFIX, Shed};
use crate::studio::theme::Role;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// The rows of the strip that are shown: with the hands' fingers where there is room for so many rows,
/// else without, and then in no more than `most`.
pub(super) fn rows(shed: &Shed, room: u16, most: u16) -> Vec<usize> {
    let [least, ..] = Staff::heights(&shed.strip);
    Staff::rows_that_fit(&shed.strip, room.max(least.min(most)))
}

/// Draws as many of the bars as there is room for, the one that is heard among them.
pub(super) fn bars(shed: &Shed, brush: &Brush, rows: &[usize], area: Rect, buffer: &mut Buffer) {
    let range = shed.passage.bars();
    let blocks = shed.strip.blocks.get(range.clone()).unwrap_or_default();
    let room = usize::from(area.width.saturating_sub(PREFIX)).max(1);
    let heard = shed.place();
    let focus = heard.map_or(range.start, |(bar, _)| bar);
    let lines = fill(blocks.iter().map(Block::width), room);
    let line = lines.iter().find(|l| l.contains(&(focus - range.start)));
    let Some(line) = line.or(lines.first()) else {
        return;
    };
    let widths = blocks.get(line.clone()).unwrap_or_default().iter();
    let whole: usize = widths.map(Block::width).sum();
    let block = heard.and_then(|(bar, at)| Some((shed.strip.blocks.get(bar)?, at)));
    let column = block.map_or(0, |(block, at)| block.column(at));
    let staff = Staff {
        strip: &shed.strip,
        rows,
        brush,
    };
    let sheet = Sheet { shed, brush, staff };
    let mut pen = Pen::of_tab(area, buffer, pushed_out(whole, room, column));
    sheet.staff.names(&mut pen);
    for bar in line.start + range.start..line.end + range.start {
        if let Some(block) = shed.strip.blocks.get(bar) {
            sheet.cells(block, bar, &mut pen);
            sheet.notes(block, bar, &mut pen);
            if let Some((_, at)) = heard.filter(|h| h.0 == bar) {
                sheet.staff.position(block, at, &mut pen);
            }
            pen.left += block.width() as i64;
        }
    }
}

struct Sheet<'a> {
    shed: &'a Shed,
    brush: &'a Brush<'a>,
    staff: Staff<'a>,
}

impl Sheet<'_> {
    /// The bar as it is drawn; the one that only joins on is quiet.
    fn cells(&self, block: &Block, bar: usize, pen: &mut Pen) {
        let rows = self.shed.strip.rows;
        let meant = bar <= self.shed.passage.last();
        for (y, &row) in self.staff.rows.iter().enumerate() {
            let role = match row {
                _ if !meant => Role::Quiet,
                Rows::CHORDS | Rows::SHAPES => Role::Chord,
                Rows::NUMBERS => Role::Title,
                _ if row > rows.ruler() => Role::Finger,
                _ => Role::Quiet,
            };
            let cells = block.cells.get(row).map(Vec::as_slice).unwrap_or_default();
            for (column, &sign) in cells.iter().enumerate() {
                let role = if sign == '═' { Role::Ring } else { role };
                pen.put(column, y, sign, self.brush.style(role));
            }
            if meant && row == Rows::NUMBERS {
                pen.put(0, y, '▸', self.brush.style(Role::Key));
            }
        }
    }

    fn notes(&self, block: &Block, bar: usize, pen: &mut Pen) {
        let rows = self.shed.strip.rows;
        let starts = self.shed.arrangement.song.starts();
        let Some(&start) = starts.get(bar) else {
            return;
        };
        let silent = &self.shed.wishes.silent;
        for pluck in self.shed.arrangement.plucks.iter().filter(|p| p.bar == bar) {
            let Some(y) = self.staff.shown(rows.string(pluck.string)) else {
                continue;
            };
            let style = match silent.contains(&pluck.layer) {
                true => self.brush.style(Role::Quiet),
                false => self.brush.style(layer_role(pluck.layer)),
            };
            let column = block.column(pluck.at - start);
            for i in 0..pluck.fret.to_string().len() {
                pen.paint(column + i, y, style);
            }
        }
    }
}
