//! Scores made by hand, and measuring tools.

use proptest::prelude::*;
use thumbline::arrange::{Layer, Technique};
use thumbline::score::{Event, PlayedBar, Score, TempoMark};
use thumbline::song::Tempo;
use thumbline::sound::{ClickSetting, Render, Settings};
use thumbline::theory::{Meter, QUARTER, Ticks};

/// MIDI numbers of the open strings in standard tuning, string 1 first.
pub const OPEN: [i32; 6] = [64, 59, 55, 50, 45, 40];

/// A bar of 4/4.
pub const BAR: Ticks = 4 * QUARTER;

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
    Score {
        bars: (0..bars)
            .map(|i| PlayedBar {
                bar: i,
                number: i as u32 + 1,
                at: i as Ticks * BAR,
                length: BAR,
                missing: 0,
                meter: Meter::common(),
            })
            .collect(),
        events,
        tempo: vec![tempo(0, 120)],
        length: bars as Ticks * BAR,
    }
}

/// So many quarters a minute from a place on.
pub fn tempo(at: Ticks, per_minute: u32) -> TempoMark {
    TempoMark {
        at,
        tempo: Tempo {
            beat: QUARTER,
            per_minute,
        },
    }
}

/// The click alone.
pub fn click_on() -> ClickSetting {
    ClickSetting {
        on: true,
        divisions: false,
        level_db: 0.0,
    }
}

/// The left channel of a rendering, its first `seconds`.
pub fn left(score: &Score, settings: &Settings, seconds: f64) -> Vec<f32> {
    let frames = (seconds * f64::from(settings.rate)) as usize;
    Render::new(score, settings)
        .take(frames)
        .map(|f| f[0])
        .collect()
}

/// Anything an arrangement may hold, and some that none would: two bars, any string, fret, layer
/// and technique, two attacks on one string at once.
pub fn any_score() -> impl Strategy<Value = Score> {
    let layer = prop_oneof![
        Just(Layer::Melody),
        Just(Layer::Bass),
        Just(Layer::Fill),
        Just(Layer::Colour)
    ];
    let technique = prop_oneof![
        4 => Just(Technique::Plain),
        1 => Just(Technique::Roll),
        1 => Just(Technique::Brush),
        1 => Just(Technique::Harmonic),
        1 => Just(Technique::Hit),
        1 => Just(Technique::Slur),
    ];
    let sixteenth = QUARTER / 4;
    let event = (0..32i64, 1..16i64, 1..=6u8, 0..=19u8, layer, technique).prop_map(
        move |(at, length, string, fret, layer, technique)| Event {
            layer,
            technique,
            ..note(at * sixteenth, length * sixteenth, string, fret)
        },
    );
    (
        prop::collection::vec(event, 1..24),
        prop::collection::vec((0..2 * BAR, 40..300u32), 0..3),
    )
        .prop_map(|(mut events, marks)| {
            events.sort_by_key(|e| (e.at, std::cmp::Reverse(e.string)));
            // Four attacks at an onset, one of them the tune's: what a right hand can do.
            let mut hand: Vec<Event> = Vec::new();
            for event in events {
                let with = hand.iter().filter(|h| h.at == event.at);
                let (count, tune) = with.fold((0, false), |(n, t), h| {
                    (n + 1, t || h.layer == Layer::Melody)
                });
                if count < 4 && !(tune && event.layer == Layer::Melody) {
                    hand.push(event);
                }
            }
            let mut score = score(2, hand);
            score
                .tempo
                .extend(marks.into_iter().map(|(at, bpm)| tempo(at, bpm)));
            score.tempo.sort_by_key(|m| m.at);
            score
        })
}
