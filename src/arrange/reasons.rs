//! Why each pluck is there, in one line of the trade's language.

use super::answer::{Answer, Struck};
use super::arrangement::Layer;
use super::ideas::mark_at;
use super::shape::{NONE, Shape};
use super::step::lowest_of_class;
use super::strokes::Stroke;
use crate::theory::{QUARTER, Ticks, Tone, beats};
use std::fmt;

/// Why a pluck is there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Reason {
    /// A note of the tune.
    Melody {
        /// Where it is played.
        place: Placed,
        /// What keeps ringing under it by a stopped string, if anything does.
        under: Option<String>,
        /// The finger was there already.
        stays: bool,
    },
    /// A chord's bass.
    Bass {
        /// Where it is played.
        place: Placed,
        /// Octaves above the lowest one on the instrument.
        octaves: u8,
        /// How long it rings, and how long it should, in ticks.
        rings: (Ticks, Ticks),
    },
    /// A chord tone between bass and melody.
    Fill {
        /// Where it is played.
        place: Placed,
        /// Which tone of which chord it is: `third of C7`.
        tone: String,
    },
    /// A note that an idea asks for or changes.
    Idea {
        /// Why it is where it is.
        note: Box<Reason>,
        /// What the idea does.
        idea: String,
    },
    /// A knock on strings or body.
    Knock,
}

/// Where and by which finger a note is played.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Placed {
    /// The note with its octave.
    pub pitch: crate::theory::Pitch,
    /// String, 1 is the highest.
    pub string: u8,
    /// Fret above the capo.
    pub fret: u8,
    /// Left finger, 0 for an open string.
    pub finger: u8,
}

impl fmt::Display for Placed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.fret == 0 {
            write!(f, "{} on open string {}", self.pitch, self.string)
        } else {
            write!(
                f,
                "{} on string {}, fret {}, finger {}",
                self.pitch, self.string, self.fret, self.finger
            )
        }
    }
}

impl fmt::Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Reason::Melody {
                place,
                under,
                stays,
            } => {
                write!(f, "melody {place}")?;
                if *stays {
                    f.write_str("; the finger is there already")?;
                }
                match under {
                    Some(bass) => write!(f, "; bass {bass} stays down"),
                    None => Ok(()),
                }
            }
            Reason::Bass {
                place,
                octaves,
                rings: (rings, wanted),
            } => {
                write!(f, "bass {place}: ")?;
                match octaves {
                    0 => write!(f, "lowest {}", place.pitch.name)?,
                    1 => write!(f, "1 octave above the lowest {}", place.pitch.name)?,
                    n => write!(f, "{n} octaves above the lowest {}", place.pitch.name)?,
                }
                write!(f, ", rings {} of {}", beats(*rings), counted(*wanted))
            }
            Reason::Fill { place, tone } => write!(f, "fill {place}: {tone}"),
            Reason::Idea { note, idea } => write!(f, "{note}; {idea}"),
            Reason::Knock => f.write_str("knock with the thumb where no bass is struck"),
        }
    }
}

/// A length in quarter notes with its unit: `1 beat`, `½ beat`, `2½ beats`.
fn counted(length: Ticks) -> String {
    let unit = if length > QUARTER { "beats" } else { "beat" };
    format!("{} {unit}", beats(length))
}

/// Why a note is there, with the idea that it comes from.
pub(crate) fn of(answer: &Answer, note: &Struck, is_slurred: bool) -> Reason {
    let reason = of_note(answer, note);
    match idea_of(answer, note, is_slurred) {
        Some(idea) => Reason::Idea {
            note: Box::new(reason),
            idea: (answer.why)(idea),
        },
        None => reason,
    }
}

/// The idea that asks for a note or changes it.
fn idea_of(answer: &Answer, note: &Struck, is_slurred: bool) -> Option<usize> {
    let (plan, slice) = (answer.plan, &answer.plan.slices[note.index]);
    if note.layer == Layer::Melody {
        let touched = mark_at(&plan.marks.touched, slice.at).map(|m| m.idea);
        let slurred = mark_at(&plan.marks.slurs, slice.at).filter(|_| is_slurred);
        let slurred = slurred.map(|m| m.idea);
        let rings = mark_at(&plan.marks.bells, slice.at).map(|m| m.idea);
        return touched.or(slurred).or(rings);
    }
    let stroke = &plan.strokes[slice.stroke?];
    let bass = mark_at(&plan.marks.bass, slice.at).map(|m| m.idea);
    match note.layer {
        Layer::Bass => bass,
        _ => stroke.idea.filter(|_| Some(stroke.idea) != Some(bass)),
    }
}

fn of_note(answer: &Answer, note: &Struck) -> Reason {
    let shape = answer.shape(note.index);
    let place = placed(shape, note);
    let slice = &answer.plan.slices[note.index];
    match note.layer {
        Layer::Melody => Reason::Melody {
            place,
            under: held_bass(answer, note.index),
            stays: was_there(answer, note),
        },
        Layer::Bass => {
            let lowest = lowest_of_class(answer.shapes, note.midi.rem_euclid(12));
            Reason::Bass {
                place,
                octaves: ((note.midi - lowest) / 12) as u8,
                rings: (note.end - slice.at, note.wanted - slice.at),
            }
        }
        Layer::Fill | Layer::Colour => Reason::Fill {
            place,
            tone: slice
                .under
                .map(|i| tone_name(&answer.plan.strokes[i], note.midi))
                .unwrap_or_default(),
        },
    }
}

fn placed(shape: &Shape, note: &Struck) -> Placed {
    Placed {
        pitch: note.pitch,
        string: note.string as u8 + 1,
        fret: shape.grip.frets[note.string].unsigned_abs(),
        finger: shape.grip.fingers[note.string],
    }
}

/// The stopped bass note held over into slice `index`, spelled.
fn held_bass(answer: &Answer, index: usize) -> Option<String> {
    let shape = answer.shape(index);
    let held = answer.path[index].held;
    let string = usize::from(shape.bass);
    (shape.bass != NONE && held >> string & 1 == 1 && shape.grip.fingers[string] > 0)
        .then(|| (answer.spell)(index, shape.midi(string)).to_string())
}

fn was_there(answer: &Answer, note: &Struck) -> bool {
    let Some(before) = note.index.checked_sub(1).map(|i| answer.shape(i)) else {
        return false;
    };
    let shape = answer.shape(note.index);
    let finger = shape.grip.fingers[note.string];
    finger > 0
        && before.grip.fingers[note.string] == finger
        && before.grip.frets[note.string] == shape.grip.frets[note.string]
}

/// Which tone of its chord a note is.
fn tone_name(stroke: &Stroke, midi: i32) -> String {
    let tone = stroke.chord.tone_of(midi.rem_euclid(12));
    match tone {
        Some(tone) => format!("{} of {}", degree(tone), stroke.chord),
        None => "as pinned".into(),
    }
}

/// A chord degree in words.
fn degree(tone: Tone) -> String {
    match tone.degree {
        1 => "root".into(),
        2 => "second".into(),
        3 => "third".into(),
        4 => "fourth".into(),
        5 => "fifth".into(),
        6 => "sixth".into(),
        7 => "seventh".into(),
        n => format!("{n}th"),
    }
}

/// Why a note was let go early, in slice `stop`.
pub(crate) fn let_go(answer: &Answer, note: &Struck, stop: usize) -> String {
    let start = answer.plan.slices[note.index].at;
    let what = if note.layer == Layer::Melody {
        "melody"
    } else {
        "bass"
    };
    let mut text = format!(
        "{what} {} let go after {} of {}",
        note.pitch,
        beats(note.end - start),
        counted(note.wanted - start),
    );
    if stop < answer.path.len() {
        text.push_str(&need(answer, note, stop));
    }
    text
}

/// What the hand does in slice `stop` instead of holding the note.
fn need(answer: &Answer, note: &Struck, stop: usize) -> String {
    let shape = answer.shape(stop);
    let was = answer.shape(note.index);
    let finger = was.grip.fingers[note.string];
    let name = |string: usize| {
        let midi = shape.midi(string);
        match (shape.melody == string as u8, answer.plan.slices[stop].sung) {
            (true, Some(i)) => answer.plan.melody[i].pitch.to_string(),
            _ => (answer.spell)(stop, midi).to_string(),
        }
    };
    if shape.sounding >> note.string & 1 == 1 {
        return format!(": {} needs string {}", name(note.string), note.string + 1);
    }
    let other = shape
        .strings()
        .find(|&s| finger > 0 && shape.grip.fingers[s] == finger);
    match other {
        Some(s) => format!(
            ": finger {finger} is needed for {} on string {}",
            name(s),
            s + 1
        ),
        None => ": the hand has to move on".into(),
    }
}

/// Why a chord has no bass.
pub(crate) fn no_bass(answer: &Answer, index: usize, stroke: &Stroke) -> String {
    let bass = stroke.chord.bass_name();
    let shape = answer.shape(index);
    if stroke.is_bass_sung(shape) {
        return format!("the melody itself is the bass {bass} of {}", stroke.chord);
    }
    format!(
        "no bass under {}: no {bass} can be held below the melody here",
        stroke.chord
    )
}

#[cfg(test)]
mod tests {
    use crate::arrange::{Layer, Options, arrange};
    use crate::guitar::{Hand, Instrument};
    use crate::song::abc;

    /// A chord in root position has its root lowest (common practice, no source).
    #[test]
    fn nothing_lies_under_a_melody_that_is_the_bass() {
        let text = "X:1\nM:4/4\nL:1/4\nK:D\n\"D\"d2 A2|\"D\"D4|]\n";
        let song = abc::read_book(text).remove(0).unwrap().song;
        let options = Options {
            shift: Some(-12),
            ..Options::default()
        };
        let hand = Hand::named("medium").unwrap();
        let answer = arrange(&song, &Instrument::standard(), &hand, &options).unwrap();
        let last = answer.plucks.iter().filter(|p| p.bar == 1);
        assert_eq!(last.map(|p| p.layer).collect::<Vec<_>>(), [Layer::Melody]);
        let remark = &answer.remarks.last().unwrap().text;
        assert_eq!(remark, "the melody itself is the bass D of D");
    }
}
