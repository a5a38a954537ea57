//! The song itself.

use super::{Idea, Pin, Place};
use crate::theory::{Key, Meter, Pitch, Symbol, Ticks, length_name};

/// A song as written: what a lead sheet holds, and what the player decided about it.
#[derive(Debug, Clone, PartialEq)]
pub struct Song {
    /// Title; may be empty.
    pub title: String,
    /// Who made the tune, if said.
    pub composer: Option<String>,
    /// Words to find the song by.
    pub tags: Vec<String>,
    /// The key at the start.
    pub key: Key,
    /// The tempo at the start.
    pub tempo: Tempo,
    /// The bars in written order.
    pub bars: Vec<Bar>,
    /// The instrument as the song asks for it, each field as written; empty means the default.
    pub guitar: GuitarWish,
    /// What the player decided and the arranger may not change.
    pub pins: Vec<Pin>,
    /// The ideas of the fourth layer that the player took, and those left.
    pub ideas: Vec<Idea>,
}

/// The `[guitar]` table of a song, as written. The guitar room gives it meaning.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct GuitarWish {
    /// A tuning's name or its notes, lowest string first: `standard`, `drop D`, `D2 A2 D3 G3 B3 E4`.
    pub tuning: Option<String>,
    /// Capo fret.
    pub capo: Option<u8>,
    /// Number of frets.
    pub frets: Option<u8>,
    /// Nut to bridge in mm.
    pub scale_mm: Option<u16>,
    /// Name of the hand profile.
    pub hand: Option<String>,
}

/// How fast: `per_minute` notes of length `beat` in a minute.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tempo {
    /// The note that is counted, in ticks.
    pub beat: Ticks,
    /// How many of them a minute, 1 to 999.
    pub per_minute: u32,
}

impl std::fmt::Display for Tempo {
    /// The note that is counted and how many of it: `1/4=96`.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}={}", length_name(self.beat), self.per_minute)
    }
}

/// One written bar.
#[derive(Debug, Clone, PartialEq)]
pub struct Bar {
    /// The number printed over it. A pickup is 0; an ending's bars go on counting.
    pub number: u32,
    /// The meter in force.
    pub meter: Meter,
    /// The key in force.
    pub key: Key,
    /// A change of tempo at the start of this bar.
    pub tempo: Option<Tempo>,
    /// How long the bar really is; less than the meter for a pickup or a short last bar.
    pub length: Ticks,
    /// The melody's notes in order, without overlap. Gaps are rests.
    pub notes: Vec<Note>,
    /// Chord changes in order. A chord lasts until the next change, across bar lines too.
    pub chords: Vec<ChordChange>,
    /// A repeat starts here (`|:`).
    pub opens_repeat: bool,
    /// How the bar ends.
    pub close: Close,
    /// The passes this bar is played on, 1 to [`Bar::MOST_PASSES`] in order, when an ending bracket
    /// starts here: `[1`, `[1,3`, `[2-4`.
    pub ending: Vec<u8>,
    /// Where the bar starts in its text.
    pub place: Place,
}

/// The bar line at a bar's end.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Close {
    /// A plain bar line.
    #[default]
    Single,
    /// A double bar line: a section ends.
    Double,
    /// The final bar line.
    Final,
    /// `:|`: the section is played this many times in all, 2 to [`Close::MOST_TIMES`].
    Repeat(u8),
}

impl Close {
    /// The most times that a repeat sign plays its section.
    pub const MOST_TIMES: u8 = 9;
}

/// One melody note, within one bar.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Note {
    /// Onset in ticks from the bar line.
    pub at: Ticks,
    /// Length in ticks; ends inside the bar.
    pub length: Ticks,
    /// As written (sounding pitch; the guitar's octave is not taken into account).
    pub pitch: Pitch,
    /// Goes on in the next note of the same pitch without a new attack.
    pub tied: bool,
    /// Where it stands in its text.
    pub place: Place,
}

/// A chord symbol over the melody.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChordChange {
    /// Ticks from the bar line.
    pub at: Ticks,
    /// The chord, or none.
    pub symbol: Symbol,
    /// Where it stands in its text.
    pub place: Place,
}

impl Song {
    /// Where each bar starts when the bars are laid end to end as written, and where the last one
    /// ends: one entry more than there are bars.
    pub fn starts(&self) -> Vec<Ticks> {
        let mut at = 0;
        let mut starts = Vec::with_capacity(self.bars.len() + 1);
        for bar in &self.bars {
            starts.push(at);
            at += bar.length;
        }
        starts.push(at);
        starts
    }

    /// The number that is printed at a bar; 0 for a pickup, and beyond the song.
    pub fn number(&self, bar: usize) -> u32 {
        self.bars.get(bar).map_or(0, |b| b.number)
    }

    /// The tempo in force in each written bar, also where the play order jumps to it: going back to
    /// the start goes back to the tempo of the start.
    pub fn tempos(&self) -> Vec<Tempo> {
        let mut now = self.tempo;
        let in_force = self.bars.iter().map(|bar| {
            now = bar.tempo.unwrap_or(now);
            now
        });
        in_force.collect()
    }

    /// The same song as if it had not been read from a text.
    pub fn without_places(&self) -> Song {
        let mut song = self.clone();
        song.bars = song.bars.iter().map(Bar::without_places).collect();
        song.pins
            .iter_mut()
            .for_each(|p| p.place = Place::default());
        song.ideas
            .iter_mut()
            .for_each(|i| i.place = Place::default());
        song
    }

    /// Whether two songs are the same apart from where they stand in their texts.
    pub fn same_as(&self, other: &Song) -> bool {
        self.without_places() == other.without_places()
    }
}

/// How many bars two songs share at the start, and how many of the rest at the end.
pub(super) fn shared(a: &[Bar], b: &[Bar], same: impl Fn(&Bar, &Bar) -> bool) -> (usize, usize) {
    let start = a.iter().zip(b).take_while(|(a, b)| same(a, b)).count();
    let most = a.len().min(b.len()) - start;
    let ends = a.iter().rev().zip(b.iter().rev()).take(most);
    (start, ends.take_while(|(a, b)| same(a, b)).count())
}

impl Bar {
    /// The highest pass that an ending is for.
    pub const MOST_PASSES: u8 = 64;

    /// Whether two bars are the same apart from where they stand in their texts.
    pub fn same_as(&self, other: &Bar) -> bool {
        self == other || self.without_places() == other.without_places()
    }

    /// Whether they are the same apart from their numbers as well, as bars behind an insertion are.
    pub(super) fn reads_as(&self, other: &Bar) -> bool {
        let number = other.number;
        let renumbered = Bar {
            number,
            ..self.clone()
        };
        renumbered.same_as(other)
    }

    /// The same bar as if it had not been read from a text.
    pub fn without_places(&self) -> Bar {
        let mut bar = self.clone();
        bar.place = Place::default();
        bar.notes
            .iter_mut()
            .for_each(|n| n.place = Place::default());
        bar.chords
            .iter_mut()
            .for_each(|c| c.place = Place::default());
        bar
    }
}
