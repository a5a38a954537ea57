//! A bar as a row of notes and rests.

use crate::song::{Bar, Note};
use crate::theory::Ticks;

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
