//! Chords for tunes that have none, by a plain rule. For tests only: open tunes with chords are
//! rare, and the tests of the arranger need many. It is no harmonisation anybody should play.

use thumbline::song::{Bar, ChordChange, Place, Song};
use thumbline::theory::{Chord, Key, Letter, Mode, Name, Symbol, Ticks, Tone};

/// A triad of the key.
#[derive(Clone, PartialEq)]
struct Triad {
    root: Name,
    third: u8,
    fifth: u8,
}

/// Replaces the song's chords.
///
/// Each half bar gets a chord where the bar is at least four quarters long and has a beat in its
/// middle; other bars get one. It is the triad of the key that holds most ticks of the melody
/// there, a note that sounds at the start counting double; of equals the first in the order I, IV,
/// V, vi, ii (minor: i, iv, V, VI, III, VII; the other modes likewise, diatonic, without diminished
/// triads). A chord is not written again while it lasts. A pickup has none, a silent place keeps
/// the chord that lasts.
pub fn plain_chords(song: &mut Song) {
    let mut lasting: Option<Triad> = None;
    for (i, bar) in song.bars.iter_mut().enumerate() {
        bar.chords.clear();
        if i == 0 && bar.length < bar.meter.bar() {
            continue;
        }
        let triads = triads(&bar.key);
        for (from, to) in spans(bar) {
            let held = |triad: &Triad| held(bar, triad, from, to);
            let most = triads.iter().map(held).max().unwrap_or(0);
            let best = triads.iter().find(|t| held(t) == most);
            let chosen = match (most, &lasting) {
                (0, Some(_)) => None,
                _ => best.filter(|&t| lasting.as_ref() != Some(t)),
            };
            if let Some(triad) = chosen {
                lasting = Some(triad.clone());
                bar.chords.push(triad.change(from));
            }
        }
    }
}

/// The places of a bar that get a chord, from and to in ticks from the bar line.
fn spans(bar: &Bar) -> Vec<(Ticks, Ticks)> {
    let (full, half) = (bar.meter.bar(), bar.meter.bar() / 2);
    let splits = full >= 4 * thumbline::theory::QUARTER && bar.meter.beats().contains(&half);
    if splits && bar.length > half {
        vec![(0, half), (half, bar.length)]
    } else {
        vec![(0, bar.length)]
    }
}

/// Ticks of the melody between `from` and `to` that the triad holds.
fn held(bar: &Bar, triad: &Triad, from: Ticks, to: Ticks) -> Ticks {
    let inside = |note: &thumbline::song::Note| {
        if !triad.holds(note.pitch.name.class()) {
            return 0;
        }
        let ticks = ((note.at + note.length).min(to) - note.at.max(from)).max(0);
        let sounds_at_start = note.at <= from && from < note.at + note.length;
        if sounds_at_start { 2 * ticks } else { ticks }
    };
    bar.notes.iter().map(inside).sum()
}

impl Triad {
    fn holds(&self, class: i32) -> bool {
        let above = (class - self.root.class()).rem_euclid(12);
        [0, i32::from(self.third), i32::from(self.fifth)].contains(&above)
    }

    fn change(&self, at: Ticks) -> ChordChange {
        let root = self.root.to_string().replace('♯', "#").replace('♭', "b");
        let tone = |degree, semitones| Tone { degree, semitones };
        let chord = Chord {
            root: self.root,
            tones: vec![tone(1, 0), tone(3, self.third), tone(5, self.fifth)],
            bass: None,
            text: root + if self.third == 3 { "m" } else { "" },
        };
        ChordChange {
            at,
            symbol: Symbol::Chord(chord),
            place: Place::default(),
        }
    }
}

/// The major and minor triads of the key in the order of the rule.
fn triads(key: &Key) -> Vec<Triad> {
    // Accidentals that a signature carries besides its mode are left out.
    let key = Key::new(key.tonic, key.mode);
    let major_third = matches!(key.mode, Mode::Major | Mode::Lydian | Mode::Mixolydian);
    let steps: &[i32] = if major_third {
        &[0, 3, 4, 5, 1]
    } else {
        &[0, 3, 4, 5, 2, 6]
    };
    let triad = |&step: &i32| {
        let above = |more: i32| scale_note(&key, step + more);
        let up = |more: i32| (above(more).class() - above(0).class()).rem_euclid(12) as u8;
        let raised = key.mode == Mode::Minor && step == 4;
        Triad {
            root: above(0),
            third: if raised { 4 } else { up(2) },
            fifth: up(4),
        }
    };
    steps.iter().map(triad).filter(|t| t.fifth == 7).collect()
}

/// The note `steps` above the tonic in the key's scale.
fn scale_note(key: &Key, steps: i32) -> Name {
    let letter: Letter = key.tonic.letter.step(steps);
    Name::new(letter, key.alter(letter))
}
