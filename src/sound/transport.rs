//! The clock of the music: where in the score each sample falls.
//!
//! A position is a whole number of 2⁻³² ticks, and every sample adds a whole number of them. A
//! loop carries what it overshoots into the next pass, and a change of tempo takes effect at its
//! place inside the sample, so nothing adds up over hours.

use super::program::{Program, Strength};
use crate::score::TEMPOS;
use crate::theory::Ticks;

/// The most bars of count-in.
pub const MAX_COUNT_IN: u8 = 8;

const FRACTION: u32 = 32;

/// What is to be played.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Passage {
    /// Start in played ticks.
    pub from: Ticks,
    /// End in played ticks; at most the score's length, and above `from`.
    pub to: Ticks,
    /// Over and over.
    pub repeat: bool,
    /// Bars counted in before it starts, 0 to [`MAX_COUNT_IN`].
    pub count_in: u8,
}

/// What happens at a sample.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Cue {
    /// A note, by its index in the program.
    Note(usize),
    /// A click of the music's own bars.
    Tap(Strength),
    /// A click of the count-in.
    Count(Strength),
    /// The passage starts again; every place after its end is now earlier by so many ticks.
    Again(Ticks),
    /// The passage is over.
    End,
}

/// The count-in under way.
#[derive(Debug, Clone, Copy)]
struct Count {
    /// The next click in played ticks, before the passage starts; `None` after the last.
    next: Option<(Ticks, Strength)>,
}

/// The running position.
#[derive(Debug, Clone)]
pub(super) struct Transport {
    rate: f64,
    speed: f64,
    position: i64,
    /// The place of the sample before: the clicks up to it have been told.
    told: i64,
    step: i64,
    mark: usize,
    note: usize,
    tap: usize,
    passage: Passage,
    count: Option<Count>,
    playing: bool,
    pass: u32,
}

const fn fixed(ticks: Ticks) -> i64 {
    ticks << FRACTION
}

impl Transport {
    /// Stands still at the start of a program.
    pub fn new(rate: f64, program: &Program) -> Transport {
        let mut transport = Transport {
            rate,
            speed: 1.0,
            position: 0,
            told: -1,
            step: 1,
            mark: 0,
            note: 0,
            tap: 0,
            passage: Passage {
                from: 0,
                to: 1,
                repeat: false,
                count_in: 0,
            },
            count: None,
            playing: false,
            pass: 0,
        };
        transport.find_step(program);
        transport
    }

    pub fn playing(&self) -> bool {
        self.playing
    }

    pub fn counting(&self) -> bool {
        self.count.is_some()
    }

    /// Passes begun since the start, from 0.
    pub fn pass(&self) -> u32 {
        self.pass
    }

    pub fn passage(&self) -> Passage {
        self.passage
    }

    /// The position in ticks and their fraction.
    pub fn ticks(&self) -> f64 {
        self.position as f64 / f64::from(2.0f32.powi(FRACTION as i32))
    }

    /// Ticks a second at this moment.
    pub fn per_second(&self) -> f64 {
        self.step as f64 / 2f64.powi(FRACTION as i32) * self.rate
    }

    pub fn set_rate(&mut self, rate: f64, program: &Program) {
        self.rate = rate;
        self.find_step(program);
    }

    pub fn set_speed(&mut self, speed: f64, program: &Program) {
        if speed.is_finite() {
            let [slowest, fastest] = [TEMPOS.start(), TEMPOS.end()].map(|&t| f64::from(t) / 100.0);
            self.speed = speed.clamp(slowest, fastest);
        }
        self.find_step(program);
    }

    fn find_step(&mut self, program: &Program) {
        let per_second = program.marks[self.mark.min(program.marks.len() - 1)].per_second;
        let step = per_second * self.speed / self.rate * 2f64.powi(FRACTION as i32);
        self.step = (step.round() as i64).max(1);
    }

    /// Starts a passage, with its count-in first.
    pub fn start(&mut self, passage: Passage, program: &Program) {
        self.passage = bounded(passage, program);
        self.playing = true;
        self.pass = 0;
        self.count = None;
        self.jump(self.passage.from, program);
        let bars = Ticks::from(passage.count_in.min(MAX_COUNT_IN));
        if let (true, Some(bar)) = (bars > 0, program.bar_at(self.passage.from)) {
            let first = bar.downbeat - bars * bar.full;
            self.position = fixed(first);
            self.count = Some(Count {
                next: Some((first, Strength::One)),
            });
        }
    }

    pub fn stop(&mut self) {
        self.playing = false;
        self.count = None;
    }

    /// The passage ends with this pass.
    pub fn last_pass(&mut self) {
        self.passage.repeat = false;
    }

    /// A new program lies under the same position; every attack from `next` on is still to come.
    pub fn swap(&mut self, next: Ticks, program: &Program) {
        self.passage = bounded(self.passage, program);
        self.note = program.note_from(next);
        self.tap = program.tap_from((self.told >> FRACTION) + 1);
        let at = self.position.max(fixed(self.passage.from)) >> FRACTION;
        self.mark = program.mark_at(at);
        self.find_step(program);
    }

    fn jump(&mut self, at: Ticks, program: &Program) {
        self.position = fixed(at);
        self.told = self.position - 1;
        self.note = program.note_from(at);
        self.tap = program.tap_from(at);
        self.mark = program.mark_at(at);
        self.find_step(program);
    }

    /// The next note's place, if it is inside the passage.
    pub fn next_note(&self, program: &Program) -> Option<Ticks> {
        let at = program.notes.get(self.note)?.at;
        (at < self.passage.to).then_some(at)
    }

    /// True when a place has been reached.
    pub fn reached(&self, at: Ticks) -> bool {
        fixed(at) <= self.position
    }

    /// The next thing that is due at the present sample.
    pub fn due(&mut self, program: &Program) -> Option<Cue> {
        if !self.playing {
            return None;
        }
        if let Some(count) = self.count {
            return self.due_count(count, program);
        }
        let to = self.passage.to;
        if let Some(tap) = program.taps.get(self.tap)
            && tap.at < to
            && self.reached(tap.at)
        {
            self.tap += 1;
            return Some(Cue::Tap(tap.strength));
        }
        if let Some(at) = self.next_note(program)
            && self.reached(at)
        {
            self.note += 1;
            return Some(Cue::Note(self.note - 1));
        }
        if !self.reached(to) {
            return None;
        }
        if !self.passage.repeat {
            self.playing = false;
            return Some(Cue::End);
        }
        let (over, before) = (self.position - fixed(to), self.step);
        self.jump(self.passage.from, program);
        let over = (over as f64 * self.step as f64 / before as f64).round() as i64;
        self.position += over.clamp(0, self.step);
        self.pass = self.pass.wrapping_add(1);
        Some(Cue::Again(to - self.passage.from))
    }

    fn due_count(&mut self, count: Count, program: &Program) -> Option<Cue> {
        if let Some((at, strength)) = count.next
            && self.reached(at)
        {
            let next = program
                .bar_at(self.passage.from)
                .and_then(|bar| next_beat(bar, at))
                .filter(|(next, _)| *next < self.passage.from);
            self.count = Some(Count { next });
            return Some(Cue::Count(strength));
        }
        if self.reached(self.passage.from) {
            self.count = None;
            return self.due(program);
        }
        None
    }

    /// Samples until something is due, at most `max`; call when nothing is due now.
    pub fn room(&self, program: &Program, max: usize, also: &[Option<Ticks>]) -> usize {
        if !self.playing {
            return max;
        }
        let mut nearest = fixed(self.passage.to);
        let mut consider = |at: Ticks| nearest = nearest.min(fixed(at));
        if let Some(count) = self.count {
            consider(count.next.map_or(self.passage.from, |(at, _)| at));
        } else {
            program
                .notes
                .get(self.note)
                .into_iter()
                .for_each(|n| consider(n.at));
            program
                .taps
                .get(self.tap)
                .into_iter()
                .for_each(|t| consider(t.at));
            program
                .marks
                .get(self.mark + 1)
                .into_iter()
                .for_each(|m| consider(m.at));
        }
        also.iter().flatten().for_each(|&at| consider(at));
        let left = (nearest - self.position).max(1);
        let samples = (left - 1) / self.step + 1;
        samples.clamp(1, max as i64) as usize
    }

    /// Moves on by `samples`, no more than [`Transport::room`] gave.
    pub fn advance(&mut self, program: &Program, samples: usize) {
        if !self.playing {
            return;
        }
        self.told = self.position + self.step * (samples as i64 - 1);
        self.position = self.told + self.step;
        if self.count.is_some() {
            // The count-in keeps the tempo it leads to; what it overshoots is already music.
            return;
        }
        while let Some(mark) = program.marks.get(self.mark + 1) {
            let over = self.position - fixed(mark.at);
            if over < 0 {
                break;
            }
            let old = self.step;
            self.mark += 1;
            self.find_step(program);
            let over = (over as f64 * self.step as f64 / old as f64).round() as i64;
            self.position = fixed(mark.at) + over;
        }
    }
}

/// The first beat of the count-in's endless bars after `at`.
fn next_beat(bar: &super::program::Bar, at: Ticks) -> Option<(Ticks, Strength)> {
    let inside = (at - bar.downbeat).rem_euclid(bar.full.max(1));
    let start = at - inside;
    match bar.beats.iter().find(|&&beat| beat > inside) {
        Some(beat) => Some((start + beat, Strength::Beat)),
        None => Some((start + bar.full, Strength::One)),
    }
}

/// Holds a passage within the program: never empty, never past the end.
fn bounded(passage: Passage, program: &Program) -> Passage {
    let from = passage.from.clamp(0, program.length - 1);
    Passage {
        from,
        to: passage.to.clamp(from + 1, program.length),
        ..passage
    }
}
