//! What each bar of the sheet shows, before anything has a place: voices, plucks, names, barres.

use super::face::Face;
use super::measure::{FINGER, FINGER_GAP, NUMBER, SLIDE};
use super::rhythm::{self, Grid, Kind, Span, Voice};
use crate::arrange::{Arrangement, Layer, Pluck, RightFinger, Technique};
use crate::exchange::left_hand::{Slur, Way, barres, slurs};
use crate::exchange::lengths::strokes;
use crate::exchange::tab;
use crate::score::missing;
use crate::song::{Bar, Close, Tempo};
use crate::theory::Ticks;

/// A bar of the sheet, or a part of one that is wider than a line. Ticks are from its front.
#[derive(Debug, Clone)]
pub(super) struct Written {
    /// Its number, unless it goes on with a bar.
    pub number: Option<u32>,
    pub length: Ticks,
    /// A repeat starts here.
    pub opens: bool,
    /// The bar line at its end; none where the bar goes on.
    pub close: Option<Close>,
    /// What stands in an ending's bracket that starts here: `1.`, `2, 3.`.
    pub passes: Option<String>,
    /// The beats inside.
    pub beats: Vec<Ticks>,
    /// The melody, stems up.
    pub upper: Voice,
    /// Bass and fill, stems down.
    pub lower: Voice,
    pub notes: Vec<Note>,
    pub names: Vec<Name>,
    /// Barres laid here: place and text.
    pub barres: Vec<(Ticks, String)>,
    /// The meter, where it is new.
    pub meter: Option<(u8, u8)>,
    /// The tempo, where it changes.
    pub tempo: Option<Tempo>,
    /// What rings into this bar: string and end.
    pub ringing: Vec<(u8, Ticks)>,
    /// A melody note is tied into this bar; the same of the lower voice.
    pub tied_in: [bool; 2],
}

/// A number on a string.
#[derive(Debug, Clone)]
pub(super) struct Note {
    pub at: Ticks,
    pub string: u8,
    pub text: String,
    /// The left finger, none on an open string.
    pub left: Option<u8>,
    /// The right finger's letter, none where the right hand doesn't pluck.
    pub right: Option<&'static str>,
    pub technique: Technique,
    /// How the left hand brings it out, if it does.
    pub slur: Option<Way>,
    /// Heavy for the melody, so that the eye finds the tune.
    pub face: Face,
    /// Until when the string is shown ringing, if it rings on under what follows; may lie beyond
    /// the bar.
    pub rings: Option<Ticks>,
}

/// A chord name and, behind a capo, the name of what is gripped.
#[derive(Debug, Clone)]
pub(super) struct Name {
    pub at: Ticks,
    pub chord: String,
    pub shape: String,
}

impl Note {
    /// Half the width of its number.
    pub fn half(&self) -> f64 {
        self.face.width(&self.text, NUMBER) / 2.0
    }

    /// What its number and the left finger before it take to the left of its middle.
    pub fn figures(&self) -> f64 {
        let finger = self.left.map_or(0.0, |f| {
            FINGER_GAP + Face::Regular.width(&f.to_string(), FINGER)
        });
        self.half() + finger
    }

    /// What it takes to the left of its middle: left finger, then the stroke of a slide.
    pub fn left_of(&self) -> f64 {
        let slide = self.slur.filter(|w| w.is_slide()).map_or(0.0, |_| SLIDE);
        self.figures() + slide
    }
}

/// How the notes of one onset are struck, if one sign before them says it, and the highest and
/// lowest string that it spans.
pub(super) fn struck_as_one(onset: &[Note]) -> Option<(Technique, u8, u8)> {
    let way = |t| onset.iter().any(|n| n.technique == t).then_some(t);
    let way = way(Technique::Roll).or_else(|| way(Technique::Brush))?;
    let strings = onset.iter().map(|n| n.string);
    Some((way, strings.clone().min()?, strings.max()?))
}

impl Written {
    /// How often a repeat is played, where it is not twice.
    pub fn times(&self) -> Option<String> {
        match self.close {
            Some(Close::Repeat(times)) if times > 2 => Some(format!("{times}×")),
            _ => None,
        }
    }
}

/// All bars of an arrangement.
pub(super) fn bars(arrangement: &Arrangement) -> Vec<Written> {
    let song = arrangement.heard();
    let starts = song.starts();
    let missing = missing(&song.bars);
    let melody: Vec<(Ticks, Ticks)> = arrangement.melody.iter().map(|t| (t.at, t.end)).collect();
    let strokes = strokes(&arrangement.plucks);
    let slurs = slurs(&arrangement.plucks);
    let mut all = Vec::with_capacity(song.bars.len());
    for (i, bar) in song.bars.iter().enumerate() {
        let (from, to) = (starts[i], starts[i + 1]);
        let grid = Grid::new(bar, missing[i]);
        let before = i.checked_sub(1).and_then(|b| song.bars.get(b));
        let new_meter = before.is_none_or(|b| b.meter != bar.meter);
        let upper = spans(&melody, from, to, Kind::Rest);
        let lower = spans(&strokes, from, to, Kind::Gap);
        let tied_in = [&melody, &strokes].map(|v| {
            let first = v.partition_point(|t| t.1 <= from);
            v.get(first).is_some_and(|t| t.0 < from)
        });
        let beats = grid.beats.iter().map(|b| b - grid.missing);
        all.push(Written {
            number: Some(bar.number),
            length: bar.length,
            opens: bar.opens_repeat,
            close: Some(bar.close),
            passes: passes(bar),
            beats: beats.filter(|&b| 0 < b && b < bar.length).collect(),
            upper: rhythm::write(&upper, &grid),
            lower: rhythm::write(&lower, &grid),
            notes: notes(&arrangement.plucks, &slurs, i, from),
            names: names(bar, arrangement.instrument.capo),
            barres: Vec::new(),
            meter: new_meter.then(|| (bar.meter.top(), bar.meter.unit())),
            tempo: bar.tempo.filter(|_| before.is_some()),
            ringing: ringing(arrangement, from),
            tied_in,
        });
    }
    for held in barres(arrangement) {
        if let (Some(written), Some(from)) = (all.get_mut(held.bar), starts.get(held.bar)) {
            let (at, sign) = (held.at - from, held.sign());
            match written.barres.last_mut().filter(|b| b.0 == at) {
                Some(other) => other.1 = format!("{} {sign}", other.1),
                None => written.barres.push((at, sign)),
            }
        }
    }
    all
}

fn passes(bar: &Bar) -> Option<String> {
    let passes: Vec<String> = bar.ending.iter().map(u8::to_string).collect();
    (!passes.is_empty()).then(|| format!("{}.", passes.join(", ")))
}

/// The part of a voice that lies in one bar, with what is silent filled in.
fn spans(voice: &[(Ticks, Ticks)], from: Ticks, to: Ticks, silent: Kind) -> Vec<Span> {
    let mut spans = Vec::new();
    let mut at = from;
    let first = voice.partition_point(|v| v.1 <= from);
    let rest = voice.get(first..).unwrap_or(&[]);
    for &(start, end) in rest.iter().take_while(|v| v.0 < to) {
        let (start, stop) = (start.max(at), end.min(to));
        if start > at {
            spans.push((at, start, silent));
        }
        if stop > start {
            spans.push((start, stop, Kind::Note { tied: end > to }));
            at = stop;
        }
    }
    if at < to {
        spans.push((at, to, silent));
    }
    let span = |(at, end, kind)| Span {
        at: at - from,
        end: end - from,
        kind,
    };
    spans.into_iter().map(span).collect()
}

fn notes(plucks: &[Pluck], slurs: &[Option<Slur>], bar: usize, from: Ticks) -> Vec<Note> {
    let first = plucks.partition_point(|p| p.bar < bar);
    let all = plucks.iter().zip(slurs).skip(first);
    let here = all.take_while(|(p, _)| p.bar == bar);
    here.map(|(p, slur)| Note {
        at: p.at - from,
        string: p.string,
        text: match p.technique {
            Technique::Harmonic => format!("<{}>", p.fret),
            Technique::Hit => "×".into(),
            _ => p.fret.to_string(),
        },
        left: (p.left > 0).then_some(p.left),
        right: p.plucked_by().map(RightFinger::letter),
        technique: p.technique,
        slur: slur.map(|s| s.way),
        face: if p.layer == Layer::Melody {
            Face::Bold
        } else {
            Face::Regular
        },
        rings: rings_on(p, plucks).then(|| p.end - from),
    })
    .collect()
}

/// Whether a note rings on when the next one is struck.
fn rings_on(pluck: &Pluck, plucks: &[Pluck]) -> bool {
    let next = plucks.partition_point(|p| p.at <= pluck.at);
    plucks.get(next).is_some_and(|n| n.at < pluck.end)
}

/// What rings on over the bar line at `from`: string and end, in ticks from there.
fn ringing(arrangement: &Arrangement, from: Ticks) -> Vec<(u8, Ticks)> {
    let plucks = &arrangement.plucks;
    let before = plucks.partition_point(|p| p.at < from);
    // Nothing rings longer than a few bars; a string is struck again at the latest.
    let near = plucks.get(..before).unwrap_or(&[]);
    let over = near.iter().rev().take(64).filter(|p| p.end > from);
    over.filter(|p| rings_on(p, plucks))
        .map(|p| (p.string, p.end - from))
        .collect()
}

fn names(bar: &Bar, capo: u8) -> Vec<Name> {
    (bar.chords.iter())
        .map(|change| Name {
            at: change.at,
            chord: change.symbol.to_string(),
            shape: tab::shape(&change.symbol, &bar.key, capo).unwrap_or_default(),
        })
        .collect()
}
