//! How fast the sound is made. Prints medians and worst cases; nothing here fails.
//!
//! `cargo bench --bench sound`

use std::time::{Duration, Instant};
use thumbline::arrange::{Layer, Options, Technique, arrange};
use thumbline::guitar::{Hand, Instrument};
use thumbline::score::{Event, PlayedBar, Score, TempoMark};
use thumbline::song::{SongFile, Tempo};
use thumbline::sound::{Bench, ClickSetting, Command, Passage, Render, Settings};
use thumbline::theory::{Meter, QUARTER};

const OPEN: [i32; 6] = [64, 59, 55, 50, 45, 40];

/// Thirty bars of 4/4 at 120, one minute: on each beat a chord of six that rings for a bar.
fn full() -> Score {
    let bar = 4 * QUARTER;
    let bars = (0..30usize).map(|i| PlayedBar {
        bar: i,
        number: i as u32 + 1,
        at: i as i64 * bar,
        length: bar,
        missing: 0,
        meter: Meter::common(),
    });
    let events = (0..120i64).flat_map(|beat| {
        (1..=6u8).rev().map(move |string| Event {
            at: beat * QUARTER,
            end: beat * QUARTER + bar,
            string,
            fret: (beat % 5) as u8,
            midi: OPEN[usize::from(string) - 1] + (beat % 5) as i32,
            layer: Layer::Melody,
            technique: Technique::Plain,
            pluck: 0,
        })
    });
    Score {
        bars: bars.collect(),
        events: events.collect(),
        tempo: vec![TempoMark {
            at: 0,
            tempo: Tempo {
                beat: QUARTER,
                per_minute: 120,
            },
        }],
        length: 30 * bar,
    }
}

fn median(mut times: Vec<Duration>) -> Duration {
    times.sort();
    times[times.len() / 2]
}

/// The demo song with the most notes a second, all of its layers, and its title.
fn busiest() -> (String, Score) {
    let songs = std::fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/songs"));
    let mut best = (0.0, String::new(), full());
    for path in songs.into_iter().flatten().flatten().map(|e| e.path()) {
        let Ok(text) = std::fs::read_to_string(&path) else {
            continue;
        };
        let Ok((_, song, _)) = SongFile::parse(&text) else {
            continue;
        };
        let Ok(hand) = Hand::named("medium") else {
            continue;
        };
        let options = Options::default();
        let Ok(arrangement) = arrange(&song, &Instrument::standard(), &hand, &options) else {
            continue;
        };
        let score = Score::new(&arrangement);
        let settings = Settings::default();
        let seconds = Render::new(&score, &settings).count() as f64 / 48_000.0;
        let density = score.events.len() as f64 / seconds;
        if density > best.0 {
            best = (density, song.title.clone(), score);
        }
    }
    (best.1, best.2)
}

/// Times every callback of ten minutes, three times over. The engine does the same each time, so the
/// least time of each callback is its own and the rest is what the system was busy with.
fn callback(name: &str, score: &Score, click: ClickSetting) {
    let mut own = vec![Duration::MAX; 225_000];
    let mut seen = Duration::ZERO;
    for _ in 0..3 {
        let mut bench = Bench::new(score, 48_000.0);
        bench.send(Command::Click(click));
        bench.send(Command::Play(Passage {
            from: 0,
            to: score.length,
            repeat: true,
            count_in: 0,
        }));
        let mut out = [[0.0; 2]; 128];
        for least in &mut own {
            let start = Instant::now();
            bench.fill(&mut out);
            let time = start.elapsed();
            *least = time.min(*least);
            seen = seen.max(time);
        }
    }
    own.sort();
    let percent = |d: Duration| d.as_secs_f64() / (128.0 / 48_000.0) * 100.0;
    println!(
        "callback of 128 frames, 10 minutes of {name}: median {:.2} %, worst {:.2} % of its time \
         (with what else the system did: {:.2} %)",
        percent(own[own.len() / 2]),
        percent(own[own.len() - 1]),
        percent(seen)
    );
}

fn main() {
    let score = full();
    let click = ClickSetting {
        on: true,
        divisions: true,
        level_db: -6.0,
    };
    let settings = Settings {
        click,
        ..Settings::default()
    };
    let (mut times, mut seconds) = (Vec::new(), 0.0);
    for _ in 0..5 {
        let start = Instant::now();
        let frames = Render::new(&score, &settings).count();
        times.push(start.elapsed());
        seconds = frames as f64 / 48_000.0;
    }
    let render = median(times);
    println!(
        "render, six strings and click: {:.0} x real time ({seconds:.1} s in {render:.1?})",
        seconds / render.as_secs_f64()
    );

    callback("full chords", &score, click);
    let (title, demo) = busiest();
    callback(&title, &demo, click);

    // A key pressed just after a callback began waits for the next one; the device then holds two
    // buffers of 256.
    let mut bench = Bench::new(&score, 48_000.0);
    let mut sound = Vec::new();
    bench.run(48_000, &mut sound);
    sound.clear();
    bench.send(Command::Play(Passage {
        from: 0,
        to: score.length,
        repeat: false,
        count_in: 0,
    }));
    bench.run(4_800, &mut sound);
    let loudest = sound.iter().fold(0f32, |p, x| p.max(x.abs()));
    let first = sound.iter().position(|x| x.abs() > loudest / 100.0);
    let engine = first.unwrap_or(sound.len()) as f64 / 48.0;
    println!(
        "key to sound, buffers of 256: engine {engine:.1} ms, with waiting and two buffers {:.1} ms",
        engine + 3.0 * 256.0 / 48.0
    );
}
