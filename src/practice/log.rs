//! The practice log: a text with a line for each pass or for several, only ever added to.
//!
//! ```text
//! 2026-01-05T19:04:11 the-late-ferry bars 3-4 fill at 80% 3 of 5 clean in 95 s
//! ```
//!
//! The time is the player's wall clock; the song goes by its file's name, its spaces written as
//! `_`, a `_` as `%5f`, a `%` as `%25`; bars are those written, counted from 1. A torn line lacks its end and is passed over.

use super::PracticeError;
use super::error::tempo;
use crate::arrange::Layer;
use jiff::civil::DateTime;
use std::fmt;

/// Some passes of some bars.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Record {
    /// When it ended, by the player's wall clock, to the second.
    pub at: DateTime,
    /// The name of the song's file.
    pub song: String,
    /// First and last bar as written, from 0, both included.
    pub bars: (usize, usize),
    /// The highest layer that was played.
    pub layer: Layer,
    /// Percent of the song's tempo, 20 to 200.
    pub tempo: u16,
    /// How many passes were clean and complete.
    pub clean: u32,
    /// How many passes there were; one that broke off is among them, and is not clean.
    pub all: u32,
    /// How long it took, in seconds; without a pass, time in which none was judged.
    pub seconds: u32,
}

impl Record {
    /// Holds that the log can keep the record.
    ///
    /// # Errors
    /// When the song has no name or one with control characters, when there are more clean
    /// passes than passes, or the tempo or the bars can't be.
    pub fn check(&self) -> Result<(), PracticeError> {
        tempo(self.tempo)?;
        let (clean, all) = (self.clean, self.all);
        if clean > all {
            return Err(PracticeError::Count { clean, all });
        }
        let (first, last) = self.bars;
        if first > last || last == usize::MAX {
            return Err(PracticeError::Bars {
                first: first.saturating_add(1),
                last: last.saturating_add(1),
                count: first.saturating_add(1),
            });
        }
        let odd = |c: char| c.is_control() || (c.is_whitespace() && c != ' ');
        if self.song.is_empty() || self.song.contains(odd) {
            let name = crate::exchange::plain_text(&self.song);
            return Err(PracticeError::Song { name });
        }
        Ok(())
    }

    /// The line of the log, without its end.
    ///
    /// # Errors
    /// As [`Record::check`].
    pub fn line(&self) -> Result<String, PracticeError> {
        self.check()?;
        Ok(self.to_string())
    }

    /// Whether a bar (as written, from 0) was among those played.
    pub fn has(&self, bar: usize) -> bool {
        (self.bars.0..=self.bars.1).contains(&bar)
    }
}

impl fmt::Display for Record {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{} {} bars {}-{} {} at {}% {} of {} clean in {} s",
            self.at.strftime("%Y-%m-%dT%H:%M:%S"),
            escaped(&self.song),
            self.bars.0.saturating_add(1),
            self.bars.1.saturating_add(1),
            self.layer.name(),
            self.tempo,
            self.clean,
            self.all,
            self.seconds
        )
    }
}

/// Reads a log: what can be read, and an error for each line that can't. Empty lines and lines that
/// begin with `#` say nothing.
pub fn read(text: &str) -> (Vec<Record>, Vec<PracticeError>) {
    let mut records = Vec::new();
    let mut errors = Vec::new();
    for (i, line) in text.lines().enumerate() {
        let line = line.trim();
        if line.is_empty() || line.starts_with('#') {
            continue;
        }
        match record(line) {
            Some(record) => records.push(record),
            None => errors.push(PracticeError::Line { line: i + 1 }),
        }
    }
    (records, errors)
}

fn record(line: &str) -> Option<Record> {
    let words: Vec<&str> = line.split_whitespace().collect();
    let &[
        at,
        song,
        "bars",
        bars,
        layer,
        "at",
        tempo,
        clean,
        "of",
        all,
        "clean",
        "in",
        seconds,
        "s",
    ] = words.as_slice()
    else {
        return None;
    };
    let (first, last) = bars.split_once('-')?;
    let bar = |text: &str| text.parse::<usize>().ok()?.checked_sub(1);
    let record = Record {
        at: DateTime::strptime("%Y-%m-%dT%H:%M:%S", at).ok()?,
        song: unescaped(song)?,
        bars: (bar(first)?, bar(last)?),
        layer: Layer::ALL.into_iter().find(|l| l.name() == layer)?,
        tempo: tempo.strip_suffix('%')?.parse().ok()?,
        clean: clean.parse().ok()?,
        all: all.parse().ok()?,
        seconds: seconds.parse().ok()?,
    };
    record.check().ok()?;
    Some(record)
}

/// A song's name as one word.
fn escaped(name: &str) -> String {
    let name = name.replace('%', "%25").replace('_', "%5f");
    name.replace(' ', "_")
}

fn unescaped(word: &str) -> Option<String> {
    let name = word
        .replace('_', " ")
        .replace("%5f", "_")
        .replace("%25", "%");
    (escaped(&name) == word).then_some(name)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const LINE: &str =
        "2026-01-05T19:04:11 the-late-ferry bars 3-4 fill at 80% 3 of 5 clean in 95 s";

    fn records() -> impl Strategy<Value = Record> {
        let song = "[a-zé _%25f-]{1,12}";
        let counts = (0u32..50, 0u32..50, any::<u32>());
        let rest = (0usize..99, 0usize..9, 0usize..4, 20u16..=200);
        (0i64..4_000_000_000, song, rest, counts).prop_map(
            |(second, song, (first, more, layer, tempo), (clean, missed, seconds))| Record {
                at: jiff::Timestamp::from_second(second)
                    .unwrap()
                    .to_zoned(jiff::tz::TimeZone::UTC)
                    .datetime(),
                song,
                bars: (first, first + more),
                layer: Layer::ALL[layer],
                tempo,
                clean,
                all: clean + missed,
                seconds,
            },
        )
    }

    #[test]
    fn a_line_says_what_was_played() {
        let (records, errors) = read(LINE);
        assert!(errors.is_empty());
        assert_eq!(records[0].bars, (2, 3));
        assert_eq!((records[0].clean, records[0].all), (3, 5));
        assert_eq!(records[0].line().unwrap(), LINE);
    }

    #[test]
    fn what_can_not_be_is_refused() {
        let good = read(LINE).0.remove(0);
        let with = |change: fn(&mut Record)| {
            let mut record = good.clone();
            change(&mut record);
            record.line()
        };
        assert!(with(|r| r.clean = 6).is_err());
        assert!(with(|r| r.song = "a\nb".into()).is_err());
        assert!(with(|r| r.song.clear()).is_err());
        assert!(with(|r| r.tempo = 0).is_err());
        assert!(with(|r| r.bars = (4, 3)).is_err());
        assert_eq!(read(&LINE.replace("3 of 5", "6 of 5")).1.len(), 1);
    }

    proptest! {
        #![proptest_config(crate::properties::cases(256))]

        #[test]
        fn records_come_back(record in records()) {
            let line = record.line().unwrap();
            prop_assert_eq!(read(&line), (vec![record], vec![]));
        }

        #[test]
        fn a_torn_line_is_passed_over_and_the_rest_stays(
            all in prop::collection::vec(records(), 1..5), cut in 1usize..60, more: bool,
        ) {
            let lines: Vec<String> = all.iter().map(|r| r.line().unwrap()).collect();
            let whole = lines.join("\n");
            let last = lines[lines.len() - 1].chars().count();
            let keep = whole.chars().count() - cut.min(last - 1);
            let mut torn: String = whole.chars().take(keep).collect();
            let mut wanted = all.clone();
            wanted.pop();
            if more {
                torn = format!("{torn}\n{}\n", lines[0]);
                wanted.push(all[0].clone());
            }
            let (records, errors) = read(&torn);
            prop_assert_eq!(records, wanted);
            prop_assert_eq!(errors, vec![PracticeError::Line { line: all.len() }]);
        }

        #[test]
        fn no_text_is_too_odd(text in "\\PC{0,80}") {
            let (records, _) = read(&text);
            prop_assert!(records.iter().all(|r| r.check().is_ok()));
        }
    }
}
