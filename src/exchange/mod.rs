//! Ways in and out: open formats only.

mod plain;
pub mod tab;

pub use plain::{ascii_text, plain_text};
