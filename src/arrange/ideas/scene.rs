//! What a bar looks like to someone who looks for ideas.

use super::super::arrangement::Tune;
use super::super::shape::{NONE, Shapes};
use super::super::solve::Solved;
use super::marks::beats;
use super::walk::Line;
use crate::guitar::Instrument;
use crate::song::{Bar, ChordChange, Close, Figure, Idea, Note, Song};
use crate::theory::{Chord, Key, Letter, Name, Ticks};
use std::cell::OnceCell;
use std::ops::Range;

/// An idea before it is priced.
#[derive(Debug, Clone)]
pub(crate) struct Draft {
    pub idea: Idea,
    /// Why here, in a few words.
    pub reason: String,
    /// What it gives to the music, in thousandths of an effort: what a player might well pay for it.
    pub worth: i64,
}

/// A chord as it is played in the arrangement at hand.
#[derive(Debug, Clone)]
pub(crate) struct Played {
    pub at: Ticks,
    pub end: Ticks,
    pub chord: Chord,
    /// MIDI number of the bass, if one is struck.
    pub bass: Option<i32>,
    /// Notes sounding.
    pub notes: usize,
    /// The highest note that may be struck under the melody, exclusive.
    pub ceiling: i32,
}

/// A song as it is arranged, seen from one bar.
pub(crate) struct Scene<'a> {
    pub song: &'a Song,
    pub instrument: &'a Instrument,
    pub melody: &'a [Tune],
    pub starts: Vec<Ticks>,
    pub bar: usize,
    /// Every chord of the song, in order.
    pub chords: Vec<Played>,
    /// The best bass line over all of them, once it was asked for.
    pub line: OnceCell<Option<Line>>,
}

impl<'a> Scene<'a> {
    pub fn new(song: &'a Song, solved: &'a Solved, shapes: &Shapes<'a>, bar: usize) -> Scene<'a> {
        let mut chords: Vec<Played> = Vec::new();
        for (slice, node) in solved.plan.slices.iter().zip(&solved.path) {
            let Some(stroke) = slice.stroke.map(|i| &solved.plan.strokes[i]) else {
                continue;
            };
            if stroke.over {
                continue;
            }
            let shape = shapes.get(node.shape);
            chords.push(Played {
                at: stroke.at,
                end: stroke.fill_end,
                chord: stroke.chord.clone(),
                bass: (shape.bass != NONE).then(|| shape.midi(shape.bass.into())),
                notes: shape.sounding.count_ones() as usize,
                ceiling: stroke.ceiling,
            });
        }
        Scene {
            song,
            instrument: shapes.instrument,
            melody: &solved.plan.melody,
            starts: song.starts(),
            bar,
            chords,
            line: OnceCell::new(),
        }
    }

    pub fn written(&self) -> &'a Bar {
        &self.song.bars[self.bar]
    }

    /// The bar in ticks from the song's start.
    pub fn span(&self) -> Range<Ticks> {
        self.starts[self.bar]..self.starts[self.bar + 1]
    }

    pub fn key(&self) -> &'a Key {
        &self.written().key
    }

    /// The chords that start in the bar.
    pub fn here(&self) -> impl Iterator<Item = &Played> {
        let span = self.span();
        let from = self.chords.partition_point(|c| c.at < span.start);
        let to = self.chords.partition_point(|c| c.at < span.end);
        self.chords[from..to].iter()
    }

    /// The chord that starts next from a place on.
    pub fn next(&self, from: Ticks) -> Option<&Played> {
        self.chords
            .get(self.chords.partition_point(|c| c.at < from))
    }

    /// The chord that sounds last before a place.
    pub fn before(&self, at: Ticks) -> Option<&Played> {
        let after = self.chords.partition_point(|c| c.at < at);
        self.chords.get(after.checked_sub(1)?)
    }

    /// The melody notes that start in a stretch.
    pub fn tune(&self, stretch: Range<Ticks>) -> &'a [Tune] {
        let from = self.melody.partition_point(|t| t.at < stretch.start);
        let to = self.melody.partition_point(|t| t.at < stretch.end);
        &self.melody[from..to]
    }

    /// The melody notes that sound in a stretch for longer than in passing.
    pub fn heard(&self, stretch: Range<Ticks>) -> impl Iterator<Item = &'a Tune> {
        let from = self.melody.partition_point(|t| t.end <= stretch.start);
        let to = self.melody.partition_point(|t| t.at < stretch.end);
        self.melody[from.min(to)..to].iter()
    }

    /// More than three melody notes to two beats.
    pub fn is_busy(&self) -> bool {
        2 * self.tune(self.span()).len() > 3 * beats(self.written()).len()
    }

    /// No more than one melody note to two beats.
    pub fn is_quiet(&self) -> bool {
        2 * self.tune(self.span()).len() <= beats(self.written()).len()
    }

    /// A section or the song ends with the bar, or a phrase of four bars does.
    pub fn ends_phrase(&self) -> bool {
        let (bar, numbers) = (self.written(), self.written().number);
        bar.close != Close::Single || self.is_last() || (numbers > 0 && numbers % 4 == 0)
    }

    /// The song's first chord is struck in the bar, or a section or a phrase of four bars begins.
    pub fn begins_phrase(&self) -> bool {
        let number = self.written().number;
        let before = self.bar.checked_sub(1).map(|b| &self.song.bars[b]);
        let is_first = (self.chords.first()).is_some_and(|c| self.span().contains(&c.at));
        is_first || before.is_some_and(|b| b.close != Close::Single) || number % 4 == 1
    }

    /// The song's first chord is still to come after the bar.
    pub fn is_pickup(&self) -> bool {
        self.chords.first().is_some_and(|c| c.at >= self.span().end)
    }

    pub fn is_last(&self) -> bool {
        self.bar + 1 == self.song.bars.len()
    }

    /// Whether a pitch class belongs to the key.
    pub fn in_key(&self, class: i32) -> bool {
        let key = self.key();
        let own = |l: Letter| Name::new(l, key.alter(l)).class();
        Letter::ALL
            .into_iter()
            .any(|l| own(l) == class.rem_euclid(12))
    }

    /// Whether the same kind of idea is taken in the bar before or after: two alike in a row.
    pub fn repeats(&self, figure: &Figure) -> bool {
        let alike = |i: &Idea| {
            std::mem::discriminant(&i.figure) == std::mem::discriminant(figure)
                && (i.bar..=i.to).any(|b| b.abs_diff(self.bar) == 1)
        };
        self.song.taken().any(|(_, i)| alike(i))
    }

    /// Whether the same kind of idea is taken in a bar with the same melody and chords.
    pub fn answers(&self, figure: &Figure) -> bool {
        let alike = |i: &Idea| {
            std::mem::discriminant(&i.figure) == std::mem::discriminant(figure)
                && (i.bar..=i.to).any(|b| b != self.bar && is_parallel(self.song, b, self.bar))
        };
        self.song.taken().any(|(_, i)| alike(i))
    }
}

/// Whether two bars have the same melody and the same chords written.
pub(crate) fn is_parallel(song: &Song, one: usize, other: usize) -> bool {
    let (Some(a), Some(b)) = (song.bars.get(one), song.bars.get(other)) else {
        return false;
    };
    let note = |n: &Note| (n.at, n.length, n.pitch.midi());
    let alike = |(c, d): (&ChordChange, &ChordChange)| c.at == d.at && c.symbol == d.symbol;
    let notes = || a.notes.iter().map(note).eq(b.notes.iter().map(note));
    let chords = || a.chords.len() == b.chords.len() && a.chords.iter().zip(&b.chords).all(alike);
    !a.notes.is_empty() && notes() && chords()
}
