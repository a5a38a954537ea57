//! Keys and modes: signatures, spelling, transposition.

use super::{Letter, Name, Pitch};
use std::fmt;

/// The seven modes of the major scale; `Major` is Ionian, `Minor` Aeolian.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[allow(missing_docs)]
pub enum Mode {
    Major,
    Dorian,
    Phrygian,
    Lydian,
    Mixolydian,
    Minor,
    Locrian,
}

impl Mode {
    /// All seven.
    pub const ALL: [Mode; 7] = [
        Mode::Major,
        Mode::Dorian,
        Mode::Phrygian,
        Mode::Lydian,
        Mode::Mixolydian,
        Mode::Minor,
        Mode::Locrian,
    ];

    /// Reads a mode by its first three letters, in any case (abc 2.1, section 3.1.14); `m` alone is
    /// minor. `None` when it is no mode.
    pub fn named(word: &str) -> Option<Mode> {
        let short: String = word.to_lowercase().chars().take(3).collect();
        match short.as_str() {
            "ion" => Some(Mode::Major),
            "m" | "aeo" => Some(Mode::Minor),
            short => (Mode::ALL.into_iter()).find(|m| m.name().get(..3) == Some(short)),
        }
    }

    /// `major`, `dorian`, `phrygian`, `lydian`, `mixolydian`, `minor`, `locrian`.
    pub fn name(self) -> &'static str {
        match self {
            Mode::Major => "major",
            Mode::Dorian => "dorian",
            Mode::Phrygian => "phrygian",
            Mode::Lydian => "lydian",
            Mode::Mixolydian => "mixolydian",
            Mode::Minor => "minor",
            Mode::Locrian => "locrian",
        }
    }

    /// Sharps (positive) or flats (negative) of the signature of this mode over C.
    fn fifths(self) -> i32 {
        match self {
            Mode::Lydian => 1,
            Mode::Major => 0,
            Mode::Mixolydian => -1,
            Mode::Dorian => -2,
            Mode::Minor => -3,
            Mode::Phrygian => -4,
            Mode::Locrian => -5,
        }
    }
}

/// A key: tonic and mode, with accidentals that the signature carries besides (or instead).
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Key {
    /// The keynote.
    pub tonic: Name,
    /// The mode over it.
    pub mode: Mode,
    /// Explicit accidentals of the signature: each letter's alteration in semitones, where given.
    pub explicit: [Option<i8>; 7],
}

/// Why a key could not be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "“{text}” is not a key of up to seven sharps or flats; \
     write a keynote and a mode: G, Em, D dorian, Bb mixolydian"
)]
pub struct KeyError {
    /// What was written.
    pub text: String,
}

impl Key {
    /// C major, which has no signs.
    pub const C_MAJOR: Key = Key::new(Name::new(Letter::C, 0), Mode::Major);

    /// A plain key.
    pub const fn new(tonic: Name, mode: Mode) -> Key {
        Key {
            tonic,
            mode,
            explicit: [None; 7],
        }
    }

    /// The key of a mode with so many sharps (positive) or flats (negative) in its signature.
    pub fn signed(fifths: i32, mode: Mode) -> Key {
        Key::new(Name::from_fifths(fifths - mode.fifths()), mode)
    }

    /// Sharps (positive) or flats (negative) of the mode's signature.
    pub fn fifths(&self) -> i32 {
        self.tonic.fifths() + self.mode.fifths()
    }

    /// How the signature alters a letter, in semitones.
    pub fn alter(&self, letter: Letter) -> i8 {
        if let Some(a) = self.explicit[letter as usize] {
            return a;
        }
        // Sharps come in the order F C G D A E B, flats the other way round.
        let order = (Name::new(letter, 0).fifths() + 1).rem_euclid(7);
        ((self.fifths() - order + 6).div_euclid(7)) as i8
    }

    /// Spells a MIDI number as this key would: its own notes by their names in the signature,
    /// others from two flats to five sharps round the relative major (in C: E♭ B♭, F♯ C♯ G♯).
    pub fn spell(&self, midi: i32) -> Pitch {
        let class = midi.rem_euclid(12);
        let own = Letter::ALL
            .into_iter()
            .filter(|&l| self.explicit[l as usize].is_some())
            .map(|l| Name::new(l, self.alter(l)))
            .find(|n| n.class() == class);
        match own {
            Some(name) => name.at_or_above(midi),
            None => Pitch::from_midi(midi, self.fifths() + 2),
        }
    }

    /// The same mode `semitones` higher (lower when negative), at most six sharps or flats, fewer
    /// where there is a choice; six sharps rather than six flats unless this key has flats.
    /// By whole octaves the key stays as it is. Explicit accidentals move along.
    pub fn transposed(&self, semitones: i32) -> Key {
        if semitones.rem_euclid(12) == 0 {
            return self.clone();
        }
        let class = (self.tonic.class() + semitones.rem_euclid(12)).rem_euclid(12);
        // The signature moves by as many fifths as the keynote, so that its centre is found first.
        let mode = self.mode.fifths();
        let sharper = Name::nearest(class, -mode);
        let flatter = Name::from_fifths(sharper.fifths() - 12);
        let tonic = if sharper.fifths() + mode == 6 && self.fifths() < 0 {
            flatter
        } else {
            sharper
        };
        self.up(tonic.letter as i32 - self.tonic.letter as i32, semitones)
    }

    /// The same mode `steps` letters and `semitones` above. Explicit accidentals move along.
    pub fn up(&self, steps: i32, semitones: i32) -> Key {
        let mut moved = Key::new(self.tonic.up(steps, semitones), self.mode);
        for letter in Letter::ALL {
            if let Some(alter) = self.explicit[letter as usize] {
                let name = Name::new(letter, alter).up(steps, semitones);
                moved.explicit[name.letter as usize] = Some(name.alter);
            }
        }
        moved
    }

    /// Moves a pitch of this key `semitones` up into the key `to`, keeping its degree: the sharp
    /// fourth of C (F♯) becomes the sharp fourth of E♭ (A), never B♭♭.
    ///
    /// Where the keynotes don't lie `semitones` apart, or triple signs would be needed, the
    /// pitch is spelled as `to` would.
    pub fn carry(&self, pitch: Pitch, to: &Key, semitones: i32) -> Pitch {
        let midi = pitch.midi() + semitones;
        let from = Pitch::new(self.tonic, 4);
        let goal = from.midi() + semitones;
        let tonic = to.tonic.at_or_above(goal);
        let moved = pitch.up(tonic.steps() - from.steps(), semitones);
        if tonic.midi() == goal && moved.name.alter.abs() <= 2 {
            moved
        } else {
            to.spell(midi)
        }
    }
}

impl std::str::FromStr for Key {
    type Err = KeyError;

    /// Reads a keynote and a mode: `G`, `Em`, `E minor`, `D dor`, `Bb mixolydian`, `F# phr`.
    ///
    /// A mode is read as by [`Mode::named`]; none is major. A small keynote without a mode is refused,
    /// since it may mean either.
    fn from_str(text: &str) -> Result<Key, KeyError> {
        let error = || KeyError { text: text.into() };
        let clean = text.trim();
        let first = clean.chars().next().ok_or_else(error)?;
        let end = clean
            .char_indices()
            .skip(1)
            .find(|(_, c)| !"#♯b♭".contains(*c))
            .map_or(clean.len(), |(i, _)| i);
        let (tonic, mode) = clean.split_at(end);
        let tonic: Name = tonic.parse().map_err(|_| error())?;
        let mode = match mode.trim() {
            "" if first.is_ascii_lowercase() => return Err(error()),
            "" => Mode::Major,
            word => Mode::named(word).ok_or_else(error)?,
        };
        let key = Key::new(tonic, mode);
        if key.fifths().abs() <= 7 {
            Ok(key)
        } else {
            Err(error())
        }
    }
}

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.tonic, self.mode.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn key(text: &str) -> Key {
        text.parse().unwrap()
    }

    /// The table of signatures of the abc standard 2.1, section 3.1.14: sharps (positive) or flats,
    /// then major, minor, mixolydian, dorian, phrygian, lydian, locrian.
    const SIGNATURES: &str = "
        7 C# A#m G#Mix D#Dor E#Phr F#Lyd B#Loc
        6 F# D#m C#Mix G#Dor A#Phr BLyd E#Loc
        5 B G#m F#Mix C#Dor D#Phr ELyd A#Loc
        4 E C#m BMix F#Dor G#Phr ALyd D#Loc
        3 A F#m EMix BDor C#Phr DLyd G#Loc
        2 D Bm AMix EDor F#Phr GLyd C#Loc
        1 G Em DMix ADor BPhr CLyd F#Loc
        0 C Am GMix DDor EPhr FLyd BLoc
        -1 F Dm CMix GDor APhr BbLyd ELoc
        -2 Bb Gm FMix CDor DPhr EbLyd ALoc
        -3 Eb Cm BbMix FDor GPhr AbLyd DLoc
        -4 Ab Fm EbMix BbDor CPhr DbLyd GLoc
        -5 Db Bbm AbMix EbDor FPhr GbLyd CLoc
        -6 Gb Ebm DbMix AbDor BbPhr CbLyd FLoc
        -7 Cb Abm GbMix DbDor EbPhr FbLyd BbLoc";

    fn signatures() -> impl Iterator<Item = (i32, Key)> {
        SIGNATURES.trim().lines().flat_map(|line| {
            let mut words = line.split_whitespace();
            let fifths: i32 = words.next().unwrap().parse().unwrap();
            words.map(move |word| (fifths, key(word)))
        })
    }

    #[test]
    fn signatures_are_those_of_the_abc_standard() {
        assert_eq!(signatures().count(), 15 * 7);
        for (fifths, key) in signatures() {
            assert_eq!(key.fifths(), fifths, "{key}");
            assert_eq!(Key::signed(fifths, key.mode), key);
        }
    }

    #[test]
    fn signs_come_in_the_order_of_fifths() {
        // Common practice, no source: sharps F C G D A E B, flats B E A D G C F.
        let sharps = ["F", "C", "G", "D", "A", "E", "B"];
        for (fifths, key) in signatures() {
            for (i, letter) in sharps.iter().enumerate() {
                let letter = Letter::from_char(letter.chars().next().unwrap()).unwrap();
                let wanted = if fifths > i as i32 {
                    1
                } else if -fifths > 6 - i as i32 {
                    -1
                } else {
                    0
                };
                assert_eq!(key.alter(letter), wanted, "{key} {letter:?}");
            }
        }
    }

    #[test]
    fn each_key_spells_its_own_scale() {
        for (_, key) in signatures() {
            for letter in Letter::ALL {
                let pitch = Pitch::new(Name::new(letter, key.alter(letter)), 4);
                assert_eq!(key.spell(pitch.midi()), pitch, "{key}");
            }
        }
    }

    #[test]
    fn explicit_signs_are_spelled_and_move_along() {
        let mut spanish = key("E phr");
        spanish.explicit[Letter::G as usize] = Some(1);
        assert_eq!(spanish.spell(68).to_string(), "G♯4");
        let moved = spanish.transposed(-2);
        assert_eq!(moved.to_string(), "D phrygian");
        assert_eq!(moved.explicit[Letter::F as usize], Some(1));
    }

    #[test]
    fn modes_are_known_by_three_letters() {
        for (text, said) in [
            ("G", "G major"),
            ("G maj", "G major"),
            ("Em", "E minor"),
            ("e minor", "E minor"),
            ("D dor", "D dorian"),
            ("Bb mixolydian", "B♭ mixolydian"),
            ("F# PHR", "F♯ phrygian"),
            ("C locrian", "C locrian"),
            (" A lyd ", "A lydian"),
            ("B♭aeolian", "B♭ minor"),
        ] {
            assert_eq!(key(text).to_string(), said);
        }
        for text in ["", "H", "g", "C flat", "Dor", "G#", "Fb", "Gq", "C##", "♯"] {
            assert!(text.parse::<Key>().is_err(), "{text}");
        }
    }

    #[test]
    fn transposing_picks_the_usual_key() {
        for (from, by, to) in [
            ("C", 1, "D♭ major"),
            ("C", 6, "F♯ major"),
            ("F", 1, "G♭ major"),
            ("C", 11, "B major"),
            ("Am", -1, "G♯ minor"),
            ("Am", 1, "B♭ minor"),
            ("Am", 4, "C♯ minor"),
            ("Dm", 1, "E♭ minor"),
            ("Em", -1, "D♯ minor"),
            ("C#", 12, "C♯ major"),
            ("D dor", 2, "E dorian"),
        ] {
            assert_eq!(key(from).transposed(by).to_string(), to, "{from} {by}");
        }
    }

    #[test]
    fn carrying_keeps_the_degree() {
        for (from, to, by, pitch, said) in [
            ("C", "Eb", 3, "F#4", "A4"),
            ("C", "Eb", -9, "F#4", "A3"),
            ("Am", "Cm", 3, "G#3", "B3"),
            ("G", "Gb", -1, "C4", "C♭4"),
            ("C", "B", -1, "C4", "B3"),
            ("C", "C", 24, "Bb3", "B♭5"),
            // The keynotes are not two semitones apart: spelled by the new key.
            ("C", "Eb", 2, "C4", "D4"),
        ] {
            let moved = key(from).carry(pitch.parse().unwrap(), &key(to), by);
            assert_eq!(moved.to_string(), said, "{pitch} from {from} to {to}");
        }
    }

    proptest! {
        #![proptest_config(crate::properties::cases(256))]

        #[test]
        fn reading_a_key_never_fails_badly(text in ".{0,12}") {
            let _ = text.parse::<Key>();
        }

        #[test]
        fn carried_pitches_sound_as_far_away_as_asked(
            at in 0..105usize, by in -24..24i32, letter in 0..7usize, alter in -1..=1i8, octave in 1..7i8,
        ) {
            let (_, from) = signatures().nth(at).unwrap();
            let to = from.transposed(by);
            let pitch = Pitch::new(Name::new(Letter::ALL[letter], alter), octave);
            prop_assert_eq!(from.carry(pitch, &to, by).midi(), pitch.midi() + by);
            prop_assert!(by % 12 == 0 || to.fifths().abs() <= 6);
            prop_assert_eq!(to.tonic.class(), (from.tonic.class() + by).rem_euclid(12));
        }
    }
}
