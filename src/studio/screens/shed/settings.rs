//! What can be set in the Shed, and how it is said.

use super::{Log, Order, Run, Shed};
use crate::arrange::Layer;
use crate::exchange::how_many;
use crate::practice::{Climb, Passage, Way};
use crate::score::held_tempo;
use crate::song::Song;

/// The longest passage, in bars (our proposal): more is a rehearsal.
const LONGEST: usize = 16;
/// The most bars counted in.
const MOST_COUNTED: u8 = 4;
/// The most clean passes in a row that can be asked for.
const MOST_PASSES: u32 = 20;
/// The longest plan, in minutes.
const LONGEST_PLAN: u32 = 60;
/// How far one key goes: in per cent, and in minutes.
const TEMPO_STEP: isize = 5;
const PLAN_STEP: isize = 5;

/// How the tempo goes on from pass to pass.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rise {
    /// Up by steps, see [`Way::Steps`].
    Steps,
    /// Start and goal in turn, see [`Way::InTurn`].
    InTurn,
    /// Not at all.
    Stay,
}

/// What the player set; kept from bar to bar and song to song. Tempos are per cent of the song's.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wishes {
    /// The bar behind the passage is played as well.
    pub join: bool,
    /// Layers that are not heard.
    pub silent: Vec<Layer>,
    /// The click is on.
    pub click: bool,
    /// Bars counted in before a pass, 0 to 4.
    pub count_in: u8,
    /// The tempo to begin at, 20 to 200.
    pub from: u16,
    /// The tempo to get to, not below `from`.
    pub goal: u16,
    /// How the tempo goes on.
    pub rise: Rise,
    /// A step's height, 1 to 50.
    pub step: u16,
    /// Clean passes in a row for a step, 1 to 20.
    pub passes: u32,
    /// Bars are played to the player before the first pass.
    pub model: bool,
    /// After a pass the music waits for the player's word; else it goes round.
    pub wait: bool,
    /// Length of the plan for today, in minutes.
    pub minutes: u32,
}

impl Default for Wishes {
    /// Where practice begins (our proposal).
    fn default() -> Wishes {
        Wishes {
            join: true,
            silent: Vec::new(),
            click: true,
            count_in: 1,
            from: 60,
            goal: 100,
            rise: Rise::Steps,
            step: 5,
            passes: 3,
            model: true,
            wait: true,
            minutes: 15,
        }
    }
}

/// One thing that can be set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Setting {
    Bars,
    Length,
    Join,
    Layer(Layer),
    Click,
    CountIn,
    From,
    Goal,
    Rise,
    Step,
    Passes,
    Model,
    Wait,
    Plan,
}

const LAYERS: [(Layer, &str); 4] = [
    (Layer::Melody, "Melody"),
    (Layer::Bass, "Bass"),
    (Layer::Fill, "Fill"),
    (Layer::Colour, "Colour"),
];

impl Setting {
    /// Its name on the screen.
    pub fn name(self) -> &'static str {
        match self {
            Setting::Bars => "Bars",
            Setting::Length => "Length",
            Setting::Join => "Join",
            Setting::Layer(layer) => LAYERS[layer as usize - 1].1,
            Setting::Click => "Click",
            Setting::CountIn => "Count-in",
            Setting::From => "From",
            Setting::Goal => "Goal",
            Setting::Rise => "Climb",
            Setting::Step => "Step",
            Setting::Passes => "Clean",
            Setting::Model => "Model",
            Setting::Wait => "Then",
            Setting::Plan => "Plan",
        }
    }
}

impl Shed {
    /// What can be set: first what is played, from [`Setting::From`] on how.
    pub fn settings(&self) -> Vec<Setting> {
        let layers = LAYERS.iter().filter(|l| l.0 <= self.layer);
        let mut settings = vec![Setting::Bars, Setting::Length, Setting::Join];
        settings.extend(layers.map(|l| Setting::Layer(l.0)));
        settings.extend([
            Setting::Click,
            Setting::CountIn,
            Setting::From,
            Setting::Goal,
            Setting::Rise,
            Setting::Step,
            Setting::Passes,
            Setting::Model,
            Setting::Wait,
            Setting::Plan,
        ]);
        settings
    }

    /// What a setting is set to, in words.
    pub fn value(&self, setting: Setting) -> String {
        let wishes = &self.wishes;
        let climbs = wishes.rise == Rise::Steps;
        match setting {
            Setting::Bars => bars_text(&self.arrangement.song, self.passage),
            Setting::Length => how_many(self.length(), "bar"),
            Setting::Join => match self.passage.bars().end - self.passage.last() - 1 {
                0 => "no".into(),
                _ => format!("and bar {}", self.number(self.passage.last() + 1)),
            },
            Setting::Layer(layer) if wishes.silent.contains(&layer) => "silent".into(),
            Setting::Layer(_) => "heard".into(),
            Setting::Click => if wishes.click { "on" } else { "off" }.into(),
            Setting::CountIn => match wishes.count_in {
                0 => "none".into(),
                bars => how_many(bars.into(), "bar"),
            },
            Setting::From => format!("{} %", wishes.from),
            Setting::Goal if wishes.rise == Rise::Stay => "–".into(),
            Setting::Goal => format!("{} %", wishes.goal),
            Setting::Rise => match wishes.rise {
                Rise::Steps => "by steps",
                Rise::InTurn => "slow and goal",
                Rise::Stay => "one tempo",
            }
            .into(),
            Setting::Step if climbs => format!("{} %", wishes.step),
            Setting::Passes if wishes.rise != Rise::Stay => format!("{} in a row", wishes.passes),
            Setting::Step | Setting::Passes => "–".into(),
            Setting::Model => if wishes.model { "first" } else { "on ⟨m⟩" }.into(),
            Setting::Wait => if wishes.wait { "waits" } else { "goes round" }.into(),
            Setting::Plan => format!("{} minutes", wishes.minutes),
        }
    }

    /// The printed number of a bar.
    pub fn number(&self, bar: usize) -> u32 {
        self.arrangement.song.number(bar)
    }

    pub(super) fn choose(&mut self, by: isize) {
        let last = self.settings().len().saturating_sub(1);
        self.row = self.row.saturating_add_signed(by).min(last);
    }

    /// Changes a setting by so many steps.
    pub(super) fn change(&mut self, setting: Setting, by: isize, log: &mut Log) -> Vec<Order> {
        let wishes = &mut self.wishes;
        match setting {
            Setting::Bars | Setting::Length | Setting::Join => {
                return self.change_passage(setting, by, log);
            }
            Setting::Layer(layer) => return self.mute(layer),
            Setting::Click => {
                wishes.click = !wishes.click;
                return vec![Order::Click(wishes.click)];
            }
            Setting::CountIn => {
                let bars = isize::from(wishes.count_in) + by;
                wishes.count_in = bars.clamp(0, MOST_COUNTED.into()) as u8;
            }
            Setting::From => {
                let from = moved(wishes.from, by);
                return self.set_from(from);
            }
            Setting::Goal => {
                wishes.goal = moved(wishes.goal, by);
                wishes.from = wishes.from.min(wishes.goal);
                return self.climb_anew();
            }
            Setting::Rise => {
                let ways = [Rise::Steps, Rise::InTurn, Rise::Stay];
                let here = wishes.rise as isize;
                wishes.rise = ways[(here + by).rem_euclid(3) as usize];
                return self.climb_anew();
            }
            Setting::Step => {
                wishes.step = (isize::from(wishes.step as i16) + by).clamp(1, 50) as u16;
                return self.climb_anew();
            }
            Setting::Passes => {
                let passes = wishes.passes as isize + by;
                wishes.passes = passes.clamp(1, MOST_PASSES as isize) as u32;
                return self.climb_anew();
            }
            Setting::Model => wishes.model = !wishes.model,
            Setting::Wait => {
                wishes.wait = !wishes.wait;
                // What plays was begun the other way.
                return self.halt();
            }
            Setting::Plan => {
                let minutes = wishes.minutes as isize + by * PLAN_STEP;
                wishes.minutes = minutes.clamp(PLAN_STEP, LONGEST_PLAN as isize) as u32;
                self.make_plan(log);
            }
        }
        Vec::new()
    }

    /// Lets a layer be heard, or not.
    fn mute(&mut self, layer: Layer) -> Vec<Order> {
        let silent = &mut self.wishes.silent;
        match silent.iter().position(|l| *l == layer) {
            Some(index) => drop(silent.remove(index)),
            None => silent.push(layer),
        }
        // The model is heard whole.
        match self.run {
            Run::Model { .. } => Vec::new(),
            _ => vec![Order::Silence(self.wishes.silent.clone())],
        }
    }

    /// Begins at another tempo.
    pub(super) fn set_from(&mut self, tempo: u16) -> Vec<Order> {
        self.wishes.from = held_tempo(tempo);
        self.wishes.goal = self.wishes.goal.max(self.wishes.from);
        self.climb_anew()
    }

    /// Begins the climb again; what plays goes on at its tempo. A pass that still waits for its word
    /// was played before.
    fn climb_anew(&mut self) -> Vec<Order> {
        self.begin_climb();
        if self.run == Run::Pass && !self.owes {
            self.played_at = self.tempo();
        }
        vec![Order::Speed(self.tempo())]
    }

    pub(super) fn begin_climb(&mut self) {
        let wishes = &self.wishes;
        let way = match wishes.rise {
            Rise::Steps => Way::Steps { by: wishes.step },
            Rise::InTurn => Way::InTurn,
            Rise::Stay => {
                self.climb = None;
                return;
            }
        };
        self.climb = Climb::new(wishes.from, wishes.goal, way, wishes.passes).ok();
    }

    fn length(&self) -> usize {
        self.passage.last() + 1 - self.passage.first()
    }

    fn change_passage(&mut self, setting: Setting, by: isize, log: &mut Log) -> Vec<Order> {
        let count = self.arrangement.song.bars.len();
        let (mut first, mut length) = (self.passage.first(), self.length());
        match setting {
            Setting::Length => {
                let most = LONGEST.min(count - first);
                length = length.saturating_add_signed(by).clamp(1, most);
            }
            Setting::Join => self.wishes.join = !self.wishes.join,
            _ => first = first.saturating_add_signed(by).min(count - length),
        }
        match Passage::new(first, first + length - 1, self.wishes.join, count) {
            Ok(passage) if passage != self.passage => {
                let logged = self.log_time(log);
                [logged, self.go_to(passage)].concat()
            }
            _ => Vec::new(),
        }
    }
}

/// A tempo some keys on, in per cent.
fn moved(tempo: u16, by: isize) -> u16 {
    let by = by.clamp(-40, 40) * TEMPO_STEP;
    held_tempo(tempo.saturating_add_signed(by as i16))
}

/// The bars of a passage by their printed numbers: `5` or `5–6`.
pub fn bars_text(song: &Song, passage: Passage) -> String {
    let (first, last) = (song.number(passage.first()), song.number(passage.last()));
    match passage.first() == passage.last() {
        true => first.to_string(),
        false => format!("{first}–{last}"),
    }
}
