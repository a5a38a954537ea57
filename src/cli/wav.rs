//! Sound written to a file instead of played: `arrange … -o x.wav` and `play … --wav x.wav`.

use super::Failure;
use crate::exchange::output::write_file_by;
use crate::exchange::wav::{WavFormat, write_wav};
use crate::score::Score;
use crate::sound::{RATES, Render, Settings};
use std::io::{self, BufWriter};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};

/// What only a file needs to be told.
#[derive(Debug, clap::Args)]
pub(super) struct FileArgs {
    /// Write a .wav file instead of playing
    #[arg(long = "wav", value_name = "FILE", value_parser = name, conflicts_with_all = ["device", "repeat"],
          help_heading = "Sound files")]
    pub(super) file: Option<PathBuf>,
    /// How often the bars are played in the file, 1 to 100
    #[arg(long, value_name = "N", default_value_t = 1, requires = "file",
          value_parser = clap::value_parser!(u32).range(1..=100), help_heading = "Sound files")]
    pub(super) passes: u32,
    /// Sample rate of the file in Hz, 8000 to 192000
    #[arg(long, value_name = "HZ", default_value_t = 48_000, requires = "file",
          value_parser = rate, help_heading = "Sound files")]
    pub(super) rate: u32,
    /// Sample format of the file: 16, 24 or float
    #[arg(long, value_name = "FORMAT", default_value = "24", requires = "file",
          value_parser = format, help_heading = "Sound files")]
    pub(super) bits: WavFormat,
}

fn name(text: &str) -> Result<PathBuf, String> {
    let path = PathBuf::from(text);
    match path.extension() {
        Some(ending) if ending.eq_ignore_ascii_case("wav") => Ok(path),
        _ => Err("the name of a sound file ends in .wav".into()),
    }
}

fn rate(text: &str) -> Result<u32, String> {
    (text.trim().parse().ok())
        .filter(|hz| RATES.contains(hz))
        .ok_or_else(|| format!("a sample rate is {} to {} Hz", RATES.start(), RATES.end()))
}

fn format(text: &str) -> Result<WavFormat, String> {
    match text.trim().to_ascii_lowercase().as_str() {
        "16" => Ok(WavFormat::Bits16),
        "24" => Ok(WavFormat::Bits24),
        "float" | "32" => Ok(WavFormat::Float),
        _ => Err("the sample formats are 16, 24 and float".into()),
    }
}

/// Renders a score into a file. When `stop` is raised the file is left as it was.
pub(super) fn write(
    path: &Path,
    score: &Score,
    settings: &Settings,
    format: WavFormat,
    stop: &AtomicBool,
) -> Result<(), Failure> {
    write_file_by(path, |file| {
        let frames = Render::new(score, settings).take_while(|_| !stop.load(Ordering::Relaxed));
        write_wav(BufWriter::new(file), settings.rate, format, frames).map_err(io::Error::other)?;
        match stop.load(Ordering::Relaxed) {
            true => Err(io::Error::other("stopped by Ctrl-C")),
            false => Ok(()),
        }
    })
    .map_err(Failure::from)
}

/// Renders a score once through at its own tempo, 48 kHz and 24 bits.
pub(super) fn write_plain(path: &Path, score: &Score) -> Result<(), Failure> {
    let stop = AtomicBool::new(false);
    write(
        path,
        score,
        &Settings::default(),
        WavFormat::default(),
        &stop,
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::fixture;

    #[test]
    fn what_is_typed_is_understood_or_refused() {
        assert_eq!(rate("8000"), Ok(8_000));
        assert!(rate("7999").is_err() && rate("x").is_err() && rate("192001").is_err());
        assert_eq!(format("Float"), Ok(WavFormat::Float));
        assert!(format("12").is_err());
        assert!(name("a.WAV").is_ok() && name("a.mp3").is_err());
    }

    #[test]
    fn a_stopped_file_leaves_the_old_one() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("waltz.wav");
        std::fs::write(&path, "old").unwrap();
        let score = Score::new(&fixture::waltz());
        let settings = Settings::default();
        let stopped = AtomicBool::new(true);
        assert!(write(&path, &score, &settings, WavFormat::Bits16, &stopped).is_err());
        assert_eq!(std::fs::read(&path).unwrap(), b"old");
        let going = AtomicBool::new(false);
        write(&path, &score, &settings, WavFormat::Bits16, &going).unwrap();
        let file = hound::WavReader::open(&path).unwrap();
        let seconds = f64::from(file.duration()) / f64::from(file.spec().sample_rate);
        assert!(seconds > 1.0, "{seconds}");
    }
}
