//! The plan while the wall clock is set.

use super::*;
use crate::practice::Sitting;

#[test]
fn a_clock_set_back_does_not_confuse_the_plan() {
    // The hardest bar has had its time today.
    let line = "two-buoys bars 6-6 fill at 65% 4 of 5 clean in 900 s";
    let mut studio = studio(5, &format!("{LOG}2026-01-06T11:00:00 {line}\n"));
    let bars = |s: &Studio| -> Vec<usize> {
        let turns = shed(s).turns.iter();
        turns.map(|t| t.passage.first() + 1).collect()
    };
    let planned = bars(&studio);
    assert!(planned.contains(&6), "{planned:?}");
    // The clock is set back by a day, and forward again.
    for (day, second) in [(6, 2), (5, 3), (6, 4)] {
        let now = date(2026, 1, day).at(12, 0, 0, 0);
        studio.update(Message::Clock(now, second));
        let had = bars(&studio).iter().position(|b| *b == 6);
        let is_due = had.is_some_and(|at| !shed(&studio).is_done(at, &studio.log));
        assert!(!is_due, "on the {day}th: {:?}", shed(&studio).turns);
        let records = &studio.log.records;
        assert!(records.iter().all(|r| r.at <= now) && records.is_sorted_by_key(|r| r.at));
    }
    assert_eq!(bars(&studio), planned);
    // The seconds that were played go by a clock that nobody sets.
    typed(&mut studio, " ");
    studio.update(Message::Heard(None));
    assert_eq!(shed(&studio).run, Run::Pass);
    for (day, second) in [(6, 5), (1, 6), (8, 7)] {
        studio.update(Message::Clock(date(2026, 1, day).at(12, 0, 0, 0), second));
    }
    let mut sitting = Sitting::default();
    sitting.play(3);
    assert_eq!(studio.log.sitting, sitting);
}
