//! What an idea costs: the bars that it reaches solved anew, exactly, with the rest left as it is.
//!
//! The state before those bars and what is struck after them stay those of the arrangement at hand, up
//! to the first slice in which the hand is set down again. So the price is exact for the hands and
//! the music around, and never too low: with the whole song free to follow, an idea costs no more.

use super::super::Layer;
use super::super::answer::price_step;
use super::super::cost::Price;
use super::super::frontier::Node;
use super::super::measure::Measure;
use super::super::outdone::NEVER;
use super::super::pins::fences;
use super::super::plan::Plan;
use super::super::search::{Bench, Search};
use super::super::solve::{Solved, best_path};
use crate::song::Song;
use crate::theory::Ticks;
use std::ops::Range;

/// What an idea seldom costs more than, in thousandths of an effort: only to look there first.
const LIKELY: i64 = 2_500;

/// Bars solved anew.
pub(crate) struct Local {
    /// Plan and way of those bars and a little before and after.
    pub solved: Solved,
    /// Its slices that are solved anew.
    pub steps: Range<usize>,
    /// What is paid beyond the arrangement at hand, by name; less where it is negative.
    pub more: Price,
}

/// The slices of some bars.
fn inside(plan: &Plan, bars: &Range<usize>) -> Range<usize> {
    let from = |bar| plan.slices.partition_point(|s| s.bar < bar);
    from(bars.start)..from(bars.end)
}

/// The slices around some of them that a plan of a part needs: from the last one before them in which the
/// left hand does something, to the next one after them.
fn around(plan: &Plan, steps: &Range<usize>) -> Range<usize> {
    let acts = |&i: &usize| plan.slices[i].acts();
    let start = (0..steps.start).rev().find(acts).unwrap_or(0);
    start..(steps.end + 1).min(plan.slices.len())
}

/// The bars of `bars` solved anew for `song`, which differs from the base's song by ideas there.
/// `None` when they can't be kept.
pub(crate) fn local(
    song: &Song,
    base: &Solved,
    bench: &mut Bench,
    bars: Range<usize>,
) -> Option<Local> {
    let was = inside(&base.plan, &bars);
    let was_end = base.landing(&bench.shapes, was.end);
    let part = around(&base.plan, &(was.start..was_end));
    let at = |i: usize| base.plan.slices.get(i).map_or(Ticks::MAX, |s| s.at);
    // An idea may strike something before the first note.
    let from = if part.start == 0 { 0 } else { at(part.start) };
    let plan = Plan::of_part(song, Layer::Colour, base.shift, from..at(part.end));
    let inside = inside(&plan, &bars);
    let end = inside.end + (was_end - was.end);
    if inside.start != was.start - part.start
        || plan.slices.len() - inside.end != part.end - was.end
    {
        return None;
    }
    let before = paid(base, bench, was.start..was_end);
    let most = before.total() + LIKELY;
    let lead = &base.path[part.start..was.start];
    let after = &base.path[was.end..part.end];
    let landing = &after[..was_end - was.end];
    let way = solve(song, &plan, bench, (lead, &inside, landing), most)?;
    let path = [lead, &way, &after[landing.len()..]].concat();
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

/// The nodes of the best way through the slices inside and those after them, which are `landing`, from
/// the last state of `lead`.
fn solve(
    song: &Song,
    plan: &Plan,
    bench: &mut Bench,
    (lead, inside, landing): (&[Node], &Range<usize>, &[Node]),
    most: i64,
) -> Option<Vec<Node>> {
    let mut search = Search::new(plan, bench, Measure::Sum { cap: NEVER });
    search.fence_in(fences(song, plan)?);
    let start = lead.last().copied();
    let start = start.map_or(Node::START, |node| Node { cost: 0, ..node });
    search.between(start, inside.start..inside.end + landing.len());
    search.settled = (inside.end..).zip(landing.iter().copied()).collect();
    let found = search.within(most).or_else(|_| search.within(NEVER));
    found.ok().map(|trellis| best_path(&trellis))
}
