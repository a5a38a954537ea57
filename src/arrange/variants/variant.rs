//! What a player is shown of the ways to play a bar.

use super::super::arrangement::{Arrangement, Layer, Pluck, Slice};
use super::super::cost::Price;
use super::super::shape::Shape;
use super::super::strokes::Stroke;
use crate::guitar::Stretch;
use crate::song::{Pin, Place, Target, Wish};
use crate::theory::Ticks;
use std::collections::BTreeSet;

/// The ways to play one bar that none of the others beats, and the way it is played now.
#[derive(Debug, Clone, PartialEq)]
pub struct Front {
    /// From the easiest to the fullest: each takes more effort than the one before and is fuller.
    pub variants: Vec<Variant>,
    /// The bar as the best arrangement has it.
    pub current: Variant,
    /// Where the current one stands among the variants; `None` if another one is at least as full
    /// for less effort, or fuller for no more.
    pub stands: Option<usize>,
}

/// One way to play a bar, with the rest of the song played as in the best arrangement.
#[derive(Debug, Clone, PartialEq)]
pub struct Variant {
    /// Index of the written bar, from 0.
    pub bar: usize,
    /// What the hands pay in the bar and for getting out of it, in thousandths of an effort.
    pub effort: i64,
    /// For each chord that starts in the bar, the notes sounding there and the distinct tones of the
    /// chord among them, all added up.
    pub fullness: u32,
    /// The worst stretch in the bar, if two fingers are ever down.
    pub stretch: Option<Stretch>,
    /// The price by name of the bar and of getting out of it.
    pub price: Price,
    /// The whole song with the bar played like this.
    pub arrangement: Arrangement,
    /// Where chords start in the bar, in ticks from the start of the song.
    pub(super) strokes: Vec<Ticks>,
}

impl Variant {
    /// The bar's slices, in order.
    pub fn slices(&self) -> impl Iterator<Item = &Slice> {
        let here = |s: &&Slice| s.bar == self.bar;
        self.arrangement.slices.iter().filter(here)
    }

    /// The bar's plucks, in order.
    pub fn plucks(&self) -> impl Iterator<Item = &Pluck> {
        let here = |p: &&Pluck| p.bar == self.bar;
        self.arrangement.plucks.iter().filter(here)
    }

    /// The pins that take the variant: with them added to the song, [`crate::arrange::arrange`] strikes
    /// the same strings at the same frets throughout the bar.
    ///
    /// They fix the grip where a chord starts, and string, fret and finger of melody and bass.
    /// Fingers of the fill and the neighbouring bars are free, so that the whole costs no more than
    /// this variant's arrangement.
    pub fn pins(&self) -> Vec<Pin> {
        let song = &self.arrangement.song;
        let start = song.starts().get(self.bar).copied().unwrap_or(0);
        let strings = self.arrangement.instrument.strings();
        let pin = |at: Ticks, wish: Wish| Pin {
            bar: self.bar,
            at: at - start,
            wish,
            place: Place::default(),
        };
        let mut pins = Vec::new();
        for slice in self.slices() {
            if self.strokes.contains(&slice.at) {
                let frets = slice.grip.frets.iter().take(strings);
                let frets = frets.map(|&f| u8::try_from(f).ok()).collect();
                pins.push(pin(slice.at, Wish::Grip(frets)));
            }
            for pluck in self.plucks().filter(|p| p.at == slice.at) {
                let target = match pluck.layer {
                    Layer::Melody => Target::Melody,
                    Layer::Bass => Target::Bass,
                    Layer::Fill | Layer::Colour => continue,
                };
                let wish = Wish::Place {
                    target,
                    string: Some(pluck.string),
                    fret: Some(pluck.fret),
                    finger: (pluck.left > 0).then_some(pluck.left),
                };
                pins.push(pin(slice.at, wish));
            }
        }
        pins
    }
}

/// How full a chord starts: notes sounding, and distinct tones of the chord among them. What is struck
/// over a chord that rings adds nothing, since what rings then may not count: see [`super::super::outdone`].
pub(super) fn fullness(shape: &Shape, stroke: &Stroke) -> u32 {
    if stroke.over {
        return 0;
    }
    let classes: BTreeSet<i32> = shape
        .strings()
        .map(|s| stroke.sounding(shape, s).rem_euclid(12))
        .filter(|&c| stroke.chord.tone_of(c).is_some())
        .collect();
    shape.sounding.count_ones() + classes.len() as u32
}
