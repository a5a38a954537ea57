//! What an idea costs: the bars that it reaches solved anew, exactly, with the rest left as it is.
//!
//! The state before those bars and what is struck after them stay those of the arrangement at hand, up
//! to the first slice in which the hand is set down again. So the price is exact for the hands and
//! the music around, and never too low: with the whole song free to follow, an idea costs no more.

use super::super::Layer;
use super::super::answer::price_step;
use super::super::cost::Price;
use super::super::frontier::Node;
use super::super::outdone::NEVER;
use super::super::pins::fences;
use super::super::plan::Plan;
use super::super::search::{Bench, Measure, Search};
use super::super::shape::{NOWHERE, Shapes};
use super::super::solve::{Solved, best_path};
use crate::song::Song;
use std::ops::Range;

/// What an idea seldom costs more than, in thousandths of an effort: only to look there first.
const LIKELY: i64 = 2_500;

/// Bars solved anew.
pub(crate) struct Local {
    /// The whole song's plan and way, the bars among it.
    pub solved: Solved,
    /// The slices solved anew.
    pub steps: Range<usize>,
    /// What is paid beyond the arrangement at hand, by name; less where it is negative.
    pub more: Price,
}

/// The slices of some bars, and those after them up to where the hand is set down again.
fn window(plan: &Plan, bars: &Range<usize>, landing: usize) -> (Range<usize>, usize) {
    let first = plan.slices.partition_point(|s| s.bar < bars.start);
    let end = plan.slices.partition_point(|s| s.bar < bars.end);
    (first..end, (end + landing).min(plan.slices.len()))
}

/// How many slices after some bars belong to the step out of them.
fn landing(base: &Solved, shapes: &Shapes, bars: &Range<usize>) -> usize {
    let (inside, _) = window(&base.plan, bars, 0);
    let after = &base.path[inside.end..];
    let is_set_down = |n: &Node| {
        let shape = shapes.get(n.shape);
        shape.place(shape.sounding & !n.held) != NOWHERE
    };
    after
        .iter()
        .position(is_set_down)
        .map_or(after.len(), |i| i + 1)
}

/// The bars of `bars` solved anew for `song`, which differs from the base's song by ideas there.
/// `None` when they can't be kept.
pub(crate) fn local(
    song: &Song,
    base: &Solved,
    bench: &mut Bench,
    bars: Range<usize>,
) -> Option<Local> {
    let plan = Plan::new(song, Layer::Colour, base.shift);
    let landing = landing(base, &bench.shapes, &bars);
    let (inside, end) = window(&plan, &bars, landing);
    let (was, was_end) = window(&base.plan, &bars, landing);
    if inside.start != was.start || plan.slices.len() - inside.end != base.path.len() - was.end {
        return None;
    }
    let before = paid(base, bench, inside.start..was_end);
    let most = before.total() + LIKELY;
    let way = solve(song, &plan, base, bench, (&inside, end, was.end), most)?;
    let mut path = base.path[..inside.start].to_vec();
    path.extend(way);
    path.extend(&base.path[was_end..]);
    let solved = Solved {
        shift: base.shift,
        cap: base.cap,
        plan,
        path,
    };
    let now = paid(&solved, bench, inside.start..end);
    Some(Local {
        more: now.less(&before),
        steps: inside.start..end,
        solved,
    })
}

/// The price by name of some steps of a way.
fn paid(solved: &Solved, bench: &Bench, steps: Range<usize>) -> Price {
    let mut price = Price::default();
    for index in steps {
        let before = index.checked_sub(1).map(|i| &solved.path[i]);
        let node = &solved.path[index];
        price += price_step(&solved.plan, &bench.shapes, index, before, node);
    }
    price
}

/// The nodes of the best way through the slices inside and after, from the base's state before them.
fn solve(
    song: &Song,
    plan: &Plan,
    base: &Solved,
    bench: &mut Bench,
    (inside, end, was_end): (&Range<usize>, usize, usize),
    most: i64,
) -> Option<Vec<Node>> {
    let mut search = Search::new(plan, bench, Measure::Sum { cap: NEVER });
    search.fences = fences(song, plan)?;
    let before = inside.start.checked_sub(1).map(|i| base.path[i]);
    let start = before.map_or(Node::START, |node| Node { cost: 0, ..node });
    search.between(start, inside.start..end);
    let after = (inside.end..end).zip(&base.path[was_end..]);
    search.settled = after.map(|(i, node)| (i, *node)).collect();
    let found = search.within(most).or_else(|_| search.within(NEVER));
    found.ok().map(|trellis| best_path(&trellis))
}
