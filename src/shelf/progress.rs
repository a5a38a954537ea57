//! How far a song has got: which bars of which layer are done.

use crate::arrange::Layer;
use crate::song::{SongError, SongFile, line_ends, set_field};
use std::collections::BTreeSet;
use toml_edit::{DocumentMut, Item, Table, Value};

/// The table in the song's file; its fields are the names of the layers.
const TABLE: &str = "done";

/// No song has more bars; a range in a file that says so is cut.
const MOST: usize = 20_000;

/// The bars that the player ticked, layer by layer. In the song's file:
///
/// ```toml
/// [done]
/// melody = "1-16"        # bars as written, counted from 1
/// bass = "1-8 11"
/// ```
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Progress([BTreeSet<usize>; 4]);

impl Progress {
    /// Reads it from the text of a song's file. What can't be understood there is as if unticked.
    pub fn read(text: &str) -> Progress {
        let mut progress = Progress::default();
        let Ok(document) = text.parse::<DocumentMut>() else {
            return progress;
        };
        for (set, key) in progress.0.iter_mut().zip(Layer::ALL.map(Layer::name)) {
            let field = document.get(TABLE).and_then(|t| t.get(key));
            *set = ranges(field.and_then(Item::as_str).unwrap_or_default());
        }
        progress
    }

    /// Writes it into a song's file, leaving everything else as it is.
    ///
    /// # Errors
    /// When the file would not be a song file any more; it is then as before.
    pub fn write(&self, file: &mut SongFile) -> Result<(), SongError> {
        let text = file.to_string();
        if *self == Progress::read(&text) {
            return Ok(());
        }
        let wrong = |e: &dyn std::fmt::Display| SongError::new(Default::default(), e.to_string());
        let mut document: DocumentMut = text.parse().map_err(|e| wrong(&e))?;
        let item = document.entry(TABLE).or_insert(Item::Table(Table::new()));
        let Some(table) = item.as_table_like_mut() else {
            return Err(wrong(
                &"done is no table here; write [done], or take it out",
            ));
        };
        for (set, key) in self.0.iter().zip(Layer::ALL.map(Layer::name)) {
            let old = table.get(key).and_then(Item::as_str);
            if ranges(old.unwrap_or_default()) != *set {
                let text = (!set.is_empty()).then(|| Value::from(text_of(set)));
                set_field(table, key, text);
            }
        }
        if table.is_empty() {
            document.remove(TABLE);
        }
        *file = SongFile::parse(&line_ends(&text, document.to_string()))?.0;
        Ok(())
    }

    /// Ticks a bar (index as written, from 0) in a layer, or takes the tick away.
    pub fn tick(&mut self, layer: Layer, bar: usize, done: bool) {
        let set = &mut self.0[layer as usize - 1];
        if !done {
            set.remove(&bar);
        } else if bar < MOST {
            set.insert(bar);
        }
    }

    /// Whether a bar (index as written, from 0) is ticked in a layer.
    pub fn is_done(&self, layer: Layer, bar: usize) -> bool {
        self.0[layer as usize - 1].contains(&bar)
    }

    /// The ticks after bars came or went: `from` names for each bar the one that it was before.
    pub fn moved(&self, from: &[Option<usize>]) -> Progress {
        let mut moved = Progress::default();
        for (after, before) in moved.0.iter_mut().zip(&self.0) {
            let kept = from.iter().enumerate();
            let kept = kept.filter(|(_, bar)| bar.is_some_and(|b| before.contains(&b)));
            after.extend(kept.map(|(i, _)| i).take_while(|&i| i < MOST));
        }
        moved
    }

    /// Adds the ticks of some bars, the first of which is now the bar `first`.
    pub fn add(&mut self, first: usize, ticks: &Progress) {
        for (all, more) in self.0.iter_mut().zip(&ticks.0) {
            all.extend(more.iter().map(|b| b + first).filter(|&b| b < MOST));
        }
    }

    /// How many of a song's bars are ticked in a layer.
    pub fn count(&self, layer: Layer, bars: usize) -> usize {
        self.0[layer as usize - 1].range(..bars).count()
    }
}

fn ranges(text: &str) -> BTreeSet<usize> {
    let range = |part: &str| {
        let (first, last) = part.split_once('-').unwrap_or((part, part));
        let first: usize = first.parse().ok()?;
        Some((first.checked_sub(1)?, last.parse::<usize>().ok()?.min(MOST)))
    };
    let mut ranges: Vec<_> = text.split_whitespace().filter_map(range).collect();
    ranges.sort_unstable();
    // A bar is put in once, however often the text names it.
    let mut bars = BTreeSet::new();
    let mut end = 0;
    for (first, last) in ranges {
        bars.extend(first.max(end)..last);
        end = end.max(last);
    }
    bars
}

fn text_of(bars: &BTreeSet<usize>) -> String {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for &bar in bars {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == bar => *last = bar,
            _ => runs.push((bar, bar)),
        }
    }
    let parts: Vec<String> = runs
        .iter()
        .map(|&(a, b)| {
            if a == b {
                format!("{}", a + 1)
            } else {
                format!("{}-{}", a + 1, b + 1)
            }
        })
        .collect();
    parts.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const LAMPS: &str = include_str!("../../songs/lamps-along-the-quay.toml");

    proptest! {
        #![proptest_config(crate::properties::cases(256))]

        #[test]
        fn bars_come_back_from_their_text(bars in prop::collection::btree_set(0usize..300, 0..80)) {
            prop_assert_eq!(ranges(&text_of(&bars)), bars);
        }

        #[test]
        fn no_text_is_too_odd(text in "[0-9 -]{0,40}") {
            prop_assert!(ranges(&text).iter().all(|b| *b < MOST));
        }
    }

    #[test]
    fn a_text_that_names_all_bars_again_and_again_is_read_in_no_time() {
        // Put in one by one, so many bars would take longer than anyone waits.
        assert_eq!(ranges(&"1-20000 ".repeat(1_000_000)).len(), MOST);
    }

    #[test]
    fn a_tick_keeps_comments_and_line_ends() {
        let text = "# mine\n[done]\n# slowly\nmelody = \"1-4\"  # slow\nbass = \"1 2\"\n";
        for text in [text.to_owned(), text.replace('\n', "\r\n")] {
            let mut file = SongFile::parse(&text).unwrap().0;
            let mut progress = Progress::read(&text);
            progress.tick(Layer::Melody, 4, true);
            progress.write(&mut file).unwrap();
            assert_eq!(file.to_string(), text.replace("1-4", "1-5"));
        }
    }

    #[test]
    fn ticks_lie_in_the_song_and_leave_it_alone() {
        let (mut file, song, before) = SongFile::parse(LAMPS).unwrap();
        let mut progress = Progress::default();
        for bar in [0, 1, 2, 5] {
            progress.tick(Layer::Bass, bar, true);
        }
        progress.write(&mut file).unwrap();
        let text = file.to_string();
        assert!(text.contains("[done]\nbass = \"1-3 6\"\n"), "{text}");
        assert_eq!(Progress::read(&text), progress);
        let (_, again, notices) = SongFile::parse(&text).unwrap();
        assert_eq!((again, notices), (song, before));
        assert!(progress.is_done(Layer::Bass, 5) && !progress.is_done(Layer::Melody, 5));
        assert_eq!(progress.count(Layer::Bass, 3), 3);
        for bar in [0, 1, 2, 5] {
            progress.tick(Layer::Bass, bar, false);
        }
        progress.write(&mut file).unwrap();
        assert!(!file.to_string().contains("done"));
    }
}
