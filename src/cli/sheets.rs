//! What is asked for in print.

use crate::exchange::sheet::{Options, Paper};

/// How sheets are printed.
#[derive(Debug, Clone, Copy, clap::Args)]
pub(super) struct Print {
    /// Paper of the sheets: a4 or letter
    #[arg(long, default_value = "a4", value_parser = paper)]
    paper: Paper,
    /// Sheets in large print
    #[arg(long)]
    large: bool,
}

impl Print {
    pub(super) fn options(self) -> Options {
        Options {
            paper: self.paper,
            large: self.large,
        }
    }
}

fn paper(text: &str) -> Result<Paper, String> {
    match text.to_ascii_lowercase().as_str() {
        "a4" => Ok(Paper::A4),
        "letter" => Ok(Paper::Letter),
        _ => Err("the paper is a4 or letter".into()),
    }
}
