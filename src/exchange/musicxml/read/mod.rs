//! MusicXML in: partwise and timewise documents, plain or compressed.
//!
//! Of a score one part and in it one voice is the melody: what is asked for, or else the first part
//! with notes and its voice 1. Chords come from that part, or from the first that has any. Notes of a
//! transposing instrument are moved to what sounds, but whole octaves are kept as they are written on
//! the staff; a clef that sounds an octave higher or lower is taken back. What is left out is told.

mod bar;
mod fields;
mod mend;
mod numbers;
mod parts;
mod raw;
mod tree;
mod unpack;

use crate::exchange::input::Choice;
use crate::exchange::plain::one_line;
use crate::guitar::Instrument;
use crate::song::abc::usual_tempo;
use crate::song::{ChordChange, GuitarWish, Notice, Notices, Place, Song, SongError};
use crate::theory::{Chord, Key, Meter, Pitch, Symbol};
use bar::bars;
use parts::{Chosen, Part};
use raw::RawBar;
use tree::{Element, Tree};
pub use unpack::unpack;

/// Reads a document.
///
/// # Errors
/// When it is not well formed, is no score, or lacks the part or voice asked for; with the place.
pub fn read(text: &str, choice: &Choice) -> Result<(Song, Vec<Notice>), SongError> {
    let tree = Tree::read(text)?;
    let root = tree.root();
    let mut notices = Notices::default();
    let parts = parts::parts(root)?;
    let chosen = parts::choose(&parts, choice, &mut notices)?;
    let raw = bars(chosen.part, Some(&chosen), &mut notices)?;
    let mut song = song(root, &chosen, raw.bars, &mut notices);
    if song.bars.iter().all(|bar| bar.notes.is_empty()) {
        let place = chosen.part.place;
        return Err(SongError::new(place, "there is no note in this part"));
    }
    mend::repeats(&mut song);
    song.number_bars();
    if chosen.transpose != 0 {
        let text = format!(
            "this part is written for an instrument that sounds {} semitones {}; it is moved to what sounds",
            chosen.transpose.abs(),
            if chosen.transpose < 0 {
                "lower"
            } else {
                "higher"
            }
        );
        notices.tell(chosen.part.place, text);
        song = song.transposed(chosen.transpose);
    }
    if song.bars.iter().all(|bar| bar.chords.is_empty()) {
        chords_of_others(&mut song, &parts, &chosen, &mut notices)?;
    }
    Ok((song, notices.finish()))
}

fn song(root: Element, chosen: &Chosen, raw: Vec<RawBar>, notices: &mut Notices) -> Song {
    let key = raw.first().map_or(Key::C_MAJOR, |b| b.key.clone());
    let meter = raw.first().map_or(Meter::common(), |b| b.meter.clone());
    let mut bars: Vec<_> = raw.into_iter().map(RawBar::bar).collect();
    let first = bars.first_mut().and_then(|bar| bar.tempo.take());
    for bar in &mut bars {
        for note in &mut bar.notes {
            note.pitch = note.pitch.octaves_up(chosen.octaves);
        }
    }
    Song {
        title: title(root),
        composer: composer(root),
        tags: Vec::new(),
        key,
        tempo: first.unwrap_or_else(|| usual_tempo(Some(&meter))),
        bars,
        guitar: guitar(chosen, notices),
        pins: Vec::new(),
        ideas: Vec::new(),
    }
}

/// The title of the work, else of the movement.
fn title(root: Element) -> String {
    let work = root.child("work").and_then(|w| w.text_of("work-title"));
    let movement = root.text_of("movement-title");
    let found = work.filter(|t| !t.is_empty()).or(movement);
    one_line(found.unwrap_or(""))
}

fn composer(root: Element) -> Option<String> {
    let identification = root.child("identification")?;
    let is_composer = |c: &Element| c.attribute("type").is_some_and(|t| t == "composer");
    let found = identification.all("creator").find(is_composer)?;
    Some(one_line(found.text())).filter(|t| !t.is_empty())
}

/// Tuning and capo, where the part says them; the usual tuning need not be said.
fn guitar(chosen: &Chosen, notices: &mut Notices) -> GuitarWish {
    let mut wish = GuitarWish::default();
    let frets = Instrument::standard().frets;
    if let Some(said) = chosen.capo.filter(|&said| said != 0) {
        let fits = |&capo: &u8| Instrument::new("standard", capo, frets).is_ok();
        wish.capo = u8::try_from(said).ok().filter(fits);
        if wish.capo.is_none() {
            let text = format!("a capo at fret {said} is on no neck; it is left out");
            notices.tell(chosen.part.place, text);
        }
    }
    if chosen.tuning.is_empty() {
        return wish;
    }
    let note = |p: &Pitch| format!("{}{}", p.name.ascii(), p.octave);
    let notes: Vec<String> = chosen.tuning.iter().map(note).collect();
    let written = notes.join(" ");
    let Ok(instrument) = Instrument::new(&written, 0, frets) else {
        let text = "this part is not tuned as a guitar of 4 to 8 strings; its tuning is left out";
        notices.tell(chosen.part.place, text);
        return wish;
    };
    let same = |name: &&str| {
        Instrument::new(name, 0, frets).is_ok_and(|named| {
            let midi = |i: &Instrument| i.open.iter().map(|p| p.midi()).collect::<Vec<_>>();
            midi(&named) == midi(&instrument)
        })
    };
    wish.tuning = match Instrument::tunings().find(same) {
        Some("standard") => None,
        Some(name) => Some(name.into()),
        None => Some(written),
    };
    wish
}

/// Takes the chords from the first other part that has some.
fn chords_of_others(
    song: &mut Song,
    parts: &[Part],
    chosen: &Chosen,
    notices: &mut Notices,
) -> Result<(), SongError> {
    let others = parts.iter().filter(|p| !std::ptr::eq(*p, chosen.part));
    for part in others.filter(|p| p.has_chords()) {
        // What is left out of a part that only gives its chords is no news.
        let raw = bars(part, None, &mut Notices::default())?;
        let mut found = false;
        for (bar, other) in song.bars.iter_mut().zip(raw.bars) {
            let key = bar.key.clone();
            let moved = other
                .chords
                .into_iter()
                .map(|c| moved(c, raw.transpose, &key));
            bar.chords = moved.filter(|c| c.at < bar.length).collect();
            found |= !bar.chords.is_empty();
        }
        if found {
            notices.tell(
                part.place,
                format!("the chords are those of the part “{}”", part.name),
            );
            return Ok(());
        }
    }
    Ok(())
}

fn moved(mut change: ChordChange, semitones: i32, key: &Key) -> ChordChange {
    if let (Symbol::Chord(chord), true) = (&change.symbol, semitones != 0) {
        change.symbol = Symbol::Chord(Chord::transposed(chord, semitones, key));
    }
    change
}

/// Where a document begins.
const START: Place = Place { line: 1, column: 1 };

#[cfg(test)]
mod tests;
