//! The song file: one TOML document that a person can write in an editor and keep in git.
//!
//! ```toml
//! # Comments stay where they are.
//! format = 1
//! title = "Lamps Along the Quay"
//! composer = "the harbour evening"
//! tags = ["waltz"]
//! key = "G"              # also "Em", "D dorian", "Bb mixolydian"
//! meter = "3/4"          # also "2+2+3/8"
//! unit = "1/8"           # the note length that a bare letter stands for in the tune
//! tempo = "1/4=96"       # or 96: so many beats of the meter a minute
//! tune = """
//! D2 | "G"B3 A G2 | "D7"F4 D2 | "G"G4 |]
//! """
//!
//! [guitar]
//! tuning = "standard"    # or notes, lowest first: "D2 A2 D3 G3 B3 E4"
//! capo = 2
//! frets = 19
//! scale_mm = 650
//! hand = "small"
//!
//! [[pin]]
//! bar = 2                # the printed number; a pickup is 0
//! beat = "1 1/2"         # or 1.5; the first beat is 1, in a pickup also what the tab calls it
//! note = "melody"        # or "bass"; with string, fret, finger, whichever matter
//! string = 2
//! fret = 3
//! ```
//!
//! `tune` is the body syntax of the open abc notation 2.1 with chords in quotes. A pin fixes one
//! thing: a `note`, a `grip = "x32010"` (lowest string first; `"x 10 12 12 11 10"` from the tenth
//! fret on), a `bass = "F2"` or in any octave `bass = "F"`, `fill = 2` notes between bass and
//! melody, or `nothing = true` but the melody.
//!
//! An idea is a colour of the fourth layer that the player took, or with `left = true` one that is
//! not wanted:
//!
//! ```toml
//! [[idea]]
//! bar = 5
//! to = 8                 # the last bar, where it reaches over several
//! figure = "bass line"
//! each = "chord"         # or "beat"
//! notes = "C3 B2 A2 G2"
//! ```
//!
//! | figure | fields of its own |
//! | --- | --- |
//! | `bass on the beats`, `bass between`, `root and fifth`, `no bass`, `hits` | |
//! | `doubled` | `by = "octave"` or `"tenth"` |
//! | `bass note` | `bass = "F#2"`, at its `beat` |
//! | `bass line` | `each`, `notes` |
//! | `roll` | `strings = 5`, the most that sound |
//! | `broken chord` | `every = "1/8"` |
//! | `harmonic` | `string`, `fret` |
//! | `slur` | `string`, `fingers = "13"`: of the note before and of the note itself |
//! | `campanella` | `over = "3212"`: the strings in turn |
//! | `chord` | `chord = "Gsus4"` |
//!
//! A string is 1 to 8, the highest first; a fret 0 to 36 above the capo, and 1 to 36 for a harmonic;
//! a finger 1 to 4, and 0 in `fingers` the open string; `fill` 0 to 6 notes, `strings` of a roll 2 to 8.
//! A capo lies in fret 0 to 24 of 5 to 30 `frets`, and `scale_mm` is 300 to 1000. There are at most
//! 20 000 pins and as many ideas.
//!
//! A bar is named by its printed number. Where two written bars print one number, as the halves of
//! a bar that a repeat sign splits do, `"8"` or `8` is the first, `"8b"` the second, `"8c"` the
//! third. A beat is counted from where its bar begins, in the beats of the meter, so that 6/8 has
//! two.
//!
//! What the header leaves out is C major, 4/4, 1/8 and 100 beats a minute. Where the tune itself
//! begins with a key, a meter or a tempo (`K:`, `M:`, `Q:`), that one counts.
//!
//! `[done]` says which bars of which layer the player has ticked; the shelf reads and writes it.
//!
//! Saving rewrites only what changed. Fields that this program does not know are kept.

mod fields;
mod ideas;
mod naming;
mod pins;
mod places;
mod read;
mod tables;
mod tune;
mod write;

pub(crate) use places::Places;
pub(super) use tune::sayable;
pub(crate) use write::{line_ends, set_field};

use super::{Notice, Place, Song};
use crate::theory::Meter;
use std::fmt;

/// The format that this program writes.
const FORMAT: i64 = 1;

/// The longest song file in bytes; ten thousand bars take well under a tenth of it.
const LONGEST: usize = 16 << 20;

/// A song file as text that remembers its comments and unknown fields.
#[derive(Debug, Clone)]
pub struct SongFile {
    text: String,
    song: Song,
    meter: Meter,
}

/// Why a song file could not be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{}{text}", place.lead())]
pub struct SongError {
    /// Where.
    pub place: Place,
    /// What is wrong and what to do.
    pub text: String,
}

impl SongError {
    /// An error at a place.
    pub fn new(place: Place, text: impl Into<String>) -> SongError {
        SongError {
            place,
            text: text.into(),
        }
    }
}

impl SongFile {
    /// Reads a song file. All places, inside the tune as well, are lines and columns of `text`.
    ///
    /// # Errors
    /// When it is not TOML, or a field or the tune can't be understood.
    pub fn parse(text: &str) -> Result<(SongFile, Song, Vec<Notice>), SongError> {
        if text.len() > LONGEST {
            return Err(SongError::new(
                Place { line: 1, column: 1 },
                "the file is longer than any song; a song file may have 16 megabytes",
            ));
        }
        let (song, meter, notices) = read::song(text)?;
        let file = SongFile {
            text: text.to_owned(),
            song: song.clone(),
            meter,
        };
        Ok((file, song, notices))
    }

    /// Where the field `field` of `[guitar]` stands in the text of a song file, for a message about
    /// what the guitar room makes of it; `None` where it is not there.
    pub fn guitar_place(text: &str, field: &str) -> Option<Place> {
        read::guitar_place(text, field)
    }

    /// Whether a newer program wrote the text, so that something in it may not be understood here.
    pub fn is_newer(&self) -> bool {
        read::format(&self.text).is_some_and(|format| format > FORMAT)
    }

    /// The song that the text says.
    pub fn song(&self) -> &Song {
        &self.song
    }

    /// The meter that the header names, also where no bar is written yet.
    pub fn meter(&self) -> &Meter {
        &self.meter
    }

    /// A new file for a song.
    ///
    /// # Errors
    /// When the song holds what a song file can't say, such as notes that overlap.
    pub fn new(song: &Song) -> Result<SongFile, SongError> {
        let (mut file, ..) = SongFile::parse(&write::fresh(song))?;
        file.update(song)?;
        Ok(file)
    }

    /// Makes the file say `song`, rewriting only what differs. Comments, the order of the fields
    /// and unknown fields stay; a comment inside a rewritten stretch of the tune does not.
    ///
    /// What was written is read back before it is taken, so that a save can't lose anything. A note
    /// with a chord in its middle comes back as two tied ones, and the bars with the numbers that
    /// [`Song::number_bars`] gives them.
    ///
    /// # Errors
    /// When the song holds what a song file can't say; the file is then as before.
    pub fn update(&mut self, song: &Song) -> Result<(), SongError> {
        let song = &tune::sayable(song);
        if self.song.same_as(song) {
            return Ok(());
        }
        let text = write::updated(&self.text, &self.song, song)?;
        let text = line_ends(&self.text, text);
        let (file, read, _) = SongFile::parse(&text)?;
        if !read.same_as(song) {
            return Err(SongError::new(
                Place::default(),
                format!(
                    "this song can't be kept in a song file as it is: {}",
                    write::difference(&read, song)
                ),
            ));
        }
        *self = file;
        Ok(())
    }
}

impl fmt::Display for SongFile {
    /// The text to save.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text)
    }
}

#[cfg(test)]
mod properties;
#[cfg(test)]
mod saving;
#[cfg(test)]
mod tests;
