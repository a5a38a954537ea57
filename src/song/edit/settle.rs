//! What has to hold after every edit.

use super::items::items;
use super::{Caret, Draft, EditError};
use crate::song::abc::{self, Header};
use crate::song::bar::shared;
use crate::song::file::sayable;
use crate::song::{Bar, Close, Place, Song};
use crate::theory::{Key, Meter};

/// A bar of rest.
pub(super) fn blank(meter: Meter, key: Key) -> Bar {
    Bar {
        number: 1,
        length: meter.bar(),
        meter,
        key,
        tempo: None,
        notes: Vec::new(),
        chords: Vec::new(),
        opens_repeat: false,
        close: Close::Single,
        ending: Vec::new(),
        place: Place::default(),
    }
}

impl Draft {
    /// Puts everything in order after an edit of `before`: bars of no length are taken out, notes
    /// parted where a chord changes, ties that lead nowhere undone, pins and ideas that point
    /// nowhere taken out, bars numbered.
    pub(super) fn settled(mut self, before: &Draft) -> Result<Draft, EditError> {
        self.drop_empty_bars(before);
        self.song = sayable(&self.song);
        settle_ties(&mut self.song.bars);
        let song = self.song.clone();
        self.song.pins.retain(|pin| song.astray(pin).is_none());
        (self.song.ideas).retain(|idea| !song.is_idea_astray(idea));
        if self.is_blank() && self.caret.bar > 0 {
            self.caret = Caret::default();
        }
        self.go_to(self.caret);
        if self.from.len() != self.song.bars.len() {
            self.from = origins(&before.song.bars, &self.song.bars);
        }
        match reads_back(&self.song) {
            true => Ok(self),
            false => Err(EditError::Unwritable),
        }
    }

    fn drop_empty_bars(&mut self, before: &Draft) {
        let empty = |bar: &Bar| bar.length <= 0;
        let lost = self.song.bars.iter().take(self.caret.bar);
        let lost = lost.filter(|b| empty(b)).count();
        let gone = self.song.bars.get(self.caret.bar).is_some_and(empty);
        self.caret = Caret {
            bar: self.caret.bar - lost,
            at: if gone { 0 } else { self.caret.at },
        };
        if let [.., kept, last] = self.song.bars.as_mut_slice()
            && empty(last)
            && last.close == Close::Final
            && kept.close == Close::Single
        {
            kept.close = Close::Final;
        }
        for i in (0..self.song.bars.len()).rev() {
            if self.song.bars.get(i).is_some_and(empty) {
                self.take_bars_out(i..i + 1);
            }
        }
        if self.song.bars.is_empty() {
            let meter = before.song.bars.first().map(|b| b.meter.clone());
            let meter = meter.unwrap_or(Meter::common());
            self.song.bars.push(blank(meter, self.song.key.clone()));
            self.caret = Caret::default();
        }
    }
}

/// Undoes the ties that the next note does not take up.
fn settle_ties(bars: &mut [Bar]) {
    for i in (0..bars.len()).rev() {
        let first = bars.get(i + 1).and_then(|b| b.notes.first().copied());
        let first = first.filter(|n| n.at == 0);
        let Some(bar) = bars.get_mut(i) else {
            continue;
        };
        let length = bar.length;
        let mut next = first.map(|n| (length, n.pitch));
        for note in bar.notes.iter_mut().rev() {
            let end = note.at + note.length;
            note.tied &= next == Some((end, note.pitch));
            next = Some((note.at, note.pitch));
        }
    }
}

/// Which bar each new one was before: bars in the middle of what changed go by their order, those
/// that came on top are new.
fn origins(before: &[Bar], after: &[Bar]) -> Vec<Option<usize>> {
    let (_, end) = shared(before, after, Bar::reads_as);
    let changed = before.len() - end;
    let tail = after.len() - end;
    let old = |i: usize| match i {
        i if i >= tail => Some(changed + i - tail),
        i => Some(i).filter(|&i| i < changed),
    };
    (0..after.len()).map(old).collect()
}

/// Whether the song's abc text reads as the song.
fn reads_back(song: &Song) -> bool {
    let Some(first) = song.bars.first() else {
        return false;
    };
    let unit = abc::usual_unit(Some(&first.meter));
    let mut header = Header::new(song.key.clone(), Some(first.meter.clone()));
    header.unit = Some(unit);
    header.tempo = Some(song.tempo);
    let body = abc::write_body(song, unit);
    let Ok((read, _)) = abc::read_tune(&header, &body, Place::default()) else {
        return false;
    };
    let mut pairs = read.bars.iter().zip(&song.bars);
    read.bars.len() == song.bars.len()
        && pairs.all(|(a, b)| a.same_as(b))
        && song.bars.iter().all(|b| !items(b).is_empty())
}
