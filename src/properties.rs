//! How properties are tried.

use proptest::test_runner::{Config, FileFailurePersistence};

/// So many cases, or as many as `PROPTEST_CASES` says: a long run is
/// `PROPTEST_CASES=20000 cargo test --release --lib dropping`.
///
/// What fails is kept beside its source, to be tried first from then on; by itself proptest would open
/// a folder at the top of the repository.
pub(crate) fn cases(usual: u32) -> Config {
    let kept = FileFailurePersistence::WithSource("proptest-regressions");
    let config = Config {
        failure_persistence: Some(Box::new(kept)),
        ..Config::default()
    };
    match std::env::var_os("PROPTEST_CASES") {
        Some(_) => config,
        None => Config {
            cases: usual,
            ..config
        },
    }
}
