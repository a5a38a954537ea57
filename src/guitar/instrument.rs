//! The instrument: strings, tuning, capo, frets and measures.

use super::{GuitarError, tuning};
use crate::song::GuitarWish;
use crate::theory::Pitch;

/// The most strings an instrument may have here.
pub const MAX_STRINGS: usize = 8;

/// What [`Instrument::sounding`] says of a string that is not there: far below anything that sounds.
pub const NO_PITCH: i32 = -1000;

/// The most frets that a neck may have. The arranger packs a fret and its finger into one byte, which has
/// room for as many.
pub(crate) const MOST_FRETS: u8 = 30;
const FRETS: std::ops::RangeInclusive<u8> = 5..=MOST_FRETS;

/// The lengths that decide how far a hand must reach.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measures {
    /// Nut to bridge in mm, 300–900.
    pub scale_mm: f64,
    /// Between neighbouring strings at the nut, in mm, 4–20.
    pub nut_spacing_mm: f64,
    /// Between neighbouring strings at the bridge, in mm, 4–20.
    pub bridge_spacing_mm: f64,
}

impl Measures {
    /// A classical guitar. The scale is the usual 650 mm (luthiers' pages); the string pitch
    /// 8.7/11.7 mm is from memory and within the published 38–44.5 mm at the nut and 53.3–58.4 mm at
    /// the bridge over five spaces (carlymho.com, “Understanding String Spacing on Classical Guitars”).
    pub const CLASSICAL: Measures = Measures {
        scale_mm: 650.0,
        nut_spacing_mm: 8.7,
        bridge_spacing_mm: 11.7,
    };

    /// A steel-string guitar: 25.5 in; the string pitch is from memory and within the published
    /// 54.0–58.7 mm at the saddle over five spaces (lonewolfguitars.com, “String Spacing”).
    pub const STEEL: Measures = Measures {
        scale_mm: 647.7,
        nut_spacing_mm: 7.4,
        bridge_spacing_mm: 10.8,
    };
}

/// A fretted instrument of 4 to 8 strings.
#[derive(Debug, Clone, PartialEq)]
pub struct Instrument {
    /// The tuning's name, or its notes as written.
    pub tuning: String,
    /// Open strings without capo; index 0 is string 1, the one nearest the player's feet. It is the
    /// highest in every usual tuning, but need not be.
    pub open: Vec<Pitch>,
    /// Fret of the capo, 0 for none.
    pub capo: u8,
    /// Frets on the neck, counted from the nut, 5–30.
    pub frets: u8,
    /// Nut to bridge in mm.
    pub scale_mm: f64,
    /// Between neighbouring strings at the nut, in mm.
    pub nut_spacing_mm: f64,
    /// Between neighbouring strings at the bridge, in mm.
    pub bridge_spacing_mm: f64,
}

impl Instrument {
    /// A guitar in standard tuning, no capo, 19 frets, 650 mm.
    pub fn standard() -> Instrument {
        Instrument::built(tuning::standard(), 0, 19)
    }

    /// A classical guitar's measures in a tuning given by name or by its notes, lowest first.
    ///
    /// Names are read without regard to case, spaces and hyphens: `standard`, `drop D`,
    /// `double drop D`, `DADGAD`, `open G`, `open D`, `CGDGCD`, `half-step down`. Notes carry octaves
    /// (`D2 A2 D3 G3 B3 E4`) or, all of them, none: then each string goes to the octave nearest to
    /// standard tuning, and to the lower of two as near.
    ///
    /// # Errors
    /// When the tuning can't be read, the neck has not 5 to 30 frets, or the capo leaves no fret.
    pub fn new(tuning: &str, capo: u8, frets: u8) -> Result<Instrument, GuitarError> {
        let found = tuning::read(tuning)?;
        if !FRETS.contains(&frets) {
            return Err(GuitarError::Frets { frets });
        }
        if capo >= frets {
            return Err(GuitarError::Capo { capo, frets });
        }
        Ok(Instrument::built(found, capo, frets))
    }

    fn built((tuning, mut open): (String, Vec<Pitch>), capo: u8, frets: u8) -> Instrument {
        open.reverse();
        let measures = Measures::CLASSICAL;
        Instrument {
            tuning,
            open,
            capo,
            frets,
            scale_mm: measures.scale_mm,
            nut_spacing_mm: measures.nut_spacing_mm,
            bridge_spacing_mm: measures.bridge_spacing_mm,
        }
    }

    /// The same instrument with other measures.
    ///
    /// # Errors
    /// When a measure is outside its range (see [`Measures`]).
    pub fn with_measures(mut self, measures: Measures) -> Result<Instrument, GuitarError> {
        for (what, value, low, high) in [
            ("a scale", measures.scale_mm, 300u16, 900u16),
            (
                "a string spacing at the nut",
                measures.nut_spacing_mm,
                4,
                20,
            ),
            (
                "a string spacing at the bridge",
                measures.bridge_spacing_mm,
                4,
                20,
            ),
        ] {
            if !(f64::from(low)..=f64::from(high)).contains(&value) {
                let value = value.to_string();
                return Err(GuitarError::Measure {
                    what,
                    value,
                    low,
                    high,
                });
            }
        }
        self.scale_mm = measures.scale_mm;
        self.nut_spacing_mm = measures.nut_spacing_mm;
        self.bridge_spacing_mm = measures.bridge_spacing_mm;
        Ok(self)
    }

    /// The instrument that a song asks for: standard tuning, no capo, 19 frets and a classical
    /// guitar's measures where nothing is said.
    ///
    /// # Errors
    /// As for [`Instrument::new`] and [`Instrument::with_measures`].
    pub fn wished(wish: &GuitarWish) -> Result<Instrument, GuitarError> {
        let instrument = Instrument::new(
            wish.tuning.as_deref().unwrap_or("standard"),
            wish.capo.unwrap_or(0),
            wish.frets.unwrap_or(19),
        )?;
        match wish.scale_mm {
            Some(scale) => instrument.with_measures(Measures {
                scale_mm: f64::from(scale),
                ..Measures::CLASSICAL
            }),
            None => Ok(instrument),
        }
    }

    /// The names of the built-in tunings.
    pub fn tunings() -> impl Iterator<Item = &'static str> {
        tuning::NAMED.iter().map(|t| t.0)
    }

    /// How many strings it has.
    pub fn strings(&self) -> usize {
        self.open.len()
    }

    /// The highest fret above the capo.
    pub fn top_fret(&self) -> u8 {
        self.frets.saturating_sub(self.capo)
    }

    /// MIDI number of `string` (from 1) at `fret` above the capo; [`NO_PITCH`] when there is no such
    /// string. The fret is not checked: see [`Instrument::pitch_at`].
    pub fn sounding(&self, string: u8, fret: u8) -> i32 {
        usize::from(string)
            .checked_sub(1)
            .and_then(|index| self.open.get(index))
            .map_or(NO_PITCH, |open| {
                open.midi() + i32::from(self.capo) + i32::from(fret)
            })
    }

    /// MIDI number of `string` (from 1) at `fret` above the capo, if both are there.
    pub fn pitch_at(&self, string: u8, fret: u8) -> Option<i32> {
        let there = string >= 1 && usize::from(string) <= self.strings() && fret <= self.top_fret();
        there.then(|| self.sounding(string, fret))
    }

    /// MIDI number of the lowest note it has, capo included.
    pub fn lowest(&self) -> i32 {
        (1..=self.strings() as u8)
            .map(|string| self.sounding(string, 0))
            .min()
            .unwrap_or(NO_PITCH)
    }

    /// MIDI number of the highest note it has, capo included.
    pub fn highest(&self) -> i32 {
        (1..=self.strings() as u8)
            .map(|string| self.sounding(string, self.top_fret()))
            .max()
            .unwrap_or(NO_PITCH)
    }

    /// Every string and fret (above the capo) that gives this MIDI number, string 1 first.
    pub fn places(&self, midi: i32) -> impl Iterator<Item = (u8, u8)> + '_ {
        (1..=self.strings() as u8).filter_map(move |string| {
            let fret = midi - self.sounding(string, 0);
            (0..=i32::from(self.top_fret()))
                .contains(&fret)
                .then_some((string, fret as u8))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn midis(tuning: &str) -> Vec<i32> {
        let mut midis: Vec<i32> = Instrument::new(tuning, 0, 19)
            .unwrap_or_else(|e| panic!("{e}"))
            .open
            .iter()
            .map(|p| p.midi())
            .collect();
        midis.reverse();
        midis
    }

    #[test]
    fn standard_tuning_is_e_a_d_g_b_e() {
        // E2 A2 D3 G3 B3 E4; MIDI 1.0 numbers: middle C is 60.
        assert_eq!(midis("standard"), [40, 45, 50, 55, 59, 64]);
        assert_eq!(
            Instrument::standard(),
            Instrument::new("Standard", 0, 19).unwrap()
        );
    }

    #[test]
    fn a_song_that_asks_for_a_scale_length_gets_it() {
        let wish = GuitarWish {
            scale_mm: Some(610),
            ..GuitarWish::default()
        };
        let instrument = Instrument::wished(&wish).unwrap();
        assert_eq!(instrument.scale_mm, 610.0);
        assert_eq!(
            Instrument::wished(&GuitarWish::default()).unwrap().scale_mm,
            650.0
        );
    }

    #[test]
    fn tunings_are_read_by_name_and_by_notes() {
        // The notes of the named tunings are common practice, no source.
        let cases: &[(&[&str], &[i32])] = &[
            (
                &[
                    "drop D",
                    "Drop-d",
                    "DROPD tuning",
                    "D2 A2 D3 G3 B3 E4",
                    "DADGBE",
                ],
                &[38, 45, 50, 55, 59, 64],
            ),
            (
                &[
                    "DADGAD",
                    "d a d g a d",
                    "dadgad",
                    "D,A,D,G,A,D",
                    "D2 A2 D3 G3 A3 D4",
                ],
                &[38, 45, 50, 55, 57, 62],
            ),
            (&["open G", "DGDGBD"], &[38, 43, 50, 55, 59, 62]),
            (
                &["open d", "DADF#AD", "D A D F♯ A D"],
                &[38, 45, 50, 54, 57, 62],
            ),
            (&["CGDGCD", "C G D G C D"], &[36, 43, 50, 55, 60, 62]),
            (
                &[
                    "half-step down",
                    "Half step down",
                    "Eb Ab Db Gb Bb Eb",
                    "EbAbDbGbBbEb",
                    "ebabdbgbbbeb",
                ],
                &[39, 44, 49, 54, 58, 63],
            ),
            (&["eadgbe"], &[40, 45, 50, 55, 59, 64]),
            (&["DGBE", "D3 G3 B3 E4"], &[50, 55, 59, 64]),
            (&["B E A D G B E"], &[35, 40, 45, 50, 55, 59, 64]),
            (
                &["F#1 B1 E2 A2 D3 G3 B3 E4"],
                &[30, 35, 40, 45, 50, 55, 59, 64],
            ),
            // A re-entrant tuning: the string in the lowest place is not the lowest.
            (&["G4 C4 E4 A4"], &[67, 60, 64, 69]),
        ];
        for (texts, wanted) in cases {
            for text in *texts {
                assert_eq!(midis(text), *wanted, "{text}");
            }
        }
    }

    #[test]
    fn what_is_no_tuning_says_what_is() {
        for text in [
            "",
            "droop D",
            "E A D",
            "E2 A D3 G3",
            "EADGBEADG",
            "H2 A2 D3 G3",
            "é",
            "D99 A2 D3 G3",
            "C9 A2 D3 G3",
        ] {
            let error = Instrument::new(text, 0, 19).unwrap_err();
            assert!(error.to_string().contains("open G"), "{text}: {error}");
        }
    }

    proptest::proptest! {
        #![proptest_config(crate::properties::cases(256))]

        #[test]
        fn whatever_is_read_has_four_to_eight_strings(text in "[A-Ha-h#b♯♭x0-9 ,-]{0,24}|.{0,12}") {
            if let Ok(instrument) = Instrument::new(&text, 0, 19) {
                proptest::prop_assert!((4..=MAX_STRINGS).contains(&instrument.strings()));
                proptest::prop_assert!((12..=115).contains(&instrument.highest()));
            }
        }
    }

    #[test]
    fn the_capo_must_leave_a_fret() {
        assert!(Instrument::new("standard", 18, 19).is_ok());
        assert_eq!(
            Instrument::new("standard", 19, 19),
            Err(GuitarError::Capo {
                capo: 19,
                frets: 19
            })
        );
        assert_eq!(
            Instrument::new("standard", 0, 4),
            Err(GuitarError::Frets { frets: 4 })
        );
        assert_eq!(
            Instrument::new("standard", 0, 37),
            Err(GuitarError::Frets { frets: 37 })
        );
    }

    #[test]
    fn places_and_pitches_agree_above_the_capo() {
        let guitar = Instrument::new("standard", 2, 19).unwrap();
        assert_eq!((guitar.lowest(), guitar.highest()), (42, 83));
        let places: Vec<_> = guitar.places(66).collect();
        assert_eq!(places, [(1, 0), (2, 5), (3, 9), (4, 14)]);
        for (string, fret) in places {
            assert_eq!(guitar.pitch_at(string, fret), Some(66));
        }
    }

    #[test]
    fn strings_that_are_not_there_have_no_pitch() {
        let guitar = Instrument::standard();
        for string in [0, 7, 255] {
            assert_eq!(guitar.sounding(string, 0), NO_PITCH);
            assert_eq!(guitar.pitch_at(string, 0), None);
        }
        assert_eq!(guitar.pitch_at(1, 20), None);
        assert_eq!(guitar.pitch_at(1, 19), Some(83));
    }

    #[test]
    fn measures_are_checked() {
        let steel = Instrument::standard()
            .with_measures(Measures::STEEL)
            .unwrap();
        assert_eq!(steel.scale_mm, 647.7);
        for scale_mm in [0.0, -650.0, 25.5, f64::NAN, f64::INFINITY] {
            let measures = Measures {
                scale_mm,
                ..Measures::CLASSICAL
            };
            assert!(
                Instrument::standard().with_measures(measures).is_err(),
                "{scale_mm}"
            );
        }
    }
}
