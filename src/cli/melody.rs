//! Options that say which melody of an input is meant.

use crate::exchange::input::Choice;

/// Which melody of an input with several is meant.
#[derive(Debug, clap::Args)]
pub(super) struct Melody {
    /// The part of a MusicXML score that has the melody, by its name or its number from 1
    #[arg(long, value_name = "PART")]
    part: Option<String>,
    /// The voice of that part, by its number
    #[arg(long, value_name = "VOICE")]
    voice: Option<String>,
}

impl Melody {
    pub(super) fn choice(self) -> Choice {
        Choice {
            part: self.part,
            voice: self.voice,
        }
    }
}
