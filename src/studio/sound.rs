//! The sound as the studio uses it; without the feature `sound` nothing is heard and nothing moves.

use super::message::{Message, Order};

#[cfg(feature = "sound")]
pub(super) use loud::Sound;
#[cfg(not(feature = "sound"))]
pub(super) use quiet::Sound;

#[cfg(feature = "sound")]
mod loud {
    use super::{Message, Order};
    use crate::sound::{ClickSetting, LayerSet, Mix, Output, Passage, Player};

    /// A player, and what was last said about it.
    pub struct Sound {
        player: Player,
        said: Option<Output>,
        playing: bool,
    }

    impl Sound {
        pub fn open() -> Sound {
            Sound {
                player: Player::open(None),
                said: None,
                playing: false,
            }
        }

        /// Carries out an order that is about sound.
        pub fn obey(&mut self, order: &Order) {
            match order {
                Order::Load(score) => self.player.load(score),
                &Order::Play {
                    from,
                    to,
                    repeat,
                    count_in,
                } => {
                    // What nobody hears is said each time.
                    self.said
                        .take_if(|said| matches!(said, Output::Silent { .. }));
                    self.player.play(Passage {
                        from,
                        to,
                        repeat,
                        count_in,
                    });
                }
                Order::Stop => self.player.stop(),
                Order::Speed(percent) => self.player.set_speed(f64::from(*percent) / 100.0),
                Order::Click(on) => self.player.set_click(ClickSetting {
                    on: *on,
                    ..ClickSetting::default()
                }),
                Order::Silence(layers) => {
                    let mute = layers.iter().fold(LayerSet::NONE, |set, l| set.with(*l));
                    let solo = LayerSet::NONE;
                    self.player.set_mix(Mix { mute, solo });
                }
                Order::Disk(_) | Order::Suspend | Order::Quit => {}
            }
        }

        /// What there is to tell since the last time.
        pub fn tick(&mut self) -> Vec<Message> {
            self.player.tick();
            let mut messages = Vec::new();
            let position = self.player.position();
            // What was just ordered is not what is heard yet.
            if self.player.idle() && (position.playing || self.playing) {
                self.playing = position.playing;
                messages.push(Message::Heard(position.playing.then_some(position.ticks)));
            }
            let output = self.player.output();
            if self.said.as_ref() != Some(&output) {
                if let Output::Silent { why } = &output {
                    messages.push(Message::Sound(format!("silent: {why}")));
                }
                self.said = Some(output);
            }
            messages
        }

        /// Whether music runs, so that the screen should move.
        pub fn plays(&self) -> bool {
            self.playing
        }
    }
}

#[cfg(not(feature = "sound"))]
mod quiet {
    use super::{Message, Order};

    /// No sound.
    pub struct Sound {
        asked: bool,
    }

    impl Sound {
        pub fn open() -> Sound {
            Sound { asked: false }
        }

        pub fn obey(&mut self, order: &Order) {
            self.asked |= matches!(order, Order::Play { .. });
        }

        pub fn tick(&mut self) -> Vec<Message> {
            if std::mem::take(&mut self.asked) {
                let text = "this program was built without sound";
                return vec![Message::Sound(text.into()), Message::Unheard];
            }
            Vec::new()
        }

        pub fn plays(&self) -> bool {
            false
        }
    }
}
