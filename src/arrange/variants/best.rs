//! The k best arrangements, exactly: the ways through the trellis in the order of their cost.
//!
//! The trellis is searched with some slack, so that every way within the slack of the best one is in
//! it. The ways are then told off one by one by recursive enumeration (V. M. Jiménez and A. Marzal,
//! "Computing the K shortest paths: a new algorithm and an experimental comparison", 1999): the next
//! way to a state is the cheapest of those that go through the next way to a state before it. If the
//! slack did not hold k ways, the search is made again with more.

use super::super::frontier::Node;
use super::super::groups::Groups;
use super::super::measure::Measure;
use super::super::outdone::NEVER;
use super::super::pins::fences;
use super::super::search::{Bench, Search};
use super::super::solve::{Case, Solved};
use super::super::{ArrangeError, Arrangement, Options};
use crate::guitar::{Grip, Hand, Instrument};
use crate::song::Song;
use rustc_hash::FxHashSet;
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// The slack that is tried first, and the one after which everything is kept: thousandths.
const FIRST_SLACK: i64 = 200;
const LAST_SLACK: i64 = 50_000;

/// The `k` cheapest different arrangements, the cheapest first; fewer if there are not so many.
///
/// Two arrangements are different if a note of theirs is: its onset, its end, its string, its fret
/// or its finger. The first is the one that [`crate::arrange::arrange`] gives. An open string rings
/// on until it is in the way: stopping it without need makes no arrangement of its own. With
/// [`crate::arrange::Goal::HardestStep`] it may be stopped sooner, and only such arrangements count
/// that have no harder step than the first.
///
/// # Errors
/// As for [`crate::arrange::arrange`].
pub fn best(
    song: &Song,
    instrument: &Instrument,
    hand: &Hand,
    options: &Options,
    k: usize,
) -> Result<Vec<Arrangement>, ArrangeError> {
    from_slack(song, (instrument, hand), options, k, FIRST_SLACK)
}

/// The same beginning with another slack, in thousandths; that changes nothing.
pub(in super::super) fn from_slack(
    song: &Song,
    (instrument, hand): (&Instrument, &Hand),
    options: &Options,
    k: usize,
    slack: i64,
) -> Result<Vec<Arrangement>, ArrangeError> {
    let costs = options.leaning();
    let mut bench = Bench::new(instrument, hand, &costs);
    let case = Case { song, options };
    let mut solved = case.settle(&mut bench)?;
    let paths = paths(&case, &solved, &mut bench, (k, slack));
    let mut found = Vec::with_capacity(paths.len());
    for path in paths {
        solved.path = path;
        found.push(case.read(&solved, &bench.shapes));
    }
    Ok(found)
}

/// The `k` cheapest different ways, beginning with the one that was found.
fn paths(
    case: &Case,
    solved: &Solved,
    bench: &mut Bench,
    (k, mut slack): (usize, i64),
) -> Vec<Vec<Node>> {
    let least = solved.path.last().map_or(0, |n| n.cost);
    loop {
        let mut search = Search::new(&solved.plan, bench, Measure::Sum { cap: solved.cap });
        search.fence_in(fences(case.song, &solved.plan).unwrap_or_default());
        search.slack = slack;
        let found = Ranking::new(search, least + slack).first(k, &solved.path);
        if found.len() >= k || slack >= NEVER {
            return found;
        }
        slack = if slack < LAST_SLACK { slack * 4 } else { NEVER };
    }
}

/// One way to a state; the cheapest is the least.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Way {
    cost: i64,
    /// The state before, and which of the ways to it.
    from: u32,
    rank: u32,
    /// Strings held in the last step.
    held: u8,
}

/// The ways to one state found so far, the cheapest first.
#[derive(Default)]
struct Stop {
    ways: Vec<Way>,
    /// Ways that may come next; `None` until they are asked for.
    waiting: Option<BinaryHeap<Reverse<Way>>>,
    /// There are no more.
    done: bool,
}

/// The states of one slice.
struct Row {
    nodes: Vec<Node>,
    groups: Groups,
    stops: Vec<Stop>,
}

/// All states within the slack: first silence, then each slice, then one that stands for the end.
struct Ranking<'p, 'b, 'a> {
    search: Search<'p, 'b, 'a>,
    most: i64,
    rows: Vec<Row>,
}

impl<'p, 'b, 'a> Ranking<'p, 'b, 'a> {
    /// Searches for the states that ways of cost `most` or less go through.
    fn new(mut search: Search<'p, 'b, 'a>, most: i64) -> Ranking<'p, 'b, 'a> {
        let mut groups = Groups::default();
        groups.start(search.bench);
        let mut rows = vec![row(vec![Node::START], groups)];
        for index in 0..search.plan.slices.len() {
            let mut frontier = search.frontier(index, most.saturating_add(1));
            let before = &rows[index];
            search.advance(index, &before.nodes, &before.groups, &mut frontier);
            let mut groups = Groups::default();
            frontier.group(search.bench, search.measure, (0, usize::MAX), &mut groups);
            rows.push(row(frontier.nodes, groups));
        }
        let last = rows.last().map_or(&[][..], |r| &r.nodes);
        let end = (0..last.len() as u32).min_by_key(|&i| last[i as usize].cost);
        let end = end.map(|back| Node {
            cost: last[back as usize].cost,
            back,
            ..Node::START
        });
        rows.push(row(end.into_iter().collect(), Groups::default()));
        Ranking { search, most, rows }
    }

    /// The first `k` different ways through the whole, `best` before the others.
    fn first(&mut self, k: usize, best: &[Node]) -> Vec<Vec<Node>> {
        let mut found = vec![best.to_vec()];
        let mut known: FxHashSet<Vec<(Grip, u8)>> = FxHashSet::default();
        known.insert(self.played(best));
        let end = self.rows.len() - 1;
        for rank in 0.. {
            if found.len() >= k || self.rows[end].stops.is_empty() {
                break;
            }
            if self.rows[end].stops[0].ways.len() <= rank {
                self.further(end, 0);
            }
            let Some(path) = self.path(rank) else { break };
            if known.insert(self.played(&path)) {
                found.push(path);
            }
        }
        found.truncate(k);
        found
    }

    /// What tells one arrangement from another: what sounds in each slice, and what of it is held.
    fn played(&self, path: &[Node]) -> Vec<(Grip, u8)> {
        let shapes = &self.search.bench.shapes;
        path.iter()
            .map(|n| (shapes.get(n.shape).grip, n.held))
            .collect()
    }

    /// The states of the way of this rank to the end.
    fn path(&self, rank: usize) -> Option<Vec<Node>> {
        let mut way = *self.rows.last()?.stops.first()?.ways.get(rank)?;
        let mut path = Vec::with_capacity(self.rows.len());
        for row in self.rows[1..self.rows.len() - 1].iter().rev() {
            let node = row.nodes[way.from as usize];
            way = row.stops[way.from as usize].ways[way.rank as usize];
            path.push(Node {
                held: way.held,
                cost: way.cost,
                ..node
            });
        }
        path.reverse();
        Some(path)
    }

    /// Looks for one more way to a state, and first for the ways to states before it that this takes.
    fn further(&mut self, row: usize, node: usize) {
        let mut chain = vec![(row, node)];
        while let Some(&(row, node)) = chain.last() {
            self.open(row, node);
            let Some(last) = self.rows[row].stops[node].ways.last() else {
                break;
            };
            let before = &self.rows[row - 1].stops[last.from as usize];
            if row == 1 || before.done || before.ways.len() > last.rank as usize + 1 {
                break;
            }
            chain.push((row - 1, last.from as usize));
        }
        while let Some((row, node)) = chain.pop() {
            self.take_next(row, node);
        }
    }

    /// Takes the cheapest of the ways that wait, after the one that follows the last.
    fn take_next(&mut self, row: usize, node: usize) {
        let (above, here) = self.rows.split_at_mut(row);
        let stop = &mut here[0].stops[node];
        let Some(waiting) = &mut stop.waiting else {
            return;
        };
        if let (Some(last), Some(before)) = (stop.ways.last(), above.last()) {
            let ways = &before.stops[last.from as usize].ways;
            let rank = last.rank as usize;
            if let (Some(was), Some(next)) = (ways.get(rank), ways.get(rank + 1)) {
                let cost = last.cost - was.cost + next.cost;
                if cost <= self.most {
                    waiting.push(Reverse(Way {
                        cost,
                        rank: last.rank + 1,
                        ..*last
                    }));
                }
            }
        }
        match waiting.pop() {
            Some(Reverse(way)) => stop.ways.push(way),
            None => stop.done = true,
        }
    }

    /// Finds all steps into a state, once.
    fn open(&mut self, row: usize, node: usize) {
        let to = self.rows[row].nodes[node];
        if self.rows[row].stops[node].waiting.is_some() {
            return;
        }
        let before = &self.rows[row - 1];
        let index = row - 1;
        let first_way = |cost, from, held| {
            Reverse(Way {
                cost,
                from,
                rank: 0,
                held,
            })
        };
        let mut waiting = BinaryHeap::new();
        if index < self.search.plan.slices.len() {
            // From here on every way costs at least what the best one does.
            let least = self.rows.last().and_then(|r| r.nodes.first());
            let slack = self.most - least.map_or(0, |n| n.cost);
            let to = (&to, to.cost.saturating_add(slack));
            for e in (self.search).edges(index, &before.nodes, &before.groups, to) {
                waiting.push(first_way(e.cost, e.from, e.held));
            }
        } else {
            let all = (0..).zip(&before.nodes);
            waiting.extend(all.map(|(i, n)| first_way(n.cost, i, 0)));
        }
        // The first way is taken already.
        let taken = first_way(to.cost, to.back, to.held);
        waiting.retain(|w| *w != taken);
        self.rows[row].stops[node].waiting = Some(waiting);
    }
}

/// The states of a slice with the best way to each.
fn row(nodes: Vec<Node>, groups: Groups) -> Row {
    let stop = |n: &Node| Stop {
        ways: vec![Way {
            cost: n.cost,
            from: n.back,
            rank: 0,
            held: n.held,
        }],
        ..Stop::default()
    };
    let stops = nodes.iter().map(stop).collect();
    Row {
        nodes,
        groups,
        stops,
    }
}
