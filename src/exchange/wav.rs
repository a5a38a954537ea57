//! Sound files: RIFF WAVE, stereo, 16 or 24 bits or 32-bit float.

use super::noise::Noise;
use std::io::{Seek, Write};

/// How samples are kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum WavFormat {
    /// 16-bit integers, dithered.
    Bits16,
    /// 24-bit integers.
    #[default]
    Bits24,
    /// 32-bit floating point.
    Float,
}

/// Why a sound file could not be written.
#[derive(Debug, thiserror::Error)]
pub enum WavError {
    /// The disk or the pipe did not take it.
    #[error("the sound file can't be written: {0}; check the folder and the space on the disk")]
    Write(String),
    /// WAVE files hold at most 4 GiB.
    #[error("the sound file would be over 4 GB; render fewer passes, a lower rate or 16 bits")]
    TooLong,
}

/// The most bytes of samples in one file; the format's length field has 32 bits.
const MOST_BYTES: u64 = u32::MAX as u64 - 1024;

/// Writes frames (left, right, −1 to 1) as a WAVE file of `rate` frames a second, and gives how
/// many frames there were.
///
/// # Errors
/// When `out` fails, or the file would grow beyond what the format can hold.
pub fn write_wav(
    out: impl Write + Seek,
    rate: u32,
    format: WavFormat,
    frames: impl Iterator<Item = [f32; 2]>,
) -> Result<u64, WavError> {
    let (bits, kind) = match format {
        WavFormat::Bits16 => (16, hound::SampleFormat::Int),
        WavFormat::Bits24 => (24, hound::SampleFormat::Int),
        WavFormat::Float => (32, hound::SampleFormat::Float),
    };
    let spec = hound::WavSpec {
        channels: 2,
        sample_rate: rate,
        bits_per_sample: bits,
        sample_format: kind,
    };
    let most = MOST_BYTES / (2 * u64::from(bits) / 8);
    let failed = |e: hound::Error| WavError::Write(e.to_string());
    let mut writer = hound::WavWriter::new(out, spec).map_err(failed)?;
    let mut noise = Noise(0x2545_f491);
    let mut count = 0;
    for frame in frames {
        count += 1;
        if count > most {
            return Err(WavError::TooLong);
        }
        for x in frame {
            match format {
                WavFormat::Float => writer.write_sample(x),
                WavFormat::Bits24 => writer.write_sample(integer(x, 8_388_607.0, 0.0)),
                WavFormat::Bits16 => writer.write_sample(integer(x, 32_767.0, dither(&mut noise))),
            }
            .map_err(failed)?;
        }
    }
    writer.finalize().map_err(failed)?;
    Ok(count)
}

fn integer(x: f32, full: f32, dither: f32) -> i32 {
    (x * full + dither).round().clamp(-full - 1.0, full) as i32
}

/// Triangular dither of ±1 step, which turns the rounding of quiet sounds into even noise.
fn dither(noise: &mut Noise) -> f32 {
    0.5 * (noise.next() + noise.next())
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Cursor;

    fn back(format: WavFormat) -> (hound::WavSpec, Vec<f32>) {
        let frames = [[0.0, 1.0], [-1.0, 0.5], [0.25, -0.125]];
        let mut file = Cursor::new(Vec::new());
        let n = write_wav(&mut file, 44_100, format, frames.into_iter()).unwrap();
        assert_eq!(n, 3);
        file.set_position(0);
        let mut reader = hound::WavReader::new(file).unwrap();
        let spec = reader.spec();
        let samples = match format {
            WavFormat::Float => reader.samples::<f32>().map(Result::unwrap).collect(),
            _ => {
                let full = f64::from(1u32 << (spec.bits_per_sample - 1)) - 1.0;
                let ints = reader.samples::<i32>().map(Result::unwrap);
                ints.map(|i| (f64::from(i) / full) as f32).collect()
            }
        };
        (spec, samples)
    }

    #[test]
    fn samples_come_back() {
        for (format, bits, near) in [
            (WavFormat::Bits16, 16, 2.1 / 32_767.0),
            (WavFormat::Bits24, 24, 1e-6),
            (WavFormat::Float, 32, 0.0),
        ] {
            let (spec, samples) = back(format);
            assert_eq!((spec.bits_per_sample, spec.channels), (bits, 2));
            for (got, want) in samples.iter().zip([0.0, 1.0, -1.0, 0.5, 0.25, -0.125]) {
                assert!((got - want).abs() <= near, "{format:?}: {got} for {want}");
            }
        }
    }

    #[test]
    fn the_header_is_that_of_the_standard() {
        // IBM and Microsoft, Multimedia Programming Interface and Data Specifications 1.0 (1991):
        // “RIFF”, length, “WAVE”, then chunks, “fmt ” first.
        let mut file = Cursor::new(Vec::new());
        write_wav(
            &mut file,
            48_000,
            WavFormat::Bits16,
            [[0.0; 2]; 10].into_iter(),
        )
        .unwrap();
        let bytes = file.into_inner();
        assert_eq!(&bytes[..4], b"RIFF");
        assert_eq!(bytes[4..8], (bytes.len() as u32 - 8).to_le_bytes());
        assert_eq!(&bytes[8..16], b"WAVEfmt ");
        assert_eq!(bytes[24..28], 48_000u32.to_le_bytes());
    }
}
