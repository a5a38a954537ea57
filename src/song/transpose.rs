//! A song in another key.

use super::{Bar, BassNote, Figure, Idea, Pin, Song, Wish};
use crate::theory::{Key, Pitch, Symbol};

/// Ten octaves: no transposition goes farther.
const FARTHEST: i32 = 120;

impl Song {
    /// The song without pins and ideas that name strings, frets or grips, since they hold in one key on
    /// one guitar only.
    pub fn for_any_guitar(&self) -> Song {
        let mut song = self.clone();
        song.pins
            .retain(|p| !matches!(p.wish, Wish::Place { .. } | Wish::Grip(_)));
        song.ideas.retain(|i| {
            let figure = &i.figure;
            !matches!(
                figure,
                Figure::Harmonic { .. } | Figure::Slur { .. } | Figure::Campanella(_)
            )
        });
        song
    }

    /// The song `semitones` higher (lower when negative): melody, chords and keys, spelled as the
    /// new key has it.
    ///
    /// Pins and ideas that name strings, frets or grips are left out where the song moves; see
    /// [`Song::for_any_guitar`].
    pub fn transposed(&self, semitones: i32) -> Song {
        let semitones = semitones.clamp(-FARTHEST, FARTHEST);
        self.moved(&self.key.transposed(semitones), semitones)
    }

    /// The song with its keynote moved to that of `key`, up or down, whichever is nearer. It keeps
    /// its own mode, so that a song in E minor is in A minor after `in_key` of A. Where that key would
    /// have more than seven signs it is spelled otherwise: a major song is in A♭ after `in_key` of G♯.
    pub fn in_key(&self, key: &Key) -> Song {
        let up = (key.tonic.class() - self.key.tonic.class()).rem_euclid(12);
        let semitones = if up > 6 { up - 12 } else { up };
        let steps = key.tonic.letter as i32 - self.key.tonic.letter as i32;
        self.moved(&signed_key(&self.key, steps, semitones), semitones)
    }

    fn moved(&self, to: &Key, semitones: i32) -> Song {
        if *to == self.key && semitones == 0 {
            return self.clone();
        }
        let steps = to.tonic.letter as i32 - self.key.tonic.letter as i32;
        // What is only spelled anew lies where it lay.
        let mut song = match semitones {
            0 => self.clone(),
            _ => self.for_any_guitar(),
        };
        for bar in &mut song.bars {
            let key = signed_key(&bar.key, steps, semitones);
            move_bar(bar, &key, semitones);
        }
        for pin in &mut song.pins {
            move_pin(pin, &self.key, to, semitones);
        }
        for idea in &mut song.ideas {
            move_idea(idea, &self.key, to, semitones);
        }
        song.key = to.clone();
        song
    }
}

/// A key moved by letters and semitones, or by semitones alone where it would have more than seven
/// signs.
fn signed_key(key: &Key, steps: i32, semitones: i32) -> Key {
    let moved = key.up(steps, semitones);
    match moved.fifths().abs() {
        0..=7 => moved,
        _ => key.transposed(semitones),
    }
}

fn move_bar(bar: &mut Bar, key: &Key, semitones: i32) {
    for note in &mut bar.notes {
        note.pitch = bar.key.carry(note.pitch, key, semitones);
    }
    for change in &mut bar.chords {
        if let Symbol::Chord(chord) = &change.symbol {
            change.symbol = Symbol::Chord(chord.transposed(semitones, key));
        }
    }
    bar.key = key.clone();
}

fn move_pin(pin: &mut Pin, from: &Key, to: &Key, semitones: i32) {
    if let Wish::Bass(note) = &mut pin.wish {
        move_note(note, from, to, semitones);
    }
}

fn move_note(note: &mut BassNote, from: &Key, to: &Key, semitones: i32) {
    let pitch = Pitch::new(note.name, note.octave.unwrap_or(4));
    let pitch = from.carry(pitch, to, semitones);
    note.name = pitch.name;
    note.octave = note.octave.map(|_| pitch.octave);
}

fn move_idea(idea: &mut Idea, from: &Key, to: &Key, semitones: i32) {
    let carry = |note: &mut BassNote| move_note(note, from, to, semitones);
    match &mut idea.figure {
        Figure::Bass(bass) => carry(bass),
        Figure::Walk { notes, .. } => notes.iter_mut().for_each(carry),
        Figure::Chord(Symbol::Chord(chord)) => *chord = chord.transposed(semitones, to),
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Figure, Idea, Song, SongFile, Wish};
    use proptest::prelude::*;

    const SONG: &str = "key = \"G\"\ntune = \"\"\"\n\"G\"B3 A ^c2 d2 | \"D7/F#\"A4 [K:Em] \"B7\"^d4 | \"Em\"e8 |]\n\"\"\"\n
[[pin]]\nbar = 1\nbass = \"G2\"\n
[[pin]]\nbar = 2\ngrip = \"xx0212\"\n
[[pin]]\nbar = 3\nfill = 1\n";

    fn song() -> Song {
        SongFile::parse(SONG).unwrap().1
    }

    /// Keys, chords and notes in one line.
    fn told(song: &Song) -> String {
        let mut words = vec![song.key.to_string()];
        for bar in &song.bars {
            words.extend(bar.chords.iter().map(|c| match &c.symbol {
                crate::theory::Symbol::Chord(chord) => chord.to_string(),
                crate::theory::Symbol::NoChord => "N.C.".into(),
            }));
            words.extend(bar.notes.iter().map(|n| n.pitch.to_string()));
        }
        words.join(" ")
    }

    #[test]
    fn everything_moves_and_is_spelled_by_the_new_key() {
        insta::assert_snapshot!(told(&song().transposed(1)), @r##"A♭ major A♭ C5 B♭4 D5 E♭5 E♭7/G C7 B♭4 E5 Fm F5"##);
        insta::assert_snapshot!(told(&song().transposed(-3)), @r##"E major E G♯4 F♯4 A♯4 B4 B7/D♯ G♯7 F♯4 B♯4 C♯m C♯5"##);
        let moved = song().in_key(&"Gb".parse().unwrap());
        insta::assert_snapshot!(told(&moved), @r##"G♭ major G♭ B♭4 A♭4 C5 D♭5 D♭7/F B♭7 A♭4 D5 E♭m E♭5"##);
    }

    #[test]
    fn only_pins_that_still_mean_something_are_kept() {
        let moved = song().transposed(2);
        assert_eq!(moved.pins.len(), 2);
        assert_eq!(song().transposed(0), song());
    }

    #[test]
    fn no_key_has_more_signs_than_a_signature() {
        let song = SongFile::parse("tune = \"\"\"\n\"C\"c8 |]\n\"\"\"\n")
            .unwrap()
            .1;
        let moved = song.in_key(&"G#m".parse().unwrap());
        assert_eq!(told(&moved), "A♭ major A♭ A♭4");
        assert_eq!(moved.bars[0].key, moved.key);
    }

    #[test]
    fn another_spelling_keeps_what_names_strings() {
        let mut song = song().in_key(&"F#".parse().unwrap());
        song.pins[1].wish = Wish::Grip(vec![Some(2); 6]);
        song.ideas = vec![Idea::new(0, 0, Figure::Campanella(vec![2, 1]))];
        let flats = song.in_key(&"Gb".parse().unwrap());
        assert_eq!((&flats.pins[1], &flats.ideas), (&song.pins[1], &song.ideas));
    }

    proptest! {
        #![proptest_config(crate::properties::cases(256))]

        #[test]
        fn a_song_comes_back_sounding_the_same(semitones in -24..=24i32) {
            let back = song().transposed(semitones).transposed(-semitones);
            let heard = |s: &Song| -> Vec<i32> {
                s.bars.iter().flat_map(|b| b.notes.iter().map(|n| n.pitch.midi())).collect()
            };
            prop_assert_eq!(heard(&back), heard(&song()));
        }
    }
}
