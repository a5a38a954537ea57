//! What one edit changed, to be undone and done again.

use super::{Caret, Draft};
use crate::song::bar::shared;
use crate::song::{Bar, Song};

/// A song without its bars, which are not copied for it; a new field has to be named here.
fn frame(song: &Song) -> Song {
    Song {
        title: song.title.clone(),
        composer: song.composer.clone(),
        tags: song.tags.clone(),
        key: song.key.clone(),
        tempo: song.tempo,
        bars: Vec::new(),
        guitar: song.guitar.clone(),
        pins: song.pins.clone(),
        ideas: song.ideas.clone(),
    }
}

/// One side of a change.
#[derive(Debug, Clone, PartialEq)]
struct Side {
    bars: Vec<Bar>,
    /// The song without its bars, only where it changed.
    frame: Option<Song>,
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
        let (at, end) = shared(old, new, Bar::eq);
        let frames = (frame(&before.song), frame(&after.song));
        let same = frames.0 == frames.1;
        let side = |draft: &Draft, frame: Song| {
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
        let mut bars = std::mem::take(&mut draft.song.bars);
        let end = (self.at + from.bars.len()).min(bars.len());
        bars.splice(self.at.min(end)..end, to.bars.iter().cloned());
        if let Some(frame) = &to.frame {
            draft.song = frame.clone();
        }
        draft.song.bars = bars;
        draft.caret = to.caret;
        draft.loose = None;
        draft.from = (0..draft.song.bars.len()).map(Some).collect();
        draft
    }
}
