//! Spoken tab: each bar in plain words, for players who listen instead of looking.
//!
//! One line a beat, in the order it is played: chord, barre, then the notes from the lowest string
//! up, each with its place, the left finger, the right finger, and how many beats it rings if that
//! is not one. A beat in which nothing is struck says so. A bar that is played like an earlier one
//! names that bar. There are no signs that a speech program would stumble over.

mod words;

use super::left_hand::{Held, barres};
use super::plain_text;
use super::repeats::{BarSigns, signs};
use crate::arrange::{Arrangement, Layer, Pluck, Technique};
use crate::guitar::Barre;
use crate::score::{bar_beats, missing};
use crate::song::{Bar, Close};
use crate::theory::Ticks;
use std::collections::HashMap;
use words::{beats, capital, chord, fraction, key, listed, right, times};

/// Writes an arrangement in words, one line a beat, ending in a line end.
pub fn write(arrangement: &Arrangement) -> String {
    let mut lines = head(arrangement);
    let song = arrangement.heard();
    let starts = song.starts();
    let missing = missing(&song.bars);
    let signs = signs(&song);
    let barres = barres(arrangement);
    let mut seen: HashMap<String, String> = HashMap::new();
    for (i, bar) in song.bars.iter().enumerate() {
        lines.push(String::new());
        let sign = signs.get(i).cloned().unwrap_or_default();
        lines.extend(before(bar, &sign));
        changes(arrangement, i, &mut lines);
        let said = Said {
            arrangement,
            barres: &barres,
            bar,
            index: i,
            start: starts.get(i).copied().unwrap_or(0),
            missing: missing.get(i).copied().unwrap_or(0),
        };
        let name = called(bar.number);
        let heading = capital(name.trim_start_matches("the "));
        let beats = said.lines();
        match seen.get(&beats.join("\n")) {
            Some(other) => lines.push(format!("{heading}: same as {other}.")),
            None => {
                lines.push(format!("{heading}."));
                seen.insert(beats.join("\n"), name);
                lines.extend(beats);
            }
        }
        lines.extend(after(arrangement, i, &sign));
    }
    lines.push(String::new());
    lines.push("End.".into());
    lines.join("\n") + "\n"
}

/// What a bar is called: `bar 5`, `the pickup`.
fn called(number: u32) -> String {
    match number {
        0 => "the pickup".into(),
        number => format!("bar {number}"),
    }
}

/// Title, key, meter, tempo, guitar, layers.
fn head(arrangement: &Arrangement) -> Vec<String> {
    let song = &arrangement.song;
    let mut lines = Vec::new();
    let title = plain_text(song.title.trim());
    lines.push(if title.is_empty() {
        "Without a title.".into()
    } else {
        format!("{title}.")
    });
    lines.extend(
        song.composer
            .as_ref()
            .map(|c| format!("By {}.", plain_text(c))),
    );
    let mut about = vec![format!("Key of {}", key(&song.key))];
    about.extend(song.bars.first().map(|b| words::meter(&b.meter)));
    about.push(words::tempo(song.tempo));
    lines.push(capital(&about.join(", ")) + ".");
    let instrument = &arrangement.instrument;
    let strings: Vec<String> = instrument
        .open
        .iter()
        .rev()
        .map(|p| words::name(p.name))
        .collect();
    let capo = match instrument.capo {
        0 => "no capo".to_string(),
        fret => format!("capo at fret {fret}, frets count from it"),
    };
    lines.push(format!(
        "Strings from the lowest: {}; {capo}.",
        strings.join(", ")
    ));
    let names = arrangement.layer.stack().map(Layer::name);
    lines.push(format!("Layers: {}.", listed(&names.collect::<Vec<_>>())));
    lines
}

fn before(bar: &Bar, sign: &BarSigns) -> Vec<String> {
    let mut lines = Vec::new();
    if sign.forward {
        lines.push("A repeat starts here.".into());
    }
    if !bar.ending.is_empty() {
        let passes: Vec<String> = bar.ending.iter().map(u8::to_string).collect();
        let passes: Vec<&str> = passes.iter().map(String::as_str).collect();
        lines.push(format!("Ending for time {}.", listed(&passes)));
    }
    lines
}

/// What changes with this bar: meter, key, tempo.
fn changes(arrangement: &Arrangement, i: usize, lines: &mut Vec<String>) {
    let bars = &arrangement.song.bars;
    let Some((bar, last)) = bars.get(i).zip(i.checked_sub(1).and_then(|l| bars.get(l))) else {
        return;
    };
    let mut changed = Vec::new();
    if bar.meter != last.meter {
        changed.push(words::meter(&bar.meter));
    }
    if bar.key != last.key {
        changed.push(format!("key of {}", key(&bar.key)));
    }
    changed.extend(bar.tempo.map(words::tempo));
    if !changed.is_empty() {
        lines.push(format!("From here {}.", changed.join(", ")));
    }
}

fn after(arrangement: &Arrangement, i: usize, sign: &BarSigns) -> Vec<String> {
    let bars = &arrangement.song.bars;
    let mut lines = Vec::new();
    if let Some((count, to)) = sign.backward {
        let to = called(bars.get(to).map_or(1, |b| b.number));
        let all = if sign.ending_stops.is_empty() {
            format!(", {} in all", times(count))
        } else {
            String::new()
        };
        lines.push(format!("Back to {to}{all}."));
    } else if bars.get(i).is_some_and(|b| b.close == Close::Double) && i + 1 < bars.len() {
        lines.push("A section ends.".into());
    }
    lines
}

/// One bar and what stands around it.
struct Said<'a> {
    arrangement: &'a Arrangement,
    barres: &'a [Held],
    bar: &'a Bar,
    index: usize,
    start: Ticks,
    missing: Ticks,
}

impl Said<'_> {
    /// A line for each beat.
    fn lines(&self) -> Vec<String> {
        let mut lines = Vec::new();
        for (number, span) in (1..).zip(bar_beats(self.bar, self.missing).windows(2)) {
            let beat = (span[0], span[1] - span[0]);
            let (from, to) = (span[0].max(0), span[1].min(self.bar.length));
            if from < to {
                lines.push(format!("Beat {number}: {}", self.beat(from, to, beat)));
            }
        }
        lines
    }

    /// What happens from one place of the bar to another, inside a beat with its start and length.
    fn beat(&self, from: Ticks, to: Ticks, beat: (Ticks, Ticks)) -> String {
        let mut places: Vec<Ticks> = self.struck().map(|p| p.at - self.start).collect();
        places.extend(self.bar.chords.iter().map(|c| c.at));
        places.retain(|p| (from..to).contains(p));
        places.sort_unstable();
        places.dedup();
        let mut parts = Vec::new();
        if places.first() != Some(&from) {
            parts.push(format!("{}.", self.silent(from)));
        }
        for at in places {
            let said = self.at(at, beat.1);
            parts.push(match at - beat.0 {
                0 => format!("{said}."),
                rest => format!("At {}: {said}.", fraction(rest, beat.1)),
            });
        }
        parts.join(" ")
    }

    /// What is done at a place where nothing is struck.
    fn silent(&self, at: Ticks) -> &'static str {
        let at = self.start + at;
        let rings = |p: &Pluck| p.at < at && p.end > at;
        if self.arrangement.plucks.iter().any(rings) {
            "hold"
        } else {
            "rest"
        }
    }

    fn struck(&self) -> impl Iterator<Item = &Pluck> {
        let plucks = &self.arrangement.plucks;
        let first = plucks.partition_point(|p| p.bar < self.index);
        let later = plucks.iter().skip(first);
        later.take_while(|p| p.bar == self.index)
    }

    /// Chord, barre and notes of one place, in a beat of a length.
    fn at(&self, at: Ticks, beat: Ticks) -> String {
        let mut said: Vec<String> = (self.bar.chords.iter())
            .filter(|c| c.at == at)
            .map(|c| chord(&c.symbol))
            .collect();
        said.extend(self.barres(at));
        let mut notes: Vec<&Pluck> = self.struck().filter(|p| p.at - self.start == at).collect();
        notes.sort_by_key(|p| std::cmp::Reverse(p.string));
        let how = |t: Technique| notes.iter().any(|p| p.technique == t);
        if how(Technique::Roll) {
            said.push("rolled".into());
        } else if how(Technique::Brush) {
            said.push("brushed".into());
        }
        said.extend(notes.iter().map(|p| note(p, beat)));
        if notes.is_empty() {
            said.push(self.silent(at).into());
        }
        said.join("; ")
    }

    /// The barres that are laid here.
    fn barres(&self, at: Ticks) -> impl Iterator<Item = String> {
        let from = self.barres.partition_point(|h| h.at < self.start + at);
        let later = self.barres.get(from..).unwrap_or_default().iter();
        let here = later.take_while(move |h| h.at == self.start + at);
        here.map(|h| {
            let Barre { fret, from, to, .. } = h.barre;
            format!("barre at fret {fret}, strings {to} to {from}")
        })
    }
}

/// A note, its length in beats.
fn note(pluck: &Pluck, beat: Ticks) -> String {
    let lead = match pluck.layer {
        Layer::Melody => "melody ",
        Layer::Bass => "bass ",
        Layer::Fill | Layer::Colour => "",
    };
    let string = pluck.string;
    let place = match (pluck.technique, pluck.fret) {
        (Technique::Harmonic, fret) => format!("string {string} harmonic at fret {fret}"),
        (_, 0) => format!("string {string} open"),
        (_, fret) => format!("string {string} fret {fret}"),
    };
    let left = match pluck.left {
        0 => String::new(),
        finger => format!(" finger {finger}"),
    };
    let how = match pluck.plucked_by() {
        Some(finger) => right(finger),
        None if pluck.technique == Technique::Hit => "hit",
        None => "slurred",
    };
    let long = match pluck.end - pluck.at {
        length if length == beat => String::new(),
        length => format!(", {}", beats(length, beat)),
    };
    format!("{lead}{place}{left}, {how}{long}")
}

#[cfg(test)]
mod tests;
