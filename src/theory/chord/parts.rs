//! The pieces of a chord symbol and how they become tones.

use super::Tone;

/// What the pieces of a symbol ask for, before they become tones.
#[derive(Default)]
pub(super) struct Parts {
    pub(super) quality: Quality,
    /// Degree up to which thirds are stacked: 7, 9, 11 or 13.
    pub(super) stack: Option<u8>,
    /// A major seventh whatever the quality says: `Cm(maj7)`.
    pub(super) major_seventh: bool,
    /// `C5`: root and fifth alone.
    pub(super) power: bool,
    pub(super) suspended: Vec<Tone>,
    pub(super) altered: Vec<Tone>,
    pub(super) added: Vec<Tone>,
    pub(super) omitted: Vec<u8>,
}

#[derive(Default, Clone, Copy, PartialEq, Eq)]
pub(super) enum Quality {
    /// Nothing written: a major triad, a minor seventh.
    #[default]
    Plain,
    Major,
    /// `Δ`: major, with a seventh where no number says otherwise.
    Triangle,
    Dominant,
    Minor,
    Diminished,
    HalfDiminished,
    Augmented,
}

impl Parts {
    fn minor_third(&self) -> bool {
        matches!(
            self.quality,
            Quality::Minor | Quality::Diminished | Quality::HalfDiminished
        )
    }

    pub(super) fn tones(&self) -> Vec<Tone> {
        let mut tones = vec![Tone::ROOT];
        if self.suspended.is_empty() {
            tones.extend(self.third());
        }
        tones.extend(&self.suspended);
        if !self.altered.iter().any(|t| t.degree == 5) || self.fifth() != 7 {
            tones.push(Tone::new(5, self.fifth()));
        }
        tones.extend(self.seventh());
        let altered = |degree| self.altered.iter().any(|t| t.degree == degree);
        tones.extend(self.stacked().into_iter().filter(|t| !altered(t.degree)));
        tones.extend(&self.altered);
        tones.extend(&self.added);
        tones.retain(|t| !self.omitted.contains(&t.degree));
        settle(tones)
    }

    fn third(&self) -> Option<Tone> {
        let clash = self.stack == Some(11) && !self.minor_third();
        let semitones = if self.minor_third() { 3 } else { 4 };
        (!self.power && !clash).then_some(Tone::new(3, semitones))
    }

    fn fifth(&self) -> u8 {
        match self.quality {
            Quality::Diminished | Quality::HalfDiminished => 6,
            Quality::Augmented => 8,
            _ => 7,
        }
    }

    fn seventh(&self) -> Option<Tone> {
        self.stack?;
        let semitones = match self.quality {
            _ if self.major_seventh => 11,
            Quality::Major | Quality::Triangle => 11,
            Quality::Diminished => 9,
            _ => 10,
        };
        Some(Tone::new(7, semitones))
    }

    /// What stands above the seventh.
    fn stacked(&self) -> Vec<Tone> {
        let top = self.stack.unwrap_or(0);
        let mut tones = Vec::new();
        if top >= 9 {
            tones.push(Tone::new(9, 14));
        }
        if top == 11 || (top == 13 && self.minor_third()) {
            tones.push(Tone::new(11, 17));
        }
        if top == 13 {
            tones.push(Tone::new(13, 21));
        }
        tones
    }
}

/// Brings tones to their one form: 6 or 13 by the seventh, no tone both suspended and stacked,
/// sorted by degree.
fn settle(mut tones: Vec<Tone>) -> Vec<Tone> {
    let seventh = tones.iter().any(|t| t.degree == 7);
    for tone in &mut tones {
        if tone.degree == 13 && !seventh {
            *tone = Tone::new(6, tone.semitones - 12);
        }
    }
    for (low, high) in [(Tone::new(2, 2), 9), (Tone::new(4, 5), 11)] {
        if tones.contains(&low) {
            let octave = Tone::new(high, low.semitones + 12);
            tones.retain(|&t| t != octave);
        }
    }
    tones.sort_unstable();
    tones.dedup();
    tones
}
