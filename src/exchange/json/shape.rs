//! The shape of the JSON, field by field in the order it is written.

use crate::theory::Ticks;
use serde::Serialize;
use std::collections::BTreeMap;

#[derive(Serialize)]
pub(super) struct Document<'a> {
    pub format: &'static str,
    pub version: u32,
    pub generator: &'static str,
    pub title: &'a str,
    pub ticks_per_quarter: Ticks,
    pub layer: u8,
    pub shift: i32,
    pub instrument: InstrumentOut<'a>,
    pub hand: HandOut<'a>,
    pub tempo: TempoOut,
    pub melody: Vec<TuneOut>,
    pub chords: Vec<ChordOut>,
    pub bars: Vec<BarOut<'a>>,
    pub play_order: Vec<usize>,
    pub pins: Vec<PinOut>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub ideas: Vec<super::ideas::IdeaOut>,
    pub totals: Totals,
}

#[derive(Serialize)]
pub(super) struct InstrumentOut<'a> {
    pub tuning: &'a str,
    pub capo: u8,
    pub frets: u8,
    pub scale_mm: f64,
    pub nut_spacing_mm: f64,
    pub bridge_spacing_mm: f64,
    pub strings: Vec<StringOut>,
}

#[derive(Serialize)]
pub(super) struct StringOut {
    pub string: usize,
    pub open: String,
    pub midi: i32,
}

#[derive(Serialize)]
pub(super) struct HandOut<'a> {
    pub name: &'a str,
    pub spans: Vec<SpanOut>,
}

#[derive(Serialize)]
pub(super) struct SpanOut {
    pub fingers: [u8; 2],
    pub comfortable_mm: f64,
    pub largest_mm: f64,
}

#[derive(Serialize)]
pub(super) struct TempoOut {
    pub beat_ticks: Ticks,
    pub per_minute: u32,
}

#[derive(Serialize)]
pub(super) struct TuneOut {
    pub bar: usize,
    pub at: Ticks,
    pub end: Ticks,
    pub midi: i32,
    pub pitch: String,
}

#[derive(Serialize)]
pub(super) struct ChordOut {
    pub bar: usize,
    pub at: Ticks,
    pub symbol: String,
    pub classes: Vec<i32>,
    pub bass: Option<i32>,
}

#[derive(Serialize)]
pub(super) struct BarOut<'a> {
    pub index: usize,
    pub number: u32,
    pub at: Ticks,
    pub length: Ticks,
    pub meter: String,
    pub remarks: Vec<RemarkOut<'a>>,
    pub slices: Vec<SliceOut>,
    pub plucks: Vec<PluckOut>,
}

#[derive(Serialize)]
pub(super) struct RemarkOut<'a> {
    pub at: Ticks,
    pub text: &'a str,
}

#[derive(Serialize)]
pub(super) struct SliceOut {
    pub at: Ticks,
    pub end: Ticks,
    pub at_beats: f64,
    pub grip: GripOut,
    pub barre: Vec<BarreOut>,
    pub stretch: Option<StretchOut>,
    pub effort: f64,
    pub price: PriceOut,
}

#[derive(Serialize)]
pub(super) struct GripOut {
    pub frets: Vec<Option<u8>>,
    pub fingers: Vec<u8>,
}

#[derive(Serialize)]
pub(super) struct BarreOut {
    pub finger: u8,
    pub fret: u8,
    pub from: u8,
    pub to: u8,
}

#[derive(Serialize)]
pub(super) struct StretchOut {
    pub fingers: [u8; 2],
    pub mm: f64,
    pub percent: i32,
}

#[derive(Serialize)]
pub(super) struct PriceOut {
    pub total: i64,
    pub items: BTreeMap<&'static str, i64>,
}

#[derive(Serialize)]
pub(super) struct PluckOut {
    pub at: Ticks,
    pub end: Ticks,
    pub at_beats: f64,
    pub end_beats: f64,
    pub string: u8,
    pub fret: u8,
    pub midi: i32,
    pub pitch: String,
    pub left: u8,
    pub barre: bool,
    pub right: &'static str,
    pub layer: &'static str,
    pub technique: &'static str,
    pub reason: String,
}

#[derive(Serialize)]
pub(super) struct PinOut {
    pub bar: usize,
    pub at: Ticks,
    #[serde(flatten)]
    pub wish: WishOut,
}

#[derive(Serialize)]
#[serde(tag = "kind", rename_all = "lowercase")]
pub(super) enum WishOut {
    Place {
        target: &'static str,
        string: Option<u8>,
        fret: Option<u8>,
        finger: Option<u8>,
    },
    Grip {
        frets: Vec<Option<u8>>,
    },
    Bass {
        name: String,
        octave: Option<i8>,
    },
    Fill {
        notes: u8,
    },
    Nothing,
}

#[derive(Serialize)]
pub(super) struct Totals {
    pub effort: f64,
    pub price: PriceOut,
    pub bass_ring_share: Option<f64>,
    pub notes_a_chord: Option<f64>,
    pub worst_stretch_mm: Option<f64>,
}
