//! How long ideas, the ways to play a bar, proposals and the survey take, over the open tunes that
//! `tests/outside/corpus.py` copies.
//!
//! `cargo bench --bench colour`: release build, by the clock; each time is the least of three. The
//! survey is the whole program on all cores, for twelve keys, eight capos and six tunings. A word
//! after `--` leaves only the lines that have it in them: `cargo bench --bench colour -- lively`.

#[path = "../support/mod.rs"]
mod support;

use std::process::{Command, Stdio};
use std::time::Instant;
use support::timing::spread_of;
use support::{folk_tunes, median_bars};
use thumbline::arrange::{Layer, Options, Proposal, offers, propose, variants};
use thumbline::guitar::{Hand, Instrument};
use thumbline::song::{Song, SongFile};

/// Every so many-th tune is asked for ideas.
const EVERY: usize = 4;
/// The budget of a proposal for each bar, in thousandths of an effort: the studio's.
const BUDGET: i64 = 250;

fn main() {
    let tunes: Vec<Song> = folk_tunes().into_iter().step_by(EVERY).collect();
    println!("{} tunes, median {} bars", tunes.len(), median_bars(&tunes));
    let words: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = (words.iter().map(String::as_str))
        .filter(|w| !w.starts_with('-'))
        .collect();
    let asked = |line: &str| words.is_empty() || words.iter().any(|w| line.contains(w));
    let over = |line: &str, each: &dyn Fn(&Guitar, &Song) -> bool| {
        if asked(line) {
            over(line, &tunes, each);
        }
    };
    let middle = |s: &Song| s.bars.len() / 2;
    over("ideas for a bar, the song solved first", &|g, s| {
        offers(s, &g.0, &g.1, &coloured(), middle(s)).is_ok()
    });
    over("ways to play a bar, the same", &|g, s| {
        variants(s, &g.0, &g.1, &Options::default(), middle(s)).is_ok()
    });
    for proposal in Proposal::ALL {
        over(&format!("proposal {}", proposal.name()), &|g, s| {
            let wanted = (proposal, BUDGET * s.bars.len() as i64);
            propose(s, &g.0, &g.1, &coloured(), wanted).is_ok()
        });
    }
    if asked("growth") {
        growth(&tunes);
    }
    if asked("survey") {
        surveys(&tunes);
    }
}

fn coloured() -> Options {
    Options {
        layer: Layer::Colour,
        ..Options::default()
    }
}

type Guitar = (Instrument, Hand);

fn guitar() -> Guitar {
    let hand = Hand::named("medium").expect("it is built in");
    (Instrument::standard(), hand)
}

/// Milliseconds, the least of three; none where it could not be done.
fn millis(mut once: impl FnMut() -> bool) -> Option<f64> {
    let time = |_| {
        let start = Instant::now();
        once().then(|| start.elapsed().as_secs_f64() * 1000.0)
    };
    let times: Option<Vec<f64>> = (0..3).map(time).collect();
    times?.into_iter().min_by(f64::total_cmp)
}

fn over(what: &str, tunes: &[Song], each: impl Fn(&Guitar, &Song) -> bool) {
    let guitar = guitar();
    let times = tunes.iter().filter_map(|s| millis(|| each(&guitar, s)));
    spread_of(what, times.collect());
}

/// The same bars once, four and sixteen times over.
fn growth(tunes: &[Song]) {
    let Some(song) = tunes.iter().find(|s| s.bars.len() == 32) else {
        return;
    };
    let guitar = guitar();
    for times in [1, 4, 16] {
        let mut long = song.clone();
        long.bars = (0..times).flat_map(|_| song.bars.iter().cloned()).collect();
        let bars = long.bars.len();
        let wanted = (Proposal::Lively, BUDGET * bars as i64);
        let took = millis(|| propose(&long, &guitar.0, &guitar.1, &coloured(), wanted).is_ok());
        if let Some(ms) = took {
            let each = ms / bars as f64;
            println!("proposal lively, {bars} bars: {ms:.1} ms, {each:.3} ms a bar");
        }
    }
}

/// The program's survey of a few tunes.
fn surveys(tunes: &[Song]) {
    let keys = "C,Db,D,Eb,E,F,F#,G,Ab,A,Bb,B";
    let tunings = "standard,drop D,DADGAD,open G,open D,CGDGCD";
    let once = |song: &Song| {
        let folder = std::env::temp_dir();
        let path = folder.join(format!("thumbline-survey-{}.toml", std::process::id()));
        std::fs::write(&path, SongFile::new(song).ok()?.to_string()).ok()?;
        let start = Instant::now();
        let status = Command::new(env!("CARGO_BIN_EXE_thumbline"))
            .args([
                "survey",
                "--keys",
                keys,
                "--capos",
                "0-7",
                "--tunings",
                tunings,
            ])
            .arg(&path)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .status();
        let took = start.elapsed().as_secs_f64() * 1000.0;
        let _ = std::fs::remove_file(&path);
        status.ok()?.success().then_some(took)
    };
    let times = tunes.iter().step_by(8).filter_map(once);
    spread_of("survey, 576 cells", times.collect());
}
