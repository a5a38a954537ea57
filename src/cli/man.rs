//! `thumbline man`

use super::{Cli, Failure, write_out};
use clap::CommandFactory;
use std::io::Write;

/// Print the manual page, to be read with `man -l`
#[derive(Debug, clap::Args)]
pub(super) struct Args {}

pub(super) fn run(_args: &Args, out: &mut dyn Write) -> Result<(), Vec<Failure>> {
    let mut page = Vec::new();
    // The page is the same however the program was built.
    let whole = Cli::command().long_version(None);
    // Writing into memory does not fail.
    let _ = clap_mangen::Man::new(whole).render(&mut page);
    for command in Cli::command().get_subcommands() {
        let name = format!("thumbline {}", command.get_name());
        page.extend(format!(".SH {}\n", name.to_uppercase()).bytes());
        let man = clap_mangen::Man::new(command.clone().bin_name(name));
        let _ = man.render_synopsis_section(&mut page);
        let _ = man.render_options_section(&mut page);
    }
    write_out(out, &page)
}
