//! Sheets to be handed out: tab with its rhythm, chord boxes, both hands' fingers, on A4 or letter,
//! as PDF or SVG.
//!
//! The layout comes first and knows nothing of files: an arrangement becomes bars as they are
//! written (`written`, `rhythm`), bars get their columns (`cell`), lines are cut (`lines`) and drawn
//! (`system`, `staff`, `stems`, `signs`), blocks are set on pages (`pages`, `booklet`), last the meaning
//! of the signs that are printed (`legend`). A [`Document`] is nothing but pages of texts, lines and
//! shapes, which `pdf` and `svg` write down.

mod booklet;
mod boxes;
mod cell;
mod check;
mod face;
mod head;
mod legend;
mod lines;
mod mark;
mod measure;
mod pages;
mod parts;
mod pdf;
mod rhythm;
mod signs;
mod song;
mod staff;
mod stems;
mod svg;
mod system;
mod written;

pub use booklet::{Booklet, Part};
pub use face::Face;
pub use mark::{Area, Ink, Mark, Point, Step};

/// A size of paper, upright.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Paper {
    /// 210 × 297 mm (ISO 216).
    #[default]
    A4,
    /// 8½ × 11 in.
    Letter,
}

impl Paper {
    /// Width and height in points.
    pub fn size(self) -> (f64, f64) {
        match self {
            Paper::A4 => (210.0 / 25.4 * 72.0, 297.0 / 25.4 * 72.0),
            Paper::Letter => (8.5 * 72.0, 11.0 * 72.0),
        }
    }
}

/// How sheets are printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Options {
    /// The paper.
    pub paper: Paper,
    /// Everything about a third larger.
    pub large: bool,
}

impl Options {
    /// How much larger than usual everything is.
    fn scale(self) -> f64 {
        if self.large { 1.35 } else { 1.0 }
    }
}

/// No mark comes nearer to an edge of the paper than this, in points (14 mm at the sides, 12 mm at
/// top and bottom).
pub const MARGIN: (f64, f64) = (14.0 / 25.4 * 72.0, 12.0 / 25.4 * 72.0);

/// Pages ready to be written.
#[derive(Debug, Clone, PartialEq)]
pub struct Document {
    /// What it is called.
    pub title: String,
    /// Who made the tune, if it is one tune.
    pub author: Option<String>,
    /// Width and height of every page in points.
    pub size: (f64, f64),
    /// What stands on each page.
    pub pages: Vec<Vec<Mark>>,
    /// Where each part begins: its name and the index of its page.
    pub parts: Vec<(String, usize)>,
    /// What leads to another page.
    pub links: Vec<Link>,
}

/// A place that leads to a page.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Link {
    /// The index of the page it is on.
    pub page: usize,
    /// Where.
    pub area: Area,
    /// The index of the page it leads to.
    pub to: usize,
}

impl Document {
    /// The bytes of a PDF file.
    pub fn pdf(&self) -> Vec<u8> {
        pdf::write(self)
    }

    /// An SVG image; its pages stand one below the other.
    pub fn svg(&self) -> String {
        svg::write(self)
    }
}

#[cfg(test)]
mod tests;
