//! The Stand: songs to play from at a rehearsal. Nothing here changes a song.

use super::Desk;
use super::desk::{Weight, arranged_at_least};
use crate::arrange::{Arrangement, Options};
use crate::exchange::plain_text;
use crate::exchange::tab::{Rows, Strip};
use crate::score::{Score, held_tempo};
use crate::shelf::Name;
use crate::song::SongFile;
use crate::studio::disk::{Errand, News};
use crate::studio::message::{Message, Order};
use crate::theory::Ticks;
use std::ops::Range;

/// Rows over the tab (title, big number, a blank one) and under it.
pub const HEAD: u16 = 5;
/// See [`HEAD`].
pub const FOOT: u16 = 1;
/// Columns before the first bar.
pub const PREFIX: u16 = 3;

/// A song as it is played from.
#[derive(Debug)]
pub struct Sheet {
    /// The arrangement.
    pub arrangement: Arrangement,
    /// It in play order.
    pub score: Score,
    /// It drawn.
    pub strip: Strip,
}

impl Sheet {
    fn new(arrangement: Arrangement) -> Sheet {
        Sheet {
            score: Score::new(&arrangement),
            strip: Strip::new(&arrangement),
            arrangement,
        }
    }

    /// The song that a text holds, and why it comes without its ideas, if it does.
    fn read(text: &str) -> Result<(Sheet, Option<String>), String> {
        let (_, song, _) = SongFile::parse(text).map_err(|e| plain_text(&e.to_string()))?;
        let arranged = arranged_at_least(&song, &mut Options::usual(&song));
        let (arrangement, without) = arranged.map_err(|e| e.to_string())?;
        Ok((Sheet::new(arrangement), without))
    }
}

/// What lies on the Stand.
#[derive(Debug)]
pub enum Page {
    /// The song is being read.
    Coming,
    /// A song.
    Sheet(Box<Sheet>),
    /// Why there is no song.
    Failed(String),
}

/// How a song is laid out on a terminal of a certain size.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Layout {
    /// How many columns each one of the tab takes.
    pub wide: usize,
    /// How many rows each string takes.
    pub high: usize,
    /// Rows of the strip that are shown.
    pub rows: Vec<usize>,
    /// Indices of the bars of each line.
    pub lines: Vec<Range<usize>>,
    /// How many whole lines are seen.
    pub seen: usize,
}

/// The state of the Stand.
#[derive(Debug)]
pub struct Stand {
    /// What the evening is called, when it is a setlist.
    pub evening: Option<String>,
    /// The songs; one that comes from the Desk has no name.
    pub songs: Vec<(Option<Name>, String)>,
    /// Which of them lies here.
    pub at: usize,
    /// The song.
    pub page: Page,
    /// Index of the written bar to start from.
    pub bar: usize,
    /// Where the music is, in played ticks; in a count-in before the start.
    pub playing: Option<Ticks>,
    /// Tempo in per cent of the written one.
    pub speed: u16,
    /// The click is on.
    pub click: bool,
    /// The last thing worth saying.
    pub said: Option<(Weight, String)>,
    /// Where the music was started, in played ticks.
    from: Ticks,
    /// Columns and rows that there are for it.
    size: (u16, u16),
}

impl Stand {
    fn new(songs: Vec<(Option<Name>, String)>, at: usize, page: Page) -> Stand {
        Stand {
            evening: None,
            at: at.min(songs.len().saturating_sub(1)),
            songs,
            page,
            bar: 0,
            playing: None,
            speed: 100,
            click: false,
            said: None,
            from: 0,
            size: (80, 24),
        }
    }

    /// One song of the shelf.
    pub fn song(name: Name, title: String) -> Stand {
        Stand::new(vec![(Some(name), title)], 0, Page::Coming)
    }

    /// The songs of a setlist, beginning with one of them.
    pub fn setlist(evening: String, songs: Vec<(Name, String)>, at: usize) -> Stand {
        let songs = songs.into_iter().map(|(n, t)| (Some(n), t)).collect();
        Stand {
            evening: Some(evening),
            ..Stand::new(songs, at, Page::Coming)
        }
    }

    /// The song on the Desk as it is there now, at the bar under the cursor.
    pub fn of(desk: &Desk) -> Stand {
        let arrangement = desk.arrangement.clone();
        let title = plain_text(&arrangement.song.title);
        let page = Page::Sheet(Box::new(Sheet::new(arrangement)));
        Stand {
            bar: desk.bar(),
            speed: desk.speed,
            click: desk.click,
            ..Stand::new(vec![(None, title)], 0, page)
        }
    }

    /// What has to be done when a song is put here.
    pub fn begin(&self) -> Vec<Order> {
        let mut orders = vec![
            Order::Stop,
            Order::Speed(self.speed),
            Order::Click(self.click),
        ];
        match (&self.page, self.songs.get(self.at)) {
            (Page::Sheet(sheet), _) => orders.push(Order::Load(Box::new(sheet.score.clone()))),
            (Page::Coming, Some((Some(name), _))) => {
                orders.push(Order::Disk(Errand::Read(name.clone())));
            }
            _ => {}
        }
        orders
    }

    /// The song, if one lies here.
    pub fn sheet(&self) -> Option<&Sheet> {
        match &self.page {
            Page::Sheet(sheet) => Some(sheet),
            _ => None,
        }
    }

    /// The title of the song.
    pub fn title(&self) -> &str {
        self.songs.get(self.at).map_or("", |s| &s.1)
    }

    /// Takes so many columns and rows.
    pub fn fit(&mut self, size: (u16, u16)) {
        self.size = size;
    }

    /// Changes the state by a message.
    pub fn update(&mut self, message: Message) -> Vec<Order> {
        if !message.comes_by_itself() {
            self.said = None;
        }
        match message {
            Message::Page(by) => return self.turn(by),
            Message::Song(by) => return self.go(by),
            Message::First => self.go_to(0),
            Message::Last => self.go_to(usize::MAX),
            Message::Play => return self.play(),
            Message::Tempo(by) => {
                self.speed = held_tempo(self.speed.saturating_add_signed(by));
                return vec![Order::Speed(self.speed)];
            }
            Message::Click => {
                self.click = !self.click;
                return vec![Order::Click(self.click)];
            }
            Message::Heard(at) => self.hear(at),
            Message::Sound(text) => self.said = Some((Weight::News, text)),
            Message::News(News::Read(name, text)) => return self.lay(&name, text),
            Message::News(News::Trouble(text)) => self.said = Some((Weight::Trouble, text)),
            _ => {}
        }
        Vec::new()
    }

    fn lay(&mut self, name: &Name, text: Result<String, String>) -> Vec<Order> {
        let wanted = self.songs.get(self.at).and_then(|s| s.0.as_ref());
        if wanted != Some(name) || !matches!(self.page, Page::Coming) {
            return Vec::new();
        }
        self.page = match text.and_then(|t| Sheet::read(&t)) {
            Ok((sheet, without)) => {
                self.said = without.map(|why| (Weight::Trouble, why));
                Page::Sheet(Box::new(sheet))
            }
            Err(why) => Page::Failed(why),
        };
        let title = self.sheet().map(|s| plain_text(&s.arrangement.song.title));
        if let (Some(title), Some(song)) = (title, self.songs.get_mut(self.at))
            && !title.trim().is_empty()
        {
            song.1 = title;
        }
        match self.sheet() {
            Some(sheet) => vec![Order::Load(Box::new(sheet.score.clone()))],
            None => Vec::new(),
        }
    }

    /// The music has moved on; the page follows it.
    fn hear(&mut self, at: Option<Ticks>) {
        self.playing = at;
        if let Some((bar, _)) = self.heard() {
            self.bar = bar;
        }
    }

    /// Where the music is, in ticks from the start of the song as written, with the bar's index;
    /// nothing during a count-in.
    pub fn heard(&self) -> Option<(usize, Ticks)> {
        let at = self.playing.filter(|at| *at >= self.from)?;
        let sheet = self.sheet()?;
        let (bar, inside) = sheet.score.place(at)?;
        let start = *sheet.arrangement.song.starts().get(bar)?;
        Some((bar, start + inside))
    }

    /// The beat that is counted in, from 1, and whether it has only just come.
    pub fn counted(&self) -> Option<(usize, bool)> {
        let at = self.playing.filter(|at| *at < self.from)?;
        let score = &self.sheet()?.score;
        let bar = score.bars.get(score.bar_at(self.from))?;
        let inside = (at - (bar.at - bar.missing)).rem_euclid(bar.meter.bar().max(1));
        let beats = bar.meter.beats();
        let number = beats.iter().filter(|b| **b <= inside).count().max(1);
        let begun = beats.get(number - 1).copied().unwrap_or(0);
        let ends = beats.get(number).copied().unwrap_or(bar.meter.bar());
        Some((number, (inside - begun) * 2 < ends - begun))
    }

    /// Goes to a bar, unless the music leads.
    fn go_to(&mut self, bar: usize) {
        let count = self.sheet().map_or(0, |s| s.strip.blocks.len());
        if self.playing.is_none() {
            self.bar = bar.min(count.saturating_sub(1));
        }
    }

    /// Turns pages; over the last one to the next song, over the first one to the song before.
    fn turn(&mut self, by: isize) -> Vec<Order> {
        if self.playing.is_some() {
            return Vec::new();
        }
        let Some(layout) = self.layout() else {
            return self.go(by);
        };
        let line = layout.line_of(self.bar);
        let step = layout.seen.saturating_sub(1).max(1);
        let next = match by < 0 {
            true if line == 0 => return self.go(-1),
            true => line.saturating_sub(step),
            false if line + layout.seen >= layout.lines.len() => return self.go(1),
            false => line + step,
        };
        if let Some(bars) = layout.lines.get(next) {
            self.bar = bars.start;
        }
        Vec::new()
    }

    /// Goes to another song of the setlist.
    fn go(&mut self, by: isize) -> Vec<Order> {
        let next = self.at.checked_add_signed(by);
        let Some(next) = next.filter(|n| *n < self.songs.len()) else {
            let word = match (self.songs.len(), by < 0) {
                (..=1, true) => "this is where the song begins",
                (..=1, false) => "this is where the song ends",
                (_, true) => "this is the first song",
                (_, false) => "this is the last song",
            };
            self.said = Some((Weight::News, word.into()));
            return Vec::new();
        };
        self.at = next;
        self.page = Page::Coming;
        self.bar = 0;
        self.playing = None;
        self.begin()
    }

    /// Plays from the bar at the top, counted in; stops what plays.
    fn play(&mut self) -> Vec<Order> {
        if self.playing.take().is_some() {
            return vec![Order::Stop];
        }
        let Some(sheet) = self.sheet() else {
            return Vec::new();
        };
        let played = sheet.score.bars.iter().find(|b| b.bar == self.bar);
        let (from, to) = (played.map_or(0, |b| b.at), sheet.score.length);
        self.from = from;
        vec![Order::Play {
            from,
            to,
            repeat: false,
            count_in: 1,
        }]
    }

    /// How the song is laid out on the terminal as it is now.
    pub fn layout(&self) -> Option<Layout> {
        Some(Layout::new(&self.sheet()?.strip, self.size))
    }
}

impl Layout {
    /// Lays a strip out: strings far apart where that costs none of two lines of tab, and bars stretched
    /// as far as three of them fit on a line, or at least two.
    pub fn new(strip: &Strip, (width, height): (u16, u16)) -> Layout {
        let room = usize::from(width.saturating_sub(PREFIX)).max(1);
        let widest = strip
            .blocks
            .iter()
            .map(|b| b.width())
            .max()
            .unwrap_or(1)
            .max(1);
        let wide = [(3, 3), (2, 3), (2, 2)].into_iter();
        let wide = wide
            .filter(|(wide, bars)| wide * bars * widest <= room)
            .map(|(wide, _)| wide)
            .next()
            .unwrap_or(1);
        let strings = strip.rows.strings.max(1);
        let tall = usize::from(height.saturating_sub(HEAD + FOOT));
        let rows = strip.rows.fitting(shown_rows(strip), tall);
        let each = |high: usize| (rows.len() + (strings - 1) * (high - 1)).max(1);
        let seen = |high: usize| tall / each(high);
        let high = if seen(2) >= seen(1).clamp(1, 2) { 2 } else { 1 };
        Layout {
            wide,
            high,
            lines: strip.lines(room / wide),
            seen: seen(high).max(1),
            rows,
        }
    }

    /// The line that a bar is on.
    pub fn line_of(&self, bar: usize) -> usize {
        self.lines
            .iter()
            .position(|l| l.contains(&bar))
            .unwrap_or(0)
    }
}

/// Bar numbers and endings, chords, strings and beats; with a capo the shapes as well.
fn shown_rows(strip: &Strip) -> Vec<usize> {
    let has_shapes = (strip.blocks.iter())
        .filter_map(|b| b.cells.get(Rows::SHAPES))
        .any(|cells| cells.iter().any(|c| *c != ' '));
    let rows = strip.rows;
    let mut shown = vec![Rows::NUMBERS, Rows::CHORDS];
    shown.extend(has_shapes.then_some(Rows::SHAPES));
    shown.extend(Rows::FIRST_STRING..=rows.ruler());
    shown
}
