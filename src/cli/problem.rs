//! Why a song was not arranged, at its place.

use super::plan::typed;
use super::{Failure, Fault};
use crate::arrange::ArrangeError;
use crate::exchange::input::Opened;
use crate::guitar::GuitarError;
use crate::song::{Song, SongFile};

/// Why one song was not arranged.
pub(super) enum Problem {
    /// What the song asks for in `[guitar]`.
    Guitar(GuitarError),
    /// What an option asks for, with this song.
    Option(GuitarError),
    Arrange(ArrangeError),
    /// No bar has the number after `--variants` or `--ideas`; the bars go from one to another.
    NoBar(u32, (u32, u32)),
}

impl Problem {
    pub(super) fn at(&self, from: &Opened, song: &Song) -> Failure {
        match self {
            Problem::Guitar(error) => {
                let place = (error.field()).and_then(|f| SongFile::guitar_place(&from.text, f));
                Failure::at(from, &Vec::from_iter(place), &error.to_string())
            }
            Problem::Option(error) => {
                let text = format!("{}, with {}", typed(error), from.name);
                Failure::new(Fault::Usage, text)
            }
            Problem::Arrange(error) => {
                let places = match error {
                    ArrangeError::Clash { pins } => (pins.iter())
                        .filter_map(|&p| Some(song.pins.get(p)?.place))
                        .collect(),
                    ArrangeError::Ideas { ideas, pins } => (ideas.iter())
                        .filter_map(|&i| Some(song.ideas.get(i)?.place))
                        .chain(pins.iter().filter_map(|&p| Some(song.pins.get(p)?.place)))
                        .collect(),
                    _ => Vec::from_iter(song.bars.first().map(|b| b.place)),
                };
                Failure::at(from, &places, &error.to_string())
            }
            Problem::NoBar(number, (first, last)) => {
                let name = &from.name;
                let text =
                    format!("there is no bar {number} in {name}; its bars are {first} to {last}");
                Failure::new(Fault::Usage, text)
            }
        }
    }
}
