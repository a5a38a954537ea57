//! `thumbline man`

use super::{AFTER, Cli, Failure, write_out};
use clap::{Command, CommandFactory};
use clap_mangen::Man;
use clap_mangen::roff::{Roff, bold, roman};
use std::io::{self, Write};

/// Print the manual page, to be read with `man -l`
#[derive(Debug, clap::Args)]
pub(super) struct Args {}

pub(super) fn run(_args: &Args, out: &mut dyn Write) -> Result<(), Vec<Failure>> {
    let mut page = Vec::new();
    // Writing into memory does not fail.
    let _ = write_page(&mut page);
    write_out(out, &page)
}

fn write_page(page: &mut Vec<u8>) -> io::Result<()> {
    // The page is the same however the program was built.
    let whole = Cli::command()
        .long_version(None)
        .override_usage("thumbline [SONG]\nthumbline COMMAND …");
    // No date, which is to be blank: an empty one would let what follows take its place.
    let man = Man::new(whole.clone()).date(" ").manual("User Commands");
    man.render_title(page)?;
    man.render_name_section(page)?;
    man.render_synopsis_section(page)?;
    man.render_description_section(page)?;
    man.render_options_section(page)?;
    Roff::new().control("SH", ["COMMANDS"]).to_writer(page)?;
    for command in whole.get_subcommands() {
        write_command(command, page)?;
    }
    write_after(page)
}

/// A subcommand: a part of the page with its name, what it does, how it is typed, its options.
fn write_command(command: &Command, page: &mut Vec<u8>) -> io::Result<()> {
    let name = format!("thumbline {}", command.get_name());
    let about = (command.get_about()).map_or(String::new(), ToString::to_string);
    Roff::new()
        .control("SS", [name.as_str()])
        .text([roman(about)])
        .control("PP", [])
        .to_writer(page)?;
    let man = Man::new(command.clone().bin_name(name).disable_help_flag(true));
    let mut part = Vec::new();
    man.render_synopsis_section(&mut part)?;
    man.render_options_section(&mut part)?;
    // They come as sections of the page; here they are parts of one.
    for line in String::from_utf8_lossy(&part).lines() {
        match line.strip_prefix(".SH ") {
            Some("SYNOPSIS" | "OPTIONS") => {}
            Some(heading) => Roff::new()
                .control("PP", [])
                .text([bold(heading.trim_matches('"'))])
                .to_writer(page)?,
            None => writeln!(page, "{line}")?,
        }
    }
    Ok(())
}

/// What stands under `--help`: each part a section, what is set in there a line of its own.
fn write_after(page: &mut Vec<u8>) -> io::Result<()> {
    let mut roff = Roff::new();
    for (heading, text) in AFTER.split("\n\n").filter_map(|p| p.split_once(":\n")) {
        roff.control("SH", [heading.to_uppercase().as_str()]);
        for (i, line) in text.lines().enumerate() {
            if i > 0 && line.starts_with(' ') {
                roff.control("br", []);
            }
            roff.text([roman(line.trim_start())]);
        }
    }
    roff.to_writer(page)
}
