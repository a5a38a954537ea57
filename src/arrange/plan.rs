//! What the song wants at each moment, before any hand is asked: the slices, the melody in its
//! octave, and the strokes where bass and fill start.

use super::Layer;
use super::arrangement::Tune;
use crate::song::{Pin, Song, Wish};
use crate::theory::{Chord, Name, QUARTER, Symbol, Ticks, Tone};

/// A melody note that goes below a ringing note stops it, unless it is as short as this.
pub(crate) const PASSING: Ticks = QUARTER / 2;

/// The whole song as a row of slices.
#[derive(Debug, Clone)]
pub(crate) struct Plan {
    pub layer: Layer,
    pub melody: Vec<Tune>,
    pub strokes: Vec<Stroke>,
    pub slices: Vec<Wanted>,
}

/// What one slice wants.
#[derive(Debug, Clone)]
pub(crate) struct Wanted {
    /// Start in ticks from the song's start.
    pub at: Ticks,
    /// Index of the written bar.
    pub bar: usize,
    /// Milliseconds since the slice before started.
    pub millis: i64,
    /// The least such time from here on.
    pub quickest: i64,
    /// The melody note struck here.
    pub melody: Option<usize>,
    /// The melody note that should sound here, struck or held.
    pub sung: Option<usize>,
    /// The stroke that starts here.
    pub stroke: Option<usize>,
    /// The stroke whose notes may ring here, started here or before.
    pub under: Option<usize>,
}

/// A place where bass and fill are struck.
#[derive(Debug, Clone)]
pub(crate) struct Stroke {
    pub at: Ticks,
    /// The chord or the bar ends here, whichever is first.
    pub end: Ticks,
    pub chord: Chord,
    /// The chord's pitch classes, as bits, and those of its third and its seventh.
    pub tones: u16,
    pub third: Option<i32>,
    pub seventh: Option<i32>,
    /// Pitch class of the bass asked for, and its MIDI number if a pin fixes the octave.
    pub bass: i32,
    pub bass_midi: Option<i32>,
    /// A pin asks for this bass, so it may not be left out.
    pub bass_pinned: bool,
    /// Every note of the stroke lies below this MIDI number.
    pub ceiling: i32,
    /// How many fill notes may be struck, at least and at most.
    pub fill: (u8, u8),
    /// Nothing is struck but the melody.
    pub silent: bool,
    /// Melody notes during the stroke that go lower than all before them: start and MIDI number.
    falls: Vec<(Ticks, i32)>,
}

impl Stroke {
    /// Until when a note of this stroke should ring: no longer than the melody stays above it.
    pub fn ring(&self, midi: i32) -> Ticks {
        self.falls
            .iter()
            .find(|&&(_, low)| low <= midi)
            .map_or(self.end, |&(at, _)| at)
    }
}

/// A chord change in song time.
struct Change<'a> {
    at: Ticks,
    chord: Option<&'a Chord>,
    /// Only a pinned bass is struck here; the chord goes on.
    bass_only: bool,
}

impl Plan {
    /// Lays out a song whose melody is moved by `shift` semitones (whole octaves).
    pub fn new(song: &Song, layer: Layer, shift: i32) -> Plan {
        let starts = song.starts();
        let joined = song.runs_on();
        let melody = melody(song, &starts, &joined, shift);
        let strokes = if layer >= Layer::Bass {
            strokes(song, &starts, &melody, layer)
        } else {
            Vec::new()
        };
        let slices = slices(song, &starts, &melody, &strokes);
        Plan {
            layer,
            melody,
            strokes,
            slices,
        }
    }

    /// Where the slice `index` ends.
    pub fn end(&self, index: usize, song_end: Ticks) -> Ticks {
        self.slices.get(index + 1).map_or(song_end, |s| s.at)
    }
}

/// The melody with ties joined where the bars follow each other only in this order.
fn melody(song: &Song, starts: &[Ticks], joined: &[bool], shift: i32) -> Vec<Tune> {
    let mut tunes: Vec<Tune> = Vec::new();
    let mut tie_open = false;
    for (bar, written) in song.bars.iter().enumerate() {
        for note in &written.notes {
            let at = starts[bar] + note.at;
            let pitch = note.pitch.octaves_up(shift / 12);
            let goes_on = |last: &Tune| {
                tie_open
                    && last.end == at
                    && last.pitch.midi() == pitch.midi()
                    && (note.at > 0 || joined[bar])
            };
            match tunes.last_mut() {
                Some(last) if goes_on(last) => last.end = at + note.length,
                _ => tunes.push(Tune {
                    bar,
                    at,
                    end: at + note.length,
                    pitch,
                }),
            }
            tie_open = note.tied;
        }
    }
    tunes.retain(|t| t.end > t.at);
    tunes
}

/// One stroke at each chord change and, where a chord goes on, at each bar line. A pickup has none.
fn strokes(song: &Song, starts: &[Ticks], melody: &[Tune], layer: Layer) -> Vec<Stroke> {
    let end = starts[song.bars.len()];
    let mut changes: Vec<Change> = (song.harmony().into_iter())
        .map(|h| Change {
            at: h.at,
            chord: match h.symbol {
                Some(Symbol::Chord(chord)) => Some(chord),
                Some(Symbol::NoChord) | None => None,
            },
            bass_only: false,
        })
        .collect();
    let pins = bass_pins(song, starts);
    for &(at, _) in &pins {
        let i = changes.partition_point(|c| c.at <= at);
        if i > 0 && changes[i - 1].at < at {
            let chord = changes[i - 1].chord;
            let change = Change {
                at,
                chord,
                bass_only: true,
            };
            changes.insert(i, change);
        }
    }
    let pickup_end = match song.bars.first() {
        Some(bar) if bar.length < bar.meter.bar() => starts[1],
        _ => 0,
    };
    let mut out = Vec::with_capacity(changes.len());
    for (i, change) in changes.iter().enumerate() {
        let until = changes.get(i + 1).map_or(end, |c| c.at);
        let pinned = pins.iter().find(|&&(at, _)| at == change.at);
        let chord = match (change.chord, pinned) {
            (Some(chord), _) if pinned.is_some() || change.at >= pickup_end => chord.clone(),
            (None, Some(&(_, name))) => bare(name),
            _ => continue,
        };
        if until <= change.at {
            continue;
        }
        let class = |t: Tone| (chord.root.class() + i32::from(t.semitones)).rem_euclid(12);
        let mut stroke = Stroke {
            tones: chord.classes().fold(0, |set, c| set | 1 << c),
            third: chord.third().map(class),
            seventh: chord.seventh().map(class),
            at: change.at,
            end: until,
            bass: chord.bass_name().class(),
            bass_midi: None,
            bass_pinned: false,
            ceiling: ceiling(melody, change.at),
            fill: if layer >= Layer::Fill && change.chord.is_some() && !change.bass_only {
                (0, 3)
            } else {
                (0, 0)
            },
            chord,
            silent: false,
            falls: falls(melody, change.at, until),
        };
        for (_, pin) in pins_at(song, starts, change.at) {
            apply_pin(&mut stroke, pin, layer);
        }
        out.push(stroke);
    }
    out
}

fn apply_pin(stroke: &mut Stroke, pin: &Pin, layer: Layer) {
    match &pin.wish {
        Wish::Bass { name, octave } => {
            stroke.bass = name.class();
            stroke.bass_midi = octave.map(|o| crate::theory::Pitch::new(*name, o).midi());
            stroke.bass_pinned = true;
        }
        Wish::Fill(n) if layer >= Layer::Fill => stroke.fill = (*n, *n),
        Wish::Nothing => stroke.silent = true,
        Wish::Fill(_) | Wish::Place { .. } | Wish::Grip(_) => {}
    }
}

/// Where bass notes are pinned, in order, and which.
fn bass_pins(song: &Song, starts: &[Ticks]) -> Vec<(Ticks, Name)> {
    let mut pins: Vec<_> = (song.pins.iter())
        .filter(|p| p.bar < song.bars.len())
        .filter_map(|p| match p.wish {
            Wish::Bass { name, .. } => Some((starts[p.bar] + p.at, name)),
            _ => None,
        })
        .collect();
    pins.sort_by_key(|&(at, _)| at);
    pins
}

/// A bass note on its own, where no chord is written.
fn bare(name: Name) -> Chord {
    Chord {
        root: name,
        tones: vec![Tone::ROOT],
        bass: None,
        text: name.to_string(),
    }
}

/// The pins that speak of the onset at `at`, with their indices.
pub(crate) fn pins_at<'a>(
    song: &'a Song,
    starts: &'a [Ticks],
    at: Ticks,
) -> impl Iterator<Item = (usize, &'a Pin)> {
    song.pins
        .iter()
        .enumerate()
        .filter(move |(_, p)| p.bar < song.bars.len() && starts[p.bar] + p.at == at)
}

/// The melody note sounding at `at`; in a rest, the lower of its neighbours.
fn ceiling(melody: &[Tune], at: Ticks) -> i32 {
    let next = melody.partition_point(|t| t.at <= at);
    let before = next.checked_sub(1).map(|i| &melody[i]);
    let after = melody.get(next);
    match (before, after) {
        (Some(b), _) if b.end > at => b.pitch.midi(),
        (b, a) => [b, a]
            .into_iter()
            .flatten()
            .map(|t| t.pitch.midi())
            .min()
            .unwrap_or(i32::MAX),
    }
}

/// The ever lower melody notes that start between `at` and `end` and are more than passing.
fn falls(melody: &[Tune], at: Ticks, end: Ticks) -> Vec<(Ticks, i32)> {
    let mut lowest = i32::MAX;
    let mut out = Vec::new();
    for tune in &melody[melody.partition_point(|t| t.at <= at)..] {
        if tune.at >= end {
            break;
        }
        let midi = tune.pitch.midi();
        if tune.end - tune.at > PASSING && midi < lowest {
            lowest = midi;
            out.push((tune.at, midi));
        }
    }
    out
}

fn slices(song: &Song, starts: &[Ticks], melody: &[Tune], strokes: &[Stroke]) -> Vec<Wanted> {
    let mut onsets: Vec<Ticks> = melody
        .iter()
        .map(|t| t.at)
        .chain(strokes.iter().map(|s| s.at))
        .collect();
    onsets.sort_unstable();
    onsets.dedup();
    let mut clock = Clock::new(song, starts);
    let mut bar = 0;
    let (mut tune, mut stroke) = (0, 0);
    let mut out: Vec<Wanted> = Vec::with_capacity(onsets.len());
    for at in onsets {
        while bar + 1 < song.bars.len() && starts[bar + 1] <= at {
            bar += 1;
        }
        while tune < melody.len() && melody[tune].at <= at {
            tune += 1;
        }
        while stroke < strokes.len() && strokes[stroke].at <= at {
            stroke += 1;
        }
        let sung = tune.checked_sub(1).filter(|&i| melody[i].end > at);
        let under = stroke.checked_sub(1).filter(|&i| strokes[i].end > at);
        out.push(Wanted {
            at,
            bar,
            millis: clock.millis_until(at),
            quickest: i64::MAX,
            melody: sung.filter(|&i| melody[i].at == at),
            sung,
            stroke: under.filter(|&i| strokes[i].at == at),
            under,
        });
    }
    let mut quickest = i64::MAX;
    for slice in out.iter_mut().rev() {
        quickest = quickest.min(slice.millis);
        slice.quickest = quickest;
    }
    out
}

/// Turns ticks into milliseconds along the song's changes of tempo.
struct Clock<'a> {
    song: &'a Song,
    starts: &'a [Ticks],
    bar: usize,
    at: Ticks,
    tempo: crate::song::Tempo,
}

impl<'a> Clock<'a> {
    fn new(song: &'a Song, starts: &'a [Ticks]) -> Clock<'a> {
        Clock {
            song,
            starts,
            bar: 0,
            at: 0,
            tempo: song.tempo,
        }
    }

    /// Milliseconds from the last place asked for (or the start) to `at`.
    fn millis_until(&mut self, at: Ticks) -> i64 {
        let mut millis = 0;
        while self.bar < self.song.bars.len() && self.starts[self.bar] <= at {
            if let Some(tempo) = self.song.bars[self.bar].tempo {
                millis += self.step(self.starts[self.bar]);
                self.tempo = tempo;
            }
            self.bar += 1;
        }
        millis + self.step(at)
    }

    fn step(&mut self, at: Ticks) -> i64 {
        let ticks = at - self.at;
        self.at = at;
        ticks * 60_000 / (i64::from(self.tempo.per_minute.max(1)) * self.tempo.beat.max(1))
    }
}
