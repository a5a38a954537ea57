//! What the arranger answers with.

use super::{Price, Reason};
use crate::guitar::{Grip, Hand, Instrument, RightFinger, Stretch};
use crate::song::Song;
use crate::theory::{Pitch, Ticks};
use std::borrow::Cow;

/// The four layers of an arrangement, each standing on those before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Layer {
    /// The tune.
    Melody = 1,
    /// The chord's root or slash bass under each chord.
    Bass = 2,
    /// Chord tones between bass and melody where a chord starts.
    Fill = 3,
    /// Bass patterns, harmonics, rolls and the other ideas.
    Colour = 4,
}

impl Layer {
    /// From the tune up.
    pub const ALL: [Layer; 4] = [Layer::Melody, Layer::Bass, Layer::Fill, Layer::Colour];

    /// Its name: `melody`, `bass`, `fill` or `colour`.
    pub fn name(self) -> &'static str {
        match self {
            Layer::Melody => "melody",
            Layer::Bass => "bass",
            Layer::Fill => "fill",
            Layer::Colour => "colour",
        }
    }

    /// The layer of a number from 1 to 4.
    pub fn numbered(number: u8) -> Option<Layer> {
        Layer::ALL.into_iter().find(|l| *l as u8 == number)
    }

    /// This layer and those under it, from the tune up.
    pub fn stack(self) -> impl Iterator<Item = Layer> {
        Layer::ALL.into_iter().filter(move |l| *l <= self)
    }
}

/// How a note is brought out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Technique {
    /// Plucked.
    #[default]
    Plain,
    /// One after another, low string first.
    Roll,
    /// Brushed with the thumb.
    Brush,
    /// A natural harmonic: the string is touched over the fret given.
    Harmonic,
    /// A hit on the strings or the body.
    Hit,
    /// Sounded by the left hand: hammer-on, pull-off or slide from the note before.
    Slur,
}

/// One attack on one string.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pluck {
    /// Index of the written bar, from 0.
    pub bar: usize,
    /// Onset, in ticks from the start of the song laid out as written.
    pub at: Ticks,
    /// When the note stops sounding: the finger leaves, or the string is needed again.
    pub end: Ticks,
    /// String, 1 is the highest.
    pub string: u8,
    /// Fret above the capo, 0 is open.
    pub fret: u8,
    /// What sounds, spelled.
    pub pitch: Pitch,
    /// Left finger 1–4, 0 for an open string.
    pub left: u8,
    /// The left finger lies over several strings.
    pub barre: bool,
    /// The right finger; a stand-in where the right hand doesn't pluck, see [`Pluck::plucked_by`].
    pub right: RightFinger,
    /// The layer it belongs to.
    pub layer: Layer,
    /// How it is brought out.
    pub technique: Technique,
    /// Why it is there.
    pub reason: Reason,
}

impl Pluck {
    /// The finger of the right hand that plucks it; none where the left hand sounds the note or where
    /// it is a knock.
    pub fn plucked_by(&self) -> Option<RightFinger> {
        let plucked = !matches!(self.technique, Technique::Slur | Technique::Hit);
        plucked.then_some(self.right)
    }
}

/// A slice: from one onset to the next, with the grip that sounds in it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Slice {
    /// Index of the written bar, from 0.
    pub bar: usize,
    /// Start, in ticks from the start of the song laid out as written.
    pub at: Ticks,
    /// End: the next onset, or the end of the song.
    pub end: Ticks,
    /// What sounds and which finger stops it, the notes struck here and the notes held.
    pub grip: Grip,
    /// The pair of fingers strained most, with two or more down.
    pub stretch: Option<Stretch>,
    /// What reaching this slice from the one before costs, by name.
    pub price: Price,
}

/// Something a teacher would say about a bar: where the bass had to be let go, what was left out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Remark {
    /// Index of the written bar, from 0.
    pub bar: usize,
    /// Where, in ticks from the start of the song laid out as written.
    pub at: Ticks,
    /// The sentence.
    pub text: String,
}

/// A note of the melody as the arrangement plays it: ties joined, octave chosen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tune {
    /// Index of the written bar it starts in, from 0.
    pub bar: usize,
    /// Onset, in ticks from the start of the song laid out as written.
    pub at: Ticks,
    /// End.
    pub end: Ticks,
    /// What sounds.
    pub pitch: Pitch,
}

/// A song arranged for one instrument and one hand.
#[derive(Debug, Clone, PartialEq)]
pub struct Arrangement {
    /// The song that was arranged, its melody and chords already moved to the key asked for.
    pub song: Song,
    /// The instrument.
    pub instrument: Instrument,
    /// The hand.
    pub hand: Hand,
    /// The highest layer in it.
    pub layer: Layer,
    /// Semitones that the melody was moved against `song` (whole octaves).
    pub shift: i32,
    /// The melody as played.
    pub melody: Vec<Tune>,
    /// The slices in order, without gaps.
    pub slices: Vec<Slice>,
    /// The plucks in order of onset, then from the lowest string up.
    pub plucks: Vec<Pluck>,
    /// What is worth saying, in order.
    pub remarks: Vec<Remark>,
    /// The prices of all slices added up.
    pub price: Price,
}

impl Arrangement {
    /// The song with the chords that it is heard with: those of taken ideas where there are any.
    pub fn heard(&self) -> Cow<'_, Song> {
        if self.layer == Layer::Colour && self.song.is_recoloured() {
            Cow::Owned(self.song.recoloured())
        } else {
            Cow::Borrowed(&self.song)
        }
    }
}
