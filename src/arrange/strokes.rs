//! Where bass and fill are struck: at chord changes and bar lines, and where pins and ideas ask for
//! a note.

use super::Layer;
use super::arrangement::Tune;
use super::ideas::{Asked, Marks, broken_tone, mark_at};
use super::plan::PASSING;
use super::shape::{NONE, Shape};
use crate::song::{Pin, Song, Wish};
use crate::theory::{Chord, Name, Symbol, Ticks, Tone};
use std::ops::Range;

/// A place where bass and fill are struck.
#[derive(Debug, Clone)]
pub(crate) struct Stroke {
    pub at: Ticks,
    /// The bass rings to here: the next bass, or the end of the chord or the bar.
    pub end: Ticks,
    /// The fill rings to here: the end of the chord or the bar.
    pub fill_end: Ticks,
    pub chord: Chord,
    /// The chord's pitch classes, as bits, none for a bass without chord; its third's, its seventh's.
    pub tones: u16,
    pub third: Option<i32>,
    pub seventh: Option<i32>,
    /// The pitch classes that an idea's chord has and the written one has not, as bits.
    pub brought: u16,
    /// Pitch class of the bass asked for, and its MIDI number if a pin fixes the octave.
    pub bass: i32,
    pub bass_midi: Option<i32>,
    /// A pin asks for this bass, so it may not be left out.
    pub bass_pinned: bool,
    /// Every note of the stroke lies below this MIDI number.
    pub ceiling: i32,
    /// How many fill notes may be struck, at least and at most.
    pub fill: (u8, u8),
    /// Nothing is struck but the melody.
    pub silent: bool,
    /// What the chord struck before it rings on under it: a bass or one note of a broken chord alone
    /// is struck.
    pub over: bool,
    /// No bass is wanted.
    pub bassless: bool,
    /// As many notes as a full chord has here, and the most that are struck.
    pub notes: u8,
    /// The fill is of this pitch class: a note of a broken chord.
    pub only: Option<i32>,
    /// The chord is rolled.
    pub rolled: bool,
    /// The melody sounding here, where a harmonic makes it another note than its fret.
    pub tune: Option<i32>,
    /// The idea that the stroke is there for, or that changes it.
    pub idea: Option<usize>,
    /// Melody notes during the stroke that go lower than all before them: start and MIDI number.
    pub falls: Vec<(Ticks, i32)>,
}

impl Stroke {
    /// Until when a note of this stroke should ring: no longer than the melody stays above it.
    pub fn ring(&self, midi: i32, is_bass: bool) -> Ticks {
        let end = if is_bass { self.end } else { self.fill_end };
        self.falls
            .iter()
            .find(|&&(_, low)| low <= midi)
            .map_or(end, |&(at, _)| at.min(end))
    }

    /// The MIDI number that a string of a shape sounds under this stroke: a touched melody string is
    /// higher than its fret.
    pub fn sounding(&self, shape: &Shape, string: usize) -> i32 {
        let tune = self.tune.filter(|_| shape.melody == string as u8);
        tune.unwrap_or_else(|| shape.midi(string))
    }

    /// Whether the melody of a shape is itself the bass, with nothing under it.
    pub fn is_bass_sung(&self, shape: &Shape) -> bool {
        let is_lowest = shape.melody != NONE && shape.fills == 0;
        is_lowest && self.sounding(shape, shape.melody.into()).rem_euclid(12) == self.bass
    }

    /// Whether a MIDI number is one of the notes that an idea's chord brings.
    pub fn brings(&self, midi: i32) -> bool {
        self.brought >> midi.rem_euclid(12) & 1 == 1
    }
}

/// A chord change in song time.
struct Change<'a> {
    at: Ticks,
    chord: Option<&'a Chord>,
    struck: Struck,
}

/// What is struck at a change.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Struck {
    /// The whole chord.
    Chord,
    /// Only a pinned bass; the chord's name goes on, its fill does not.
    Pinned,
    /// Only a bass that an idea asks for, while the fill rings on.
    Bass,
    /// Only one note of a broken chord.
    Broken,
}

/// What strokes are laid out from.
pub(crate) struct Ground<'a> {
    pub song: &'a Song,
    pub starts: &'a [Ticks],
    pub melody: &'a [Tune],
    pub layer: Layer,
    pub marks: &'a Marks,
}

impl Ground<'_> {
    /// One stroke at each chord change and, where a chord goes on, at each bar line; more where pins and
    /// ideas ask for a note. A pickup has none. Of a part of the song, those in it and the one that may
    /// ring into it.
    pub fn strokes(&self, part: &Range<Ticks>) -> Vec<Stroke> {
        let pins = bass_pins(self.song, self.starts);
        let changes = changes(self.song, &pins, self.marks);
        let first = changes.partition_point(|c| c.at <= part.start);
        let end = changes.partition_point(|c| c.at < part.end).max(first);
        let stroke = |i: usize| self.stroke(&changes[i..], &pins);
        let before = (0..first).rev().find_map(stroke);
        (before.into_iter())
            .chain((first..end).filter_map(stroke))
            .collect()
    }

    /// The stroke at the first of the changes, if something is struck there.
    fn stroke(&self, changes: &[Change], pins: &[(Ticks, Name)]) -> Option<Stroke> {
        let (change, later) = changes.split_first()?;
        let next = |ends: fn(Struck) -> bool| {
            let next = later.iter().find(|c| ends(c.struck));
            next.map_or(self.starts[self.song.bars.len()], |c| c.at)
        };
        let end = next(|s| s != Struck::Broken);
        let fill_end = next(|s| matches!(s, Struck::Chord | Struck::Pinned));
        let chord = self.chord(change, pins)?;
        if end <= change.at {
            return None;
        }
        let class = |t: Tone| (chord.root.class() + i32::from(t.semitones)).rem_euclid(12);
        let sung = sounding(self.melody, change.at).map(|t| t.pitch.midi());
        let filled = self.layer >= Layer::Fill && change.chord.is_some();
        let mut stroke = Stroke {
            tones: change.chord.map_or(0, Chord::class_set),
            third: chord.third().map(class),
            seventh: chord.seventh().map(class),
            brought: mark_at(&self.marks.chords, change.at)
                .map_or(0, |m| chord.class_set() & !m.what),
            at: change.at,
            end,
            fill_end,
            bass: chord.bass_name().class(),
            bass_midi: None,
            bass_pinned: false,
            ceiling: ceiling(self.melody, change.at),
            fill: match change.struck {
                Struck::Chord if filled => (0, 3),
                Struck::Broken => (1, 1),
                _ => (0, 0),
            },
            silent: false,
            over: matches!(change.struck, Struck::Bass | Struck::Broken),
            bassless: change.struck == Struck::Broken,
            notes: crate::guitar::right::MOST_PLUCKS as u8,
            only: mark_at(&self.marks.broken, change.at)
                .filter(|_| change.struck == Struck::Broken)
                .and_then(|m| broken_tone(&chord, sung, m.what)),
            rolled: false,
            tune: self.touched(change.at),
            idea: None,
            falls: falls(self.melody, change.at, end.max(fill_end)),
            chord,
        };
        self.wish(&mut stroke);
        Some(stroke)
    }

    /// The chord struck at a change; a bass note alone where no chord is written.
    fn chord(&self, change: &Change, pins: &[(Ticks, Name)]) -> Option<Chord> {
        let pickup_end = match self.song.bars.first() {
            Some(bar) if bar.length < bar.meter.bar() => self.starts[1],
            _ => 0,
        };
        let pinned = pins.iter().find(|&&(at, _)| at == change.at);
        let asked = mark_at(&self.marks.bass, change.at);
        match (change.chord, pinned, asked.map(|m| m.what)) {
            (Some(chord), ..) if pinned.is_some() || change.at >= pickup_end => Some(chord.clone()),
            (None, Some(&(_, name)), _) => Some(bare(name)),
            (None, _, Some(Asked::Note(note))) if change.at >= pickup_end => Some(bare(note.name)),
            _ => None,
        }
    }

    /// The melody note sounding at `at`, where a harmonic makes it another one than its fret.
    fn touched(&self, at: Ticks) -> Option<i32> {
        let note = sounding(self.melody, at)?;
        mark_at(&self.marks.touched, note.at).map(|_| note.pitch.midi())
    }

    /// What ideas and pins make of a stroke.
    fn wish(&self, stroke: &mut Stroke) {
        colour(stroke, self.marks);
        for pin in pins_at(self.song, self.starts, stroke.at) {
            apply_pin(stroke, pin, self.layer);
        }
        if mark_at(&self.marks.hits, stroke.at).is_some() && stroke.bassless {
            let fingers = fingers_beside_knock(self.melody, stroke.at);
            stroke.fill.1 = stroke.fill.1.min(fingers.max(stroke.fill.0));
        }
    }
}

/// How many fill notes can be struck while the thumb knocks: three fingers, less one for a melody
/// note.
pub(crate) fn fingers_beside_knock(melody: &[Tune], at: Ticks) -> u8 {
    let is_struck = melody.binary_search_by_key(&at, |t| t.at).is_ok();
    3 - u8::from(is_struck)
}

/// Where something is struck under the melody, and what.
fn changes<'a>(song: &'a Song, pins: &[(Ticks, Name)], marks: &Marks) -> Vec<Change<'a>> {
    let mut changes: Vec<Change> = (song.harmony().into_iter())
        .map(|h| Change {
            at: h.at,
            chord: match h.symbol {
                Some(Symbol::Chord(chord)) => Some(chord),
                Some(Symbol::NoChord) | None => None,
            },
            struck: Struck::Chord,
        })
        .collect();
    let more = (pins.iter().map(|&(at, _)| (at, Struck::Pinned)))
        .chain(marks.bass.iter().map(|m| (m.at, Struck::Bass)))
        .chain(marks.broken.iter().map(|m| (m.at, Struck::Broken)));
    for (at, struck) in more {
        let breathes = struck == Struck::Bass && marks.breath_at(at).is_some();
        let i = changes.partition_point(|c| c.at <= at);
        if i > 0 && changes[i - 1].at < at && !breathes {
            let chord = changes[i - 1].chord;
            changes.insert(i, Change { at, chord, struck });
        }
    }
    changes
}

/// What the ideas make of a stroke.
fn colour(stroke: &mut Stroke, marks: &Marks) {
    if let Some(mark) = mark_at(&marks.bass, stroke.at)
        && !stroke.bassless
    {
        (stroke.bass, stroke.bass_midi) = mark.what.over(&stroke.chord, stroke.ceiling);
        stroke.idea = Some(mark.idea);
    }
    if stroke.over {
        let broken = mark_at(&marks.broken, stroke.at).map(|m| m.idea);
        stroke.idea = stroke.idea.or(broken);
        return;
    }
    if let Some(idea) = marks.breath_at(stroke.at) {
        stroke.bassless = true;
        stroke.notes -= 1;
        stroke.idea = Some(idea);
    }
    if let Some(mark) = mark_at(&marks.rolls, stroke.at)
        && stroke.fill.1 > 0
    {
        stroke.rolled = true;
        stroke.notes = mark.what.max(2);
        stroke.fill.1 = mark.what.saturating_sub(1);
        stroke.idea = stroke.idea.or(Some(mark.idea));
    }
    if let Some(mark) = mark_at(&marks.opened, stroke.at) {
        stroke.fill = (0, 0);
        stroke.idea = stroke.idea.or(Some(mark.idea));
    }
}

fn apply_pin(stroke: &mut Stroke, pin: &Pin, layer: Layer) {
    match &pin.wish {
        Wish::Bass(note) => {
            stroke.bass = note.name.class();
            stroke.bass_midi = note.midi();
            stroke.bass_pinned = true;
            stroke.bassless = false;
        }
        Wish::Fill(n) if layer >= Layer::Fill => stroke.fill = (*n, *n),
        Wish::Nothing => {
            stroke.silent = true;
            stroke.fill = (0, 0);
        }
        Wish::Fill(_) | Wish::Place { .. } | Wish::Grip(_) => {}
    }
}

/// Where bass notes are pinned, in order, and which.
fn bass_pins(song: &Song, starts: &[Ticks]) -> Vec<(Ticks, Name)> {
    let mut pins: Vec<_> = (song.pins.iter())
        .filter(|p| p.bar < song.bars.len())
        .filter_map(|p| match p.wish {
            Wish::Bass(note) => Some((starts[p.bar] + p.at, note.name)),
            _ => None,
        })
        .collect();
    pins.sort_by_key(|&(at, _)| at);
    pins
}

/// A bass note on its own, where no chord is written.
fn bare(name: Name) -> Chord {
    Chord {
        root: name,
        tones: vec![Tone::ROOT],
        bass: None,
        text: name.to_string(),
    }
}

/// The pins that speak of the onset at `at`.
fn pins_at<'a>(song: &'a Song, starts: &'a [Ticks], at: Ticks) -> impl Iterator<Item = &'a Pin> {
    song.pins
        .iter()
        .filter(move |p| p.bar < song.bars.len() && starts[p.bar] + p.at == at)
}

/// The melody note sounding at `at`; in a rest, the lower of its neighbours.
fn ceiling(melody: &[Tune], at: Ticks) -> i32 {
    let next = melody.partition_point(|t| t.at <= at);
    let before = next.checked_sub(1).map(|i| &melody[i]);
    let after = melody.get(next);
    match (before, after) {
        (Some(b), _) if b.end > at => b.pitch.midi(),
        (b, a) => [b, a]
            .into_iter()
            .flatten()
            .map(|t| t.pitch.midi())
            .min()
            .unwrap_or(i32::MAX),
    }
}

/// The melody note sounding at `at`.
fn sounding(melody: &[Tune], at: Ticks) -> Option<&Tune> {
    let before = melody.partition_point(|t| t.at <= at).checked_sub(1)?;
    melody.get(before).filter(|t| t.end > at)
}

/// The ever lower melody notes that start between `at` and `end` and are more than passing.
fn falls(melody: &[Tune], at: Ticks, end: Ticks) -> Vec<(Ticks, i32)> {
    let mut lowest = i32::MAX;
    let mut out = Vec::new();
    for tune in &melody[melody.partition_point(|t| t.at <= at)..] {
        if tune.at >= end {
            break;
        }
        let midi = tune.pitch.midi();
        if tune.end - tune.at > PASSING && midi < lowest {
            lowest = midi;
            out.push((tune.at, midi));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::super::plan::Plan;
    use super::*;
    use crate::song::{Place, abc};
    use crate::theory::QUARTER;

    fn song(bars: &str) -> Song {
        let text = format!("X:1\nM:3/4\nL:1/4\nK:C\n{bars}\n");
        abc::read_book(&text).remove(0).unwrap().song
    }

    fn strokes(song: &Song) -> Vec<Stroke> {
        Plan::new(song, Layer::Fill, 0).strokes
    }

    #[test]
    fn chords_are_struck_at_changes_and_bar_lines_but_not_in_a_pickup() {
        let song = song("\"G\"G|\"C\"e2\"F\"f|e3|\"N.C.\"e2\"G7\"d|]");
        let found: Vec<_> = (strokes(&song).iter())
            .map(|s| (s.at / QUARTER, s.end / QUARTER, s.chord.to_string()))
            .collect();
        let named = |at, end, name: &str| (at, end, name.to_string());
        let wanted = [
            named(1, 3, "C"),
            named(3, 4, "F"),
            named(4, 7, "F"),
            named(9, 10, "G7"),
        ];
        assert_eq!(found, wanted);
    }

    #[test]
    fn a_note_stops_where_the_melody_comes_down_to_it_for_more_than_passing() {
        // The melody touches E4 in passing and stays on C4.
        let song = song("\"C\"eE/d/C|]");
        let stroke = &strokes(&song)[0];
        let (e4, c4, g3) = (64, 60, 55);
        assert_eq!(stroke.ring(e4, false), 2 * QUARTER);
        assert_eq!(stroke.ring(c4, true), 2 * QUARTER);
        assert_eq!(stroke.ring(g3, true), 3 * QUARTER);
        assert_eq!(stroke.ceiling, 76);
    }

    #[test]
    fn a_knock_leaves_three_fingers_less_one_for_the_tune() {
        let song = song("\"C\"e2 z|]");
        let melody = Plan::new(&song, Layer::Fill, 0).melody;
        assert_eq!(fingers_beside_knock(&melody, 0), 2);
        assert_eq!(fingers_beside_knock(&melody, QUARTER), 3);
    }

    #[test]
    fn a_pinned_bass_elsewhere_strikes_nothing_in_a_pickup() {
        let mut song = song("\"G\"G|\"C\"e3|]");
        song.pins = vec![Pin {
            bar: 1,
            at: 0,
            wish: Wish::Bass("C3".parse().unwrap()),
            place: Place::default(),
        }];
        assert_eq!(strokes(&song).first().map(|s| s.at), Some(QUARTER));
    }

    #[test]
    fn pins_shape_their_stroke_alone() {
        let pin = |bar, wish| Pin {
            bar,
            at: 0,
            wish,
            place: Place::default(),
        };
        let mut song = song("\"C\"e3|e3|e3|]");
        song.pins = vec![
            pin(0, Wish::Bass("E2".parse().unwrap())),
            pin(1, Wish::Fill(2)),
            pin(2, Wish::Nothing),
            pin(3, Wish::Nothing),
        ];
        let found = strokes(&song);
        assert_eq!(found.len(), 3);
        assert_eq!((found[0].bass, found[0].bass_midi), (4, Some(40)));
        assert!(found[0].bass_pinned && !found[1].bass_pinned);
        assert_eq!((found[0].fill, found[1].fill), ((0, 3), (2, 2)));
        assert!(!found[1].silent && found[2].silent);
        assert_eq!(found[2].fill, (0, 0));
    }
}
