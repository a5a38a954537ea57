//! What makes the sound: plucked strings on a body, and what is struck.

mod body;
mod decay;
mod line;
mod ping;
mod pluck;
mod smooth;
mod string;

pub use body::body;
pub use decay::ring_seconds;
pub use line::Line;
pub use ping::{Ping, Struck, Tone};
pub use pluck::{Pluck, hertz};
pub use string::PluckedString;

/// A hit with the side of the thumb on the strings over the body: air and top resonance and the
/// slap itself.
pub const HIT: Struck = Struck {
    tones: [
        Tone {
            hz: 101.0,
            level: 0.35,
            ring: 0.25,
        },
        Tone {
            hz: 203.0,
            level: 0.25,
            ring: 0.16,
        },
        Tone {
            hz: 405.0,
            level: 0.08,
            ring: 0.08,
        },
    ],
    noise: 0.9,
    noise_ring: 0.06,
};
