//! From a song back to the text it came from, touching only what changed.

use super::SongError;
use super::naming::{length_name, tempo_name};
use super::places::Places;
use super::{FORMAT, pins, read, tune};
use crate::song::{GuitarWish, Pin, Song};
use crate::theory::{Key, Letter, Meter, Mode, QUARTER};
use toml_edit::{ArrayOfTables, DocumentMut, Item, Table, TableLike, Value};

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
    line("key", key_name(&song.key).into());
    line("meter", meter.to_string().into());
    line("unit", length_name(QUARTER / 2).into());
    line("tempo", tempo_name(song.tempo).into());
    lines.push("tune = \"\"\"\n\"\"\"\n".to_owned());
    lines.join("\n")
}

/// The text changed so that it says `new` where it said `old`.
pub(super) fn updated(text: &str, old: &Song, new: &Song) -> Result<String, SongError> {
    let mut document: DocumentMut = text.parse().map_err(|e| read::not_toml(&e, text))?;
    let places = Places::new("");
    let header = read::header(&read::root(document.as_table(), &places))?;
    let old_tables = pin_tables(document.as_table(), old)?;
    let root = document.as_table_mut();
    if old.title != new.title {
        set(root, "title", Some(new.title.as_str().into()));
    }
    if old.composer != new.composer {
        set(root, "composer", new.composer.as_deref().map(Value::from));
    }
    if old.tags != new.tags {
        let tags = Value::from_iter(new.tags.iter().map(String::as_str));
        set(root, "tags", (!new.tags.is_empty()).then_some(tags));
    }
    let mut wanted = header.clone();
    wanted.key = new.key.clone();
    wanted.tempo = new.tempo;
    if let Some(bar) = new.bars.first() {
        wanted.meter = bar.meter.clone();
    }
    if wanted.key != header.key {
        set(root, "key", Some(key_name(&new.key).into()));
    }
    if wanted.meter != header.meter {
        set(root, "meter", Some(wanted.meter.to_string().into()));
    }
    if wanted.tempo != header.tempo || wanted.meter != header.meter {
        set(root, "tempo", Some(tempo_name(new.tempo).into()));
    }
    if wanted != header || !same_bars(old, new) {
        let body = root.get("tune").and_then(Item::as_str).unwrap_or("");
        let body = tune::updated(&header, &wanted, body, new);
        set(root, "tune", Some(tune_value(&body)));
    }
    guitar(root, &old.guitar, &new.guitar);
    write_pins(root, old_tables, new);
    Ok(document.to_string())
}

fn same_bars(old: &Song, new: &Song) -> bool {
    old.without_places().bars == new.without_places().bars
}

/// Sets a field, keeping the blanks and comments around it, or takes it out.
fn set(table: &mut dyn TableLike, key: &str, value: Option<Value>) {
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
fn remove(table: &mut dyn TableLike, key: &str) {
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

/// A key as a song file writes it: `G`, `Em`, `D dorian`, with the accidentals of its own after it.
fn key_name(key: &Key) -> String {
    let mut text = key.tonic.to_string().replace('♯', "#").replace('♭', "b");
    match key.mode {
        Mode::Major => {}
        Mode::Minor => text.push('m'),
        mode => {
            let plain = Key::new(key.tonic, mode).to_string();
            let word = plain.split(' ').next_back().unwrap_or("").to_owned();
            text = format!("{text} {word}");
        }
    }
    for letter in Letter::ALL {
        if let Some(alter) = key.explicit[letter as usize] {
            let sign = match alter {
                0 => "=",
                1.. => "^",
                _ => "_",
            };
            let signs = sign.repeat(usize::from(alter.unsigned_abs().max(1)));
            text.push_str(&format!(
                " {signs}{}",
                letter.to_char().to_ascii_lowercase()
            ));
        }
    }
    text
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
            set(table, key, value);
        }
    }
}

/// A pin's table as it stands, and what it said; `None` when it speaks of no bar of the song.
type PinTable = (Table, Option<Pin>);

fn pin_tables(root: &Table, song: &Song) -> Result<Vec<PinTable>, SongError> {
    let places = Places::new("");
    let fields = read::root(root, &places);
    let read = pins::read(&fields, &song.bars, &mut Vec::new())?;
    let tables = root.get("pin").cloned().unwrap_or_default();
    let tables = tables.into_array_of_tables().unwrap_or_default();
    Ok(tables.into_iter().zip(read).collect())
}

/// Writes the pins: a table that still says its pin stays, one whose pin changed is changed.
fn write_pins(root: &mut Table, old: Vec<PinTable>, song: &Song) {
    let places = Places::new("");
    let says = |table: &Table, pin: &Pin| {
        let read = pins::pin(table, &places, None, &song.bars, &mut Vec::new());
        matches!(read, Ok(Some(read)) if same_pin(&read, pin))
    };
    let resolved = old.iter().filter(|(_, pin)| pin.is_some());
    let untouched = resolved.clone().count() == song.pins.len()
        && resolved.zip(&song.pins).all(|((t, _), pin)| says(t, pin));
    if untouched {
        return;
    }
    let mut old: Vec<Option<PinTable>> = old.into_iter().map(Some).collect();
    let mut tables: Vec<Option<Table>> = vec![None; song.pins.len()];
    // The same pin first, then one whose bar or beat moved, then one that was changed in place.
    let alike: [fn(&Pin, &Pin) -> bool; 4] = [
        same_pin,
        |a, b| a.at == b.at && a.wish == b.wish,
        |a, b| a.bar == b.bar && a.wish == b.wish,
        |a, b| a.bar == b.bar && a.at == b.at,
    ];
    for alike in alike {
        for (pin, table) in song.pins.iter().zip(&mut tables) {
            let fits = |o: &Option<PinTable>| {
                let said = o.as_ref().and_then(|(_, said)| said.as_ref());
                said.is_some_and(|said| alike(said, pin))
            };
            if table.is_none() {
                let found = old.iter_mut().find(|o| fits(o)).and_then(Option::take);
                *table = found.map(|(table, _)| table);
            }
        }
    }
    let mut all = ArrayOfTables::new();
    for (pin, table) in song.pins.iter().zip(tables) {
        let mut table = table.unwrap_or_default();
        if !says(&table, pin) {
            rewrite_pin(&mut table, pin, song);
        }
        all.push(table);
    }
    // What speaks of no bar is not ours to drop.
    for (table, _) in old.into_iter().flatten().filter(|(_, said)| said.is_none()) {
        all.push(table);
    }
    in_order(&mut all);
    if all.is_empty() {
        root.remove("pin");
    } else {
        root.insert("pin", Item::ArrayOfTables(all));
    }
}

fn same_pin(a: &Pin, b: &Pin) -> bool {
    a.bar == b.bar && a.at == b.at && a.wish == b.wish
}

fn rewrite_pin(table: &mut Table, pin: &Pin, song: &Song) {
    let mut fields = pins::written(pin, &song.bars).unwrap_or_default();
    // A pin on the first beat need not say so.
    let silent = !table.is_empty() && !table.contains_key("beat");
    fields.retain(|(key, _)| !(silent && *key == "beat" && pin.at == 0));
    for key in pins::known() {
        if !fields.iter().any(|(k, _)| k == key) {
            remove(table, key);
        }
    }
    for (key, value) in fields {
        let same = |old: &Item| old.as_value().is_some_and(|old| same_value(old, &value));
        if !table.get(key).is_some_and(same) {
            set(table, key, Some(value));
        }
    }
}

fn same_value(a: &Value, b: &Value) -> bool {
    a.as_str() == b.as_str() && a.as_integer() == b.as_integer() && a.as_float() == b.as_float()
}

/// Tables are printed by their place in the document; makes those places follow the list's order.
fn in_order(tables: &mut ArrayOfTables) {
    let known: Vec<isize> = tables.iter().filter_map(Table::position).collect();
    if !known.is_sorted() {
        let first = known.iter().min().copied();
        tables.iter_mut().for_each(|t| t.set_position(first));
    }
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
    "title, key, tempo or guitar would read differently".to_owned()
}
