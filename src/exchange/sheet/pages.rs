//! Blocks set one below the other on pages, none torn, full pages filled to their foot.

use super::mark::{Canvas, at};
use super::system::Block;

/// A page's room may be filled by widening its gaps by this much each, no more.
const WIDEST: f64 = 40.0;

/// Pages while they are filled.
pub(super) struct Pages {
    height: f64,
    /// The pages that are filled, and how much of each is used.
    done: Vec<(Canvas, f64)>,
    /// The blocks of the page in hand, each with the gap before it and whether that may grow.
    open: Vec<(Block, f64, bool)>,
    used: f64,
}

impl Pages {
    /// Pages of such a height each.
    pub fn new(height: f64) -> Pages {
        Pages {
            height,
            done: Vec::new(),
            open: Vec::new(),
            used: 0.0,
        }
    }

    /// Puts a block below what is there, `gap` under it, or on a new page. What is higher than a
    /// page is made smaller.
    pub fn put(&mut self, block: Block, gap: f64, grows: bool) {
        let block = if block.height > self.height {
            block.scaled(self.height / block.height)
        } else {
            block
        };
        let mut gap = if self.open.is_empty() { 0.0 } else { gap };
        if !self.open.is_empty() && self.used + gap + block.height > self.height {
            self.close(true);
            gap = 0.0;
        }
        self.used += gap + block.height;
        self.open.push((block, gap, grows));
    }

    /// Puts a block below what is there, or at the foot of the last page before that has room for it;
    /// gives up when none has.
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

    /// The pages; at least one.
    pub fn finish(mut self) -> Vec<Canvas> {
        if !self.open.is_empty() || self.done.is_empty() {
            self.close(false);
        }
        self.done.into_iter().map(|d| d.0).collect()
    }
}
