//! `thumbline completions SHELL`

use super::{Cli, Failure, write_out};
use clap::CommandFactory;
use std::io::Write;

/// Print a completion script for a shell
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The shell
    shell: clap_complete::Shell,
}

pub(super) fn run(args: &Args, out: &mut dyn Write) -> Result<(), Vec<Failure>> {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut Cli::command(), "thumbline", &mut script);
    write_out(out, &script)
}
