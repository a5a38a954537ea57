//! From the text of a song file to the song.

use super::fields::{Fields, quoted, wrong};
use super::naming::tempo_named;
use super::places::Places;
use super::{FORMAT, SongError, ideas, pins, tune};
use crate::song::abc;
use crate::song::{GuitarWish, Notice, Place, Song, Tempo};
use crate::theory::{Key, Meter, QUARTER, Ticks};
use toml_edit::{Document, TableLike};

/// The fields of the document itself.
const FIELDS: &[&str] = &[
    "format", "title", "composer", "tags", "key", "meter", "unit", "tempo", "tune", "guitar",
    "pin", "idea", "done",
];

/// The fields of `[guitar]`.
const GUITAR: &[&str] = &["tuning", "capo", "frets", "scale_mm", "hand"];

/// What the header says about the tune's first bar.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Header {
    pub(super) key: Key,
    pub(super) meter: Meter,
    /// The length that a bare letter stands for.
    pub(super) unit: Ticks,
    pub(super) tempo: Tempo,
}

/// Reads the song, the meter that its header names, and what is worth telling about its text.
pub(super) fn song(text: &str) -> Result<(Song, Meter, Vec<Notice>), SongError> {
    let places = Places::new(text);
    let document = Document::parse(text).map_err(|e| not_toml(&e, text))?;
    let fields = root(document.as_table(), &places);
    let mut notices = Vec::new();
    check_format(&fields, &mut notices)?;
    fields.unknown(FIELDS, &mut notices);
    let header = header(&fields)?;
    let mut song = Song {
        title: fields
            .text("title", "\"Evening Song\"")?
            .unwrap_or_default()
            .to_owned(),
        composer: fields
            .text("composer", "\"who made the tune\"")?
            .map(str::to_owned),
        tags: fields.texts("tags", "[\"waltz\", \"slow\"]")?,
        key: header.key.clone(),
        tempo: header.tempo,
        bars: Vec::new(),
        guitar: guitar(&fields, &mut notices)?,
        pins: Vec::new(),
        ideas: Vec::new(),
    };
    if let Some(body) = fields.text("tune", "\"\"\"…\"\"\" with the tune between")? {
        let span = fields.table.get("tune").and_then(|item| item.span());
        let inside = places.inside(span, body);
        let tune = tune::read(&header, body, &inside, &mut notices)?;
        (song.bars, song.tempo) = (tune.bars, tune.tempo);
    }
    if let Some(first) = song.bars.first() {
        song.key = first.key.clone();
    }
    for pin in pins::read(&fields, &song.bars, &mut notices)? {
        song.pins.extend(pin);
    }
    for idea in ideas::read(&fields, &song.bars, &mut notices)? {
        song.ideas.extend(idea);
    }
    notices.sort_by_key(|n| n.place);
    Ok((song, header.meter, notices))
}

/// The fields of the document itself.
pub(super) fn root<'a>(table: &'a dyn TableLike, places: &'a Places<'a>) -> Fields<'a> {
    Fields {
        what: "a song file",
        place: Place { line: 1, column: 1 },
        table,
        places,
    }
}

/// A TOML error as a sentence at its place.
pub(super) fn not_toml(error: &toml_edit::TomlError, text: &str) -> SongError {
    let at = error.span().map_or(0, |span| span.start);
    let reason = error.message().lines().next().unwrap_or("");
    let ends = at >= text.trim_end().len();
    SongError::new(Places::new(text).at(at), in_our_words(reason, ends))
}

/// What the TOML reader says as a guitarist would; `ends` says that the text ends at that place.
fn in_our_words(reason: &str, ends: bool) -> String {
    let says = |words: &[&str]| words.iter().any(|w| reason.contains(w));
    let broken_text = reason.starts_with("invalid") && says(&["string"]);
    if says(&["duplicate key"]) {
        "this field is written a second time; keep one of them".to_owned()
    } else if broken_text && ends {
        "the file ends inside a text, whose closing quotes are missing; a tune stands between two \"\"\""
            .to_owned()
    } else if broken_text {
        "this text is not closed, or holds what can't stand in quotes; a tune stands between two \"\"\""
            .to_owned()
    } else if says(&["unclosed inline table"]) {
        "a brace is not closed: write } after the last field".to_owned()
    } else if says(&[
        "unclosed array table",
        "unclosed table",
        "keys cannot be empty",
    ]) {
        "a bracket is not closed; a table begins with its name in brackets: [guitar] or [[pin]]"
            .to_owned()
    } else if says(&["unclosed array"]) {
        "a list is not closed: write ] after its last text: tags = [\"waltz\", \"slow\"]".to_owned()
    } else if !ends && says(&["must be quoted", "invalid float", "invalid boolean"]) {
        "a text needs quotes around it: title = \"Evening Song\"".to_owned()
    } else if says(&[
        "must be quoted",
        "no value",
        "missing value",
        "missing assignment",
    ]) {
        "something is missing here; a field is written as name = \"text\" or name = number"
            .to_owned()
    } else if says(&["invalid comment character", "carriage return"]) {
        "a control character stands here; delete it, or save the file with plain line ends"
            .to_owned()
    } else {
        format!(
            "this is not TOML, in which song files are written: {}",
            quoted(reason)
        )
    }
}

/// Where a field of `[guitar]` stands in the text of a song file.
pub(super) fn guitar_place(text: &str, field: &str) -> Option<Place> {
    let document = Document::parse(text).ok()?;
    let guitar = document.as_table().get("guitar")?.as_table_like()?;
    let span = guitar.get(field)?.span()?;
    Some(Places::new(text).at(span.start))
}

/// The number of the format that a text says it is of.
pub(super) fn format(text: &str) -> Option<i64> {
    Document::parse(text).ok()?.get("format")?.as_integer()
}

fn check_format(fields: &Fields, notices: &mut Vec<Notice>) -> Result<(), SongError> {
    let format: i64 = fields.number("format", 1..=999)?.unwrap_or(FORMAT);
    if format > FORMAT {
        notices.push(Notice::new(
            fields.place_of("format"),
            format!(
                "this file is of format {format}, newer than the {FORMAT} known here; \
                 what is not understood is kept and passed over"
            ),
        ));
    }
    Ok(())
}

/// Reads key, meter, unit and tempo. What is not there is C major, 4/4, 1/8 and 100 beats a minute.
pub(super) fn header(fields: &Fields) -> Result<Header, SongError> {
    let key = match fields.text("key", "\"G\"")? {
        None => Key::C_MAJOR,
        Some(text) => match abc::read_key(text) {
            Some((key, passed)) if passed.is_empty() => key,
            _ => {
                let text = format!(
                    "{} is not a key; write a keynote and a mode: G, Em, D dorian, Bb mixolydian",
                    quoted(text)
                );
                return Err(SongError::new(fields.place_of("key"), text));
            }
        },
    };
    let meter = match fields.text("meter", "\"3/4\"")? {
        None => Meter::common(),
        Some(text) => text.parse().map_err(|_| {
            let text = format!(
                "{} is not a meter; write it as 4/4, 6/8 or 2+2+3/8",
                quoted(text)
            );
            SongError::new(fields.place_of("meter"), text)
        })?,
    };
    let unit = match fields.text("unit", "\"1/8\"")? {
        None => QUARTER / 2,
        Some(text) => abc::read_unit(text).ok_or_else(|| {
            let text = format!(
                "{} is not a note length up to a whole note; write it as unit = \"1/8\"",
                quoted(text)
            );
            SongError::new(fields.place_of("unit"), text)
        })?,
    };
    let tempo = tempo(fields, &meter)?;
    Ok(Header {
        key,
        meter,
        unit,
        tempo,
    })
}

fn tempo(fields: &Fields, meter: &Meter) -> Result<Tempo, SongError> {
    let mut tempo = abc::usual_tempo(Some(meter));
    let Some((item, place)) = fields.get("tempo") else {
        return Ok(tempo);
    };
    if item.is_integer() {
        let count = fields.number("tempo", 1..=999)?;
        tempo.per_minute = count.unwrap_or(tempo.per_minute);
        return Ok(tempo);
    }
    item.as_str().and_then(tempo_named).ok_or_else(|| {
        let kind = "the note that is counted and how many a minute, 1 to 999";
        wrong("tempo", kind, "\"1/4=96\"", item, place)
    })
}

fn guitar(root: &Fields, notices: &mut Vec<Notice>) -> Result<GuitarWish, SongError> {
    let Some((item, place)) = root.get("guitar") else {
        return Ok(GuitarWish::default());
    };
    let table = item.as_table_like().ok_or_else(|| {
        let text = "guitar is a table; write [guitar] on a line of its own and its fields below it";
        SongError::new(place, text)
    })?;
    let fields = Fields {
        what: "[guitar]",
        place,
        table,
        places: root.places,
    };
    fields.unknown(GUITAR, notices);
    let tuning = fields.text("tuning", "\"standard\"")?;
    let hand = fields.text("hand", "\"medium\"")?;
    Ok(GuitarWish {
        tuning: tuning.map(str::to_owned),
        capo: fields.number("capo", 0..=24)?,
        frets: fields.number("frets", 5..=30)?,
        scale_mm: fields.number("scale_mm", 300..=1000)?,
        hand: hand.map(str::to_owned),
    })
}
