//! The thin program around the library.

use std::process::ExitCode;

fn main() -> ExitCode {
    thumbline::cli::main()
}
