//! A score made ready for the audio thread: sorted, priced in seconds, never changed again.

use super::voice::Pluck;
use crate::arrange::{Layer, Technique};
use crate::guitar::MAX_STRINGS;
use crate::score::{Event, PlayedBar, Score};
use crate::theory::{QUARTER, Ticks};

/// Seconds from one string of a rolled chord to the next (common practice, no source).
const ROLL: f64 = 0.032;

/// The same for a brush with the thumb (common practice, no source).
const BRUSH: f64 = 0.011;

/// The most ticks of music: over 100 000 quarters, nearly 15 hours at 120 a minute. The transport's
/// positions reach twice as far, so that nothing it adds to a place runs over.
pub(super) const LONGEST: Ticks = 1 << 30;

/// How strong a click is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Strength {
    /// A part of a beat.
    Division,
    /// A beat.
    Beat,
    /// The first beat of a bar.
    One,
}

/// One attack on one string.
#[derive(Debug, Clone, Copy)]
pub(super) struct Note {
    pub at: Ticks,
    pub end: Ticks,
    /// From 0.
    pub string: usize,
    pub layer: Layer,
    pub hit: bool,
    pub pluck: Pluck,
}

/// One click.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tap {
    pub at: Ticks,
    pub strength: Strength,
}

/// Ticks a second from a place on.
#[derive(Debug, Clone, Copy)]
pub(super) struct Mark {
    pub at: Ticks,
    pub per_second: f64,
}

/// A bar with its beats.
#[derive(Debug, Clone)]
pub(super) struct Bar {
    /// Where its first beat is or would be.
    pub downbeat: Ticks,
    /// Length of a full bar.
    pub full: Ticks,
    /// Beats from `downbeat`.
    pub beats: Vec<Ticks>,
}

/// What the engine plays from.
#[derive(Debug, Clone)]
pub struct Program {
    pub(super) notes: Vec<Note>,
    pub(super) taps: Vec<Tap>,
    pub(super) marks: Vec<Mark>,
    bars: Vec<(Ticks, Bar)>,
    pub(super) length: Ticks,
}

impl Program {
    /// Prepares a score. Attacks on strings that no instrument has are left out, and so is music
    /// behind 2³⁰ ticks.
    pub fn new(score: &Score) -> Program {
        let marks = marks(score);
        let bars: Vec<(Ticks, Bar)> = score.bars.iter().map(|b| (b.at, bar(b))).collect();
        let mut program = Program {
            notes: Vec::new(),
            taps: score.bars.iter().flat_map(taps).collect(),
            marks,
            bars,
            length: score.length.clamp(1, LONGEST),
        };
        program.notes = notes(score, &program);
        program.taps.retain(|t| t.at < LONGEST);
        program.taps.sort_by_key(|t| t.at);
        program
    }

    /// Nothing to play.
    pub fn empty() -> Program {
        Program::new(&Score {
            bars: Vec::new(),
            events: Vec::new(),
            tempo: Vec::new(),
            length: 0,
        })
    }

    /// Where the music ends, in played ticks.
    pub fn length(&self) -> Ticks {
        self.length
    }

    /// The mark in force at `at`; the first holds before it, too.
    pub(super) fn mark_at(&self, at: Ticks) -> usize {
        self.marks.partition_point(|m| m.at <= at).saturating_sub(1)
    }

    /// The first note at or after `at`.
    pub(super) fn note_from(&self, at: Ticks) -> usize {
        self.notes.partition_point(|n| n.at < at)
    }

    /// The first click at or after `at`.
    pub(super) fn tap_from(&self, at: Ticks) -> usize {
        self.taps.partition_point(|t| t.at < at)
    }

    /// The bar that contains `at`.
    pub(super) fn bar_at(&self, at: Ticks) -> Option<&Bar> {
        let index = self.bars.partition_point(|(start, _)| *start <= at);
        self.bars.get(index.saturating_sub(1)).map(|(_, bar)| bar)
    }
}

/// Tempo marks, at least one, the first at or before 0.
fn marks(score: &Score) -> Vec<Mark> {
    let mut marks: Vec<Mark> = score
        .tempo
        .iter()
        .filter(|m| m.at < LONGEST)
        .map(|m| Mark {
            at: m.at,
            per_second: (m.tempo.beat as f64 * f64::from(m.tempo.per_minute) / 60.0).max(1.0),
        })
        .collect();
    marks.sort_by_key(|m| m.at);
    match marks.first_mut() {
        Some(first) => first.at = first.at.min(0),
        None => marks.push(Mark {
            at: 0,
            per_second: 2.0 * QUARTER as f64,
        }),
    }
    marks
}

fn bar(bar: &PlayedBar) -> Bar {
    Bar {
        downbeat: bar.at - bar.missing,
        full: bar.meter.bar(),
        beats: bar.meter.beats(),
    }
}

/// The clicks within a bar: beats and their parts.
fn taps(bar: &PlayedBar) -> Vec<Tap> {
    let downbeat = bar.at - bar.missing;
    let beats = bar.meter.beats();
    let mut taps = Vec::new();
    for (i, &beat) in beats.iter().enumerate() {
        let next = beats.get(i + 1).copied().unwrap_or(bar.meter.bar());
        // A beat of three units (6/8, the long beat of 7/8) has three parts, others two.
        let parts = if (next - beat) % (3 * bar.meter.unit_ticks()) == 0 {
            3
        } else {
            2
        };
        for part in 0..parts {
            let strength = match (i, part) {
                (0, 0) => Strength::One,
                (_, 0) => Strength::Beat,
                _ => Strength::Division,
            };
            let at = downbeat + beat + (next - beat) * part / parts;
            if (bar.at..bar.at + bar.length).contains(&at) {
                taps.push(Tap { at, strength });
            }
        }
    }
    taps
}

/// How strongly the beat is felt at a place: the first beat most, between beats least.
fn accent(program: &Program, at: Ticks) -> f32 {
    let tap = program.taps.get(program.tap_from(at));
    match tap.filter(|t| t.at == at).map(|t| t.strength) {
        Some(Strength::One) => 1.12,
        Some(Strength::Beat) => 1.0,
        _ => 0.9,
    }
}

fn notes(score: &Score, program: &Program) -> Vec<Note> {
    let mut events: Vec<&Event> = score
        .events
        .iter()
        .filter(|e| e.at < LONGEST && (1..=MAX_STRINGS).contains(&usize::from(e.string)))
        .collect();
    // Low strings first, as a thumb meets them.
    events.sort_by_key(|e| (e.at, std::cmp::Reverse(e.string)));
    let mut notes: Vec<Note> = Vec::with_capacity(events.len());
    for chord in events.chunk_by(|a, b| a.at == b.at) {
        let per_second = program.marks[program.mark_at(chord[0].at)].per_second;
        let mut delay: Ticks = 0;
        for (i, event) in chord.iter().enumerate() {
            let spread = match event.technique {
                Technique::Roll => ROLL,
                Technique::Brush => BRUSH,
                _ => 0.0,
            };
            let spread_before =
                i > 0 && matches!(chord[i - 1].technique, Technique::Roll | Technique::Brush);
            if spread > 0.0 && spread_before {
                let room = (event.end - event.at).max(0) / (2 * chord.len() as Ticks);
                delay += ((spread * per_second) as Ticks).min(room);
            }
            notes.push(Note {
                at: event.at + if spread > 0.0 { delay } else { 0 },
                end: event.end.min(LONGEST),
                string: usize::from(event.string) - 1,
                layer: event.layer,
                hit: event.technique == Technique::Hit,
                pluck: Pluck::new(
                    event.string,
                    event.fret,
                    event.midi,
                    event.layer,
                    event.technique,
                    accent(program, event.at),
                ),
            });
        }
    }
    notes.sort_by_key(|n| n.at);
    notes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::TempoMark;
    use crate::song::Tempo;
    use crate::theory::Meter;

    fn score(technique: Technique, length: Ticks) -> Score {
        let event = |string: u8| Event {
            at: 0,
            end: length,
            string,
            fret: 0,
            midi: 60,
            layer: Layer::Fill,
            technique,
            pluck: 0,
        };
        Score {
            bars: vec![PlayedBar {
                bar: 0,
                number: 1,
                at: 0,
                length: 4 * QUARTER,
                missing: 0,
                meter: Meter::common(),
            }],
            events: [2, 6, 3, 4].map(event).to_vec(),
            tempo: vec![TempoMark {
                at: 0,
                tempo: Tempo {
                    beat: QUARTER,
                    per_minute: 60,
                },
            }],
            length: 4 * QUARTER,
        }
    }

    fn chord(technique: Technique, length: Ticks) -> Vec<(usize, Ticks)> {
        let program = Program::new(&score(technique, length));
        program.notes.iter().map(|n| (n.string, n.at)).collect()
    }

    #[test]
    fn a_roll_goes_from_the_lowest_string_up_and_begins_on_its_beat() {
        let step = (ROLL * QUARTER as f64) as Ticks;
        let rolled = chord(Technique::Roll, 4 * QUARTER);
        assert_eq!(rolled, [(5, 0), (3, step), (2, 2 * step), (1, 3 * step)]);
        let plain = chord(Technique::Plain, 4 * QUARTER);
        assert!(plain.iter().all(|&(_, at)| at == 0));
    }

    #[test]
    fn a_short_roll_is_over_before_its_chord() {
        let last = chord(Technique::Roll, 400).last().copied();
        assert!(last.is_some_and(|(_, at)| at <= 200), "{last:?}");
    }

    #[test]
    fn what_lies_beyond_the_transport_is_left_out() {
        let mut score = score(Technique::Plain, QUARTER);
        score.length = 4 * LONGEST;
        let late = Event {
            at: 3 * LONGEST,
            end: 4 * LONGEST,
            ..score.events[0]
        };
        score.events[0].end = 3 * LONGEST;
        score.events.push(late);
        let program = Program::new(&score);
        assert_eq!((program.length(), program.notes.len()), (LONGEST, 4));
        assert!(program.notes.iter().all(|n| n.end <= LONGEST));
    }

    #[test]
    fn nothing_is_a_program_too() {
        let empty = Program::empty();
        assert_eq!((empty.length(), empty.notes.len()), (1, 0));
        assert!(empty.bar_at(0).is_none());
    }
}
