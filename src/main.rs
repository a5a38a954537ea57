//! The thin program around the library.

fn main() {}
