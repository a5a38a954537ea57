//! A bar as a row of notes and rests.

use crate::song::{Bar, Note};
use crate::theory::{QUARTER, Ticks};

/// A note or a rest in its bar.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Item {
    /// Ticks from the bar line.
    pub at: Ticks,
    /// Length in ticks.
    pub length: Ticks,
    /// The note; `None` is a rest.
    pub note: Option<Note>,
}

/// A bar's notes with rests in the gaps; a rest is parted where a chord changes inside it.
pub fn items(bar: &Bar) -> Vec<Item> {
    let mut items = Vec::with_capacity(bar.notes.len());
    let mut at = 0;
    for note in &bar.notes {
        rests(bar, at, note.at, &mut items);
        items.push(Item {
            at: note.at,
            length: note.length,
            note: Some(*note),
        });
        at = note.at + note.length;
    }
    rests(bar, at, bar.length, &mut items);
    items
}

fn rests(bar: &Bar, from: Ticks, to: Ticks, items: &mut Vec<Item>) {
    let changes = bar.chords.iter().map(|c| c.at);
    let mut at = from;
    for end in changes.filter(|&c| from < c && c < to).chain([to]) {
        if end > at {
            items.push(Item {
                at,
                length: end - at,
                note: None,
            });
        }
        at = end;
    }
}

/// The lengths of the tied notes that a length is written with: one, where a note of that length
/// can be drawn, plain, dotted or twice dotted, in a triplet or not; else as few as can be.
pub(super) fn notated(length: Ticks) -> Vec<Ticks> {
    let plain = || (0..7).map(|i| (4 * QUARTER) >> i);
    // Three in the time of two: what is written is half as long again.
    if plain().any(|p| dotted(length, p) || dotted(length * 3, p * 2)) {
        return vec![length];
    }
    let mut pieces = Vec::new();
    let mut left = length;
    for piece in plain().flat_map(|p| [p * 3 / 2, p]) {
        while left >= piece {
            pieces.push(piece);
            left -= piece;
        }
    }
    match left {
        0 => pieces,
        _ => vec![length],
    }
}

/// Whether a length is a plain one with no, one or two dots.
fn dotted(length: Ticks, plain: Ticks) -> bool {
    [4, 6, 7].iter().any(|n| 4 * length == n * plain)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_that_can_not_be_drawn_are_tied() {
        let e = QUARTER / 2;
        let eighths = |l: Ticks| -> Vec<Ticks> { notated(l * e).iter().map(|l| l / e).collect() };
        assert_eq!(
            [eighths(1), eighths(3), eighths(7), eighths(8)],
            [[1], [3], [7], [8]]
        );
        assert_eq!(eighths(5), [4, 1]);
        assert_eq!(eighths(9), [8, 1]);
        assert_eq!(eighths(11), [8, 3]);
        assert_eq!(eighths(20), [12, 8]);
        // In a triplet: two thirds of an eighth, of a dotted one; nothing shorter than a tick is lost.
        assert_eq!(notated(e * 2 / 3), [e * 2 / 3]);
        assert_eq!(notated(e), [e]);
        for length in (1..50_000).step_by(7) {
            assert_eq!(notated(length).iter().sum::<Ticks>(), length);
        }
    }
}
