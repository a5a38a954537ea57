//! The Shed: some bars practised over and over, with what is due today and what the log says.

mod passes;
mod settings;

pub use passes::Run;
pub use settings::{Rise, Setting, Wishes};

use super::Weight;
use crate::arrange::{Arrangement, Layer};
use crate::exchange::tab::Strip;
use crate::practice::{Climb, Passage, Piece, Record, Turn, effort_over_bars, plan};
use crate::score::Score;
use crate::studio::log::Log;
use crate::studio::message::{Message, Order};
use crate::theory::Ticks;

/// What is shown beside the settings where there is no room for all of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Pane {
    Today,
    Tempo,
    Effort,
}

/// The state of the Shed.
#[derive(Debug)]
pub struct Shed {
    /// What is practised, as it was on the Desk.
    pub arrangement: Arrangement,
    /// The highest layer in it.
    pub layer: Layer,
    /// The song's name in the log.
    pub song: String,
    /// The bars in question, as they are played: from 0 to the score's length.
    pub score: Score,
    /// The arrangement drawn.
    pub strip: Strip,
    /// What the hands pay in each written bar.
    pub efforts: Vec<i64>,
    /// The bars in question.
    pub passage: Passage,
    /// How they are practised.
    pub wishes: Wishes,
    /// Which of [`Shed::settings`] the cursor is on.
    pub row: usize,
    /// The way up, unless the tempo stays.
    pub climb: Option<Climb>,
    /// What is going on.
    pub run: Run,
    /// Where the music is, in ticks from the start of the passage; below 0 while it is counted in.
    pub heard: Option<Ticks>,
    /// The last thing worth saying.
    pub said: Option<(Weight, String)>,
    /// The pane that is shown.
    pub pane: Pane,
    /// The plan for today, made of what was practised before today.
    pub turns: Vec<Turn>,
    /// The turn that is taken, and the seconds it has had.
    pub turn: Option<(usize, u32)>,
    /// Seconds of playing that are not in the log yet.
    unlogged: u32,
    /// The tempo that the pass is or was played at, in per cent.
    played_at: u16,
    /// The model has been heard since the passage was chosen.
    modelled: bool,
    /// The music is past the middle of the passage.
    past_middle: bool,
    /// A pass went round and waits for its word.
    pub owes: bool,
}

impl Shed {
    /// Takes bar `bar` (as written, from 0) of an arrangement to be practised; nothing when the song
    /// has no such bar. `song` is its name in the log.
    pub fn new(
        arrangement: Arrangement,
        layer: Layer,
        song: &str,
        bar: usize,
        wishes: Wishes,
    ) -> Option<Shed> {
        let count = arrangement.song.bars.len();
        let passage = Passage::new(bar, bar, wishes.join, count).ok()?;
        let mut shed = Shed {
            score: Score::of_bars(&arrangement, passage.bars()),
            strip: Strip::new(&arrangement),
            efforts: effort_over_bars(&arrangement),
            arrangement,
            layer,
            song: loggable(song),
            passage,
            wishes,
            row: 0,
            climb: None,
            run: Run::Still,
            heard: None,
            said: None,
            pane: Pane::Today,
            turns: Vec::new(),
            turn: None,
            unlogged: 0,
            played_at: 0,
            modelled: false,
            past_middle: false,
            owes: false,
        };
        shed.begin_climb();
        shed.played_at = shed.tempo();
        Some(shed)
    }

    /// What has to be done when the Shed is entered.
    pub fn enter(&mut self, log: &mut Log) -> Vec<Order> {
        self.make_plan(log);
        let mut orders = vec![
            self.load(),
            Order::Click(self.wishes.click),
            Order::Speed(self.tempo()),
        ];
        orders.extend(log.ask());
        orders.extend(log.try_again());
        orders
    }

    /// What has to be done when the Shed is left: what was played goes to the log, and every
    /// layer is heard again.
    pub fn leave(&mut self, log: &mut Log) -> Vec<Order> {
        let mut orders = self.halt();
        orders.extend(self.log_time(log));
        orders.extend(log.try_again());
        orders.push(Order::Silence(Vec::new()));
        orders
    }

    /// Changes the state by a message.
    pub fn update(&mut self, message: Message, log: &mut Log) -> Vec<Order> {
        if !message.comes_by_itself() {
            self.said = None;
        }
        match message {
            Message::Play => return self.begin_or_stop(),
            Message::Model => return self.hear_model(),
            Message::Pass(clean) => return self.judge(clean, log),
            Message::Heard(at) => return self.follow(at),
            Message::Unheard => self.wait_for_word(),
            Message::Turn => return self.take_turn(log),
            Message::Choose(by) => self.choose(by),
            Message::Change(by) => {
                if let Some(&setting) = self.settings().get(self.row) {
                    return self.change(setting, by, log);
                }
            }
            Message::Bar(by) => return self.change(Setting::Bars, by, log),
            Message::Tempo(by) => return self.set_from(self.tempo().saturating_add_signed(by)),
            Message::Click => return self.change(Setting::Click, 1, log),
            Message::Mute(layer) if layer <= self.layer => {
                return self.change(Setting::Layer(layer), 1, log);
            }
            Message::Pane => {
                self.pane = match self.pane {
                    Pane::Today => Pane::Tempo,
                    Pane::Tempo => Pane::Effort,
                    Pane::Effort => Pane::Today,
                }
            }
            Message::Sound(text) => self.say(Weight::News, text),
            _ => {}
        }
        Vec::new()
    }

    /// Whether a pass is being played.
    pub fn is_playing(&self) -> bool {
        self.run == Run::Pass
    }

    /// Tells of seconds that were played.
    pub fn played(&mut self, seconds: u32) {
        if self.is_playing() {
            self.unlogged = self.unlogged.saturating_add(seconds);
            if let Some((_, spent)) = &mut self.turn {
                *spent = spent.saturating_add(seconds);
            }
        }
    }

    /// The tempo of the next pass, in per cent of the written one.
    pub fn tempo(&self) -> u16 {
        self.climb.map_or(self.wishes.from, |c| c.tempo())
    }

    /// The written bar that is heard and the ticks since its start; nothing while it is counted in.
    pub fn place(&self) -> Option<(usize, Ticks)> {
        self.score.place(self.heard.filter(|at| *at >= 0)?)
    }

    /// Passes of these bars today: clean ones, all of them.
    pub fn passes_today(&self, log: &Log) -> (u64, u64) {
        let today = self.records_today(log);
        let bars = (self.passage.first(), self.passage.last());
        let here = today.filter(|r| r.bars == bars);
        here.fold((0, 0), |(clean, all), r| {
            (clean + u64::from(r.clean), all + u64::from(r.all))
        })
    }

    /// Whether a turn of the plan has had its time today.
    pub fn is_done(&self, turn: usize, log: &Log) -> bool {
        let Some(bar) = self.turns.get(turn).map(|t| t.passage.first()) else {
            return false;
        };
        let planned = self.turns.iter().take(turn + 1);
        let planned: u64 = planned
            .filter(|t| t.passage.first() == bar)
            .map(|t| u64::from(t.seconds))
            .sum();
        let records = self.records_today(log).filter(|r| r.has(bar));
        let had: u64 = records.map(|r| u64::from(r.seconds)).sum();
        // The last pass need not fill the time to the second.
        had * 10 >= planned * 9
    }

    /// Makes the plan anew, once the log has been read; a day's plan stays while it is worked off.
    pub fn make_plan(&mut self, log: &Log) {
        if !log.is_read {
            return;
        }
        let today = log.today();
        let earlier = log.records.iter().filter(|r| r.at.date() < today);
        let earlier: Vec<Record> = earlier.cloned().collect();
        let piece = Piece {
            song: self.song.clone(),
            layer: self.layer,
            efforts: self.efforts.clone(),
            goal: self.wishes.goal,
        };
        self.turns = plan(&[piece], &earlier, today, self.wishes.minutes);
        // The turn that is taken may have another place in it, or none.
        let here = |turn: &Turn| turn.passage.first() == self.passage.first();
        self.turn = (self.turn).filter(|(i, _)| self.turns.get(*i).is_some_and(here));
    }

    pub(in crate::studio) fn say(&mut self, weight: Weight, text: String) {
        self.said = Some((weight, text));
    }

    fn records_today<'a>(&'a self, log: &'a Log) -> impl Iterator<Item = &'a Record> {
        let today = log.today();
        let here =
            move |r: &&Record| r.at.date() == today && r.song == self.song && r.layer == self.layer;
        log.records.iter().filter(here)
    }

    /// The next turn after the present one that has not had its time.
    fn take_turn(&mut self, log: &mut Log) -> Vec<Order> {
        let count = self.turns.len();
        let after = self.turn.map_or(0, |(i, _)| i + 1);
        let orders = self.log_time(log);
        let mut order = (after..count).chain(0..after.min(count));
        let Some(next) = order.find(|&i| !self.is_done(i, log)) else {
            let text = match count {
                0 => "there is no plan for today; choose bars with ⟨,⟩ and ⟨.⟩",
                _ => "every turn of today's plan has had its time",
            };
            self.say(Weight::News, text.into());
            return orders;
        };
        let turn = self.turns[next].clone();
        self.wishes.from = turn.tempo;
        self.wishes.goal = self.wishes.goal.max(turn.tempo);
        let (first, last) = (turn.passage.first(), turn.passage.last());
        let bars = self.arrangement.song.bars.len();
        let passage = Passage::new(first, last, self.wishes.join, bars).unwrap_or(turn.passage);
        let mut orders = [orders, self.go_to(passage)].concat();
        self.turn = Some((next, 0));
        orders.push(Order::Speed(self.tempo()));
        orders
    }

    /// Goes over to other bars.
    fn go_to(&mut self, passage: Passage) -> Vec<Order> {
        let mut orders = self.halt();
        self.passage = passage;
        self.score = Score::of_bars(&self.arrangement, passage.bars());
        self.turn = None;
        self.modelled = false;
        self.begin_climb();
        self.played_at = self.tempo();
        orders.push(self.load());
        orders
    }

    fn load(&self) -> Order {
        Order::Load(Box::new(self.score.clone()))
    }

    /// Time in which no pass was judged goes to the log by itself.
    fn log_time(&mut self, log: &mut Log) -> Vec<Order> {
        if self.unlogged == 0 {
            return Vec::new();
        }
        self.log_passes(0, 0, log)
    }

    fn log_passes(&mut self, clean: u32, all: u32, log: &mut Log) -> Vec<Order> {
        let record = Record {
            at: log.now,
            song: self.song.clone(),
            bars: (self.passage.first(), self.passage.last()),
            layer: self.layer,
            tempo: self.played_at,
            clean,
            all,
            seconds: std::mem::take(&mut self.unlogged),
        };
        log.add(record).unwrap_or_else(|error| {
            self.say(Weight::Trouble, error.to_string());
            Vec::new()
        })
    }
}

/// A song's name made such that the log can keep it.
fn loggable(name: &str) -> String {
    let name: String = (name.chars())
        .map(|c| {
            if c.is_control() || c.is_whitespace() {
                ' '
            } else {
                c
            }
        })
        .collect();
    match name.trim() {
        "" => "song".into(),
        name => name.into(),
    }
}

#[cfg(test)]
mod tests;
