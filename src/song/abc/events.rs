//! A bar as a row of notes and rests without gaps, as a writer needs it.

use crate::song::Bar;
use crate::theory::{Pitch, Ticks};

/// A note or a rest, and the chords that change where it starts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Event {
    pub at: Ticks,
    pub length: Ticks,
    /// The pitch and whether it is tied on; `None` is a rest.
    pub note: Option<(Pitch, bool)>,
    /// Symbols in their fixed spelling.
    pub chords: Vec<String>,
}

/// The bar's notes with rests in the gaps, parted where a chord changes inside one.
pub(super) fn events(bar: &Bar) -> Vec<Event> {
    let mut events = Vec::new();
    let mut at = 0;
    let mut span = |from: Ticks, to: Ticks, note: Option<(Pitch, bool)>| {
        let mut cuts = vec![from];
        cuts.extend(
            bar.chords
                .iter()
                .map(|c| c.at)
                .filter(|&c| from < c && c < to),
        );
        cuts.dedup();
        cuts.push(to);
        for pair in cuts.windows(2).filter(|p| p[0] < p[1]) {
            let last = pair[1] == to;
            events.push(Event {
                at: pair[0],
                length: pair[1] - pair[0],
                note: note.map(|(pitch, tied)| (pitch, tied || !last)),
                chords: chords_at(bar, pair[0]),
            });
        }
    };
    for note in &bar.notes {
        span(at, note.at, None);
        at = (note.at + note.length).min(bar.length);
        span(note.at, at, Some((note.pitch, note.tied)));
    }
    span(at, bar.length, None);
    events
}

fn chords_at(bar: &Bar, at: Ticks) -> Vec<String> {
    bar.chords
        .iter()
        .filter(|c| c.at == at)
        .map(|c| c.symbol.ascii())
        .collect()
}
