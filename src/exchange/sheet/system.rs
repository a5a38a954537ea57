//! One line of bars from top to bottom: which rows it needs, and where everything stands in them.

use super::cell::Placed;
use super::face::Face;
use super::mark::{Canvas, at};
use super::measure::*;
use super::rhythm::Voice;
use super::signs;
use super::staff;
use super::stems;
use super::written::Written;
use crate::song::Close;

/// Something as wide as the page that is not torn apart.
#[derive(Debug, Clone, Default)]
pub(super) struct Block {
    pub height: f64,
    pub canvas: Canvas,
}

impl Block {
    /// The same block with everything in it larger or smaller.
    pub fn scaled(&self, scale: f64) -> Block {
        let marks = self.canvas.marks.iter();
        let marks = marks.map(|m| m.placed(scale, at(0.0, 0.0))).collect();
        Block {
            height: self.height * scale,
            canvas: Canvas { marks },
        }
    }
}

/// A bar in its place. `x` is its left bar line.
pub(super) struct Set<'a> {
    pub written: &'a Written,
    pub placed: Placed,
    pub lead: f64,
    pub x: f64,
    /// In an ending that began in an earlier bar.
    pub in_ending: bool,
}

impl Set<'_> {
    /// Its right bar line.
    pub fn right(&self) -> f64 {
        self.x + self.placed.width
    }
}

/// A line of bars.
pub(super) struct System<'a> {
    pub bars: Vec<Set<'a>>,
    /// The strings' names, string 1 first.
    pub strings: &'a [String],
    pub left: f64,
}

/// Where the rows of a system lie, downwards from its top.
pub(super) struct Rows {
    pub endings: f64,
    pub names: f64,
    pub barres: f64,
    pub upper_tip: f64,
    pub upper_foot: f64,
    pub staff: f64,
    pub staff_end: f64,
    pub lower_foot: f64,
    pub letters: f64,
    pub end: f64,
}

impl System<'_> {
    fn rows(&self) -> Rows {
        let any = |test: &dyn Fn(&Written) -> bool| self.bars.iter().any(|b| test(b.written));
        let row = |needed: bool, height: f64| if needed { height } else { 0.0 };
        let in_ending = self.bars.iter().any(|b| b.in_ending);
        let top = any(&|w| w.passes.is_some() || w.tempo.is_some() || w.times().is_some());
        let endings = row(in_ending || top, ENDINGS_ROW);
        let names = endings + NAMES_ROW;
        let barres = names + row(any(&|w| !w.barres.is_empty()), BARRES_ROW);
        let upper_tip = barres + row(any(&|w| !w.upper.tuplets.is_empty()), TUPLETS_ROW);
        let upper_foot = upper_tip + UPPER_STEM;
        let staff = upper_foot + FOOT;
        let staff_end = staff + GAP * self.strings.len().saturating_sub(1) as f64;
        let lower_foot = staff_end + LOWER_FOOT;
        let stems = |w: &Written| w.lower.signs.iter().any(|s| s.value.head > 0 || s.tied);
        let lower_tip = lower_foot + if any(&stems) { LOWER_STEM } else { NO_STEM };
        let letters = lower_tip + row(any(&|w| !w.lower.tuplets.is_empty()), TUPLETS_ROW);
        let most = self.bars.iter().map(|b| staff::most_at_once(b.written));
        let end = letters + LETTER_STEP * most.max().unwrap_or(0) as f64 + 2.0;
        Rows {
            endings,
            names,
            barres,
            upper_tip,
            upper_foot,
            staff,
            staff_end,
            lower_foot,
            letters,
            end,
        }
    }

    /// Draws it, its left edge at 0.
    pub fn draw(&self) -> Block {
        let rows = self.rows();
        let mut canvas = Canvas::default();
        staff::draw(self, &rows, &mut canvas);
        self.voices(&rows, &mut canvas);
        for bar in &self.bars {
            self.names(bar, &rows, &mut canvas);
        }
        self.endings(&rows, &mut canvas);
        Block {
            height: rows.end,
            canvas,
        }
    }

    fn voices(&self, rows: &Rows, canvas: &mut Canvas) {
        let upper = stems::Side {
            foot: rows.upper_foot,
            tip: rows.upper_tip,
            up: -1.0,
            voice: |w: &Written| -> &Voice { &w.upper },
            tied_in: |w: &Written| w.tied_in[0],
        };
        let lower = stems::Side {
            foot: rows.lower_foot,
            tip: rows.lower_foot + LOWER_STEM,
            up: 1.0,
            voice: |w: &Written| -> &Voice { &w.lower },
            tied_in: |w: &Written| w.tied_in[1],
        };
        upper.draw(self, canvas);
        lower.draw(self, canvas);
    }

    /// Bar number, chord names, barres.
    fn names(&self, bar: &Set, rows: &Rows, canvas: &mut Canvas) {
        let number = bar.written.number.map(|n| n.to_string());
        let y = rows.names - 3.6;
        canvas.text(
            bar.x + PAD,
            y,
            Face::Regular,
            BAR_NUMBER,
            &number.unwrap_or_default(),
        );
        for name in &bar.written.names {
            let x = bar.x + bar.placed.x(name.at) - NAME_IN;
            let end = canvas.text(x, y, Face::Bold, CHORD, &name.chord);
            canvas.text(end + SHAPE_GAP, y, Face::Regular, SHAPE, &name.shape);
        }
        for (place, text) in &bar.written.barres {
            let x = bar.x + bar.placed.x(*place) - NAME_IN;
            canvas.text(x, rows.barres - 2.5, Face::Bold, MARK, text);
        }
    }

    /// Brackets of endings, new tempos, the times of a repeat.
    fn endings(&self, rows: &Rows, canvas: &mut Canvas) {
        let (top, base) = (rows.endings - ENDINGS_ROW + 1.0, rows.endings - 2.5);
        for (i, bar) in self.bars.iter().enumerate() {
            let mut x = bar.x + 2.0 * PAD;
            let starts = &bar.written.passes;
            if let Some(passes) = starts {
                x = canvas.text(x, base, Face::Bold, MARK, passes) + TOP_GAP;
            }
            if let Some(tempo) = bar.written.tempo {
                signs::tempo(canvas, x, base, MARK, tempo);
            }
            let times = bar.written.times().unwrap_or_default();
            canvas.ending(bar.right() - 2.0 * PAD, base, Face::Bold, MARK, &times);
            if starts.is_none() && !bar.in_ending {
                continue;
            }
            let next = self.bars.get(i + 1);
            let goes_on = next.is_some_and(|n| n.in_ending);
            let right = bar.right() - if goes_on { 0.0 } else { 2.0 };
            canvas.line(at(bar.x, top), at(right, top), THIN);
            if starts.is_some() {
                canvas.line(
                    at(bar.x + THIN / 2.0, top),
                    at(bar.x + THIN / 2.0, base + 1.0),
                    THIN,
                );
            }
            if matches!(bar.written.close, Some(Close::Repeat(_))) {
                canvas.line(at(right, top), at(right, base + 1.0), THIN);
            }
        }
    }
}
