//! The `[[idea]]` tables, read and written.

use super::SongError;
use super::fields::{Fields, quoted, wrong};
use super::naming;
use super::pins::{bar_value, beat, beat_value, named_bar, tables};
use super::places::Places;
use crate::song::{Bar, Doubling, Figure, Idea, Notice, Step};
use crate::theory::{Symbol, length_name, length_named};
use toml_edit::{TableLike, Value};

/// The fields of an idea.
const FIELDS: &[&str] = &[
    "bar", "to", "beat", "figure", "bass", "each", "notes", "strings", "every", "string", "fret",
    "fingers", "chord", "by", "over", "left",
];

/// The figures by their names, and the fields that each has beside its place.
const FIGURES: &[(&str, &[&str])] = &[
    ("bass on the beats", &[]),
    ("bass between", &[]),
    ("root and fifth", &[]),
    ("doubled", &["by"]),
    ("no bass", &[]),
    ("bass note", &["bass"]),
    ("bass line", &["each", "notes"]),
    ("roll", &["strings"]),
    ("broken chord", &["every"]),
    ("harmonic", &["string", "fret"]),
    ("hits", &[]),
    ("slur", &["string", "fingers"]),
    ("campanella", &["over"]),
    ("chord", &["chord"]),
];

/// Reads all ideas. One that speaks of a bar that is not there, or of nothing known here, is `None`.
pub(super) fn read(
    root: &Fields,
    bars: &[Bar],
    notices: &mut Vec<Notice>,
) -> Result<Vec<Option<Idea>>, SongError> {
    let Some((item, place)) = root.get("idea") else {
        return Ok(Vec::new());
    };
    let mut ideas = Vec::new();
    for table in tables(item, place, "idea")? {
        ideas.push(idea(table.0, root.places, table.1, bars, notices)?);
    }
    Ok(ideas)
}

/// Reads one idea.
pub(super) fn idea(
    table: &dyn TableLike,
    places: &Places,
    span: Option<std::ops::Range<usize>>,
    bars: &[Bar],
    notices: &mut Vec<Notice>,
) -> Result<Option<Idea>, SongError> {
    let fields = Fields {
        what: "an idea",
        place: places.of(span),
        table,
        places,
    };
    // What has no figure is not ours.
    let Some(name) = fields.text("figure", "\"roll\"")? else {
        return Ok(None);
    };
    let Some(&(name, own)) = FIGURES.iter().find(|(n, _)| *n == name.trim()) else {
        let known: Vec<&str> = FIGURES.iter().map(|f| f.0).collect();
        let text = format!(
            "{} is no figure known here; the idea is kept and passed over (known: {})",
            quoted(name),
            known.join(", ")
        );
        notices.push(Notice::new(fields.place_of("figure"), text));
        return Ok(None);
    };
    fields.unknown(FIELDS, notices);
    for key in FIGURES.iter().flat_map(|f| f.1) {
        if fields.has(key) && !own.contains(key) {
            let text = format!("{key} does not go with figure = \"{name}\"");
            return Err(SongError::new(fields.place_of(key), text));
        }
    }
    let Some(bar) = named_bar(&fields, "bar", bars, notices)? else {
        return Ok(None);
    };
    let to = match fields.has("to") {
        true => named_bar(&fields, "to", bars, notices)?,
        false => Some(bar),
    };
    let Some(to) = to else { return Ok(None) };
    if to < bar {
        let text = "the last bar of an idea comes before its first";
        return Err(SongError::new(fields.place_of("to"), text));
    }
    Ok(Some(Idea {
        bar,
        to,
        at: beat(&fields, &bars[bar])?,
        figure: figure(&fields, name)?,
        left: is_left(&fields)?,
        place: fields.place,
    }))
}

fn is_left(fields: &Fields) -> Result<bool, SongError> {
    match fields.get("left") {
        None => Ok(false),
        Some((item, place)) => (item.as_bool())
            .ok_or_else(|| wrong("left", "true for an idea not wanted", "true", item, place)),
    }
}

fn figure(fields: &Fields, name: &str) -> Result<Figure, SongError> {
    Ok(match name {
        "bass on the beats" => Figure::Beats,
        "bass between" => Figure::Between,
        "root and fifth" => Figure::Fifths,
        "doubled" => Figure::Doubled(needed(fields, "by", "\"tenth\"", |text| {
            let all = [Doubling::Octave, Doubling::Tenth];
            all.into_iter().find(|d| d.name() == text)
        })?),
        "no bass" => Figure::Breath,
        "bass note" => Figure::Bass(needed(fields, "bass", "\"F#2\"", |text| text.parse().ok())?),
        "bass line" => Figure::Walk {
            step: needed(fields, "each", "\"chord\" or \"beat\"", |text| match text {
                "chord" => Some(Step::Chord),
                "beat" => Some(Step::Beat),
                _ => None,
            })?,
            notes: needed(fields, "notes", "\"C3 B2 A2\"", |text| {
                let notes: Option<Vec<_>> =
                    text.split_whitespace().map(|n| n.parse().ok()).collect();
                notes.filter(|n| !n.is_empty())
            })?,
        },
        "roll" => Figure::Roll(number(fields, "strings", 2..=8)?),
        "broken chord" => Figure::Broken(needed(fields, "every", "\"1/8\"", length_named)?),
        "harmonic" => Figure::Harmonic {
            string: number(fields, "string", 1..=8)?,
            fret: number(fields, "fret", 1..=36)?,
        },
        "hits" => Figure::Hits,
        "slur" => Figure::Slur {
            string: number(fields, "string", 1..=8)?,
            fingers: needed(fields, "fingers", "\"13\"", |text| {
                let digit = |c: char| c.to_digit(10).filter(|&d| d <= 4).map(|d| d as u8);
                match text.chars().map(digit).collect::<Option<Vec<_>>>()?[..] {
                    [from, to] => Some((from, to)),
                    _ => None,
                }
            })?,
        },
        "campanella" => Figure::Campanella(needed(fields, "over", "\"3212\"", |text| {
            let string = |c: char| c.to_digit(10).filter(|d| (1..=8).contains(d));
            let strings: Option<Vec<_>> = text.chars().map(|c| Some(string(c)? as u8)).collect();
            strings.filter(|s| s.len() > 1 && s.windows(2).all(|w| w[0] != w[1]))
        })?),
        _ => Figure::Chord(needed(fields, "chord", "\"Gsus4\"", |text| {
            Symbol::parse(text).ok()
        })?),
    })
}

/// A text that an idea can't be without.
fn needed<T>(
    fields: &Fields,
    key: &str,
    example: &str,
    read: impl Fn(&str) -> Option<T>,
) -> Result<T, SongError> {
    let text = fields.text(key, example)?;
    text.map(str::trim).and_then(read).ok_or_else(|| {
        let text = format!("this idea needs {key}, written like {key} = {example}");
        SongError::new(fields.place_of(key), text)
    })
}

fn number(
    fields: &Fields,
    key: &str,
    range: std::ops::RangeInclusive<i64>,
) -> Result<u8, SongError> {
    fields.number(key, range)?.ok_or_else(|| {
        let text = format!("this idea needs {key}, a number");
        SongError::new(fields.place, text)
    })
}

/// Every field of an idea with its value.
pub(super) fn written(idea: &Idea, bars: &[Bar]) -> Option<Vec<(&'static str, Value)>> {
    let bar = bars.get(idea.bar)?;
    let mut fields = vec![("bar", bar_value(&naming::bar_name(bars, idea.bar)?))];
    if idea.to != idea.bar {
        fields.push(("to", bar_value(&naming::bar_name(bars, idea.to)?)));
    }
    fields.push(("beat", beat_value(&bar.meter, idea.at)));
    let number = |n: u8| Value::from(i64::from(n));
    let (name, details): (&str, Vec<(&'static str, Value)>) = match &idea.figure {
        Figure::Beats => ("bass on the beats", vec![]),
        Figure::Between => ("bass between", vec![]),
        Figure::Fifths => ("root and fifth", vec![]),
        Figure::Doubled(by) => ("doubled", vec![("by", by.name().into())]),
        Figure::Breath => ("no bass", vec![]),
        Figure::Bass(note) => ("bass note", vec![("bass", note.ascii().into())]),
        Figure::Walk { step, notes } => {
            let each = match step {
                Step::Chord => "chord",
                Step::Beat => "beat",
            };
            let notes: Vec<String> = notes.iter().map(|n| n.ascii()).collect();
            let notes = notes.join(" ");
            (
                "bass line",
                vec![("each", each.into()), ("notes", notes.into())],
            )
        }
        Figure::Roll(strings) => ("roll", vec![("strings", number(*strings))]),
        Figure::Broken(every) => ("broken chord", vec![("every", length_name(*every).into())]),
        Figure::Harmonic { string, fret } => (
            "harmonic",
            vec![("string", number(*string)), ("fret", number(*fret))],
        ),
        Figure::Hits => ("hits", vec![]),
        Figure::Slur { string, fingers } => {
            let fingers = format!("{}{}", fingers.0, fingers.1);
            (
                "slur",
                vec![("string", number(*string)), ("fingers", fingers.into())],
            )
        }
        Figure::Campanella(strings) => {
            let over: String = strings.iter().map(u8::to_string).collect();
            ("campanella", vec![("over", over.into())])
        }
        Figure::Chord(symbol) => ("chord", vec![("chord", symbol.ascii().into())]),
    };
    fields.push(("figure", name.into()));
    fields.extend(details);
    if idea.left {
        fields.push(("left", true.into()));
    }
    Some(fields)
}

/// The fields an idea may have, so that those it lost can be taken out.
pub(super) fn known() -> &'static [&'static str] {
    FIELDS
}
