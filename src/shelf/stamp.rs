//! Stamps as parts of file names, such as `000012.20260105T181410.000Z`: a number, by which things are
//! in order however the clock was set, and what the clock said.

use jiff::Timestamp;

/// Years before 0 and after 9999 don't fit.
const FORM: &str = "%Y%m%dT%H%M%S.%3fZ";

/// A stamp; the number goes first. Number 0 stands for none, as the first ones were written.
pub(super) type Stamp = (u32, Timestamp);

/// Cut to the millisecond, as file names tell it.
pub(super) fn write((number, at): Stamp) -> String {
    let time = at.strftime(FORM);
    match number {
        0 => time.to_string(),
        _ => format!("{number:06}.{time}"),
    }
}

/// The stamp that a text begins with, and what follows it.
pub(super) fn read(text: &str) -> Option<(Stamp, &str)> {
    let (stamp, behind) = text.split_at(text.find('Z')? + 1);
    let (number, time) = match stamp.split_once('.') {
        Some((number, time)) if !number.contains('T') => (number.parse().ok()?, time),
        _ => (0, stamp),
    };
    let time = jiff::civil::DateTime::strptime(FORM, time).ok()?;
    let at = time.to_zoned(jiff::tz::TimeZone::UTC).ok()?.timestamp();
    // One form only, so that a stamp and a name belong to each other.
    (write((number, at)) == stamp).then_some(((number, at), behind))
}

/// The number behind all of these.
pub(super) fn next(numbers: impl Iterator<Item = u32>) -> u32 {
    numbers.max().unwrap_or(0).saturating_add(1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(crate::properties::cases(256))]

        #[test]
        fn a_stamp_comes_back_from_its_name(
            ms in 0i64..4_000_000_000_000, later in -1_000_000_000i64..1_000_000_000, number: u32,
        ) {
            let at = Timestamp::from_millisecond(ms).unwrap();
            let name = write((number, at)) + ".Zoë";
            prop_assert_eq!(read(&name), Some(((number, at), ".Zoë")));
            // Names are in order however the clock was set, as long as six digits do.
            let after = Timestamp::from_millisecond(ms + later.max(-ms)).unwrap();
            let number = number % 999_998 + 1;
            prop_assert!(write((number, at)) < write((number + 1, after)));
        }

        #[test]
        fn nothing_else_is_a_stamp(text in "[0-9TZ.:]{0,30}") {
            if let Some((stamp, behind)) = read(&text) {
                prop_assert_eq!(write(stamp) + behind, text);
            }
        }
    }
}
