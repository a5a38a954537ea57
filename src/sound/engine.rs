//! The engine: commands in, sound out, the same for the device, the silent clock and a file.
//!
//! It works in blocks of 64 frames whatever the device asks for, so what it plays does not depend
//! on the device's buffer. Inside a block strings are plucked and damped at their very sample.
//! Nothing here takes or gives back memory, except [`Engine::new`] and [`Engine::set_rate`].

use super::click::{Click, ClickSetting};
use super::command::{Command, EngineEnds, LayerSet, Notice};
use super::level::{DEFAULT_LEVEL_DB, LOOKAHEAD, Limiter, amplitude};
use super::program::{Note, Program};
use super::transport::{Cue, Transport};
use super::voice::{HIT, Ping, PluckedString, body};
use crate::arrange::Layer;
use crate::guitar::MAX_STRINGS;
use crate::theory::Ticks;
use fundsp::audiounit::AudioUnit;
use fundsp::prelude32::{BufferArray, U1, U2};
use std::time::Duration;

/// Frames in a block.
pub const BLOCK: usize = LOOKAHEAD;

/// Seconds to −60 dB when a finger leaves a note at its end.
const LIFT: f64 = 0.22;
/// The same when everything stops, or a layer is muted.
const STOP: f64 = 0.12;
/// The same for the last chord after the end of the passage.
const LAST: f64 = 1.6;
/// The same for a string that is hit.
const SLAP: f64 = 0.05;

/// Level of the strings: one strong melody note peaks near −10 dB, so that four fit.
const STRINGS: f32 = 0.25;

/// Plays a program.
pub struct Engine {
    rate: f64,
    ends: EngineEnds,
    program: Box<Program>,
    /// The program to come, and the place of its first attack still to be played.
    pending: Option<(Box<Program>, Ticks)>,
    transport: Transport,
    strings: [PluckedString; MAX_STRINGS],
    /// When each string's note ends, and its layer.
    held: [Option<(Ticks, Layer)>; MAX_STRINGS],
    hit: Ping,
    click: Click,
    body: Box<dyn AudioUnit>,
    bridge: BufferArray<U1>,
    air: BufferArray<U2>,
    ticking: [f32; BLOCK],
    limiter: Limiter,
    layers: LayerSet,
    setting: ClickSetting,
    gain: Ramp,
    click_gain: Ramp,
    ready: [[f32; 2]; BLOCK],
    given: usize,
}

/// A level that moves to where it is wanted within a few blocks.
#[derive(Debug, Clone, Copy)]
struct Ramp {
    now: f32,
    wanted: f32,
}

impl Ramp {
    fn new(value: f32) -> Ramp {
        Ramp {
            now: value,
            wanted: value,
        }
    }

    /// Value at the block's start and the step from frame to frame.
    fn block(&mut self) -> (f32, f32) {
        let from = self.now;
        self.now += 0.25 * (self.wanted - self.now);
        if (self.now - self.wanted).abs() < 1e-5 {
            self.now = self.wanted;
        }
        (from, (self.now - from) / BLOCK as f32)
    }
}

/// Silent strings for a sample rate.
fn strings(rate: f64) -> [PluckedString; MAX_STRINGS] {
    std::array::from_fn(|i| PluckedString::new(rate, i as u32 + 1))
}

impl Engine {
    /// A silent engine for `rate` frames a second.
    pub(super) fn new(rate: f64, program: Box<Program>, ends: EngineEnds) -> Engine {
        let setting = ClickSetting::default();
        Engine {
            rate,
            ends,
            transport: Transport::new(rate, &program),
            program,
            pending: None,
            strings: strings(rate),
            held: [None; MAX_STRINGS],
            hit: Ping::new(rate),
            click: Click::new(rate),
            body: body(rate),
            bridge: BufferArray::new(),
            air: BufferArray::new(),
            ticking: [0.0; BLOCK],
            limiter: Limiter::new(rate),
            layers: LayerSet::ALL,
            setting,
            gain: Ramp::new(amplitude(DEFAULT_LEVEL_DB)),
            click_gain: Ramp::new(amplitude(setting.level_db)),
            ready: [[0.0; 2]; BLOCK],
            given: BLOCK,
        }
    }

    /// Sets both levels at once, without the ramp; before anything sounds.
    pub(super) fn settle(&mut self, gain: f32, click: f32) {
        self.gain = Ramp::new(gain);
        self.click_gain = Ramp::new(click);
    }

    /// Frames a second.
    pub fn rate(&self) -> f64 {
        self.rate
    }

    /// True while music or its count-in runs.
    pub fn playing(&self) -> bool {
        self.transport.playing()
    }

    /// Makes the engine ready for another device. Takes memory; what was ringing is lost, the
    /// position is kept.
    pub fn set_rate(&mut self, rate: f64) {
        self.rate = rate;
        self.transport.set_rate(rate, &self.program);
        self.strings = strings(rate);
        self.hit = Ping::new(rate);
        self.click = Click::new(rate);
        self.body = body(rate);
        self.limiter = Limiter::new(rate);
        self.ready = [[0.0; 2]; BLOCK];
        self.given = BLOCK;
    }

    /// Frames between what [`Engine::fill`] gives and where the transport is.
    fn ahead(&self) -> usize {
        LOOKAHEAD + BLOCK - self.given
    }

    /// Fills `out` with the next frames, left and right.
    pub fn fill(&mut self, out: &mut [[f32; 2]]) {
        let mut out = out;
        while !out.is_empty() {
            if self.given == BLOCK {
                self.block();
                self.given = 0;
            }
            let n = out.len().min(BLOCK - self.given);
            let (now, later) = out.split_at_mut(n);
            now.copy_from_slice(&self.ready[self.given..self.given + n]);
            self.given += n;
            out = later;
        }
    }

    /// Tells the player where the music is: `now` on its clock, `latency` until what was given
    /// last is heard.
    pub fn publish(&self, now: Duration, latency: Duration) {
        let passage = self.transport.passage();
        let ahead = Duration::from_secs_f64(self.ahead() as f64 / self.rate);
        self.ends.board.write(&Notice {
            ticks: self.transport.ticks(),
            per_second: self.transport.per_second(),
            at: now,
            later: latency + ahead,
            passage: (passage.from, passage.to, passage.repeat),
            playing: self.transport.playing(),
            counting: self.transport.counting(),
            pass: self.transport.pass(),
        });
    }

    /// Makes one block.
    fn block(&mut self) {
        self.obey();
        self.bridge.clear();
        self.ticking = [0.0; BLOCK];
        let mut done = 0;
        while done < BLOCK {
            self.cues();
            let also = self.waits();
            let n = self.transport.room(&self.program, BLOCK - done, &also);
            let strings = &mut self.bridge.buffer_mut().channel_f32_mut(0)[done..done + n];
            self.strings.iter_mut().for_each(|s| s.add(strings));
            self.hit.add(strings);
            self.click.add(&mut self.ticking[done..done + n]);
            self.transport.advance(&self.program, n);
            done += n;
        }
        self.body
            .process(BLOCK, &self.bridge.buffer_ref(), &mut self.air.buffer_mut());
        let (gain, gain_step) = self.gain.block();
        let (click, click_step) = self.click_gain.block();
        let mut air = self.air.buffer_mut();
        let (left, right) = (air.channel_f32_mut(0), air.channel_f32_mut(1));
        for (i, frame) in self.ready.iter_mut().enumerate() {
            let gain = gain + gain_step * i as f32;
            let tick = self.ticking[i] * (click + click_step * i as f32);
            *frame = [left[i], right[i]].map(|x| (x * STRINGS + tick) * gain);
        }
        self.limiter.block(&mut self.ready);
    }

    /// Places beside the program's own at which a block is split: ends of notes, and the pending
    /// program's first attack.
    fn waits(&self) -> [Option<Ticks>; MAX_STRINGS + 1] {
        let mut waits = [None; MAX_STRINGS + 1];
        for (wait, held) in waits.iter_mut().zip(self.held) {
            *wait = held.map(|(end, _)| end);
        }
        waits[MAX_STRINGS] = self.swap_at();
        waits
    }

    fn swap_at(&self) -> Option<Ticks> {
        let (program, from) = self.pending.as_ref()?;
        let theirs = program.notes.get(program.note_from(*from)).map(|n| n.at);
        [theirs, self.transport.next_note(&self.program)]
            .into_iter()
            .flatten()
            .min()
    }

    /// Does everything that is due at this sample.
    fn cues(&mut self) {
        for string in 0..MAX_STRINGS {
            if let Some((end, _)) = self.held[string]
                && self.transport.reached(end)
            {
                self.lift(string, LIFT);
            }
        }
        if let Some(at) = self.swap_at()
            && self.transport.playing()
            && !self.transport.counting()
            && self.transport.reached(at)
        {
            self.swap(at);
        }
        while let Some(cue) = self.transport.due(&self.program) {
            match cue {
                Cue::Note(index) => {
                    let note = self.program.notes[index];
                    self.play(&note);
                }
                Cue::Tap(strength) => {
                    if self.setting.on
                        && (self.setting.divisions || strength > super::Strength::Division)
                    {
                        self.click.strike(strength);
                    }
                }
                Cue::Count(strength) => self.click.strike(strength),
                Cue::Again(span) => {
                    for (end, _) in self.held.iter_mut().flatten() {
                        *end -= span;
                    }
                    if self.pending.is_some() {
                        self.swap(self.transport.passage().from);
                    }
                }
                Cue::End => {
                    self.damp_all(LAST);
                    if self.pending.is_some() {
                        self.swap(self.program.length());
                    }
                }
            }
        }
    }

    fn play(&mut self, note: &Note) {
        if !self.layers.has(note.layer) {
            return;
        }
        let string = note.string.min(MAX_STRINGS - 1);
        if note.hit {
            self.lift(string, SLAP);
            self.hit.strike(&HIT, note.pluck.level);
        } else {
            self.strings[string].pluck(&note.pluck);
            self.held[string] = Some((note.end, note.layer));
        }
    }

    fn lift(&mut self, string: usize, seconds: f64) {
        self.strings[string].damp(seconds);
        self.held[string] = None;
    }

    fn damp_all(&mut self, seconds: f64) {
        (0..MAX_STRINGS).for_each(|s| self.lift(s, seconds));
    }

    /// Puts the pending program under the transport and sends the old one back.
    fn swap(&mut self, next: Ticks) {
        if let Some((program, _)) = self.pending.take() {
            let old = std::mem::replace(&mut self.program, program);
            self.retire(old);
            self.transport.swap(next, &self.program);
        }
    }

    fn retire(&mut self, program: Box<Program>) {
        // Room was made sure of before the command was taken. Should it be missing all the same,
        // the program is kept from being dropped here: leaking it is better than a click.
        if let Err(rtrb::PushError::Full(program)) = self.ends.retired.push(program) {
            std::mem::forget(program);
        }
    }

    /// Takes the commands that have come.
    fn obey(&mut self) {
        loop {
            // A load may send two programs back; it waits until there is room for them.
            match self.ends.commands.peek() {
                Ok(Command::Load(_)) if self.ends.retired.slots() < 2 => return,
                Ok(_) => {}
                Err(_) => return,
            }
            if let Ok(command) = self.ends.commands.pop() {
                self.obey_one(command);
            }
        }
    }

    fn obey_one(&mut self, command: Command) {
        match command {
            Command::Load(program) => {
                if let Some((unused, _)) = self.pending.take() {
                    self.retire(unused);
                }
                let next = self.transport.ticks().floor() as Ticks + 1;
                self.pending = Some((program, next.max(self.transport.passage().from)));
                if !self.transport.playing() {
                    self.swap(next);
                }
            }
            Command::Play(passage) => {
                if self.pending.is_some() {
                    self.swap(0);
                }
                self.damp_all(STOP);
                self.transport.start(passage, &self.program);
            }
            Command::Last => self.transport.last_pass(),
            Command::Stop => {
                self.transport.stop();
                self.damp_all(STOP);
                if self.pending.is_some() {
                    self.swap(0);
                }
            }
            Command::Speed(speed) => self.transport.set_speed(speed, &self.program),
            Command::Layers(layers) => {
                self.layers = layers;
                for string in 0..MAX_STRINGS {
                    if self.held[string].is_some_and(|(_, layer)| !layers.has(layer)) {
                        self.lift(string, STOP);
                    }
                }
            }
            Command::Click(setting) => {
                self.setting = setting;
                self.click_gain.wanted = amplitude(setting.level_db);
            }
            Command::Gain(gain) => {
                self.gain.wanted = if gain.is_finite() {
                    gain.clamp(0.0, amplitude(super::level::LEVEL_RANGE_DB.1))
                } else {
                    0.0
                };
            }
        }
    }
}
