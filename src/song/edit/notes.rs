//! Notes and rests: put in, taken out, made longer, moved up and down.

use super::items::{Item, items, notated};
use super::{Caret, Draft, EditError};
use crate::song::{Note, Place};
use crate::theory::{Key, Letter, Name, Pitch, Ticks};

/// The octave that a tune begins in: the one from middle C.
const FIRST_OCTAVE: i8 = 4;
/// Letters alone lead no farther than this; no guitar goes beyond.
const LOWEST_OCTAVE: i32 = 1;
const HIGHEST_OCTAVE: i32 = 7;

impl Draft {
    /// Puts a note, or a rest, in at the caret and goes behind it.
    ///
    /// Behind a full bar it goes into the next one. Where a rest follows, a note takes its time from
    /// it. At the end of the tune what does not fit into the bar goes on in a new one, tied. In place
    /// of something that was just taken out it gets the chord of that.
    ///
    /// # Errors
    /// When the tune could not be written down any more.
    pub fn insert(&self, pitch: Option<Pitch>, length: Ticks) -> Result<Draft, EditError> {
        let mut draft = self.begin();
        draft.make_way();
        draft.go_where_room_is();
        let first = draft.caret;
        draft.loose = self.loose.clone().filter(|(place, _)| *place == first);
        if let Some((_, symbol)) = draft.loose.clone() {
            draft.drop_chord(first, &symbol);
        }
        let mut left = length.max(1);
        while left > 0 {
            draft.go_where_room_is();
            let Caret { bar, at } = draft.caret;
            let last = bar + 1 == draft.song.bars.len();
            let piece = draft.song.bars.get(bar).map_or(left, |b| {
                let room = b.meter.bar() - at;
                let ends = last && at == b.length && room > 0;
                if ends { left.min(room) } else { left }
            });
            left -= piece;
            let parts = match pitch {
                Some(_) => notated(piece),
                None => vec![piece],
            };
            let last = parts.len() - 1;
            for (i, part) in parts.into_iter().enumerate() {
                draft.put(pitch, part, left > 0 || i < last);
            }
        }
        if let Some((_, symbol)) = draft.loose.take() {
            draft.write_chord(first, symbol);
        }
        draft.settled(self)
    }

    /// The rest that a blank tune is gives way to what is written first.
    fn make_way(&mut self) {
        if self.is_blank()
            && self.caret.at == 0
            && let Some(bar) = self.song.bars.first_mut()
        {
            bar.length = 0;
            self.caret = Caret::default();
        }
    }

    /// From behind a full bar over the bar line, if need be into a new bar.
    fn go_where_room_is(&mut self) {
        let Caret { bar, at } = self.caret;
        let full = |b: &crate::song::Bar| at >= b.length && at >= b.meter.bar();
        let over = self.song.bars.get(bar).is_none_or(full);
        if !over {
            return;
        }
        let next = match self.song.bars.get(bar) {
            Some(_) => bar + 1,
            None => bar,
        };
        let bar = match next < self.song.bars.len() {
            true => next,
            false => self.append_bar(),
        };
        self.caret = Caret { bar, at: 0 };
    }

    /// Puts a note or rest into the bar of the caret, and goes behind it.
    fn put(&mut self, pitch: Option<Pitch>, length: Ticks, tied: bool) {
        let Caret { bar: index, at } = self.caret;
        let Some(bar) = self.song.bars.get(index) else {
            return;
        };
        let rest = items(bar).into_iter().find(|i| i.at == at);
        let rest = rest.filter(|i| pitch.is_some() && i.note.is_none());
        let given = rest.map_or(0, |rest| rest.length.min(length));
        self.open(index, at + given, length - given);
        if let (Some(bar), Some(pitch)) = (self.song.bars.get_mut(index), pitch) {
            let place = bar.notes.partition_point(|n| n.at < at);
            let note = Note {
                at,
                length,
                pitch,
                tied,
                place: Place::default(),
            };
            bar.notes.insert(place, note);
        }
        self.caret.at = at + length;
    }

    /// Makes room of so many ticks in a bar: what stands from there on moves back.
    fn open(&mut self, index: usize, from: Ticks, by: Ticks) {
        let Some(bar) = self.song.bars.get_mut(index).filter(|_| by > 0) else {
            return;
        };
        bar.length += by;
        let notes = bar.notes.iter_mut().map(|n| &mut n.at);
        // The chord at the start of a bar stays there, whatever is put in under it, unless what is
        // put in brings its own.
        let stays = |at: Ticks| at == 0 && self.loose.is_none();
        let chords = bar.chords.iter_mut().map(|c| &mut c.at);
        let chords = chords.filter(|at| !stays(**at));
        for at in notes.chain(chords).filter(|at| **at >= from) {
            *at += by;
        }
        for at in self.song.onsets_mut(index).filter(|at| **at >= from) {
            *at += by;
        }
    }

    /// Takes a span out of a bar with all that begins in it; what stands behind it moves up. The
    /// chord at its start goes on over what follows, unless that has its own.
    fn close(&mut self, index: usize, from: Ticks, by: Ticks) {
        let Some(bar) = self.song.bars.get_mut(index) else {
            return;
        };
        let end = from + by;
        let inside = |at: Ticks| (from..end).contains(&at);
        bar.length -= by;
        bar.notes.retain(|n| !inside(n.at));
        let goes_on = from < bar.length && bar.chords.iter().all(|c| c.at != end);
        let kept = |at: Ticks| !inside(at) || at == from && goes_on;
        bar.chords.retain(|c| kept(c.at));
        let notes = bar.notes.iter_mut().map(|n| &mut n.at);
        let chords = bar.chords.iter_mut().map(|c| &mut c.at);
        for at in notes.chain(chords).filter(|at| **at >= end) {
            *at -= by;
        }
        self.song.drop_onsets(index, &(from..end));
        for at in self.song.onsets_mut(index).filter(|at| **at >= end) {
            *at -= by;
        }
    }

    /// Takes out what stands before the caret.
    ///
    /// # Errors
    /// When nothing does.
    pub fn erase(&self) -> Result<Draft, EditError> {
        let (bar, item) = self.before().ok_or(EditError::NothingBefore)?;
        self.without(bar, &item)
    }

    /// Takes out what stands behind the caret.
    ///
    /// # Errors
    /// When nothing does.
    pub fn erase_behind(&self) -> Result<Draft, EditError> {
        if self.is_blank() {
            return Err(EditError::NothingBehind);
        }
        let (bar, item) = self.behind().ok_or(EditError::NothingBehind)?;
        self.without(bar, &item)
    }

    /// Takes something out. The only note of a bar leaves a rest behind, so that the bar stays; at
    /// the end of the tune it goes with its bar.
    fn without(&self, index: usize, item: &Item) -> Result<Draft, EditError> {
        let mut draft = self.begin();
        let place = Caret {
            bar: index,
            at: item.at,
        };
        draft.caret = place;
        let last = index + 1 == self.song.bars.len();
        let bar = draft.song.bars.get_mut(index);
        let alone = bar.filter(|b| item.note.is_some() && item.length == b.length && !last);
        match alone {
            Some(bar) => bar.notes.clear(),
            None => {
                let chord = self.chord_at(place).cloned();
                draft.loose = chord.map(|symbol| (place, symbol));
                draft.close(index, item.at, item.length);
            }
        }
        draft.settled(self)
    }

    /// Gives what stands before the caret another length. It grows into a rest behind it; at the
    /// end of the tune it goes on over the bar line.
    ///
    /// # Errors
    /// When nothing stands there.
    pub fn lengthen(&self, length: Ticks) -> Result<Draft, EditError> {
        let (index, item) = self.before().ok_or(EditError::NothingBefore)?;
        let mut draft = self.begin();
        draft.caret = Caret {
            bar: index,
            at: item.at + item.length,
        };
        let more = length.max(1) - item.length;
        if more <= 0 {
            let end = item.at + length.max(1);
            draft.close(index, end, -more);
            draft.shorten(index, item.at, length.max(1));
            draft.caret.at = end;
            return draft.settled(self);
        }
        // The note's own time comes first; the rest of it is put in tied, and joined again where
        // both lie in one bar. What the note was tied to, the end of it is.
        let pitch = item.note.map(|n| n.pitch);
        let tied = item.note.is_some_and(|n| n.tied);
        draft.tie(index, item.at, true);
        let mut longer = draft.insert(pitch, more)?;
        longer.join(index, item.at);
        if let Some((bar, end)) = longer.before() {
            longer.tie(bar, end.at, tied);
        }
        longer.from = Vec::new();
        longer.settled(self)
    }

    fn shorten(&mut self, bar: usize, at: Ticks, length: Ticks) {
        if let Some(note) = self.note_at(bar, at) {
            note.length = length;
        }
    }

    fn tie(&mut self, bar: usize, at: Ticks, tied: bool) {
        if let Some(note) = self.note_at(bar, at) {
            note.tied = tied;
        }
    }

    fn note_at(&mut self, bar: usize, at: Ticks) -> Option<&mut Note> {
        let notes = &mut self.song.bars.get_mut(bar)?.notes;
        notes.iter_mut().find(|n| n.at == at)
    }

    /// Makes one note of a note and the one it is tied to, where it can be drawn and no chord changes
    /// between them.
    fn join(&mut self, index: usize, at: Ticks) {
        let Some(bar) = self.song.bars.get_mut(index) else {
            return;
        };
        let Some(i) = bar.notes.iter().position(|n| n.at == at) else {
            return;
        };
        let (Some(&first), Some(&next)) = (bar.notes.get(i), bar.notes.get(i + 1)) else {
            return;
        };
        let apart = bar.chords.iter().any(|c| c.at == next.at);
        let drawn = notated(first.length + next.length).len() == 1;
        if first.tied && next.at == first.at + first.length && !apart && drawn {
            bar.notes.remove(i + 1);
            if let Some(note) = bar.notes.get_mut(i) {
                note.length += next.length;
                note.tied = next.tied;
            }
        }
    }

    /// Ties the note before the caret to the one behind it, or unties them; where another note
    /// follows, or none, one of this length is put in and tied.
    ///
    /// # Errors
    /// When no note stands before the caret.
    pub fn tie_on(&self, length: Ticks) -> Result<Draft, EditError> {
        let (bar, note) = self.note_before()?;
        let follows = self.behind().and_then(|(_, item)| item.note);
        let mut draft = self.begin();
        let same = follows.is_some_and(|n| n.pitch == note.pitch);
        draft.tie(bar, note.at, !(same && note.tied));
        match same {
            true => draft.settled(self),
            false => {
                let mut tied = draft.insert(Some(note.pitch), length)?;
                tied.from = Vec::new();
                tied.settled(self)
            }
        }
    }

    fn note_before(&self) -> Result<(usize, Note), EditError> {
        let (bar, item) = self.before().ok_or(EditError::NoNote)?;
        Ok((bar, item.note.ok_or(EditError::NoNote)?))
    }

    /// The note before the caret with all that it is tied to: bars and onsets.
    fn chain(&self) -> Result<Vec<(usize, Ticks)>, EditError> {
        let (bar, note) = self.note_before()?;
        let all: Vec<(usize, Note)> = (self.song.bars.iter().enumerate())
            .flat_map(|(i, b)| b.notes.iter().map(move |n| (i, *n)))
            .collect();
        let same = |(i, n): &(usize, Note)| (*i, n.at) == (bar, note.at);
        let here = all.iter().position(same).ok_or(EditError::NoNote)?;
        let before = all.get(..here).unwrap_or_default().iter().rev();
        let first = here - before.take_while(|(_, n)| n.tied).count();
        let after = all.get(here..).unwrap_or_default().iter();
        let last = here + after.take_while(|(_, n)| n.tied).count();
        let chain = all.get(first..=last).unwrap_or_default();
        Ok(chain.iter().map(|(i, n)| (*i, n.at)).collect())
    }

    /// Gives the note before the caret, with all it is tied to, another pitch, as the key has it where
    /// the note is struck. Pins that put it on a string and fret don't hold for another pitch and are
    /// taken out.
    fn repitch(&self, to: impl Fn(Pitch, &Key) -> Pitch) -> Result<Draft, EditError> {
        let (_, note) = self.note_before()?;
        let chain = self.chain()?;
        let struck = chain.first().and_then(|&(bar, _)| self.song.bars.get(bar));
        let pitch = to(note.pitch, &struck.ok_or(EditError::NoNote)?.key);
        let mut draft = self.begin();
        for &(index, at) in &chain {
            if let Some(note) = draft.note_at(index, at) {
                note.pitch = pitch;
            }
            draft.song.forget_note(index, at);
        }
        draft.settled(self)
    }

    /// Moves the note before the caret by so many steps of the key.
    ///
    /// # Errors
    /// When no note stands there, or it would leave the range that can be written.
    pub fn step_note(&self, steps: i32) -> Result<Draft, EditError> {
        self.repitch(|pitch, key| {
            let place = i32::from(pitch.octave) * 7 + pitch.name.letter as i32 + steps;
            let letter = Letter::C.step(place);
            let octave = i8::try_from(place.div_euclid(7)).unwrap_or(pitch.octave);
            Pitch::new(Name::new(letter, key.alter(letter)), octave)
        })
    }

    /// Moves the note before the caret by a half step; its letter stays as long as it can.
    ///
    /// # Errors
    /// As for [`Draft::step_note`].
    pub fn sharpen(&self, half_steps: i8) -> Result<Draft, EditError> {
        self.repitch(|pitch, key| {
            let alter = pitch.name.alter.saturating_add(half_steps);
            match alter {
                -1..=1 => Pitch::new(Name::new(pitch.name.letter, alter), pitch.octave),
                _ => key.spell(pitch.midi() + i32::from(half_steps)),
            }
        })
    }

    /// Moves the note before the caret by whole octaves.
    ///
    /// # Errors
    /// As for [`Draft::step_note`].
    pub fn shift_octave(&self, octaves: i32) -> Result<Draft, EditError> {
        self.repitch(|pitch, _| pitch.octaves_up(octaves.clamp(-9, 9)))
    }

    /// The pitch that a letter means at the caret: as the key signs it, in the octave that is
    /// nearest to the note before.
    pub fn pitch_of(&self, letter: Letter) -> Pitch {
        let alter = self.song.bars.get(self.bar()).map(|b| b.key.alter(letter));
        let name = Name::new(letter, alter.unwrap_or(0));
        let octave = match self.last_note() {
            None => i32::from(FIRST_OCTAVE),
            Some(last) => {
                let place = i32::from(last.octave) * 7 + last.name.letter as i32;
                (place - letter as i32 + 3)
                    .div_euclid(7)
                    .clamp(LOWEST_OCTAVE, HIGHEST_OCTAVE)
            }
        };
        Pitch::new(name, i8::try_from(octave).unwrap_or(FIRST_OCTAVE))
    }

    /// The last note before the caret, over rests and bar lines; else the first one behind it.
    fn last_note(&self) -> Option<Pitch> {
        let here = (self.caret.bar, self.caret.at);
        let notes = || {
            let bars = self.song.bars.iter().enumerate();
            bars.flat_map(|(i, b)| b.notes.iter().map(move |n| ((i, n.at), n.pitch)))
        };
        let before = notes().take_while(|(at, _)| *at < here).last();
        before.or_else(|| notes().next()).map(|(_, pitch)| pitch)
    }

    /// The note that was written last, as it is heard: all that it is tied to.
    pub fn heard(&self) -> Option<(Pitch, Ticks)> {
        let chain = self.chain().ok()?;
        let note = |&(bar, at): &(usize, Ticks)| {
            let notes = &self.song.bars.get(bar)?.notes;
            notes.iter().find(|n| n.at == at)
        };
        let pitch = note(chain.first()?)?.pitch;
        let length = chain.iter().filter_map(note).map(|n| n.length).sum();
        Some((pitch, length))
    }
}
