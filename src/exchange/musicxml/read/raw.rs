//! A bar as it comes out of its measure.

use crate::song::{Bar, ChordChange, Close, Note, Place, Tempo};
use crate::theory::{Key, Meter, Ticks};

/// A bar before it has a number.
pub(super) struct RawBar {
    pub place: Place,
    pub key: Key,
    pub meter: Meter,
    pub tempo: Option<Tempo>,
    pub length: Ticks,
    pub notes: Vec<Note>,
    pub chords: Vec<ChordChange>,
    pub opens_repeat: bool,
    pub close: Close,
    pub ending: Vec<u8>,
}

impl RawBar {
    pub(super) fn bar(self) -> Bar {
        Bar {
            number: 0,
            meter: self.meter,
            key: self.key,
            tempo: self.tempo,
            length: self.length,
            notes: self.notes,
            chords: self.chords,
            opens_repeat: self.opens_repeat,
            close: self.close,
            ending: self.ending,
            place: self.place,
        }
    }
}
