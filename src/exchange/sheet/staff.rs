//! The strings with what lies on them: numbers, ringing, bar lines, meters, and the fingers.

use super::cell::meter_width;
use super::face::Face;
use super::mark::{Canvas, Ink, at};
use super::measure::*;
use super::signs;
use super::system::{Rows, Set, System};
use super::written::{Note, Written, struck_as_one};
use crate::arrange::Technique;
use crate::exchange::left_hand::Way;
use crate::song::Close;

/// The most strings plucked at once in a bar: so many letters stand below each other.
pub(super) fn most_at_once(written: &Written) -> usize {
    let onsets = written.notes.chunk_by(|a, b| a.at == b.at);
    let letters = onsets.map(|o| o.iter().filter(|n| n.right.is_some()).count());
    letters.max().unwrap_or(0)
}

pub(super) fn draw(system: &System, rows: &Rows, canvas: &mut Canvas) {
    let mut staff = Staff {
        rows,
        canvas,
        gaps: vec![Vec::new(); system.strings.len()],
        rings: vec![Vec::new(); system.strings.len()],
    };
    for (i, bar) in system.bars.iter().enumerate() {
        staff.meter(bar);
        staff.notes(bar);
        staff.ringing(bar, i == 0);
        staff.letters(bar);
        staff.chords_struck(bar);
    }
    staff.slurs(system);
    let right = system.bars.last().map_or(system.left, Set::right);
    staff.strings(system, right);
    staff.bar_lines(system);
}

/// The staff while it is drawn.
struct Staff<'a> {
    rows: &'a Rows,
    canvas: &'a mut Canvas,
    /// For each string, where its line makes room: from, to.
    gaps: Vec<Vec<(f64, f64)>>,
    /// For each string, where it is shown ringing.
    rings: Vec<Vec<(f64, f64)>>,
}

impl Staff<'_> {
    /// The height of a string, from 1.
    fn y(&self, string: u8) -> f64 {
        self.rows.staff + GAP * (f64::from(string) - 1.0)
    }

    fn meter(&mut self, bar: &Set) {
        let Some((top, unit)) = bar.written.meter else {
            return;
        };
        let wide = meter_width((top, unit));
        let end = bar.x + bar.lead - PAD;
        let x = end - wide / 2.0;
        let middle = (self.rows.staff + self.rows.staff_end) / 2.0;
        let (above, _) = Face::Bold.reach("4", METER);
        for (number, y) in [(top, middle - 1.2), (unit, middle + 1.2 + above)] {
            self.canvas
                .centred(x, y, Face::Bold, METER, &number.to_string());
        }
        let (from, to) = (end - wide - 1.0, end + 1.0);
        let (high, low) = (middle - 1.2 - above, middle + 1.2 + above);
        for string in 1..=self.gaps.len() {
            let y = self.y(string as u8);
            if (high - 1.0..=low + 1.0).contains(&y) {
                self.gaps[string - 1].push((from, to));
            }
        }
    }

    fn notes(&mut self, bar: &Set) {
        for note in &bar.written.notes {
            let x = bar.x + bar.placed.x(note.at);
            let y = self.y(note.string);
            let half = note.half();
            let (above, below) = note.face.reach(&note.text, NUMBER);
            let base = y + (above - below) / 2.0;
            self.canvas.centred(x, base, note.face, NUMBER, &note.text);
            if let Some(finger) = note.left {
                let text = finger.to_string();
                let end = x - half - FINGER_GAP;
                self.canvas
                    .ending(end, y - FINGER_UP, Face::Regular, FINGER, &text);
            }
            let index = usize::from(note.string).saturating_sub(1);
            if let Some(gaps) = self.gaps.get_mut(index) {
                gaps.push((x - note.figures() - 0.8, x + half + 0.8));
            }
            if let Some(way) = note.slur.filter(|w| w.is_slide()) {
                let (from, to) = (x - note.left_of() + 0.8, x - note.left_of() + SLIDE - 0.8);
                let rise = if way == Way::SlideUp { 2.6 } else { -2.6 };
                self.canvas.line(at(from, y + rise), at(to, y - rise), THIN);
                if let Some(gaps) = self.gaps.get_mut(index) {
                    gaps.push((from - 0.8, to + 0.8));
                }
            }
            if let (Some(end), Some(rings)) = (note.rings, self.rings.get_mut(index)) {
                rings.push((x + half + 0.8, ring_end(bar, end)));
            }
        }
    }

    /// What rings in from the bar before.
    fn ringing(&mut self, bar: &Set, first: bool) {
        for &(string, end) in &bar.written.ringing {
            let from = if first { bar.x + 1.5 } else { bar.x };
            if let Some(rings) = self.rings.get_mut(usize::from(string).saturating_sub(1)) {
                rings.push((from, ring_end(bar, end)));
            }
        }
    }

    /// The right fingers of each onset, the highest string on top.
    fn letters(&mut self, bar: &Set) {
        for onset in bar.written.notes.chunk_by(|a, b| a.at == b.at) {
            let mut from_top: Vec<&Note> = onset.iter().collect();
            from_top.sort_by_key(|n| n.string);
            let plucked = from_top.iter().filter_map(|n| Some((n.at, n.right?)));
            for (i, (at, letter)) in plucked.enumerate() {
                let x = bar.x + bar.placed.x(at);
                let y = self.rows.letters + LETTER_STEP * (i as f64 + 1.0) - 0.6;
                self.canvas.centred(x, y, Face::Italic, LETTER, letter);
            }
        }
    }

    /// The wave of a rolled chord, the arrow of a brushed one.
    fn chords_struck(&mut self, bar: &Set) {
        for onset in bar.written.notes.chunk_by(|a, b| a.at == b.at) {
            let Some((way, high, low)) = struck_as_one(onset) else {
                continue;
            };
            let left = onset.iter().map(Note::left_of).fold(0.0, f64::max);
            let x = bar.x + bar.placed.x(onset[0].at) - left - ROLL / 2.0;
            let (top, bottom) = (self.y(high) - 3.0, self.y(low) + 3.0);
            if way == Technique::Roll {
                signs::wave(self.canvas, x, top, bottom);
            } else {
                signs::arrow(self.canvas, x, top, bottom);
            }
        }
    }

    /// Bows from the note before on the same string of the bar.
    fn slurs(&mut self, system: &System) {
        let mut last: Vec<Option<f64>> = vec![None; self.gaps.len()];
        for bar in &system.bars {
            last.fill(None);
            for note in &bar.written.notes {
                let x = bar.x + bar.placed.x(note.at);
                let y = self.y(note.string) - 4.2;
                let index = usize::from(note.string).saturating_sub(1);
                let Some(last) = last.get_mut(index) else {
                    continue;
                };
                if note.slur.is_some_and(|w| !w.is_slide()) {
                    let from = last.unwrap_or(x - 12.0);
                    signs::tie(self.canvas, at(from, y), at(x, y), -1.0, 3.0);
                }
                if note.technique != Technique::Hit {
                    *last = Some(x);
                }
            }
        }
    }

    /// The strings with their names, drawn between the gaps.
    fn strings(&mut self, system: &System, right: f64) {
        for (index, name) in system.strings.iter().enumerate() {
            let y = self.y(index as u8 + 1);
            let (above, _) = Face::Regular.reach("E", STRING_NAME);
            let end = system.left - 3.0;
            self.canvas
                .ending(end, y + above / 2.0, Face::Regular, STRING_NAME, name);
            let mut gaps = std::mem::take(&mut self.gaps[index]);
            gaps.sort_by(|a, b| a.0.total_cmp(&b.0));
            for (from, to) in between(system.left, right, &gaps) {
                self.canvas.ruled(at(from, y), at(to, y), STRING, Ink::Grey);
            }
            for (from, to) in std::mem::take(&mut self.rings[index]) {
                for (from, to) in between(from, to, &gaps) {
                    self.canvas.line(at(from, y), at(to, y), RING);
                }
            }
        }
    }

    fn bar_lines(&mut self, system: &System) {
        self.stroke(system.left, THIN);
        for bar in &system.bars {
            if bar.written.opens {
                self.stroke(bar.x + THICK / 2.0, THICK);
                self.stroke(bar.x + THICK + 2.0, THIN);
                self.dots(bar.x + THICK + 5.0);
            }
            let right = bar.right();
            let Some(close) = bar.written.close else {
                continue;
            };
            match close {
                Close::Single => self.stroke(right, THIN),
                Close::Double => {
                    self.stroke(right, THIN);
                    self.stroke(right - 2.5, THIN);
                }
                Close::Final => {
                    self.stroke(right - THICK / 2.0, THICK);
                    self.stroke(right - THICK - 2.0, THIN);
                }
                Close::Repeat(_) => {
                    self.stroke(right - THICK / 2.0, THICK);
                    self.stroke(right - THICK - 2.0, THIN);
                    self.dots(right - THICK - 5.0);
                }
            }
        }
    }

    fn stroke(&mut self, x: f64, weight: f64) {
        let (top, bottom) = (self.rows.staff, self.rows.staff_end);
        let half = STRING / 2.0;
        self.canvas
            .line(at(x, top - half), at(x, bottom + half), weight);
    }

    /// The dots of a repeat, in the two spaces around the middle.
    fn dots(&mut self, x: f64) {
        let middle = (self.rows.staff + self.rows.staff_end) / 2.0;
        // With an odd number of spaces the middle lies in one of them.
        let away = if self.gaps.len().is_multiple_of(2) {
            GAP
        } else {
            GAP / 2.0
        };
        for y in [middle - away, middle + away] {
            self.canvas.disc(x, y, 1.3);
        }
    }
}

/// Where a string stops ringing in a bar: just before the place, or at the bar line if it rings on.
fn ring_end(bar: &Set, end: crate::theory::Ticks) -> f64 {
    if end > bar.written.length {
        return bar.right();
    }
    bar.x + bar.placed.x(end) - 3.0
}

/// What is left of a stretch between the gaps; gaps are in order of their start.
fn between(from: f64, to: f64, gaps: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let mut left = Vec::new();
    let mut at = from;
    for &(start, end) in gaps {
        if end <= at || start >= to {
            continue;
        }
        if start > at {
            left.push((at, start));
        }
        at = at.max(end);
    }
    if to > at {
        left.push((at, to));
    }
    left.retain(|(a, b)| b - a > 0.3);
    left
}
