//! What was practised and when: the log as the studio knows it, the time, and the present sitting.

use super::disk::Errand;
use super::message::Order;
use crate::exchange::plain_text;
use crate::practice::{PracticeError, Record, Sitting, practised, read, settled};
use jiff::civil::{Date, DateTime};

/// The most seconds of playing that one message of the clock can stand for; more means that the
/// program stood still.
const LONGEST_TICK: u64 = 5;

/// The practice log and the clock.
#[derive(Debug, Default)]
pub struct Log {
    /// Everything practised, the earliest first, none later than now: where the clock was set in
    /// between, times that can't be true give way to those that can.
    pub records: Vec<Record>,
    /// The times of the records as the log tells them.
    told: Vec<DateTime>,
    /// The log has been read, so that the records are all there are.
    pub is_read: bool,
    /// The present sitting.
    pub sitting: Sitting,
    /// The player's wall clock.
    pub now: DateTime,
    asked: bool,
    /// Lines that the disk refused, to be tried again.
    owed: Vec<String>,
    seconds: Option<u64>,
    sounding: bool,
    idle: u32,
}

impl Log {
    /// The order to read the log, once.
    pub(super) fn ask(&mut self) -> Option<Order> {
        (!std::mem::replace(&mut self.asked, true)).then_some(Order::Disk(Errand::ReadLog))
    }

    /// Takes what lies on disk; what is worth saying about it comes back.
    pub(super) fn take(&mut self, text: Result<String, String>) -> Option<String> {
        self.is_read = true;
        let text = match text {
            Ok(text) => text,
            Err(why) => return Some(format!("the practice log can't be read: {why}")),
        };
        let (before, torn) = read(&text);
        // What was practised while the disk was read is written behind it.
        self.told.splice(0..0, before.iter().map(|r| r.at));
        let since = std::mem::replace(&mut self.records, before);
        self.records.extend(since);
        self.settle();
        match torn.as_slice() {
            [] => None,
            [only] => Some(only.to_string()),
            [first, ..] => Some(format!("{first}, and {} more", torn.len() - 1)),
        }
    }

    /// Adds a record, to be written at once.
    pub(super) fn add(&mut self, record: Record) -> Result<Vec<Order>, PracticeError> {
        let line = record.line()?;
        self.told.push(record.at);
        self.records.push(record);
        let mut orders = self.try_again();
        orders.push(Order::Disk(Errand::Log(line)));
        Ok(orders)
    }

    /// Lines that the disk refused are written again.
    pub(super) fn try_again(&mut self) -> Vec<Order> {
        self.owed
            .drain(..)
            .map(|line| Order::Disk(Errand::Log(line)))
            .collect()
    }

    /// Tells what became of a line; when it was refused, a sentence comes back.
    pub(super) fn written(&mut self, line: String, result: Result<(), String>) -> Option<String> {
        let why = plain_text(&result.err()?);
        self.owed.push(line);
        Some(format!("not logged yet, will be tried again: {why}"))
    }

    /// Tells that music plays, or not.
    pub(super) fn sounds(&mut self, playing: bool) {
        self.sounding = playing;
    }

    /// Tells the time, see [`Message::Clock`](super::Message::Clock); with `playing` the player
    /// plays, whether or not anything is heard. The seconds of playing since the last time come
    /// back.
    pub(super) fn clock(&mut self, now: DateTime, seconds: u64, playing: bool) -> u32 {
        let was = std::mem::replace(&mut self.now, now);
        if now < was || now.date() != was.date() {
            self.settle();
        }
        let before = self.seconds.replace(seconds).unwrap_or(seconds);
        let since = seconds.saturating_sub(before);
        if !playing && !self.sounding {
            let since = u32::try_from(since).unwrap_or(u32::MAX);
            self.idle = self.idle.saturating_add(since);
            self.sitting.rest(self.idle);
            return 0;
        }
        self.idle = 0;
        let played = since.min(LONGEST_TICK) as u32;
        self.sitting.play(played);
        played
    }

    /// Puts the times of the records in order, as they can be true by now.
    fn settle(&mut self) {
        let times = settled(&self.told, self.now);
        for (record, at) in self.records.iter_mut().zip(times) {
            record.at = at;
        }
    }

    /// The day.
    pub fn today(&self) -> Date {
        self.now.date()
    }

    /// Seconds practised today, all songs together.
    pub fn seconds_today(&self) -> u64 {
        practised(&self.records, None, self.today()..=self.today())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::practice::Prompt;
    use jiff::civil::date;

    const LINE: &str = "2026-01-05T19:04:11 quay bars 3-4 fill at 80% 1 of 1 clean in 9 s";

    fn record() -> Record {
        read(LINE).0.remove(0)
    }

    #[test]
    fn what_is_practised_before_the_log_is_read_stays() {
        let mut log = Log::default();
        assert_eq!(log.ask(), Some(Order::Disk(Errand::ReadLog)));
        assert_eq!(log.ask(), None);
        assert_eq!(
            log.add(record()),
            Ok(vec![Order::Disk(Errand::Log(LINE.into()))])
        );
        let said = log.take(Ok(format!("{LINE}\ntorn\n{LINE}\n2026-01\n")));
        assert_eq!(log.records.len(), 3);
        let said = said.unwrap();
        assert!(said.contains("line 2") && said.contains("1 more"), "{said}");
    }

    #[test]
    fn a_clock_set_back_leaves_the_order_and_the_day() {
        let mut log = Log::default();
        let line =
            |at: &str, bar| format!("{at} quay bars {bar}-{bar} fill at 80% 1 of 1 clean in 9 s\n");
        let days = |log: &Log| -> Vec<i8> { log.records.iter().map(|r| r.at.day()).collect() };
        // Yesterday, then twice on a day that was not there yet.
        let ahead = "2099-05-01T10:00:00";
        let text = line("2026-01-05T19:00:00", 1) + &line(ahead, 2) + &line(ahead, 3);
        log.clock(date(2026, 1, 6).at(19, 0, 0, 0), 0, false);
        log.take(Ok(text));
        assert_eq!(days(&log), [5, 6, 6]);
        assert_eq!(log.seconds_today(), 18);
        let add = |log: &mut Log| {
            let at = log.now;
            let orders = log.add(Record { at, ..record() }).unwrap();
            let [Order::Disk(Errand::Log(line))] = &orders[..] else {
                panic!("{orders:?}");
            };
            assert!(line.starts_with(&at.strftime("%Y-%m-%dT%H:%M:%S").to_string()));
        };
        add(&mut log);
        // Set back by two days: what was practised stays practised, and the last of it today.
        log.clock(date(2026, 1, 4).at(19, 0, 0, 0), 1, false);
        assert_eq!(days(&log), [4; 4]);
        add(&mut log);
        // And right again.
        log.clock(date(2026, 1, 7).at(8, 0, 0, 0), 2, false);
        assert_eq!(days(&log), [5, 6, 6, 6, 7]);
        assert!(log.records.is_sorted_by_key(|r| r.at));
    }

    #[test]
    fn refused_lines_are_tried_again() {
        let mut log = Log::default();
        let said = log.written(LINE.into(), Err("the disk is full".into()));
        assert!(said.unwrap().contains("the disk is full"));
        let line = || Order::Disk(Errand::Log(LINE.into()));
        assert_eq!(log.add(record()), Ok(vec![line(), line()]));
        assert_eq!(log.written(LINE.into(), Ok(())), None);
        assert!(log.try_again().is_empty());
    }

    #[test]
    fn playing_and_rest_are_told_apart() {
        let mut log = Log::default();
        let at = date(2026, 1, 5).at(19, 0, 0, 0);
        log.sounds(true);
        let played: u32 = (0..=1800).map(|s| log.clock(at, s, false)).sum();
        assert_eq!(played, 1800);
        assert_eq!(log.sitting.prompt(), Prompt::Now);
        // A program that stood still was not played.
        assert_eq!(log.clock(at, 9000, false), 5);
        log.sounds(false);
        log.clock(at, 9299, false);
        assert_eq!(log.sitting.prompt(), Prompt::Now);
        log.clock(at, 9300, false);
        assert_eq!(log.sitting.prompt(), Prompt::None);
    }
}
