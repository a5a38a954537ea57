//! What may be painted with on this terminal.

use std::ffi::OsString;

/// What the surroundings say of colours.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Colours {
    /// `NO_COLOR` asks for none (no-color.org: set and not empty).
    pub(super) none: bool,
    /// There are 16 million, as `COLORTERM` or the name of the terminal says.
    pub(super) full: bool,
}

/// The colours of the terminal that the program runs on.
pub(super) fn found() -> Colours {
    said(|name| std::env::var_os(name))
}

fn said(variable: impl Fn(&str) -> Option<OsString>) -> Colours {
    let value = |name| variable(name).unwrap_or_default();
    let full = ["truecolor", "24bit"]
        .iter()
        .any(|c| value("COLORTERM") == *c);
    Colours {
        none: !value("NO_COLOR").is_empty(),
        full: full || value("TERM").to_string_lossy().ends_with("-direct"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_surroundings_say_which_colours_there_are() {
        for (name, value, none, full) in [
            ("NO_COLOR", "1", true, false),
            ("NO_COLOR", "", false, false),
            ("COLORTERM", "truecolor", false, true),
            ("TERM", "xterm-direct", false, true),
            ("TERM", "xterm", false, false),
        ] {
            let found = said(|n| (n == name).then(|| value.into()));
            assert_eq!(found, Colours { none, full }, "{name}={value}");
        }
    }
}
