//! The tune of a song file: read with its places in the document, and written back line by line.

use super::SongError;
use super::places::Inside;
use super::read::Header;
use crate::song::abc;
use crate::song::bar::shared;
use crate::song::{Bar, Note, Notice, Place, Song, Tempo};
use std::ops::Range;

/// A line that grows to more bars than this when it is rewritten becomes several.
const MOST_ON_A_LINE: usize = 8;

const START: Place = Place { line: 1, column: 1 };

/// What the text of a tune says.
pub(super) struct Tune {
    pub(super) bars: Vec<Bar>,
    /// The tempo at the start: its own, else that of the header.
    pub(super) tempo: Tempo,
}

/// Reads the tune; every place is one of the document.
pub(super) fn read(
    header: &Header,
    body: &str,
    inside: &Inside,
    notices: &mut Vec<Notice>,
) -> Result<Tune, SongError> {
    let (mut tune, told) = tune(header, body).map_err(|e| SongError {
        place: inside.at(e.place),
        ..e
    })?;
    for bar in &mut tune.bars {
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
    Ok(tune)
}

/// Reads the tune; places count from the start of the body.
fn tune(header: &Header, body: &str) -> Result<(Tune, Vec<Notice>), SongError> {
    let said = |line: &str| !line.trim().is_empty() && !line.trim_start().starts_with('%');
    if !body.lines().any(said) {
        let (bars, tempo) = (Vec::new(), header.tempo);
        return Ok((Tune { bars, tempo }, Vec::new()));
    }
    let mut abc = abc::Header::new(header.key.clone(), Some(header.meter.clone()));
    abc.unit = Some(header.unit);
    abc.tempo = Some(header.tempo);
    abc.strict_chords = true;
    let (song, notices) = abc::read_tune(&abc, body, START)?;
    let (bars, tempo) = (song.bars, song.tempo);
    Ok((Tune { bars, tempo }, notices))
}

/// Header and body changed so that they say `new` where they said `old`: only the lines whose bars
/// changed where that can be done, else all of the body.
pub(super) fn updated(header: &Header, body: &str, old: &Song, new: &Song) -> (Header, String) {
    let meter = |song: &Song| song.bars.first().map(|b| b.meter.clone());
    // What the tune itself says at its start counts more than the header, and may stay there.
    let mut least = header.clone();
    if old.key != new.key {
        least.key = new.key.clone();
    }
    if old.tempo != new.tempo {
        least.tempo = new.tempo;
    }
    if let Some(changed) = meter(new).filter(|m| meter(old).as_ref() != Some(m)) {
        least.meter = changed;
    }
    let untouched = least == *header && same_bars(&old.bars, &new.bars);
    if untouched || says(&least, body, new) {
        return (least, body.to_owned());
    }
    if let Some(text) = spliced(header, &least, body, new) {
        return (least, text);
    }
    let whole = Header {
        key: new.key.clone(),
        meter: meter(new).unwrap_or(least.meter),
        unit: header.unit,
        tempo: new.tempo,
    };
    (whole, abc::write_body(new, header.unit))
}

/// Whether a body says the song's bars and tempo.
fn says(header: &Header, body: &str, song: &Song) -> bool {
    tune(header, body)
        .is_ok_and(|(read, _)| read.tempo == song.tempo && same_bars(&read.bars, &song.bars))
}

fn same_bars(a: &[Bar], b: &[Bar]) -> bool {
    a.len() == b.len() && a.iter().zip(b).all(|(a, b)| a.same_as(b))
}

/// The body with only the lines rewritten that hold changed bars. `None` when it would not read
/// back as the song, as when a bar goes on over the end of a line.
fn spliced(header: &Header, wanted: &Header, body: &str, song: &Song) -> Option<String> {
    let old = tune(header, body).ok()?.0.bars;
    let (new, lines) = (&song.bars, body.lines().collect::<Vec<_>>());
    let line = |bar: &Bar| bar.place.line as usize;
    let (before, behind) = shared(&old, new, Bar::reads_as);
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
    says(wanted, &text, song).then_some(text)
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

/// The song as a file can say it. A chord stands before a note or a rest, so that a note is parted
/// in two tied ones where a chord comes in its middle; bars are numbered as they are read, and key and
/// tempo of the first one are the song's own.
pub(in crate::song) fn sayable(song: &Song) -> Song {
    let mut song = song.clone();
    song.number_bars();
    if let Some(first) = song.bars.first_mut() {
        song.key = first.key.clone();
        song.tempo = first.tempo.take().unwrap_or(song.tempo);
    }
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
