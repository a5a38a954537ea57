//! Songs written as abc.

use super::events::{Event, events};
use super::fields::{accidental, write_key};
use super::lexer::{LARGEST, Written};
use super::pitch::{OpenTie, Pitches};
use super::rhythm::Ratio;
use super::text::encoded;
use super::{Accidentals, tuplets, usual_unit};
use crate::song::{Bar, Close, Place, Song};
use crate::theory::{Key, Meter, Pitch, QUARTER, Ticks, gcd, length_name};
use std::fmt::Write as _;

/// Bars on a line.
const BARS_A_LINE: usize = 4;

/// The song as a whole abc tune: header, body, a newline at the end. Pins and the instrument have
/// no place in abc.
pub fn write_tune(song: &Song, number: u32) -> String {
    let meter = song.bars.first().map(|b| &b.meter);
    let unit = usual_unit(meter);
    let mut text = format!("X:{number}\nT:{}\n", encoded(&song.title));
    if let Some(composer) = &song.composer {
        let _ = writeln!(text, "C:{}", encoded(composer));
    }
    for tag in &song.tags {
        let _ = writeln!(text, "R:{}", encoded(tag));
    }
    let meter = meter.map_or_else(|| "none".into(), Meter::to_string);
    let _ = writeln!(text, "M:{meter}\nL:{}", length_name(unit));
    let _ = writeln!(text, "Q:{}\nK:{}", song.tempo, write_key(&song.key));
    text + &write_body(song, unit)
}

/// The song's bars as an abc body, four to a line, lengths counted in `unit`, at most a whole note. The
/// header it belongs to names `song.key`, the first bar's meter, that unit and `song.tempo`; changes
/// are inline.
///
/// Read again, it is the same song but for places, as long as every note's octave lies in 0 to 8. A
/// chord in the middle of a note parts the note in two tied ones. Bars without length are left out.
pub fn write_body(song: &Song, unit: Ticks) -> String {
    let Some(first) = song.bars.first() else {
        return String::new();
    };
    let mut pen = Pen {
        text: String::new(),
        unit: unit.clamp(1, 4 * QUARTER),
        pitches: Pitches::new(Accidentals::default()),
        key: song.key.clone(),
        meter: first.meter.clone(),
        tie: None,
    };
    let bars: Vec<&Bar> = song.bars.iter().filter(|b| b.length > 0).collect();
    for (i, bar) in bars.iter().enumerate() {
        pen.bar(bar);
        let next = bars.get(i + 1);
        let opens = next.is_some_and(|b| b.opens_repeat);
        let line_ends = next.is_none() || (i + 1) % BARS_A_LINE == 0;
        pen.close(bar.close, opens && !line_ends);
        pen.text.push(if line_ends { '\n' } else { ' ' });
        if opens && line_ends {
            pen.text.push_str("|: ");
        }
    }
    if first.opens_repeat {
        pen.text.insert_str(0, "|: ");
    }
    pen.text
}

/// What has been written and what it put in force.
struct Pen {
    text: String,
    unit: Ticks,
    pitches: Pitches,
    key: Key,
    meter: Meter,
    tie: Option<OpenTie>,
}

impl Pen {
    fn bar(&mut self, bar: &Bar) {
        if !bar.ending.is_empty() {
            let passes: Vec<String> = bar.ending.iter().map(u8::to_string).collect();
            let _ = write!(self.text, "[{} ", passes.join(","));
        }
        if bar.meter != self.meter {
            self.meter = bar.meter.clone();
            let _ = write!(self.text, "[M:{}]", self.meter);
        }
        if bar.key != self.key {
            self.key = bar.key.clone();
            let _ = write!(self.text, "[K:{}]", write_key(&self.key));
        }
        if let Some(tempo) = bar.tempo {
            let _ = write!(self.text, "[Q:{tempo}]");
        }
        let beats = bar.meter.beats();
        let events = events(bar);
        let mut tuplet: Option<(Ratio, usize)> = None;
        for (i, event) in events.iter().enumerate() {
            let long = |e: &Event| e.length >= QUARTER;
            let apart = i > 0 && (long(event) || long(&events[i - 1]) || beats.contains(&event.at));
            if apart && !self.text.ends_with(' ') {
                self.text.push(' ');
            }
            if tuplet.is_none() {
                let lengths = events[i..].iter().map(|e| e.length);
                tuplet = tuplets::start(lengths, self.unit).map(|t| {
                    self.text.push_str(&t.sign());
                    (t.ratio(), t.events)
                });
            }
            let ratio = tuplet.map_or(Ratio::ONE, |(ratio, _)| ratio);
            self.event(event, ratio);
            tuplet = tuplet.and_then(|(ratio, left)| (left > 1).then_some((ratio, left - 1)));
        }
        self.pitches.bar_line();
        if let Some(tie) = &mut self.tie {
            tie.crossed = true;
        }
    }

    /// A note or rest; `ratio` is what the tuplet around it makes of written lengths.
    fn event(&mut self, event: &Event, ratio: Ratio) {
        for chord in &event.chords {
            let _ = write!(self.text, "\"{chord}\"");
        }
        let written = event.length * Ticks::from(ratio.d) / Ticks::from(ratio.n.max(1));
        let Some((pitch, tied)) = event.note else {
            for piece in pieces(written, self.unit) {
                let _ = write!(self.text, "z{piece}");
            }
            self.tie = None;
            return;
        };
        let pieces = pieces(written, self.unit);
        for (i, piece) in pieces.iter().enumerate() {
            self.pitch(pitch);
            self.text.push_str(piece);
            self.tie = (tied || i + 1 < pieces.len()).then(|| OpenTie {
                bar: 0,
                note: 0,
                pitch,
                crossed: false,
                place: Place::default(),
            });
            if self.tie.is_some() {
                self.text.push('-');
            }
        }
    }

    /// A note's accidental, where the reader would not guess it, its letter and octave marks.
    fn pitch(&mut self, pitch: Pitch) {
        let pitch = if pitch.name.alter.abs() > 2 {
            self.key.spell(pitch.midi())
        } else {
            pitch
        };
        let mut written = Written {
            letter: pitch.name.letter,
            octave: pitch.octave,
            accidental: None,
            length: Ratio::ONE,
        };
        let guess = self.pitches.read(&written, &self.key, self.tie.as_ref());
        if guess != pitch {
            written.accidental = Some(pitch.name.alter);
            self.pitches.read(&written, &self.key, None);
            self.text.push_str(accidental(pitch.name.alter));
        }
        let letter = pitch.name.letter.to_char();
        let (letter, mark, marks) = if pitch.octave > 4 {
            (letter.to_ascii_lowercase(), '\'', pitch.octave - 5)
        } else {
            (letter, ',', 4 - pitch.octave)
        };
        self.text.push(letter);
        self.text.extend((0..marks).map(|_| mark));
    }

    fn close(&mut self, close: Close, opens: bool) {
        if !self.text.ends_with(' ') {
            self.text.push(' ');
        }
        let sign = match close {
            Close::Single if opens => "|:",
            Close::Single => "|",
            Close::Double => "||",
            Close::Final => "|]",
            Close::Repeat(times) => {
                let colons = ":".repeat(usize::from(times.clamp(2, Close::MOST_TIMES)) - 1);
                let _ = write!(self.text, "{colons}|");
                ""
            }
        };
        self.text.push_str(sign);
        if opens && close != Close::Single {
            self.text.push_str(" |:");
        }
    }
}

/// A length after its note, in one piece or, where its numbers would be too large, in several.
fn pieces(length: Ticks, unit: Ticks) -> Vec<String> {
    let (n, d) = reduced(length, unit);
    let whole = length / unit;
    if n <= Ticks::from(LARGEST) || whole == 0 {
        return vec![length_text(n, d)];
    }
    let (rest, d) = reduced(length - whole * unit, unit);
    let mut pieces = vec![length_text(whole.min(Ticks::from(LARGEST)), 1)];
    if rest > 0 {
        pieces.push(length_text(rest, d));
    }
    pieces
}

fn length_text(n: Ticks, d: Ticks) -> String {
    match (n, d) {
        (1, 1) => String::new(),
        (n, 1) => n.to_string(),
        (1, 2) => "/".into(),
        (1, d) => format!("/{d}"),
        (n, d) => format!("{n}/{d}"),
    }
}

fn reduced(n: Ticks, d: Ticks) -> (Ticks, Ticks) {
    let shared = gcd(n, d).max(1);
    (n / shared, d / shared)
}
