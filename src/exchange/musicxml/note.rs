//! One note or rest.

use super::pen::Pen;
use super::values::{Piece, Value};
use super::voices::{Part, Written};
use crate::arrange::{Layer, Pluck, Technique};
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

/// Notes that the left hand brings out of the note before them on their string.
#[derive(Default)]
pub(super) struct Slurs {
    /// For each pluck the one that comes out of it.
    pub next: Vec<Option<usize>>,
    /// For each pluck the one it comes out of, and by how many frets it is higher.
    pub before: Vec<Option<(usize, i32)>>,
}

impl Slurs {
    pub(super) fn of(plucks: &[Pluck]) -> Slurs {
        let mut slurs = Slurs {
            next: vec![None; plucks.len()],
            before: vec![None; plucks.len()],
        };
        let mut last: [Option<usize>; 256] = [None; 256];
        for (i, pluck) in plucks.iter().enumerate() {
            let before = last[usize::from(pluck.string)].replace(i);
            if let Some(b) = before.filter(|_| pluck.technique == Technique::Slur) {
                let up = i32::from(pluck.fret) - i32::from(plucks[b].fret);
                slurs.next[b] = Some(i);
                slurs.before[i] = Some((b, up));
            }
        }
        slurs
    }

    /// The frets up from a pluck to the one that comes out of it.
    fn up_from(&self, index: usize) -> Option<i32> {
        let next = (*self.next.get(index)?)?;
        self.before.get(next)?.map(|(_, up)| up)
    }

    fn up_to(&self, index: usize) -> Option<i32> {
        self.before.get(index)?.map(|(_, up)| up)
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
        for kind in self.slur_edges(part) {
            pen.empty("slur", &[("type", kind.0), ("number", &string)]);
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

    /// The slurs that end and begin with a part, with the frets they go up.
    fn slur_edges(&self, part: &Part) -> impl Iterator<Item = (&'static str, i32)> {
        let stop = self.slurs.up_to(part.index).filter(|_| !part.tied_from);
        let start = self.slurs.up_from(part.index).filter(|_| !part.tied_to);
        let edges = [stop.map(|up| ("stop", up)), start.map(|up| ("start", up))];
        edges.into_iter().flatten()
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
        for (kind, up) in self.slur_edges(part) {
            let (name, sign) = if up < 0 {
                ("pull-off", "P")
            } else {
                ("hammer-on", "H")
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
