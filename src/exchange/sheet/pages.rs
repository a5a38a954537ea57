//! Blocks set one below the other on pages, none torn, full pages filled to their foot.

use super::mark::{Canvas, at};
use super::system::Block;

/// A page's room may be filled by widening its gaps by this much each, no more.
const WIDEST: f64 = 40.0;

/// For the block that goes where there is room, each gap may give up this much, and all be made so
/// much smaller.
const NARROWER: f64 = 5.0;
const SMALLEST: f64 = 0.97;

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

    /// Puts a block below what is there, if need be with smaller gaps and a little smaller, or at the
    /// foot of the last page before that has room for it; else on a new page, together with the last
    /// block that is there.
    pub fn put_where_room_is(&mut self, block: Block, gap: f64) {
        if self.open.is_empty() {
            return self.put(block, gap, false);
        }
        let gaps = (self.open.iter().skip(1).filter(|o| o.2).count() + 1) as f64;
        let all = self.used + gap + block.height;
        // Sums of lengths are not exact.
        let height = self.height - 1e-6;
        let less = ((all - height) / gaps).clamp(0.0, NARROWER);
        let scale = (height / (all - less * gaps)).min(1.0);
        if scale >= SMALLEST {
            self.used = 0.0;
            for (i, (block, gap, grows)) in self.open.iter_mut().enumerate() {
                let less = if *grows && i > 0 { less } else { 0.0 };
                (*block, *gap) = (block.scaled(scale), (*gap - less) * scale);
                self.used += *gap + block.height;
            }
            return self.put(block.scaled(scale), (gap - less) * scale, false);
        }
        let room = self.height - gap - block.height;
        if let Some((canvas, _)) = self.done.iter_mut().rev().find(|d| d.1 <= room) {
            canvas.take(&block.canvas, at(0.0, self.height - block.height));
            return;
        }
        let last = if self.open.len() > 1 {
            self.open.pop()
        } else {
            None
        };
        self.used -= last
            .as_ref()
            .map_or(0.0, |(last, gap, _)| gap + last.height);
        self.close(true);
        if let Some((last, ..)) = last {
            self.put(last, 0.0, false);
        }
        self.put(block, gap, false);
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
