//! What was written, to be undone and done again without limit.

use crate::shelf::Progress;
use crate::song::edit::{Draft, Step};

/// One change: of the song, and of the ticks where bars came or went.
#[derive(Debug)]
struct Change {
    step: Step,
    ticks: Option<(Progress, Progress)>,
}

/// All changes, up to the present and beyond it.
#[derive(Debug, Default)]
pub struct Past {
    changes: Vec<Change>,
    /// How many of them are done.
    done: usize,
    /// The song as it was left, when writing ended for a while.
    left: Option<Draft>,
}

impl Past {
    /// Remembers a change; what was undone before it can't be done again.
    pub(super) fn record(&mut self, before: (&Draft, &Progress), after: (&Draft, &Progress)) {
        let step = Step::between(before.0, after.0);
        let moved = before.0.caret() != after.0.caret();
        if step.is_nothing() && !moved && before.1 == after.1 {
            return;
        }
        let ticks = (before.1 != after.1).then(|| (before.1.clone(), after.1.clone()));
        self.changes.truncate(self.done);
        self.changes.push(Change { step, ticks });
        self.done = self.changes.len();
    }

    /// The draft before the last change, and the ticks where they change with it.
    pub(super) fn undo(&mut self, draft: &Draft) -> Option<(Draft, Option<Progress>)> {
        let last = self.done.checked_sub(1)?;
        let change = self.changes.get(last)?;
        self.done = last;
        let ticks = change.ticks.as_ref().map(|t| t.0.clone());
        Some((change.step.undo(draft), ticks))
    }

    /// The draft after the change that was undone last.
    pub(super) fn redo(&mut self, draft: &Draft) -> Option<(Draft, Option<Progress>)> {
        let change = self.changes.get(self.done)?;
        self.done += 1;
        let ticks = change.ticks.as_ref().map(|t| t.1.clone());
        Some((change.step.redo(draft), ticks))
    }

    /// Writing ends for a while.
    pub(super) fn leave(&mut self, draft: Draft) {
        self.left = Some(draft);
    }

    /// Writing goes on. What was changed elsewhere meanwhile is one change more.
    pub(super) fn resume(&mut self, draft: &Draft, ticks: &Progress) {
        if let Some(left) = self.left.take()
            && left.song() != draft.song()
        {
            self.record((&left, ticks), (draft, ticks));
        }
    }
}
