//! Why a song was not arranged, at its place.

use super::plan::typed;
use super::{Failure, Fault};
use crate::arrange::ArrangeError;
use crate::exchange::input::Opened;
use crate::guitar::GuitarError;
use crate::song::{Place, Song, SongFile};

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
    /// Why a song as it was tried, moved or written out, can't be arranged. What clashes is named as
    /// it is counted in the song as written, which may have more pins or fewer.
    pub(super) fn arrange(mut error: ArrangeError, tried: &Song, written: &Song) -> Problem {
        let count = |all: &mut Vec<usize>, tried: Vec<Place>, written: Vec<Place>| {
            for one in all.iter_mut() {
                let place = tried.get(*one);
                let found = written.iter().position(|p| Some(p) == place);
                *one = found.unwrap_or(*one);
            }
            all.dedup();
        };
        let pins_of = |song: &Song| song.pins.iter().map(|p| p.place).collect();
        let ideas_of = |song: &Song| song.ideas.iter().map(|i| i.place).collect();
        match &mut error {
            ArrangeError::Clash { pins } => count(pins, pins_of(tried), pins_of(written)),
            ArrangeError::Ideas { ideas, pins } => {
                count(ideas, ideas_of(tried), ideas_of(written));
                count(pins, pins_of(tried), pins_of(written));
            }
            ArrangeError::Empty | ArrangeError::OutOfRange { .. } => {}
        }
        Problem::Arrange(error)
    }

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

#[cfg(test)]
mod tests {
    #[test]
    fn pins_that_clash_in_another_key_are_shown_where_they_stand() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("quay.toml");
        let song = "key = \"C\"\nmeter = \"3/4\"\nunit = \"1/4\"\ntune = \"\"\"\n\
            |: \"C\"E G c | \"C\"E3 :|\n\"\"\"\n\
            [[pin]]\nbar = 1\ngrip = \"032010\"\n\
            [[pin]]\nbar = 2\nbass = \"C3\"\n\
            [[pin]]\nbar = 2\nnothing = true\n";
        std::fs::write(&path, song).unwrap();
        for options in [&["--key", "A"][..], &["--write-out"]] {
            let args = ["thumbline".into(), "arrange".into(), path.clone().into()];
            let args = args.into_iter().chain(options.iter().map(Into::into));
            let mut err = Vec::new();
            assert_eq!(crate::cli::run(args, &mut Vec::new(), &mut err), 1);
            let said = String::from_utf8(err).unwrap();
            assert!(said.contains("quay.toml:10:1: pins 2 and 3"), "{said}");
        }
    }
}
