//! What the song wants at each moment, before any hand is asked: the slices, the melody in its
//! octave, and the strokes where bass and fill start.

use super::Layer;
use super::arrangement::Tune;
use super::clock::Clock;
use super::ideas::{Asked, Marks, broken_tone, mark_at};
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
    /// What the taken ideas ask for, where the layer is colour.
    pub marks: Marks,
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
    /// The melody note struck here is touched as a harmonic: string index and fret.
    pub touch: Option<(u8, i8)>,
    /// The idea that knocks here.
    pub hit: Option<usize>,
}

/// A place where bass and fill are struck.
#[derive(Debug, Clone)]
pub(crate) struct Stroke {
    pub at: Ticks,
    /// The bass rings to here: the next bass, or the end of the chord or the bar.
    pub end: Ticks,
    /// The fill rings to here: the end of the chord or the bar.
    pub fill_end: Ticks,
    pub chord: Chord,
    /// The chord's pitch classes, as bits, none for a bass without chord; its third's, its seventh's.
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
    /// What the chord struck before it rings on under it: a bass or one note of a broken chord alone
    /// is struck.
    pub over: bool,
    /// No bass is wanted.
    pub bassless: bool,
    /// As many notes as a full chord has here, and the most that are struck.
    pub notes: u8,
    /// The fill is of this pitch class: a note of a broken chord.
    pub only: Option<i32>,
    /// The chord is rolled.
    pub rolled: bool,
    /// The melody sounding here, where a harmonic makes it another note than its fret.
    pub tune: Option<i32>,
    /// The idea that the stroke is there for, or that changes it.
    pub idea: Option<usize>,
    /// Melody notes during the stroke that go lower than all before them: start and MIDI number.
    pub falls: Vec<(Ticks, i32)>,
}

impl Stroke {
    /// Until when a note of this stroke should ring: no longer than the melody stays above it.
    pub fn ring(&self, midi: i32, is_bass: bool) -> Ticks {
        let end = if is_bass { self.end } else { self.fill_end };
        self.falls
            .iter()
            .find(|&&(_, low)| low <= midi)
            .map_or(end, |&(at, _)| at.min(end))
    }
}

/// A chord change in song time.
struct Change<'a> {
    at: Ticks,
    chord: Option<&'a Chord>,
    struck: Struck,
}

/// What is struck at a change.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Struck {
    /// The whole chord.
    Chord,
    /// Only a pinned bass; the chord's name goes on, its fill does not.
    Pinned,
    /// Only a bass that an idea asks for, while the fill rings on.
    Bass,
    /// Only one note of a broken chord.
    Broken,
}

impl Plan {
    /// Lays out a song whose melody is moved by `shift` semitones (whole octaves).
    pub fn new(song: &Song, layer: Layer, shift: i32) -> Plan {
        if layer < Layer::Colour {
            return Plan::marked(song, layer, shift, Marks::default());
        }
        let coloured = song.is_recoloured().then(|| song.recoloured());
        let song = coloured.as_ref().unwrap_or(song);
        Plan::marked(song, layer, shift, Marks::new(song))
    }

    fn marked(song: &Song, layer: Layer, shift: i32, marks: Marks) -> Plan {
        let starts = song.starts();
        let joined = song.runs_on();
        let melody = melody(song, &starts, &joined, shift);
        let mut strokes = if layer >= Layer::Bass {
            strokes(song, &starts, &melody, (layer, &marks))
        } else {
            Vec::new()
        };
        let slices = slices(song, &starts, &melody, (&strokes, &marks));
        for slice in &slices {
            let touched = slice
                .sung
                .filter(|&i| mark_at(&marks.touched, melody[i].at).is_some());
            if let (Some(stroke), Some(i)) = (slice.stroke, touched) {
                strokes[stroke].tune = Some(melody[i].pitch.midi());
            }
        }
        Plan {
            layer,
            melody,
            strokes,
            slices,
            marks,
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

/// One stroke at each chord change and, where a chord goes on, at each bar line; more where pins and
/// ideas ask for a note. A pickup has none.
fn strokes(
    song: &Song,
    starts: &[Ticks],
    melody: &[Tune],
    (layer, marks): (Layer, &Marks),
) -> Vec<Stroke> {
    let end = starts[song.bars.len()];
    let pins = bass_pins(song, starts);
    let changes = changes(song, &pins, marks);
    let pickup_end = match song.bars.first() {
        Some(bar) if bar.length < bar.meter.bar() => starts[1],
        _ => 0,
    };
    let mut out = Vec::with_capacity(changes.len());
    for (i, change) in changes.iter().enumerate() {
        let next = |ends: fn(Struck) -> bool| {
            let later = changes[i + 1..].iter().find(|c| ends(c.struck));
            later.map_or(end, |c| c.at)
        };
        let pinned = pins.iter().find(|&&(at, _)| at == change.at);
        let asked = mark_at(&marks.bass, change.at);
        let chord = match (change.chord, pinned, asked.map(|m| m.what)) {
            (Some(chord), ..) if pinned.is_some() || change.at >= pickup_end => chord.clone(),
            (None, Some(&(_, name)), _) => bare(name),
            (None, _, Some(Asked::Note(note))) if change.at >= pickup_end => bare(note.name),
            _ => continue,
        };
        let (bass_end, fill_end) = (
            next(|s| s != Struck::Broken),
            next(|s| matches!(s, Struck::Chord | Struck::Pinned)),
        );
        if bass_end <= change.at {
            continue;
        }
        let class = |t: Tone| (chord.root.class() + i32::from(t.semitones)).rem_euclid(12);
        let filled = layer >= Layer::Fill && change.chord.is_some();
        let mut stroke = Stroke {
            tones: change.chord.map_or(0, Chord::class_set),
            third: chord.third().map(class),
            seventh: chord.seventh().map(class),
            at: change.at,
            end: bass_end,
            fill_end,
            bass: chord.bass_name().class(),
            bass_midi: None,
            bass_pinned: false,
            ceiling: ceiling(melody, change.at),
            fill: match change.struck {
                Struck::Chord if filled => (0, 3),
                Struck::Broken => (1, 1),
                _ => (0, 0),
            },
            silent: false,
            over: matches!(change.struck, Struck::Bass | Struck::Broken),
            bassless: change.struck == Struck::Broken,
            notes: crate::guitar::right::MOST_PLUCKS as u8,
            only: mark_at(&marks.broken, change.at)
                .filter(|_| change.struck == Struck::Broken)
                .and_then(|m| broken_tone(&chord, sung(melody, change.at), m.what)),
            rolled: false,
            tune: None,
            idea: None,
            falls: falls(melody, change.at, bass_end.max(fill_end)),
            chord,
        };
        colour(&mut stroke, marks);
        for (_, pin) in pins_at(song, starts, change.at) {
            apply_pin(&mut stroke, pin, layer);
        }
        if mark_at(&marks.hits, stroke.at).is_some() && stroke.bassless {
            let fingers = fingers_beside_knock(melody, stroke.at);
            stroke.fill.1 = stroke.fill.1.min(fingers.max(stroke.fill.0));
        }
        out.push(stroke);
    }
    out
}

/// How many fill notes can be struck while the thumb knocks: three fingers, less one for a melody
/// note.
fn fingers_beside_knock(melody: &[Tune], at: Ticks) -> u8 {
    let is_struck = melody.binary_search_by_key(&at, |t| t.at).is_ok();
    3 - u8::from(is_struck)
}

/// Where something is struck under the melody, and what.
fn changes<'a>(song: &'a Song, pins: &[(Ticks, Name)], marks: &Marks) -> Vec<Change<'a>> {
    let mut changes: Vec<Change> = (song.harmony().into_iter())
        .map(|h| Change {
            at: h.at,
            chord: match h.symbol {
                Some(Symbol::Chord(chord)) => Some(chord),
                Some(Symbol::NoChord) | None => None,
            },
            struck: Struck::Chord,
        })
        .collect();
    let more = (pins.iter().map(|&(at, _)| (at, Struck::Pinned)))
        .chain(marks.bass.iter().map(|m| (m.at, Struck::Bass)))
        .chain(marks.broken.iter().map(|m| (m.at, Struck::Broken)));
    for (at, struck) in more {
        let breathes = struck == Struck::Bass && marks.breath_at(at).is_some();
        let i = changes.partition_point(|c| c.at <= at);
        if i > 0 && changes[i - 1].at < at && !breathes {
            let chord = changes[i - 1].chord;
            changes.insert(i, Change { at, chord, struck });
        }
    }
    changes
}

/// What the ideas make of a stroke.
fn colour(stroke: &mut Stroke, marks: &Marks) {
    if let Some(mark) = mark_at(&marks.bass, stroke.at)
        && !stroke.bassless
    {
        (stroke.bass, stroke.bass_midi) = mark.what.over(&stroke.chord, stroke.ceiling);
        stroke.idea = Some(mark.idea);
    }
    if stroke.over {
        let broken = mark_at(&marks.broken, stroke.at).map(|m| m.idea);
        stroke.idea = stroke.idea.or(broken);
        return;
    }
    if let Some(idea) = marks.breath_at(stroke.at) {
        stroke.bassless = true;
        stroke.notes -= 1;
        stroke.idea = Some(idea);
    }
    if let Some(mark) = mark_at(&marks.rolls, stroke.at)
        && stroke.fill.1 > 0
    {
        stroke.rolled = true;
        stroke.notes = mark.what.max(2);
        stroke.fill.1 = mark.what.saturating_sub(1);
        stroke.idea = stroke.idea.or(Some(mark.idea));
    }
    if let Some(mark) = mark_at(&marks.opened, stroke.at) {
        stroke.fill = (0, 0);
        stroke.idea = stroke.idea.or(Some(mark.idea));
    }
}

fn apply_pin(stroke: &mut Stroke, pin: &Pin, layer: Layer) {
    match &pin.wish {
        Wish::Bass { name, octave } => {
            stroke.bass = name.class();
            stroke.bass_midi = octave.map(|o| crate::theory::Pitch::new(*name, o).midi());
            stroke.bass_pinned = true;
            stroke.bassless = false;
        }
        Wish::Fill(n) if layer >= Layer::Fill => stroke.fill = (*n, *n),
        Wish::Nothing => {
            stroke.silent = true;
            stroke.fill = (0, 0);
        }
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

/// The MIDI number of the melody note sounding at `at`.
fn sung(melody: &[Tune], at: Ticks) -> Option<i32> {
    let before = melody.partition_point(|t| t.at <= at).checked_sub(1)?;
    (melody.get(before).filter(|t| t.end > at)).map(|t| t.pitch.midi())
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

fn slices(
    song: &Song,
    starts: &[Ticks],
    melody: &[Tune],
    (strokes, marks): (&[Stroke], &Marks),
) -> Vec<Wanted> {
    let is_free = |at: &Ticks| match strokes.binary_search_by_key(at, |s| s.at) {
        Ok(i) => strokes[i].bassless && strokes[i].fill.1 <= fingers_beside_knock(melody, *at),
        Err(_) => true,
    };
    let knocks = marks.hits.iter().filter(|m| is_free(&m.at));
    let knocks: Vec<_> = knocks.copied().collect();
    let mut onsets: Vec<Ticks> = melody
        .iter()
        .map(|t| t.at)
        .chain(strokes.iter().map(|s| s.at))
        .chain(knocks.iter().map(|m| m.at))
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
        let rings = |s: &Stroke| s.end.max(s.fill_end) > at;
        let under = stroke.checked_sub(1).filter(|&i| rings(&strokes[i]));
        let melody_here = sung.filter(|&i| melody[i].at == at);
        let stroke_here = under.filter(|&i| strokes[i].at == at);
        // The left hand does nothing for a knock, so its time goes on.
        let idle = melody_here.is_none() && stroke_here.is_none();
        out.push(Wanted {
            at,
            bar,
            millis: if idle {
                i64::from(u32::MAX)
            } else {
                clock.millis_until(at)
            },
            quickest: i64::MAX,
            melody: melody_here,
            sung,
            stroke: stroke_here,
            under,
            touch: melody_here
                .and_then(|_| mark_at(&marks.touched, at))
                .map(|m| (m.what.0.saturating_sub(1), m.what.1 as i8)),
            hit: mark_at(&knocks, at).map(|m| m.idea),
        });
    }
    let mut quickest = i64::MAX;
    for slice in out.iter_mut().rev() {
        quickest = quickest.min(slice.millis);
        slice.quickest = quickest;
    }
    out
}
