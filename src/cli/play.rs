//! `thumbline play IN`

use super::plan::{How, Plan, arranged};
use super::{Failure, Fault, choose, wav};
use crate::arrange::{Arrangement, Layer};
use crate::exchange::{input, plain_text};
use crate::score::{Score, TEMPOS};
use crate::sound::level::{DEFAULT_LEVEL_DB, HEARING, LEVEL_RANGE_DB};
use crate::sound::{
    ClickSetting, DeviceError, LayerSet, MAX_COUNT_IN, Mix, Output, Passage, Player, Position,
    Settings, write_sound,
};
use crate::theory::Ticks;
use std::io::{IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

/// Arrange a song and play it: all of it, some bars, or a loop, at any tempo
///
/// Keep headphones low, most of all when you loop a bar for long: start soft, take breaks, and
/// turn down at once if your ears ring or feel dull.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Song file (.toml), abc (.abc), MusicXML (.musicxml, .mxl), MIDI (.mid), or - for standard
    /// input
    #[arg(value_name = "IN")]
    input: PathBuf,
    #[command(flatten)]
    how: How,
    /// Only these bars, by the numbers printed over them: 5 or 5-8
    #[arg(long, value_name = "A-B", value_parser = bars)]
    bars: Option<(u32, u32)>,
    /// Part of the written tempo, 20% to 200%; pitch stays
    #[arg(long, value_name = "P%", default_value = "100%", value_parser = percent)]
    tempo: f64,
    /// Over and over, without a gap
    #[arg(long = "loop")]
    repeat: bool,
    /// Bars counted in
    #[arg(long, value_name = "N", default_value_t = 0,
          value_parser = clap::value_parser!(u8).range(0..=i64::from(MAX_COUNT_IN)))]
    count_in: u8,
    /// Click along
    #[arg(long)]
    click: bool,
    /// Leave this layer to the player: melody, bass, fill or colour. May be given several times
    #[arg(long, value_name = "LAYER", value_parser = layer)]
    mute: Vec<Layer>,
    /// Only this layer. May be given several times
    #[arg(long, value_name = "LAYER", value_parser = layer)]
    solo: Vec<Layer>,
    /// Level in dB, -60 to 6; -8 if nothing is said, -3 in a file. Start low: hearing does not
    /// grow back
    #[arg(long, value_name = "DB", allow_negative_numbers = true, value_parser = level)]
    level: Option<f32>,
    /// Sound device, by its name as `thumbline probe` lists it
    #[arg(long, value_name = "NAME")]
    device: Option<String>,
    #[command(flatten)]
    wav: wav::FileArgs,
}

fn bars(text: &str) -> Result<(u32, u32), String> {
    let (from, to) = text.split_once('-').unwrap_or((text, text));
    match (from.trim().parse(), to.trim().parse()) {
        (Ok(from), Ok(to)) if from <= to => Ok((from, to)),
        _ => Err("write bars as 5 or 5-8, the lower number first".into()),
    }
}

fn percent(text: &str) -> Result<f64, String> {
    let [slowest, fastest] = [TEMPOS.start(), TEMPOS.end()].map(|&t| f64::from(t));
    let number = text.trim().trim_end_matches('%').trim().parse();
    (number.ok())
        .filter(|p: &f64| (slowest..=fastest).contains(p))
        .map(|p| p / 100.0)
        .ok_or_else(|| format!("a tempo is {slowest}% to {fastest}% of the written one"))
}

fn level(text: &str) -> Result<f32, String> {
    let (low, high) = LEVEL_RANGE_DB;
    (text.trim().parse().ok())
        .filter(|db| (low..=high).contains(db))
        .ok_or_else(|| format!("a level is {low} to {high} dB"))
}

fn layer(text: &str) -> Result<Layer, String> {
    let text = text.to_ascii_lowercase();
    let is_it = |l: &Layer| match text.as_str() {
        "color" => *l == Layer::Colour,
        name => name == l.name() || name.parse() == Ok(*l as u8),
    };
    (Layer::ALL.into_iter().find(is_it))
        .ok_or_else(|| "the layers are melody, bass, fill and colour".into())
}

/// From the start of the first bar of one number to the end of the next of the other.
fn range(score: &Score, bars: Option<(u32, u32)>) -> Result<(Ticks, Ticks), Failure> {
    let Some((first, last)) = bars else {
        return Ok((0, score.length));
    };
    let from = score.bars.iter().position(|b| b.number == first);
    let to = from.and_then(|from| {
        let rest = score.bars.get(from..)?;
        rest.iter().find(|b| b.number == last)
    });
    match (from.and_then(|i| score.bars.get(i)), to) {
        (Some(from), Some(to)) => Ok((from.at, to.at + to.length)),
        _ => {
            let numbers = || score.bars.iter().map(|b| b.number);
            Err(Failure::new(
                Fault::Usage,
                format!(
                    "--bars {first}-{last}: the song has bars {} to {}",
                    numbers().min().unwrap_or(0),
                    numbers().max().unwrap_or(0)
                ),
            ))
        }
    }
}

fn mixed(mute: &[Layer], solo: &[Layer]) -> Mix {
    let set = |layers: &[Layer]| layers.iter().fold(LayerSet::NONE, |set, &l| set.with(l));
    Mix {
        mute: set(mute),
        solo: set(solo),
    }
}

/// A flag that Ctrl-C raises.
fn stopped_by_ctrl_c() -> Result<Arc<AtomicBool>, Failure> {
    let stop = Arc::new(AtomicBool::new(false));
    let flag = stop.clone();
    ctrlc::set_handler(move || flag.store(true, Ordering::Relaxed))
        .map_err(|e| Failure::machine("Ctrl-C can't be watched for", &e))?;
    Ok(stop)
}

pub(super) fn run(
    args: Args,
    out: &mut dyn Write,
    err: &mut dyn Write,
) -> Result<(), Vec<Failure>> {
    let Args {
        input, how, wav, ..
    } = args;
    let plan = Plan::new(how).map_err(|f| vec![f])?;
    let arrangement = one(&plan, &input)?;
    let score = Score::new(&arrangement);
    let (from, to) = range(&score, args.bars).map_err(|f| vec![f])?;
    let stop = stopped_by_ctrl_c().map_err(|f| vec![f])?;
    let click = ClickSetting {
        on: args.click,
        ..ClickSetting::default()
    };
    let mix = mixed(&args.mute, &args.solo);
    if let Some(path) = &wav.file {
        let plain = Settings::default();
        let settings = Settings {
            rate: wav.rate,
            range: Some((from, to)),
            passes: wav.passes,
            count_in: args.count_in,
            speed: args.tempo,
            layers: mix.heard(),
            click,
            level_db: args.level.unwrap_or(plain.level_db),
        };
        let written = write_sound(path, &score, &settings, wav.bits, &stop);
        return written.map_err(|e| vec![e.into()]);
    }
    let level = args.level.unwrap_or(DEFAULT_LEVEL_DB);
    let mut player = Player::open(args.device.as_deref());
    player.load(&score);
    player.set_level(level);
    player.set_speed(args.tempo);
    player.set_click(click);
    player.set_mix(mix);
    if let Output::Silent {
        why: why @ DeviceError::Unknown(_),
    } = player.settle(Duration::from_secs(5))
    {
        return Err(vec![Failure::new(Fault::Machine, why.to_string())]);
    }
    if level > 0.0 {
        let _ = writeln!(err, "{HEARING}");
    }
    player.play(Passage {
        from,
        to,
        repeat: args.repeat,
        count_in: args.count_in,
    });
    follow(&mut player, &score, &stop, out, err);
    player.stop();
    die_away(&player, &stop);
    Ok(())
}

/// Shows where the music is until it ends or is stopped.
fn follow(
    player: &mut Player,
    score: &Score,
    stop: &AtomicBool,
    out: &mut dyn Write,
    err: &mut dyn Write,
) {
    let mut line = Line::new(score);
    let (mut said, mut begun) = (None, None);
    while !stop.load(Ordering::Relaxed) {
        std::thread::sleep(Duration::from_millis(40));
        player.tick();
        tell(player, &mut said, &line, err);
        let position = player.position();
        if !position.playing {
            // The command takes a moment to arrive; a position at rest after that is the end.
            let since: &Instant = begun.get_or_insert_with(Instant::now);
            if line.moving || since.elapsed() > Duration::from_secs(2) {
                break;
            }
            continue;
        }
        if line.show(&position, out).is_err() {
            break;
        }
    }
    line.end(out);
}

/// Waits for the last notes; not for long when the player has stopped them, then or meanwhile.
fn die_away(player: &Player, stop: &AtomicBool) {
    let stopped = stop.load(Ordering::Relaxed);
    let rest = Duration::from_millis(if stopped { 250 } else { 1500 });
    let end = Instant::now() + rest;
    while Instant::now() < end && matches!(player.output(), Output::Device { .. }) {
        std::thread::sleep(Duration::from_millis(20));
        if !stopped && stop.load(Ordering::Relaxed) {
            return;
        }
    }
}

/// Says once when the sound goes or comes back.
fn tell(player: &Player, said: &mut Option<Output>, line: &Line<'_>, err: &mut dyn Write) {
    let output = player.output();
    if said.as_ref() == Some(&output) {
        return;
    }
    line.clear(err);
    if let Some(text) = news(&output, said.as_ref()) {
        // A closed error stream is no reason to stop the music.
        let _ = writeln!(err, "{text}");
    }
    *said = Some(output);
}

/// What is worth saying of where the sound goes, after what was known before. Devices have their names
/// from outside.
fn news(output: &Output, before: Option<&Output>) -> Option<String> {
    let text = match (output, before) {
        (Output::Silent { why }, _) => format!("silent: {why}"),
        (Output::Device { name, .. }, Some(_)) => format!("sound again: {name}"),
        _ => return None,
    };
    Some(plain_text(&text))
}

/// The moving position: one line on a terminal, else a line a bar.
struct Line<'a> {
    score: &'a Score,
    terminal: bool,
    moving: bool,
    last: Option<(usize, u32, bool)>,
}

impl<'a> Line<'a> {
    fn new(score: &'a Score) -> Line<'a> {
        Line {
            score,
            terminal: std::io::stdout().is_terminal(),
            moving: false,
            last: None,
        }
    }

    fn show(&mut self, position: &Position, out: &mut dyn Write) -> std::io::Result<()> {
        self.moving = true;
        let text = self.text(position);
        if self.terminal {
            write!(out, "\r{text:<60}")?;
        } else {
            let bar = self.score.bar_at(position.ticks);
            let now = Some((bar, position.pass, position.counting));
            if self.last == now {
                return Ok(());
            }
            self.last = now;
            writeln!(out, "{text}")?;
        }
        out.flush()
    }

    fn text(&self, position: &Position) -> String {
        if position.counting {
            return "count-in".into();
        }
        let Some(bar) = self.score.bars.get(self.score.bar_at(position.ticks)) else {
            return String::new();
        };
        let inside = position.ticks - bar.at + bar.missing;
        let beat = bar.meter.beats().iter().filter(|&&b| b <= inside).count();
        let pass = match position.pass {
            0 => String::new(),
            n => format!("  pass {}", u64::from(n) + 1),
        };
        format!("bar {} beat {beat}{pass}", bar.number)
    }

    /// Makes room for a message.
    fn clear(&self, err: &mut dyn Write) {
        if self.terminal && self.moving {
            let _ = write!(err, "\r{:60}\r", "");
        }
    }

    fn end(&self, out: &mut dyn Write) {
        if self.terminal && self.moving {
            let _ = writeln!(out);
        }
    }
}

/// Opens an input and arranges the one song asked for.
fn one(plan: &Plan, path: &Path) -> Result<Arrangement, Vec<Failure>> {
    let opened = input::open_choosing(path, &plan.choice).map_err(|e| vec![e.into()])?;
    let song = &choose::one(&opened, plan.tune)?.song;
    arranged(plan, song).map_err(|p| vec![p.at(&opened, song)])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::fixture;

    #[test]
    fn what_is_typed_is_understood_or_refused() {
        assert_eq!(bars("5"), Ok((5, 5)));
        assert_eq!(bars("0-12"), Ok((0, 12)));
        assert!(bars("8-5").is_err() && bars("a").is_err() && bars("-").is_err());
        assert_eq!(percent("60%"), Ok(0.6));
        assert_eq!(percent("200"), Ok(2.0));
        assert!(percent("19%").is_err() && percent("NaN").is_err());
        assert!(level("7").is_err() && level("NaN").is_err());
        assert_eq!(layer("Bass"), Ok(Layer::Bass));
    }

    #[test]
    fn the_name_of_a_device_steers_no_terminal() {
        let why = DeviceError::Unknown("USB\u{1b}[2J".into());
        let said = news(&Output::Silent { why }, None).unwrap();
        assert!(
            said.starts_with("silent: ") && !said.contains('\u{1b}'),
            "{said}"
        );
    }

    #[test]
    fn bars_are_found_by_their_numbers() {
        let score = Score::new(&fixture::waltz());
        let last = score.bars.last().unwrap();
        let number = last.number;
        let one = range(&score, Some((number, number))).unwrap();
        assert_eq!(one.1 - one.0, last.length);
        assert_eq!(range(&score, None).unwrap(), (0, score.length));
        let error = range(&score, Some((1, 999))).unwrap_err();
        assert_eq!(error.fault, Fault::Usage);
    }
}
