//! Keeps the music going whatever the device does.
//!
//! A thread owns the stream. While there is none it drives the engine itself, on a silent clock,
//! and tries for a device every two seconds. Lost devices show themselves in too many ways to
//! trust any message, so it watches whether frames still go out.

use super::device::DeviceError;
use super::engine::Engine;
use super::stream::{BUFFERS, Open, open};
use std::sync::atomic::Ordering;
use std::sync::mpsc::{Receiver, RecvTimeoutError, TryRecvError, channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

/// How often the thread looks after things: often enough for the eye, seldom enough for the battery.
const TURN: Duration = Duration::from_millis(20);
/// A device that asked for something so lately keeps up.
const FRESH: Duration = Duration::from_millis(5);
/// A playing device that asks for nothing for so long is lost.
const STALLED: Duration = Duration::from_millis(300);
/// A fresh one is given more time: some stand still for over a second at first.
const GRACE: Duration = Duration::from_secs(4);
/// Between two tries for a device.
const RETRY: Duration = Duration::from_secs(2);
/// Silence that a fresh device gets before the music, since some spoil their first moments.
const LEAD_IN: f64 = 0.1;
/// The most that the silent clock catches up at once after the thread was kept waiting.
const CATCH_UP: Duration = Duration::from_millis(500);

/// What the sound goes to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Output {
    /// A device is being opened; the silent clock runs.
    Opening,
    /// A device plays.
    Device {
        /// Its name.
        name: String,
        /// Frames a second.
        rate: u32,
    },
    /// The silent clock runs.
    Silent {
        /// Why there is no sound.
        why: DeviceError,
    },
}

/// The thread's state.
pub(super) struct Keeper {
    epoch: Instant,
    status: Arc<Mutex<Output>>,
    wish: Option<String>,
    /// The engine, while it is here and not in a stream.
    engine: Option<Box<Engine>>,
    clock: Instant,
    stream: Option<Stream>,
    opening: Option<Receiver<Result<Open, DeviceError>>>,
    retry: Instant,
    /// Which of the buffer sizes the machine can keep up with.
    buffer: usize,
}

struct Stream {
    open: Open,
    /// The engine went over to it.
    playing: bool,
    frames: u64,
    moved: Instant,
}

impl Keeper {
    pub fn new(
        engine: Engine,
        wish: Option<String>,
        epoch: Instant,
        status: Arc<Mutex<Output>>,
    ) -> Keeper {
        let now = Instant::now();
        Keeper {
            epoch,
            status,
            wish,
            engine: Some(Box::new(engine)),
            clock: now,
            stream: None,
            opening: None,
            retry: now,
            buffer: 0,
        }
    }

    /// Runs until the other end of `quit` is dropped.
    pub fn run(mut self, quit: &Receiver<()>) {
        super::device::hush();
        while let Err(RecvTimeoutError::Timeout) = quit.recv_timeout(TURN) {
            self.turn(Instant::now());
        }
        self.drop_stream();
    }

    fn turn(&mut self, now: Instant) {
        self.answer(now);
        self.watch(now);
        self.silent_clock(now);
        if self.stream.is_none() && self.opening.is_none() && now >= self.retry {
            self.try_open(now);
        }
    }

    fn say(&self, output: Output) {
        *self.status.lock().unwrap_or_else(PoisonError::into_inner) = output;
    }

    /// Opens in a thread of its own: a sound server that hangs must not stop the clock.
    fn try_open(&mut self, now: Instant) {
        let (reply, answer) = channel();
        let (wish, buffer, epoch) = (self.wish.clone(), self.buffer, self.epoch);
        let started = std::thread::Builder::new()
            .name("sound opener".into())
            .spawn(move || {
                // The keeper may have ended; then the stream is simply dropped.
                let _ = reply.send(open(wish.as_deref(), buffer, epoch));
            });
        match started {
            Ok(_) => self.opening = Some(answer),
            Err(error) => self.failed(DeviceError::Other(error.to_string()), now),
        }
    }

    fn failed(&mut self, why: DeviceError, now: Instant) {
        self.retry = now + RETRY;
        self.say(Output::Silent { why });
    }

    fn answer(&mut self, now: Instant) {
        let Some(answer) = &self.opening else { return };
        let result = match answer.try_recv() {
            Err(TryRecvError::Empty) => return,
            Err(TryRecvError::Disconnected) => Err(DeviceError::Gone),
            Ok(result) => result,
        };
        self.opening = None;
        match result {
            Ok(open) => {
                self.stream = Some(Stream {
                    open,
                    playing: false,
                    frames: 0,
                    moved: now,
                });
            }
            Err(why) => self.failed(why, now),
        }
    }

    fn watch(&mut self, now: Instant) {
        let Some(stream) = &mut self.stream else {
            return;
        };
        let frames = stream.open.pulse.frames.load(Ordering::Relaxed);
        if frames != stream.frames {
            (stream.frames, stream.moved) = (frames, now);
        }
        let still = now.saturating_duration_since(stream.moved);
        if still < FRESH {
            stream.open.pulse.late.store(false, Ordering::Relaxed);
        }
        let late = stream.open.pulse.late.load(Ordering::Relaxed);
        let patience = if stream.playing { STALLED } else { GRACE };
        let gone = stream.open.pulse.gone.load(Ordering::Relaxed);
        if gone || still > patience {
            // A stream that once played may only have stumbled: try again at once.
            let (played, moved) = (stream.playing, stream.moved);
            self.drop_stream();
            self.failed(DeviceError::Gone, now);
            if played && !gone {
                self.retry = now;
                if late {
                    self.buffer = (self.buffer + 1).min(BUFFERS.len() - 1);
                }
                // The music went on while nobody played it.
                self.clock = moved;
            }
            return;
        }
        let rate = stream.open.rate;
        if !stream.playing
            && frames as f64 > LEAD_IN * f64::from(rate)
            && let Some(mut engine) = self.engine.take()
        {
            if engine.rate() != f64::from(rate) {
                engine.set_rate(f64::from(rate));
            }
            match stream.open.engine.push(engine) {
                Ok(()) => {
                    stream.playing = true;
                    stream.moved = now;
                    let name = stream.open.name.clone();
                    self.say(Output::Device { name, rate });
                }
                // The ring holds one and was empty; should it not be, the clock just goes on.
                Err(rtrb::PushError::Full(engine)) => self.engine = Some(engine),
            }
        }
    }

    /// Ends the stream and takes the engine back.
    fn drop_stream(&mut self) {
        if let Some(stream) = self.stream.take() {
            let home = stream.open.home.clone();
            drop(stream);
            if let Some(engine) = home.lock().unwrap_or_else(PoisonError::into_inner).take() {
                self.engine = Some(engine);
                self.clock = Instant::now();
            }
        }
    }

    /// Lets the engine run as long as time has passed, and throws the sound away.
    fn silent_clock(&mut self, now: Instant) {
        let Some(engine) = &mut self.engine else {
            return;
        };
        let rate = engine.rate();
        let passed = now.saturating_duration_since(self.clock);
        if passed > CATCH_UP {
            self.clock = now - CATCH_UP;
        }
        let passed = now.saturating_duration_since(self.clock);
        let mut frames = (passed.as_secs_f64() * rate) as usize;
        self.clock += Duration::from_secs_f64(frames as f64 / rate);
        let mut scratch = [[0.0; 2]; 256];
        while frames > 0 {
            let n = frames.min(scratch.len());
            engine.fill(&mut scratch[..n]);
            frames -= n;
        }
        engine.publish(self.epoch.elapsed(), Duration::ZERO);
    }
}
