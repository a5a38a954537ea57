//! The sound measured: pitch, time, smoothness and level of what the engine gives out.
#![cfg(feature = "sound")]

#[path = "sound/bench.rs"]
mod bench;
#[path = "sound/pitch.rs"]
mod pitch;
