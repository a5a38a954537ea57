//! Loudness: decibels, the hearing caution, and the limiter that no setting gets past.

/// The level a new player starts with, in dB: chords peak some 8 dB below full scale.
pub const DEFAULT_LEVEL_DB: f32 = -8.0;

/// The softest and loudest level that can be set, in dB.
pub const LEVEL_RANGE_DB: (f32, f32) = (-60.0, 6.0);

/// To be shown wherever the level is set.
pub const HEARING: &str = "Keep headphones low, most of all when you loop a bar for long: start \
    soft, take breaks, and turn down at once if your ears ring or feel dull.";

/// Amplitude of a level in dB, held within [`LEVEL_RANGE_DB`]; the lowest level is silence, and so
/// is what is not a number.
pub fn amplitude(db: f32) -> f32 {
    let (low, high) = LEVEL_RANGE_DB;
    if db > low {
        10f32.powf(db.min(high) / 20.0)
    } else {
        0.0
    }
}

/// Frames that the limiter looks ahead, and by which it delays.
pub const LOOKAHEAD: usize = 64;

/// Nothing leaves above this: half a decibel below full scale.
pub const CEILING: f32 = 0.944;

/// Seconds in which the gain comes back most of the way after a peak.
const RELEASE: f32 = 0.25;

/// A stereo limiter that looks one block ahead.
///
/// The gain runs in straight lines from block edge to block edge. At each edge it is no more than
/// the blocks on both sides allow, so no sample can pass the ceiling, and it has no steps.
#[derive(Debug, Clone)]
pub struct Limiter {
    held: [[f32; 2]; LOOKAHEAD],
    /// The most gain that the block held back allows.
    allowed: f32,
    /// Gain at the edge reached so far.
    gain: f32,
    recover: f32,
}

impl Limiter {
    /// An open limiter; `rate` in Hz.
    pub fn new(rate: f64) -> Limiter {
        Limiter {
            held: [[0.0; 2]; LOOKAHEAD],
            allowed: 1.0,
            gain: 1.0,
            recover: 1.0 - (-(LOOKAHEAD as f32) / (RELEASE * rate as f32)).exp(),
        }
    }

    /// Takes a block and gives the one before, limited.
    pub fn block(&mut self, block: &mut [[f32; 2]; LOOKAHEAD]) {
        let peak = block
            .iter()
            .flatten()
            .fold(0.0f32, |peak, &x| peak.max(x.abs()));
        let allowed = if peak > CEILING { CEILING / peak } else { 1.0 };
        let recovered = self.gain + self.recover * (1.0 - self.gain);
        let edge = recovered.min(self.allowed).min(allowed);
        std::mem::swap(&mut self.held, block);
        if edge < 1.0 || self.gain < 1.0 {
            let step = (edge - self.gain) / LOOKAHEAD as f32;
            for (i, frame) in block.iter_mut().enumerate() {
                let gain = self.gain + step * i as f32;
                *frame = frame.map(|x| x * gain);
            }
        }
        (self.gain, self.allowed) = (edge, allowed);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn decibels() {
        // 20·log10 of an amplitude ratio; −6.02 dB is one half (IEC 60027-3).
        assert!((amplitude(-6.0206) - 0.5).abs() < 1e-4);
        assert_eq!(amplitude(0.0), 1.0);
        assert_eq!(amplitude(-60.0), 0.0);
        assert_eq!(amplitude(f32::NAN), 0.0);
        assert_eq!(amplitude(40.0), amplitude(6.0));
    }

    proptest! {
        #![proptest_config(crate::properties::cases(256))]

        #[test]
        fn nothing_passes_the_ceiling(peaks in prop::collection::vec(0.0f32..40.0, 2..40)) {
            let mut limiter = Limiter::new(48_000.0);
            for (k, peak) in peaks.iter().enumerate() {
                let mut block = [[0.0; 2]; LOOKAHEAD];
                for (i, frame) in block.iter_mut().enumerate() {
                    let x = peak * ((i * 7 + k * 3) as f32 * 0.37).sin();
                    *frame = [x, -x];
                }
                limiter.block(&mut block);
                for x in block.iter().flatten() {
                    prop_assert!(x.abs() <= CEILING * 1.000_01, "{}", x);
                }
            }
        }
    }

    #[test]
    fn soft_sound_passes_untouched_one_block_later() {
        let mut limiter = Limiter::new(48_000.0);
        let mut first = [[0.5, -0.25]; LOOKAHEAD];
        limiter.block(&mut first);
        assert_eq!(first, [[0.0; 2]; LOOKAHEAD]);
        let mut second = [[0.0; 2]; LOOKAHEAD];
        limiter.block(&mut second);
        assert_eq!(second, [[0.5, -0.25]; LOOKAHEAD]);
    }
}
