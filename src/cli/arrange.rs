//! `thumbline arrange IN… [-o OUT]…`

use super::check::notice_line;
use super::choose::choose;
use super::lists::{self, List};
use super::plan::{How, Plan, arranged};
use super::problem::Problem;
use super::progress::Progress;
use super::sheets::{Graded, Print};
use super::{Failure, Fault, ideas, letters, songs, write_json, write_out};
use crate::arrange::{Arrangement, Proposal};
use crate::exchange::input::{self, Entry, Opened};
use crate::exchange::letters::Letters;
use crate::exchange::output::{self, Format, Look, SongFormat, Target};
use crate::exchange::tab;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Arrange songs and write them as tab, sheets to print, JSON, MIDI, MusicXML or sound
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Song files (.toml), abc (.abc), MusicXML (.musicxml, .mxl), MIDI (.mid), or - for standard
    /// input
    #[arg(required = true, value_name = "IN")]
    inputs: Vec<PathBuf>,
    /// Where to write; the ending says what: .txt tab, .pdf or .svg sheets, .json, and, one song each,
    /// .mid, .musicxml, .mxl (the same compressed), .wav; the songs themselves: .abc, one or many,
    /// .toml, one. - is
    /// standard output. May be given several times. `thumbline play --wav` has more choices of sound
    #[arg(short, long = "out", value_name = "OUT")]
    outs: Vec<PathBuf>,
    #[command(flatten)]
    how: How,
    /// Columns of the tab
    #[arg(long, default_value_t = 80, value_parser = width)]
    width: usize,
    /// Tab in plain ASCII characters only, as it is on a terminal without UTF-8
    #[arg(long)]
    ascii: bool,
    /// Before the tab, chord boxes for the grips used
    #[arg(long)]
    boxes: bool,
    /// After the tab, say why each note is there
    #[arg(long)]
    reasons: bool,
    #[command(flatten)]
    print: Print,
    /// Tab in plain words, one line a beat, for listening instead of looking; in .txt files too
    #[arg(long, conflicts_with_all = ["ascii", "reasons", "json", "variants", "best", "ideas", "propose"])]
    spoken: bool,
    /// Print JSON on standard output instead of tab
    #[arg(long)]
    json: bool,
    /// Instead of the tab, list the ways to play this bar from easier to fuller
    #[arg(long, value_name = "BAR", conflicts_with_all = ["outs", "best"])]
    variants: Option<u32>,
    /// Instead of the tab, list the ideas of layer 4 for this bar, the best first
    #[arg(long, value_name = "BAR", conflicts_with_all = ["outs", "best", "variants"])]
    ideas: Option<u32>,
    /// Instead of the tab, list what --colour NAME would take, bar by bar with reasons and effort
    #[arg(long, value_name = "NAME", value_parser = ideas::proposal,
          conflicts_with_all = ["outs", "best", "variants", "ideas"])]
    propose: Option<Proposal>,
    /// Instead of the tab, list the K best arrangements, one a line
    #[arg(long, value_name = "K", conflicts_with = "outs",
          value_parser = clap::value_parser!(u16).range(1..=200))]
    best: Option<u16>,
}

fn width(text: &str) -> Result<usize, String> {
    let wide = tab::NARROWEST..=1000;
    (text.parse().ok())
        .filter(|w| wide.contains(w))
        .ok_or_else(|| format!("a width is {} to {} columns", wide.start(), wide.end()))
}

/// What was typed, understood.
struct Request {
    inputs: Vec<PathBuf>,
    plan: Plan,
    print: Print,
    files: Vec<(PathBuf, Format)>,
    /// Files of songs as they are.
    songs: Vec<(PathBuf, SongFormat)>,
    /// Sound files.
    sounds: Vec<PathBuf>,
    screen: Option<Format>,
    list: Option<List>,
    look: Look,
}

impl Request {
    fn new(args: Args) -> Result<Request, Failure> {
        let plan = Plan::new(args.how)?;
        let to_screen = args.outs.is_empty() || args.outs.iter().any(|o| o == Path::new("-"));
        let tab = if args.spoken {
            Format::Spoken
        } else {
            Format::Tab
        };
        let screen = match args.json {
            true => Some(Format::Json),
            false => to_screen.then_some(tab),
        };
        let (mut files, mut songs, mut sounds) = (Vec::new(), Vec::new(), Vec::new());
        for path in args.outs.into_iter().filter(|o| o != Path::new("-")) {
            if is_sound(&path) {
                sounds.push(path);
                continue;
            }
            match Target::of(&path)? {
                Target::Songs(format) => songs.push((path, format)),
                Target::Arranged(Format::Tab) => files.push((path, tab)),
                Target::Arranged(format) => files.push((path, format)),
            }
        }
        let only_sheets = songs.is_empty() && sounds.is_empty() && screen.is_none();
        let formats = files.iter().map(|f| f.1);
        (args.print.fits(only_sheets, formats)).map_err(|t| Failure::new(Fault::Usage, t))?;
        Ok(Request {
            inputs: args.inputs,
            plan,
            files,
            songs,
            sounds,
            screen,
            list: (args.variants.map(List::Variants))
                .or(args.best.map(List::Best))
                .or(args.ideas.map(List::Ideas))
                .or(args.propose.map(List::Proposal)),
            look: Look {
                tab: tab::Options {
                    width: args.width,
                    ascii: args.ascii,
                    boxes: args.boxes,
                    reasons: args.reasons,
                },
                sheet: args.print.options(),
            },
            print: args.print,
        })
    }
}

pub(super) fn run(
    args: Args,
    out: &mut dyn Write,
    err: &mut dyn Write,
) -> Result<(), Vec<Failure>> {
    let request = Request::new(args).map_err(|f| vec![f])?;
    let mut failures = Vec::new();
    let opened: Vec<Opened> = (request.inputs.iter())
        .filter_map(|path| {
            let opened = input::open_choosing(path, &request.plan.choice);
            opened.map_err(|e| failures.push(e.into())).ok()
        })
        .collect();
    let chosen = choose(&opened, request.plan.tune, &mut failures);
    let files = request.files.iter().map(|(p, f)| (p, Target::Arranged(*f)));
    let songs = request.songs.iter().map(|(p, f)| (p, Target::Songs(*f)));
    for (path, target) in files.chain(songs) {
        target
            .holds(path, chosen.len())
            .map_err(|e| vec![e.into()])?;
    }
    can_sound(&request.sounds, chosen.len()).map_err(|f| vec![f])?;
    if let Some(list) = request.list {
        let is_json = request.screen == Some(Format::Json);
        let (text, more) = lists::render(&request.plan, list, &chosen, is_json);
        failures.extend(more);
        match is_json {
            true => write_json(out, &text)?,
            false => write_out(out, text.as_bytes())?,
        }
        return done_or(failures);
    }
    failures.extend(songs::write(&request.plan, &request.songs, &chosen, err));
    let only_songs =
        request.files.is_empty() && request.sounds.is_empty() && request.screen.is_none();
    let done = request.arrange(&chosen, only_songs, err, &mut failures);
    if !done.arrangements.is_empty() {
        request.write(&done, out, &mut failures)?;
    }
    done_or(failures)
}

impl Request {
    /// Arranges the songs in the grades asked for, and tells what is worth knowing about each; with
    /// `only_songs`, no more than that.
    fn arrange(
        &self,
        chosen: &[(&Opened, &Entry)],
        only_songs: bool,
        err: &mut dyn Write,
        failures: &mut Vec<Failure>,
    ) -> Graded {
        let mut progress = Progress::new("arranging", chosen.len());
        let plans = self.print.plans(&self.plan);
        let mut done = Graded::default();
        for (from, entry) in chosen {
            progress.step(err);
            for notice in &entry.notices {
                // A line of its own.
                progress.end(err);
                let _ = writeln!(err, "{}", notice_line(from, notice));
            }
            if only_songs {
                continue;
            }
            let grades = plans.iter();
            match grades
                .map(|(plan, grade)| Ok((arranged(plan, &entry.song)?, *grade)))
                .collect()
            {
                Ok(song) => done.take(song),
                Err::<Vec<_>, Problem>(problem) => failures.push(problem.at(from, &entry.song)),
            }
        }
        progress.end(err);
        done
    }

    /// Writes what was arranged: sheets and the like, sound, and what is shown.
    fn write(
        &self,
        done: &Graded,
        out: &mut dyn Write,
        failures: &mut Vec<Failure>,
    ) -> Result<(), Vec<Failure>> {
        for (path, format) in &self.files {
            let bytes = self.print.render(*format, done, self.look);
            failures.extend(output::write_file(path, &bytes).err().map(Failure::from));
        }
        if let Some(first) = done.arrangements.first() {
            let written = self.sounds.iter().map(|path| write_sound(path, first));
            failures.extend(written.filter_map(Result::err));
        }
        let Some(format) = self.screen else {
            return Ok(());
        };
        let mut look = self.look;
        look.tab.ascii |= letters::on(&std::io::stdout()) == Letters::Ascii;
        let text = format.render(&done.arrangements, look);
        match format {
            Format::Json => write_json(out, &String::from_utf8_lossy(&text)),
            _ => write_out(out, &text),
        }
    }
}

fn done_or(failures: Vec<Failure>) -> Result<(), Vec<Failure>> {
    if failures.is_empty() {
        Ok(())
    } else {
        Err(failures)
    }
}

/// True for a name that asks for a sound file.
fn is_sound(path: &Path) -> bool {
    let ending = path.extension();
    ending.is_some_and(|e| e.eq_ignore_ascii_case("wav"))
}

/// Whether these sound files can be written for so many songs.
fn can_sound(paths: &[PathBuf], songs: usize) -> Result<(), Failure> {
    let Some(path) = paths.first() else {
        return Ok(());
    };
    let name = path.display();
    if !cfg!(feature = "sound") {
        let text = format!(
            "“{name}” can't be written: this program was built without sound; build it with \
             `cargo build --features sound`, or write .mid"
        );
        return Err(Failure::new(Fault::Usage, text));
    }
    if songs > 1 {
        let name = name.to_string();
        return Err(output::OutputError::OneSong { name, count: songs }.into());
    }
    Ok(())
}

#[cfg(feature = "sound")]
fn write_sound(path: &Path, arrangement: &Arrangement) -> Result<(), Failure> {
    let score = crate::score::Score::new(arrangement);
    Ok(crate::sound::write_plain_sound(path, &score)?)
}

/// Never reached: [`can_sound`] has said no.
#[cfg(not(feature = "sound"))]
fn write_sound(_: &Path, _: &Arrangement) -> Result<(), Failure> {
    Ok(())
}
