//! A score rendered into a sound file.

use super::{Render, Settings};
use crate::exchange::output::{OutputError, write_file_by};
use crate::exchange::wav::{WavFormat, write_wav};
use crate::score::Score;
use std::io::{self, BufWriter};
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};

/// Renders a score into a WAVE file. When `stop` is raised meanwhile, the file is left as it was.
///
/// # Errors
/// When it is stopped, the disk refuses, or the file would be longer than the format can hold.
pub fn write_sound(
    path: &Path,
    score: &Score,
    settings: &Settings,
    format: WavFormat,
    stop: &AtomicBool,
) -> Result<(), OutputError> {
    write_file_by(path, |file| {
        let frames = Render::new(score, settings).take_while(|_| !stop.load(Ordering::Relaxed));
        write_wav(BufWriter::new(file), settings.rate, format, frames).map_err(io::Error::other)?;
        match stop.load(Ordering::Relaxed) {
            true => Err(io::Error::other("stopped by Ctrl-C")),
            false => Ok(()),
        }
    })
}

/// Renders a score once through at its own tempo, 48 kHz and 24 bits.
///
/// # Errors
/// As for [`write_sound`].
pub fn write_plain_sound(path: &Path, score: &Score) -> Result<(), OutputError> {
    let stop = AtomicBool::new(false);
    let settings = Settings::default();
    write_sound(path, score, &settings, WavFormat::default(), &stop)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::fixture;

    #[test]
    fn a_stopped_file_leaves_the_old_one() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("waltz.wav");
        std::fs::write(&path, "old").unwrap();
        let score = Score::new(&fixture::waltz());
        let settings = Settings::default();
        let stopped = AtomicBool::new(true);
        assert!(write_sound(&path, &score, &settings, WavFormat::Bits16, &stopped).is_err());
        assert_eq!(std::fs::read(&path).unwrap(), b"old");
        write_plain_sound(&path, &score).unwrap();
        let file = hound::WavReader::open(&path).unwrap();
        let seconds = f64::from(file.duration()) / f64::from(file.spec().sample_rate);
        assert!(seconds > 1.0, "{seconds}");
    }
}
