//! Blocks set one below the other on pages, none torn, full pages filled to their foot.

use super::mark::{Canvas, at};
use super::system::Block;

/// A page's room may be filled by widening its gaps by this much each, no more.
const WIDEST: f64 = 40.0;

/// Pages while they are filled.
pub(super) struct Pages {
    width: f64,
    height: f64,
    /// The pages that are filled, and how much of each is used.
    done: Vec<(Canvas, f64)>,
    /// The blocks of the page in hand, each with the gap before it and whether that may grow.
    open: Vec<(Block, f64, bool)>,
    used: f64,
}

impl Pages {
    /// Pages with so much room each.
    pub fn new(width: f64, height: f64) -> Pages {
        Pages {
            width,
            height,
            done: Vec::new(),
            open: Vec::new(),
            used: 0.0,
        }
    }

    /// Puts a block below what is there, `gap` under it, or on a new page. What is higher than a
    /// page is made smaller.
    pub fn put(&mut self, block: Block, gap: f64, grows: bool) {
        self.put_with(block, gap, grows, 0.0);
    }

    /// The same, when `after` more must fit on the same page.
    pub fn put_with(&mut self, block: Block, gap: f64, grows: bool, after: f64) {
        let block = self.fitted(block);
        let gap = if self.open.is_empty() { 0.0 } else { gap };
        if !self.open.is_empty() && self.used + gap + block.height + after > self.height {
            self.close(true);
            return self.put_with(block, gap, grows, 0.0);
        }
        self.used += gap + block.height;
        self.open.push((block, gap, grows));
    }

    /// Puts a block on the last page that has room for it, at its foot; gives up when none has.
    pub fn put_where_room_is(&mut self, block: Block, gap: f64) {
        if !self.open.is_empty() {
            if self.used + gap + block.height <= self.height {
                self.put(block, gap, false);
                return;
            }
            self.close(true);
        }
        let room = self.height - gap - block.height;
        if let Some((canvas, _)) = self.done.iter_mut().rev().find(|d| d.1 <= room) {
            canvas.take(&block.canvas, at(0.0, self.height - block.height));
        }
    }

    fn fitted(&self, block: Block) -> Block {
        if block.height <= self.height {
            return block;
        }
        let scale = self.height / block.height;
        let marks = block.canvas.marks.iter();
        Block {
            height: self.height,
            canvas: Canvas {
                marks: marks.map(|m| m.placed(scale, at(0.0, 0.0))).collect(),
            },
        }
    }

    /// Ends the page in hand; a full one is filled to its foot.
    fn close(&mut self, full: bool) {
        let gaps = self.open.iter().skip(1).filter(|o| o.2).count();
        let left = self.height - self.used;
        let more = if full && gaps > 0 {
            let each = left / gaps as f64;
            if each > WIDEST { 0.0 } else { each }
        } else {
            0.0
        };
        let mut canvas = Canvas::default();
        let mut y = 0.0;
        for (i, (block, gap, grows)) in self.open.drain(..).enumerate() {
            y += gap + if grows && i > 0 { more } else { 0.0 };
            canvas.take(&block.canvas, at(0.0, y));
            y += block.height;
        }
        self.done.push((canvas, y));
        self.used = 0.0;
    }

    /// The width of a page's room.
    pub fn width(&self) -> f64 {
        self.width
    }

    /// The pages; at least one.
    pub fn finish(mut self) -> Vec<Canvas> {
        if !self.open.is_empty() || self.done.is_empty() {
            self.close(false);
        }
        self.done.into_iter().map(|d| d.0).collect()
    }
}
