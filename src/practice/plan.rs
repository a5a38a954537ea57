//! What to practise today: the hard bars that are due, in short mixed turns.

use super::{Passage, Record};
use crate::arrange::Layer;
use jiff::civil::Date;

/// The longest turn, in seconds.
pub const LONGEST_TURN: u32 = 180;

/// A shorter rest of the time is not worth a turn, in seconds (our proposal).
const SHORTEST_TURN: u32 = 60;

/// So often one bar comes up in a day's plan at most (our proposal).
const MOST_TURNS: usize = 3;

/// The tempo to begin a new bar at, in percent (our proposal).
const FIRST_TEMPO: u16 = 60;

/// The longest wait before a bar comes up again, in days (our proposal).
const LONGEST_WAIT: i32 = 16;

/// A day goes well when this share of its passes is clean, in percent, and one of them at the goal's
/// tempo (our proposal): what is clean slowly only is not ready to be left for long.
const GOOD: u64 = 80;

/// A song that is being learned.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Piece {
    /// The name of the song's file.
    pub song: String,
    /// The layer that it is played in.
    pub layer: Layer,
    /// What the hands pay in each written bar, see [`super::effort_over_bars`].
    pub efforts: Vec<i64>,
    /// The tempo to get to, in percent of the song's.
    pub goal: u16,
}

/// A turn at a bar.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Turn {
    /// The name of the song's file.
    pub song: String,
    /// The bar, and the next one for the join.
    pub passage: Passage,
    /// The layer.
    pub layer: Layer,
    /// The tempo to begin at, in percent.
    pub tempo: u16,
    /// How long, in seconds, at most [`LONGEST_TURN`].
    pub seconds: u32,
    /// Why it comes up today.
    pub reason: String,
}

/// A bar with what the log says of it.
struct Spot<'a> {
    piece: &'a Piece,
    bar: usize,
    /// Effort among the song's bars in percent, more for passes with slips and for days overdue.
    weight: i64,
    tempo: u16,
    reason: String,
}

/// Turns for `minutes` of practice on a day.
///
/// A bar that went well, at the goal's tempo, waits one day, then twice as long each time it goes
/// well again, up to sixteen; a bar that did not comes back the next day. No bar comes up on a day on which it was
/// practised already. Among those that are due the ones with the most effort, the most slips and
/// the longest wait go first, about as many bars as half the turns, in turn, so that the same one
/// never comes twice in a row unless it is the only one.
pub fn plan(pieces: &[Piece], log: &[Record], today: Date, minutes: u32) -> Vec<Turn> {
    let seconds = minutes.saturating_mul(60).min(24 * 3600);
    let whole = (seconds / LONGEST_TURN) as usize;
    let last = seconds % LONGEST_TURN;
    let turns = whole + usize::from(last >= SHORTEST_TURN);
    let mut spots: Vec<Spot> = pieces
        .iter()
        .flat_map(|piece| (0..piece.efforts.len()).filter_map(|b| spot(piece, b, log, today)))
        .collect();
    // Stable, so that equal bars keep the order of the song.
    spots.sort_by_key(|s| std::cmp::Reverse(s.weight));
    spots.truncate(turns.div_ceil(2));
    let spots = mixed(spots);
    let most = spots.len() * MOST_TURNS;
    let order = spots.iter().cycle().take(turns.min(most)).enumerate();
    order
        .filter_map(|(i, spot)| {
            let seconds = if i < whole { LONGEST_TURN } else { last };
            spot.turn(seconds)
        })
        .collect()
}

impl Spot<'_> {
    fn turn(&self, seconds: u32) -> Option<Turn> {
        let count = self.piece.efforts.len();
        Some(Turn {
            song: self.piece.song.clone(),
            passage: Passage::new(self.bar, self.bar, true, count).ok()?,
            layer: self.piece.layer,
            tempo: self.tempo,
            seconds,
            reason: self.reason.clone(),
        })
    }
}

/// Songs one after another, each with its heaviest bar first.
fn mixed(spots: Vec<Spot>) -> Vec<Spot> {
    let mut queues: Vec<std::collections::VecDeque<Spot>> = Vec::new();
    for spot in spots {
        match queues
            .iter_mut()
            .find(|q| q.front().is_some_and(|s| s.piece.song == spot.piece.song))
        {
            Some(queue) => queue.push_back(spot),
            None => queues.push([spot].into()),
        }
    }
    let mut order = Vec::new();
    while queues.iter().any(|q| !q.is_empty()) {
        order.extend(
            queues
                .iter_mut()
                .filter_map(std::collections::VecDeque::pop_front),
        );
    }
    order
}

/// What the log says of a bar on one day.
struct Day {
    date: Date,
    clean: u64,
    all: u64,
    /// The fastest tempo with a clean pass.
    tempo: Option<u16>,
}

impl Day {
    fn went_well(&self, goal: u16) -> bool {
        let at_tempo = self.tempo.is_some_and(|t| t >= goal);
        at_tempo && self.clean * 100 >= self.all * GOOD
    }
}

fn days(piece: &Piece, bar: usize, log: &[Record], today: Date) -> Vec<Day> {
    let mut days: std::collections::BTreeMap<Date, Day> = Default::default();
    let here = |r: &&Record| {
        // A day to come says nothing yet.
        let asked = r.song == piece.song && r.layer == piece.layer && r.has(bar);
        // Time without a pass is no turn at the bar.
        asked && r.all > 0 && r.at.date() <= today
    };
    for record in log.iter().filter(here) {
        let date = record.at.date();
        let day = days.entry(date).or_insert(Day {
            date,
            clean: 0,
            all: 0,
            tempo: None,
        });
        day.clean += u64::from(record.clean);
        day.all += u64::from(record.all);
        if record.clean > 0 {
            day.tempo = day.tempo.max(Some(record.tempo));
        }
    }
    days.into_values().collect()
}

/// The bar as a spot, when it is due.
fn spot<'a>(piece: &'a Piece, bar: usize, log: &[Record], today: Date) -> Option<Spot<'a>> {
    let most = piece.efforts.iter().copied().max().unwrap_or(0).max(1);
    let effort = piece.efforts.get(bar).copied().unwrap_or(0).max(0);
    let share = (i128::from(effort) * 100 / i128::from(most)) as i64;
    if share == 0 {
        // Nothing to practise, though it was in a loop with others.
        return None;
    }
    let days = days(piece, bar, log, today);
    let Some(last) = days.last() else {
        return Some(Spot {
            piece,
            bar,
            weight: share * 2,
            tempo: FIRST_TEMPO.min(piece.goal),
            reason: "not practised yet".into(),
        });
    };
    let well = days
        .iter()
        .rev()
        .take_while(|d| d.went_well(piece.goal))
        .count();
    let wait = 1_i32
        .checked_shl(well.saturating_sub(1).min(8) as u32)
        .unwrap_or(LONGEST_WAIT)
        .min(LONGEST_WAIT);
    let since = last.date.until(today).map_or(0, |span| span.get_days());
    if since < wait {
        return None;
    }
    let slips = last.all.saturating_sub(last.clean) * 100 / last.all.max(1);
    let overdue = i64::from((since / wait).min(4)) * 25;
    Some(Spot {
        piece,
        bar,
        weight: share * (100 + slips as i64 + overdue) / 100,
        tempo: last.tempo.unwrap_or(FIRST_TEMPO).min(piece.goal),
        reason: format!(
            "{} of {} clean, {}",
            last.clean,
            last.all,
            if since == 1 {
                "yesterday".into()
            } else {
                format!("{since} days ago")
            }
        ),
    })
}

#[cfg(test)]
mod tests;
