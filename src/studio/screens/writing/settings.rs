//! What holds for the whole song or from the bar of the caret on: shown as a list, changed by typing.

use super::Writing;
use crate::guitar::{Hand, Instrument};
use crate::song::edit::Draft;
use crate::song::{GuitarWish, Tempo, abc};
use crate::studio::message::{Message, Order};
use crate::studio::screens::{Line, Want};
use crate::theory::{Key, Meter};

/// Keys to go through with the arrows, the usual ones of a guitar first.
pub const KEYS: [&str; 15] = [
    "C", "G", "D", "A", "E", "F", "Bb", "Eb", "Am", "Em", "Bm", "F#m", "Dm", "Gm", "D dorian",
];
/// Meters to go through.
pub const METERS: [&str; 9] = [
    "4/4", "3/4", "2/4", "6/8", "2/2", "9/8", "12/8", "5/4", "2+2+3/8",
];

/// The list, and its row under the cursor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct List {
    /// Index of the row.
    pub at: usize,
}

/// Something that can be changed there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Fact {
    Title,
    Key,
    MoveTo,
    HalfSteps,
    Meter,
    Tempo,
    Tuning,
    Capo,
    Hand,
}

impl Fact {
    /// All rows in order.
    pub const ALL: [Fact; 9] = [
        Fact::Title,
        Fact::Key,
        Fact::Meter,
        Fact::Tempo,
        Fact::MoveTo,
        Fact::HalfSteps,
        Fact::Tuning,
        Fact::Capo,
        Fact::Hand,
    ];

    /// What it is called.
    pub fn name(self) -> &'static str {
        match self {
            Fact::Title => "title",
            Fact::Key => "key from this bar on; the notes stay",
            Fact::Meter => "meter from this bar on",
            Fact::Tempo => "tempo from this bar on",
            Fact::MoveTo => "move the song to another key",
            Fact::HalfSteps => "move the song by half steps",
            Fact::Tuning => "tuning",
            Fact::Capo => "capo",
            Fact::Hand => "hand",
        }
    }

    fn hint(self) -> &'static str {
        match self {
            Fact::Title => "what the song is called",
            Fact::Key => "a keynote and a mode: G, Em, D dorian, Bb mixolydian",
            Fact::MoveTo => "its keynote: G, Bb; a song in minor stays in minor",
            Fact::Meter => "the bar lines are drawn anew: 4/4, 6/8, 2+2+3/8",
            Fact::Tempo => "beats a minute, or 1/4=96; empty: no change from this bar on",
            Fact::HalfSteps => "up, or down with a minus: 2, -3",
            Fact::Tuning => "↑↓ the tunings by name, or notes, lowest first: D2 A2 D3 G3 B3 E4",
            Fact::Capo => "its fret, 0 for none",
            Fact::Hand => "↑↓ the hands there are",
        }
    }

    fn choices(self) -> Vec<String> {
        let all = |texts: &[&str]| texts.iter().map(ToString::to_string).collect();
        match self {
            Fact::Key | Fact::MoveTo => all(&KEYS),
            Fact::Meter => all(&METERS),
            Fact::Tuning => Instrument::tunings().map(String::from).collect(),
            Fact::Hand => Hand::names().map(String::from).collect(),
            Fact::Capo => (0..=7).map(|f| f.to_string()).collect(),
            Fact::HalfSteps => (-6..=6).map(|f: i32| f.to_string()).collect(),
            Fact::Title | Fact::Tempo => Vec::new(),
        }
    }
}

impl Writing {
    pub(super) fn show_list(&mut self) {
        self.list = Some(List::default());
    }

    pub(super) fn turn_list(&mut self, message: Message) -> Vec<Order> {
        let Some(list) = &mut self.list else {
            return Vec::new();
        };
        let last = Fact::ALL.len() - 1;
        match message {
            Message::Choose(by) => list.at = list.at.saturating_add_signed(by).min(last),
            Message::Page(by) => list.at = list.at.saturating_add_signed(by * 10).min(last),
            Message::First => list.at = 0,
            Message::Last => list.at = last,
            Message::Open => {
                if let Some(&fact) = Fact::ALL.get(list.at) {
                    self.line = Some(self.line_for(fact));
                }
            }
            _ => {}
        }
        Vec::new()
    }

    /// How a fact stands.
    pub fn value(&self, fact: Fact) -> String {
        let song = self.song();
        let bar = song.bars.get(self.draft.bar());
        let wish = &song.guitar;
        match fact {
            Fact::Title => song.title.clone(),
            Fact::Key => bar.map_or_else(String::new, |b| b.key.to_string()),
            Fact::Meter => bar.map_or_else(String::new, |b| b.meter.to_string()),
            Fact::Tempo => self.draft.tempo().to_string(),
            Fact::MoveTo | Fact::HalfSteps => String::new(),
            Fact::Tuning => wish.tuning.clone().unwrap_or_else(|| "standard".into()),
            Fact::Capo => wish.capo.unwrap_or(0).to_string(),
            Fact::Hand => wish.hand.clone().unwrap_or_else(|| "medium".into()),
        }
    }

    fn line_for(&self, fact: Fact) -> Line {
        let name = fact.name();
        let mut chars = name.chars();
        let first = chars.next().map(|c| c.to_uppercase().to_string());
        let title = first.unwrap_or_default() + chars.as_str();
        let text = match fact {
            Fact::Key | Fact::MoveTo | Fact::HalfSteps => String::new(),
            fact => self.value(fact),
        };
        Line::asking(Want::Fact(fact), title, fact.hint(), text, fact.choices())
    }

    pub(super) fn type_line(&mut self, message: Message) -> Vec<Order> {
        let Some(line) = &mut self.line else {
            return Vec::new();
        };
        if message != Message::Open {
            line.edit(&message);
            return Vec::new();
        }
        let (want, text) = (line.want.clone(), line.text.trim().to_string());
        let Want::Fact(fact) = want else {
            self.line = None;
            return Vec::new();
        };
        if text.is_empty() && !matches!(fact, Fact::Title | Fact::Tempo) {
            self.line = None;
            return Vec::new();
        }
        match self.changed(fact, &text) {
            Ok(draft) => {
                self.line = None;
                self.take(Ok(draft));
                self.tell_odd_bars(fact);
            }
            Err(why) => {
                if let Some(line) = &mut self.line {
                    line.complain(why);
                }
            }
        }
        Vec::new()
    }

    /// The draft with a fact changed, or why it can't be.
    fn changed(&self, fact: Fact, text: &str) -> Result<Draft, String> {
        let draft = &self.draft;
        let key = || text.parse::<Key>().map_err(|e| e.to_string());
        let made = match fact {
            Fact::Title => draft.set_title(text),
            Fact::Key => draft.set_key(&key()?),
            Fact::MoveTo => draft.moved_to(&key()?),
            Fact::Meter => draft.set_meter(&text.parse::<Meter>().map_err(|e| e.to_string())?),
            Fact::Tempo if text.is_empty() => draft.clear_tempo(),
            Fact::Tempo => {
                let bar = self.song().bars.get(draft.bar());
                let meter = bar.map_or(Meter::common(), |b| b.meter.clone());
                draft.set_tempo(read_tempo(text, &meter)?)
            }
            Fact::HalfSteps => {
                let by = text.trim_start_matches('+').parse::<i32>().ok();
                let by = by.filter(|n| (-36..=36).contains(n));
                draft.transposed(by.ok_or_else(|| {
                    format!("“{text}” is no number of half steps; write -36 to 36: 2, -3")
                })?)
            }
            Fact::Tuning | Fact::Capo | Fact::Hand => {
                draft.set_guitar(wished(&self.song().guitar, fact, text)?)
            }
        };
        made.map_err(|error| error.to_string())
    }

    /// After a change of meter, which bars don't add up.
    fn tell_odd_bars(&mut self, fact: Fact) {
        let odd = self.song().odd_bars();
        if fact == Fact::Meter && !odd.is_empty() && !self.draft.is_blank() {
            let odd: Vec<String> = odd.iter().map(u32::to_string).collect();
            let text = match odd.as_slice() {
                [one] => format!("the bar lines are drawn anew; bar {one} does not add up"),
                all => format!(
                    "the bar lines are drawn anew; bars {} do not add up",
                    all.join(", ")
                ),
            };
            self.say(text);
        }
    }
}

/// A tempo as it is typed: beats of the meter a minute, or a note length and how many of it.
pub fn read_tempo(text: &str, meter: &Meter) -> Result<Tempo, String> {
    use abc::TempoField::{Exact, Rounded};
    match abc::read_tempo(text, meter.beat_at(0)) {
        Some(Exact(tempo) | Rounded(tempo)) => Ok(tempo),
        _ => Err(format!(
            "“{text}” is not a tempo; write beats a minute, 1 to 999, or 1/4=96"
        )),
    }
}

/// The guitar with one thing changed, if there is such a one.
fn wished(now: &GuitarWish, fact: Fact, text: &str) -> Result<GuitarWish, String> {
    let mut wish = now.clone();
    match fact {
        Fact::Tuning => wish.tuning = Some(text.to_string()).filter(|t| t != "standard"),
        Fact::Capo => {
            let fret = text.parse::<u8>();
            let fret =
                fret.map_err(|_| format!("“{text}” is no fret; write a number, 0 for none"))?;
            wish.capo = Some(fret).filter(|&f| f > 0);
        }
        _ => wish.hand = Some(text.to_lowercase()).filter(|t| t != "medium"),
    }
    Instrument::wished(&wish).map_err(|e| e.to_string())?;
    Hand::wished(&wish).map_err(|e| e.to_string())?;
    Ok(wish)
}
