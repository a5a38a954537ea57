//! The tune of a song file: read with its places in the document, and written back line by line.

use super::SongError;
use super::places::Inside;
use super::read::Header;
use crate::song::abc;
use crate::song::{Bar, Note, Notice, Place, Song};
use std::ops::Range;

/// A line that grows to more bars than this when it is rewritten becomes several.
const MOST_ON_A_LINE: usize = 8;

const START: Place = Place { line: 1, column: 1 };

/// Reads the bars; every place is one of the document.
pub(super) fn read(
    header: &Header,
    body: &str,
    inside: &Inside,
    notices: &mut Vec<Notice>,
) -> Result<Vec<Bar>, SongError> {
    let (mut bars, told) = bars(header, body).map_err(|e| SongError {
        place: inside.at(e.place),
        ..e
    })?;
    for bar in &mut bars {
        bar.place = inside.at(bar.place);
        for note in &mut bar.notes {
            note.place = inside.at(note.place);
        }
        for chord in &mut bar.chords {
            chord.place = inside.at(chord.place);
        }
    }
    let told = told.into_iter().map(|n| Notice {
        place: inside.at(n.place),
        ..n
    });
    notices.extend(told);
    Ok(bars)
}

/// Reads the bars; places count from the start of the body.
fn bars(header: &Header, body: &str) -> Result<(Vec<Bar>, Vec<Notice>), SongError> {
    let said = |line: &str| !line.trim().is_empty() && !line.trim_start().starts_with('%');
    if !body.lines().any(said) {
        return Ok((Vec::new(), Vec::new()));
    }
    let mut abc = abc::Header::new(header.key.clone(), Some(header.meter.clone()));
    abc.unit = Some(header.unit);
    abc.tempo = Some(header.tempo);
    abc.strict_chords = true;
    let (song, notices) = abc::read_tune(&abc, body, START)?;
    Ok((song.bars, notices))
}

/// The body changed so that it says `song` under the header `wanted`: only the lines whose bars
/// changed where that can be done, else all of it.
pub(super) fn updated(header: &Header, wanted: &Header, body: &str, song: &Song) -> String {
    if song.bars.is_empty() {
        return String::new();
    }
    let spliced = (header == wanted).then(|| spliced(header, body, song));
    match spliced.flatten() {
        Some(text) => text,
        None => abc::write_body(song, wanted.unit),
    }
}

/// The body with only the lines rewritten that hold changed bars. `None` when it would not read
/// back as the song, as when a bar goes on over the end of a line.
fn spliced(header: &Header, body: &str, song: &Song) -> Option<String> {
    let (old, _) = bars(header, body).ok()?;
    let (new, lines) = (&song.bars, body.lines().collect::<Vec<_>>());
    let line = |bar: &Bar| bar.place.line as usize;
    let (before, behind) = common(&old, new);
    // An insertion rewrites the line it stands in.
    let first = before.min(old.len().checked_sub(1)?);
    let last = (old.len() - behind).max(first + 1) - 1;
    let start = old.iter().position(|b| line(b) == line(&old[first]))?;
    let end = old.iter().rposition(|b| line(b) == line(&old[last]))? + 1;
    let changed = start..new.len().checked_sub(old.len() - end)?;
    let mut text = lines.get(..line(&old[start]).checked_sub(1)?)?.join("\n");
    if !text.is_empty() {
        text.push('\n');
    }
    if !changed.is_empty() {
        let one_line = line(&old[start]) == line(&old[last]) && changed.len() <= MOST_ON_A_LINE;
        let part = written(song, changed, header)?;
        text.push_str(&if one_line {
            part.trim_end().replace('\n', " ")
        } else {
            part
        });
    }
    for kept in lines.get(line(&old[end - 1])..)? {
        if !text.is_empty() && !text.ends_with('\n') {
            text.push('\n');
        }
        text.push_str(kept);
    }
    let (read, _) = bars(header, &text).ok()?;
    let same = read.len() == new.len() && read.iter().zip(new).all(|(a, b)| alike(a, b));
    same.then_some(text)
}

/// Some of the song's bars as lines of their own.
fn written(song: &Song, bars: Range<usize>, header: &Header) -> Option<String> {
    let bars = song.bars.get(bars)?.to_vec();
    let part = Song {
        key: bars.first()?.key.clone(),
        bars,
        pins: Vec::new(),
        ideas: Vec::new(),
        ..song.clone()
    };
    Some(abc::write_body(&part, header.unit))
}

/// How many bars two songs share at the start, and how many of the rest at the end.
fn common(a: &[Bar], b: &[Bar]) -> (usize, usize) {
    let start = a.iter().zip(b).take_while(|(a, b)| alike(a, b)).count();
    let most = a.len().min(b.len()) - start;
    let pairs = a.iter().rev().zip(b.iter().rev()).take(most);
    // Bars behind an insertion are the same with another number.
    let end = pairs.take_while(|(a, b)| {
        let renumbered = Bar {
            number: b.number,
            ..(*a).clone()
        };
        alike(&renumbered, b)
    });
    (start, end.count())
}

/// Whether two bars are the same apart from their places.
fn alike(a: &Bar, b: &Bar) -> bool {
    a == b || a.without_places() == b.without_places()
}

/// The song as a file can say it. A chord stands before a note or a rest, so that a note is parted
/// in two tied ones where a chord comes in its middle; bars are numbered as they are read.
pub(in crate::song) fn sayable(song: &Song) -> Song {
    let mut song = song.clone();
    song.number_bars();
    for bar in &mut song.bars {
        let mut notes = Vec::with_capacity(bar.notes.len());
        for &(mut note) in &bar.notes {
            let end = note.at + note.length;
            let start = note.at;
            let inside = bar.chords.iter().map(|c| c.at);
            for at in inside.filter(|&at| start < at && at < end) {
                notes.push(Note {
                    length: at - note.at,
                    tied: true,
                    ..note
                });
                note.at = at;
            }
            note.length = end - note.at;
            notes.push(note);
        }
        bar.notes = notes;
    }
    song
}
