//! The order in which an arrangement is played.

use super::TempoMark;
use crate::arrange::{Arrangement, Layer, Technique};
use crate::theory::{Meter, Ticks};

/// An arrangement in play order.
#[derive(Debug, Clone, PartialEq)]
pub struct Score {
    /// The bars as they are played.
    pub bars: Vec<PlayedBar>,
    /// The attacks in order of onset.
    pub events: Vec<Event>,
    /// Tempo in force from each place on; the first is at 0.
    pub tempo: Vec<TempoMark>,
    /// Where the last bar ends, in played ticks.
    pub length: Ticks,
}

/// One bar of the play order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlayedBar {
    /// Index of the written bar, from 0.
    pub bar: usize,
    /// The printed bar number.
    pub number: u32,
    /// Start in played ticks.
    pub at: Ticks,
    /// Length in ticks.
    pub length: Ticks,
    /// Ticks of a full bar missing before its first beat (a pickup), so that beats fall right.
    pub missing: Ticks,
    /// Its meter.
    pub meter: Meter,
}

/// One attack in played time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Event {
    /// Onset in played ticks.
    pub at: Ticks,
    /// End in played ticks.
    pub end: Ticks,
    /// String, 1 is the highest.
    pub string: u8,
    /// Fret above the capo.
    pub fret: u8,
    /// MIDI number that sounds.
    pub midi: i32,
    /// Its layer.
    pub layer: Layer,
    /// How it is brought out.
    pub technique: Technique,
    /// Index into the arrangement's plucks.
    pub pluck: usize,
}

impl Score {
    /// Lays an arrangement out in its play order.
    pub fn new(_arrangement: &Arrangement) -> Score {
        unimplemented!()
    }
}
