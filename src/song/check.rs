//! What is wrong or worth knowing in a song, whatever it was read from.

use super::number::{missing, starts_section};
use super::{Bar, Close, Notice, Pin, Place, Song, Target, Wish};
use crate::theory::{Chord, Meter, Symbol, Ticks, beats};
use std::collections::BTreeSet;

impl Song {
    /// Everything worth telling about the song, in the order of its text. A song that gives no
    /// notice adds up.
    ///
    /// Bars are held against their meters here and nowhere else, so that a reader of files need
    /// not.
    pub fn check(&self) -> Vec<Notice> {
        let mut notices = Vec::new();
        if self.bars.iter().all(|bar| bar.notes.is_empty()) {
            notices.push(Notice::new(
                self.start(),
                "the tune has no note yet; write one",
            ));
            return notices;
        }
        lengths(&self.bars, &mut notices);
        self.overlaps(&mut notices);
        self.ties(&mut notices);
        self.chords(&mut notices);
        self.pins(&mut notices);
        notices.sort_by_key(|n| n.place);
        notices
    }

    fn start(&self) -> Place {
        let first = Place { line: 1, column: 1 };
        self.bars.first().map_or(first, |bar| bar.place)
    }

    /// Notes that begin before the one before them has ended, or end behind their bar line.
    fn overlaps(&self, notices: &mut Vec<Notice>) {
        for bar in &self.bars {
            for (i, note) in bar.notes.iter().enumerate() {
                let end = note.at + note.length;
                let text = match bar.notes.get(i + 1) {
                    Some(next) if end > next.at => format!(
                        "the {} in bar {} still sounds when the {} begins; the melody is one note at a time",
                        note.pitch, bar.number, next.pitch
                    ),
                    _ if end > bar.length => format!(
                        "the {} in bar {} is longer than what is left of the bar; tie it over the bar line",
                        note.pitch, bar.number
                    ),
                    _ => continue,
                };
                notices.push(Notice::new(note.place, text));
            }
        }
    }

    /// Ties that no note of the same pitch takes up.
    fn ties(&self, notices: &mut Vec<Notice>) {
        for (i, bar) in self.bars.iter().enumerate() {
            for (n, note) in bar.notes.iter().enumerate().filter(|(_, n)| n.tied) {
                let end = note.at + note.length;
                let next = match bar.notes.get(n + 1) {
                    Some(next) => (next.at == end).then_some(next),
                    None if end >= bar.length => {
                        let next = self.bars.get(i + 1).and_then(|bar| bar.notes.first());
                        next.filter(|next| next.at == 0)
                    }
                    None => None,
                };
                if next.is_none_or(|next| next.pitch.midi() != note.pitch.midi()) {
                    let text = format!(
                        "the tie of the {} in bar {} leads to no {} right after it",
                        note.pitch, bar.number, note.pitch
                    );
                    notices.push(Notice::new(note.place, text));
                }
            }
        }
    }

    fn chords(&self, notices: &mut Vec<Notice>) {
        if self.bars.iter().all(|bar| bar.chords.is_empty()) {
            notices.push(Notice::new(
                self.start(),
                "no chords are written, so only layer 1, the melody, can be arranged; \
                 write chords in quotes before their notes: \"G\"B3",
            ));
            return;
        }
        let mut between = Vec::new();
        for (i, bar) in self.bars.iter().enumerate() {
            let beats = beats_in(&self.bars, i);
            for (c, change) in bar.chords.iter().enumerate() {
                if change.at >= bar.length {
                    let text = format!("this chord stands behind the end of bar {}", bar.number);
                    notices.push(Notice::new(change.place, text));
                } else if !beats.contains(&change.at) {
                    between.push(change.place);
                }
                if let Symbol::Chord(chord) = &change.symbol
                    && is_strong(bar, &beats, change.at)
                {
                    let end = bar.chords.get(c + 1).map_or(bar.length, |next| next.at);
                    notices.extend(foreign(bar, chord, change.at..end, change.place));
                }
            }
        }
        if let Some(&place) = between.first() {
            let text = match between.len() {
                1 => "this chord comes between the beats; its bass will be struck there".to_owned(),
                n => format!(
                    "{n} chords come between the beats, the first here; their basses will be struck there"
                ),
            };
            notices.push(Notice::new(place, text));
        }
    }

    fn pins(&self, notices: &mut Vec<Notice>) {
        for pin in &self.pins {
            if let Some(text) = self.astray(pin) {
                notices.push(Notice::new(pin.place, text));
            }
        }
    }

    /// Why a pin speaks of nothing that is there; `None` for one that does not.
    pub(super) fn astray(&self, pin: &Pin) -> Option<String> {
        let Some(bar) = self.bars.get(pin.bar) else {
            let text = "this pin speaks of a bar that the tune does not have; take it out";
            return Some(text.into());
        };
        let mut struck = bar.notes.iter().map(|n| n.at);
        let melody = struck.any(|at| at == pin.at);
        let text = match pin.wish {
            _ if !(0..bar.length).contains(&pin.at) => "ends before that",
            Wish::Place {
                target: Target::Melody,
                ..
            } if !melody => "has no melody note beginning there",
            Wish::Place {
                target: Target::Melody,
                ..
            } => return None,
            _ if melody
                || bar.chords.iter().any(|c| c.at == pin.at)
                || beats_in(&self.bars, pin.bar).contains(&pin.at) =>
            {
                return None;
            }
            _ => "has neither a note nor a chord nor a beat there",
        };
        Some(format!(
            "this pin points nowhere: bar {} {text}; move its beat or take it out",
            bar.number
        ))
    }

    /// The printed numbers of the bars that are too short or too long for their meter.
    pub fn odd_bars(&self) -> Vec<u32> {
        let odd = odd(&self.bars);
        odd.into_iter()
            .filter_map(|i| Some(self.bars.get(i)?.number))
            .collect()
    }
}

/// Which bars are too short or too long for their meter.
///
/// A short first bar is a pickup. Elsewhere a short bar is in order when it and another make a full
/// bar over a section's end: the halves of a bar split by a repeat sign, the end of a section and
/// the pickup of one that follows or is repeated, the last bar of the song and its pickup.
fn odd(bars: &[Bar]) -> Vec<usize> {
    let short = |at: fn(&[Bar], usize) -> bool| -> BTreeSet<Ticks> {
        let picked = (0..bars.len()).filter(|&i| missing(&bars[i]) > 0 && at(bars, i));
        picked.map(|i| bars[i].length).collect()
    };
    let (starts, ends) = (short(starts_section), short(ends_section));
    let in_order = |i: usize| {
        let missing = missing(&bars[i]);
        let pickup = i == 0 && bars.len() > 1;
        missing == 0
            || missing > 0
                && (pickup
                    || ends_section(bars, i) && starts.contains(&missing)
                    || starts_section(bars, i) && ends.contains(&missing))
    };
    (0..bars.len()).filter(|&i| !in_order(i)).collect()
}

/// Tells which bars are too short or too long for their meter.
fn lengths(bars: &[Bar], notices: &mut Vec<Notice>) {
    for i in odd(bars) {
        let bar = &bars[i];
        let mut text = format!(
            "bar {} has {} {}, the meter says {}",
            bar.number,
            in_units(bar.length, &bar.meter),
            unit_word(bar.length, &bar.meter),
            bar.meter.top()
        );
        if i + 1 == bars.len() && missing(bar) > 0 {
            text.push_str("; fill it with a rest");
        }
        notices.push(Notice::new(bar.place, text));
    }
}

/// What the bottom number of a meter counts, as it is called after that many of them.
pub(super) fn unit_word(length: Ticks, meter: &Meter) -> &'static str {
    match (meter.unit(), length == meter.unit_ticks()) {
        (8, true) => "eighth",
        (8, false) => "eighths",
        (16, true) => "sixteenth",
        (16, false) => "sixteenths",
        (_, true) => "beat",
        (_, false) => "beats",
    }
}

fn ends_section(bars: &[Bar], i: usize) -> bool {
    i + 1 == bars.len() || bars[i].close != Close::Single || starts_section(bars, i + 1)
}

/// A length counted in the meter's bottom number: five eighths of 6/8 are 5.
pub(super) fn in_units(length: Ticks, meter: &Meter) -> String {
    beats(length * Ticks::from(meter.unit()) / 4)
}

/// Where the beats of a bar fall; those of a pickup are the last ones of its meter.
pub(super) fn beats_in(bars: &[Bar], i: usize) -> Vec<Ticks> {
    let bar = &bars[i];
    let lead = match missing(bar) > 0 && starts_section(bars, i) {
        true => missing(bar),
        false => 0,
    };
    let beats = bar.meter.beats().into_iter().map(|at| at - lead);
    beats.filter(|&at| at >= 0).collect()
}

/// The first beat of a full bar, and the one in its middle.
fn is_strong(bar: &Bar, beats: &[Ticks], at: Ticks) -> bool {
    missing(bar) <= 0 && (at == 0 || beats.contains(&at) && at * 2 == bar.length)
}

/// A notice when no melody note that sounds with a chord is one of its tones.
fn foreign(bar: &Bar, chord: &Chord, span: std::ops::Range<Ticks>, place: Place) -> Option<Notice> {
    let sounding = |n: &&super::Note| n.at < span.end && n.at + n.length > span.start;
    let first = bar.notes.iter().find(sounding)?;
    let own = |class: i32| {
        chord.tone_of(class.rem_euclid(12)).is_some() || chord.bass_name().class() == class
    };
    let any = bar
        .notes
        .iter()
        .filter(sounding)
        .any(|n| own(n.pitch.midi().rem_euclid(12)));
    (!any).then(|| {
        Notice::new(
            place,
            format!(
                "{chord} in bar {} has no tone of the melody above it, which begins with {}; is it meant?",
                bar.number, first.pitch.name
            ),
        )
    })
}

#[cfg(test)]
mod tests {
    use super::super::SongFile;

    /// The notices of a song in C, 4/4 unless the tune says otherwise.
    fn told(fields: &str, tune: &str) -> Vec<String> {
        let text = format!("{fields}\ntune = \"\"\"\n{tune}\n\"\"\"\n");
        let (_, song, notices) = SongFile::parse(&text).unwrap();
        assert_eq!(notices, [], "the reader has nothing to say");
        song.check().iter().map(ToString::to_string).collect()
    }

    #[test]
    fn songs_that_add_up_are_quiet() {
        for tune in [
            "\"C\"c8 |]",
            "G2 | \"C\"c8 | c6 |]",
            "|: G2 | \"C\"c8 | c6 :|",
            "|: \"C\"c8 | c4 :| c4 | c8 |]",
            "|: GF | \"C\"c8 |1 c6 :|2 c6 || GA | c8 | c6 |]",
            "|: G2 | \"C\"c8 | c6 :: f4 | g8 | f4 :|",
            "\"C\"c8 | c6 :| c2 | c8 |]",
            "\"C\"c8 | [M:3/4] c6 | [M:6/8] \"F\"f3 \"C\"e3 |]",
        ] {
            assert!(told("", tune).is_empty(), "{tune}: {:?}", told("", tune));
        }
    }

    #[test]
    fn bars_are_held_against_their_meter() {
        let tune = "\"G\"G6 | G5 | G7 |1 G6 :|2 G4 |]";
        insta::assert_snapshot!(told("meter = \"3/4\"", tune).join("\n"), @r##"
            3:9: bar 2 has 2½ beats, the meter says 3
            3:14: bar 3 has 3½ beats, the meter says 3
            3:27: bar 5 has 2 beats, the meter says 3; fill it with a rest
            "##);
        let tune = "\"G\"G4 | G2 | G4 |]";
        insta::assert_snapshot!(told("meter = \"2/4\"", tune).join("\n"), @r##"3:9: bar 2 has 1 beat, the meter says 2"##);
        let tune = "\"G\"G6 | G5 | G6 |]";
        insta::assert_snapshot!(told("meter = \"6/8\"", tune).join("\n"), @r##"3:9: bar 2 has 5 eighths, the meter says 6"##);
    }

    #[test]
    fn chords_are_held_against_the_melody_and_the_beats() {
        insta::assert_snapshot!(told("", "c2 d2 e4 | f8 |]").join("\n"), @r##"3:1: no chords are written, so only layer 1, the melody, can be arranged; write chords in quotes before their notes: "G"B3"##);
        insta::assert_snapshot!(told("", "\"D\"c2 c2 \"G\"B4 | B \"C\"c3 \"F\"e \"C\"e3 |]").join("\n"), @r##"
            3:1: D in bar 1 has no tone of the melody above it, which begins with C; is it meant?
            3:20: 2 chords come between the beats, the first here; their basses will be struck there
            3:26: F in bar 2 has no tone of the melody above it, which begins with E; is it meant?
            "##);
    }

    #[test]
    fn pins_that_point_nowhere() {
        let text = "tune = \"\"\"\n\"C\"c3 d e4 |]\n\"\"\"\n
[[pin]]\nbar = 1\nbeat = 2.5\nnote = \"melody\"\nstring = 1\n
[[pin]]\nbar = 1\nbeat = 2.25\nfill = 2\n
[[pin]]\nbar = 1\nbeat = 5\nnothing = true\n
[[pin]]\nbar = 1\nbeat = 2\nnote = \"melody\"\nstring = 1\n
[[pin]]\nbar = 1\nbeat = 2\nbass = \"C\"\n";
        let (_, song, _) = SongFile::parse(text).unwrap();
        let told: Vec<String> = song.check().iter().map(ToString::to_string).collect();
        insta::assert_snapshot!(told.join("\n"), @r##"
            11:1: this pin points nowhere: bar 1 has neither a note nor a chord nor a beat there; move its beat or take it out
            16:1: this pin points nowhere: bar 1 ends before that; move its beat or take it out
            21:1: this pin points nowhere: bar 1 has no melody note beginning there; move its beat or take it out
            "##);
    }

    #[test]
    fn notes_and_ties_of_songs_made_elsewhere() {
        let text = "tune = \"\"\"\n\"C\"c4 d4 | d8 |]\n\"\"\"\n";
        let (_, mut song, _) = SongFile::parse(text).unwrap();
        song.bars[0].notes[0].tied = true;
        song.bars[0].notes[0].length += 1;
        song.bars[0].notes[1].tied = true;
        song.bars[1].notes[0].length += 1;
        let told: Vec<String> = song.check().iter().map(ToString::to_string).collect();
        insta::assert_snapshot!(told.join("\n"), @r##"
            2:4: the C5 in bar 1 still sounds when the D5 begins; the melody is one note at a time
            2:4: the tie of the C5 in bar 1 leads to no C5 right after it
            2:12: the D5 in bar 2 is longer than what is left of the bar; tie it over the bar line
            "##);
        song.bars.clear();
        assert_eq!(song.check().len(), 1);
    }
}
