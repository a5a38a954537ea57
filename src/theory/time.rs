//! Musical time. Every position and length is a whole number of ticks, so that
//! triplets, quintuplets, septuplets and dotted values are exact.

/// A position or a length in musical time, [`QUARTER`] ticks to a quarter note.
///
/// Signed and 64 bits wide: ten thousand bars of 4/4 take 4·10⁸ ticks.
pub type Ticks = i64;

/// Ticks in a quarter note: 10 080 = 2⁵·3²·5·7.
pub const QUARTER: Ticks = 10_080;

/// Says a length in quarter notes the way a player writes it: `3`, `2½`, `1⅓`, `17/8`.
pub fn beats(length: Ticks) -> String {
    beats_of(length, QUARTER)
}

/// Says a length counted in `beat`s: whole part and a fraction in lowest terms.
pub(crate) fn beats_of(length: Ticks, beat: Ticks) -> String {
    let beat = beat.max(1);
    let sign = if length < 0 { "-" } else { "" };
    let length = length.saturating_abs();
    let (whole, rest) = (length / beat, length % beat);
    if rest == 0 {
        return format!("{sign}{whole}");
    }
    let g = gcd(rest, beat);
    let (n, d) = (rest / g, beat / g);
    let glyph = match (n, d) {
        (1, 2) => Some("½"),
        (1, 3) => Some("⅓"),
        (2, 3) => Some("⅔"),
        (1, 4) => Some("¼"),
        (3, 4) => Some("¾"),
        (1, 8) => Some("⅛"),
        (3, 8) => Some("⅜"),
        (5, 8) => Some("⅝"),
        (7, 8) => Some("⅞"),
        _ => None,
    };
    match (glyph, whole) {
        (Some(g), 0) => format!("{sign}{g}"),
        (Some(g), w) => format!("{sign}{w}{g}"),
        (None, w) => format!("{sign}{}/{d}", w * d + n),
    }
}

/// A length as a fraction of a whole note, in lowest terms: `3/8`.
pub fn length_name(length: Ticks) -> String {
    let whole = 4 * QUARTER;
    let shared = gcd(length, whole).max(1);
    format!("{}/{}", length / shared, whole / shared)
}

/// A length written as a fraction of a whole note, `3/8` or `1`, in whole ticks, up to four whole
/// notes; `None` when it is none.
pub fn length_named(text: &str) -> Option<Ticks> {
    let (top, bottom) = text.split_once('/').unwrap_or((text, "1"));
    let (top, bottom): (Ticks, Ticks) = (top.trim().parse().ok()?, bottom.trim().parse().ok()?);
    if !(1..=1_000_000).contains(&top) || !(1..=1_000_000).contains(&bottom) {
        return None;
    }
    let ticks = top * 4 * QUARTER;
    (ticks % bottom == 0 && ticks / bottom <= 16 * QUARTER).then_some(ticks / bottom)
}

/// The greatest length that measures both, never negative; 0 of two that are 0.
pub(crate) fn gcd(a: Ticks, b: Ticks) -> Ticks {
    if b == 0 {
        a.saturating_abs()
    } else {
        gcd(b, a % b)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_read_what_they_write() {
        assert_eq!(length_named(" 3 / 8"), Some(QUARTER * 3 / 2));
        assert_eq!(length_name(QUARTER * 3 / 2), "3/8");
        for text in ["", "1/11", "0/4", "1/0", "-1/4", "1/7.5", "5/1"] {
            assert_eq!(length_named(text), None, "{text}");
        }
    }

    #[test]
    fn lengths_are_said_as_players_write_them() {
        assert_eq!(beats(3 * QUARTER), "3");
        assert_eq!(beats(QUARTER / 2), "½");
        assert_eq!(beats(QUARTER * 5 / 2), "2½");
        assert_eq!(beats(QUARTER / 3), "⅓");
        assert_eq!(beats(QUARTER * 6 / 5), "6/5");
        assert_eq!(beats(-QUARTER / 2), "-½");
        assert_eq!(beats_of(QUARTER * 3, QUARTER * 3 / 2), "2");
    }
}
