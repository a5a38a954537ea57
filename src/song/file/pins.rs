//! The `[[pin]]` tables, read and written.

use super::SongError;
use super::fields::{Fields, quoted, wrong};
use super::naming::{self, Beat};
use super::places::Places;
use super::tables::MOST;
use crate::song::{Bar, Notice, Pin, Place, Target, Wish};
use crate::theory::{Meter, Ticks};
use toml_edit::{Item, TableLike, Value};

/// The fields of a pin.
const FIELDS: &[&str] = &[
    "bar", "beat", "note", "string", "fret", "finger", "grip", "bass", "fill", "nothing",
];

/// The fields of which a pin has just one.
const WISHES: &[&str] = &["note", "grip", "bass", "fill", "nothing"];

const MOST_STRINGS: usize = 8;

/// Reads all pins. One that speaks of a bar that is not there is `None` and gets a notice.
pub(super) fn read(
    root: &Fields,
    bars: &[Bar],
    notices: &mut Vec<Notice>,
) -> Result<Vec<Option<Pin>>, SongError> {
    let Some((item, place)) = root.get("pin") else {
        return Ok(Vec::new());
    };
    let mut pins = Vec::new();
    for table in tables(item, place, "pin")? {
        pins.push(pin(table.0, root.places, table.1, bars, notices)?);
    }
    Ok(pins)
}

type Span = Option<std::ops::Range<usize>>;

/// The tables under a `key`, `pin` or `idea`, written as `[[pin]]` or as a list.
pub(super) fn tables<'a>(
    item: &'a Item,
    place: Place,
    key: &str,
) -> Result<Vec<(&'a dyn TableLike, Span)>, SongError> {
    let error = |text| SongError::new(place, text);
    let no_table = || {
        error(format!(
            "{key}s are tables; write [[{key}]] on a line of its own and its fields below it"
        ))
    };
    let tables: Vec<(&dyn TableLike, Span)> = match (item.as_array_of_tables(), item.as_array()) {
        (Some(tables), _) => (tables.iter().map(|t| (t as &dyn TableLike, t.span()))).collect(),
        (_, Some(list)) => (list.iter())
            .map(|value| {
                let table = value.as_inline_table().ok_or_else(no_table)?;
                Ok((table as &dyn TableLike, value.span()))
            })
            .collect::<Result<_, _>>()?,
        _ => return Err(no_table()),
    };
    match tables.len() > MOST {
        true => Err(error(format!(
            "there are more than {MOST} {key}s; keep those that count"
        ))),
        false => Ok(tables),
    }
}

/// Reads one pin.
pub(super) fn pin(
    table: &dyn TableLike,
    places: &Places,
    span: Span,
    bars: &[Bar],
    notices: &mut Vec<Notice>,
) -> Result<Option<Pin>, SongError> {
    let fields = Fields {
        what: "a pin",
        place: places.of(span),
        table,
        places,
    };
    fields.unknown(FIELDS, notices);
    let wish = wish(&fields)?;
    let Some(bar) = named_bar(&fields, "bar", bars, notices)? else {
        return Ok(None);
    };
    Ok(Some(Pin {
        bar,
        at: beat(&fields, &bars[bar])?,
        wish,
        place: fields.place,
    }))
}

/// The bar that a pin or an idea names; `None`, with a notice, when the tune does not have it.
pub(super) fn named_bar(
    fields: &Fields,
    key: &'static str,
    bars: &[Bar],
    notices: &mut Vec<Notice>,
) -> Result<Option<usize>, SongError> {
    let what = fields.what;
    let Some((name, place)) = fields.get(key) else {
        let text = format!("{what} needs a bar: bar = 8, the number printed over it");
        return Err(SongError::new(fields.place, text));
    };
    let written = match (name.as_integer(), name.as_str()) {
        (Some(number), _) => number.to_string(),
        (_, Some(text)) => text.to_owned(),
        _ => return Err(wrong(key, "the number printed over it", "8", name, place)),
    };
    let bar = naming::bar_named(bars, &written);
    if bar.is_none() {
        let last = bars.last().map_or(0, |b| b.number);
        let what = what.split_once(' ').map_or(what, |(_, noun)| noun);
        let text = format!(
            "this {what} speaks of bar {}, which the tune does not have (its last is {last}); \
             the {what} is kept and passed over",
            quoted(&written)
        );
        notices.push(Notice::new(place, text));
    }
    Ok(bar)
}

pub(super) fn beat(fields: &Fields, bar: &Bar) -> Result<Ticks, SongError> {
    let Some((item, place)) = fields.get("beat") else {
        return Ok(0);
    };
    let meter = &bar.meter;
    let at = match (item.as_integer(), item.as_float(), item.as_str()) {
        (Some(n), ..) => naming::beat_number(meter, n as f64),
        (_, Some(n), _) => naming::beat_number(meter, n),
        (.., Some(text)) => naming::beat_text(meter, text),
        _ => None,
    };
    let at = at.ok_or_else(|| {
        let kind = "a beat, the first being 1, with a part of one where needed";
        wrong("beat", kind, "2.5 or \"2 1/3\"", item, place)
    })?;
    // A pickup's beats are counted from its start, but shown as the last ones of a whole bar.
    let shown = at - (meter.bar() - bar.length).max(0);
    let is_shown = bar.number == 0 && at >= bar.length && (0..bar.length).contains(&shown);
    Ok(if is_shown { shown } else { at })
}

fn wish(fields: &Fields) -> Result<Wish, SongError> {
    let said: Vec<&str> = WISHES.iter().copied().filter(|w| fields.has(w)).collect();
    let [kind] = said[..] else {
        let text = format!(
            "a pin fixes just one of {}; {}",
            WISHES.join(", "),
            match said.len() {
                0 => "this one has none".to_owned(),
                _ => format!("make one pin of each: {}", said.join(", ")),
            }
        );
        return Err(SongError::new(fields.place, text));
    };
    for key in ["string", "fret", "finger"] {
        if kind != "note" && fields.has(key) {
            let text = format!("{key} goes with note = \"melody\" or note = \"bass\" only");
            return Err(SongError::new(fields.place_of(key), text));
        }
    }
    let place = fields.place_of(kind);
    match kind {
        "note" => note(fields, place),
        "grip" => {
            let text = fields.text("grip", "\"x32010\"")?.unwrap_or_default();
            grip_named(text).map(Wish::Grip).ok_or_else(|| {
                let text = format!(
                    "{} is not a grip; write a fret or x for each string, lowest first: x32010, \
                     or with blanks between: x 10 12 12 11 10",
                    quoted(text)
                );
                SongError::new(place, text)
            })
        }
        "bass" => {
            let text = fields.text("bass", "\"F2\"")?.unwrap_or_default();
            text.trim().parse().map(Wish::Bass).map_err(|_| {
                let text = format!(
                    "{} is not a bass note; write a note with or without its octave: F2 or F",
                    quoted(text)
                );
                SongError::new(place, text)
            })
        }
        "fill" => {
            let count = fields.number("fill", 0..=6)?;
            Ok(Wish::Fill(count.unwrap_or_default()))
        }
        _ => match fields.get("nothing").and_then(|(item, _)| item.as_bool()) {
            Some(true) => Ok(Wish::Nothing),
            _ => {
                let text =
                    "write nothing = true, or take the pin out to let the arranger choose again";
                Err(SongError::new(place, text))
            }
        },
    }
}

fn note(fields: &Fields, place: Place) -> Result<Wish, SongError> {
    let text = fields.text("note", "\"melody\"")?.unwrap_or_default();
    let target = match text {
        "melody" => Target::Melody,
        "bass" => Target::Bass,
        _ => {
            let text = format!(
                "{} is no note of a pin; write note = \"melody\" or note = \"bass\"",
                quoted(text)
            );
            return Err(SongError::new(place, text));
        }
    };
    Ok(Wish::Place {
        target,
        string: fields.number("string", 1..=MOST_STRINGS as i64)?,
        fret: fields.number("fret", 0..=36)?,
        finger: fields.number("finger", 1..=4)?,
    })
}

/// Reads a grip, lowest string first, into frets with string 1 first.
fn grip_named(text: &str) -> Option<Vec<Option<u8>>> {
    let text = text.trim();
    let fret = |t: &str| match t {
        "x" | "X" => Some(None),
        _ => t.parse().ok().filter(|f| *f <= 36).map(Some),
    };
    let apart = |c: char| c.is_whitespace() || c == '-';
    let mut frets: Vec<Option<u8>> = if text.contains(apart) {
        let parts = text.split(apart).filter(|t| !t.is_empty());
        parts.map(fret).collect::<Option<_>>()?
    } else {
        let parts = text.char_indices().map(|(i, c)| &text[i..i + c.len_utf8()]);
        parts.map(fret).collect::<Option<_>>()?
    };
    frets.reverse();
    (4..=MOST_STRINGS).contains(&frets.len()).then_some(frets)
}

fn grip_name(frets: &[Option<u8>]) -> String {
    let narrow = frets.iter().flatten().all(|&f| f < 10);
    let parts: Vec<String> = frets
        .iter()
        .rev()
        .map(|f| f.map_or("x".to_owned(), |f| f.to_string()))
        .collect();
    parts.join(if narrow { "" } else { " " })
}

/// A bar's name as a number where it is one.
pub(super) fn bar_value(name: &str) -> Value {
    match name.parse::<i64>() {
        Ok(number) => number.into(),
        Err(_) => name.into(),
    }
}

pub(super) fn beat_value(meter: &Meter, at: Ticks) -> Value {
    match naming::beat_name(meter, at) {
        Beat::Whole(n) => n.into(),
        Beat::Decimal(n) => n.into(),
        Beat::Text(text) => text.into(),
    }
}

/// Every field of a pin with its value.
pub(super) fn written(pin: &Pin, bars: &[Bar]) -> Option<Vec<(&'static str, Value)>> {
    let bar = bars.get(pin.bar)?;
    let name = naming::bar_name(bars, pin.bar)?;
    let mut fields = vec![("bar", bar_value(&name))];
    fields.push(("beat", beat_value(&bar.meter, pin.at)));
    match &pin.wish {
        Wish::Place {
            target,
            string,
            fret,
            finger,
        } => {
            let note = match target {
                Target::Melody => "melody",
                Target::Bass => "bass",
            };
            fields.push(("note", note.into()));
            let numbers = [("string", string), ("fret", fret), ("finger", finger)];
            for (key, number) in numbers {
                fields.extend(number.map(|n| (key, i64::from(n).into())));
            }
        }
        Wish::Grip(frets) => fields.push(("grip", grip_name(frets).into())),
        Wish::Bass(note) => fields.push(("bass", note.ascii().into())),
        Wish::Fill(count) => fields.push(("fill", i64::from(*count).into())),
        Wish::Nothing => fields.push(("nothing", true.into())),
    }
    Some(fields)
}

/// The fields a pin may have, so that those it lost can be taken out.
pub(super) fn known() -> &'static [&'static str] {
    FIELDS
}
