//! Times as parts of file names, such as `20260105T181410.000Z`, in the order of time.

use jiff::Timestamp;

/// Years before 0 and after 9999 don't fit.
const FORM: &str = "%Y%m%dT%H%M%S.%3fZ";

/// Cut to the millisecond, as file names tell it.
pub(super) fn write(at: Timestamp) -> String {
    at.strftime(FORM).to_string()
}

pub(super) fn read(text: &str) -> Option<Timestamp> {
    let time = jiff::civil::DateTime::strptime(FORM, text).ok()?;
    let at = time.to_zoned(jiff::tz::TimeZone::UTC).ok()?.timestamp();
    // One form only, so that a time and a name belong to each other.
    (write(at) == text).then_some(at)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(crate::properties::cases(256))]

        #[test]
        fn a_time_comes_back_from_its_name(ms in 0i64..4_000_000_000_000, later in 1i64..1_000_000_000) {
            let at = Timestamp::from_millisecond(ms).unwrap();
            prop_assert_eq!(read(&write(at)), Some(at));
            let after = Timestamp::from_millisecond(ms + later).unwrap();
            prop_assert!(write(at) < write(after));
        }

        #[test]
        fn nothing_else_is_a_time(text in "[0-9TZ.:]{0,22}") {
            if let Some(at) = read(&text) {
                prop_assert_eq!(write(at), text);
            }
        }
    }
}
