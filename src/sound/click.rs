//! The metronome's click.

use super::program::Strength;
use super::voice::{Ping, Struck, Tone};

/// How the click sounds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClickSetting {
    /// It sounds along with the music; a count-in sounds in any case.
    pub on: bool,
    /// It also marks the parts of each beat: halves in simple meters, thirds in compound ones.
    pub divisions: bool,
    /// Its level against the guitar, in dB; −60 is silent, +6 the most.
    pub level_db: f32,
}

impl Default for ClickSetting {
    fn default() -> ClickSetting {
        ClickSetting {
            on: false,
            divisions: false,
            level_db: -6.0,
        }
    }
}

/// A dry wooden sound on `hz`.
const fn wood(hz: f64, level: f32) -> Struck {
    Struck {
        tones: [
            Tone {
                hz,
                level,
                ring: 0.05,
            },
            Tone {
                hz: hz * 1.51,
                level: level * 0.5,
                ring: 0.03,
            },
            Tone {
                hz: hz * 2.73,
                level: level * 0.2,
                ring: 0.015,
            },
        ],
        noise: level * 0.3,
        noise_ring: 0.01,
    }
}

const ONE: Struck = wood(1760.0, 0.45);
const BEAT: Struck = wood(1175.0, 0.32);
const DIVISION: Struck = wood(1175.0, 0.12);

/// Plays clicks.
#[derive(Debug, Clone)]
pub struct Click {
    ping: Ping,
}

impl Click {
    /// A silent click; `rate` in Hz.
    pub fn new(rate: f64) -> Click {
        Click {
            ping: Ping::new(rate),
        }
    }

    /// Clicks now.
    pub fn strike(&mut self, strength: Strength) {
        let sound = match strength {
            Strength::One => &ONE,
            Strength::Beat => &BEAT,
            Strength::Division => &DIVISION,
        };
        self.ping.strike(sound, 1.0);
    }

    /// Adds what sounds to `out`.
    pub fn add(&mut self, out: &mut [f32]) {
        self.ping.add(out);
    }
}
