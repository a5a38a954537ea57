//! The program in a terminal: a pseudo-terminal, a screen kept by the `vt100` library, keys as a
//! terminal sends them. Nothing here waits for a set time: a test waits for what is to be seen.

use portable_pty::{Child, CommandBuilder, ExitStatus, MasterPty, PtySize, native_pty_system};
use std::io::{Read, Write};
use std::num::NonZero;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

/// How long is waited for something that is sure to come, however slow the machine.
const PATIENCE: Duration = Duration::from_secs(90);
const GLANCE: Duration = Duration::from_millis(10);

/// Keys that are not a sign.
pub const ENTER: &str = "\r";
pub const ESC: &str = "\x1b";
pub const TAB: &str = "\t";
pub const BACKSPACE: &str = "\x7f";
pub const UP: &str = "\x1b[A";
pub const DOWN: &str = "\x1b[B";
pub const RIGHT: &str = "\x1b[C";
pub const LEFT: &str = "\x1b[D";
pub const HOME: &str = "\x1b[H";
pub const END: &str = "\x1b[F";
pub const PAGE_DOWN: &str = "\x1b[6~";
pub const PAGE_UP: &str = "\x1b[5~";
pub const DELETE: &str = "\x1b[3~";
pub const F1: &str = "\x1bOP";
pub const F2: &str = "\x1bOQ";

/// What Ctrl with a letter sends.
pub fn ctrl(letter: char) -> String {
    char::from(letter.to_ascii_uppercase() as u8 - b'@').to_string()
}

/// A home folder of its own, in which the program may be started again and again.
pub struct House {
    folder: tempfile::TempDir,
}

impl House {
    /// A home in which the program was never started.
    pub fn new() -> House {
        House {
            folder: tempfile::tempdir().expect("a folder"),
        }
    }

    /// A home with these songs and no others, by file name and text.
    pub fn with(songs: &[(&str, &str)]) -> House {
        let house = House::new();
        // The folder of a shelf that was opened before.
        std::fs::create_dir_all(house.songs().join(".thumbline")).expect("a folder");
        for (name, text) in songs {
            std::fs::write(house.songs().join(name), text).expect("written");
        }
        house
    }

    pub fn path(&self) -> &Path {
        self.folder.path()
    }

    pub fn songs(&self) -> PathBuf {
        self.path().join("data/thumbline/songs")
    }

    pub fn config(&self) -> PathBuf {
        self.path().join("config/thumbline")
    }

    pub fn log(&self) -> String {
        std::fs::read_to_string(self.path().join("data/thumbline/practice.log")).unwrap_or_default()
    }

    /// The text of a song.
    pub fn song(&self, name: &str) -> String {
        std::fs::read_to_string(self.songs().join(name)).unwrap_or_default()
    }

    /// Starts another program.
    pub fn start_other(&self, program: &Path, words: &[&str]) -> Studio {
        let mut command = CommandBuilder::new(program);
        command.args(words);
        self.furnish(&mut command);
        Studio::spawn(command, (80, 24))
    }

    /// Starts an interactive shell in which the program can be called by its name.
    pub fn shell(&self) -> Studio {
        let mut command = CommandBuilder::new("bash");
        command.args(["--norc", "--noprofile", "-i"]);
        self.furnish(&mut command);
        let program = Path::new(env!("CARGO_BIN_EXE_thumbline"));
        let mut paths = vec![program.parent().map(PathBuf::from).unwrap_or_default()];
        let path = std::env::var_os("PATH").unwrap_or_default();
        paths.extend(std::env::split_paths(&path));
        command.env("PATH", std::env::join_paths(paths).expect("a path"));
        command.env("PS1", "ready> ");
        Studio::spawn(command, (80, 24))
    }

    pub fn start(&self, words: &[&str]) -> Studio {
        self.start_with(words, (80, 24), &[])
    }

    /// Starts the program on a terminal of so many columns and rows, with more in its surroundings.
    pub fn start_with(&self, words: &[&str], size: (u16, u16), more: &[(&str, &str)]) -> Studio {
        let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_thumbline"));
        command.args(words);
        self.furnish(&mut command);
        for (name, value) in more {
            command.env(name, value);
        }
        Studio::spawn(command, size)
    }

    fn furnish(&self, command: &mut CommandBuilder) {
        command.env_clear();
        command.env("PATH", std::env::var_os("PATH").unwrap_or_default());
        command.env("HOME", self.path());
        command.env("XDG_DATA_HOME", self.path().join("data"));
        command.env("XDG_CONFIG_HOME", self.path().join("config"));
        command.env("TERM", "xterm-256color");
        command.env("LANG", "C.UTF-8");
        command.cwd(self.path());
    }
}

/// The program, running.
pub struct Studio {
    child: Box<dyn Child + Send + Sync>,
    terminal: Option<Box<dyn MasterPty + Send>>,
    keys: Option<Box<dyn Write + Send>>,
    reader: Option<JoinHandle<()>>,
    gone: Arc<AtomicBool>,
    seen: Arc<Mutex<Seen>>,
}

/// A terminal has one cell at least.
fn some(cells: u16) -> NonZero<u16> {
    NonZero::new(cells).unwrap_or(NonZero::<u16>::MIN)
}

/// What came from the program.
struct Seen {
    screen: vt100::Parser,
    bytes: Vec<u8>,
}

impl Studio {
    fn spawn(command: CommandBuilder, (cols, rows): (u16, u16)) -> Studio {
        let size = PtySize {
            rows,
            cols,
            ..PtySize::default()
        };
        let pair = native_pty_system().openpty(size).expect("a terminal");
        let child = pair.slave.spawn_command(command).expect("it starts");
        drop(pair.slave);
        let mut output = pair.master.try_clone_reader().expect("its output");
        let keys = pair.master.take_writer().expect("its keys");
        let seen = Arc::new(Mutex::new(Seen {
            screen: vt100::Parser::new(some(rows), some(cols), 0),
            bytes: Vec::new(),
        }));
        let shared = seen.clone();
        let gone = Arc::new(AtomicBool::new(false));
        let hung_up = gone.clone();
        let reader = std::thread::spawn(move || {
            let mut part = [0; 4096];
            while let (Ok(count @ 1..), false) =
                (output.read(&mut part), hung_up.load(Ordering::Relaxed))
            {
                let mut seen = shared.lock().expect("no panic");
                seen.screen.process(&part[..count]);
                seen.bytes.extend_from_slice(&part[..count]);
            }
        });
        Studio {
            child,
            terminal: Some(pair.master),
            keys: Some(keys),
            reader: Some(reader),
            gone,
            seen,
        }
    }

    pub fn press(&mut self, keys: &str) {
        // A program that has ended takes no keys; what is waited for then tells.
        if let Some(terminal) = &mut self.keys {
            let _ = terminal.write_all(keys.as_bytes());
            let _ = terminal.flush();
        }
    }

    /// Presses Esc alone: what follows at once would be taken for one key with it.
    pub fn escape(&mut self, until: impl Fn(&str) -> bool) {
        self.press(ESC);
        self.wait("Esc to be answered", until);
    }

    pub fn look<T>(&self, with: impl FnOnce(&vt100::Screen) -> T) -> T {
        with(self.seen.lock().expect("no panic").screen.screen())
    }

    pub fn text(&self) -> String {
        self.look(|screen| screen.contents())
    }

    /// All that was ever sent to the terminal.
    pub fn bytes(&self) -> Vec<u8> {
        self.seen.lock().expect("no panic").bytes.clone()
    }

    /// Waits for the screen to hold something.
    pub fn wait(&self, what: &str, until: impl Fn(&str) -> bool) -> String {
        let end = Instant::now() + PATIENCE;
        loop {
            let text = self.text();
            if until(&text) {
                return text;
            }
            assert!(Instant::now() < end, "no {what}; the screen:\n{text}");
            std::thread::sleep(GLANCE);
        }
    }

    /// Waits for a text on the screen.
    pub fn see(&self, text: &str) -> String {
        self.wait(text, |screen| screen.contains(text))
    }

    pub fn resize(&mut self, cols: u16, rows: u16) {
        let size = PtySize {
            rows,
            cols,
            ..PtySize::default()
        };
        let mut seen = self.seen.lock().expect("no panic");
        seen.screen.screen_mut().set_size(some(rows), some(cols));
        drop(seen);
        let terminal = self.terminal.as_ref().expect("it is there");
        terminal.resize(size).expect("another size");
    }

    /// Takes the terminal away, as when its window is closed.
    pub fn hang_up(&mut self) {
        self.gone.store(true, Ordering::Relaxed);
        // Whatever comes next, the reader lets go of the terminal.
        self.press("\x1b[I");
        self.press("?");
        self.reader.take().map(JoinHandle::join);
        (self.keys, self.terminal) = (None, None);
    }

    pub fn id(&self) -> u32 {
        self.child.process_id().expect("it runs")
    }

    /// Sends a signal by its name.
    pub fn signal(&self, name: &str) {
        // The shell has a `kill` of its own where there is no program of that name.
        let sent = std::process::Command::new("sh")
            .args(["-c", &format!("kill -{name} {}", self.id())])
            .status();
        assert!(sent.is_ok_and(|s| s.success()), "{name} can't be sent");
    }

    /// Waits for the program to end.
    pub fn end(&mut self) -> ExitStatus {
        let end = Instant::now() + PATIENCE;
        loop {
            if let Some(status) = self.child.try_wait().expect("it is ours") {
                return status;
            }
            assert!(
                Instant::now() < end,
                "it does not end; the screen:\n{}",
                self.text()
            );
            std::thread::sleep(GLANCE);
        }
    }

    /// Waits until the terminal is as it was before the program began.
    pub fn is_given_back(&self) {
        let free = || self.look(|s| !s.alternate_screen() && !s.hide_cursor());
        self.until("the terminal to be given back", free);
    }

    /// Waits for something beside the screen.
    pub fn until(&self, what: &str, holds: impl Fn() -> bool) {
        until(what, holds, || self.text());
    }
}

/// Waits for something to hold.
fn until(what: &str, holds: impl Fn() -> bool, about: impl Fn() -> String) {
    let end = Instant::now() + PATIENCE;
    while !holds() {
        assert!(Instant::now() < end, "no {what}; {}", about());
        std::thread::sleep(GLANCE);
    }
}

impl Drop for Studio {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
