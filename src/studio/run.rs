//! The thin part around the studio: terminal, keys, clock, files and sound.

use super::brush::Spots;
use super::config::Wardrobe;
use super::disk::Files;
use super::message::{Message, Order};
use super::sound::Sound;
use super::state::Studio;
use super::valet::Valet;
use super::view::view;
use crate::shelf::Folders;
use crossterm::cursor::Show;
use crossterm::event::{
    self, DisableMouseCapture, EnableMouseCapture, Event, KeyEventKind, MouseButton, MouseEvent,
    MouseEventKind,
};
use crossterm::terminal::{Clear, ClearType};
#[cfg(unix)]
use crossterm::terminal::{EnterAlternateScreen, enable_raw_mode};
use ratatui::DefaultTerminal;
#[cfg(unix)]
use ratatui::{Terminal, backend::CrosstermBackend};
use std::io::{self, Write};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

/// How long a frame is shown while music runs, and how long a key is waited for at rest.
const FRAME: Duration = Duration::from_millis(33);
const REST: Duration = Duration::from_millis(150);
/// How long an answer of the disk may lie unread.
const SOON: Duration = Duration::from_millis(10);

/// How long the studio may take to end when it is told to from outside.
const LAST_WORDS: Duration = Duration::from_secs(1);

/// The exit code of a program that broke, as Rust has it.
const BROKEN: i32 = 101;

/// Why the studio can't go on.
#[derive(Debug, thiserror::Error)]
pub enum StudioError {
    /// The terminal fails.
    #[error("the terminal can't be used")]
    Terminal(#[from] io::Error),
}

/// Runs the studio until the player leaves, on the songs in `folders`. The terminal is given back as
/// it was, also when the program is ended from outside or breaks.
///
/// # Errors
/// When the terminal fails.
pub fn run(mut studio: Studio, folders: Option<Folders>) -> Result<(), StudioError> {
    let end = Arc::new(AtomicBool::new(false));
    let flag = end.clone();
    // A handler set before does as well: then the signal ends the program in its own way.
    let _ = ctrlc::set_handler(move || {
        flag.store(true, Ordering::Relaxed);
        // Where the terminal is gone, waiting for a key may never end.
        std::thread::sleep(LAST_WORDS);
        // Writing to one that stands still may not end either.
        std::thread::spawn(give_back);
        std::thread::sleep(LAST_WORDS);
        std::process::exit(1);
    });
    // The theme decides, and where `NO_COLOR` is set and the config names none, it has no colour.
    crossterm::style::force_color_output(true);
    let mut terminal = ratatui::try_init()?;
    let tell = std::panic::take_hook();
    let painter = std::thread::current().id();
    std::panic::set_hook(Box::new(move |panic| {
        give_back();
        tell(panic);
        // Without one of its threads the studio can't be trusted, and the terminal is given back.
        if std::thread::current().id() != painter {
            std::process::exit(BROKEN);
        }
    }));
    let mut world = World::open(&mut studio, &mut terminal, folders);
    let result = world.go_on(&end);
    give_back();
    if !world.files.finish() {
        let text = "waiting for the disk to take what you changed; Ctrl-C leaves without it";
        let _ = writeln!(io::stderr(), "{text}");
    }
    result
}

/// Gives the terminal back as it was. Complaining to one that is gone could hang.
fn give_back() {
    let _ = crossterm::execute!(io::stdout(), DisableMouseCapture, Show);
    let _ = ratatui::try_restore();
}

/// What the studio moves and is moved by.
struct World<'a> {
    studio: &'a mut Studio,
    terminal: &'a mut DefaultTerminal,
    sound: Sound,
    files: Files,
    valet: Valet,
    /// What was said of the disk.
    stall: Option<u64>,
    clock: Clock,
    /// What clicks do on the frame that is shown.
    spots: Spots,
    /// The terminal tells of clicks.
    mouse: bool,
}

impl<'a> World<'a> {
    fn open(
        studio: &'a mut Studio,
        terminal: &'a mut DefaultTerminal,
        folders: Option<Folders>,
    ) -> World<'a> {
        let usual = studio.look.theme.clone();
        World {
            studio,
            terminal,
            valet: Valet::new(Wardrobe::new(folders.clone(), usual)),
            stall: None,
            sound: Sound::open(),
            files: Files::start(folders),
            clock: Clock::new(),
            spots: Spots::default(),
            mouse: false,
        }
    }

    fn go_on(&mut self, end: &AtomicBool) -> Result<(), StudioError> {
        self.measure()?;
        if let Some(look) = self.valet.first() {
            self.act(look)?;
        }
        let orders = self.studio.begin();
        self.obey(orders)?;
        let (mut idle, mut news) = (false, true);
        while !end.load(Ordering::Relaxed) {
            if std::mem::take(&mut news) {
                // What is seen is on the disk.
                self.files.settle();
                (self.terminal).draw(|frame| self.spots = view(self.studio, frame))?;
            }
            let mut messages: Vec<Message> = self.clock.tick().into_iter().collect();
            // Once a second is soon enough to see a theme change.
            if !messages.is_empty() {
                self.valet.look();
            }
            messages.extend(self.valet.tick());
            self.listen(self.studio.look.mouse)?;
            messages.extend(self.sound.tick());
            messages.extend(self.files.news().into_iter().map(Message::News));
            let stall = self.files.stall();
            if std::mem::replace(&mut self.stall, stall) != stall {
                messages.push(Message::Stall(stall));
            }
            let events = self.events(idle)?;
            if events.is_empty() && !idle {
                messages.push(Message::Idle);
            }
            idle = events.is_empty();
            news = !messages.is_empty() || !events.is_empty();
            for message in messages {
                if !self.act(message)? {
                    return Ok(());
                }
            }
            for event in events {
                self.files.settle();
                // What a key means depends on what the one before it has done.
                if let Some(message) = self.message(&event)
                    && !self.act(message)?
                {
                    return Ok(());
                }
            }
        }
        Ok(())
    }

    /// Tells the studio how large the terminal is.
    fn measure(&mut self) -> Result<(), StudioError> {
        let size = self.terminal.size()?;
        self.act(Message::Size(size.width, size.height))?;
        Ok(())
    }

    fn message(&mut self, event: &Event) -> Option<Message> {
        match event {
            Event::Key(key) if key.kind != KeyEventKind::Release => self.studio.press(*key),
            Event::Mouse(mouse) => self.mouse(*mouse),
            Event::Resize(width, height) => Some(Message::Size(*width, *height)),
            _ => None,
        }
    }

    fn mouse(&mut self, mouse: MouseEvent) -> Option<Message> {
        match mouse.kind {
            MouseEventKind::Down(MouseButton::Left) => {
                self.studio.click(&self.spots, mouse.column, mouse.row)
            }
            MouseEventKind::ScrollDown => self.studio.wheel(1),
            MouseEventKind::ScrollUp => self.studio.wheel(-1),
            _ => None,
        }
    }

    /// Asks the terminal to tell of clicks, or no more.
    fn listen(&mut self, to_clicks: bool) -> Result<(), StudioError> {
        if std::mem::replace(&mut self.mouse, to_clicks) != to_clicks {
            match to_clicks {
                true => crossterm::execute!(io::stdout(), EnableMouseCapture)?,
                false => crossterm::execute!(io::stdout(), DisableMouseCapture)?,
            }
        }
        Ok(())
    }

    /// What was pressed since the last frame.
    fn events(&self, idle: bool) -> Result<Vec<Event>, StudioError> {
        let mut patience = match (self.files.is_busy(), self.sound.plays(), idle) {
            (true, ..) => SOON,
            (_, true, _) => FRAME,
            (.., true) => REST,
            (.., false) => Duration::ZERO,
        };
        let mut events = Vec::new();
        // What was pressed while a frame was drawn is answered with one frame.
        while event::poll(patience)? {
            patience = Duration::ZERO;
            events.push(event::read()?);
        }
        Ok(events)
    }

    /// Lets a message happen and does what is asked for; false when that is to leave.
    fn act(&mut self, message: Message) -> Result<bool, StudioError> {
        let orders = self.studio.update(message);
        self.obey(orders)
    }

    fn obey(&mut self, orders: Vec<Order>) -> Result<bool, StudioError> {
        for order in orders {
            self.sound.obey(&order);
            match order {
                Order::Quit => return Ok(false),
                Order::Suspend => {
                    self.listen(false)?;
                    suspend(self.terminal)?;
                    self.listen(self.studio.look.mouse)?;
                    // Nobody tells of a window that changes while the program is stopped.
                    self.measure()?;
                }
                Order::Disk(errand) => self.files.send(errand),
                _ => {}
            }
        }
        Ok(true)
    }
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

/// Gives the terminal back, stops until woken, and takes it again.
fn suspend(terminal: &mut DefaultTerminal) -> Result<(), StudioError> {
    #[cfg(unix)]
    {
        give_back();
        signal_hook::low_level::raise(signal_hook::consts::SIGTSTP)?;
        // As at the start, but without another panic hook over ours.
        enable_raw_mode()?;
        crossterm::execute!(io::stdout(), EnterAlternateScreen)?;
        *terminal = Terminal::new(CrosstermBackend::new(io::stdout()))?;
    }
    // What the terminal itself would have to answer is not waited for.
    crossterm::execute!(terminal.backend_mut(), Clear(ClearType::All))?;
    Ok(())
}
