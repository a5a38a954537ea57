//! Numbers as the fields of a measure write them.

/// What decimals are counted in.
pub(super) const MILLION: i64 = 1_000_000;

/// A decimal in millionths, up to a hundred million.
pub(super) fn decimal(text: &str) -> Option<i64> {
    let (sign, digits) = match text.strip_prefix('-') {
        Some(rest) => (-1, rest),
        None => (1, text),
    };
    let (whole, part) = digits.split_once('.').unwrap_or((digits, ""));
    let whole: i64 = whole
        .parse()
        .ok()
        .filter(|n| (0..=100_000_000).contains(n))?;
    let part: String = part.chars().chain("000000".chars()).take(6).collect();
    Some(sign * (whole * MILLION + part.parse::<i64>().ok().filter(|n| *n >= 0)?))
}

/// The passes of an ending: `1`, `1, 2`, `1-3`, `1.`.
pub(super) fn passes(text: &str) -> Vec<u8> {
    let mut passes = Vec::new();
    for part in text.split([',', ' ']) {
        let mut ends = part
            .split('-')
            .map(|n| n.trim_end_matches('.').parse::<u8>().ok());
        let (first, last) = (ends.next().flatten(), ends.next().flatten());
        if let Some(first) = first {
            passes.extend(first..=last.unwrap_or(first).min(first.saturating_add(32)));
        }
    }
    passes.retain(|&p| p > 0);
    passes.sort_unstable();
    passes.dedup();
    passes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decimals_and_passes() {
        for (text, millionths) in [
            ("1", Some(1_000_000)),
            ("-2.5", Some(-2_500_000)),
            ("0.3333333", Some(333_333)),
            ("1e9", None),
            ("--1", None),
            ("1.-5", None),
            ("999999999999", None),
            ("", None),
        ] {
            assert_eq!(decimal(text), millionths, "{text}");
        }
        assert_eq!(passes("1, 2"), [1, 2]);
        assert_eq!(passes("1.-3."), [1, 2, 3]);
        assert_eq!(passes(" 2,2 x 254-255"), [2, 254, 255]);
    }
}
