//! MusicXML 4.0 (W3C Music Notation Community Group, 2021): arrangements out, songs in.
//!
//! An arrangement is one part with two staves: notation in the treble clef that sounds an octave
//! lower, and tab below it. Each layer is a voice, melody 1, bass 2, fill 3, colour 4, and 5 to 8 in
//! the tab. Lengths are what really sounds, tied over bar lines. The tab carries string, fret, left
//! fingering and the right hand's finger (`pluck`) of every note; a note under a barre says so as
//! `other-technical`, and where a barre is laid down a word above the staff names its fret. Frets
//! count from the capo, as the standard has it; pitches are what sounds.
//!
//! Repeats are written as they are played, so that programs which know fewer ways to end a section
//! than we do still play the same bars.

mod attributes;
mod kind;
mod note;
mod pen;
mod read;
mod values;
mod voices;
mod write;

pub use read::{read, unpack};
pub use write::{write, write_compressed};

#[cfg(test)]
mod tests;
