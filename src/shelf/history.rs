//! Earlier versions: each save keeps what lay there before; with age they are thinned out.

use super::disk::{self, Old};
use super::store::ENDING;
use super::{Name, Seal, ShelfError, Store, stamp};
use crate::practice::believed;
use jiff::Timestamp;
use std::path::PathBuf;

/// Seconds in an hour, a day and a week.
const HOUR: i64 = 3600;
const DAY: i64 = 24 * HOUR;
const WEEK: i64 = 7 * DAY;

/// So many versions that a clock set wrong has stamped stay at most.
const UNTIMED: usize = 200;

/// An earlier version of a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Version {
    /// A later version has a greater number, however the clock was set.
    pub number: u32,
    /// Until when the file was so: the time of the save that replaced it, to the millisecond.
    pub until: Timestamp,
}

/// Which of some versions are kept at a time: all of the last hour, then the last one of each hour
/// for a day, of each day for a month of 30 days, and of each week for good. Hours, days and weeks
/// are those of UTC, so that thinning often and thinning once come to the same.
///
/// A version whose time can't be true, since the clock was set back before or after it, has no age:
/// the last 200 of those stay.
fn kept(versions: &[Version], now: Timestamp) -> Vec<Version> {
    let mut sorted = versions.to_vec();
    sorted.sort_unstable();
    sorted.dedup();
    let can_be = believed(sorted.iter().map(|v| v.until), now);
    let part = |timed: bool| -> Vec<Version> {
        let all = sorted.iter().zip(&can_be);
        all.filter(|(_, c)| **c == timed).map(|(v, _)| *v).collect()
    };
    let untimed = part(false);
    let mut left = thinned(&part(true), now);
    left.extend(&untimed[untimed.len().saturating_sub(UNTIMED)..]);
    left.sort_unstable();
    left
}

/// Versions in the order of their times, thinned out by their age.
fn thinned(versions: &[Version], now: Timestamp) -> Vec<Version> {
    let bucket = |v: &Version| {
        let at = v.until.as_second();
        let span = match now.as_second().saturating_sub(at) {
            ..HOUR => return None,
            HOUR..DAY => HOUR,
            age if age < 30 * DAY => DAY,
            _ => WEEK,
        };
        Some((span, at.div_euclid(span)))
    };
    let goes = |(i, v): (usize, &Version)| match bucket(v) {
        None => false,
        Some((span, own)) => {
            let next = versions.get(i + 1);
            next.is_some_and(|n| n.until.as_second().div_euclid(span) == own)
        }
    };
    let all = versions.iter().enumerate();
    all.filter(|&(i, v)| !goes((i, v)))
        .map(|(_, v)| *v)
        .collect()
}

fn folder(store: &Store, name: &Name) -> Result<PathBuf, ShelfError> {
    let folder = store.own("earlier")?.join(name.as_str());
    disk::inner_folder(&folder)?;
    Ok(folder)
}

fn file(version: Version) -> String {
    stamp::write((version.number, version.until)) + ENDING
}

/// Keeps a text as it was until now, and thins out the rest.
pub(super) fn keep(
    store: &Store,
    name: &Name,
    text: &str,
    now: Timestamp,
) -> Result<(), ShelfError> {
    let folder = folder(store, name)?;
    let versions = store.versions(name)?;
    let version = Version {
        number: stamp::next(versions.iter().map(|v| v.number)),
        until: now,
    };
    disk::put(&folder.join(file(version)), text, Old::Keep)?;
    let kept = kept(&versions, now);
    for gone in versions.iter().filter(|v| !kept.contains(v)) {
        let path = folder.join(file(*gone));
        // One that can't be removed is thinned out another time.
        let _ = std::fs::remove_file(path);
    }
    Ok(())
}

impl Store {
    /// The earlier versions of a file, the newest first.
    ///
    /// # Errors
    /// When the disk refuses.
    pub fn versions(&self, name: &Name) -> Result<Vec<Version>, ShelfError> {
        let names = disk::names_in(&folder(self, name)?)?;
        let stamps = names.iter().filter_map(|n| match stamp::read(n)? {
            (stamp, ENDING) => Some(stamp),
            _ => None,
        });
        let version = |(number, until)| Version { number, until };
        let mut versions: Vec<Version> = stamps.map(version).collect();
        versions.sort_unstable_by(|a, b| b.cmp(a));
        Ok(versions)
    }

    /// The text of an earlier version.
    ///
    /// # Errors
    /// When it is not kept any more.
    pub fn read_version(&self, name: &Name, version: Version) -> Result<String, ShelfError> {
        let path = folder(self, name)?.join(file(version));
        disk::read(&path)?.ok_or_else(|| ShelfError::NoVersion { name: name.clone() })
    }

    /// Goes back to an earlier version. What lies there now becomes one itself, so that this can
    /// be undone.
    ///
    /// # Errors
    /// As [`Store::save`] and [`Store::read_version`].
    pub fn go_back(
        &self,
        name: &Name,
        version: Version,
        seal: &Seal,
        now: Timestamp,
    ) -> Result<Seal, ShelfError> {
        let text = self.read_version(name, version)?;
        self.save(name, &text, seal, now)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn at(second: i64) -> Timestamp {
        Timestamp::from_second(second).unwrap()
    }

    fn versions() -> impl Strategy<Value = Vec<Version>> {
        let ages = prop_oneof![0..2 * HOUR, 0..2 * DAY, 0..40 * DAY, 0..400 * DAY];
        prop::collection::vec(ages, 0..60).prop_map(|ages| {
            let mut ages = ages;
            ages.sort_unstable_by(|a, b| b.cmp(a));
            of(400 * DAY, &ages)
        })
    }

    /// Versions one after another, so many seconds before a time.
    fn of(now: i64, ages: &[i64]) -> Vec<Version> {
        let numbered = (1..).zip(ages);
        numbered
            .map(|(number, age)| Version {
                number,
                until: at(now - age),
            })
            .collect()
    }

    #[test]
    fn the_last_hour_stays_whole_and_old_weeks_leave_one() {
        let now = 2000 * WEEK;
        let left = |ages: &[i64]| -> Vec<i64> {
            let left = kept(&of(now, ages), at(now));
            left.iter().map(|v| now - v.until.as_second()).collect()
        };
        assert_eq!(left(&[30, 20, 10]).len(), 3);
        // Two in the hour before last, two a day apart, two in one old week.
        assert_eq!(left(&[HOUR + 20, HOUR + 10]), [HOUR + 10]);
        assert_eq!(left(&[3 * DAY, 2 * DAY]).len(), 2);
        let old = [60 * WEEK - DAY, 60 * WEEK - 2 * DAY];
        assert_eq!(left(&old), old[1..]);
    }

    #[test]
    fn what_a_wrong_clock_has_stamped_is_not_thinned_by_its_age() {
        let now = 2000 * WEEK;
        let year = 52 * WEEK;
        // Years behind, then right again; years ahead, then right again.
        let behind = [20, 10, 26 * year + 1, 26 * year, 5];
        assert_eq!(kept(&of(now, &behind), at(now)).len(), 5);
        let ahead = [20, 10, -70 * year, -70 * year - 1, 5];
        assert_eq!(kept(&of(now, &ahead), at(now)).len(), 5);
        // While it is years behind, nothing else is lost either.
        assert_eq!(kept(&of(now, &behind), at(now - 26 * year)).len(), 5);
        // A clock that is wrong for ever leaves no more than it may.
        let never: Vec<i64> = (0..900).map(|i| i - 5000).collect();
        let left = kept(&of(now, &never), at(now));
        assert_eq!((left.len(), left[199].number), (UNTIMED, 900));
    }

    proptest! {
        #![proptest_config(crate::properties::cases(256))]

        #[test]
        fn the_newest_stays_and_nothing_is_made_up(all in versions()) {
            let now = at(400 * DAY);
            let left = kept(&all, now);
            prop_assert!(left.iter().all(|v| all.contains(v)));
            prop_assert_eq!(left.iter().max(), all.iter().max());
            prop_assert_eq!(kept(&left, now), left);
        }

        #[test]
        fn thinning_often_is_thinning_once(all in versions(), first in 0..90 * DAY, then in 0..400 * DAY) {
            let early = at(400 * DAY + first);
            let late = at(400 * DAY + first + then);
            prop_assert_eq!(kept(&kept(&all, early), late), kept(&all, late));
        }
    }
}
