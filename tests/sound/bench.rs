//! Scores made by hand, and measuring tools.

use thumbline::arrange::{Layer, Technique};
use thumbline::score::{Event, PlayedBar, Score, TempoMark};
use thumbline::song::Tempo;
use thumbline::sound::{Render, Settings};
use thumbline::theory::{Meter, QUARTER, Ticks};

/// MIDI numbers of the open strings in standard tuning, string 1 first.
pub const OPEN: [i32; 6] = [64, 59, 55, 50, 45, 40];

/// One plain melody note.
pub fn note(at: Ticks, length: Ticks, string: u8, fret: u8) -> Event {
    Event {
        at,
        end: at + length,
        string,
        fret,
        midi: OPEN[usize::from(string) - 1] + i32::from(fret),
        layer: Layer::Melody,
        technique: Technique::Plain,
        pluck: 0,
    }
}

/// A score of whole bars of 4/4 at 120.
pub fn score(bars: usize, events: Vec<Event>) -> Score {
    let bar = 4 * QUARTER;
    Score {
        bars: (0..bars)
            .map(|i| PlayedBar {
                bar: i,
                number: i as u32 + 1,
                at: i as Ticks * bar,
                length: bar,
                missing: 0,
                meter: Meter::common(),
            })
            .collect(),
        events,
        tempo: vec![TempoMark {
            at: 0,
            tempo: Tempo {
                beat: QUARTER,
                per_minute: 120,
            },
        }],
        length: bars as Ticks * bar,
    }
}

/// The left channel of a rendering.
pub fn left(score: &Score, settings: &Settings) -> Vec<f32> {
    Render::new(score, settings).map(|f| f[0]).collect()
}
