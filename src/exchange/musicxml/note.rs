//! One note or rest.

use super::pen::Pen;
use super::values::{Piece, Value};
use super::voices::{Part, Written};
use crate::arrange::{Layer, Pluck, Technique};
use crate::exchange::left_hand::{Slur, Way, slurs};
use crate::theory::{Name, Pitch, Ticks};
use std::collections::HashSet;

/// Which staff a voice is written on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Staff {
    Notation,
    Tab,
}

/// What the notes of one voice in one bar share.
pub(super) struct Hand<'a> {
    pub staff: Staff,
    pub layer: Layer,
    /// Ticks in a division.
    pub division: Ticks,
    /// Several voices share the staff, so that stems must tell them apart.
    pub shared: bool,
    pub slurs: &'a Slurs,
    /// Indices of the plucks that need an accidental.
    pub accidentals: &'a HashSet<usize>,
}

/// The slurs of an arrangement, seen from both ends.
#[derive(Default)]
pub(super) struct Slurs {
    /// For each pluck how it comes out of the one before.
    into: Vec<Option<Slur>>,
    /// For each pluck how the one that comes out of it does so.
    from: Vec<Option<Way>>,
}

impl Slurs {
    pub(super) fn of(plucks: &[Pluck]) -> Slurs {
        let into = slurs(plucks);
        let mut from = vec![None; plucks.len()];
        for slur in into.iter().flatten() {
            if let Some(from) = from.get_mut(slur.before) {
                *from = Some(slur.way);
            }
        }
        Slurs { into, from }
    }
}

impl Hand<'_> {
    /// Writes what stands in one place: a chord, a note or a rest.
    pub(super) fn write(&self, pen: &mut Pen, written: &Written, beams: &[&'static str]) {
        if written.notes.is_empty() {
            return self.rest(pen, &written.piece);
        }
        for (i, part) in written.notes.iter().enumerate() {
            pen.open("note", &[]);
            if i > 0 {
                pen.empty("chord", &[]);
            }
            pitch(pen, part.pluck.pitch);
            self.length(pen, &written.piece);
            for (tied, kind) in [(part.tied_from, "stop"), (part.tied_to, "start")] {
                if tied {
                    pen.empty("tie", &[("type", kind)]);
                }
            }
            self.voice(pen);
            self.value(pen, written.piece.value, part);
            self.stem(pen);
            notehead(pen, part.pluck.technique);
            pen.text("staff", self.staff_number());
            if i == 0 && self.staff == Staff::Notation {
                for (level, beam) in beams.iter().enumerate() {
                    pen.text_with("beam", &[("number", &(level + 1).to_string())], beam);
                }
            }
            self.notations(pen, part, &written.piece, i == 0);
            pen.close("note");
        }
    }

    /// A rest; in voices that only add to the tune, and in tab, one that isn't printed.
    fn rest(&self, pen: &mut Pen, piece: &Piece) {
        let shown = self.staff == Staff::Notation && self.layer == Layer::Melody;
        let hidden: &[_] = &[("print-object", "no")];
        pen.open("note", if shown { &[] } else { hidden });
        pen.empty("rest", &[]);
        self.length(pen, piece);
        self.voice(pen);
        if let Some(value) = piece.value {
            value_elements(pen, value, None);
        }
        pen.text("staff", self.staff_number());
        if piece.opens || piece.closes {
            pen.open("notations", &[]);
            self.tuplet(pen, piece);
            pen.close("notations");
        }
        pen.close("note");
    }

    fn staff_number(&self) -> u8 {
        match self.staff {
            Staff::Notation => 1,
            Staff::Tab => 2,
        }
    }

    fn length(&self, pen: &mut Pen, piece: &Piece) {
        pen.text("duration", piece.length / self.division.max(1));
    }

    fn voice(&self, pen: &mut Pen) {
        let more = if self.staff == Staff::Tab { 4 } else { 0 };
        pen.text("voice", self.layer as u8 + more);
    }

    fn value(&self, pen: &mut Pen, value: Option<Value>, part: &Part) {
        let needed = !part.tied_from && self.accidentals.contains(&part.index);
        let sign = (needed && self.staff == Staff::Notation)
            .then(|| accidental(part.pluck.pitch.name.alter));
        match value {
            Some(value) => value_elements(pen, value, sign),
            None => sign.into_iter().for_each(|s| pen.text("accidental", s)),
        }
    }

    fn stem(&self, pen: &mut Pen) {
        match self.staff {
            Staff::Tab => pen.text("stem", "none"),
            Staff::Notation if !self.shared => {}
            Staff::Notation if self.layer == Layer::Melody => pen.text("stem", "up"),
            Staff::Notation => pen.text("stem", "down"),
        }
    }

    fn notations(&self, pen: &mut Pen, part: &Part, piece: &Piece, first: bool) {
        let rolled =
            matches!(part.pluck.technique, Technique::Roll | Technique::Brush) && !part.tied_from;
        let needed = self.staff == Staff::Tab
            || rolled
            || part.tied_from
            || part.tied_to
            || first && (piece.opens || piece.closes)
            || self.slur_edges(part).next().is_some();
        if !needed {
            return;
        }
        pen.open("notations", &[]);
        for (tied, kind) in [(part.tied_from, "stop"), (part.tied_to, "start")] {
            if tied {
                pen.empty("tied", &[("type", kind)]);
            }
        }
        let string = part.pluck.string.to_string();
        for (kind, way) in self.slur_edges(part) {
            let name = if way.is_slide() { "slide" } else { "slur" };
            pen.empty(name, &[("type", kind), ("number", &string)]);
        }
        if first {
            self.tuplet(pen, piece);
        }
        if self.staff == Staff::Tab {
            self.technical(pen, part, &string);
        }
        if rolled {
            pen.empty("arpeggiate", &[("direction", "up")]);
        }
        pen.close("notations");
    }

    /// Where a tuplet begins and ends; in the tab nothing of it is printed.
    fn tuplet(&self, pen: &mut Pen, piece: &Piece) {
        for (there, kind) in [(piece.closes, "stop"), (piece.opens, "start")] {
            let hidden = [("type", kind), ("bracket", "no"), ("show-number", "none")];
            let count = if self.staff == Staff::Tab { 3 } else { 1 };
            if there {
                pen.empty("tuplet", &hidden[..count]);
            }
        }
    }

    /// The slurs that end and begin with a part.
    fn slur_edges(&self, part: &Part) -> impl Iterator<Item = (&'static str, Way)> {
        let into = self.slurs.into.get(part.index).copied().flatten();
        let from = self.slurs.from.get(part.index).copied().flatten();
        let stop = into.filter(|_| !part.tied_from).map(|s| ("stop", s.way));
        let start = from.filter(|_| !part.tied_to).map(|way| ("start", way));
        stop.into_iter().chain(start)
    }

    /// Where and how a note is played. The parts that a tie goes on to say only where, so that they
    /// can be drawn.
    fn technical(&self, pen: &mut Pen, part: &Part, string: &str) {
        let pluck = part.pluck;
        pen.open("technical", &[]);
        if !part.tied_from {
            fingers(pen, pluck);
        }
        pen.text("string", string);
        pen.text("fret", pluck.fret);
        for (kind, way) in self.slur_edges(part) {
            let (name, sign) = match way {
                Way::HammerOn => ("hammer-on", "H"),
                Way::PullOff => ("pull-off", "P"),
                Way::SlideUp | Way::SlideDown => continue,
            };
            let sign = if kind == "start" { sign } else { "" };
            pen.text_with(name, &[("number", string), ("type", kind)], sign);
        }
        if pluck.barre && !part.tied_from {
            pen.text("other-technical", "barre");
        }
        pen.close("technical");
    }
}

fn fingers(pen: &mut Pen, pluck: &Pluck) {
    if pluck.left > 0 {
        pen.text("fingering", pluck.left);
    }
    if let Some(finger) = pluck.plucked_by() {
        pen.text("pluck", finger);
    }
    if pluck.technique == Technique::Harmonic {
        pen.open("harmonic", &[]);
        pen.empty("natural", &[]);
        pen.empty("sounding-pitch", &[]);
        pen.close("harmonic");
    }
}

/// Value, dot, accidental and tuplet's ratio in the order of the schema.
fn value_elements(pen: &mut Pen, value: Value, accidental: Option<&str>) {
    pen.text("type", value.name());
    if value.dotted {
        pen.empty("dot", &[]);
    }
    if let Some(sign) = accidental {
        pen.text("accidental", sign);
    }
    if let Some((actual, normal)) = value.ratio {
        pen.open("time-modification", &[]);
        pen.text("actual-notes", actual);
        pen.text("normal-notes", normal);
        pen.close("time-modification");
    }
}

fn notehead(pen: &mut Pen, technique: Technique) {
    match technique {
        Technique::Harmonic => pen.text("notehead", "diamond"),
        Technique::Hit => pen.text("notehead", "x"),
        _ => {}
    }
}

fn pitch(pen: &mut Pen, pitch: Pitch) {
    pen.open("pitch", &[]);
    name(pen, "", pitch.name);
    pen.text("octave", pitch.octave);
    pen.close("pitch");
}

/// Step and alteration, their names with a lead: `root-step`.
pub(super) fn name(pen: &mut Pen, lead: &str, name: Name) {
    pen.text(&format!("{lead}step"), name.letter.to_char());
    if name.alter != 0 {
        pen.text(&format!("{lead}alter"), name.alter);
    }
}

fn accidental(alter: i8) -> &'static str {
    match alter {
        ..=-3 => "triple-flat",
        -2 => "flat-flat",
        -1 => "flat",
        0 => "natural",
        1 => "sharp",
        2 => "double-sharp",
        3.. => "triple-sharp",
    }
}
