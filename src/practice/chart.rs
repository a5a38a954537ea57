//! Figures over days and bars, ready to be drawn.

use super::Record;
use crate::arrange::Arrangement;
use jiff::civil::Date;
use std::collections::BTreeMap;
use std::ops::RangeInclusive;

/// Seconds practised within some days, with one song or (`None`) all.
pub fn practised(log: &[Record], song: Option<&str>, days: RangeInclusive<Date>) -> u64 {
    let asked = |r: &&Record| days.contains(&r.at.date()) && song.is_none_or(|s| r.song == s);
    log.iter().filter(asked).map(|r| u64::from(r.seconds)).sum()
}

/// Seconds practised on each day with practice, in order.
pub fn by_day(log: &[Record], song: Option<&str>) -> Vec<(Date, u64)> {
    let mut days = BTreeMap::new();
    for record in log.iter().filter(|r| song.is_none_or(|s| r.song == s)) {
        *days.entry(record.at.date()).or_insert(0) += u64::from(record.seconds);
    }
    days.into_iter().collect()
}

/// The fastest tempo, in percent, at which each day had a clean pass of a bar (`None`: of any bars)
/// of a song; days without one are left out.
pub fn tempo_over_days(log: &[Record], song: &str, bar: Option<usize>) -> Vec<(Date, u16)> {
    let mut days = BTreeMap::new();
    for record in log {
        if record.song == song && record.clean > 0 && bar.is_none_or(|b| record.has(b)) {
            let best = days.entry(record.at.date()).or_insert(0);
            *best = record.tempo.max(*best);
        }
    }
    days.into_iter().collect()
}

/// What the hands pay in each written bar, in thousandths of an effort.
pub fn effort_over_bars(arrangement: &Arrangement) -> Vec<i64> {
    let mut bars = vec![0; arrangement.song.bars.len()];
    for slice in &arrangement.slices {
        if let Some(bar) = bars.get_mut(slice.bar) {
            *bar += slice.price.effort();
        }
    }
    bars
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::practice::read;
    use crate::score::fixture;
    use jiff::civil::date;

    const LOG: &str = "
        2026-01-05T19:00:00 quay bars 1-2 bass at 60% 2 of 5 clean in 100 s
        2026-01-05T23:59:59 quay bars 2-3 bass at 80% 0 of 5 clean in 50 s
        2026-01-06T00:00:00 quay bars 2-2 fill at 70% 1 of 1 clean in 10 s
        2026-01-06T10:00:00 ferry bars 2-2 fill at 90% 1 of 1 clean in 5 s";

    #[test]
    fn days_and_songs_are_told_apart() {
        let (log, _) = read(LOG);
        let (fifth, sixth) = (date(2026, 1, 5), date(2026, 1, 6));
        assert_eq!(by_day(&log, None), [(fifth, 150), (sixth, 15)]);
        assert_eq!(by_day(&log, Some("ferry")), [(sixth, 5)]);
        assert_eq!(practised(&log, Some("quay"), fifth..=sixth), 160);
        assert_eq!(practised(&log, None, sixth..=sixth), 15);
        let tempo = tempo_over_days(&log, "quay", None);
        assert_eq!(tempo, [(fifth, 60), (sixth, 70)]);
        assert_eq!(tempo_over_days(&log, "quay", Some(0)), [(fifth, 60)]);
        assert_eq!(tempo_over_days(&log, "quay", Some(2)), []);
    }

    #[test]
    fn the_bars_share_the_whole_effort() {
        let waltz = fixture::waltz();
        let bars = effort_over_bars(&waltz);
        assert_eq!(bars.len(), waltz.song.bars.len());
        let whole: i64 = waltz.slices.iter().map(|s| s.price.effort()).sum();
        assert_eq!(bars.iter().sum::<i64>(), whole);
    }
}
