//! The sound measured: pitch, time, smoothness and level of what the engine gives out.
#![cfg(feature = "sound")]

#[path = "sound/bench.rs"]
mod bench;
#[path = "sound/memory.rs"]
mod memory;
#[path = "sound/pitch.rs"]
mod pitch;
#[path = "sound/player.rs"]
mod player;
#[path = "sound/smooth.rs"]
mod smooth;
#[path = "sound/time.rs"]
mod time;
#[path = "sound/tone.rs"]
mod tone;
