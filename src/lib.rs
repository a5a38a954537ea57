//! Thumbline arranges songs for solo fingerstyle guitar in four layers: melody, bass, fill, colour.
//!
//! The rooms, each knowing only those above it: [`theory`], [`song`], [`guitar`], [`arrange`],
//! [`score`], [`exchange`], `sound`, [`practice`], [`shelf`], [`studio`], [`cli`].

pub mod arrange;
pub mod cli;
pub mod exchange;
pub mod guitar;
pub mod practice;
#[cfg(test)]
mod properties;
pub mod score;
pub mod shelf;
pub mod song;
#[cfg(feature = "sound")]
pub mod sound;
pub mod studio;
pub mod theory;
