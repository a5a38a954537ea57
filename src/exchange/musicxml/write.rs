//! From an arrangement to the document.

use super::attributes::{InForce, attributes, tempo, word};
use super::kind;
use super::note::{Hand, Slurs, Staff, name};
use super::pen::Pen;
use super::values::Frame;
use super::voices::{Voice, sounding, voices};
use crate::arrange::{Arrangement, Layer};
use crate::exchange::left_hand::{Held, barres};
use crate::exchange::lengths::ends;
use crate::exchange::repeats::{BarSigns, signs};
use crate::score::{bar_beats, missing};
use crate::song::{Bar, Close, Song};
use crate::theory::{Letter, QUARTER, Symbol, Ticks, gcd};
use std::collections::{HashMap, HashSet};
use std::io::Write;
use zip::write::SimpleFileOptions;

/// The name of the score inside a compressed file.
const INSIDE: &str = "score.musicxml";
/// The media type that MusicXML 4.0 asks a compressed file to name first.
const MEDIA_TYPE: &str = "application/vnd.recordare.musicxml";

/// Writes an arrangement as an uncompressed MusicXML document.
pub fn write(arrangement: &Arrangement) -> String {
    let mut pen = Pen::new();
    pen.open("score-partwise", &[("version", "4.0")]);
    header(&mut pen, &arrangement.song);
    part_list(&mut pen);
    pen.open("part", &[("id", "P1")]);
    Writer::new(arrangement, &arrangement.heard()).bars(&mut pen);
    pen.close("part");
    pen.close("score-partwise");
    pen.finish()
}

/// The same as a compressed file (`.mxl`): an archive of the document and of the list of contents
/// that names it. The same arrangement always gives the same bytes.
pub fn write_compressed(arrangement: &Arrangement) -> Vec<u8> {
    let mut pen = Pen::new();
    pen.open("container", &[]);
    pen.open("rootfiles", &[]);
    let media = ("media-type", "application/vnd.recordare.musicxml+xml");
    pen.empty("rootfile", &[("full-path", INSIDE), media]);
    pen.close("rootfiles");
    pen.close("container");
    let (list, score) = (pen.finish(), write(arrangement));
    let parts = [
        ("mimetype", MEDIA_TYPE, zip::CompressionMethod::Stored),
        (
            "META-INF/container.xml",
            list.as_str(),
            zip::CompressionMethod::Deflated,
        ),
        (INSIDE, score.as_str(), zip::CompressionMethod::Deflated),
    ];
    let mut archive = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    for (name, text, method) in parts {
        let options = SimpleFileOptions::default().compression_method(method);
        // Writing into memory does not fail.
        let _ = archive.start_file(name, options);
        let _ = archive.write_all(text.as_bytes());
    }
    archive
        .finish()
        .map(|bytes| bytes.into_inner())
        .unwrap_or_default()
}

fn header(pen: &mut Pen, song: &Song) {
    pen.open("work", &[]);
    pen.text("work-title", &song.title);
    pen.close("work");
    pen.open("identification", &[]);
    if let Some(composer) = &song.composer {
        pen.text_with("creator", &[("type", "composer")], composer);
    }
    pen.open("encoding", &[]);
    pen.text("software", concat!("thumbline ", env!("CARGO_PKG_VERSION")));
    pen.close("encoding");
    pen.close("identification");
}

fn part_list(pen: &mut Pen) {
    pen.open("part-list", &[]);
    pen.open("score-part", &[("id", "P1")]);
    pen.text("part-name", "Guitar");
    pen.open("score-instrument", &[("id", "P1-I1")]);
    pen.text("instrument-name", "Guitar");
    pen.close("score-instrument");
    pen.open("midi-instrument", &[("id", "P1-I1")]);
    pen.text("midi-channel", 1);
    // General MIDI, counted from 1: acoustic guitar with steel strings.
    pen.text("midi-program", 26);
    pen.close("midi-instrument");
    pen.close("score-part");
    pen.close("part-list");
}

struct Writer<'a> {
    arrangement: &'a Arrangement,
    /// With the chords that are heard.
    song: &'a Song,
    starts: Vec<Ticks>,
    missing: Vec<Ticks>,
    signs: Vec<BarSigns>,
    sounding: Vec<Vec<usize>>,
    /// Until when each pluck is written.
    ends: Vec<Ticks>,
    slurs: Slurs,
    barres: Vec<Held>,
    /// Ticks in a division: the greatest length that everything is a multiple of.
    division: Ticks,
}

/// A chord or a word at its place in the bar.
enum Mark<'a> {
    Chord(&'a Symbol),
    Barre(String),
}

impl<'a> Writer<'a> {
    fn new(arrangement: &'a Arrangement, song: &'a Song) -> Writer<'a> {
        let starts = song.starts();
        let ends = ends(&arrangement.plucks);
        Writer {
            missing: missing(&song.bars),
            signs: signs(song),
            sounding: sounding(&arrangement.plucks, &ends, &starts),
            ends,
            slurs: Slurs::of(&arrangement.plucks),
            barres: barres(arrangement),
            division: division(arrangement, song, &starts),
            arrangement,
            song,
            starts,
        }
    }

    fn bars(&self, pen: &mut Pen) {
        let mut now = InForce::default();
        let mut last = None;
        for (i, bar) in self.song.bars.iter().enumerate() {
            let number = bar.number.to_string();
            // A pickup and the second half of a bar that a repeat sign splits carry no number.
            let unnumbered = bar.number == 0 || last == Some(bar.number);
            let implicit: &[_] = &[("number", number.as_str()), ("implicit", "yes")];
            pen.open("measure", &implicit[..1 + usize::from(unnumbered)]);
            self.bar(pen, i, bar, &mut now);
            pen.close("measure");
            last = Some(bar.number);
        }
    }

    fn bar(&self, pen: &mut Pen, i: usize, bar: &'a Bar, now: &mut InForce) {
        let signs = self.signs.get(i).cloned().unwrap_or_default();
        left_line(pen, &signs);
        let instrument = &self.arrangement.instrument;
        attributes(pen, bar, now, instrument, QUARTER / self.division);
        if i == 0 {
            tempo(pen, bar.tempo.unwrap_or(self.song.tempo));
            if instrument.capo > 0 {
                word(pen, &format!("Capo {}", instrument.capo), 1, 0);
            }
        } else if let Some(change) = bar.tempo {
            tempo(pen, change);
        }
        let frame = frame(bar, self.missing.get(i).copied().unwrap_or(0));
        let start = self.starts.get(i).copied().unwrap_or(0);
        let near = self.sounding.get(i).map_or(&[][..], Vec::as_slice);
        let voices = voices(self.arrangement, &frame, start, near, &self.ends);
        let marks = self.marks(i, bar, start);
        self.notation(pen, &frame, bar, &voices, marks);
        for voice in &voices {
            self.back(pen, bar.length);
            self.voice(
                pen,
                voice,
                Staff::Tab,
                &frame,
                &HashSet::new(),
                &mut Vec::new(),
            );
        }
        right_line(pen, bar, &signs);
    }

    /// The upper staff: the tune, a rest where it is silent, and the other voices below it.
    fn notation(
        &self,
        pen: &mut Pen,
        frame: &Frame,
        bar: &Bar,
        voices: &[Voice],
        mut marks: Vec<(Ticks, Mark)>,
    ) {
        let accidentals = accidentals(bar, voices);
        if voices.first().is_none_or(|v| v.layer != Layer::Melody) {
            self.put_marks(pen, &mut marks, 0, bar.length);
            pen.open("note", &[]);
            pen.empty("rest", &[("measure", "yes")]);
            pen.text("duration", bar.length / self.division);
            pen.text("voice", Layer::Melody as u8);
            pen.text("staff", 1);
            pen.close("note");
            if !voices.is_empty() {
                self.back(pen, bar.length);
            }
        }
        for (i, voice) in voices.iter().enumerate() {
            if i > 0 {
                self.back(pen, bar.length);
            }
            self.voice(pen, voice, Staff::Notation, frame, &accidentals, &mut marks);
        }
    }

    fn voice(
        &self,
        pen: &mut Pen,
        voice: &Voice,
        staff: Staff,
        frame: &Frame,
        accidentals: &HashSet<usize>,
        marks: &mut Vec<(Ticks, Mark)>,
    ) {
        let hand = Hand {
            staff,
            layer: voice.layer,
            division: self.division,
            shared: self.arrangement.layer > Layer::Melody,
            slurs: &self.slurs,
            accidentals,
        };
        let beams = beams(frame, voice);
        for (written, beams) in voice.notes.iter().zip(&beams) {
            let piece = &written.piece;
            self.put_marks(pen, marks, piece.at, piece.at + piece.length);
            hand.write(pen, written, beams);
        }
    }

    fn back(&self, pen: &mut Pen, length: Ticks) {
        if length > 0 {
            pen.open("backup", &[]);
            pen.text("duration", length / self.division);
            pen.close("backup");
        }
    }

    /// Chords and barres of a bar in order.
    fn marks(&self, i: usize, bar: &'a Bar, start: Ticks) -> Vec<(Ticks, Mark<'a>)> {
        let chords = bar.chords.iter().map(|c| (c.at, Mark::Chord(&c.symbol)));
        let mut marks: Vec<_> = chords.collect();
        let first = self.barres.partition_point(|h| h.bar < i);
        let later = self.barres.iter().skip(first);
        for held in later.take_while(|h| h.bar == i) {
            let text = format!("B {}", roman(held.barre.fret));
            marks.push((held.at - start, Mark::Barre(text)));
        }
        marks.retain(|(at, _)| (0..bar.length).contains(at));
        marks.sort_by_key(|m| m.0);
        marks
    }

    /// Writes the marks that lie before `to`, counted from `from`, where the pen is.
    fn put_marks(&self, pen: &mut Pen, marks: &mut Vec<(Ticks, Mark)>, from: Ticks, to: Ticks) {
        let count = marks.iter().take_while(|(at, _)| *at < to).count();
        for (at, mark) in marks.drain(..count) {
            let offset = (at - from) / self.division;
            match mark {
                Mark::Chord(symbol) => harmony(pen, symbol, offset),
                Mark::Barre(text) => word(pen, &text, 2, offset),
            }
        }
    }
}

/// The greatest length that all places of the arrangement are multiples of.
fn division(arrangement: &Arrangement, song: &Song, starts: &[Ticks]) -> Ticks {
    let chords = song.bars.iter().flat_map(|b| b.chords.iter().map(|c| c.at));
    let plucks = arrangement.plucks.iter().flat_map(|p| [p.at, p.end]);
    let slices = arrangement.slices.iter().map(|s| s.at);
    // Tuplets are parted at the beats, which are sixteenths at the least.
    let all = chords
        .chain(plucks)
        .chain(slices)
        .chain(starts.iter().copied());
    all.fold(QUARTER / 8, gcd).max(1)
}

fn frame(bar: &Bar, missing: Ticks) -> Frame {
    Frame {
        length: bar.length,
        beats: bar_beats(bar, missing),
        origin: -missing,
    }
}

/// Which plucks need an accidental: those whose letter last had another sign in this bar and octave.
fn accidentals(bar: &Bar, voices: &[Voice]) -> HashSet<usize> {
    let rows = voices.iter().flat_map(|v| &v.notes);
    let parts = rows.flat_map(|w| w.notes.iter().map(move |p| (w.piece.at, p)));
    let mut struck: Vec<_> = parts.filter(|(_, p)| !p.tied_from).collect();
    struck.sort_by_key(|(at, p)| (*at, p.pluck.string));
    let mut signs: HashMap<(Letter, i8), i8> = HashMap::new();
    let mut needed = HashSet::new();
    for (_, part) in struck {
        let (name, octave) = (part.pluck.pitch.name, part.pluck.pitch.octave);
        let place = (name.letter, octave);
        let old = signs
            .insert(place, name.alter)
            .unwrap_or_else(|| bar.key.alter(name.letter));
        if old != name.alter {
            needed.insert(part.index);
        }
    }
    needed
}

/// The beams of each note of a voice, from the first level up. Notes shorter than a quarter are
/// joined within a beat.
fn beams(frame: &Frame, voice: &Voice) -> Vec<Vec<&'static str>> {
    let levels = |i: usize| -> i8 {
        let written = voice.notes.get(i).filter(|w| !w.notes.is_empty());
        let value = written.and_then(|w| w.piece.value);
        value.map_or(0, |v| v.power - 2).max(0)
    };
    let beat = |i: usize| {
        let at = voice.notes.get(i).map_or(0, |w| w.piece.at);
        frame.beats.partition_point(|&b| b <= at)
    };
    let piece = |i: usize| voice.notes.get(i).map(|w| w.piece);
    // A beam goes neither into a tuplet nor out of one.
    let parted = |a: usize, b: usize| {
        piece(a).is_some_and(|p| p.closes) || piece(b).is_some_and(|p| p.opens)
    };
    let joined = |a, b| levels(a) > 0 && levels(b) > 0 && beat(a) == beat(b) && !parted(a, b);
    (0..voice.notes.len())
        .map(|i| {
            let before = i.checked_sub(1).filter(|&b| joined(b, i));
            let after = Some(i + 1).filter(|&a| joined(i, a));
            if before.or(after).is_none() {
                return Vec::new();
            }
            let on = |level: i8, other: Option<usize>| other.is_some_and(|o| levels(o) >= level);
            let beam = |level: i8| match (on(level, before), on(level, after)) {
                (false, true) => "begin",
                (true, true) => "continue",
                (true, false) => "end",
                (false, false) if before.is_some() => "backward hook",
                (false, false) => "forward hook",
            };
            (1..=levels(i)).map(beam).collect()
        })
        .collect()
}

fn harmony(pen: &mut Pen, symbol: &Symbol, offset: Ticks) {
    pen.open("harmony", &[]);
    match symbol {
        Symbol::NoChord => {
            pen.open("root", &[]);
            pen.text_with("root-step", &[("text", "")], "C");
            pen.close("root");
            pen.text_with("kind", &[("text", "N.C.")], "none");
        }
        Symbol::Chord(chord) => {
            let (kind, degrees) = kind::said(chord);
            pen.open("root", &[]);
            name(pen, "root-", chord.root);
            pen.close("root");
            let root = chord.root.to_string();
            let text = chord.to_string();
            let suffix = text.strip_prefix(&root).unwrap_or("");
            let suffix = suffix.rsplit_once('/').filter(|_| chord.bass.is_some());
            let whole = text.strip_prefix(&root).unwrap_or("");
            pen.text_with("kind", &[("text", suffix.map_or(whole, |s| s.0))], kind);
            if let Some(bass) = chord.bass {
                pen.open("bass", &[]);
                name(pen, "bass-", bass);
                pen.close("bass");
            }
            for degree in degrees {
                // The text of the kind says it all.
                pen.open("degree", &[("print-object", "no")]);
                pen.text("degree-value", degree.value);
                pen.text("degree-alter", degree.alter);
                pen.text("degree-type", degree.how.name());
                pen.close("degree");
            }
        }
    }
    if offset > 0 {
        pen.text("offset", offset);
    }
    pen.text("staff", 1);
    pen.close("harmony");
}

fn left_line(pen: &mut Pen, signs: &BarSigns) {
    if !signs.forward && signs.ending.is_empty() {
        return;
    }
    pen.open("barline", &[("location", "left")]);
    if signs.forward {
        pen.text("bar-style", "heavy-light");
    }
    if !signs.ending.is_empty() {
        let passes = passes(&signs.ending, ",");
        let shown = passes_shown(&signs.ending);
        pen.text_with("ending", &[("number", &passes), ("type", "start")], shown);
    }
    if signs.forward {
        pen.empty("repeat", &[("direction", "forward")]);
    }
    pen.close("barline");
}

fn right_line(pen: &mut Pen, bar: &Bar, signs: &BarSigns) {
    let style = match bar.close {
        _ if signs.backward.is_some() => Some("light-heavy"),
        Close::Single => None,
        Close::Double => Some("light-light"),
        Close::Final | Close::Repeat(_) => Some("light-heavy"),
    };
    if style.is_none() && signs.ending_stops.is_empty() {
        return;
    }
    pen.open("barline", &[("location", "right")]);
    if let Some(style) = style {
        pen.text("bar-style", style);
    }
    if !signs.ending_stops.is_empty() {
        let closed = signs.backward.is_some() || bar.close == Close::Final;
        let kind = if closed { "stop" } else { "discontinue" };
        let passes = passes(&signs.ending_stops, ",");
        pen.empty("ending", &[("number", &passes), ("type", kind)]);
    }
    if let Some((times, _)) = signs.backward {
        let times = times.to_string();
        let all = [("direction", "backward"), ("times", times.as_str())];
        // Twice is what a repeat sign says by itself, and endings say how often they are played.
        let plain = times == "2" || !signs.ending_stops.is_empty();
        pen.empty("repeat", if plain { &all[..1] } else { &all });
    }
    pen.close("barline");
}

fn passes(ending: &[u8], between: &str) -> String {
    let passes: Vec<String> = ending.iter().map(u8::to_string).collect();
    passes.join(between)
}

fn passes_shown(ending: &[u8]) -> String {
    passes(ending, ".–") + "."
}

/// A fret in Roman numerals, as barres are named (common practice, no source).
fn roman(fret: u8) -> String {
    let tens = "X".repeat(usize::from(fret / 10));
    let ones = ["", "I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX"];
    tens + ones[usize::from(fret % 10)]
}
