//! How lengths in ticks are written: values with dots, ties, rests, tuplets and beams.

mod beam;
mod split;
mod tuplet;

use crate::score::bar_beats;
use crate::song::Bar;
use crate::theory::{QUARTER, Ticks};

/// The shortest value that is written, a hundred-and-twenty-eighth, and its head.
const FINEST: Ticks = QUARTER / 32;
const FINEST_HEAD: u8 = 7;

/// A written value: its head and its dots.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Value {
    /// 0 a whole, 1 a half, 2 a quarter, 3 an eighth, and so on to 7, a 128th.
    pub head: u8,
    /// 0 or 1.
    pub dots: u8,
}

impl Value {
    /// The value that lasts so long, if one value does.
    pub fn of(length: Ticks) -> Option<Value> {
        (0..=FINEST_HEAD).find_map(|head| {
            let plain = (4 * QUARTER) >> head;
            match length {
                l if l == plain => Some(Value { head, dots: 0 }),
                l if 2 * l == 3 * plain => Some(Value { head, dots: 1 }),
                _ => None,
            }
        })
    }

    /// The value nearest to a length that can't be written exactly.
    fn near(length: Ticks) -> Value {
        let head = (0..=FINEST_HEAD).find(|&head| (4 * QUARTER) >> head <= length);
        Value {
            head: head.unwrap_or(FINEST_HEAD),
            dots: 0,
        }
    }

    /// How many flags or beams it has.
    pub fn flags(self) -> u8 {
        self.head.saturating_sub(2)
    }
}

/// What fills a stretch of a voice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// A note; `tied` when it goes on in the next bar.
    Note { tied: bool },
    /// A rest that is written.
    Rest,
    /// Nothing that is written.
    Gap,
}

/// A stretch of a voice within one bar, in ticks from the bar line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Span {
    pub at: Ticks,
    pub end: Ticks,
    pub kind: Kind,
}

/// One written sign.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Sign {
    /// Ticks from the bar line.
    pub at: Ticks,
    /// Where the next one can start.
    pub end: Ticks,
    pub value: Value,
    pub rest: bool,
    /// A rest that fills the bar and stands in its middle.
    pub whole_bar: bool,
    /// Goes on in the next sign without a new attack.
    pub tied: bool,
    /// Index of its tuplet in the voice.
    pub tuplet: Option<usize>,
}

/// One voice of one bar as it is written.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Voice {
    pub signs: Vec<Sign>,
    /// The number over each tuplet.
    pub tuplets: Vec<u8>,
    /// Runs of at least two signs under one beam: first and last index.
    pub beams: Vec<(usize, usize)>,
}

/// Where the beats of a bar lie, in ticks from where a full bar would begin.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Grid {
    /// What the bar lacks at its front.
    pub missing: Ticks,
    /// Where it ends.
    pub end: Ticks,
    /// The beats, and where the last one ends; the first is 0.
    pub beats: Vec<Ticks>,
    /// The middle of a bar of four even beats, which no value should hide.
    pub middle: Option<Ticks>,
    pub compound: bool,
}

impl Grid {
    pub fn new(bar: &Bar, missing: Ticks) -> Grid {
        let full = bar.meter.bar().max(1);
        let end = bar.length + missing;
        let own = bar.meter.beats();
        let beats = bar_beats(bar, missing).into_iter().map(|b| b + missing);
        let even = own.len() == 4
            && own
                .iter()
                .enumerate()
                .all(|(i, &b)| b * 4 == full * i as Ticks);
        Grid {
            missing,
            end,
            beats: beats.collect(),
            middle: (even && end <= full).then_some(full / 2),
            compound: bar.meter.is_compound(),
        }
    }

    /// The beat that a place lies in: its start and end.
    pub fn beat(&self, at: Ticks) -> (Ticks, Ticks) {
        let next = self.beats.partition_point(|&b| b <= at);
        let start = next.checked_sub(1).and_then(|i| self.beats.get(i));
        let start = start.copied().unwrap_or(0);
        (
            start,
            self.beats.get(next).copied().unwrap_or(start.max(self.end)),
        )
    }

    /// The beats strictly between two places.
    fn between(&self, at: Ticks, end: Ticks) -> &[Ticks] {
        let from = self.beats.partition_point(|&b| b <= at);
        let to = self.beats.partition_point(|&b| b < end);
        self.beats.get(from..to).unwrap_or(&[])
    }

    fn is_beat(&self, at: Ticks) -> bool {
        self.beats.binary_search(&at).is_ok()
    }
}

/// Writes a voice. The spans follow each other without a gap and fill the bar.
pub(super) fn write(spans: &[Span], grid: &Grid) -> Voice {
    if let [only] = spans
        && only.kind == Kind::Rest
    {
        return Voice {
            signs: vec![Sign {
                at: only.at,
                end: only.end,
                value: Value { head: 0, dots: 0 },
                rest: true,
                whole_bar: true,
                tied: false,
                tuplet: None,
            }],
            ..Voice::default()
        };
    }
    let moved: Vec<Span> = (spans.iter())
        .map(|s| Span {
            at: s.at + grid.missing,
            end: s.end + grid.missing,
            kind: s.kind,
        })
        .collect();
    let windows = tuplet::windows(&moved, grid);
    let mut voice = Voice {
        tuplets: windows.iter().map(|w| w.count).collect(),
        ..Voice::default()
    };
    for span in tuplet::cut(&moved, &windows) {
        let window = windows.iter().position(|w| w.holds(span.at));
        let parts = match window.and_then(|i| windows.get(i)) {
            Some(w) => split::in_tuplet(span.at, span.end, w),
            None => split::plain(span.at, span.end, grid, span.kind == Kind::Rest),
        };
        let last = parts.len().saturating_sub(1);
        for (i, (at, end, value)) in parts.into_iter().enumerate() {
            if span.kind == Kind::Gap {
                continue;
            }
            let tied = match span.kind {
                Kind::Note { tied } => i < last || tied,
                _ => false,
            };
            voice.signs.push(Sign {
                at: at - grid.missing,
                end: end - grid.missing,
                value,
                rest: span.kind == Kind::Rest,
                whole_bar: false,
                tied,
                tuplet: window,
            });
        }
    }
    voice.beams = beam::beams(&voice.signs, grid);
    voice
}

#[cfg(test)]
mod tests;
