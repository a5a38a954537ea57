//! Times by the clock.

use std::time::Instant;

/// Milliseconds of so many runs, the shortest first.
pub fn millis(times: usize, run: impl Fn()) -> Vec<f64> {
    let once = |_| {
        let start = Instant::now();
        run();
        start.elapsed().as_secs_f64() * 1000.0
    };
    let mut millis: Vec<f64> = (0..times).map(once).collect();
    millis.sort_by(f64::total_cmp);
    millis
}

/// Prints the median and the slowest of so many runs.
pub fn report(what: &str, times: usize, run: impl Fn()) {
    let millis = millis(times, run);
    let (median, worst) = (share(&millis, 0.5), share(&millis, 1.0));
    println!("{what}: median {median:.1} ms, at worst {worst:.1} ms");
}

/// Prints median, 95th percentile and longest of some times in milliseconds.
pub fn spread_of(what: &str, mut millis: Vec<f64>) {
    millis.sort_by(f64::total_cmp);
    if millis.is_empty() {
        return println!("{what}: nothing to measure; run tests/outside/corpus.py first");
    }
    println!(
        "{what}: {} times, median {:.2} ms, 95th percentile {:.2} ms, longest {:.2} ms",
        millis.len(),
        share(&millis, 0.5),
        share(&millis, 0.95),
        share(&millis, 1.0)
    );
}

/// The time that so great a share of them do not go beyond; 0 where there are none.
fn share(millis: &[f64], share: f64) -> f64 {
    let at = (millis.len().saturating_sub(1) as f64 * share) as usize;
    millis.get(at).copied().unwrap_or_default()
}
