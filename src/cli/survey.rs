//! `thumbline survey IN`: a song in every key, with every capo, in every tuning.

mod paint;
mod table;

use super::problem::Problem;
use super::progress::Progress;
use super::{Failure, Fault, choose, colours, write_json, write_out};
use crate::arrange::{Figures, Layer, Options, survey, unbound};
use crate::exchange::input::{self, Entry, Opened};
use crate::exchange::output;
use crate::guitar::{GuitarError, Hand, Instrument};
use crate::song::{GuitarWish, Song, SongFile};
use crate::theory::Key;
use std::io::{IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc;

/// Solve a song in every key, with every capo, in every tuning, and say which plays best
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Song file (.toml), abc (.abc), MusicXML (.musicxml, .mxl), MIDI (.mid), or - for standard
    /// input
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

/// All that is tried.
pub(super) struct Field {
    pub(super) songs: Vec<Song>,
    pub(super) guitars: Vec<Instrument>,
    hand: Hand,
    options: Options,
}

pub(super) fn run(
    args: &Args,
    out: &mut dyn Write,
    err: &mut dyn Write,
) -> Result<(), Vec<Failure>> {
    let opened = input::open(&args.input).map_err(|e| vec![e.into()])?;
    let entry = choose::one(&opened, args.tune)?;
    let field = Field::new(args, &opened, &entry.song).map_err(|f| vec![f])?;
    let stop = Arc::new(AtomicBool::new(false));
    let flag = stop.clone();
    // A second handler can't be set; then Ctrl-C ends the program as usual.
    let _ = ctrlc::set_handler(move || flag.store(true, Ordering::Relaxed));
    let mut cells = field.measure(&stop, err);
    args.by.sort(&mut cells);
    let all = field.songs.len() * field.guitars.len();
    if let (Some(row), Some(path)) = (args.take, &args.out) {
        whole(cells.len(), all).map_err(|f| vec![f])?;
        return take(&field, &cells, row, (&opened, entry), path);
    }
    if cells.len() < all {
        let _ = writeln!(
            err,
            "stopped: {} of {all} were looked at; the best are of those",
            cells.len()
        );
    }
    if args.json {
        return write_json(out, &format!("{:#}\n", table::json(&field, &cells)));
    }
    let mut text = table::list(&field, &cells, args.rows);
    if !args.no_map {
        let colour = !colours::found().none && std::io::stdout().is_terminal();
        text += &paint::maps(&field, &cells, colour);
    }
    write_out(out, text.as_bytes())
}

/// Whether the rows of the list are those of the whole survey: of a part of it, a row is another one.
fn whole(done: usize, all: usize) -> Result<(), Failure> {
    match done < all {
        true => Err(Failure::new(
            Fault::Machine,
            format!("stopped: only {done} of {all} were looked at, so nothing is written"),
        )),
        false => Ok(()),
    }
}

impl Field {
    fn new(args: &Args, from: &Opened, song: &Song) -> Result<Field, Failure> {
        let read = |text: &str| -> Result<Key, Failure> {
            let wrong = |e| Failure::new(Fault::Usage, format!("key: {e}"));
            text.parse().map_err(wrong)
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
        });
        let blame = |error| blame(args, error, from, song);
        Ok(Field {
            songs,
            guitars: guitars(args, song).map_err(blame)?,
            hand: hand.map_err(blame)?,
            options: Options {
                layer: Layer::numbered(args.layer).unwrap_or(Layer::Fill),
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
        let mut progress = Progress::new("solving (Ctrl-C stops)", all);
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
                        survey(&self.songs, one, &self.hand, &self.options, &mut tell);
                    }
                });
            }
            drop(sender);
            for cell in receiver {
                cells.push(cell);
                progress.step(err);
            }
        });
        progress.end(err);
        // In the order of keys and guitars, whichever thread came first.
        cells.sort_by_key(|c| (c.guitar, c.key));
        cells
    }
}

/// Every tuning with every capo, each once however it is called; the song's own tuning is among them.
fn guitars(args: &Args, song: &Song) -> Result<Vec<Instrument>, GuitarError> {
    let tunings: Vec<&str> = match args.tunings.is_empty() {
        true => (TUNINGS.into_iter())
            .chain(song.guitar.tuning.as_deref())
            .collect(),
        false => args.tunings.iter().map(String::as_str).collect(),
    };
    let mut guitars: Vec<Instrument> = Vec::new();
    for tuning in tunings {
        for capo in args.capos.0..=args.capos.1 {
            let guitar = Instrument::wished(&GuitarWish {
                tuning: Some(tuning.into()),
                capo: Some(capo),
                ..song.guitar.clone()
            })?;
            if !guitars.iter().any(|other| is_same(other, &guitar)) {
                guitars.push(guitar);
            }
        }
    }
    Ok(guitars)
}

/// Whether two guitars of one song are tuned alike, whatever the tuning is called.
fn is_same(one: &Instrument, other: &Instrument) -> bool {
    (&one.open, one.capo) == (&other.open, other.capo)
}

/// A guitar or a hand that can't be, by the option that asks for it, or at its place in the song.
fn blame(args: &Args, error: GuitarError, from: &Opened, song: &Song) -> Failure {
    let option = match error.field() {
        Some("tuning") if !args.tunings.is_empty() => "tunings",
        Some("capo") => "capos",
        Some("hand") if args.hand.is_some() => "hand",
        _ => return Problem::Guitar(error).at(from, song),
    };
    let text = format!("--{option}: {error}, with {}", from.name);
    Failure::new(Fault::Usage, text)
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
    let key = &field.songs[cell.key].key;
    let mut song = match entry.song.key == *key {
        true => entry.song.clone(),
        false => entry.song.in_key(key),
    };
    let own = Instrument::wished(&entry.song.guitar);
    if !own.is_ok_and(|own| is_same(&own, guitar)) {
        song = song.for_any_guitar();
        song.guitar.tuning = Some(guitar.tuning.clone());
        song.guitar.capo = Some(guitar.capo);
    }
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::song::Figure;
    use clap::Parser;

    #[derive(clap::Parser)]
    struct Typed {
        #[command(flatten)]
        args: Args,
    }

    const SONG: &str = "title = \"Quay\"\nkey = \"C\"\nmeter = \"3/4\"\nunit = \"1/4\"\n";
    const TUNE: &str = "tune = \"\"\"\n\"C\"E G c | \"C\"E3 |]\n\"\"\"\n";

    fn args(more: &str) -> Args {
        let words = ["survey", "quay.toml"].into_iter();
        let words = words.chain(more.split_whitespace());
        Typed::try_parse_from(words).unwrap().args
    }

    /// A song with more in its file, before the tune and behind it.
    fn opened(before: &str, behind: &str) -> Opened {
        let text = format!("{SONG}{TUNE}{behind}\n[guitar]\n{before}\n");
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("quay.toml");
        std::fs::write(&path, text).unwrap();
        input::open(&path).unwrap()
    }

    fn field(args: &Args, opened: &Opened) -> Result<Field, String> {
        let song = &opened.songs[0].as_ref().unwrap().song;
        let mut err = Vec::new();
        Field::new(args, opened, song).map_err(|f| {
            super::super::failure::report(&[f], &mut err);
            let said = String::from_utf8(err).unwrap();
            // The file lies in a folder of its own.
            said.find("quay.toml:")
                .map_or(said.clone(), |at| said[at..].to_string())
        })
    }

    #[test]
    fn a_tuning_is_tried_once_and_shown_by_its_name() {
        for own in [
            "\\u001bcgdgcd",
            "Drop-D",
            "D A D G B E",
            "C2\\u0085G2 D3 G3 C4 D4",
        ] {
            let opened = opened(&format!("tuning = \"{own}\""), "");
            let field = field(&args("--capos 0"), &opened).unwrap();
            let names: Vec<&str> = field.guitars.iter().map(|g| g.tuning.as_str()).collect();
            assert_eq!(names, TUNINGS, "{own}");
        }
        let opened = opened("tuning = \"D2\\u0085A2 D3 F3 A3 D4\"", "");
        let field = field(&args("--capos 0"), &opened).unwrap();
        let cells = field.measure(&AtomicBool::new(false), &mut Vec::new());
        let shown = table::list(&field, &cells, 999) + &paint::maps(&field, &cells, false);
        assert!(!shown.contains('\u{85}'), "{shown}");
    }

    #[test]
    fn what_asks_for_a_guitar_that_cant_be_is_named() {
        let song = |own| opened(own, "");
        for (more, own, said) in [
            ("--tunings loud", "", "--tunings: “loud”"),
            ("--capos 0-12", "frets = 12", "--capos: a capo at fret 12"),
            ("--hand huge", "", "--hand: “huge”"),
            ("", "hand = \"huge\"", "quay.toml:10:8: “huge”"),
            ("", "tuning = \"loud\"", "quay.toml:10:10: “loud”"),
        ] {
            let refused = field(&args(more), &song(own)).err().unwrap();
            assert!(refused.starts_with(said), "{refused}");
        }
    }

    #[test]
    fn a_part_of_the_rows_is_not_taken_from() {
        assert!(whole(672, 672).is_ok());
        assert!(whole(3, 672).is_err());
    }

    const BOUND: &str = "[[pin]]\nbar = 1\nnote = \"melody\"\nstring = 1\nfret = 0\n\
        [[idea]]\nbar = 2\nfigure = \"harmonic\"\nstring = 1\nfret = 12\n[[idea]]\nbar = 1\nfigure = \"hits\"\n";

    /// The song that is written for a tuning and a capo.
    fn taken(own: &str, more: &str) -> Song {
        let opened = opened(own, BOUND);
        let field = field(&args(more), &opened).unwrap();
        let cells = field.measure(&AtomicBool::new(false), &mut Vec::new());
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("out.toml");
        let entry = opened.songs[0].as_ref().unwrap();
        take(&field, &cells, 1, (&opened, entry), &path).unwrap();
        SongFile::parse(&std::fs::read_to_string(path).unwrap())
            .unwrap()
            .1
    }

    #[test]
    fn pins_and_ideas_stay_on_the_same_guitar_whatever_it_is_called() {
        let song = taken("tuning = \"Drop-D\"", "--keys C --capos 0 --tunings DADGBE");
        assert_eq!((song.pins.len(), song.ideas.len()), (1, 2));
    }

    #[test]
    fn what_names_strings_does_not_go_to_another_guitar() {
        let song = taken("", "--keys C --capos 0 --tunings DADGAD");
        assert_eq!((song.pins.len(), song.ideas.len()), (0, 1));
        assert!(matches!(song.ideas[0].figure, Figure::Hits));
        assert_eq!(song.guitar.tuning.as_deref(), Some("DADGAD"));
    }
}
