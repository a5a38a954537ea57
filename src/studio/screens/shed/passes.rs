//! Passes: begun, followed, judged.

use super::super::Weight;
use super::{Log, Order, Shed};
use crate::practice::Step;
use crate::theory::Ticks;

/// What is going on in the Shed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Run {
    /// Nothing.
    Still,
    /// It is played to be listened to; afterwards the first pass begins, or not.
    Model {
        /// A pass begins afterwards.
        then_pass: bool,
    },
    /// A pass is being played or counted in.
    Pass,
    /// A pass is over, and the player has not said how it was.
    Asked,
}

impl Shed {
    pub(super) fn begin_or_stop(&mut self) -> Vec<Order> {
        if self.run != Run::Still {
            return self.halt();
        }
        if self.hears_model() {
            return self.begin_model(true);
        }
        self.begin_pass()
    }

    /// Whether the bars are played to the player before the next pass.
    pub fn hears_model(&self) -> bool {
        self.wishes.model && !self.modelled
    }

    pub(super) fn hear_model(&mut self) -> Vec<Order> {
        match self.run {
            Run::Model { .. } => self.halt(),
            _ => self.begin_model(false),
        }
    }

    fn begin_model(&mut self, then_pass: bool) -> Vec<Order> {
        self.run = Run::Model { then_pass };
        self.modelled = true;
        self.start(Vec::new(), 0, false)
    }

    fn begin_pass(&mut self) -> Vec<Order> {
        self.run = Run::Pass;
        self.played_at = self.tempo();
        self.start(
            self.wishes.silent.clone(),
            self.wishes.count_in,
            !self.wishes.wait,
        )
    }

    fn start(
        &mut self,
        silent: Vec<crate::arrange::Layer>,
        count_in: u8,
        repeat: bool,
    ) -> Vec<Order> {
        self.heard = None;
        self.past_middle = false;
        self.owes = false;
        vec![
            Order::Speed(self.tempo()),
            Order::Silence(silent),
            Order::Play {
                from: 0,
                to: self.score.length,
                repeat,
                count_in,
            },
        ]
    }

    /// Stops what plays; a pass that is not judged counts for nothing.
    pub fn halt(&mut self) -> Vec<Order> {
        let before = std::mem::replace(&mut self.run, Run::Still);
        self.heard = None;
        self.owes = false;
        match before {
            Run::Still | Run::Asked => Vec::new(),
            Run::Model { .. } | Run::Pass => vec![Order::Stop],
        }
    }

    /// Follows the music.
    pub(super) fn follow(&mut self, at: Option<Ticks>) -> Vec<Order> {
        if matches!(self.run, Run::Still | Run::Asked) {
            return Vec::new();
        }
        let before = std::mem::replace(&mut self.heard, at);
        match at {
            Some(at) => {
                let again = before.is_some_and(|b| at < b) && at >= 0;
                if again && self.past_middle && self.run == Run::Pass {
                    self.owes = true;
                }
                self.past_middle = at * 2 >= self.score.length;
                Vec::new()
            }
            None => self.ended(),
        }
    }

    /// The music came to its end, or was cut short.
    fn ended(&mut self) -> Vec<Order> {
        match self.run {
            Run::Model { then_pass: true } => return self.begin_pass(),
            Run::Pass if self.past_middle => self.run = Run::Asked,
            _ => self.run = Run::Still,
        }
        Vec::new()
    }

    /// Where nothing can be heard the player alone knows when a pass is over.
    pub(super) fn wait_for_word(&mut self) {
        match self.run {
            Run::Pass => self.run = Run::Asked,
            Run::Model { .. } => self.run = Run::Still,
            Run::Still | Run::Asked => {}
        }
    }

    /// The player's word on the last pass.
    pub(super) fn judge(&mut self, clean: bool, log: &mut Log) -> Vec<Order> {
        let went_round = match self.run {
            Run::Asked => false,
            Run::Pass if self.owes => true,
            // Broken off: begun, and not clean.
            Run::Pass if !clean => false,
            Run::Pass => {
                let text = "the pass is not over yet; ⟨Backspace⟩ if it broke off";
                self.say(Weight::News, text.into());
                return Vec::new();
            }
            Run::Still | Run::Model { .. } => {
                let text = "⟨Space⟩ begins a pass; when it is over, say whether it was clean";
                self.say(Weight::News, text.into());
                return Vec::new();
            }
        };
        self.owes = false;
        let mut orders = self.log_passes(u32::from(clean), 1, log);
        // A pass at a tempo that was changed since then is no part of the climb.
        let climb = (self.climb.as_mut()).filter(|climb| climb.tempo() == self.played_at);
        let step = climb.map_or(Step::Again, |climb| climb.pass(clean));
        match step {
            Step::There => {
                orders.extend(self.halt());
                let text = format!(
                    "there: clean at {} %. Rest, or ⟨t⟩ takes the next turn",
                    self.tempo()
                );
                self.say(Weight::News, text);
            }
            Step::Again if went_round => self.played_at = self.tempo(),
            Step::Again | Step::Faster | Step::Slower => orders.extend(self.begin_pass()),
        }
        orders
    }
}
