//! `thumbline survey IN`: a song in every key, with every capo, in every tuning.

mod paint;
mod table;

use super::{Failure, Fault, write_json, write_out};
use crate::arrange::{Figures, Layer, Options, survey, unbound};
use crate::exchange::input::{self, Entry, Opened};
use crate::exchange::output;
use crate::guitar::{Hand, Instrument};
use crate::song::{GuitarWish, Song, SongFile};
use crate::theory::Key;
use std::io::{IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc;
use std::time::Duration;

/// Solve a song in every key, with every capo, in every tuning, and say which plays best
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// A song file (.toml), an abc file (.abc), or - for standard input
    #[arg(value_name = "IN")]
    input: PathBuf,
    /// Only the tune of this number (X: in an abc file)
    #[arg(long, value_name = "N")]
    tune: Option<u32>,
    /// Highest layer: 1 melody, 2 bass, 3 fill
    #[arg(long, default_value_t = 3, value_parser = clap::value_parser!(u8).range(1..=3))]
    layer: u8,
    /// Sounding keys, with commas between; all twelve if nothing is said
    #[arg(long, value_name = "KEYS", value_delimiter = ',')]
    keys: Vec<String>,
    /// The key that a singer needs: only this one, with every capo
    #[arg(long, value_name = "KEY", conflicts_with = "keys")]
    sounding: Option<String>,
    /// Capos from the first to the last fret named
    #[arg(long, value_name = "A-B", default_value = "0-7", value_parser = capos)]
    capos: (u8, u8),
    /// Tunings by name or by their notes, with commas between; the usual ones if nothing is said
    #[arg(long, value_name = "TUNINGS", value_delimiter = ',')]
    tunings: Vec<String>,
    /// Hand profile: small, medium, large
    #[arg(long)]
    hand: Option<String>,
    /// What the list goes by: price (hands and music), effort (hands alone), ring, full
    #[arg(long, value_name = "WHAT", default_value = "price")]
    by: table::By,
    /// How many rows of the list are shown
    #[arg(long, value_name = "N", default_value_t = 12)]
    rows: usize,
    /// Leave out the maps
    #[arg(long)]
    no_map: bool,
    /// Print JSON: every cell
    #[arg(long)]
    json: bool,
    /// Take row N of the list: write the song in that key, tuning and capo to the file of -o
    #[arg(long, value_name = "N", requires = "out")]
    take: Option<usize>,
    /// Where --take writes the song (.toml)
    #[arg(short, long = "out", value_name = "FILE", requires = "take")]
    out: Option<PathBuf>,
}

/// The tunings that are tried when none is said.
const TUNINGS: [&str; 7] = [
    "standard",
    "drop D",
    "DADGAD",
    "open G",
    "open D",
    "CGDGCD",
    "half-step down",
];

fn capos(text: &str) -> Result<(u8, u8), String> {
    let (from, to) = text.split_once('-').unwrap_or((text, text));
    let parts = from.trim().parse().ok().zip(to.trim().parse().ok());
    parts
        .filter(|&(from, to): &(u8, u8)| from <= to && to <= 12)
        .ok_or_else(|| "capos go from one fret to another, 0 to 12: 0-7".into())
}

/// One key on one guitar, and what came of it.
pub(super) struct Cell {
    /// Index of the key and of the guitar.
    pub(super) key: usize,
    pub(super) guitar: usize,
    /// `None` where the song can't be played.
    pub(super) figures: Option<Figures>,
}

/// A guitar as it is tried.
pub(super) struct Guitar {
    pub(super) tuning: String,
    pub(super) capo: u8,
    instrument: Instrument,
}

/// All that is tried.
pub(super) struct Field {
    pub(super) songs: Vec<Song>,
    pub(super) guitars: Vec<Guitar>,
    hand: Hand,
    options: Options,
}

pub(super) fn run(
    args: &Args,
    out: &mut dyn Write,
    err: &mut dyn Write,
) -> Result<(), Vec<Failure>> {
    let opened = input::open(&args.input).map_err(|e| vec![e.into()])?;
    let entry = one(&opened, args.tune).map_err(|f| vec![f])?;
    let field = Field::new(args, &entry.song).map_err(|f| vec![f])?;
    let stop = Arc::new(AtomicBool::new(false));
    let flag = stop.clone();
    // A second handler can't be set; then Ctrl-C ends the program as usual.
    let _ = ctrlc::set_handler(move || flag.store(true, Ordering::Relaxed));
    let mut cells = field.measure(&stop, err);
    if stop.load(Ordering::Relaxed) {
        let (done, all) = (cells.len(), field.songs.len() * field.guitars.len());
        let _ = writeln!(
            err,
            "stopped: {done} of {all} were looked at; the best are of those"
        );
    }
    args.by.sort(&mut cells);
    if let (Some(row), Some(path)) = (args.take, &args.out) {
        return take(&field, &cells, row, (&opened, entry), path);
    }
    if args.json {
        return write_json(out, &format!("{:#}\n", table::json(&field, &cells)));
    }
    let mut text = table::list(&field, &cells, args.rows);
    if !args.no_map {
        let colour = std::env::var_os("NO_COLOR").is_none_or(|v| v.is_empty())
            && std::io::stdout().is_terminal();
        text += &paint::maps(&field, &cells, colour);
    }
    write_out(out, text.as_bytes())
}

/// The one song asked for.
fn one(opened: &Opened, tune: Option<u32>) -> Result<&Entry, Failure> {
    let fits = |e: &&Entry| tune.is_none_or(|n| n == e.number);
    let mut found = opened
        .songs
        .iter()
        .filter_map(|s| s.as_ref().ok())
        .filter(fits);
    match (found.next(), found.next()) {
        (Some(one), None) => Ok(one),
        (Some(_), Some(_)) => {
            let text = "choose one tune with --tune N";
            Err(Failure::at(opened, &[], text))
        }
        (None, _) => match opened.songs.iter().find_map(|s| s.as_ref().err()) {
            Some(error) => Err(Failure::at(opened, &[error.place], &error.text)),
            None => Err(Failure::at(opened, &[], "there is no such tune")),
        },
    }
}

impl Field {
    fn new(args: &Args, song: &Song) -> Result<Field, Failure> {
        let usage = |text: String| Failure::new(Fault::Usage, text);
        let read = |text: &str| -> Result<Key, Failure> {
            text.parse().map_err(|e| usage(format!("key: {e}")))
        };
        let free = unbound(song);
        let asked: Vec<&String> = args.sounding.iter().chain(&args.keys).collect();
        let songs = match asked.as_slice() {
            [] => (-5..=6).map(|s| free.transposed(s)).collect(),
            some => (some.iter())
                .map(|text| Ok(free.in_key(&read(text)?)))
                .collect::<Result<Vec<Song>, Failure>>()?,
        };
        let hand = Hand::wished(&GuitarWish {
            hand: args.hand.clone().or(song.guitar.hand.clone()),
            ..GuitarWish::default()
        })
        .map_err(|e| usage(e.to_string()))?;
        Ok(Field {
            songs,
            guitars: guitars(args, song)?,
            hand,
            options: Options {
                layer: match args.layer {
                    1 => Layer::Melody,
                    2 => Layer::Bass,
                    _ => Layer::Fill,
                },
                ..Options::default()
            },
        })
    }

    /// Solves every song on every guitar, over as many threads as the machine has cores; how far it
    /// has got is told on a terminal. Ends early when `stop` is set, with what is done.
    fn measure(&self, stop: &AtomicBool, err: &mut dyn Write) -> Vec<Cell> {
        let threads = std::thread::available_parallelism().map_or(1, usize::from);
        let next = AtomicUsize::new(0);
        let (sender, receiver) = mpsc::channel();
        let mut cells = Vec::new();
        let all = self.songs.len() * self.guitars.len();
        let shown = std::io::stderr().is_terminal();
        std::thread::scope(|scope| {
            for _ in 0..threads.clamp(1, self.guitars.len().max(1)) {
                let sender = sender.clone();
                let next = &next;
                scope.spawn(move || {
                    while !stop.load(Ordering::Relaxed) {
                        let guitar = next.fetch_add(1, Ordering::Relaxed);
                        let Some(one) = self.guitars.get(guitar) else {
                            return;
                        };
                        let mut tell = |key: usize, figures: Result<Figures, _>| {
                            let figures = figures.ok();
                            let cell = Cell {
                                key,
                                guitar,
                                figures,
                            };
                            sender.send(cell).is_ok() && !stop.load(Ordering::Relaxed)
                        };
                        survey(
                            &self.songs,
                            &one.instrument,
                            &self.hand,
                            &self.options,
                            &mut tell,
                        );
                    }
                });
            }
            drop(sender);
            loop {
                match receiver.recv_timeout(Duration::from_millis(100)) {
                    Ok(cell) => cells.push(cell),
                    Err(mpsc::RecvTimeoutError::Timeout) => {}
                    Err(mpsc::RecvTimeoutError::Disconnected) => break,
                }
                if shown && cells.len() % 8 == 0 {
                    let _ = write!(err, "\r{} of {all}  (Ctrl-C stops)", cells.len());
                    let _ = err.flush();
                }
            }
        });
        if shown {
            let _ = write!(err, "\r{:40}\r", "");
        }
        // In the order of keys and guitars, whichever thread came first.
        cells.sort_by_key(|c| (c.guitar, c.key));
        cells
    }
}

/// Every tuning with every capo; the song's own tuning is among them.
fn guitars(args: &Args, song: &Song) -> Result<Vec<Guitar>, Failure> {
    let mut tunings: Vec<String> = match args.tunings.is_empty() {
        true => TUNINGS.map(String::from).to_vec(),
        false => args.tunings.clone(),
    };
    if let (true, Some(own)) = (args.tunings.is_empty(), &song.guitar.tuning)
        && !tunings.iter().any(|t| t.eq_ignore_ascii_case(own.trim()))
    {
        tunings.push(own.clone());
    }
    let mut guitars = Vec::new();
    for tuning in &tunings {
        for capo in args.capos.0..=args.capos.1 {
            let wish = GuitarWish {
                tuning: Some(tuning.trim().into()),
                capo: Some(capo),
                ..song.guitar.clone()
            };
            let instrument = Instrument::wished(&wish)
                .map_err(|e| Failure::new(Fault::Usage, format!("--tunings: {e}")))?;
            guitars.push(Guitar {
                tuning: tuning.trim().into(),
                capo,
                instrument,
            });
        }
    }
    Ok(guitars)
}

/// Writes the song of one row: its key, tuning and capo, with all else that the file says.
fn take(
    field: &Field,
    cells: &[Cell],
    row: usize,
    (opened, entry): (&Opened, &Entry),
    path: &Path,
) -> Result<(), Vec<Failure>> {
    let playable = cells.iter().filter(|c| c.figures.is_some());
    let cell = row.checked_sub(1).and_then(|i| playable.clone().nth(i));
    let Some(cell) = cell else {
        let text = format!("--take {row}: the list has {} rows", playable.count());
        return Err(vec![Failure::new(Fault::Usage, text)]);
    };
    let guitar = &field.guitars[cell.guitar];
    let key = field.songs[cell.key].key.clone();
    let mut song = if entry.song.key == key {
        entry.song.clone()
    } else {
        entry.song.in_key(&key)
    };
    let own = &entry.song.guitar;
    let same_tuning = own.tuning.as_deref().unwrap_or("standard") == guitar.tuning;
    if !same_tuning || own.capo.unwrap_or(0) != guitar.capo {
        // What names strings holds on the old guitar only.
        song.pins = unbound(&song).pins;
    }
    song.guitar.tuning = Some(guitar.tuning.clone());
    song.guitar.capo = Some(guitar.capo);
    let refused = |e: crate::song::SongError| vec![Failure::at(opened, &[], &e.to_string())];
    let file = match SongFile::parse(&opened.text) {
        Ok((mut file, ..)) => {
            file.update(&song).map_err(refused)?;
            file
        }
        Err(_) => SongFile::new(&song).map_err(refused)?,
    };
    output::write_file(path, file.to_string().as_bytes()).map_err(|e| vec![e.into()])
}
