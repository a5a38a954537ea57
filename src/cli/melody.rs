//! Options that say which melody of an input is meant, and its chords.

use super::{Failure, Fault};
use crate::exchange::ChordLine;
use crate::exchange::input::Choice;

/// Which melody of an input with several is meant, and chords for one that has none.
#[derive(Debug, clap::Args)]
pub(super) struct Melody {
    /// The part of a MusicXML score, or track of a MIDI file, that has the melody: its name, or its
    /// number from 1; tracks without notes are not counted
    #[arg(long, value_name = "PART")]
    part: Option<String>,
    /// The voice of that part, by its number; of a MIDI track, the channel
    #[arg(long, value_name = "VOICE")]
    voice: Option<String>,
    /// Chords instead of the song's own, from the first full bar on: "C | Am F | G7 . . C"; a dot
    /// or an empty bar lets the chord go on
    #[arg(long, value_name = "CHORDS")]
    chords: Option<String>,
}

impl Melody {
    pub(super) fn choice(self) -> Result<Choice, Failure> {
        let line = self.chords.as_deref().map(ChordLine::parse).transpose();
        let chords = line.map_err(|e| Failure::new(Fault::Usage, format!("--chords: {e}")))?;
        Ok(Choice {
            part: self.part,
            voice: self.voice,
            chords,
        })
    }
}
