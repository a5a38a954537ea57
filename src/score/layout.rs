//! The order in which an arrangement is played.

use super::tempo::TempoMark;
use crate::arrange::{Arrangement, Layer, Technique};
use crate::song::{Bar, Song};
use crate::theory::{Meter, Ticks};
use std::ops::Range;

/// An arrangement in play order.
#[derive(Debug, Clone, PartialEq)]
pub struct Score {
    /// The bars as they are played.
    pub bars: Vec<PlayedBar>,
    /// The attacks in order of onset; those of one onset from the lowest string up.
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
    /// Index into the arrangement's plucks; [`Event::NO_PLUCK`] where there is no arrangement.
    pub pluck: usize,
}

impl Event {
    /// See [`Event::pluck`].
    pub const NO_PLUCK: usize = usize::MAX;
}

impl Score {
    /// Lays an arrangement out in its play order.
    ///
    /// A note that rings over a bar line goes on as long as the bars follow each other as written;
    /// where the play order jumps (a repeat, an ending) it stops, for the hand moves on.
    pub fn new(arrangement: &Arrangement) -> Score {
        let order = arrangement.song.play_order().into_iter();
        Score::of(arrangement, order.map(|played| played.bar))
    }

    /// Lays some bars out as they are written, each once; bars that the song does not have are
    /// left out. What rings past the last of them is cut there.
    pub fn of_bars(arrangement: &Arrangement, bars: Range<usize>) -> Score {
        Score::of(arrangement, bars)
    }

    fn of(arrangement: &Arrangement, order: impl Iterator<Item = usize>) -> Score {
        let song = &arrangement.song;
        let starts = song.starts();
        let bars = played_bars(song, order);
        let events = events(arrangement, &bars, &starts);
        let tempo = tempo_marks(song, &bars);
        let length = bars.last().map_or(0, |b| b.at + b.length);
        Score {
            bars,
            events,
            tempo,
            length,
        }
    }

    /// Index of the played bar that sounds at a place; the last one from the end on, 0 when there
    /// is no bar at all.
    pub fn bar_at(&self, at: Ticks) -> usize {
        self.bars.partition_point(|b| b.at <= at).saturating_sub(1)
    }

    /// The written bar that sounds at a place, by its index, and the ticks since it began; nothing
    /// when there is no bar at all.
    pub fn place(&self, at: Ticks) -> Option<(usize, Ticks)> {
        let played = self.bars.get(self.bar_at(at))?;
        Some((played.bar, (at - played.at).clamp(0, played.length)))
    }
}

pub(super) fn played_bars(song: &Song, order: impl Iterator<Item = usize>) -> Vec<PlayedBar> {
    let missing = missing(&song.bars);
    let mut at = 0;
    let mut played = Vec::new();
    for index in order {
        let Some(bar) = song.bars.get(index) else {
            continue;
        };
        played.push(PlayedBar {
            bar: index,
            number: bar.number,
            at,
            length: bar.length,
            missing: missing[index],
            meter: bar.meter.clone(),
        });
        at += bar.length;
    }
    played
}

/// How many ticks of a full bar each written bar lacks at its front, so that its beats fall right.
///
/// A short bar lacks its front when it opens the song or a repeat (a pickup), or when the short bar
/// before it holds exactly what is missing (a bar that a repeat sign splits). Any other short bar
/// lacks its end.
pub fn missing(bars: &[Bar]) -> Vec<Ticks> {
    let mut missing: Vec<Ticks> = Vec::with_capacity(bars.len());
    for (i, bar) in bars.iter().enumerate() {
        let lacks = (bar.meter.bar() - bar.length).max(0);
        let completes = i.checked_sub(1).is_some_and(|before| {
            lacks > 0 && bars[before].length == lacks && missing[before] == 0
        });
        let opens = i == 0 || bar.opens_repeat;
        missing.push(if opens || completes { lacks } else { 0 });
    }
    missing
}

fn events(arrangement: &Arrangement, bars: &[PlayedBar], starts: &[Ticks]) -> Vec<Event> {
    let by_bar = by_bar(starts.len(), arrangement.plucks.iter().map(|p| p.bar));
    let ends = run_ends(bars, starts);
    let mut events = Vec::new();
    for (played, run_end) in bars.iter().zip(ends) {
        let moved = played.at - starts[played.bar];
        for &index in &by_bar[played.bar] {
            let pluck = &arrangement.plucks[index];
            events.push(Event {
                at: pluck.at + moved,
                end: pluck.end.min(run_end) + moved,
                string: pluck.string,
                fret: pluck.fret,
                midi: pluck.pitch.midi(),
                layer: pluck.layer,
                technique: pluck.technique,
                pluck: index,
            });
        }
    }
    events.sort_by_key(|e| e.at);
    events
}

/// Which things lie in each of `count` bars, by their indexes; `bars` are those they lie in.
pub(super) fn by_bar(count: usize, bars: impl Iterator<Item = usize>) -> Vec<Vec<usize>> {
    let mut by_bar = vec![Vec::new(); count];
    for (i, bar) in bars.enumerate() {
        if let Some(list) = by_bar.get_mut(bar) {
            list.push(i);
        }
    }
    by_bar
}

/// For each played bar, the written tick up to which bars go on as written.
pub(super) fn run_ends(bars: &[PlayedBar], starts: &[Ticks]) -> Vec<Ticks> {
    let mut ends = vec![0; bars.len()];
    for i in (0..bars.len()).rev() {
        let follows = bars.get(i + 1).is_some_and(|n| n.bar == bars[i].bar + 1);
        ends[i] = if follows {
            ends[i + 1]
        } else {
            starts[bars[i].bar + 1]
        };
    }
    ends
}

/// Where the tempo changes: each played bar has the one in force where it is written.
pub(super) fn tempo_marks(song: &Song, bars: &[PlayedBar]) -> Vec<TempoMark> {
    let in_force = song.tempos();
    let mut marks: Vec<TempoMark> = Vec::new();
    for bar in bars {
        let tempo = in_force[bar.bar];
        if marks.last().is_none_or(|m| m.tempo != tempo) {
            marks.push(TempoMark { at: bar.at, tempo });
        }
    }
    if marks.is_empty() {
        marks.push(TempoMark {
            at: 0,
            tempo: song.tempo,
        });
    }
    marks
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::fixture;
    use crate::theory::QUARTER;

    #[test]
    fn bars_and_attacks_follow_each_other() {
        let score = Score::new(&fixture::waltz());
        let numbers: Vec<u32> = score.bars.iter().map(|b| b.number).collect();
        assert_eq!(numbers, [0, 1, 2]);
        assert_eq!(score.bars[0].missing, 2 * QUARTER);
        assert_eq!(score.bars[1].missing, 0);
        assert_eq!(score.length, 7 * QUARTER);
        assert!(score.events.is_sorted_by_key(|e| e.at));
        assert_eq!(score.events.len(), fixture::waltz().plucks.len());
        assert_eq!(score.bar_at(QUARTER), 1);
        assert_eq!(score.bar_at(100 * QUARTER), 2);
    }

    #[test]
    fn repeats_come_back_and_rings_stop_at_a_jump() {
        let arrangement = fixture::round();
        let score = Score::new(&arrangement);
        let numbers: Vec<u32> = score.bars.iter().map(|b| b.number).collect();
        assert_eq!(numbers, [1, 2, 3, 1, 2, 3, 1, 2, 4]);
        let last = &score.bars[8];
        assert_eq!(last.at, 32 * QUARTER);
        assert_eq!(score.length, 34 * QUARTER);
        // The third pass leaves bar 2 for the last ending: nothing rings over.
        let over = (score.events.iter()).filter(|e| e.at < last.at && e.end > last.at);
        assert_eq!(over.count(), 0);
        let marks: Vec<_> = score
            .tempo
            .iter()
            .map(|m| (m.at, m.tempo.per_minute))
            .collect();
        assert_eq!(marks, [(0, 96), (last.at, 60)]);
    }

    #[test]
    fn some_bars_are_laid_out_as_written() {
        let arrangement = fixture::round();
        // Bar 3 is an ending, so that bar 4 never follows it in play order.
        let score = Score::of_bars(&arrangement, 2..4);
        let numbers: Vec<u32> = score.bars.iter().map(|b| b.number).collect();
        assert_eq!(numbers, [3, 4]);
        let starts = arrangement.song.starts();
        assert_eq!(score.length, starts[4] - starts[2]);
        assert_eq!(score.bars[0].at, 0);
        let inside = |p: &&crate::arrange::Pluck| p.bar >= 2;
        let plucks = arrangement.plucks.iter().filter(inside).count();
        assert_eq!(score.events.len(), plucks);
        assert!(score.events.iter().all(|e| e.end <= score.length));
        assert_eq!(score.tempo[1].tempo.per_minute, 60);
        assert!(Score::of_bars(&arrangement, 9..12).bars.is_empty());
    }

    #[test]
    fn a_split_bar_lacks_its_front_and_a_short_last_bar_its_end() {
        let mut bars = fixture::waltz().song.bars;
        bars[1].length = 2 * QUARTER;
        bars[2].length = QUARTER;
        assert_eq!(missing(&bars), [2 * QUARTER, 0, 2 * QUARTER]);
        bars[1].length = 3 * QUARTER;
        assert_eq!(missing(&bars), [2 * QUARTER, 0, 0]);
    }
}
