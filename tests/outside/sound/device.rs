//! Plays a made-up line on the default sound device and tells what happens, for `device.py`.
//!
//! `device SECONDS REFERENCE.wav`: writes the same music rendered off line to the file, then plays
//! it in a loop for so long, with a line on standard output every 50 ms:
//! seconds, played ticks, pass, output.

use std::error::Error;
use std::io::Write;
use std::time::{Duration, Instant};
use thumbline::arrange::{Layer, Technique};
use thumbline::exchange::wav::{WavFormat, write_wav};
use thumbline::score::{Event, PlayedBar, Score, TempoMark};
use thumbline::song::Tempo;
use thumbline::sound::{Output, Passage, Player, Render, Settings};
use thumbline::theory::{Meter, QUARTER};

/// Two bars of 4/4 at 120, a note on each beat: string, fret, MIDI number.
const LINE: [(u8, u8, i32); 8] = [
    (6, 0, 40),
    (4, 2, 52),
    (3, 2, 57),
    (2, 3, 62),
    (1, 0, 64),
    (1, 5, 69),
    (1, 12, 76),
    (5, 3, 48),
];

const LEVEL_DB: f32 = -6.0;

fn score() -> Score {
    let bar = 4 * QUARTER;
    let bars = (0..2usize).map(|i| PlayedBar {
        bar: i,
        number: i as u32 + 1,
        at: i as i64 * bar,
        length: bar,
        missing: 0,
        meter: Meter::common(),
    });
    let events = LINE
        .iter()
        .enumerate()
        .map(|(i, &(string, fret, midi))| Event {
            at: i as i64 * QUARTER,
            end: (i as i64 + 1) * QUARTER,
            string,
            fret,
            midi,
            layer: Layer::Melody,
            technique: Technique::Plain,
            pluck: i,
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
        length: 2 * bar,
    }
}

fn main() -> Result<(), Box<dyn Error>> {
    let mut args = std::env::args().skip(1);
    let seconds: f64 = args.next().ok_or("seconds?")?.parse()?;
    let reference = args.next().ok_or("reference file?")?;
    let score = score();
    let settings = Settings {
        level_db: LEVEL_DB,
        passes: 2,
        ..Settings::default()
    };
    let file = std::io::BufWriter::new(std::fs::File::create(reference)?);
    write_wav(
        file,
        48_000,
        WavFormat::Float,
        Render::new(&score, &settings),
    )?;

    let mut player = Player::open(None);
    player.load(&score);
    player.set_level(LEVEL_DB);
    let mut out = std::io::stdout().lock();
    writeln!(out, "# {:?}", player.settle(Duration::from_secs(5)))?;
    std::thread::sleep(Duration::from_millis(100));
    player.play(Passage {
        from: 0,
        to: score.length,
        repeat: true,
        count_in: 0,
    });
    let start = Instant::now();
    while start.elapsed().as_secs_f64() < seconds {
        std::thread::sleep(Duration::from_millis(50));
        player.tick();
        let position = player.position();
        let output = match player.output() {
            Output::Device { rate, .. } => format!("device {rate}"),
            Output::Opening => "opening".into(),
            Output::Silent { why } => format!("silent: {why}"),
        };
        let time = start.elapsed().as_secs_f64();
        writeln!(
            out,
            "{time:.4} {} {} {output}",
            position.ticks, position.pass
        )?;
        out.flush()?;
    }
    player.stop();
    std::thread::sleep(Duration::from_millis(300));
    Ok(())
}
