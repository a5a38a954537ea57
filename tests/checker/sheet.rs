//! The JSON of an arrangement as plain records, nothing more clever than what it says.

use serde::Deserialize;
use serde_json::Value;

/// Ticks in a quarter note, as the format fixes them.
pub const QUARTER: i64 = 10_080;

/// A whole arrangement.
#[derive(Deserialize)]
pub struct Sheet {
    format: String,
    version: u32,
    ticks_per_quarter: i64,
    /// Highest layer in it, 1 to 4.
    pub layer: u8,
    pub instrument: Instrument,
    pub hand: Hand,
    pub melody: Vec<Tune>,
    pub chords: Vec<Chord>,
    pub bars: Vec<Bar>,
    #[serde(default)]
    pub pins: Vec<Pin>,
    #[serde(default)]
    pub ideas: Vec<Idea>,
    /// Indices of the bars as they are played; empty when the file does not say.
    #[serde(default)]
    pub play_order: Vec<usize>,
}

#[derive(Deserialize)]
pub struct Instrument {
    pub capo: i32,
    pub frets: i32,
    pub scale_mm: f64,
    pub nut_spacing_mm: f64,
    pub bridge_spacing_mm: f64,
    pub strings: Vec<OpenString>,
}

#[derive(Deserialize)]
pub struct OpenString {
    pub string: usize,
    /// MIDI number without capo.
    pub midi: i32,
}

#[derive(Deserialize)]
pub struct Hand {
    pub spans: Vec<Span>,
}

#[derive(Deserialize)]
pub struct Span {
    pub fingers: [u8; 2],
    pub largest_mm: f64,
}

/// A melody note as it should sound.
#[derive(Deserialize)]
pub struct Tune {
    pub at: i64,
    pub end: i64,
    pub midi: i32,
}

/// A chord, lasting until the next one.
#[derive(Deserialize)]
pub struct Chord {
    pub at: i64,
    pub symbol: String,
    pub classes: Vec<i32>,
    pub bass: Option<i32>,
}

#[derive(Deserialize)]
pub struct Bar {
    pub index: usize,
    pub number: i64,
    pub at: i64,
    pub length: i64,
    pub meter: String,
    pub slices: Vec<Slice>,
    pub plucks: Vec<Pluck>,
}

#[derive(Deserialize)]
pub struct Slice {
    pub at: i64,
    pub end: i64,
    pub grip: Grip,
    pub barre: Vec<Barre>,
    pub stretch: Option<Stretch>,
}

#[derive(Deserialize)]
pub struct Grip {
    /// Fret above the capo by string, string 1 first; none is silent.
    pub frets: Vec<Option<i32>>,
    pub fingers: Vec<u8>,
}

#[derive(Deserialize, PartialEq, Debug)]
pub struct Barre {
    pub finger: u8,
    pub fret: i32,
    pub from: usize,
    pub to: usize,
}

#[derive(Deserialize)]
pub struct Stretch {
    pub fingers: [u8; 2],
    pub mm: f64,
}

#[derive(Deserialize)]
pub struct Pluck {
    pub at: i64,
    pub end: i64,
    pub string: usize,
    pub fret: i32,
    pub midi: i32,
    pub left: u8,
    pub barre: bool,
    pub right: Right,
    pub layer: Layer,
    pub technique: Technique,
}

/// A decision of the player about what is struck `at` ticks into a bar.
#[derive(Deserialize)]
pub struct Pin {
    bar: usize,
    at: i64,
    #[serde(flatten)]
    pub wish: Wish,
}

#[derive(Deserialize)]
#[serde(tag = "kind", rename_all = "lowercase")]
pub enum Wish {
    Place {
        target: Layer,
        string: Option<usize>,
        fret: Option<i32>,
        finger: Option<u8>,
    },
    Grip {
        frets: Vec<Option<i32>>,
    },
    Bass {
        name: String,
        octave: Option<i32>,
    },
    Fill {
        notes: usize,
    },
    Nothing,
}

/// An idea of the fourth layer that is taken, from bar `bar` to bar `to`, `at` ticks into the first.
#[derive(Deserialize)]
pub struct Idea {
    pub bar: usize,
    pub to: usize,
    pub at: i64,
    #[serde(flatten)]
    pub figure: Figure,
}

#[derive(Deserialize)]
#[serde(tag = "figure", rename_all = "lowercase")]
pub enum Figure {
    Beats,
    Between,
    Fifths,
    Doubled { by: String },
    Breath,
    Bass { note: Note },
    Line { each: String, notes: Vec<Note> },
    Roll { strings: usize },
    Broken { every: i64 },
    Harmonic { string: usize, fret: i32 },
    Hits,
    Slur,
    Campanella { strings: Vec<usize> },
    Chord,
}

#[derive(Deserialize)]
pub struct Note {
    pub name: String,
    pub octave: Option<i32>,
}

#[derive(Deserialize, Clone, Copy, PartialEq, PartialOrd, Debug)]
#[serde(rename_all = "lowercase")]
pub enum Right {
    P,
    I,
    M,
    A,
}

#[derive(Deserialize, Clone, Copy, PartialEq, Debug)]
#[serde(rename_all = "lowercase")]
pub enum Layer {
    Melody = 1,
    Bass = 2,
    Fill = 3,
    Colour = 4,
}

#[derive(Deserialize, Clone, Copy, PartialEq, Debug)]
#[serde(rename_all = "lowercase")]
pub enum Technique {
    Plain,
    Roll,
    Brush,
    Harmonic,
    Hit,
    Slur,
}

impl Sheet {
    /// Reads the JSON, or says what it lacks.
    pub fn read(json: &Value) -> Result<Sheet, String> {
        let sheet = Sheet::deserialize(json).map_err(|e| e.to_string())?;
        let known = sheet.format == "thumbline-arrangement" && sheet.version == 1;
        if !known || sheet.ticks_per_quarter != QUARTER {
            return Err("format, version or ticks_per_quarter is not the one known".into());
        }
        let strings = &sheet.instrument.strings;
        if strings.iter().enumerate().any(|(i, s)| s.string != i + 1) {
            return Err("the strings are not numbered from 1".into());
        }
        Ok(sheet)
    }

    /// All plucks in the order of the file.
    pub fn plucks(&self) -> impl Iterator<Item = &Pluck> {
        self.bars.iter().flat_map(|b| &b.plucks)
    }

    /// All slices in the order of the file.
    pub fn slices(&self) -> impl Iterator<Item = &Slice> {
        self.bars.iter().flat_map(|b| &b.slices)
    }

    /// Where the last bar ends.
    pub fn end(&self) -> i64 {
        self.bars.last().map_or(0, |b| b.at + b.length)
    }

    /// The melody note that should be sounding at `at`.
    pub fn tune_at(&self, at: i64) -> Option<&Tune> {
        self.melody.iter().find(|t| t.at <= at && at < t.end)
    }

    /// Every pin with its place from the song's start; those of bars that are not there left out.
    pub fn pins(&self) -> impl Iterator<Item = (i64, &Wish)> {
        let place = |pin: &'_ Pin| self.bars.get(pin.bar).map(|bar| bar.at + pin.at);
        self.pins
            .iter()
            .filter_map(move |pin| Some((place(pin)?, &pin.wish)))
    }

    /// The chord in force at `at`, and where it ends.
    pub fn chord_at(&self, at: i64) -> Option<(&Chord, i64)> {
        let i = self.chords.iter().rposition(|c| c.at <= at)?;
        let end = self.chords.get(i + 1).map_or(self.end(), |c| c.at);
        Some((&self.chords[i], end))
    }
}

impl Pluck {
    /// Whether it sounds at `at`.
    pub fn sounds_at(&self, at: i64) -> bool {
        self.at <= at && at < self.end
    }

    /// Whether the left hand takes part as in an ordinary note. A harmonic is touched and not
    /// stopped, a hit has neither string nor pitch that matter.
    pub fn is_stopped_or_open(&self) -> bool {
        !matches!(self.technique, Technique::Harmonic | Technique::Hit)
    }
}
