//! Which states can't be part of the best way any more.
//!
//! A state X is outdone by a state B of the same slice when B can follow X's best continuation, note
//! for note, at no higher cost in the end. B does so by letting go what X does not hold, by striking
//! what X strikes, and by simply lacking what X holds and B does not. Every grip on the way is part
//! of a grip that X's way uses, so the hand can hold it and it reaches no farther. What B pays beyond
//! X's continuation is bounded:
//!
//! - what it costs B to let go its notes that X does not hold;
//! - in the first step, its fingers may have to jump, or take a note over, where X's need not;
//! - once, the hand's way from B's place to X's place, in the least time there is later on;
//! - a finger that X leaves lying for a later note, B has to set down, or, where X's finger lies over
//!   several strings, may have to take from one of them to another;
//! - a fill note that follows from one X holds, follows from nothing for B.
//!
//! So X is dropped when it costs more than B and all of this together. First every state is held
//! against the best bounds of all others, by hand place; then those left against each state whose
//! ringing notes are among their own, where most of the bounds fall away. A melody note that both still
//! hold must be the same one, since a chord struck under it is voiced around it.

use super::plan::Plan;
use super::shape::{NONE, NOWHERE, PLACES, Shape, Shapes, Spot, slot};
use super::step::{haste, jump, price_string};
use super::worth::Worth;
use crate::guitar::MAX_STRINGS;
use crate::theory::Ticks;
use std::rc::Rc;

/// More than any way costs.
pub(crate) const NEVER: i64 = i64::MAX / 4;

/// How many slices are looked through for the next chord; behind that anything may come.
const FAR: usize = 64;

/// How long the notes of one slice's states should go on ringing after it.
#[derive(Default)]
pub(crate) struct Rests {
    pub melody: Ticks,
    /// For fill and bass.
    chord: [Ticks; 2],
    /// Where the melody comes down: from which MIDI number on a note rings no longer, and how long it
    /// does. The lower ones come later.
    falls: Vec<(i32, Ticks)>,
}

impl Rests {
    /// What should ring on from the slice `index` into the next.
    pub fn new(plan: &Plan, index: usize) -> Rests {
        let mut rests = Rests::default();
        let (slice, Some(next)) = (&plan.slices[index], plan.slices.get(index + 1)) else {
            return rests;
        };
        if let Some(tune) = slice.sung.map(|i| &plan.melody[i]) {
            rests.melody = (tune.end - next.at).max(0);
        }
        if let Some(stroke) = slice.under.map(|i| &plan.strokes[i]) {
            rests.chord = [stroke.fill_end, stroke.end].map(|end| (end - next.at).max(0));
            rests.falls = (stroke.falls.iter())
                .map(|&(at, low)| (low, (at - next.at).max(0)))
                .collect();
        }
        rests
    }

    /// In how many steps a string may be struck again under a finger that has lain over it from the slice
    /// `index` on: where the melody comes down to its note, where something is struck over the chord, and
    /// where the next chord is struck. With it goes the time that there is for the quickest of them.
    fn again(&self, plan: &Plan, index: usize) -> (i64, i64) {
        let to_come = plan.slices.get(index + 1..).unwrap_or_default();
        let Some(next) = to_come.first().filter(|_| self.chord != [0, 0]) else {
            return (0, i64::MAX);
        };
        let (mut steps, mut quickest) = (self.falls.iter().filter(|f| f.1 > 0).count(), i64::MAX);
        for (n, slice) in to_come.iter().enumerate() {
            quickest = quickest.min(slice.millis);
            let stroke = slice.stroke.map(|i| &plan.strokes[i]);
            steps += usize::from(stroke.is_some());
            if stroke.is_some_and(|s| !s.over) {
                break;
            }
            if n == FAR {
                return (i64::MAX, next.quickest);
            }
        }
        (steps as i64, quickest)
    }

    /// Whether nothing should ring on.
    pub fn nothing(&self) -> bool {
        self.melody == 0 && self.chord == [0, 0]
    }

    /// How long a note of fill or bass rings on.
    #[inline]
    fn chord(&self, midi: i32, is_bass: bool) -> Ticks {
        let end = self.chord[usize::from(is_bass)];
        let fall = self.falls.iter().find(|&&(low, _)| low <= midi);
        fall.map_or(end, |&(_, rest)| rest.min(end))
    }

    /// The part of it that concerns one shape.
    #[inline]
    pub fn of(&self, shapes: &Shapes, shape: &Shape) -> Ringing {
        let mut ringing = Ringing {
            alive: 0,
            open: 0,
            price: [0; MAX_STRINGS],
        };
        for s in shape.strings() {
            let rest = if shape.melody == s as u8 {
                self.melody
            } else {
                self.chord(shape.midi(s), shape.bass == s as u8)
            };
            if rest > 0 {
                ringing.alive |= 1 << s;
                ringing.open |= u8::from(shape.grip.frets[s] == 0) << s;
                price_string(shapes.costs, shape, s, rest, &mut ringing.price[s]);
            }
        }
        ringing
    }
}

/// What of one state may ring on into the next slice, and what letting go of it costs there.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ringing {
    /// Strings whose notes may ring on, as bits.
    pub alive: u8,
    /// Those of them that are open.
    pub open: u8,
    price: [i64; MAX_STRINGS],
}

impl Ringing {
    /// What it costs to hold only the strings of `held`.
    #[inline]
    pub fn release(&self, held: u8) -> i64 {
        let mut gone = self.alive & !held;
        let mut sum = 0;
        while gone != 0 {
            sum += self.price[gone.trailing_zeros() as usize];
            gone &= gone - 1;
        }
        sum
    }
}

/// States that hold the same melody note and, where it is said, the same bass note.
type Class = (u32, Option<u32>);

/// How far states may be dropped.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Prune {
    /// A state is dropped only if every way through it costs by more than this beyond another way.
    pub slack: i64,
    /// No way that is asked for lets the bass go in the step to come, so only a state that holds the
    /// same bass does as another does.
    pub bass_stays: bool,
}

/// A state as it is weighed against others.
#[derive(Clone, Copy)]
pub(crate) struct State<'a> {
    pub shape: &'a Shape,
    pub place: i8,
    pub cost: i64,
}

/// The states of one slice that may outdo others.
pub(crate) struct Rivals {
    prune: Prune,
    /// The next slice strikes a chord.
    stroke: bool,
    /// The most that one finger costs in the step to come, if it has to leave a string.
    jump: i64,
    /// What a finger may pay that lies over another state's strings already.
    lying: Lying,
    /// The greatest haste from here on, and what it makes of the ways between places.
    hurry: i64,
    apart: Rc<[i64]>,
    classes: Vec<Class>,
    /// For each of them, by the hand's place: what a state there may cost before it is outdone.
    leasts: Vec<Worth>,
    /// By the hand's place: what no state whatever may cost. Never, as long as a melody note rings
    /// on, since states that hold different ones are no rivals.
    beyond: [i64; PLACES],
    /// The greatest of them.
    beyond_all: i64,
    melody_rings: bool,
    /// How many of the hand places there are on this neck.
    places: usize,
    /// The most that any state without another one's notes pays for lacking them.
    most_lack: i64,
}

impl Rivals {
    /// For the states of the slice `index`; none in the last one, where there is nothing to come.
    pub fn new(
        plan: &Plan,
        shapes: &Shapes,
        index: usize,
        rests: &Rests,
        prune: Prune,
    ) -> Option<Rivals> {
        let next = plan.slices.get(index + 1)?;
        let costs = shapes.costs;
        // All strings but the bass's may carry fill, all may have rung on.
        let strings = shapes.instrument.strings() as i64;
        let may_ring = if rests.nothing() { 0 } else { strings };
        let (again, quickest) = rests.again(plan, index);
        let lying = Lying {
            place: costs.place,
            more: (jump(costs, haste(quickest)) - costs.place).max(0),
            again,
        };
        Some(Rivals {
            // The dearest is a finger over all that may ring.
            most_lack: costs.leap * (strings - 1) + lying.most(may_ring),
            lying,
            prune,
            stroke: next.stroke.is_some(),
            jump: jump(costs, haste(next.millis))
                .max(costs.guide)
                .max(costs.place),
            hurry: haste(next.quickest),
            apart: shapes.aparts(haste(next.quickest)),
            classes: Vec::with_capacity(16),
            leasts: Vec::with_capacity(16),
            beyond: [NEVER; PLACES],
            beyond_all: NEVER,
            melody_rings: rests.melody > 0,
            places: PLACES.min(slot(shapes.instrument.top_fret() as i8) + 1),
        })
    }

    /// By the slot of the hand's place: what any state may cost and not be outdone.
    pub fn beyond(&self) -> Worth {
        self.beyond
    }

    /// Whether any state that costs at least `cost` is outdone.
    #[inline]
    pub fn is_beyond_all(&self, cost: i64) -> bool {
        cost - self.prune.slack > self.beyond_all
    }

    /// The most that a state at the place of this slot may cost before any other outdoes it.
    #[inline]
    pub fn most_at(&self, slot: usize) -> i64 {
        self.beyond[slot].saturating_add(self.prune.slack)
    }

    /// The most that a state without this one's notes pays for lacking them.
    #[inline]
    fn lack(&self, shapes: &Shapes, shape: &Shape, rings: &Ringing) -> i64 {
        let costs = shapes.costs;
        let stopped = |spot: &Spot| i64::from((spot.strings & rings.alive).count_ones());
        let lie = shape.fingers.iter().map(|f| self.lying.most(stopped(f)));
        let fills = if self.stroke {
            shape.fills
        } else {
            shape.fills & rings.alive
        };
        lie.sum::<i64>() + costs.leap * i64::from(fills.count_ones())
    }

    /// Takes up a state as a rival of the others.
    pub fn enter(&mut self, shapes: &Shapes, shape: &Shape, place: i8, cost: i64, rings: &Ringing) {
        let (melody, bass) = voices(shape, rings);
        let own = |voice: u8| if voice == NONE { 0 } else { 1u8 << voice };
        let base = cost + self.fingers(shapes, shape);
        if !self.prune.bass_stays {
            let rest = rings.release(own(shape.melody));
            self.put((melody, None), place, base + rest);
        }
        if bass != 0 {
            let rest = rings.release(own(shape.melody) | own(shape.bass));
            self.put((melody, Some(bass)), place, base + rest);
        }
    }

    /// What a state may cost before it is outdone by a rival.
    #[inline]
    pub fn most(&self, shapes: &Shapes, shape: &Shape, place: i8, rings: &Ringing) -> i64 {
        let (melody, bass) = voices(shape, rings);
        let slot = slot(place);
        let mut least = NEVER;
        for (i, class) in self.classes.iter().enumerate() {
            if class.0 == melody && class.1.is_none_or(|b| b == bass) {
                least = least.min(self.leasts[i][slot]);
            }
        }
        least + self.prune.slack + self.lack(shapes, shape, rings)
    }

    /// Whether what rings on must have a bass in it.
    pub fn bass_stays(&self) -> bool {
        self.prune.bass_stays
    }

    /// Whether the state `one` outdoes `other`, when all that rings on from `one` rings on from
    /// `other` as well, and `missing` are the strings that sound in `other` and don't ring on from
    /// `one`.
    ///
    /// Nothing has to be let go here, and fingers that lie alike cost both the same.
    #[inline]
    pub fn outdoes(&self, shapes: &Shapes, one: State, other: State, missing: u8) -> bool {
        if other.place == NOWHERE && one.place != NOWHERE {
            return false; // a hand that is nowhere yet is everywhere near
        }
        let apart = shapes.apart(one.place, other.place, self.hurry);
        let left = other.cost - self.prune.slack - one.cost - apart;
        if left <= 0 {
            return false;
        }
        let costs = shapes.costs;
        let mut more = 0;
        let mut most = 0;
        let mut later = 0;
        let mut own = 0;
        for (mine, theirs) in one.shape.fingers.iter().zip(&other.shape.fingers) {
            if mine == theirs {
                continue;
            }
            let down = |spot: &Spot| spot.strings != 0;
            let dear = if down(mine) { self.jump } else { costs.place };
            let each = dear - if down(theirs) { 0 } else { costs.place };
            more += each;
            most = most.max(each);
            own += mine.strings.count_ones();
            let lacking = i64::from((theirs.strings & missing).count_ones());
            let shared = theirs.strings & !missing != 0;
            later += self.lying.most(lacking + i64::from(shared && lacking > 0));
        }
        let fingers = if self.stroke {
            more + self.taken_over(shapes, one.shape, own)
        } else {
            most
        };
        let fills = i64::from((other.shape.fills & missing).count_ones());
        left > fingers + later + costs.leap * fills
    }

    /// The most that the fingers of a shape cost it in the step to come.
    fn fingers(&self, shapes: &Shapes, shape: &Shape) -> i64 {
        let place = shapes.costs.place;
        match shape.fingers_down {
            0 if !self.stroke => place,
            _ if !self.stroke => self.jump,
            down => {
                let stopped = (shape.fingers.iter()).map(|spot| spot.strings.count_ones());
                i64::from(down) * self.jump
                    + (4 - i64::from(down)) * place
                    + self.taken_over(shapes, shape, stopped.sum())
            }
        }
    }

    /// The most that the free fingers of a shape pay on top in a chord to come, where each may take
    /// over one of `notes` notes.
    fn taken_over(&self, shapes: &Shapes, shape: &Shape, notes: u32) -> i64 {
        let free = 4 - u32::from(shape.fingers_down);
        i64::from(notes.min(free)) * (self.jump - shapes.costs.place)
    }

    /// Lets every place know of a rival at `place`, with the way from there on top.
    fn put(&mut self, class: Class, place: i8, cost: i64) {
        let found = self.classes.iter().position(|&c| c == class);
        let i = found.unwrap_or_else(|| {
            self.classes.push(class);
            self.leasts.push([NEVER; PLACES]);
            self.classes.len() - 1
        });
        let for_all = class.1.is_none() && !self.melody_rings;
        let least = &mut self.leasts[i];
        if cost >= least[slot(place)] {
            return;
        }
        least[slot(place)] = cost;
        let ways = &self.apart[slot(place) * PLACES..][..self.places];
        for (best, apart) in least.iter_mut().zip(ways).skip(1) {
            *best = (*best).min(cost + apart);
        }
        if for_all {
            let least = &self.leasts[i][..self.places];
            self.beyond_all = 0;
            for (beyond, l) in self.beyond.iter_mut().zip(least) {
                *beyond = l + self.most_lack;
                self.beyond_all = self.beyond_all.max(*beyond);
            }
        }
    }
}

/// What a finger pays that another state has lying over its strings already.
#[derive(Clone, Copy)]
struct Lying {
    place: i64,
    /// What it pays more, in any step to come, where it has to leave one string for another.
    more: i64,
    /// In how many steps that may be.
    again: i64,
}

impl Lying {
    /// The most for a finger over `strings` strings: it is set down for each, and may have to come from
    /// one of them to the next.
    #[inline]
    fn most(self, strings: i64) -> i64 {
        self.place * strings + self.more * self.again.min(strings - 1).max(0)
    }
}

/// The melody and bass notes that ring on, each as a number of its own; 0 for none.
#[inline]
fn voices(shape: &Shape, rings: &Ringing) -> (u32, u32) {
    let code = |voice: u8| {
        if voice == NONE || rings.alive >> voice & 1 == 0 {
            return 0;
        }
        let stop = (shape.stops >> (8 * voice)) as u8;
        1 + u32::from(voice) + 8 * u32::from(stop)
    };
    (code(shape.melody), code(shape.bass))
}
