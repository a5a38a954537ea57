//! A grip: which string is stopped at which fret by which finger.

use super::MAX_STRINGS;

/// What the left hand does at one moment, barre and open strings included.
///
/// Index 0 is string 1, the highest. Strings that the instrument lacks stay silent.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Grip {
    /// Fret above the capo; 0 is an open string, −1 a silent one.
    pub frets: [i8; MAX_STRINGS],
    /// Left finger 1–4 on a stopped string, 0 otherwise. One finger on several strings is a barre.
    pub fingers: [u8; MAX_STRINGS],
}

/// One finger lying over several strings at one fret.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Barre {
    /// The finger, 1–4.
    pub finger: u8,
    /// The fret above the capo.
    pub fret: u8,
    /// Highest string under it (lowest number, from 1).
    pub from: u8,
    /// Lowest string under it (highest number).
    pub to: u8,
}

impl Grip {
    /// Nothing sounds, no finger is down.
    pub const EMPTY: Grip = Grip {
        frets: [-1; MAX_STRINGS],
        fingers: [0; MAX_STRINGS],
    };

    /// The barres in it, lowest finger first.
    pub fn barres(&self) -> impl Iterator<Item = Barre> + '_ {
        (1..=4u8).filter_map(|finger| {
            let mut on = (0..MAX_STRINGS).filter(|&s| self.fingers[s] == finger);
            let from = on.next()?;
            let to = on.next_back()?;
            Some(Barre {
                finger,
                fret: self.frets[from].unsigned_abs(),
                from: from as u8 + 1,
                to: to as u8 + 1,
            })
        })
    }
}
