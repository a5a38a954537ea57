//! The measures of a part: melody, chords and signs, bar by bar.

mod finish;

use super::fields::{harmony, key, length_named, meter, metronome, pitch, quarter_tones, quarters};
use super::numbers::{MILLION, decimal, passes};
use super::parts::{Chosen, Part, transposed};
use super::raw::RawBar;
use super::tree::Element;
use crate::song::{Bar, ChordChange, Close, Note, Notices, SongError, Tempo};
use crate::theory::{Key, Meter, Pitch, QUARTER};
use std::collections::BTreeSet;

/// Musical time finer than a tick, so that lengths that are no whole number of ticks don't add up to
/// a drift: [`FINE`] to a tick, which is 2⁶·3²·11·13.
type Fine = i64;
const FINE: Fine = 64 * 9 * 11 * 13;

/// The longest measure that is believed: 64 whole notes.
const LONGEST: Fine = 64 * 4 * QUARTER * FINE;

/// What was read of a part.
pub(super) struct Read {
    pub bars: Vec<RawBar>,
    /// Semitones from what is written to what sounds.
    pub transpose: i32,
}

/// Reads a part; without a choice only its chords and signs.
pub(super) fn bars(
    part: &Part,
    chosen: Option<&Chosen>,
    notices: &mut Notices,
) -> Result<Read, SongError> {
    let mut reader = Reader {
        voice: chosen.map(|c| c.voice.as_str()),
        tab: chosen.map_or(&[], |c| c.tab.as_slice()),
        divisions: MILLION,
        key: Key::C_MAJOR,
        meter: Meter::common(),
        free: false,
        notices,
        ends_ending: false,
    };
    let mut bars: Vec<RawBar> = Vec::with_capacity(part.measures.len());
    for (measure, content) in &part.measures {
        let bar = reader.bar(*measure, *content)?;
        // An ending that stops at a plain bar line stops there, unless another begins.
        if let Some(last) = bars.last_mut().filter(|_| reader.ends_ending) {
            let goes_on = bar.ending.is_empty() && !bar.opens_repeat;
            if goes_on && last.close == Close::Single {
                last.close = Close::Double;
            }
        }
        reader.ends_ending = content.all("barline").any(|b| {
            let ending = b.child("ending").and_then(|e| e.attribute("type"));
            ending.is_some_and(|t| t != "start")
        });
        bars.push(bar);
    }
    Ok(Read {
        bars,
        transpose: transposed(part),
    })
}

struct Reader<'a> {
    voice: Option<&'a str>,
    /// Staves of tab, in order.
    tab: &'a [i64],
    /// Divisions of a quarter, in millionths.
    divisions: i64,
    key: Key,
    meter: Meter,
    /// The music is without meter from here on.
    free: bool,
    notices: &'a mut Notices,
    ends_ending: bool,
}

/// A measure while it is read; all times count from its bar line.
struct Measure {
    now: Fine,
    /// Where the last note that is not of a chord began.
    onset: Fine,
    /// That note is of the voice that is read; so are the others of its chord.
    mine: bool,
    end: Fine,
    /// Where anything began or ended, to find the place again after going back.
    known: BTreeSet<Fine>,
    notes: Vec<(Fine, Fine, Note)>,
    chords: Vec<(Fine, ChordChange)>,
    tempo: Option<Tempo>,
    opens_repeat: bool,
    close: Close,
    ending: Vec<u8>,
}

impl Reader<'_> {
    fn bar(&mut self, measure: Element, content: Element) -> Result<RawBar, SongError> {
        let mut m = Measure {
            now: 0,
            onset: 0,
            mine: false,
            end: 0,
            known: BTreeSet::from([0]),
            notes: Vec::new(),
            chords: Vec::new(),
            tempo: None,
            opens_repeat: false,
            close: Close::Single,
            ending: Vec::new(),
        };
        for item in content.children() {
            self.item(item, &mut m)?;
            if m.now > LONGEST || m.end > LONGEST {
                let text = "this measure is longer than 64 whole notes";
                return Err(SongError::new(item.place(), text));
            }
        }
        Ok(self.finished(measure.place(), m))
    }

    fn item(&mut self, item: Element, m: &mut Measure) -> Result<(), SongError> {
        match item.name() {
            "attributes" => self.attributes(item)?,
            "note" => self.note(item, m)?,
            "backup" => {
                let back = self.duration(item)?.unwrap_or(0);
                m.now = self.near(m, m.now - back);
            }
            "forward" => {
                m.now += self.duration(item)?.unwrap_or(0);
                m.now = self.near(m, m.now);
            }
            "harmony" => self.chord(item, m)?,
            "direction" => {
                let marks = item
                    .all("direction-type")
                    .filter_map(|t| t.child("metronome"));
                let mark = marks.filter_map(metronome).next();
                let sound = item.child("sound");
                self.tempo(item, mark.or(sound.and_then(tempo_of)), m);
                sound.into_iter().for_each(|s| self.jumps(s));
            }
            "sound" => {
                self.tempo(item, tempo_of(item), m);
                self.jumps(item);
            }
            "barline" => self.line(item, m),
            "figured-bass" => self.notices.pass(item.place(), "figured bass"),
            _ => {}
        }
        Ok(())
    }

    fn attributes(&mut self, item: Element) -> Result<(), SongError> {
        if let Some(divisions) = item.child("divisions") {
            let count = decimal(divisions.text()).filter(|&n| n >= MILLION);
            let Some(count) = count else {
                let text = "divisions say into how many parts a quarter falls, from 1 on";
                return Err(SongError::new(divisions.place(), text));
            };
            self.divisions = count;
        }
        item.all("staff-details").for_each(|d| self.semitones(d));
        if let Some(found) = item.child("key") {
            self.semitones(found);
            match key(found) {
                Some(key) => self.key = key,
                None => self.notices.tell(
                    found.place(),
                    "this key has more than seven signs; it is left out",
                ),
            }
        }
        if let Some(time) = item.child("time") {
            self.free = time.has("senza-misura");
            match meter(time) {
                Some(meter) => self.meter = meter,
                None if self.free => self.notices.tell(
                    time.place(),
                    "the music is without meter from here on; bars are as long as their notes",
                ),
                None => self
                    .notices
                    .tell(time.place(), "this is not a meter; it is left out"),
            }
        }
        Ok(())
    }

    /// The duration of an element in fine units. Nothing where none is said.
    fn duration(&self, item: Element) -> Result<Option<Fine>, SongError> {
        let Some(said) = item.child("duration") else {
            return Ok(None);
        };
        let count = decimal(said.text()).filter(|&n| n >= 0);
        let scaled =
            count.map(|n| i128::from(n) * i128::from(QUARTER * FINE) / i128::from(self.divisions));
        let fine = scaled
            .and_then(|n| Fine::try_from(n).ok())
            .filter(|&n| n <= LONGEST);
        match fine {
            Some(fine) => Ok(Some(fine)),
            None => {
                let text = "a duration is a number from 0 to 64 whole notes";
                Err(SongError::new(said.place(), text))
            }
        }
    }

    /// The length of one division, and so how far roundings may lie apart.
    fn division(&self) -> Fine {
        QUARTER * FINE * MILLION / self.divisions.max(1)
    }

    /// A place that is known already, where this one is that but for rounding.
    fn near(&self, m: &Measure, at: Fine) -> Fine {
        // Where divisions are few they are whole parts of every note, and nothing is rounded.
        if self.divisions <= 96 * MILLION {
            return at.max(0);
        }
        let before = m.known.range(..=at).next_back();
        let sides = before.into_iter().chain(m.known.range(at..).next());
        let nearest = sides.copied().min_by_key(|k| (k - at).abs());
        nearest
            .filter(|k| (k - at).abs() <= 2 * self.division())
            .unwrap_or(at)
            .max(0)
    }

    /// The length of a note: what its value says, where its duration is that but for rounding.
    fn length(&self, item: Element) -> Result<Option<Fine>, SongError> {
        let Some(said) = self.duration(item)? else {
            return Ok(None);
        };
        let value = item.text_of("type").and_then(length_named);
        let Some(value) = value else {
            return Ok(Some(said));
        };
        let dots = item.all("dot").count().min(4) as u32;
        let mut nominal = (value * FINE) * 2 - ((value * FINE) >> dots);
        if let Some(tuplet) = item.child("time-modification") {
            let number = |name: &str| tuplet.number_of(name).filter(|n| (1..=64).contains(n));
            let (Some(actual), Some(normal)) = (number("actual-notes"), number("normal-notes"))
            else {
                return Ok(Some(said));
            };
            nominal = nominal * normal / actual;
        }
        let near = (nominal - said).abs() <= self.division();
        Ok(Some(if near && said > 0 { nominal } else { said }))
    }

    fn note(&mut self, item: Element, m: &mut Measure) -> Result<(), SongError> {
        let in_chord = item.has("chord");
        if !in_chord {
            let voice = item.text_of("voice").unwrap_or("1");
            m.mine = self.voice == Some(voice);
        }
        let mine = m.mine;
        if item.has("grace") {
            if mine {
                self.notices.pass(item.place(), "grace notes");
            }
            return Ok(());
        }
        let Some(length) = self.length(item)? else {
            self.notices.pass(item.place(), "notes without a duration");
            return Ok(());
        };
        if !in_chord {
            m.onset = m.now;
            m.now = self.near(m, m.now + length);
            m.known.insert(m.now);
            m.end = m.end.max(m.now);
        }
        if item.has("rest") || self.voice.is_none() {
            return Ok(());
        }
        if !mine {
            // Tab says the same notes once more.
            let staff = item.number_of("staff").unwrap_or(1);
            if self.tab.binary_search(&staff).is_err() {
                self.notices.pass(item.place(), "notes of other voices");
            }
            return Ok(());
        }
        if item.has("cue") {
            self.notices.pass(item.place(), "cue notes");
            return Ok(());
        }
        if item.has("lyric") {
            self.notices.pass(item.place(), "lyrics");
        }
        let Some(pitch) = item.child("pitch").and_then(pitch) else {
            self.notices.pass(item.place(), "notes without a pitch");
            return Ok(());
        };
        self.semitones(item);
        self.sung(item, pitch, (m.now - m.onset, in_chord), m);
        Ok(())
    }

    /// A note of the melody, or one of a chord of which the top one is taken.
    fn sung(
        &mut self,
        item: Element,
        pitch: Pitch,
        (length, in_chord): (Fine, bool),
        m: &mut Measure,
    ) {
        let place = item.place();
        let starts = |e: Element| {
            e.attribute("type")
                .is_some_and(|t| t == "start" || t == "let-ring")
        };
        let tied = item.all("tie").any(starts);
        let note = Note {
            at: 0,
            length: 0,
            pitch,
            tied,
            place,
        };
        let last = m
            .notes
            .last_mut()
            .filter(|(at, _, _)| in_chord && *at == m.onset);
        match last {
            Some((_, _, top)) => {
                self.notices.pass(place, "lower notes of chords");
                if top.pitch.midi() < pitch.midi() {
                    *top = note;
                }
            }
            None if length > 0 => m.notes.push((m.onset, length, note)),
            None => {}
        }
    }

    fn chord(&mut self, item: Element, m: &mut Measure) -> Result<(), SongError> {
        let place = item.place();
        let Some(symbol) = harmony(item) else {
            self.notices
                .pass(place, "chord symbols that can't be understood");
            return Ok(());
        };
        self.semitones(item);
        let offset = item.text_of("offset").and_then(decimal).unwrap_or(0);
        let offset = i128::from(offset) * i128::from(QUARTER * FINE) / i128::from(self.divisions);
        let offset = Fine::try_from(offset).ok().filter(|o| o.abs() <= LONGEST);
        let at = (m.now + offset.unwrap_or(0)).clamp(0, LONGEST);
        m.chords.push((
            at,
            ChordChange {
                at: 0,
                symbol,
                place,
            },
        ));
        Ok(())
    }

    /// Tells where names are read without their quarter tones.
    fn semitones(&mut self, item: Element) {
        if quarter_tones(item) {
            self.notices.pass(item.place(), "quarter tones");
        }
    }

    fn tempo(&mut self, item: Element, tempo: Option<Tempo>, m: &mut Measure) {
        let Some(tempo) = tempo else { return };
        if m.now == 0 && m.tempo.is_none() {
            m.tempo = Some(tempo);
        } else if m.tempo != Some(tempo) {
            self.notices
                .pass(item.place(), "changes of tempo inside a bar");
        }
    }

    fn jumps(&mut self, sound: Element) {
        let kinds = ["dacapo", "dalsegno", "tocoda", "coda", "segno", "fine"];
        if kinds.iter().any(|k| sound.attribute(k).is_some()) {
            let what = "jumps such as D.C., D.S. and coda; the tune is read as it is written";
            self.notices.pass(sound.place(), what);
        }
    }

    fn line(&mut self, item: Element, m: &mut Measure) {
        let left = item.attribute("location").is_some_and(|l| l == "left");
        match item.text_of("bar-style") {
            Some("light-light" | "heavy-heavy") if !left => m.close = Close::Double,
            Some("light-heavy") if !left => m.close = Close::Final,
            _ => {}
        }
        const BEYOND: &str = "passes beyond the most that a song has";
        if let Some(repeat) = item.child("repeat") {
            let times = repeat.attribute("times").and_then(|t| t.parse().ok());
            let times = times.unwrap_or(2);
            if times > Close::MOST_TIMES {
                self.notices.pass(repeat.place(), BEYOND);
            }
            match repeat.attribute("direction").as_deref() {
                Some("forward") => m.opens_repeat = true,
                Some("backward") => m.close = Close::Repeat(times.clamp(2, Close::MOST_TIMES)),
                _ => self
                    .notices
                    .pass(item.place(), "repeat signs without a direction"),
            }
        }
        let begins = |e: &Element| e.attribute("type").is_some_and(|t| t == "start");
        if let Some(ending) = item.child("ending").filter(begins) {
            m.ending = passes(&ending.attribute("number").unwrap_or_default());
            if m.ending.is_empty() {
                self.notices
                    .pass(ending.place(), "endings without a number");
            }
            let named = m.ending.len();
            m.ending.retain(|&p| p <= Bar::MOST_PASSES);
            if m.ending.len() < named {
                self.notices.pass(ending.place(), BEYOND);
            }
        }
    }
}

fn tempo_of(sound: Element) -> Option<Tempo> {
    quarters(&sound.attribute("tempo")?)
}
