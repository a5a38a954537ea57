//! From a song back to the text it came from, touching only what changed.

use super::SongError;
use super::places::Places;
use super::{FORMAT, read, tables, tune};
use crate::song::abc;
use crate::song::{GuitarWish, Idea, Pin, Song};
use crate::theory::{Meter, QUARTER, length_name};
use toml_edit::{DocumentMut, Item, Table, TableLike, Value};

/// The text of a new file with the fields in their usual order and an empty tune.
pub(super) fn fresh(song: &Song) -> String {
    let meter = song
        .bars
        .first()
        .map_or(Meter::common(), |b| b.meter.clone());
    let mut lines = vec![format!("format = {FORMAT}")];
    let mut line = |key: &str, value: Value| lines.push(format!("{key} = {value}"));
    line("title", song.title.as_str().into());
    if let Some(composer) = &song.composer {
        line("composer", composer.as_str().into());
    }
    if !song.tags.is_empty() {
        line(
            "tags",
            Value::from_iter(song.tags.iter().map(String::as_str)),
        );
    }
    line("key", abc::write_key(&song.key).into());
    line("meter", meter.to_string().into());
    line("unit", length_name(QUARTER / 2).into());
    line("tempo", song.tempo.to_string().into());
    lines.push("tune = \"\"\"\n\"\"\"\n".to_owned());
    lines.join("\n")
}

/// The text changed so that it says `new` where it said `old`.
pub(super) fn updated(text: &str, old: &Song, new: &Song) -> Result<String, SongError> {
    let mut document: DocumentMut = text.parse().map_err(|e| read::not_toml(&e, text))?;
    let places = Places::new("");
    let header = read::header(&read::root(document.as_table(), &places))?;
    let old_pins = tables::found::<Pin>(document.as_table(), old)?;
    let old_ideas = tables::found::<Idea>(document.as_table(), old)?;
    let root = document.as_table_mut();
    if old.title != new.title {
        set_field(root, "title", Some(new.title.as_str().into()));
    }
    if old.composer != new.composer {
        set_field(root, "composer", new.composer.as_deref().map(Value::from));
    }
    if old.tags != new.tags {
        let tags = Value::from_iter(new.tags.iter().map(String::as_str));
        set_field(root, "tags", (!new.tags.is_empty()).then_some(tags));
    }
    let body = root.get("tune").and_then(Item::as_str).unwrap_or("");
    let (wanted, tune) = tune::updated(&header, body, old, new);
    let tune = (tune != body).then(|| tune_value(&tune));
    let meter_changes = wanted.meter != header.meter;
    if wanted.key != header.key {
        set_field(root, "key", Some(abc::write_key(&wanted.key).into()));
    }
    if meter_changes {
        set_field(root, "meter", Some(wanted.meter.to_string().into()));
    }
    if meter_changes || wanted.tempo != header.tempo {
        set_field(root, "tempo", Some(wanted.tempo.to_string().into()));
    }
    if tune.is_some() {
        set_field(root, "tune", tune);
    }
    guitar(root, &old.guitar, &new.guitar);
    tables::write(root, old_pins, new);
    tables::write(root, old_ideas, new);
    Ok(document.to_string())
}

/// The text that takes the place of an old one, with its line ends: a document drops the returns
/// before them.
pub(crate) fn line_ends(old: &str, new: String) -> String {
    let returns = old.matches("\r\n").count();
    match returns > 0 && returns == old.matches('\n').count() {
        true => new.replace("\r\n", "\n").replace('\n', "\r\n"),
        false => new,
    }
}

/// Sets a field, keeping the blanks and comments around it, or takes it out.
pub(crate) fn set_field(table: &mut dyn TableLike, key: &str, value: Option<Value>) {
    let Some(mut value) = value else {
        return remove(table, key);
    };
    match table.get_mut(key).and_then(Item::as_value_mut) {
        Some(old) => {
            *value.decor_mut() = old.decor().clone();
            *old = value;
        }
        None => {
            table.insert(key, Item::Value(value));
        }
    }
}

/// Takes a field out; the comment lines above it go to the field below, or under the one above.
pub(super) fn remove(table: &mut dyn TableLike, key: &str) {
    let keys: Vec<String> = table.iter().map(|(k, _)| k.to_owned()).collect();
    let here = keys.iter().position(|k| k == key);
    let comment = table.key(key).and_then(|k| {
        let above = k.leaf_decor().prefix()?.as_str()?;
        above.contains('#').then(|| above.to_owned())
    });
    table.remove(key);
    let (Some(here), Some(comment)) = (here, comment) else {
        return;
    };
    if let Some(mut below) = keys.get(here + 1).and_then(|k| table.key_mut(k)) {
        let decor = below.leaf_decor_mut();
        let own = decor.prefix().and_then(|p| p.as_str()).unwrap_or("");
        decor.set_prefix(format!("{comment}{own}"));
    } else if let Some(Item::Value(above)) =
        here.checked_sub(1).and_then(|i| table.get_mut(&keys[i]))
    {
        let decor = above.decor_mut();
        let own = decor.suffix().and_then(|p| p.as_str()).unwrap_or("");
        decor.set_suffix(format!("{own}\n{}", comment.trim_end()));
    }
}

/// The tune as a string over several lines.
fn tune_value(body: &str) -> Value {
    let mut text = String::from("\"\"\"\n");
    let mut quotes = 0;
    for c in body.trim_end_matches('\n').chars().chain(['\n']) {
        quotes = if c == '"' { quotes + 1 } else { 0 };
        match c {
            '\\' => text.push_str("\\\\"),
            '"' if quotes == 3 => {
                text.push_str("\\\"");
                quotes = 0;
            }
            '\n' | '\t' => text.push(c),
            c if c.is_control() => text.push_str(&format!("\\u{:04X}", u32::from(c))),
            c => text.push(c),
        }
    }
    text.push_str("\"\"\"");
    text.parse().unwrap_or_else(|_| Value::from(body))
}

fn guitar(root: &mut Table, old: &GuitarWish, new: &GuitarWish) {
    if old == new {
        return;
    }
    let item = root.entry("guitar").or_insert_with(toml_edit::table);
    let Some(table) = item.as_table_like_mut() else {
        return;
    };
    let number = |n: Option<i64>| n.map(Value::from);
    let text = |t: &Option<String>| t.as_deref().map(Value::from);
    let fields = |wish: &GuitarWish| {
        [
            ("tuning", text(&wish.tuning)),
            ("capo", number(wish.capo.map(i64::from))),
            ("frets", number(wish.frets.map(i64::from))),
            ("scale_mm", number(wish.scale_mm.map(i64::from))),
            ("hand", text(&wish.hand)),
        ]
    };
    for ((key, value), (_, old)) in fields(new).into_iter().zip(fields(old)) {
        let same = match (&value, &old) {
            (Some(value), Some(old)) => same_value(value, old),
            (value, old) => value.is_none() && old.is_none(),
        };
        if !same {
            set_field(table, key, value);
        }
    }
}

pub(super) fn same_value(a: &Value, b: &Value) -> bool {
    (a.as_str(), a.as_integer()) == (b.as_str(), b.as_integer())
        && (a.as_float(), a.as_bool()) == (b.as_float(), b.as_bool())
}

/// Where two songs differ, in words.
pub(super) fn difference(read: &Song, song: &Song) -> String {
    let (read, song) = (read.without_places(), song.without_places());
    let bar = read.bars.iter().zip(&song.bars).find(|(a, b)| a != b);
    if let Some((_, bar)) = bar {
        return format!("bar {} would read differently", bar.number);
    }
    if read.bars.len() != song.bars.len() {
        return format!("{} bars would read as {}", song.bars.len(), read.bars.len());
    }
    if read.pins != song.pins {
        return "a pin speaks of a bar or a place that is not there".to_owned();
    }
    if read.ideas != song.ideas {
        return "an idea speaks of a bar or a place that is not there".to_owned();
    }
    "title, key, tempo or guitar would read differently".to_owned()
}
