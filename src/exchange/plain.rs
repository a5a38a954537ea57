//! Texts from files made fit to be shown.

/// Makes a text harmless to a terminal: tabs and line ends become spaces, control characters and
/// the invisible signs that turn the direction of writing become `�`. One character stays one.
pub fn plain_text(text: &str) -> String {
    text.chars().map(plain).collect()
}

/// Whether a character is shown as it is.
pub(super) fn is_plain(c: char) -> bool {
    plain(c) == c
}

fn plain(c: char) -> char {
    match c {
        '\t' | '\n' | '\r' => ' ',
        c if c.is_control() => '\u{fffd}',
        // Direction marks and overrides, and other signs that show nothing (Unicode Standard
        // Annex 9 and the general category Cf).
        '\u{200b}'..='\u{200f}'
        | '\u{2028}'..='\u{202e}'
        | '\u{2060}'..='\u{206f}'
        | '\u{061c}'
        | '\u{feff}' => '\u{fffd}',
        c => c,
    }
}

/// The same in plain ASCII: ♯ becomes #, ♭ becomes b, accents fall away, other scripts are spelled
/// out as well as Latin letters can.
pub fn ascii_text(text: &str) -> String {
    let signs: String = plain_text(text)
        .chars()
        .map(|c| match c {
            '♯' => '#',
            '♭' => 'b',
            '\u{fffd}' => '?',
            c => c,
        })
        .collect();
    deunicode::deunicode_with_tofu(&signs, "?")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_can_steer_a_terminal() {
        assert_eq!(
            plain_text("Sea\u{1b}[2J\tsong\u{202e}\n"),
            "Sea\u{fffd}[2J song\u{fffd} "
        );
        assert_eq!(plain_text("Grüße für Zoë"), "Grüße für Zoë");
    }

    #[test]
    fn ascii_keeps_the_sense() {
        assert_eq!(ascii_text("F♯m7♭5 · Zoë"), "F#m7b5 * Zoe");
        assert!(ascii_text("½ ⅓ ♩ – “x” 港").is_ascii());
    }
}
