//! Plays a score aloud: what the screens and the command line hold in their hands.

use super::click::ClickSetting;
use super::command::{Command, Mix, PlayerEnds, Position, link};
use super::engine::Engine;
use super::level::amplitude;
use super::output::{Keeper, Output};
use super::program::Program;
use super::transport::Passage;
use crate::score::Score;
use std::collections::VecDeque;
use std::mem::discriminant;
use std::sync::mpsc::{Sender, channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

/// Rate of the silent clock before there is a device, in Hz.
const RATE: f64 = 48_000.0;

/// An engine at work, on a device or on the silent clock.
///
/// Nothing here waits for the sound: calls return at once. Call [`Player::tick`] with every frame
/// of the screen, so that what could not be sent is sent and old programs are freed.
#[derive(Debug)]
pub struct Player {
    ends: PlayerEnds,
    backlog: VecDeque<Command>,
    /// Dropped, it ends the thread.
    quit: Option<Sender<()>>,
    status: Arc<Mutex<Output>>,
    epoch: Instant,
    thread: Option<JoinHandle<()>>,
}

impl Player {
    /// Starts with the device of this name, or the default one. Never fails: without a device the
    /// music runs silently, [`Player::output`] says why, and the device is taken when it comes.
    pub fn open(device: Option<&str>) -> Player {
        let epoch = Instant::now();
        let status = Arc::new(Mutex::new(Output::Opening));
        let (ends, engine_ends) = link();
        let engine = Engine::new(RATE, Box::new(Program::empty()), engine_ends);
        let wish = device.map(str::to_owned);
        let keeper = Keeper::new(engine, wish, epoch, status.clone());
        let (quit, inbox) = channel();
        // Without a thread there is no clock at all; then every position stays at the start.
        let thread = std::thread::Builder::new()
            .name("sound".into())
            .spawn(move || keeper.run(&inbox))
            .ok();
        Player {
            ends,
            backlog: VecDeque::new(),
            quit: Some(quit),
            status,
            epoch,
            thread,
        }
    }

    /// Waits until a device plays or is known not to, at most `patience`.
    pub fn settle(&self, patience: Duration) -> Output {
        let end = Instant::now() + patience;
        loop {
            let output = self.output();
            if output != Output::Opening || Instant::now() >= end {
                return output;
            }
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    /// Plays this score from now on: at once when nothing plays, else from the next attack on.
    pub fn load(&mut self, score: &Score) {
        self.send(Command::Load(Box::new(Program::new(score))));
    }

    /// Starts a passage.
    pub fn play(&mut self, passage: Passage) {
        self.send(Command::Play(passage));
    }

    /// Stops; the strings are damped as by a hand.
    pub fn stop(&mut self) {
        self.send(Command::Stop);
    }

    /// Part of the written tempo, 0.2 to 2; pitch stays.
    pub fn set_speed(&mut self, speed: f64) {
        self.send(Command::Speed(speed));
    }

    /// Which layers are heard.
    pub fn set_mix(&mut self, mix: Mix) {
        self.send(Command::Layers(mix.heard()));
    }

    /// The click.
    pub fn set_click(&mut self, click: ClickSetting) {
        self.send(Command::Click(click));
    }

    /// The level of everything in dB, −60 to 6. Show [`super::level::HEARING`] where it is set.
    pub fn set_level(&mut self, db: f32) {
        self.send(Command::Gain(amplitude(db)));
    }

    /// Where the ear is.
    pub fn position(&self) -> Position {
        self.ends.board.read().heard(self.epoch.elapsed())
    }

    /// What the sound goes to.
    pub fn output(&self) -> Output {
        self.status
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clone()
    }

    /// True when everything sent so far has been taken by the engine.
    pub fn idle(&self) -> bool {
        self.backlog.is_empty()
            && self.ends.commands.slots() == self.ends.commands.buffer().capacity()
    }

    /// Sends what is waiting and frees programs no longer played.
    pub fn tick(&mut self) {
        while let Ok(program) = self.ends.retired.pop() {
            drop(program);
        }
        while let Some(command) = self.backlog.pop_front() {
            if let Err(rtrb::PushError::Full(command)) = self.ends.commands.push(command) {
                self.backlog.push_front(command);
                return;
            }
        }
    }

    fn send(&mut self, command: Command) {
        // Of settings still waiting only the last matters; starts and stops keep their order.
        if !matches!(command, Command::Play(_) | Command::Stop) {
            self.backlog
                .retain(|waiting| discriminant(waiting) != discriminant(&command));
        }
        self.backlog.push_back(command);
        self.tick();
    }
}

impl Drop for Player {
    fn drop(&mut self) {
        self.quit = None;
        if let Some(thread) = self.thread.take() {
            // A panic there has been reported already.
            let _ = thread.join();
        }
    }
}
