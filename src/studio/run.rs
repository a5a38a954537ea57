//! The thin part around the studio: terminal, keys, clock, files and sound.

use super::keeper::Keeper;
use super::keymap;
use super::message::{Message, Order};
use super::sound::Sound;
use super::state::Studio;
use super::view::view;
use crate::exchange::output::write_file;
use crate::shelf::Folders;
use crossterm::event::{self, Event, KeyEventKind};
use ratatui::DefaultTerminal;
use std::io;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

/// How long a frame is shown while music runs, and how long a key is waited for at rest.
const FRAME: Duration = Duration::from_millis(33);
const REST: Duration = Duration::from_millis(150);

/// Why the studio can't go on.
#[derive(Debug, thiserror::Error)]
pub enum StudioError {
    /// The terminal fails.
    #[error("the terminal can't be used")]
    Terminal(#[from] io::Error),
}

/// Runs the studio until the player leaves. The terminal is given back as it was, also when the
/// program is ended from outside or breaks.
///
/// # Errors
/// When the terminal fails.
pub fn run(mut studio: Studio) -> Result<(), StudioError> {
    let end = Arc::new(AtomicBool::new(false));
    let flag = end.clone();
    // A handler set before does as well: then the signal ends the program in its own way.
    let _ = ctrlc::set_handler(move || flag.store(true, Ordering::Relaxed));
    // Also sets a hook that gives the terminal back before a panic is told.
    let mut terminal = ratatui::try_init()?;
    let result = go_on(&mut studio, &mut terminal, &end);
    ratatui::restore();
    result
}

fn go_on(
    studio: &mut Studio,
    terminal: &mut DefaultTerminal,
    end: &AtomicBool,
) -> Result<(), StudioError> {
    let mut sound = Sound::open();
    let keeper = Keeper::new(Folders::of_user().map_err(|e| e.to_string()));
    let mut clock = Clock::new();
    for order in studio.begin() {
        sound.obey(&order);
    }
    let mut idle = false;
    while !end.load(Ordering::Relaxed) {
        if let Some(time) = clock.tick() {
            studio.update(time);
        }
        terminal.draw(|frame| view(studio, frame))?;
        let mut messages = sound.tick();
        messages.extend(keeper.tick());
        let wait = match (sound.plays(), idle) {
            (true, _) => FRAME,
            (false, true) => REST,
            (false, false) => Duration::ZERO,
        };
        let mut pressed = false;
        let mut patience = wait;
        // What was pressed while a frame was drawn is answered with one frame.
        while event::poll(patience)? {
            patience = Duration::ZERO;
            pressed = true;
            if let Event::Key(key) = event::read()?
                && key.kind != KeyEventKind::Release
            {
                messages.extend(keymap::message(studio.place(), key));
            }
        }
        if !pressed && !idle {
            messages.push(Message::Idle);
        }
        idle = !pressed;
        for message in messages {
            if !act(studio, terminal, (&mut sound, &keeper), message)? {
                return Ok(());
            }
        }
    }
    Ok(())
}

/// Tells the time once a second.
struct Clock {
    began: Instant,
    said: Option<u64>,
}

impl Clock {
    fn new() -> Clock {
        Clock {
            began: Instant::now(),
            said: None,
        }
    }

    fn tick(&mut self) -> Option<Message> {
        let seconds = self.began.elapsed().as_secs();
        if self.said.replace(seconds) == Some(seconds) {
            return None;
        }
        let now = jiff::Zoned::now().datetime();
        Some(Message::Clock(now, seconds))
    }
}

/// Lets a message happen and does what is asked for; false when that is to leave.
fn act(
    studio: &mut Studio,
    terminal: &mut DefaultTerminal,
    (sound, keeper): (&mut Sound, &Keeper),
    message: Message,
) -> Result<bool, StudioError> {
    for order in studio.update(message) {
        sound.obey(&order);
        keeper.obey(&order);
        match order {
            Order::Quit => return Ok(false),
            Order::Suspend => suspend(terminal)?,
            Order::Write { path, text } => {
                let written = write_file(&path, text.as_bytes()).map_err(|e| e.to_string());
                studio.update(Message::Written(written));
            }
            _ => {}
        }
    }
    Ok(true)
}

/// Gives the terminal back, stops until woken, and takes it again.
fn suspend(terminal: &mut DefaultTerminal) -> Result<(), StudioError> {
    #[cfg(unix)]
    {
        ratatui::restore();
        signal_hook::low_level::raise(signal_hook::consts::SIGTSTP)?;
        *terminal = ratatui::try_init()?;
    }
    terminal.clear()?;
    Ok(())
}
