//! The bar that is being filled.

use super::Place;
use super::rhythm::{FINE, Fine, Ratio, ticks};
use crate::song::{Bar, ChordChange, Close, Note, SongError, Tempo};
use crate::theory::{Key, Meter, Pitch, QUARTER, Symbol, Ticks};

/// A bar longer than this many ticks is taken for a text without bar lines: 1 024 whole notes.
const LONGEST: Ticks = 1_024 * 4 * QUARTER;

/// What is in force when a bar's first note or rest comes.
#[derive(Debug, Clone)]
struct Start {
    place: Place,
    meter: Option<Meter>,
    key: Key,
    tempo: Option<Tempo>,
}

#[derive(Debug, Clone)]
struct OpenNote {
    at: Fine,
    length: Fine,
    pitch: Pitch,
    tied: bool,
    place: Place,
}

/// The last note or rest, which broken rhythm may still change.
#[derive(Debug, Clone, Copy)]
struct Last {
    is_note: bool,
    at: Fine,
    length: Fine,
}

/// A bar in the making; its lengths are in fine units.
#[derive(Debug, Clone, Default)]
pub(super) struct OpenBar {
    start: Option<Start>,
    at: Fine,
    notes: Vec<OpenNote>,
    chords: Vec<(Fine, Symbol, Place)>,
    last: Option<Last>,
    pub opens_repeat: bool,
    pub ending: Vec<u8>,
}

impl OpenBar {
    /// No note or rest yet.
    pub(super) fn is_empty(&self) -> bool {
        self.start.is_none()
    }

    /// Fixes meter, key and tempo at the bar's first event; later calls change nothing.
    pub(super) fn begin(
        &mut self,
        place: Place,
        meter: Option<&Meter>,
        key: &Key,
        tempo: &mut Option<(Place, Tempo)>,
    ) {
        self.start.get_or_insert_with(|| Start {
            place,
            meter: meter.cloned(),
            key: key.clone(),
            tempo: tempo.take().map(|(_, tempo)| tempo),
        });
    }

    /// Adds a note, or a rest when there is no pitch.
    ///
    /// # Errors
    /// When the bar grows beyond belief.
    pub(super) fn push(
        &mut self,
        length: Fine,
        pitch: Option<Pitch>,
        place: Place,
    ) -> Result<(), SongError> {
        if let Some(pitch) = pitch {
            self.notes.push(OpenNote {
                at: self.at,
                length,
                pitch,
                tied: false,
                place,
            });
        }
        self.last = Some(Last {
            is_note: pitch.is_some(),
            at: self.at,
            length,
        });
        self.advance(self.at + length, place)
    }

    fn advance(&mut self, to: Fine, place: Place) -> Result<(), SongError> {
        self.at = to;
        if self.at > LONGEST * FINE {
            let text = "this bar is longer than 1024 whole notes; put bar lines in";
            return Err(SongError::new(place, text));
        }
        Ok(())
    }

    /// Makes the last note or rest longer or shorter; `false` when there is none to change.
    ///
    /// # Errors
    /// When the bar grows beyond belief.
    pub(super) fn stretch_last(&mut self, by: Ratio, place: Place) -> Result<bool, SongError> {
        let Some(last) = &mut self.last else {
            return Ok(false);
        };
        last.length = super::rhythm::believable(by.of(last.length), place)?;
        let last = *last;
        if let (true, Some(note)) = (last.is_note, self.notes.last_mut()) {
            note.length = last.length;
        }
        self.advance(last.at + last.length, place)?;
        Ok(true)
    }

    /// Puts a chord where the next note will stand. `false` when one stands there already.
    pub(super) fn chord(&mut self, symbol: Symbol, place: Place) -> bool {
        let free = self.chords.last().is_none_or(|&(at, ..)| at < self.at);
        if free {
            self.chords.push((self.at, symbol, place));
        }
        free
    }

    /// Ties a note to the next one.
    pub(super) fn tie(&mut self, note: usize) {
        if let Some(note) = self.notes.get_mut(note) {
            note.tied = true;
        }
    }

    /// Pitch and index of the last event, when it is a note.
    pub(super) fn last_note(&self) -> Option<(usize, Pitch)> {
        let note = self.notes.last()?;
        self.last?
            .is_note
            .then(|| (self.notes.len() - 1, note.pitch))
    }

    /// The finished bar, and an empty one in its place; `None` when nothing was in it.
    pub(super) fn finish(&mut self, close: Close) -> Option<Bar> {
        let start = self.start.take()?;
        let bar = std::mem::take(self);
        let length = ticks(bar.at);
        let filled = || Meter::filled_by(length).unwrap_or_else(Meter::common);
        Some(Bar {
            number: 0,
            meter: start.meter.unwrap_or_else(filled),
            key: start.key,
            tempo: start.tempo,
            length,
            notes: bar.notes.iter().filter_map(closed).collect(),
            chords: bar
                .chords
                .into_iter()
                .map(|(at, symbol, place)| ChordChange {
                    at: ticks(at),
                    symbol,
                    place,
                })
                .collect(),
            opens_repeat: bar.opens_repeat,
            close,
            ending: bar.ending,
            place: start.place,
        })
    }
}

/// The note in whole ticks.
fn closed(note: &OpenNote) -> Option<Note> {
    let at = ticks(note.at);
    let length = ticks(note.at + note.length) - at;
    (length > 0).then_some(Note {
        at,
        length,
        pitch: note.pitch,
        tied: note.tied,
        place: note.place,
    })
}
