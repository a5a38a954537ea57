//! The bars in question as tab, with the place that is heard.

use super::super::lines::layer_role;
use super::super::tab::{PREFIX, Pen, fill};
use crate::exchange::tab::{Block, Rows};
use crate::studio::brush::Brush;
use crate::studio::screens::Shed;
use crate::studio::theme::Role;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// The rows of the strip that are shown: with both hands' fingers where there is room, else without.
pub(super) fn rows(shed: &Shed, room: usize) -> Vec<usize> {
    let rows = shed.strip.rows;
    let used = |row: &usize| {
        *row == rows.ruler()
            || (shed.strip.blocks.iter())
                .filter_map(|b| b.cells.get(*row))
                .any(|cells| cells.iter().any(|c| *c != ' '))
    };
    let all: Vec<usize> = (0..rows.count()).filter(used).collect();
    if all.len() <= room {
        return all;
    }
    let needed = all.into_iter().filter(|row| *row <= rows.ruler());
    needed.take(room).collect()
}

/// Draws as many of the bars as there is room for, the one that is heard among them.
pub(super) fn bars(shed: &Shed, brush: &Brush, rows: &[usize], area: Rect, buffer: &mut Buffer) {
    let range = shed.passage.bars();
    let blocks = shed.strip.blocks.get(range.clone()).unwrap_or_default();
    let room = usize::from(area.width.saturating_sub(PREFIX)).max(1);
    let heard = shed.place();
    let focus = heard.map_or(range.start, |(bar, _)| bar);
    let lines = fill(blocks, room);
    let line = lines.iter().find(|l| l.contains(&(focus - range.start)));
    let Some(line) = line.or(lines.first()) else {
        return;
    };
    let sheet = Sheet { shed, brush, rows };
    sheet.names(area, buffer);
    let mut pen = Pen {
        left: i64::from(area.x + PREFIX),
        from: i64::from(area.x + PREFIX),
        area,
        buffer,
    };
    let whole: usize = blocks
        .get(line.clone())
        .unwrap_or_default()
        .iter()
        .map(Block::width)
        .sum();
    if let (true, Some((bar, at))) = (whole > room, heard)
        && let Some(block) = shed.strip.blocks.get(bar)
    {
        let shift = block
            .column(at)
            .saturating_sub(room * 2 / 3)
            .min(whole - room);
        pen.left -= shift as i64;
    }
    for bar in line.start + range.start..line.end + range.start {
        if let Some(block) = shed.strip.blocks.get(bar) {
            sheet.cells(block, bar, &mut pen);
            sheet.notes(block, bar, &mut pen);
            sheet.position(block, bar, &mut pen);
            pen.left += block.width() as i64;
        }
    }
}

struct Sheet<'a> {
    shed: &'a Shed,
    brush: &'a Brush<'a>,
    rows: &'a [usize],
}

impl Sheet<'_> {
    fn names(&self, area: Rect, buffer: &mut Buffer) {
        let rows = self.shed.strip.rows;
        for (y, &row) in (area.y..area.bottom()).zip(self.rows) {
            let text = if rows.is_string(row) {
                let name = self.shed.strip.names.get(row - Rows::FIRST_STRING);
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

    /// The bar as it is drawn; the one that only joins on is quiet.
    fn cells(&self, block: &Block, bar: usize, pen: &mut Pen) {
        let rows = self.shed.strip.rows;
        let meant = bar <= self.shed.passage.last();
        for (y, &row) in self.rows.iter().enumerate() {
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
            let Some(y) = self.shown(rows.string(pluck.string)) else {
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

    /// Where the music is: a mark over the strings and a light on them.
    fn position(&self, block: &Block, bar: usize, pen: &mut Pen) {
        let Some((_, at)) = self.shed.place().filter(|p| p.0 == bar) else {
            return;
        };
        let column = block.column(at);
        let style = self.brush.style(Role::Playing);
        let rows = self.shed.strip.rows;
        for row in (1..=rows.strings).map(|s| rows.string(s as u8)) {
            if let Some(y) = self.shown(row) {
                pen.paint(column, y, style);
            }
        }
        if let Some(y) = self.shown(rows.ruler()) {
            pen.put(column, y, '▾', style);
        }
    }

    fn shown(&self, row: usize) -> Option<usize> {
        self.rows.iter().position(|&r| r == row)
    }
}
