//! What can be wrong with what is asked for.

use crate::score::TEMPOS;

/// Why a loop, a climb or a record could not be made.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[allow(missing_docs)]
pub enum PracticeError {
    #[error("bars {first} to {last} can't be looped; this song has bars 1 to {count}")]
    Bars {
        first: usize,
        last: usize,
        count: usize,
    },
    #[error("{percent} % is no tempo to practise at; {} to {} % of the song's are possible", TEMPOS.start(), TEMPOS.end())]
    Tempo { percent: u16 },
    #[error("the goal of {goal} % lies below the start of {start} %; start slower")]
    Goal { start: u16, goal: u16 },
    #[error("a step of {percent} % can't be climbed; 1 to 50 % are possible")]
    Step { percent: u16 },
    #[error("{passes} clean passes can't be asked for; 1 to 20 are possible")]
    Passes { passes: u32 },
    #[error("{clean} clean passes of {all} can't be; count the complete passes again")]
    Count { clean: u32, all: u32 },
    #[error("“{name}” can't stand in the log; a song goes by its file's name there")]
    Song { name: String },
    #[error("line {line} of the practice log can't be read and is passed over")]
    Line { line: usize },
}

/// Holds a tempo to what the player can set, in percent of the song's.
pub(super) fn tempo(percent: u16) -> Result<u16, PracticeError> {
    match TEMPOS.contains(&percent) {
        true => Ok(percent),
        false => Err(PracticeError::Tempo { percent }),
    }
}
