//! The command line, one file a subcommand.
//!
//! `clap` reads what was typed; each subcommand turns that into what it means before it does
//! anything. Every failure comes back here as a [`Failure`] and is printed in one place.

mod arrange;
mod check;
mod choose;
mod colours;
mod completions;
mod failure;
mod ideas;
mod letters;
mod lists;
mod man;
mod melody;
mod plan;
#[cfg(feature = "sound")]
mod play;
mod probe;
mod problem;
mod progress;
mod sheets;
mod songs;
mod studio;
mod survey;
mod version;
#[cfg(feature = "sound")]
mod wav;

pub use failure::{Failure, Fault};

use crate::exchange::letters::{Letters, ascii_json, plain_json};
use clap::{Parser, Subcommand};
use letters::Fitted;
use std::ffi::OsString;
use std::io::{self, IsTerminal, Write};
use std::path::PathBuf;
use std::process::ExitCode;

/// Arrange songs for solo fingerstyle guitar, one layer at a time.
///
/// Thumbline takes a tune with its chords and works out one guitar part that carries melody, bass
/// and harmony at once, that your hand can hold, written as tab with both hands' fingering and the
/// reason for every note. The arrangement grows in four layers: the melody on the neck, the bass that
/// rings under it, chord tones between the two, and ideas that you take or leave.
///
/// Without a command it opens the studio, in which you write, arrange, practise and rehearse.
#[derive(Debug, Parser)]
#[command(name = "thumbline", version, long_version = version::LONG, after_help = AFTER, max_term_width = 100, disable_help_subcommand = true,
          args_conflicts_with_subcommands = true)]
pub struct Cli {
    #[command(subcommand)]
    command: Option<Command>,
    /// Song to open in the studio; without one, the studio shows what there is to choose from
    #[arg(value_name = "SONG")]
    song: Option<PathBuf>,
}

#[derive(Debug, Subcommand)]
enum Command {
    Arrange(arrange::Args),
    Check(check::Args),
    Completions(completions::Args),
    Man(man::Args),
    #[cfg(feature = "sound")]
    Play(play::Args),
    Probe(probe::Args),
    Survey(survey::Args),
}

/// Examples and cautions under `--help` and in the manual page.
const AFTER: &str = "\
Examples:
  thumbline
  thumbline songs/lamps-along-the-quay.toml
  thumbline arrange songs/lamps-along-the-quay.toml
  thumbline arrange book.abc --tune 3 --key D --capo 2 -o tune.pdf
  thumbline arrange song.toml --layer 2 --hand small --reasons
  thumbline arrange song.toml --variants 5
  thumbline arrange song.toml -o song.musicxml -o song.abc
  thumbline arrange take.mid --chords 'C | Am F | G7' -o take.toml
  thumbline arrange song.toml --ideas 5
  thumbline arrange song.toml --colour walking --budget 6
  thumbline play song.toml --bars 5-8 --tempo 60% --loop --click
  thumbline play song.toml --mute melody --click --passes 4 --wav me.wav
  thumbline check songs/*.toml
  thumbline survey song.toml --capos 0-5
  thumbline survey song.toml --sounding A --take 1 -o in-a.toml

Files:
Your songs, setlists, practice log, themes and config.toml lie in the folders that `thumbline probe` \
names. NO_COLOR is heeded.

Exit codes:
  0 done
  1 the input is at fault
  2 the command was typed wrongly
  3 the machine is at fault

Take care of your hands and ears:
Warm up first, rest often, and stop when it hurts. Choose --hand small if stretches strain you; no \
arrangement is worth an injury. For pain that stays, see a doctor or a hand therapist. Keep \
headphones and amplifiers low, and follow the rules on sound levels where you are.";

/// Runs the program on what was typed, with the standard streams.
pub fn main() -> ExitCode {
    // Not locked: other threads give the terminal back when this one can't.
    let (out, err) = (io::stdout(), io::stderr());
    let (for_out, for_err) = (letters::on(&out), letters::on(&err));
    let code = run(
        std::env::args_os(),
        &mut Fitted::new(out, for_out),
        &mut Fitted::new(err, for_err),
    );
    ExitCode::from(code)
}

/// Runs the program on `args` (the program's name first) and gives its exit code. Results go to
/// `out`, everything else to `err`.
///
/// A reader that closes `out` early has seen enough: that is no failure.
pub fn run(
    args: impl IntoIterator<Item = OsString>,
    out: &mut dyn Write,
    err: &mut dyn Write,
) -> u8 {
    let result = match Cli::try_parse_from(args) {
        Ok(cli) => dispatch(cli, out, err),
        Err(error) if error.use_stderr() => {
            // Nothing more can be done when the error stream itself is gone.
            let _ = write!(err, "{}", error.render());
            return Fault::Usage.code();
        }
        Err(help) => write_out(out, help.render().to_string().as_bytes()),
    };
    match result {
        Ok(()) => 0,
        Err(failures) => failure::report(&failures, err),
    }
}

fn dispatch(cli: Cli, out: &mut dyn Write, err: &mut dyn Write) -> Result<(), Vec<Failure>> {
    match cli.command {
        Some(Command::Arrange(args)) => arrange::run(args, out, err),
        Some(Command::Check(args)) => check::run(&args, out),
        Some(Command::Completions(args)) => completions::run(&args, out),
        Some(Command::Man(args)) => man::run(&args, out),
        #[cfg(feature = "sound")]
        Some(Command::Play(args)) => play::run(args, out, err),
        Some(Command::Probe(args)) => probe::run(&args, out),
        Some(Command::Survey(args)) => survey::run(&args, out, err),
        None => studio::run(cli.song.as_deref()),
    }
}

/// Writes JSON; what its reader makes of it does not depend on the terminal.
fn write_json(out: &mut dyn Write, json: &str) -> Result<(), Vec<Failure>> {
    match (letters::on(&io::stdout()), io::stdout().is_terminal()) {
        (Letters::All, false) => write_out(out, json.as_bytes()),
        (Letters::All, true) => write_out(out, plain_json(json).as_bytes()),
        _ => write_out(out, ascii_json(json).as_bytes()),
    }
}

/// Writes a result; a closed pipe is success.
fn write_out(out: &mut dyn Write, bytes: &[u8]) -> Result<(), Vec<Failure>> {
    match out.write_all(bytes).and_then(|()| out.flush()) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => Err(vec![Failure::machine(
            "standard output can't be written",
            &error,
        )]),
        _ => Ok(()),
    }
}
