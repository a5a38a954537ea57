//! Chords given in one line, for melodies that come without: `C | Am F | G7 . . C | %`.

use super::how_many;
use crate::song::{Bar, ChordChange, Notice, Place, Song};
use crate::theory::{ChordError, Symbol, Ticks};

/// A line of chords, bar by bar.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChordLine {
    /// For each bar its parts, equally long; nothing where the chord before goes on.
    bars: Vec<Vec<Option<Symbol>>>,
}

impl ChordLine {
    /// Reads a line: bars between `|`, in each as many chords as share it equally; `.` or `%` is a
    /// part in which the chord goes on, and so is an empty bar.
    ///
    /// # Errors
    /// When a chord can't be understood.
    pub fn parse(text: &str) -> Result<ChordLine, ChordError> {
        let text = text.trim().replace("||", "|");
        let inner = text.strip_prefix('|').unwrap_or(&text);
        let inner = inner.strip_suffix('|').unwrap_or(inner);
        let part = |word: &str| match word {
            "." | "%" => Ok(None),
            chord => Symbol::parse(chord).map(Some),
        };
        let bars = inner
            .split('|')
            .map(|bar| bar.split_whitespace().map(part).collect());
        Ok(ChordLine {
            bars: bars.collect::<Result<_, _>>()?,
        })
    }

    /// Gives a song these chords instead of its own, from its first full bar on. Says so where line
    /// and song are not as long.
    pub fn put(&self, song: &mut Song) -> Option<Notice> {
        song.bars.iter_mut().for_each(|bar| bar.chords.clear());
        let mut count = 0;
        // The halves of a bar that a repeat sign splits have one number.
        for bars in song.bars.chunk_by_mut(|a, b| a.number == b.number) {
            // A pickup has no chords.
            if bars.iter().any(|bar| bar.number == 0) {
                continue;
            }
            if let Some(parts) = self.bars.get(count) {
                lay(bars, parts);
            }
            count += 1;
        }
        let given = self.bars.len();
        (given != count).then(|| {
            let rest = if given > count {
                "what is too much is left out"
            } else {
                "the last chord goes on"
            };
            let text = format!(
                "the line of chords has {}, the song {count}; {rest}",
                how_many(given, "bar")
            );
            Notice::new(Place::default(), text)
        })
    }
}

/// Lays the parts of a bar, which may be split in two, at its beats or, where they are no part of the
/// beats, spreads them evenly.
fn lay(bars: &mut [Bar], parts: &[Option<Symbol>]) {
    let length: Ticks = bars.iter().map(|bar| bar.length).sum();
    let mut beats = bars.first().map_or(Vec::new(), |bar| bar.meter.beats());
    beats.retain(|&beat| beat < length);
    let count = parts.len().max(1);
    for (i, symbol) in parts.iter().enumerate() {
        let Some(symbol) = symbol else { continue };
        let mut at = match beats.get(i * beats.len() / count) {
            Some(&beat) if count <= beats.len() => beat,
            _ => length * i as Ticks / count as Ticks,
        };
        for bar in bars.iter_mut() {
            if at < bar.length {
                bar.chords.push(ChordChange {
                    at,
                    symbol: symbol.clone(),
                    place: Place::default(),
                });
                break;
            }
            at -= bar.length;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::song::abc;
    use crate::theory::beats;

    const TUNE: &str = "X:1\nM:4/4\nL:1/4\nK:C\nG|CEGc|G4|F2D2|C3|]\n";

    fn put(line: &str) -> (String, Option<String>) {
        put_in(TUNE, line)
    }

    fn put_in(tune: &str, line: &str) -> (String, Option<String>) {
        let mut song = abc::read_book(tune).remove(0).unwrap().song;
        let notice = ChordLine::parse(line).unwrap().put(&mut song);
        let bars = song.bars.iter().map(|b| {
            let chords = b
                .chords
                .iter()
                .map(|c| format!("{}@{}", c.symbol, beats(c.at)));
            chords.collect::<Vec<_>>().join(" ")
        });
        (bars.collect::<Vec<_>>().join("|"), notice.map(|n| n.text))
    }

    #[test]
    fn chords_fall_on_the_beats_of_their_bars() {
        assert_eq!(
            put("C | Am F | G7 . . N.C. | %"),
            ("|C@0|Am@0 F@2|G7@0 N.C.@3|".into(), None)
        );
        assert_eq!(put("| C Am F | | G || C |").0, "|C@0 Am@1 F@2||G@0|C@0");
    }

    #[test]
    fn the_halves_of_a_split_bar_share_its_chords() {
        let tune = "X:1\nM:4/4\nL:1/4\nK:C\n|:CDEF|G2:|A2|]\n";
        for (line, chords) in [
            ("C | G F", "C@0|G@0|F@0"),
            ("C | G . . F", "C@0|G@0|F@1"),
            ("C | G C F", "C@0|G@0 C@1|F@0"),
        ] {
            assert_eq!(put_in(tune, line), (chords.into(), None));
        }
    }

    #[test]
    fn lines_too_long_or_too_short_are_told() {
        assert!(
            put("C")
                .1
                .unwrap()
                .contains("has 1 bar, the song 4; the last chord goes on")
        );
        assert!(put("C|C|C|C|G").1.unwrap().contains("left out"));
        assert_eq!(ChordLine::parse("C | H7").unwrap_err().text, "H7");
    }
}
