//! What `play … --wav x.wav` is told of the file that is written instead of playing.

use crate::exchange::wav::WavFormat;
use crate::sound::RATES;
use std::path::PathBuf;

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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_typed_is_understood_or_refused() {
        assert_eq!(rate("8000"), Ok(8_000));
        assert!(rate("7999").is_err() && rate("x").is_err() && rate("192001").is_err());
        assert_eq!(format("Float"), Ok(WavFormat::Float));
        assert!(format("12").is_err());
        assert!(name("a.WAV").is_ok() && name("a.mp3").is_err());
    }
}
