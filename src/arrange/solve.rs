//! The arranger's front door.

use super::answer::Answer;
use super::arrangement::{Arrangement, Layer};
use super::cost::{Costs, Price};
use super::frontier::Node;
use super::ideas::{Asked, mark_at, why};
use super::measure::{Goal, Measure};
use super::outdone::NEVER;
use super::pins::{fences, smallest_clash};
use super::plan::Plan;
use super::search::{Bench, Search, Trellis};
use super::shape::{NOWHERE, Shapes};
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
    /// What is asked for of a song where nothing is said: with ideas that were taken the layer that
    /// plays them.
    pub fn usual(song: &Song) -> Options {
        let mut options = Options::default();
        if song.taken().next().is_some() {
            options.layer = Layer::Colour;
        }
        options
    }

    /// The cost table with the lean worked in.
    pub(super) fn leaning(&self) -> Costs {
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
    /// These ideas (indices into the song's ideas), with these pins, can't all be kept: the smallest
    /// set that clashes.
    #[error("{}", clash_of_ideas(ideas, pins))]
    Ideas {
        /// The ideas' indices, from 0; there is at least one.
        ideas: Vec<usize>,
        /// The pins' indices, from 0.
        pins: Vec<usize>,
    },
}

fn remedy(fits: &[i32]) -> String {
    if fits.is_empty() {
        return "nor does any other key of it; choose another instrument or another capo".into();
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

fn clash_of_ideas(ideas: &[usize], pins: &[usize]) -> String {
    let named = |what: &str, list: &[usize]| -> Vec<String> {
        list.iter().map(|i| format!("{what} {}", i + 1)).collect()
    };
    let all = [named("idea", ideas), named("pin", pins)].concat();
    match &all[..] {
        [one] => format!("{one} can't be kept by this hand on this instrument"),
        _ => format!("{} can't be kept together", all.join(" and ")),
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
    let costs = options.leaning();
    let mut bench = Bench::new(instrument, hand, &costs);
    let case = Case { song, options };
    let solved = case.settle(&mut bench)?;
    Ok(case.read(&solved, &bench.shapes))
}

/// The whole-octave shifts that put the melody on the neck.
fn fitting(
    song: &Song,
    instrument: &Instrument,
    shifts: impl Iterator<Item = i32>,
) -> Result<Vec<i32>, ArrangeError> {
    let mut pitches: Vec<Pitch> = (song.bars.iter().flat_map(|b| &b.notes))
        .map(|n| n.pitch)
        .collect();
    pitches.sort_by_key(|p| p.midi());
    pitches.dedup_by_key(|p| p.midi());
    let (Some(&low), Some(&high)) = (pitches.first(), pitches.last()) else {
        return Err(ArrangeError::Empty);
    };
    // Short necks have gaps between their strings.
    let fits = |by: &i32| {
        let is_there = |p: &Pitch| instrument.places(p.midi() + by).next().is_some();
        pitches.iter().all(is_there)
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

/// A song and what is asked about it.
pub(super) struct Case<'a> {
    pub song: &'a Song,
    pub options: &'a Options,
}

/// A song solved in one octave.
pub(super) struct Solved {
    pub shift: i32,
    /// No step of the way may cost more.
    pub cap: i64,
    pub plan: Plan,
    pub path: Vec<Node>,
}

impl Solved {
    /// Where the step out of the slices before `end` ends: after the slice in which the hand is set down
    /// again. What is struck on the way is fixed, but what it costs to come there is not.
    pub fn landing(&self, shapes: &Shapes, end: usize) -> usize {
        let is_set_down = |n: &Node| {
            let shape = shapes.get(n.shape);
            shape.place(shape.sounding & !n.held) != NOWHERE
        };
        let after = self.path[end..].iter().position(is_set_down);
        after.map_or(self.path.len(), |i| end + i + 1)
    }

    /// The way as it is read off without words: no reasons, notes not spelled by their chords.
    pub fn wordless<'a>(&'a self, song: &Song, shapes: &'a Shapes<'a>) -> Answer<'a> {
        Answer {
            plan: &self.plan,
            shapes,
            path: &self.path,
            song_end: song.starts()[song.bars.len()],
            spell: &|_, midi| Pitch::from_midi(midi, 0),
            why: &|_| String::new(),
        }
    }
}

impl Case<'_> {
    /// The best way through the song in the best octave.
    pub fn settle(&self, bench: &mut Bench) -> Result<Solved, ArrangeError> {
        let (song, instrument) = (self.song, bench.shapes.instrument);
        let mut shifts = match self.options.shift {
            Some(shift) => fitting(song, instrument, std::iter::once(shift))?,
            None => fitting(song, instrument, (-4..=4).map(|o| o * 12))?,
        };
        // The written octave sounds one lower on a guitar, so that is the first guess.
        shifts.sort_by_key(|s| (s + 12).abs());
        if shifts.len() > 1
            && let Some(trial) = self.choose_octave(bench, &shifts)
        {
            if self.is_trial() {
                return Ok(trial);
            }
            shifts = vec![trial.shift];
        }
        let solved = shifts.iter().find_map(|&shift| self.solve(bench, shift));
        solved.ok_or_else(|| self.clash(bench, &shifts))
    }

    /// Whether the octave is chosen by what is asked for.
    fn is_trial(&self) -> bool {
        self.options.layer == Layer::Fill && self.options.goal == Goal::Total
    }

    /// The octave in which the song, filled as far as its chords allow, costs least.
    ///
    /// It does not depend on the layer asked for, so that the melody stays put while layers are
    /// added. The likeliest of `shifts` stand first; `None` when pins clash in every octave.
    fn choose_octave(&self, bench: &mut Bench, shifts: &[i32]) -> Option<Solved> {
        let layer = Layer::Fill;
        let mut limit = NEVER;
        let mut best = None;
        for &shift in shifts {
            let plan = Plan::new(self.song, layer, shift);
            let path = self.path(&plan, bench, Measure::Sum { cap: NEVER }, limit);
            if let Ok(path) = path {
                limit = path.last().map_or(NEVER, |n| n.cost);
                let cap = NEVER;
                best = Some(Solved {
                    shift,
                    cap,
                    plan,
                    path,
                });
            }
        }
        best
    }

    /// The best way with the melody moved by `shift`, if pins and ideas can be kept there.
    fn solve(&self, bench: &mut Bench, shift: i32) -> Option<Solved> {
        let plan = Plan::new(self.song, self.options.layer, shift);
        let cap = match self.options.goal {
            Goal::Total => NEVER,
            Goal::HardestStep => self
                .path(&plan, bench, Measure::Greatest, NEVER)
                .ok()
                .and_then(|path| path.last().map(|n| n.cost))
                .unwrap_or(NEVER),
        };
        let path = (self.path(&plan, bench, Measure::Sum { cap }, NEVER)).ok()?;
        Some(Solved {
            shift,
            cap,
            plan,
            path,
        })
    }

    /// The cheapest way through a plan below `limit`, or the slice at which there is none left.
    fn path(
        &self,
        plan: &Plan,
        bench: &mut Bench,
        measure: Measure,
        limit: i64,
    ) -> Result<Vec<Node>, usize> {
        let mut search = Search::new(plan, bench, measure);
        search.fence_in(fences(self.song, plan).ok_or(0usize)?);
        search.run(limit).map(|trellis| best_path(&trellis))
    }

    /// The smallest set of pins and ideas that can't be kept together with any of these shifts.
    fn clash(&self, bench: &mut Bench, shifts: &[i32]) -> ArrangeError {
        let pins = self.song.pins.len();
        let ideas: Vec<usize> = match self.options.layer {
            Layer::Colour => self.song.taken().map(|(i, _)| i).collect(),
            _ => Vec::new(),
        };
        let mut fits = |set: &[usize]| {
            let mut song = self.song.clone();
            let is_pin = |&&i: &&usize| i < pins;
            song.pins = (set.iter().filter(is_pin))
                .map(|&i| self.song.pins[i].clone())
                .collect();
            song.ideas = (set.iter().filter(|i| !is_pin(i)))
                .map(|&i| self.song.ideas[ideas[i - pins]].clone())
                .collect();
            let case = Case {
                song: &song,
                options: self.options,
            };
            shifts.iter().any(|&shift| {
                let plan = Plan::new(&song, self.options.layer, shift);
                case.path(&plan, bench, Measure::Sum { cap: NEVER }, NEVER)
                    .is_ok()
            })
        };
        let set = smallest_clash(pins + ideas.len(), &mut fits);
        let (pinned, taken): (Vec<usize>, Vec<usize>) = set.into_iter().partition(|&i| i < pins);
        match taken.is_empty() {
            true => ArrangeError::Clash { pins: pinned },
            false => ArrangeError::Ideas {
                ideas: taken.into_iter().map(|i| ideas[i - pins]).collect(),
                pins: pinned,
            },
        }
    }

    /// What the player is shown of a way.
    pub fn read(&self, solved: &Solved, shapes: &Shapes) -> Arrangement {
        let answer = Answer {
            plan: &solved.plan,
            shapes,
            path: &solved.path,
            song_end: self.song.starts()[self.song.bars.len()],
            spell: &|index, midi| self.spell(&solved.plan, index, midi),
            why: &|idea| (self.song.ideas.get(idea)).map_or(String::new(), |i| why(&i.figure)),
        };
        let mut notes = answer.struck(0..solved.path.len());
        let grips = answer.ring_over(&mut notes);
        let slices = answer.slices(&grips);
        let mut price = Price::default();
        slices.iter().for_each(|s| price += s.price);
        let plucks = answer.plucks(&notes, &grips);
        // Without chords there is nothing to add to the melody but knocks, harmonics, slurs and a
        // campanella.
        let marks = &solved.plan.marks;
        let is_bare = solved.plan.strokes.is_empty()
            && marks.slurs.is_empty()
            && marks.bells.is_empty()
            && plucks.iter().all(|p| p.layer == Layer::Melody);
        Arrangement {
            song: self.song.clone(),
            instrument: shapes.instrument.clone(),
            hand: shapes.hand.clone(),
            layer: if is_bare {
                Layer::Melody
            } else {
                self.options.layer
            },
            shift: solved.shift,
            melody: solved.plan.melody.clone(),
            plucks,
            remarks: answer.remarks(&notes),
            slices,
            price,
        }
    }

    /// Spells a chord note by its chord, anything else by the key.
    fn spell(&self, plan: &Plan, index: usize, midi: i32) -> Pitch {
        let slice = &plan.slices[index];
        let class = midi.rem_euclid(12);
        let asked = mark_at(&plan.marks.bass, slice.at);
        if let Some(Asked::Note(note)) = asked.map(|m| m.what)
            && note.name.class() == class
        {
            return note.name.at_or_above(midi);
        }
        let by_chord = slice.under.and_then(|i| {
            let chord = &plan.strokes[i].chord;
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

/// The nodes of the cheapest way, one a slice.
pub(super) fn best_path(trellis: &Trellis) -> Vec<Node> {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::song::SongFile;

    fn asked(tune: &str, pins: &str, layer: Layer, capo: u8) -> Result<Arrangement, ArrangeError> {
        let text = format!("key = \"C\"\nmeter = \"4/4\"\ntune = \"\"\"\n{tune}\n\"\"\"\n{pins}");
        let (_, song, _) = SongFile::parse(&text).expect("it is a song");
        let instrument = Instrument::new("standard", capo, 19).expect("it is a guitar");
        let hand = Hand::named("medium").expect("there is one");
        let options = Options {
            layer,
            ..Options::default()
        };
        arrange(&song, &instrument, &hand, &options)
    }

    #[test]
    fn a_note_in_a_gap_of_a_short_neck_is_out_of_range() {
        let refused = asked("c4 g4 |]", "", Layer::Melody, 16);
        assert!(matches!(refused, Err(ArrangeError::OutOfRange { .. })));
        assert!(asked("c4 e4 |]", "", Layer::Melody, 0).is_ok());
    }

    #[test]
    fn a_pin_is_blamed_only_where_it_is_in_the_way_in_every_octave() {
        let easy = "[[pin]]\nbar = 1\nfill = 0\n";
        let bad = "[[pin]]\nbar = 1\nnote = \"melody\"\nstring = 6\nfret = 1\n";
        let clash = asked("c'4 e'4 |]", &format!("{easy}{bad}"), Layer::Fill, 0);
        assert_eq!(clash, Err(ArrangeError::Clash { pins: vec![1] }));
    }

    #[test]
    fn a_pin_of_a_higher_layer_changes_nothing() {
        let many = "[[pin]]\nbar = 1\nfill = 6\n";
        assert!(asked("\"C\"c'4 e'4 |]", many, Layer::Melody, 0).is_ok());
    }

    #[test]
    fn a_grip_off_the_neck_is_not_played_elsewhere() {
        let high = "[[pin]]\nbar = 1\ngrip = \"x x x x x 24\"\n";
        let refused = asked("\"B\"b'8 |]", high, Layer::Fill, 0);
        assert_eq!(refused, Err(ArrangeError::Clash { pins: vec![0] }));
    }
}
