//! The rhythm of a voice along a system: stems, flags, beams, rests, dots, ties, tuplets.
//!
//! A quarter has a whole stem, a half has half of one, a whole note none.

use super::face::Face;
use super::mark::{Canvas, at};
use super::measure::*;
use super::rhythm::{Sign, Voice};
use super::signs;
use super::system::{Set, System};
use super::written::Written;

/// Where a voice stands and which way its stems point.
pub(super) struct Side {
    /// The end of the stems at the strings.
    pub foot: f64,
    /// The other end.
    pub tip: f64,
    /// −1 for stems that point up, 1 for stems that point down.
    pub up: f64,
    pub voice: fn(&Written) -> &Voice,
    pub tied_in: fn(&Written) -> bool,
}

impl Side {
    pub fn draw(&self, system: &System, canvas: &mut Canvas) {
        for (i, bar) in system.bars.iter().enumerate() {
            let voice = (self.voice)(bar.written);
            let xs: Vec<f64> = (voice.signs.iter())
                .map(|s| bar.x + bar.placed.x(s.at))
                .collect();
            for (j, (sign, &x)) in voice.signs.iter().zip(&xs).enumerate() {
                let beamed = voice.beams.iter().any(|&(a, b)| (a..=b).contains(&j));
                self.sign(sign, x, beamed, bar, canvas);
            }
            for &(a, b) in &voice.beams {
                if let (Some(signs), Some(xs)) = (voice.signs.get(a..=b), xs.get(a..=b)) {
                    self.beams(signs, xs, canvas);
                }
            }
            self.tuplets(voice, &xs, canvas);
            let next = system.bars.get(i + 1).and_then(|n| {
                let first = (self.voice)(n.written).signs.first()?.at;
                Some(n.x + n.placed.x(first))
            });
            let edge = next.unwrap_or(bar.right() - 1.0);
            self.ties(voice, &xs, edge, canvas);
            if let (0, true, Some(&x)) = (i, (self.tied_in)(bar.written), xs.first()) {
                let from = (bar.x + bar.lead + 1.0).min(x - 3.0);
                self.tie(from, x - 1.0, canvas);
            }
        }
    }

    fn sign(&self, sign: &Sign, x: f64, beamed: bool, bar: &Set, canvas: &mut Canvas) {
        let middle = (self.foot + self.tip) / 2.0;
        if sign.rest {
            let x = if sign.whole_bar {
                (bar.x + bar.lead + bar.right()) / 2.0
            } else {
                x
            };
            signs::rest(canvas, at(x, middle), sign.value);
            if sign.value.dots > 0 {
                signs::dot(canvas, x + REST_HALF + 1.6, middle - 1.0);
            }
            return;
        }
        let length = match sign.value.head {
            0 => 0.0,
            1 => (self.tip - self.foot).abs() / 2.0,
            _ => (self.tip - self.foot).abs(),
        };
        if length > 0.0 {
            canvas.line(at(x, self.foot), at(x, self.foot + self.up * length), THIN);
        }
        if !beamed {
            signs::flags(canvas, at(x, self.tip), -self.up, sign.value.flags());
        }
        // A whole note shows nothing, so a dot would have nothing to stand beside.
        if sign.value.dots > 0 && sign.value.head > 0 {
            signs::dot(canvas, x + STEM + 1.8, self.foot + self.up * 1.8);
        }
    }

    /// One beam over all, further ones over what is shorter.
    fn beams(&self, signs: &[Sign], xs: &[f64], canvas: &mut Canvas) {
        let most = signs.iter().map(|s| s.value.flags()).max().unwrap_or(0);
        // All beams stay on the stem, however many there are.
        let step = BEAM_STEP.min((self.tip - self.foot).abs() / f64::from(most.max(1)));
        let thick = BEAM.min(0.65 * step);
        for level in 1..=most {
            let y = self.tip - self.up * step * f64::from(level - 1);
            let reaches = |i: usize| signs.get(i).is_some_and(|s| s.value.flags() >= level);
            let mut from = 0;
            while from < signs.len() {
                if !reaches(from) {
                    from += 1;
                    continue;
                }
                let mut to = from;
                while reaches(to + 1) {
                    to += 1;
                }
                let half = THIN / 2.0;
                let (mut left, mut right) = (xs[from] - half, xs[to] + half);
                if from == to {
                    // A stub towards the note it shares its beat with.
                    if from > 0 {
                        left = right - 5.0
                    } else {
                        right = left + 5.0
                    }
                }
                let inner = y - self.up * thick;
                canvas.block(left, y.min(inner), right, y.max(inner));
                from = to + 1;
            }
        }
    }

    fn tuplets(&self, voice: &Voice, xs: &[f64], canvas: &mut Canvas) {
        for (index, count) in voice.tuplets.iter().enumerate() {
            let inside = |i: &usize| voice.signs.get(*i).is_some_and(|s| s.tuplet == Some(index));
            let mut members = (0..voice.signs.len()).filter(inside);
            let Some(first) = members.next() else {
                continue;
            };
            let last = members.next_back().unwrap_or(first);
            let (Some(&left), Some(&right)) = (xs.get(first), xs.get(last)) else {
                continue;
            };
            let text = count.to_string();
            let middle = (left + right) / 2.0;
            let (above, _) = Face::Italic.reach(&text, TUPLET);
            let outer = self.tip + self.up * 2.0;
            let base = if self.up < 0.0 { outer } else { outer + above };
            canvas.centred(middle, base, Face::Italic, TUPLET, &text);
            if !voice.beams.contains(&(first, last)) {
                let half = Face::Italic.width(&text, TUPLET) / 2.0 + 1.5;
                let y = outer + self.up * above / 2.0;
                // Over one sign alone the number needs more room than it.
                let reach = ((right - left) / 2.0 + 2.0).max(half + 1.0);
                let (left, right) = (middle - reach, middle + reach);
                for (a, b) in [(left, middle - half), (middle + half, right)] {
                    canvas.line(at(a, y), at(b, y), THIN);
                }
                for x in [left, right] {
                    canvas.line(at(x, y), at(x, y - self.up * 2.5), THIN);
                }
            }
        }
    }

    /// Ties from each sign that goes on; the last one reaches to `edge`.
    fn ties(&self, voice: &Voice, xs: &[f64], edge: f64, canvas: &mut Canvas) {
        for (i, (sign, &x)) in voice.signs.iter().zip(xs).enumerate() {
            if sign.tied {
                let to = xs.get(i + 1).copied().unwrap_or(edge);
                let dot = if sign.value.dots > 0 { DOT_ROOM } else { 0.0 };
                self.tie(x + 1.0 + dot, to - 1.0, canvas);
            }
        }
    }

    fn tie(&self, from: f64, to: f64, canvas: &mut Canvas) {
        let y = self.foot - self.up * 0.5;
        signs::tie(canvas, at(from, y), at(to, y), self.up, 3.0);
    }
}
