//! Chords over the beats.

use super::{Caret, Draft, EditError};
use crate::song::check::beats_in;
use crate::song::{ChordChange, Place};
use crate::theory::{Symbol, Ticks};

impl Draft {
    /// Where a chord is written from the caret: over what stands before it, or at the start.
    ///
    /// # Errors
    /// When there is no note or rest to stand over.
    pub fn chord_place(&self) -> Result<Caret, EditError> {
        if self.is_blank() {
            return Err(EditError::NoPlace);
        }
        let found = self.before().or_else(|| self.behind());
        let (bar, item) = found.ok_or(EditError::NoPlace)?;
        Ok(Caret { bar, at: item.at })
    }

    /// The chord that is written at a place.
    pub fn chord_at(&self, place: Caret) -> Option<&Symbol> {
        let bar = self.song.bars.get(place.bar)?;
        let here = bar.chords.iter().find(|c| c.at == place.at);
        here.map(|c| &c.symbol)
    }

    /// Writes a chord over a place in the tune as it stands.
    pub(super) fn write_chord(&mut self, place: Caret, symbol: Symbol) {
        let Some(bar) = self.song.bars.get_mut(place.bar) else {
            return;
        };
        bar.chords.retain(|c| c.at != place.at);
        let change = ChordChange {
            at: place.at,
            symbol,
            place: Place::default(),
        };
        let i = bar.chords.partition_point(|c| c.at < place.at);
        bar.chords.insert(i, change);
    }

    /// Takes a chord out at a place, if it is this one.
    pub(super) fn drop_chord(&mut self, place: Caret, symbol: &Symbol) {
        if let Some(bar) = self.song.bars.get_mut(place.bar) {
            (bar.chords).retain(|c| c.at != place.at || c.symbol != *symbol);
        }
    }

    /// Writes a chord at a place, or takes out the one there. A note that goes on there is parted in
    /// two tied ones. Pins of bass and grip there don't hold for another chord and are taken out.
    ///
    /// # Errors
    /// When the place is behind the end of its bar.
    pub fn set_chord(&self, place: Caret, symbol: Option<Symbol>) -> Result<Draft, EditError> {
        let Caret { bar: index, at } = place;
        let mut draft = self.begin();
        let bar = draft.song.bars.get_mut(index);
        let bar = bar.filter(|b| (0..b.length).contains(&at));
        let bar = bar.ok_or(EditError::NoPlace)?;
        bar.chords.retain(|c| c.at != at);
        if let Some(symbol) = symbol {
            draft.write_chord(place, symbol);
        }
        draft.song.forget_chord(index, at);
        draft.settled(self)
    }

    /// The next beat, or the one before; the start of a bar is one.
    pub fn beat_from(&self, place: Caret, by: isize) -> Option<Caret> {
        let beats = |bar: usize| -> Vec<Ticks> {
            let length = self.song.bars.get(bar).map_or(0, |b| b.length);
            let mut beats = match length {
                0 => Vec::new(),
                _ => beats_in(&self.song.bars, bar),
            };
            beats.retain(|&at| at < length);
            if beats.first().is_some_and(|&at| at > 0) || beats.is_empty() && length > 0 {
                beats.insert(0, 0);
            }
            beats
        };
        let at_bar = |bar: usize| move |at: Ticks| Caret { bar, at };
        if by > 0 {
            let here = beats(place.bar).into_iter().find(|&at| at > place.at);
            let next = || beats(place.bar + 1).first().copied();
            return (here.map(at_bar(place.bar))).or_else(|| next().map(at_bar(place.bar + 1)));
        }
        let here = beats(place.bar).into_iter().rfind(|&at| at < place.at);
        here.map(at_bar(place.bar)).or_else(|| {
            let bar = place.bar.checked_sub(1)?;
            beats(bar).last().copied().map(at_bar(bar))
        })
    }
}
