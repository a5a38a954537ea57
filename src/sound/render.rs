//! The engine off line: the same sound as through a device, as fast as the machine can.

use super::click::ClickSetting;
use super::command::{Command, LayerSet, PlayerEnds, link};
use super::engine::{BLOCK, Engine};
use super::level::{LOOKAHEAD, amplitude};
use super::program::Program;
use super::transport::Passage;
use crate::score::Score;
use crate::theory::Ticks;
use std::time::Duration;

/// Sample rates that can be rendered, in Hz.
pub const RATES: std::ops::RangeInclusive<u32> = 8_000..=192_000;

/// The longest end after the last note, in seconds.
const TAIL: f64 = 6.0;

/// The end is over when a quarter of a second stays below this (−80 dB).
const QUIET: f32 = 1e-4;

/// How a score is rendered.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// Frames a second, within [`RATES`].
    pub rate: u32,
    /// Start and end in played ticks; the whole score if not given.
    pub range: Option<(Ticks, Ticks)>,
    /// How often the range is played, at least once.
    pub passes: u32,
    /// Bars counted in.
    pub count_in: u8,
    /// Part of the written tempo, 0.2 to 2.
    pub speed: f64,
    /// The layers that are heard.
    pub layers: LayerSet,
    /// The click.
    pub click: ClickSetting,
    /// Level in dB, −60 to 6.
    pub level_db: f32,
}

impl Default for Settings {
    fn default() -> Settings {
        Settings {
            rate: 48_000,
            range: None,
            passes: 1,
            count_in: 0,
            speed: 1.0,
            layers: LayerSet::ALL,
            click: ClickSetting::default(),
            level_db: -3.0,
        }
    }
}

/// The frames of a rendered score, left and right, −1 to 1.
///
/// They begin at the first beat (or with the count-in) and end when the last note has died away.
pub struct Render {
    engine: Engine,
    ends: PlayerEnds,
    passes: u32,
    repeats: bool,
    block: [[f32; 2]; BLOCK],
    at: usize,
    tail: Tail,
}

/// What is left after the music ended.
struct Tail {
    frames: usize,
    quiet: usize,
    most: usize,
    enough: usize,
}

impl Render {
    /// Prepares a rendering. Settings outside their ranges are held inside them.
    pub fn new(score: &Score, settings: &Settings) -> Render {
        let rate = settings.rate.clamp(*RATES.start(), *RATES.end());
        let (mut ends, engine_ends) = link();
        let program = Program::new(score);
        let (from, to) = settings.range.unwrap_or((0, program.length()));
        let passage = Passage {
            from,
            to,
            repeat: settings.passes > 1,
            count_in: settings.count_in,
        };
        let gain = amplitude(settings.level_db);
        let orders = [
            Command::Gain(gain),
            Command::Click(settings.click),
            Command::Layers(settings.layers),
            Command::Speed(settings.speed),
            Command::Play(passage),
        ];
        for order in orders {
            // A new ring has room for many times these.
            let sent = ends.commands.push(order);
            debug_assert!(sent.is_ok());
        }
        let mut engine = Engine::new(f64::from(rate), Box::new(program), engine_ends);
        engine.settle(gain, amplitude(settings.click.level_db));
        let mut render = Render {
            engine,
            ends,
            passes: settings.passes.max(1),
            repeats: passage.repeat,
            block: [[0.0; 2]; BLOCK],
            at: BLOCK,
            tail: Tail {
                frames: 0,
                quiet: 0,
                most: (TAIL * f64::from(rate)) as usize,
                enough: rate as usize / 4,
            },
        };
        // What the limiter holds back before the first frame.
        let mut held = [[0.0; 2]; LOOKAHEAD];
        render.engine.fill(&mut held);
        render
    }

    /// Makes the next block; false when all is over.
    fn refill(&mut self) -> bool {
        if !self.engine.playing() {
            if self.tail.frames >= self.tail.most || self.tail.quiet >= self.tail.enough {
                return false;
            }
            self.tail.frames += BLOCK;
        }
        self.engine.publish(Duration::ZERO, Duration::ZERO);
        if self.repeats && self.ends.board.read().pass + 1 >= self.passes {
            // If the ring were full the loop would only go on until the next block's try.
            self.repeats = self.ends.commands.push(Command::Last).is_err();
        }
        self.engine.fill(&mut self.block);
        let peak = self
            .block
            .iter()
            .flatten()
            .fold(0f32, |p, x| p.max(x.abs()));
        self.tail.quiet = if peak < QUIET {
            self.tail.quiet + BLOCK
        } else {
            0
        };
        self.at = 0;
        true
    }
}

impl Iterator for Render {
    type Item = [f32; 2];

    fn next(&mut self) -> Option<[f32; 2]> {
        if self.at == BLOCK && !self.refill() {
            return None;
        }
        self.at += 1;
        Some(self.block[self.at - 1])
    }
}

/// An engine by itself, for measuring it: commands in, frames out, nothing in between.
pub struct Bench {
    engine: Engine,
    ends: PlayerEnds,
    swaps: usize,
}

impl Bench {
    /// An engine with a score loaded; `rate` in Hz.
    pub fn new(score: &Score, rate: f64) -> Bench {
        let (ends, engine_ends) = link();
        Bench {
            engine: Engine::new(rate, Box::new(Program::new(score)), engine_ends),
            ends,
            swaps: 0,
        }
    }

    /// Sends a command. Returns false when there was no room for it.
    pub fn send(&mut self, command: Command) -> bool {
        self.ends.commands.push(command).is_ok()
    }

    /// What the device's callback does.
    pub fn fill(&mut self, out: &mut [[f32; 2]]) {
        self.engine.fill(out);
        self.engine.publish(Duration::ZERO, Duration::ZERO);
    }

    /// Runs for so many frames and adds the left channel to `sound`.
    pub fn run(&mut self, frames: usize, sound: &mut Vec<f32>) {
        let mut out = vec![[0.0; 2]; frames];
        self.fill(&mut out);
        sound.extend(out.iter().map(|f| f[0]));
        self.drain();
    }

    /// Frees the programs that came back.
    pub fn drain(&mut self) {
        while self.ends.retired.pop().is_ok() {
            self.swaps += 1;
        }
    }

    /// How many programs came back.
    pub fn swaps(&self) -> usize {
        self.swaps
    }

    /// Where the music is.
    pub fn position(&self) -> super::Position {
        self.ends.board.read().heard(Duration::ZERO)
    }
}
