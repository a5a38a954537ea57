//! When to put the guitar down.

/// Seconds of playing after which a break is suggested: five minutes in each 25 to 30, the advice of
/// performing-arts medicine (from memory).
const SOON: u32 = 25 * 60;
const NOW: u32 = 30 * 60;
/// Seconds that a break lasts at least.
const BREAK: u32 = 5 * 60;

/// What is said about a break.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Prompt {
    /// Nothing.
    None,
    /// A break is near: after this turn.
    Soon,
    /// Half an hour was played: rest now.
    Now,
}

impl Prompt {
    /// The sentence, if there is one.
    pub fn text(self) -> Option<&'static str> {
        match self {
            Prompt::None => None,
            Prompt::Soon => Some("Finish this turn, then rest your hands for five minutes."),
            Prompt::Now => Some(
                "Half an hour played: rest five minutes. Stop for today if it hurts or tingles.",
            ),
        }
    }
}

/// One sitting: how long was played since the last break.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Sitting {
    since_break: u32,
}

impl Sitting {
    /// Adds seconds of playing.
    pub fn play(&mut self, seconds: u32) {
        self.since_break = self.since_break.saturating_add(seconds);
    }

    /// Tells of seconds in a row without playing; five minutes and more are a break.
    pub fn rest(&mut self, seconds: u32) {
        if seconds >= BREAK {
            self.since_break = 0;
        }
    }

    /// What to say now.
    pub fn prompt(&self) -> Prompt {
        match self.since_break {
            ..SOON => Prompt::None,
            SOON..NOW => Prompt::Soon,
            NOW.. => Prompt::Now,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn only_a_real_break_counts() {
        let mut sitting = Sitting::default();
        sitting.play(SOON);
        assert_eq!(sitting.prompt(), Prompt::Soon);
        sitting.rest(BREAK - 1);
        sitting.play(NOW - SOON);
        assert_eq!(sitting.prompt(), Prompt::Now);
        sitting.rest(BREAK);
        assert_eq!(sitting.prompt(), Prompt::None);
    }

    proptest! {
        #![proptest_config(crate::properties::cases(256))]

        #[test]
        fn nobody_plays_past_half_an_hour_unwarned(turns in prop::collection::vec((0u32..600, 0u32..600), 0..40)) {
            let mut sitting = Sitting::default();
            let mut without = 0;
            for (play, rest) in turns {
                sitting.play(play);
                without += play;
                prop_assert_eq!(sitting.prompt() == Prompt::Now, without >= NOW);
                sitting.rest(rest);
                without = if rest >= BREAK { 0 } else { without };
            }
        }
    }
}
