//! The steps into one state, found again when they are asked for.

use super::super::candidates::Ask;
use super::super::frontier::Node;
use super::super::groups::Groups;
use super::super::search::Search;
use super::super::shape::NOWHERE;

/// A step from a state to another one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Edge {
    /// Index of the state it comes from.
    pub from: u32,
    /// Strings held over, as bits.
    pub held: u8,
    /// What the best way to `from` and this step cost together.
    pub cost: i64,
}

impl Search<'_, '_, '_> {
    /// Every step from the states of `before` to the state `to` of the slice `index` with which the
    /// way there costs at most `most`.
    pub(super) fn edges(
        &mut self,
        index: usize,
        before: &[Node],
        groups: &Groups,
        (to, most): (&Node, i64),
    ) -> Vec<Edge> {
        let pace = self.pace(index);
        let grip = self.bench.shapes.get(to.shape).grip;
        let mut found = Vec::new();
        for group in groups.list() {
            let within = (group.keep.grip.frets.iter().zip(&grip.frets))
                .all(|(k, g)| *k < 0 || k == g)
                && (group.keep.grip.fingers.iter().zip(&grip.fingers))
                    .all(|(k, g)| *k == 0 || k == g);
            if !within || group.least > most {
                continue;
            }
            let (list, _) = self.candidates_for(index, group, Ask::ALL);
            let list = self.bench.candidates.of(list);
            for candidate in list.iter().filter(|c| c.shape == to.shape) {
                for entry in groups.entries(group).iter().filter(|e| e.least <= most) {
                    let was = &before[entry.node as usize];
                    let place = match candidate.place {
                        NOWHERE => was.place,
                        place => place,
                    };
                    let from = self.bench.shapes.get(was.shape);
                    let step = self.step(entry, from, candidate, &pace);
                    let cost = self.measure.join(entry.so_far, step);
                    if place == to.place && cost <= most {
                        found.push(Edge {
                            from: entry.node,
                            held: group.held,
                            cost,
                        });
                    }
                }
            }
        }
        found
    }
}
