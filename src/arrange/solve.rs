//! The arranger's front door.

use super::answer::Answer;
use super::arrangement::{Arrangement, Layer, Tune};
use super::cost::{Costs, Price};
use super::pins::{fences, smallest_clash};
use super::plan::Plan;
use super::search::{Goal, Measure, NEVER, Node, Search, Trellis};
use super::shape::Shapes;
use crate::guitar::{Hand, Instrument};
use crate::song::Song;
use crate::theory::Pitch;

/// What is asked of the arranger beside song, instrument and hand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Options {
    /// The highest layer wanted.
    pub layer: Layer,
    /// Move the melody by this many semitones (whole octaves) instead of choosing the octave.
    pub shift: Option<i32>,
    /// Which of fuller and easier weighs more.
    pub lean: Lean,
    /// What is made least.
    pub goal: Goal,
    /// The cost table.
    pub costs: Costs,
}

impl Default for Options {
    fn default() -> Options {
        Options {
            layer: Layer::Fill,
            shift: None,
            lean: Lean::default(),
            goal: Goal::default(),
            costs: Costs::default(),
        }
    }
}

impl Options {
    /// The cost table with the lean worked in.
    fn leaning(&self) -> Costs {
        let mut costs = self.costs.clone();
        let per_cent = match self.lean {
            Lean::Easy => 40,
            Lean::Even => 100,
            Lean::Full => 250,
        };
        for cost in [&mut costs.thin, &mut costs.no_third, &mut costs.no_seventh] {
            *cost = *cost * per_cent / 100;
        }
        costs
    }
}

/// Which way to lean where fullness and ease disagree.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Lean {
    /// Missing chord notes weigh less than half.
    Easy,
    /// The table as it stands.
    #[default]
    Even,
    /// Missing chord notes weigh two and a half times as much.
    Full,
}

/// Why a song can't be arranged.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ArrangeError {
    /// There is no melody note at all.
    #[error("there is no note in this tune, so there is nothing to arrange")]
    Empty,
    /// No octave puts the melody on the neck.
    #[error(
        "the melody goes from {low} to {high}, and no octave of it fits this instrument; {}",
        remedy(fits)
    )]
    OutOfRange {
        /// The melody's lowest note, as written.
        low: Pitch,
        /// Its highest.
        high: Pitch,
        /// Transpositions in semitones that fit, nearest first.
        fits: Vec<i32>,
    },
    /// These pins (indices into the song's pins) can't all be kept: the smallest set that clashes.
    #[error("{}", clash(pins))]
    Clash {
        /// The pins' indices, from 0.
        pins: Vec<usize>,
    },
}

fn remedy(fits: &[i32]) -> String {
    if fits.is_empty() {
        return "its range is wider than the neck; shorten it, or choose another instrument".into();
    }
    let list: Vec<String> = fits.iter().take(4).map(|f| format!("{f:+}")).collect();
    format!("transposed by {} semitones it fits", list.join(" or "))
}

fn clash(pins: &[usize]) -> String {
    let list: Vec<String> = pins.iter().map(|p| format!("{}", p + 1)).collect();
    match pins {
        [_] => format!(
            "pin {} can't be kept by this hand on this instrument",
            list[0]
        ),
        _ => format!("pins {} can't be kept together", list.join(" and ")),
    }
}

/// Arranges a song.
///
/// # Errors
/// When there is nothing to arrange, the melody does not fit the neck, or pins clash.
pub fn arrange(
    song: &Song,
    instrument: &Instrument,
    hand: &Hand,
    options: &Options,
) -> Result<Arrangement, ArrangeError> {
    let shift = match options.shift {
        Some(shift) => fitting(song, instrument, std::iter::once(shift))?[0],
        None => choose_octave(song, instrument, hand, options)?,
    };
    Solver::new(song, instrument, hand, options, shift).solve()
}

/// The whole-octave shifts that put the melody on the neck.
fn fitting(
    song: &Song,
    instrument: &Instrument,
    shifts: impl Iterator<Item = i32>,
) -> Result<Vec<i32>, ArrangeError> {
    let pitches = || song.bars.iter().flat_map(|b| &b.notes).map(|n| n.pitch);
    let (Some(low), Some(high)) = (
        pitches().min_by_key(|p| p.midi()),
        pitches().max_by_key(|p| p.midi()),
    ) else {
        return Err(ArrangeError::Empty);
    };
    let fits = |shift: &i32| {
        low.midi() + shift >= instrument.lowest() && high.midi() + shift <= instrument.highest()
    };
    let found: Vec<i32> = shifts.filter(fits).collect();
    if !found.is_empty() {
        return Ok(found);
    }
    let octaves = || (-8..=8).map(|o| o * 12);
    let mut near: Vec<i32> = (-11..=11)
        .filter(|t| octaves().any(|o| fits(&(t + o))))
        .collect();
    near.sort_by_key(|t| (t.abs(), *t));
    Err(ArrangeError::OutOfRange {
        low,
        high,
        fits: near,
    })
}

/// The octave in which the song, filled as far as its chords allow, costs least.
///
/// It does not depend on the layer asked for, so that the melody stays put while layers are added.
fn choose_octave(
    song: &Song,
    instrument: &Instrument,
    hand: &Hand,
    options: &Options,
) -> Result<i32, ArrangeError> {
    let shifts = fitting(song, instrument, (-4..=4).map(|o| o * 12))?;
    if let [only] = shifts[..] {
        return Ok(only);
    }
    let options = Options {
        layer: options.layer.max(Layer::Fill),
        goal: Goal::Total,
        ..options.clone()
    };
    let mut best: Option<(i64, i32)> = None;
    // The written octave sounds one lower on a guitar, so that is the first guess.
    let mut order = shifts.clone();
    order.sort_by_key(|s| (s + 12).abs());
    for shift in order {
        let solver = Solver::new(song, instrument, hand, &options, shift);
        let limit = best.map_or(NEVER, |(cost, _)| cost);
        if let Some(cost) = solver.cost(limit)
            && cost < limit
        {
            best = Some((cost, shift));
        }
    }
    Ok(best.map_or(shifts[0], |(_, shift)| shift))
}

/// One song in one octave.
struct Solver<'a> {
    song: &'a Song,
    instrument: &'a Instrument,
    hand: &'a Hand,
    options: &'a Options,
    costs: Costs,
    shift: i32,
    plan: Plan,
}

impl<'a> Solver<'a> {
    fn new(
        song: &'a Song,
        instrument: &'a Instrument,
        hand: &'a Hand,
        options: &'a Options,
        shift: i32,
    ) -> Solver<'a> {
        Solver {
            song,
            instrument,
            hand,
            options,
            costs: options.leaning(),
            shift,
            plan: Plan::new(song, options.layer, shift),
        }
    }

    fn search(&self, measure: Measure) -> Search<'_> {
        let shapes = Shapes::new(self.instrument, self.hand, &self.costs);
        let mut search = Search::new(&self.plan, shapes, measure);
        search.fences = fences(self.song, &self.plan);
        search
    }

    /// The least whole price, if it is below `limit`.
    fn cost(&self, limit: i64) -> Option<i64> {
        let mut search = self.search(Measure::Sum { cap: NEVER });
        let trellis = search.run(limit).ok()?;
        least(&trellis)
    }

    fn solve(&self) -> Result<Arrangement, ArrangeError> {
        let cap = match self.options.goal {
            Goal::Total => NEVER,
            Goal::HardestStep => {
                let hardest = self.search(Measure::Greatest).run(NEVER).ok();
                hardest.as_ref().and_then(least).unwrap_or(NEVER)
            }
        };
        let mut search = self.search(Measure::Sum { cap });
        let trellis = search.run(NEVER).map_err(|_| self.clash())?;
        let path = best_path(&trellis);
        Ok(self.read(&search.shapes, &path))
    }

    /// The smallest set of pins that can't be kept together.
    fn clash(&self) -> ArrangeError {
        let mut fits = |set: &[usize]| {
            let mut song = self.song.clone();
            song.pins = set.iter().map(|&i| self.song.pins[i].clone()).collect();
            Solver::new(&song, self.instrument, self.hand, self.options, self.shift)
                .cost(NEVER)
                .is_some()
        };
        ArrangeError::Clash {
            pins: smallest_clash(self.song.pins.len(), &mut fits),
        }
    }

    fn read(&self, shapes: &Shapes, path: &[Node]) -> Arrangement {
        let answer = Answer {
            plan: &self.plan,
            shapes,
            path,
            song_end: self.song.starts()[self.song.bars.len()],
            spell: &|index, midi| self.spell(index, midi),
        };
        let notes = answer.struck();
        let slices = answer.slices();
        let mut price = Price::default();
        slices.iter().for_each(|s| price += s.price);
        Arrangement {
            song: self.song.clone(),
            instrument: self.instrument.clone(),
            hand: self.hand.clone(),
            layer: self.options.layer,
            shift: self.shift,
            melody: self.plan.melody.clone() as Vec<Tune>,
            plucks: answer.plucks(&notes),
            remarks: answer.remarks(&notes),
            slices,
            price,
        }
    }

    /// Spells a chord note by its chord, anything else by the key.
    fn spell(&self, index: usize, midi: i32) -> Pitch {
        let slice = &self.plan.slices[index];
        let class = midi.rem_euclid(12);
        let by_chord = slice.under.and_then(|i| {
            let chord = &self.plan.strokes[i].chord;
            if chord.bass_name().class() == class {
                return Some(chord.bass_name());
            }
            chord.tone_of(class).map(|tone| chord.name(tone))
        });
        match by_chord {
            Some(name) => name.at_or_above(midi),
            None => self.song.bars[slice.bar].key.spell(midi),
        }
    }
}

fn least(trellis: &Trellis) -> Option<i64> {
    trellis.slices.last()?.iter().map(|n| n.cost).min()
}

/// The nodes of the cheapest way, one a slice.
fn best_path(trellis: &Trellis) -> Vec<Node> {
    let mut path = Vec::with_capacity(trellis.slices.len());
    let last = trellis.slices.last().map_or(&[][..], |s| &s[..]);
    let mut at = (0..last.len()).min_by_key(|&i| last[i].cost);
    for slice in trellis.slices.iter().rev() {
        let Some(node) = at.and_then(|i| slice.get(i)) else {
            break;
        };
        path.push(*node);
        at = Some(node.back as usize);
    }
    path.reverse();
    path
}
