//! What a measure makes: a bar in ticks, its melody one line.

use super::{FINE, Fine, Measure, Reader};
use crate::exchange::musicxml::read::raw::RawBar;
use crate::song::{ChordChange, Note, Place};
use crate::theory::{Meter, QUARTER, Ticks};

impl Reader<'_> {
    /// The bar that a measure makes, in ticks.
    pub(super) fn finished(&mut self, place: Place, m: Measure) -> RawBar {
        let full = self.meter.bar();
        let length = match ticks(m.end) {
            0 => full,
            // What lacks or is too much by a rounding is a full bar.
            end if (end - full).abs() <= QUARTER / 96 => full,
            end => end,
        };
        let notes = self.melody(m.notes, length);
        let mut chords: Vec<ChordChange> = Vec::new();
        let mut found = m.chords;
        found.sort_by_key(|c| c.0);
        for (at, change) in found {
            let at = ticks(at);
            if at >= length {
                self.notices
                    .pass(change.place, "chords behind the end of their bar");
            } else if chords.last().is_some_and(|last| last.at == at) {
                self.notices
                    .pass(change.place, "second chords in one place");
            } else {
                chords.push(ChordChange { at, ..change });
            }
        }
        let meter = match self.free.then(|| Meter::filled_by(length)).flatten() {
            Some(meter) => meter,
            None => self.meter.clone(),
        };
        RawBar {
            place,
            key: self.key.clone(),
            meter,
            tempo: m.tempo,
            length,
            notes,
            chords,
            opens_repeat: m.opens_repeat,
            close: m.close,
            ending: m.ending,
        }
    }

    /// The melody of a bar: one note after another, what is tied inside the bar joined.
    fn melody(&mut self, mut found: Vec<(Fine, Fine, Note)>, length: Ticks) -> Vec<Note> {
        found.sort_by_key(|n| n.0);
        let mut notes: Vec<Note> = Vec::with_capacity(found.len());
        for (at, long, note) in found {
            let (at, end) = (ticks(at), ticks(at + long).min(length));
            if let Some(last) = notes.last_mut() {
                if last.tied
                    && last.at + last.length == at
                    && last.pitch.midi() == note.pitch.midi()
                {
                    last.length = end - last.at;
                    last.tied = note.tied;
                    continue;
                }
                if last.at + last.length > at {
                    self.notices
                        .pass(note.place, "ends of notes that run into the next one");
                    last.length = at - last.at;
                }
                if last.length <= 0 {
                    notes.pop();
                }
            }
            if at < end {
                let length = end - at;
                notes.push(Note { at, length, ..note });
            }
        }
        notes
    }
}

fn ticks(fine: Fine) -> Ticks {
    (fine + FINE / 2).div_euclid(FINE)
}
