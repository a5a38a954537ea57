//! What crosses between the player's thread and the audio thread: commands one way, used-up
//! programs back, and the position through atomics. Neither side ever waits for the other.

use super::click::ClickSetting;
use super::program::Program;
use super::transport::Passage;
use crate::arrange::Layer;
use crate::theory::Ticks;
use rtrb::{Consumer, Producer, RingBuffer};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicI64, AtomicU32, AtomicU64, Ordering, fence};
use std::time::Duration;

/// Commands that may be under way at once.
const COMMANDS: usize = 64;

/// A set of layers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LayerSet(u8);

impl LayerSet {
    /// Every layer.
    pub const ALL: LayerSet = LayerSet(0b1_1110);
    /// No layer.
    pub const NONE: LayerSet = LayerSet(0);

    /// The set with `layer` in it as well.
    #[must_use]
    pub fn with(self, layer: Layer) -> LayerSet {
        LayerSet(self.0 | 1 << layer as u8)
    }

    /// The set without `layer`.
    #[must_use]
    pub fn without(self, layer: Layer) -> LayerSet {
        LayerSet(self.0 & !(1 << layer as u8))
    }

    /// True when `layer` is in it.
    pub fn has(self, layer: Layer) -> bool {
        self.0 & 1 << layer as u8 != 0
    }
}

/// Which layers are heard: those soloed if any is, otherwise those not muted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Mix {
    /// Layers that are silent.
    pub mute: LayerSet,
    /// Layers that are heard alone, mute or not.
    pub solo: LayerSet,
}

impl Default for Mix {
    fn default() -> Mix {
        Mix {
            mute: LayerSet::NONE,
            solo: LayerSet::NONE,
        }
    }
}

impl Mix {
    /// The layers that are heard.
    pub fn heard(self) -> LayerSet {
        if self.solo == LayerSet::NONE {
            LayerSet(LayerSet::ALL.0 & !self.mute.0)
        } else {
            self.solo
        }
    }
}

/// What the engine can be told.
#[derive(Debug, Clone)]
pub enum Command {
    /// Play from this from now on: at once when nothing plays, else from the next attack on.
    Load(Box<Program>),
    /// Start a passage.
    Play(Passage),
    /// Play the passage under way to its end, and not again.
    Last,
    /// Stop with a short fade.
    Stop,
    /// Part of the written tempo, 0.2 to 2.
    Speed(f64),
    /// The layers that are heard.
    Layers(LayerSet),
    /// The click.
    Click(ClickSetting),
    /// Amplitude of everything, 1 is full; see [`super::level::amplitude`].
    Gain(f32),
}

/// Where the music is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Position {
    /// The place being heard, in played ticks. Before the passage while it is counted in.
    pub ticks: Ticks,
    /// Music or its count-in is running.
    pub playing: bool,
    /// The count-in is running.
    pub counting: bool,
    /// Passes of a loop begun since the start, from 0.
    pub pass: u32,
}

/// What the engine says about its position; one writer, any number of readers.
#[derive(Debug, Default)]
pub(super) struct Board {
    turn: AtomicU64,
    ticks: AtomicU64,
    per_second: AtomicU64,
    /// When it was written, in nanoseconds of the player's clock.
    at: AtomicU64,
    /// How much later it is heard, in nanoseconds.
    later: AtomicU64,
    from: AtomicI64,
    to: AtomicI64,
    repeat: AtomicBool,
    playing: AtomicBool,
    counting: AtomicBool,
    pass: AtomicU32,
}

/// One state of the board.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Notice {
    pub ticks: f64,
    pub per_second: f64,
    pub at: Duration,
    pub later: Duration,
    pub passage: (Ticks, Ticks, bool),
    pub playing: bool,
    pub counting: bool,
    pub pass: u32,
}

impl Board {
    pub fn write(&self, notice: &Notice) {
        let turn = self.turn.load(Ordering::Relaxed);
        self.turn.store(turn + 1, Ordering::Relaxed);
        fence(Ordering::Release);
        let relaxed = Ordering::Relaxed;
        self.ticks.store(notice.ticks.to_bits(), relaxed);
        self.per_second.store(notice.per_second.to_bits(), relaxed);
        self.at.store(notice.at.as_nanos() as u64, relaxed);
        self.later.store(notice.later.as_nanos() as u64, relaxed);
        self.from.store(notice.passage.0, relaxed);
        self.to.store(notice.passage.1, relaxed);
        self.repeat.store(notice.passage.2, relaxed);
        self.playing.store(notice.playing, relaxed);
        self.counting.store(notice.counting, relaxed);
        self.pass.store(notice.pass, relaxed);
        self.turn.store(turn + 2, Ordering::Release);
    }

    pub fn read(&self) -> Notice {
        loop {
            let turn = self.turn.load(Ordering::Acquire);
            let relaxed = Ordering::Relaxed;
            let notice = Notice {
                ticks: f64::from_bits(self.ticks.load(relaxed)),
                per_second: f64::from_bits(self.per_second.load(relaxed)),
                at: Duration::from_nanos(self.at.load(relaxed)),
                later: Duration::from_nanos(self.later.load(relaxed)),
                passage: (
                    self.from.load(relaxed),
                    self.to.load(relaxed),
                    self.repeat.load(relaxed),
                ),
                playing: self.playing.load(relaxed),
                counting: self.counting.load(relaxed),
                pass: self.pass.load(relaxed),
            };
            fence(Ordering::Acquire);
            if turn.is_multiple_of(2) && self.turn.load(Ordering::Relaxed) == turn {
                return notice;
            }
            std::hint::spin_loop();
        }
    }
}

impl Notice {
    /// What the ear hears at `now` on the player's clock.
    pub fn heard(&self, now: Duration) -> Position {
        // Between two notices time runs on, but not for longer than a stalled device would show.
        let since = now.saturating_sub(self.at).min(Duration::from_millis(100));
        let running = f64::from(u8::from(self.playing));
        let shift = (since.as_secs_f64() - self.later.as_secs_f64()) * self.per_second * running;
        let (from, to, repeat) = self.passage;
        let mut ticks = self.ticks + shift;
        let mut pass = self.pass;
        let span = (to - from) as f64;
        if self.playing && repeat && !self.counting {
            // A loop may be shorter than the way from the engine to the ear.
            let turns = ((ticks - from as f64) / span).floor();
            let turns = turns.max(-f64::from(pass));
            ticks -= turns * span;
            pass = (f64::from(pass) + turns) as u32;
        } else {
            ticks = ticks.min(to as f64);
        }
        Position {
            ticks: ticks.floor() as Ticks,
            playing: self.playing,
            counting: self.playing && (self.counting || ticks < from as f64 && pass == 0),
            pass,
        }
    }
}

/// The engine's ends of the rings.
#[derive(Debug)]
pub(super) struct EngineEnds {
    pub commands: Consumer<Command>,
    pub retired: Producer<Box<Program>>,
    pub board: Arc<Board>,
}

/// The player's ends of the rings.
#[derive(Debug)]
pub(super) struct PlayerEnds {
    pub commands: Producer<Command>,
    pub retired: Consumer<Box<Program>>,
    pub board: Arc<Board>,
}

/// Makes both ends.
pub(super) fn link() -> (PlayerEnds, EngineEnds) {
    let (command_in, command_out) = RingBuffer::new(COMMANDS);
    let (retired_in, retired_out) = RingBuffer::new(COMMANDS);
    let board = Arc::new(Board::default());
    (
        PlayerEnds {
            commands: command_in,
            retired: retired_out,
            board: board.clone(),
        },
        EngineEnds {
            commands: command_out,
            retired: retired_in,
            board,
        },
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn solo_wins_over_mute() {
        let mut mix = Mix::default();
        assert_eq!(mix.heard(), LayerSet::ALL);
        mix.mute = mix.mute.with(Layer::Melody);
        assert!(!mix.heard().has(Layer::Melody) && mix.heard().has(Layer::Bass));
        mix.solo = mix.solo.with(Layer::Melody);
        assert_eq!(mix.heard(), LayerSet::NONE.with(Layer::Melody));
    }

    #[test]
    fn the_ear_is_behind_the_engine() {
        let notice = Notice {
            ticks: 10_000.0,
            per_second: 20_000.0,
            at: Duration::from_millis(500),
            later: Duration::from_millis(30),
            passage: (9_900, 40_000, true),
            playing: true,
            counting: false,
            pass: 1,
        };
        // 10 ms after the notice, 30 ms latency: 20 ms back, which was the loop's last pass.
        let heard = notice.heard(Duration::from_millis(510));
        assert_eq!((heard.ticks, heard.pass), (9_600 + 30_100, 0));
        // 35 ms after the notice: 5 ms ahead of what was written then.
        assert_eq!(notice.heard(Duration::from_millis(535)).ticks, 10_100);
        // A device two seconds late, in a loop of one and a half: two passes back, but never before
        // the first.
        let late = |pass| Notice {
            later: Duration::from_secs(2),
            pass,
            ..notice
        };
        let heard = late(3).heard(notice.at);
        assert_eq!((heard.ticks, heard.pass), (10_000 - 40_000 + 60_200, 1));
        let heard = late(1).heard(notice.at);
        assert_eq!((heard.ticks, heard.pass), (10_000 - 40_000 + 30_100, 0));
        let board = Board::default();
        board.write(&notice);
        assert_eq!(board.read(), notice);
    }
}
