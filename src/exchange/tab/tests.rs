use super::*;
use crate::score::fixture;

#[test]
fn see() {
    println!(
        "{}",
        write(
            &fixture::waltz(),
            Options {
                reasons: true,
                ..Options::default()
            }
        )
    );
    println!(
        "{}",
        write(
            &fixture::waltz(),
            Options {
                ascii: true,
                ..Options::default()
            }
        )
    );
}
