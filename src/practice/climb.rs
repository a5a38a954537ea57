//! Bringing a loop up to tempo as clean passes add up.

use super::PracticeError;
use super::error::tempo;

/// The two ways up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// Step by step from the start to the goal.
    Steps {
        /// How much faster each step is, in percent of the song's tempo, 1 to 50.
        by: u16,
    },
    /// A pass at the start's tempo and one at the goal's in turn. One study found it to beat steady
    /// steps (read of at second hand only), so it is offered and not set.
    InTurn,
}

/// What a pass led to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// Once more.
    Again,
    /// Faster from now on.
    Faster,
    /// Slower from now on.
    Slower,
    /// The goal is reached: as many clean passes as asked for at its tempo.
    There,
}

/// A loop on its way to a tempo. Tempos are percent of the song's.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Climb {
    start: u16,
    goal: u16,
    way: Way,
    passes: u32,
    now: u16,
    clean: u32,
    missed: u32,
    there: bool,
}

/// So many passes with a slip in a row lead a step down (our proposal).
const MISSES: u32 = 3;

impl Climb {
    /// From `start` to `goal`, both 20 to 200 %, with `passes` (1 to 20) clean ones in a row needed
    /// for each step, and at the goal to be there.
    ///
    /// # Errors
    /// When a figure is out of its range or the goal lies below the start.
    pub fn new(start: u16, goal: u16, way: Way, passes: u32) -> Result<Climb, PracticeError> {
        let (start, goal) = (tempo(start)?, tempo(goal)?);
        if goal < start {
            return Err(PracticeError::Goal { start, goal });
        }
        if let Way::Steps { by } = way
            && !(1..=50).contains(&by)
        {
            return Err(PracticeError::Step { percent: by });
        }
        if !(1..=20).contains(&passes) {
            return Err(PracticeError::Passes { passes });
        }
        Ok(Climb {
            start,
            goal,
            way,
            passes,
            now: start,
            clean: 0,
            missed: 0,
            there: false,
        })
    }

    /// The tempo of the next pass, in percent.
    pub fn tempo(&self) -> u16 {
        self.now
    }

    /// How many clean passes in a row there are at this tempo (taking slow and fast in turn: at the
    /// goal's tempo).
    pub fn clean(&self) -> u32 {
        self.clean
    }

    /// How many are needed.
    pub fn needed(&self) -> u32 {
        self.passes
    }

    /// Whether the goal has been reached.
    pub fn is_there(&self) -> bool {
        self.there
    }

    /// Tells of one complete pass at [`Climb::tempo`]: whether it was clean, as the player hears it.
    pub fn pass(&mut self, clean: bool) -> Step {
        match self.way {
            Way::Steps { by } => self.pass_in_steps(by, clean),
            Way::InTurn => self.pass_in_turn(clean),
        }
    }

    fn pass_in_steps(&mut self, by: u16, clean: bool) -> Step {
        let at = self.now;
        if clean {
            self.missed = 0;
            self.clean += 1;
            if self.clean < self.passes {
                return Step::Again;
            }
            if at == self.goal {
                self.clean = self.passes;
                self.there = true;
                return Step::There;
            }
            self.move_to((at + by).min(self.goal));
            return Step::Faster;
        }
        self.clean = 0;
        self.missed += 1;
        let slower = at.saturating_sub(by).max(self.start);
        if self.missed < MISSES || slower == at {
            return Step::Again;
        }
        self.move_to(slower);
        Step::Slower
    }

    fn pass_in_turn(&mut self, clean: bool) -> Step {
        // With start and goal the same, each pass is one at the goal.
        if self.now == self.goal {
            self.clean = if clean { self.clean + 1 } else { 0 };
            if self.clean >= self.passes {
                self.clean = self.passes;
                self.there = true;
                return Step::There;
            }
        }
        let other = self.start + self.goal - self.now;
        let step = match other.cmp(&self.now) {
            std::cmp::Ordering::Less => Step::Slower,
            std::cmp::Ordering::Equal => Step::Again,
            std::cmp::Ordering::Greater => Step::Faster,
        };
        self.now = other;
        step
    }

    fn move_to(&mut self, tempo: u16) {
        self.now = tempo;
        self.clean = 0;
        self.missed = 0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn climb(way: Way) -> Climb {
        Climb::new(60, 75, way, 2).unwrap()
    }

    #[test]
    fn clean_passes_lead_up_and_the_last_step_is_cut_to_the_goal() {
        let mut climb = climb(Way::Steps { by: 10 });
        let said: Vec<Step> = (0..6).map(|_| climb.pass(true)).collect();
        use Step::{Again, Faster, There};
        assert_eq!(said, [Again, Faster, Again, Faster, Again, There]);
        assert_eq!(climb.tempo(), 75);
        assert!(climb.is_there());
    }

    #[test]
    fn a_slip_starts_the_count_again_and_three_lead_down() {
        let mut climb = climb(Way::Steps { by: 10 });
        for clean in [true, false, true] {
            assert_eq!(climb.pass(clean), Step::Again);
        }
        assert_eq!(climb.pass(true), Step::Faster);
        assert_eq!([false; 3].map(|c| climb.pass(c))[2], Step::Slower);
        assert_eq!([false; 9].map(|c| climb.pass(c)), [Step::Again; 9]);
        assert_eq!(climb.tempo(), 60);
    }

    #[test]
    fn slow_and_fast_come_in_turn() {
        let mut climb = climb(Way::InTurn);
        use Step::{Faster, Slower, There};
        let said = [true, true, false, true].map(|c| climb.pass(c));
        assert_eq!(said, [Faster, Slower, Faster, There]);
    }

    #[test]
    fn figures_out_of_range_are_refused() {
        let steps = Way::Steps { by: 5 };
        for (start, goal, way, passes) in [
            (10, 100, steps, 3),
            (60, 201, steps, 3),
            (100, 60, steps, 3),
            (60, 100, Way::Steps { by: 0 }, 3),
            (60, 100, Way::Steps { by: 51 }, 3),
            (60, 100, steps, 0),
            (60, 100, steps, 21),
        ] {
            assert!(Climb::new(start, goal, way, passes).is_err());
        }
    }

    proptest! {
        #![proptest_config(crate::properties::cases(256))]

        #[test]
        fn tempo_stays_between_start_and_goal(
            start in 20u16..=200, more in 0u16..=180, by in 1u16..=50, turn: bool,
            passes in 1u32..=20, clean in prop::collection::vec(any::<bool>(), 0..200),
        ) {
            let goal = (start + more).min(200);
            let way = if turn { Way::InTurn } else { Way::Steps { by } };
            let mut climb = Climb::new(start, goal, way, passes).unwrap();
            for c in clean {
                let before = climb.tempo();
                let step = climb.pass(c);
                let after = climb.tempo();
                prop_assert!((start..=goal).contains(&after));
                prop_assert_eq!(step == Step::Faster, after > before);
                prop_assert_eq!(step == Step::Slower, after < before);
                prop_assert!(step != Step::There || before == goal);
            }
        }

        #[test]
        fn clean_playing_always_gets_there(start in 20u16..=100, more in 0u16..=100, by in 1u16..=50, passes in 1u32..=20) {
            let mut climb = Climb::new(start, start + more, Way::Steps { by }, passes).unwrap();
            let steps = u32::from(more.div_ceil(by)) + 1;
            for i in 1..=steps * passes {
                prop_assert_eq!(climb.pass(true) == Step::There, i == steps * passes);
            }
        }
    }
}
