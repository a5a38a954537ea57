//! Hours of practice with the clock run fast: keys, loops, passes, edits and the sound itself, as the
//! studio and the engine do them. Memory stays what it was, no loop drifts, and the log tells what was
//! played.
//!
//! `THUMBLINE_HOURS=8 cargo test --release --test long_use -- --nocapture` practises that long.
#![cfg(feature = "sound")]

#[path = "support/numbers.rs"]
mod numbers;

use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use jiff::civil::{DateTime, date};
use jiff::tz::TimeZone;
use numbers::Numbers;
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use thumbline::practice::read;
use thumbline::shelf::{Name, Seal};
use thumbline::song::SongFile;
use thumbline::sound::{Bench, ClickSetting, Command, Passage, Program};
use thumbline::studio::{
    Address, Desk, Errand, Home, Message, News, Order, Run, Screen, Studio, Theme, view,
};
use thumbline::theory::{QUARTER, Ticks};

/// Hours practised where nothing else is asked for.
const HOURS: f64 = 0.2;

/// Frames a second: as few as the engine takes, since only the time counts here.
const RATE: usize = 8_000;
/// Frames between two looks of the studio at the sound.
const LOOK: usize = RATE / 25;

/// Quarters a minute of the song.
const TEMPO: f64 = 97.0;

const SONG: &str = "format = 1
title = \"Long Evening\"
key = \"C\"
meter = \"3/4\"
unit = \"1/4\"
tempo = \"1/4=97\"
tune = \"\"\"
\"C\"E G c | \"F\"A F A | \"G7\"B G D | \"C\"E3 |
\"Am\"A c e | \"F\"f e c | \"G7\"d B G | \"C\"c3 |]
\"\"\"
";

/// The studio, the sound and the disk, in a time of their own.
struct World {
    studio: Studio,
    sound: Bench,
    screen: Terminal<TestBackend>,
    numbers: Numbers,
    /// Frames that have passed.
    frames: usize,
    playing: bool,
    log: Vec<String>,
    saves: usize,
    /// Passes judged, and those that were clean.
    judged: u32,
    clean: u32,
    /// Seconds in which music or its count-in ran in the Shed.
    practised: f64,
}

impl World {
    fn new() -> World {
        let (file, song, _) = SongFile::parse(SONG).expect("a song");
        let address = Address {
            folder: "songs".into(),
            name: Name::new("long-evening").expect("a name"),
        };
        let home = Home::at(address, file, Seal::ABSENT, Vec::new());
        let desk = Desk::open(song, home).expect("it can be played");
        let theme = Theme::named("plain").expect("a theme");
        let score = desk.score.clone();
        let mut world = World {
            studio: Studio::at_desk(desk, theme, TimeZone::UTC),
            sound: Bench::new(&score, RATE as f64),
            screen: Terminal::new(TestBackend::new(80, 24)).expect("a screen"),
            numbers: Numbers(8),
            frames: 0,
            playing: false,
            log: Vec::new(),
            saves: 0,
            judged: 0,
            clean: 0,
            practised: 0.0,
        };
        world.tell(Message::Clock(world.now(), 0));
        let orders = world.studio.begin();
        world.obey(orders);
        world
    }

    fn seconds(&self) -> u64 {
        (self.frames / RATE) as u64
    }

    fn now(&self) -> DateTime {
        let seconds = self.seconds() as i64;
        date(2026, 1, 5).at(9, 0, 0, 0) + jiff::SignedDuration::from_secs(seconds)
    }

    fn tell(&mut self, message: Message) {
        let orders = self.studio.update(message);
        self.obey(orders);
    }

    fn obey(&mut self, orders: Vec<Order>) {
        for order in orders {
            let command = match order {
                Order::Load(score) => Command::Load(Box::new(Program::new(&score))),
                Order::Play {
                    from,
                    to,
                    repeat,
                    count_in,
                } => Command::Play(Passage {
                    from,
                    to,
                    repeat,
                    count_in,
                }),
                Order::Stop => Command::Stop,
                Order::Speed(percent) => Command::Speed(f64::from(percent) / 100.0),
                Order::Click(on) => Command::Click(ClickSetting {
                    on,
                    ..ClickSetting::default()
                }),
                Order::Disk(Errand::ReadLog) => {
                    let text = self.log.join("\n");
                    self.tell(Message::News(News::LogRead(Ok(text))));
                    continue;
                }
                Order::Disk(Errand::Log(line)) => {
                    self.log.push(line.clone());
                    self.tell(Message::News(News::Logged(line, Ok(()))));
                    continue;
                }
                Order::Disk(Errand::Save { address, .. }) => {
                    self.saves += 1;
                    let seal = Seal::ABSENT;
                    self.tell(Message::News(News::Saved { address, seal }));
                    continue;
                }
                Order::Disk(_) | Order::Silence(_) => continue,
                Order::Suspend | Order::Quit => panic!("nobody leaves"),
            };
            assert!(self.sound.send(command), "the sound falls behind");
        }
    }

    fn press(&mut self, code: KeyCode) {
        let key = KeyEvent::new(code, KeyModifiers::NONE);
        let message = self.studio.press(key);
        self.tell(message.unwrap_or_else(|| panic!("{code:?} does nothing here")));
    }

    fn type_in(&mut self, keys: &str) {
        keys.chars().for_each(|c| self.press(KeyCode::Char(c)));
    }

    /// Lets so many seconds pass.
    fn wait(&mut self, seconds: f64) {
        let until = self.frames + (seconds * RATE as f64) as usize;
        let mut out = [[0.0; 2]; LOOK];
        while self.frames < until {
            let before = self.seconds();
            self.sound.fill(&mut out);
            self.sound.drain();
            self.frames += LOOK;
            let position = self.sound.position();
            if position.playing && matches!(self.studio.screen, Screen::Shed(_)) {
                self.practised += LOOK as f64 / RATE as f64;
            }
            if position.playing || self.playing {
                self.playing = position.playing;
                self.tell(Message::Heard(position.playing.then_some(position.ticks)));
            }
            if self.seconds() != before {
                self.tell(Message::Clock(self.now(), self.seconds()));
                let studio = &self.studio;
                let drawn = self.screen.draw(|frame| {
                    view(studio, frame);
                });
                assert!(drawn.is_ok());
            }
        }
    }

    /// Forty times one of some keys and one of some moves, so many seconds apart.
    fn wander<const N: usize>(&mut self, keys: [&str; N], moves: [KeyCode; 3], seconds: f64) {
        for _ in 0..40 {
            let (key, code) = (self.numbers.one(keys), self.numbers.one(moves));
            self.type_in(key);
            self.press(code);
            self.wait(seconds);
        }
    }

    /// Some minutes at the Desk: pins, easier and fuller ways, ideas, undo, save, play, loop.
    fn arrange(&mut self) {
        let keys = [
            "p", "e", "f", "u", "y", "3", "4", "i", "s", " ", "o", "+", "-",
        ];
        self.wander(keys, [KeyCode::Left, KeyCode::Down, KeyCode::Right], 3.0);
    }

    /// Some minutes of writing: notes set, changed, taken out, undone.
    fn write(&mut self) {
        self.type_in("n");
        let keys = ["g", "c", "4", "8", "u", "y", "t", "."];
        let moves = [KeyCode::Left, KeyCode::Backspace, KeyCode::Right];
        self.wander(keys, moves, 1.0);
        // All of it back, so that the song stays one that can be practised.
        for _ in 0..80 {
            self.type_in("u");
        }
        self.press(KeyCode::Esc);
    }

    /// A while in the Shed: passes, each judged.
    fn practise(&mut self, seconds: u64) {
        self.type_in("w");
        let until = self.seconds() + seconds;
        loop {
            let Screen::Shed(shed) = &self.studio.screen else {
                panic!("not in the Shed");
            };
            match shed.run {
                Run::Still if self.seconds() >= until => break,
                Run::Still => self.type_in(" "),
                Run::Asked => {
                    self.judged += 1;
                    if self.numbers.below(4) > 0 {
                        self.clean += 1;
                        self.press(KeyCode::Enter);
                    } else {
                        self.press(KeyCode::Backspace);
                    }
                    if self.seconds() >= until {
                        self.stop();
                    }
                }
                Run::Pass | Run::Model { .. } => self.wait(0.5),
            }
        }
        self.press(KeyCode::Esc);
    }

    /// Stops what the last word has begun, before anything of it is heard.
    fn stop(&mut self) {
        if matches!(&self.studio.screen, Screen::Shed(shed) if shed.run != Run::Still) {
            self.type_in(" ");
        }
        self.wait(0.1);
    }
}

/// Kilobytes that the program holds, where the system tells.
fn memory() -> Option<u64> {
    let text = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = text.lines().find(|l| l.starts_with("VmRSS"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

fn hours() -> f64 {
    let wished = std::env::var("THUMBLINE_HOURS").ok();
    wished.and_then(|n| n.parse().ok()).unwrap_or(HOURS)
}

#[test]
fn memory_stays_and_the_log_is_right() {
    let mut world = World::new();
    let end = (hours() * 3600.0) as u64;
    let mut held = None;
    while world.seconds() < end {
        world.arrange();
        world.write();
        world.practise(420);
        // The first round takes what any round needs.
        held = held.or_else(memory);
    }
    let (records, torn) = read(&world.log.join("\n"));
    assert!(torn.is_empty(), "{torn:?}");
    let all: u32 = records.iter().map(|r| r.all).sum();
    let clean: u32 = records.iter().map(|r| r.clean).sum();
    let seconds: u32 = records.iter().map(|r| r.seconds).sum();
    assert!(world.judged > 0 && world.saves > 0);
    let more = held.zip(memory()).map(|(was, is)| is.saturating_sub(was));
    println!(
        "{} s: {} passes judged, {all} logged; {} clean, {clean} logged; {:.0} s played, {seconds} \
         logged; {} saves; memory {held:?} kB, then {more:?} kB more",
        world.seconds(),
        world.judged,
        world.clean,
        world.practised,
        world.saves
    );
    assert_eq!(clean, world.clean);
    // What was begun and stopped before a note of it was played may be told as a pass broken off.
    assert!(all >= world.judged, "{all} of {}", world.judged);
    let apart = (f64::from(seconds) - world.practised).abs();
    assert!(apart < 0.02 * world.practised + 30.0, "{apart} s apart");
    if let Some(more) = more {
        let most = 4_000 + (hours() * 500.0) as u64;
        assert!(more < most, "{more} kB more than after the first round");
    }
}

#[test]
fn a_loop_of_hours_does_not_drift() {
    let world = World::new();
    let mut sound = world.sound;
    let (from, to) = (3 * QUARTER, 9 * QUARTER);
    let speed = 0.73;
    let passage = Passage {
        from,
        to,
        repeat: true,
        count_in: 0,
    };
    assert!(sound.send(Command::Speed(speed)) && sound.send(Command::Play(passage)));
    let mut out = [[0.0; 2]; LOOK];
    sound.fill(&mut out);
    let a_frame = TEMPO * speed * QUARTER as f64 / 60.0 / RATE as f64;
    let place = |frames: usize| (frames as f64 * a_frame).rem_euclid((to - from) as f64);
    let told = |sound: &Bench| (sound.position().ticks - from) as f64;
    // Where it starts within the block, and what the engine holds back, stays as it is.
    let ahead = told(&sound) - place(LOOK);
    let mut frames = LOOK;
    let mut farthest: f64 = 0.0;
    while frames < (hours() * 3600.0) as usize * RATE {
        sound.fill(&mut out);
        frames += LOOK;
        let length = (to - from) as f64;
        let apart = (told(&sound) - place(frames) - ahead).rem_euclid(length);
        farthest = farthest.max(apart.min(length - apart));
    }
    println!("{frames} frames looped, never more than {farthest:.2} ticks apart");
    let two_frames: Ticks = (2.0 * a_frame).ceil() as Ticks;
    assert!(farthest < two_frames as f64, "{farthest} ticks apart");
}
