//! What one edit changed, to be undone and done again.

use super::{Caret, Draft};
use crate::song::{Bar, GuitarWish, Idea, Pin, Song, Tempo};
use crate::theory::Key;

/// All of a song but its bars.
#[derive(Debug, Clone, PartialEq)]
struct Frame {
    title: String,
    composer: Option<String>,
    tags: Vec<String>,
    key: Key,
    tempo: Tempo,
    guitar: GuitarWish,
    pins: Vec<Pin>,
    ideas: Vec<Idea>,
}

impl Frame {
    fn of(song: &Song) -> Frame {
        Frame {
            title: song.title.clone(),
            composer: song.composer.clone(),
            tags: song.tags.clone(),
            key: song.key.clone(),
            tempo: song.tempo,
            guitar: song.guitar.clone(),
            pins: song.pins.clone(),
            ideas: song.ideas.clone(),
        }
    }

    fn put(&self, song: &mut Song) {
        let frame = self.clone();
        song.title = frame.title;
        song.composer = frame.composer;
        song.tags = frame.tags;
        song.key = frame.key;
        song.tempo = frame.tempo;
        song.guitar = frame.guitar;
        song.pins = frame.pins;
        song.ideas = frame.ideas;
    }
}

/// One side of a change.
#[derive(Debug, Clone, PartialEq)]
struct Side {
    bars: Vec<Bar>,
    /// Only where it changed.
    frame: Option<Frame>,
    caret: Caret,
}

/// The difference between two drafts: of the bars only those that changed.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Index of the first bar that changed.
    at: usize,
    before: Side,
    after: Side,
}

impl Step {
    /// The step from one draft to another.
    pub fn between(before: &Draft, after: &Draft) -> Step {
        let (old, new) = (&before.song.bars, &after.song.bars);
        let at = old.iter().zip(new).take_while(|(a, b)| a == b).count();
        let most = old.len().min(new.len()) - at;
        let pairs = old.iter().rev().zip(new.iter().rev()).take(most);
        let end = pairs.take_while(|(a, b)| a == b).count();
        let frames = (Frame::of(&before.song), Frame::of(&after.song));
        let same = frames.0 == frames.1;
        let side = |draft: &Draft, frame: Frame| {
            let bars = &draft.song.bars;
            let changed = bars.get(at..bars.len() - end).unwrap_or_default();
            Side {
                bars: changed.to_vec(),
                frame: (!same).then_some(frame),
                caret: draft.caret,
            }
        };
        Step {
            at,
            before: side(before, frames.0),
            after: side(after, frames.1),
        }
    }

    /// Whether it leaves the song as it is.
    pub fn is_nothing(&self) -> bool {
        self.before.bars == self.after.bars && self.before.frame == self.after.frame
    }

    /// The draft as it was before.
    pub fn undo(&self, draft: &Draft) -> Draft {
        self.taken(draft, &self.after, &self.before)
    }

    /// The draft as it was after.
    pub fn redo(&self, draft: &Draft) -> Draft {
        self.taken(draft, &self.before, &self.after)
    }

    fn taken(&self, draft: &Draft, from: &Side, to: &Side) -> Draft {
        let mut draft = draft.clone();
        let end = (self.at + from.bars.len()).min(draft.song.bars.len());
        let range = self.at.min(end)..end;
        draft.song.bars.splice(range, to.bars.iter().cloned());
        if let Some(frame) = &to.frame {
            frame.put(&mut draft.song);
        }
        draft.caret = to.caret;
        draft.loose = None;
        draft.from = (0..draft.song.bars.len()).map(Some).collect();
        draft
    }
}
