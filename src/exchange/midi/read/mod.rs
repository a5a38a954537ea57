//! Standard MIDI Files in (Standard MIDI Files 1.0, formats 0 and 1).
//!
//! The melody is one track or, where none is named as such, the top line of all. Its notes are put on
//! a grid that is found from them and told. Meters, keys and tempos are taken at bar lines, chords
//! from text events. A MIDI file knows no repeats: bars are read as they are played.

mod bars;
mod events;
mod grid;
mod melody;

use crate::exchange::input::Choice;
use crate::song::abc::usual_tempo;
use crate::song::{GuitarWish, Notice, Notices, Place, Song, SongError};
use events::events;

/// Reads a file.
///
/// # Errors
/// When it is no MIDI file, counts no beats, has no melody, or holds numbers beyond all music.
pub fn read(bytes: &[u8], choice: &Choice) -> Result<(Song, Vec<Notice>), SongError> {
    let mut notices = Notices::default();
    let file = events(bytes, &mut notices)?;
    let mut notes = melody::chosen(&file, choice, &mut notices)?;
    let grid = grid::found(&notes, file.division);
    grid.settle(&mut notes, file.division);
    let line = melody::top_line(notes);
    let moved = match grid.farthest {
        0 => "none is moved by it".into(),
        percent => format!("the farthest is moved by {percent} % of a quarter"),
    };
    let text = format!(
        "the notes are put on a grid of {} to a quarter; {moved}",
        grid.steps
    );
    notices.tell(Place::default(), text);
    let mut bars = bars::bars(&file, &line, grid.beside(), &mut notices)?;
    let first = bars
        .first_mut()
        .ok_or_else(|| events::wrong("there is no note in this file"))?;
    let (key, meter) = (first.key.clone(), first.meter.clone());
    let tempo = first.tempo.take();
    let tempo = tempo.unwrap_or_else(|| usual_tempo(Some(&meter)));
    let mut song = Song {
        title: file.title.clone(),
        composer: None,
        tags: Vec::new(),
        key,
        tempo,
        bars,
        guitar: GuitarWish::default(),
        pins: Vec::new(),
        ideas: Vec::new(),
    };
    song.number_bars();
    Ok((song, notices.finish()))
}

#[cfg(test)]
mod tests;
