//! The open abc notation 2.1, as far as a tune with chords needs it.
//!
//! Read whole: fields, notes, rests, ties, tuplets, broken rhythm, chord symbols, repeats and
//! endings. Of several voices the first is read, of a chord of notes the top one. Grace notes,
//! decorations, lyrics, slurs and directives are passed over, each kind with one notice: nothing
//! is dropped in silence but comments, remarks and layout.
//!
//! Accidentals last to the end of their bar in every octave, which is the default of the standard
//! (section 11.3); `%%propagate-accidentals octave` and `not` are heeded. A note tied over a bar
//! line keeps its accidental.

mod barlines;
mod bars;
mod body;
mod book;
mod events;
mod fields;
mod lexer;
mod lines;
mod pitch;
mod rhythm;
mod scan;
mod sounding;
mod text;
mod tuplets;
mod voices;
mod write;

pub use book::read_book;
pub use fields::{
    TempoField, read_key, read_meter, read_tempo, read_unit, usual_tempo, usual_unit, write_key,
};
pub use write::{write_body, write_tune};

use super::{Notice, Notices, Place, Song, SongError, Tempo};
use crate::theory::{Key, Meter, Ticks};

/// A tune out of an abc file.
#[derive(Debug, Clone, PartialEq)]
pub struct AbcTune {
    /// The `X:` reference number.
    pub number: u32,
    /// The song.
    pub song: Song,
    /// What was passed over or mended, in order.
    pub notices: Vec<Notice>,
}

/// What has to be known before the first note of a body can be read.
#[derive(Debug, Clone, PartialEq)]
pub struct Header {
    /// The title.
    pub title: String,
    /// Who made the tune.
    pub composer: Option<String>,
    /// Words to find the song by.
    pub tags: Vec<String>,
    /// The key.
    pub key: Key,
    /// The meter; `None` is free meter: each bar is as long as its notes.
    pub meter: Option<Meter>,
    /// The unit note length in ticks; `None` is what [`usual_unit`] says for the meter.
    pub unit: Option<Ticks>,
    /// The tempo; `None` is what [`usual_tempo`] says for the meter.
    pub tempo: Option<Tempo>,
    /// How far an accidental reaches.
    pub accidentals: Accidentals,
    /// An unreadable chord symbol is an error. Otherwise it is left out with a notice.
    pub strict_chords: bool,
}

/// How far an accidental reaches: `%%propagate-accidentals`, abc 2.1, section 11.3.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Accidentals {
    /// `not`: only its own note.
    Note,
    /// `octave`: its letter in the same octave, to the bar line.
    Octave,
    /// `pitch`: its letter in every octave, to the bar line.
    #[default]
    Pitch,
}

impl Header {
    /// A header with a key and a meter, everything else as the standard has it.
    pub fn new(key: Key, meter: Option<Meter>) -> Header {
        Header {
            title: String::new(),
            composer: None,
            tags: Vec::new(),
            key,
            meter,
            unit: None,
            tempo: None,
            accidentals: Accidentals::default(),
            strict_chords: false,
        }
    }
}

/// Reads the body of one tune whose header fields are known. `first` is the place of the body's
/// first character in the text around it, so that all places point into that text.
///
/// # Errors
/// When there is not a single note or rest, when a number is beyond all music, and for an
/// unreadable chord if `header.strict_chords`.
pub fn read_tune(
    header: &Header,
    body: &str,
    first: Place,
) -> Result<(Song, Vec<Notice>), SongError> {
    let mut reader = body::Body::new(header.clone(), None, Notices::default());
    for (i, text) in body.split('\n').enumerate() {
        let place = match u32::try_from(i) {
            Ok(0) => first,
            line => Place {
                line: first.line.saturating_add(line.unwrap_or(u32::MAX)),
                column: 1,
            },
        };
        reader.line(text, place)?;
    }
    reader.finish(first)
}

#[cfg(test)]
mod properties;
#[cfg(test)]
mod tests;
