//! The guitar's body and the room around it.
//!
//! Resonances: the air in the body near 100 Hz, the top near 200 Hz, back and top together near
//! 240 Hz, the first cross mode near 400 Hz (N. H. Fletcher and T. D. Rossing, “The Physics of
//! Musical Instruments”, chapter on guitars and lutes). Strong radiation at 500–800 Hz and
//! 1.5–4 kHz makes a good guitar (E. Jansson, J. Acoust. Soc. Am. 71 (1982) S8). The resonances
//! are kept milder than on an instrument, so that no note of a scale jumps out.

use fundsp::audiounit::AudioUnit;
use fundsp::prelude32::{
    An, AudioNode, U2, U4, bell_hz, delay, fdn, highpass_hz, highshelf_hz, lowpole_hz, mul,
    multijoin, multipass, pass, split, stacki,
};

/// Round-trip times of the room's four echoes in seconds, without common divisors.
const ROOM: [f32; 4] = [0.0231, 0.0297, 0.0371, 0.0413];

/// How much of each echo comes back: about 0.5 s to −60 dB.
const RETURN: f32 = 0.62;

/// Level of the room against the guitar.
const WET: f32 = 0.2;

/// Body and room as a graph with one input (all bridge forces together) and two outputs.
pub fn body(rate: f64) -> Box<dyn AudioUnit> {
    // A filter above half the rate has no numbers; below 13.3 kHz of rate the shelf moves down.
    let shelf = 6000f32.min(0.45 * rate as f32);
    let guitar = highpass_hz(65.0, 0.7)
        >> bell_hz(101.0, 5.0, 1.7)
        >> bell_hz(203.0, 5.0, 1.6)
        >> bell_hz(405.0, 4.0, 1.3)
        >> bell_hz(2600.0, 0.9, 1.35)
        >> highshelf_hz(shelf, 0.7, 0.7);
    let mut graph: Box<dyn AudioUnit> = Box::new(guitar >> (split::<U2>() & room()));
    graph.set_sample_rate(rate);
    graph.allocate();
    graph
}

/// Four echoes that feed each other, two to each side.
fn room() -> An<impl AudioNode<Inputs = fundsp::prelude32::U1, Outputs = U2>> {
    (pass() * WET)
        >> split::<U4>()
        >> fdn::<U4, _>(stacki::<U4, _, _>(|i| {
            delay(ROOM[i as usize]) >> lowpole_hz(3500.0) >> mul(RETURN)
        }))
        >> multijoin::<U2, U2>()
        >> multipass::<U2>()
}
