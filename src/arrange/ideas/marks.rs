//! What the taken ideas of a song ask of its plan, in ticks from the song's start.

use crate::song::{Bar, BassNote, Doubling, Figure, SHORTEST_BROKEN, Song, Step};
use crate::theory::{Chord, Symbol, Ticks};
use std::cell::LazyCell;
use std::ops::Range;

/// A bass note that an idea asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Asked {
    /// The chord's own bass.
    Own,
    /// The chord's fifth, its root over a fifth in the bass, or its bass where it has none.
    Fifth,
    /// This note.
    Note(BassNote),
    /// So many semitones below the melody note that sounds.
    Under(i32),
}

/// A mark at an onset, with the index of the idea that it comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Mark<T> {
    pub at: Ticks,
    pub what: T,
    pub idea: usize,
}

/// All marks of a song, those of a kind in order of onset.
#[derive(Debug, Clone, Default)]
pub(crate) struct Marks {
    /// Bass notes.
    pub bass: Vec<Mark<Asked>>,
    /// Single notes of a broken chord, counted from 0.
    pub broken: Vec<Mark<usize>>,
    /// Chords that a broken chord takes the place of.
    pub opened: Vec<Mark<()>>,
    /// Rolled chords, and over how many strings.
    pub rolls: Vec<Mark<u8>>,
    /// Melody notes touched as harmonics: string and fret.
    pub touched: Vec<Mark<(u8, u8)>>,
    /// Melody notes slurred to: string, finger before and finger then.
    pub slurs: Vec<Mark<(u8, (u8, u8))>>,
    /// Melody notes of a campanella: their string, and until when they may ring.
    pub bells: Vec<Mark<(u8, Ticks)>>,
    /// Stretches without bass.
    pub breaths: Vec<(Range<Ticks>, usize)>,
    /// Chords in the place of those written, and the pitch classes of those as bits.
    pub chords: Vec<Mark<u16>>,
    /// Beats to knock on, as long as no bass is struck there.
    pub hits: Vec<Mark<()>>,
}

impl Marks {
    /// The marks of the ideas taken in a song, which has the chords that they bring in the place of
    /// those `written`.
    pub fn new(song: &Song, written: &Song) -> Marks {
        let mut marks = Marks::default();
        let starts = song.starts();
        let was = LazyCell::new(|| written.harmony());
        for (index, idea) in song.taken() {
            let at = starts[idea.bar] + idea.at;
            let bars = idea.bar..idea.to + 1;
            let here = (index, song, &starts[..]);
            match &idea.figure {
                Figure::Beats => marks.beats(here, bars, |_, _| Some(Asked::Own)),
                Figure::Fifths => marks.beats(here, bars, in_turn),
                Figure::Between => marks.between(here, bars),
                Figure::Doubled(by) => marks.doubled(here, bars, *by),
                Figure::Breath => {
                    let stretch = starts[idea.bar]..starts[idea.to + 1];
                    marks.breaths.push((stretch, index));
                }
                Figure::Bass(note) => marks.add_bass(at, Asked::Note(*note), index),
                Figure::Walk { step, notes } => {
                    let places = places(song, &starts, bars, *step);
                    for (at, note) in places.into_iter().zip(notes) {
                        marks.add_bass(at, Asked::Note(*note), index);
                    }
                }
                Figure::Roll(strings) => marks.rolls.push(mark(at, *strings, index)),
                Figure::Broken(every) => marks.broken(here, at, *every),
                Figure::Harmonic { string, fret } => {
                    marks.touched.push(mark(at, (*string, *fret), index));
                }
                Figure::Slur { string, fingers } => {
                    marks.slurs.push(mark(at, (*string, *fingers), index));
                }
                Figure::Hits => {
                    for bar in bars {
                        let beats = beats(&song.bars[bar]);
                        let knocks = beats.into_iter().map(|b| mark(starts[bar] + b, (), index));
                        marks.hits.extend(knocks);
                    }
                }
                Figure::Campanella(strings) => marks.bells(here, (idea.bar, idea.at), strings),
                Figure::Chord(_) => {
                    let classes = match was.iter().rfind(|h| h.at <= at).and_then(|h| h.symbol) {
                        Some(Symbol::Chord(chord)) => chord.class_set(),
                        _ => 0,
                    };
                    marks.chords.push(mark(at, classes, index));
                }
            }
        }
        marks.sort();
        marks
    }

    fn sort(&mut self) {
        fn tidy<T>(list: &mut Vec<Mark<T>>) {
            list.sort_by_key(|m| m.at);
            // Of two at one onset the one taken first holds.
            list.dedup_by_key(|m| m.at);
        }
        tidy(&mut self.bass);
        tidy(&mut self.broken);
        tidy(&mut self.opened);
        tidy(&mut self.rolls);
        tidy(&mut self.touched);
        tidy(&mut self.chords);
        tidy(&mut self.hits);
        // Two that want one note on different strings clash, and are named.
        self.slurs.sort_by_key(|m| m.at);
        self.bells.sort_by_key(|m| m.at);
    }

    fn add_bass(&mut self, at: Ticks, asked: Asked, idea: usize) {
        self.bass.push(mark(at, asked, idea));
    }

    /// A bass on the beats of bars; `asked` says which, from the beat's place in its chord and bar.
    fn beats(
        &mut self,
        (idea, song, starts): (usize, &Song, &[Ticks]),
        bars: Range<usize>,
        asked: impl Fn(usize, usize) -> Option<Asked>,
    ) {
        for bar in bars {
            let written = &song.bars[bar];
            let beats = beats(written);
            let mut since = 0;
            for &beat in &beats {
                if written.chords.iter().any(|c| c.at == beat) {
                    since = 0;
                }
                if let Some(asked) = asked(since, beats.len()) {
                    self.add_bass(starts[bar] + beat, asked, idea);
                }
                since += 1;
            }
        }
    }

    /// A bass on the beats on which the melody strikes nothing; where it strikes every beat, on the
    /// halves of beats that it leaves free.
    fn between(&mut self, (idea, song, starts): (usize, &Song, &[Ticks]), bars: Range<usize>) {
        for bar in bars {
            let written = &song.bars[bar];
            for beat in free_places(written) {
                self.add_bass(starts[bar] + beat, Asked::Own, idea);
            }
        }
    }

    /// A bass along with each melody note, where no chord is struck.
    fn doubled(
        &mut self,
        (idea, song, starts): (usize, &Song, &[Ticks]),
        bars: Range<usize>,
        by: Doubling,
    ) {
        for bar in bars {
            let written = &song.bars[bar];
            for at in doubled_places(written) {
                let note = written.notes.iter().find(|n| n.at == at);
                let under = note.map(|n| Asked::Under(by.semitones(&written.key, n.pitch)));
                if let Some(asked) = under {
                    self.add_bass(starts[bar] + at, asked, idea);
                }
            }
        }
    }

    /// A run of melody notes of one bar, which may ring until the last one ends.
    fn bells(
        &mut self,
        (idea, song, starts): (usize, &Song, &[Ticks]),
        (bar, from): (usize, Ticks),
        strings: &[u8],
    ) {
        let written = &song.bars[bar];
        let run: Vec<Ticks> = (struck(written).filter(|&at| at >= from))
            .take(strings.len())
            .collect();
        let last = run
            .last()
            .and_then(|&at| written.notes.iter().find(|n| n.at == at));
        let until = last.map_or(from, |n| n.at + n.length).min(written.length);
        for (at, &string) in run.into_iter().zip(strings) {
            let what = (string, starts[bar] + until);
            self.bells.push(mark(starts[bar] + at, what, idea));
        }
    }

    /// The notes of a broken chord from `at` on, until the melody moves or the chord or bar ends.
    fn broken(&mut self, (idea, song, starts): (usize, &Song, &[Ticks]), at: Ticks, every: Ticks) {
        let bar = starts.partition_point(|&s| s <= at).saturating_sub(1);
        let Some(written) = song.bars.get(bar) else {
            return;
        };
        let inside = at - starts[bar];
        let turns = struck(written).chain(written.chords.iter().map(|c| c.at));
        let end = turns
            .filter(|&t| t > inside)
            .min()
            .unwrap_or(written.length);
        self.opened.push(mark(at, (), idea));
        let times = (1..).map(|n| inside + n * every.max(SHORTEST_BROKEN));
        let places = times.take_while(|&t| t < end).map(|t| starts[bar] + t);
        let notes = places.enumerate().map(|(n, at)| mark(at, n, idea));
        self.broken.extend(notes);
    }

    /// The idea that leaves out the bass at `at`.
    pub fn breath_at(&self, at: Ticks) -> Option<usize> {
        let found = self
            .breaths
            .iter()
            .find(|(stretch, _)| stretch.contains(&at));
        found.map(|b| b.1)
    }
}

/// The mark at an onset.
pub(crate) fn at<T: Copy>(list: &[Mark<T>], at: Ticks) -> Option<Mark<T>> {
    let i = list.partition_point(|m| m.at < at);
    list.get(i).filter(|m| m.at == at).copied()
}

fn mark<T>(at: Ticks, what: T, idea: usize) -> Mark<T> {
    Mark { at, what, idea }
}

/// Root, fifth, root, fifth; in three the fifth comes on the last beat alone.
fn in_turn(since: usize, beats: usize) -> Option<Asked> {
    match (since, beats) {
        (1, 3) => None,
        (2, 3) => Some(Asked::Fifth),
        (n, _) if n % 2 == 0 => Some(Asked::Own),
        _ => Some(Asked::Fifth),
    }
}

/// The beats of a bar, in ticks from its line.
pub(crate) fn beats(bar: &Bar) -> Vec<Ticks> {
    let beats = bar.meter.beats().into_iter();
    beats.filter(|&b| b < bar.length).collect()
}

/// Where the melody strikes a note in a bar: a tied note goes on.
fn struck(bar: &Bar) -> impl Iterator<Item = Ticks> {
    let goes_on = |i: usize| {
        let before = i.checked_sub(1).and_then(|b| bar.notes.get(b));
        before.is_some_and(|b| {
            let note = &bar.notes[i];
            b.tied && b.at + b.length == note.at && b.pitch.midi() == note.pitch.midi()
        })
    };
    (0..bar.notes.len())
        .filter(move |&i| !goes_on(i))
        .map(|i| bar.notes[i].at)
}

/// The beats after the first on which the melody strikes nothing, else such halves of beats.
pub(crate) fn free_places(bar: &Bar) -> Vec<Ticks> {
    let is_free = |at: &Ticks| struck(bar).all(|n| n != *at);
    let beats = beats(bar);
    let on: Vec<Ticks> = beats.iter().copied().skip(1).filter(is_free).collect();
    if !on.is_empty() {
        return on;
    }
    let halves = beats.iter().map(|&b| b + bar.meter.beat_at(b) / 2);
    halves.filter(|&h| h < bar.length).filter(is_free).collect()
}

/// The melody notes under which no chord is struck.
pub(crate) fn doubled_places(bar: &Bar) -> impl Iterator<Item = Ticks> {
    let is_chord = |at: Ticks| at == 0 || bar.chords.iter().any(|c| c.at == at);
    struck(bar).filter(move |&at| !is_chord(at))
}

/// Where the notes of a bass line over some bars fall.
pub(crate) fn places(song: &Song, starts: &[Ticks], bars: Range<usize>, step: Step) -> Vec<Ticks> {
    match step {
        Step::Beat => (bars.into_iter())
            .flat_map(|bar| {
                let beats = beats(&song.bars[bar]);
                beats.into_iter().map(move |b| starts[bar] + b)
            })
            .collect(),
        Step::Chord => {
            let harmony = song.harmony().into_iter();
            let here = harmony.filter(|h| bars.contains(&h.bar));
            let chords = here.filter(|h| matches!(h.symbol, Some(Symbol::Chord(_))));
            chords.map(|h| h.at).collect()
        }
    }
}

impl Asked {
    /// The pitch class over a chord and under a melody note, and the MIDI number where the octave is
    /// said.
    pub fn over(self, chord: &Chord, melody: i32) -> (i32, Option<i32>) {
        let own = chord.bass_name().class();
        match self {
            Asked::Own => (own, None),
            Asked::Fifth => {
                let fifth = chord.fifth().map_or(own, |t| chord.class(t));
                // Where the fifth lies in the bass already, the root takes turns with it.
                let other = if fifth == own {
                    chord.root.class()
                } else {
                    fifth
                };
                (other, None)
            }
            Asked::Note(note) => (note.name.class(), note.midi()),
            Asked::Under(by) => ((melody - by).rem_euclid(12), Some(melody - by)),
        }
    }
}

/// The pitch class of note `n` of a broken chord: up through its tones from the third, and down again,
/// the one that the melody sings left out.
pub(crate) fn broken_tone(chord: &Chord, sung: Option<i32>, n: usize) -> Option<i32> {
    let mut tones: Vec<(u8, i32)> = (chord.tones.iter())
        .map(|&t| (if t.degree == 1 { 8 } else { t.degree }, chord.class(t)))
        .filter(|&(degree, class)| degree <= 8 && Some(class) != sung.map(|m| m.rem_euclid(12)))
        .collect();
    tones.sort_unstable();
    let top = tones.len().checked_sub(1)?;
    let turn = n % (2 * top).max(1);
    tones
        .get(turn.min(2 * top - turn.min(2 * top)))
        .map(|t| t.1)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chord(text: &str) -> Chord {
        match Symbol::parse(text) {
            Ok(Symbol::Chord(chord)) => chord,
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn a_broken_chord_goes_up_from_its_third_and_down_again() {
        let tones = |name: &str, sung: Option<i32>, count: usize| -> Vec<Option<i32>> {
            let chord = chord(name);
            (0..count).map(|n| broken_tone(&chord, sung, n)).collect()
        };
        let [c, e, g, b_flat] = [0, 4, 7, 10].map(Some);
        let whole = [e, g, b_flat, c, b_flat, g, e, g];
        assert_eq!(tones("C7", None, 8), whole);
        assert_eq!(tones("C7", Some(64), 5), [g, b_flat, c, b_flat, g]);
        assert_eq!(tones("C5", Some(60), 3), [g, g, g]);
    }

    #[test]
    fn a_bass_under_the_melody_is_so_far_below_it() {
        let chord = chord("C");
        assert_eq!(Asked::Under(12).over(&chord, 64), (4, Some(52)));
        assert_eq!(Asked::Under(16).over(&chord, 64), (0, Some(48)));
    }
}
