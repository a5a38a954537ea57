//! Pins and ideas in the file: tables of one name, each kept as it stands while it still says the same.

use super::places::Places;
use super::write::{remove, same_value, set_field};
use super::{SongError, ideas, pins, read};
use crate::song::{Bar, Idea, Pin, Song};
use crate::theory::Ticks;
use toml_edit::{ArrayOfTables, Item, Table, Value};

/// More pins, or ideas, than this are refused.
pub(super) const MOST: usize = 20_000;

/// What is written as a table among others of its name.
pub(super) trait Entry: Sized {
    const KEY: &'static str;

    /// Those of a song.
    fn list(song: &Song) -> &[Self];

    /// What the tables under the key say; `None` for one that speaks of no bar of the song.
    fn read_all(root: &Table, bars: &[Bar]) -> Result<Vec<Option<Self>>, SongError>;

    /// What one table says; `None` when it speaks of no bar of the song.
    fn read_one(table: &Table, bars: &[Bar]) -> Result<Option<Self>, SongError>;

    /// Every field with its value.
    fn written(&self, bars: &[Bar]) -> Option<Vec<(&'static str, Value)>>;

    /// The fields that there may be.
    fn known() -> &'static [&'static str];

    /// Bar and ticks from its line.
    fn spot(&self) -> (usize, Ticks);

    /// Whether both say the same, wherever they say it.
    fn says_as(&self, other: &Self) -> bool;
}

impl Entry for Pin {
    const KEY: &'static str = "pin";

    fn list(song: &Song) -> &[Pin] {
        &song.pins
    }

    fn read_all(root: &Table, bars: &[Bar]) -> Result<Vec<Option<Pin>>, SongError> {
        let places = Places::new("");
        pins::read(&read::root(root, &places), bars, &mut Vec::new())
    }

    fn read_one(table: &Table, bars: &[Bar]) -> Result<Option<Pin>, SongError> {
        let places = Places::new("");
        pins::pin(table, &places, None, bars, &mut Vec::new())
    }

    fn written(&self, bars: &[Bar]) -> Option<Vec<(&'static str, Value)>> {
        pins::written(self, bars)
    }

    fn known() -> &'static [&'static str] {
        pins::known()
    }

    fn spot(&self) -> (usize, Ticks) {
        (self.bar, self.at)
    }

    fn says_as(&self, other: &Pin) -> bool {
        self.wish == other.wish
    }
}

impl Entry for Idea {
    const KEY: &'static str = "idea";

    fn list(song: &Song) -> &[Idea] {
        &song.ideas
    }

    fn read_all(root: &Table, bars: &[Bar]) -> Result<Vec<Option<Idea>>, SongError> {
        let places = Places::new("");
        ideas::read(&read::root(root, &places), bars, &mut Vec::new())
    }

    fn read_one(table: &Table, bars: &[Bar]) -> Result<Option<Idea>, SongError> {
        let places = Places::new("");
        ideas::idea(table, &places, None, bars, &mut Vec::new())
    }

    fn written(&self, bars: &[Bar]) -> Option<Vec<(&'static str, Value)>> {
        ideas::written(self, bars)
    }

    fn known() -> &'static [&'static str] {
        ideas::known()
    }

    fn spot(&self) -> (usize, Ticks) {
        (self.bar, self.at)
    }

    fn says_as(&self, other: &Idea) -> bool {
        (self.to - self.bar, &self.figure, self.left)
            == (other.to - other.bar, &other.figure, other.left)
    }
}

/// A table as it stands, and what it said; `None` when it speaks of no bar of the song.
type Found<E> = (Table, Option<E>);

/// The tables of a document with what they say.
pub(super) fn found<E: Entry>(root: &Table, song: &Song) -> Result<Vec<Found<E>>, SongError> {
    let read = E::read_all(root, &song.bars)?;
    let tables = root.get(E::KEY).cloned().unwrap_or_default();
    let tables = tables.into_array_of_tables().unwrap_or_default();
    Ok(tables.into_iter().zip(read).collect())
}

/// Writes a song's entries: a table that still says its own stays, one whose entry changed is
/// changed.
pub(super) fn write<E: Entry>(root: &mut Table, mut old: Vec<Found<E>>, song: &Song) {
    let list = E::list(song);
    let read = |table: &Table| E::read_one(table, &song.bars);
    let says = |table: &Table, it: &E| matches!(read(table), Ok(Some(read)) if same(&read, it));
    let found = old.len();
    // A bar that came since may have the number of which a table without a bar speaks; the song
    // knows nothing of that one.
    old.retain(|(table, it)| it.is_some() || matches!(read(table), Ok(None)));
    let resolved = old.iter().filter(|(_, it)| it.is_some());
    let untouched = old.len() == found
        && resolved.clone().count() == list.len()
        && resolved.zip(list).all(|((t, _), it)| says(t, it));
    if untouched {
        return;
    }
    let mut old: Vec<Option<Found<E>>> = old.into_iter().map(Some).collect();
    let mut tables: Vec<Option<Table>> = vec![None; list.len()];
    // The same first, then one whose bar or beat moved, then one that was changed in place.
    let alike: [fn(&E, &E) -> bool; 4] = [
        same,
        |a, b| a.spot().1 == b.spot().1 && a.says_as(b),
        |a, b| a.spot().0 == b.spot().0 && a.says_as(b),
        |a, b| a.spot() == b.spot(),
    ];
    for alike in alike {
        for (it, table) in list.iter().zip(&mut tables) {
            let fits = |o: &Option<Found<E>>| {
                let said = o.as_ref().and_then(|(_, said)| said.as_ref());
                said.is_some_and(|said| alike(said, it))
            };
            if table.is_none() {
                let found = old.iter_mut().find(|o| fits(o)).and_then(Option::take);
                *table = found.map(|(table, _)| table);
            }
        }
    }
    let mut all = ArrayOfTables::new();
    for (it, table) in list.iter().zip(tables) {
        let mut table = table.unwrap_or_default();
        if !says(&table, it) {
            rewrite(&mut table, it, song);
        }
        all.push(table);
    }
    // What speaks of no bar is not ours to drop.
    for (table, _) in old.into_iter().flatten().filter(|(_, said)| said.is_none()) {
        all.push(table);
    }
    in_order(&mut all);
    if all.is_empty() {
        root.remove(E::KEY);
    } else {
        root.insert(E::KEY, Item::ArrayOfTables(all));
    }
}

fn same<E: Entry>(a: &E, b: &E) -> bool {
    a.spot() == b.spot() && a.says_as(b)
}

fn rewrite<E: Entry>(table: &mut Table, it: &E, song: &Song) {
    let mut fields = it.written(&song.bars).unwrap_or_default();
    // What is on the first beat need not say so.
    let silent = !table.is_empty() && !table.contains_key("beat");
    fields.retain(|(key, _)| !(silent && *key == "beat" && it.spot().1 == 0));
    for key in E::known() {
        if !fields.iter().any(|(k, _)| k == key) {
            remove(table, key);
        }
    }
    for (key, value) in fields {
        let same = |old: &Item| old.as_value().is_some_and(|old| same_value(old, &value));
        if !table.get(key).is_some_and(same) {
            set_field(table, key, Some(value));
        }
    }
}

/// Tables are printed by their place in the document; makes those places follow the list's order.
fn in_order(tables: &mut ArrayOfTables) {
    let known: Vec<isize> = tables.iter().filter_map(Table::position).collect();
    if !known.is_sorted() {
        let first = known.iter().min().copied();
        tables.iter_mut().for_each(|t| t.set_position(first));
    }
}
