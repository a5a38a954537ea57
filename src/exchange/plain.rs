//! Texts made fit to be shown.

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
        // Direction marks and overrides (Unicode Standard Annex 9), and what else shows nothing of the
        // general category Cf.
        '\u{ad}'
        | '\u{180e}'
        | '\u{200b}'..='\u{200f}'
        | '\u{2028}'..='\u{202e}'
        | '\u{2060}'..='\u{206f}'
        | '\u{061c}'
        | '\u{feff}'
        | '\u{fff9}'..='\u{fffb}'
        | '\u{1bca0}'..='\u{1bca3}'
        | '\u{1d173}'..='\u{1d17a}'
        | '\u{e0000}'..='\u{e007f}' => '\u{fffd}',
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

/// A text on one line, its blanks one each.
pub(super) fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// How many there are of something: `1 bar`, `2 bars`.
pub fn how_many(count: usize, one: &str) -> String {
    let plural = if count == 1 { "" } else { "s" };
    format!("{count} {one}{plural}")
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
        // A hidden letter in tags, and a soft hyphen.
        assert_eq!(
            plain_text("Sea\u{e0041}so\u{ad}ng"),
            "Sea\u{fffd}so\u{fffd}ng"
        );
        assert_eq!(plain_text("Grüße für Zoë"), "Grüße für Zoë");
    }

    #[test]
    fn ascii_keeps_the_sense() {
        assert_eq!(ascii_text("F♯m7♭5 · Zoë"), "F#m7b5 * Zoe");
        assert!(ascii_text("½ ⅓ ♩ – “x” 港").is_ascii());
    }
}
