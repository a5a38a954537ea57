//! The neck in millimetres: where a fingertip goes for each string and fret.

use super::{Instrument, MAX_STRINGS};

/// Finger places of one instrument with its capo, in tenths of a millimetre.
///
/// With L the scale, fret n lies at F(n) = L·(1 − 2^(−n/12)) from the nut (equal temperament). A
/// finger presses at three quarters of its fret space: x(n) = F(n − 1) + ¾·(F(n) − F(n − 1)); the
/// fraction is a proposal, “just behind the fret” is common practice. With a capo at c, fret n
/// above it is fret c + n of the neck. Strings run straight from nut to bridge, so that string s
/// (from 1) lies (s − 1)·(a + (b − a)·x/L) from string 1, where a and b are the spacings at nut and
/// bridge. Each place is rounded to a tenth of a millimetre.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Neck {
    strings: usize,
    /// By fret above the capo; 0 is the capo or the nut itself.
    places: Vec<Place>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
struct Place {
    along: i32,
    across: [i32; MAX_STRINGS],
}

const AT_THE_NUT: Place = Place {
    along: 0,
    across: [0; MAX_STRINGS],
};

impl Neck {
    /// Measures an instrument.
    pub fn new(instrument: &Instrument) -> Neck {
        let scale = instrument.scale_mm;
        let widening = instrument.bridge_spacing_mm - instrument.nut_spacing_mm;
        let place = |fret: u8| {
            let physical = f64::from(instrument.capo) + f64::from(fret);
            let x = match fret {
                0 => fret_mm(scale, physical),
                _ => 0.25 * fret_mm(scale, physical - 1.0) + 0.75 * fret_mm(scale, physical),
            };
            let spacing = instrument.nut_spacing_mm + widening * x / scale;
            Place {
                along: tenths(x),
                across: std::array::from_fn(|string| tenths(string as f64 * spacing)),
            }
        };
        Neck {
            strings: instrument.strings().min(MAX_STRINGS),
            places: (0..=instrument.top_fret()).map(place).collect(),
        }
    }

    /// How many strings run over it.
    pub fn strings(&self) -> usize {
        self.strings
    }

    /// The highest fret above the capo.
    pub fn top_fret(&self) -> u8 {
        (self.places.len().saturating_sub(1)) as u8
    }

    /// Where a finger stopping `fret` (above the capo) presses, along the neck from the nut, in
    /// tenths of a millimetre. Fret 0 is the capo or nut itself; above the top fret, as at the top.
    pub fn along(&self, fret: u8) -> i32 {
        self.place(fret).along
    }

    /// Where `string` (from 1) runs at that place, across the neck from string 1, in tenths of a
    /// millimetre. Beyond the strings there may be, as at the last of them.
    pub fn across(&self, string: u8, fret: u8) -> i32 {
        let index = usize::from(string.saturating_sub(1)).min(MAX_STRINGS - 1);
        self.place(fret).across[index]
    }

    fn place(&self, fret: u8) -> &Place {
        let found = self.places.get(usize::from(fret)).or(self.places.last());
        found.unwrap_or(&AT_THE_NUT)
    }
}

/// Fret `n`'s distance from the nut in mm by the rule of equal temperament.
fn fret_mm(scale_mm: f64, n: f64) -> f64 {
    scale_mm * (1.0 - (-n / 12.0).exp2())
}

fn tenths(mm: f64) -> i32 {
    (mm * 10.0).round() as i32
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::guitar::Measures;

    fn neck(capo: u8) -> Neck {
        Neck::new(&Instrument::new("standard", capo, 19).unwrap())
    }

    #[test]
    fn frets_lie_where_a_published_table_puts_them() {
        // stuphi.co.uk, “Guitar bits 'n' bobs”: mm from the bridge for a scale of 25 in (635 mm).
        let published = [
            635.000, 599.360, 565.721, 533.969, 504.000, 475.712, 449.013, 423.812, 400.025,
            377.573, 356.382,
        ];
        for (n, to_bridge) in published.into_iter().enumerate() {
            let ours = 635.0 - fret_mm(635.0, n as f64);
            assert!((ours - to_bridge).abs() < 0.001, "fret {n}: {ours}");
        }
    }

    #[test]
    fn frets_agree_with_the_divisor_of_the_luthiers() {
        // M. Koch, “Building Electric Guitars”, chapter on fret distances: each fret space is the
        // rest of the string divided by 17.817.
        let mut from_nut = 0.0;
        for n in 1..=24 {
            from_nut += (650.0 - from_nut) / 17.817;
            let ours = fret_mm(650.0, f64::from(n));
            assert!(
                (ours - from_nut).abs() < 0.02,
                "fret {n}: {ours} {from_nut}"
            );
        }
    }

    #[test]
    fn a_finger_presses_behind_its_fret() {
        let neck = neck(0);
        for fret in 1..=19u8 {
            let x = f64::from(neck.along(fret)) / 10.0;
            let (behind, at) = (
                fret_mm(650.0, f64::from(fret) - 1.0),
                fret_mm(650.0, f64::from(fret)),
            );
            assert!(behind < x && x < at);
            assert!(((x - behind) / (at - behind) - 0.75).abs() < 0.01);
        }
        // Worked by hand: 650·(1 − 2^(−1/12)) = 36.482 mm, three quarters of it 27.4 mm.
        assert_eq!(neck.along(1), 274);
    }

    #[test]
    fn a_capo_moves_every_place_up() {
        let (open, capo) = (neck(0), neck(3));
        for fret in 1..=16 {
            assert_eq!(capo.along(fret), open.along(fret + 3));
            assert_eq!(capo.across(6, fret), open.across(6, fret + 3));
        }
        assert_eq!(capo.top_fret(), 16);
        // 650·(1 − 2^(−3/12)) = 103.42 mm.
        assert_eq!(capo.along(0), 1034);
    }

    #[test]
    fn strings_spread_towards_the_bridge() {
        let neck = neck(0);
        assert_eq!((neck.across(1, 0), neck.across(6, 0)), (0, 435));
        assert!((1..=19).all(|fret| neck.across(6, fret) > neck.across(6, fret - 1)));
        let steel = Instrument::standard()
            .with_measures(Measures::STEEL)
            .unwrap();
        assert_eq!(Neck::new(&steel).across(6, 0), 370);
    }

    #[test]
    fn places_beyond_the_neck_are_its_end() {
        let neck = neck(0);
        assert_eq!(neck.along(200), neck.along(19));
        assert_eq!(neck.across(0, 1), 0);
        assert_eq!(neck.across(99, 1), neck.across(8, 1));
    }
}
