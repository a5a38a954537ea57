//! The front of one bar: no variant beaten on both fullness and effort.
//!
//! The states before and after the bar stay those of the best arrangement; in between, the search
//! runs over every way, with prices that only the hands pay and one frontier for each fullness so
//! far. Where several ways are as full and as easy, the one of least price is taken.
//!
//! Some things are held equal, since a variant is the same tune over the same bass: a melody or bass
//! note may not be let go where the best arrangement holds one, and where that strikes a bass with a
//! chord, so does the variant. What may vary is the fill, how long it rings, and where and by which
//! fingers everything is played.

use super::super::answer::price_step;
use super::super::cost::{Costs, Price};
use super::super::frontier::{Frontier, Gather, Node};
use super::super::groups::{Group, Groups};
use super::super::measure::Measure;
use super::super::outdone::NEVER;
use super::super::pins::fences;
use super::super::search::{Bench, Search};
use super::super::shape::{NONE, Shape, Shapes};
use super::super::solve::{Case, Solved};
use super::super::strokes::Stroke;
use super::super::{ArrangeError, Options};
use super::tie::least_price;
use super::variant::{Front, Variant, fullness};
use crate::guitar::{Hand, Instrument};
use crate::song::Song;
use std::collections::BTreeMap;
use std::ops::Range;

/// The most by which one chord adds to the fullness: as many notes as strings, each another tone.
const FULLEST: u32 = 2 * crate::guitar::MAX_STRINGS as u32;

/// The variants of the written bar `bar` (index from 0) around the best arrangement, from easier to
/// fuller. A bar in which nothing is struck, or that the song lacks, has one: the current one.
///
/// A variant never lets a melody or bass note go where the best arrangement holds one, and never
/// leaves out a bass that the best arrangement strikes. All pins are kept.
///
/// # Errors
/// As for [`crate::arrange::arrange`].
pub fn variants(
    song: &Song,
    instrument: &Instrument,
    hand: &Hand,
    options: &Options,
    bar: usize,
) -> Result<Front, ArrangeError> {
    with_slack(song, (instrument, hand), options, bar, 0)
}

/// The same over a search that keeps ways within some slack, in thousandths; that changes nothing.
pub(in super::super) fn with_slack(
    song: &Song,
    (instrument, hand): (&Instrument, &Hand),
    options: &Options,
    bar: usize,
    slack: i64,
) -> Result<Front, ArrangeError> {
    let costs = options.leaning();
    let mut bench = Bench::new(instrument, hand, &costs);
    let case = Case { song, options };
    let mut solved = case.settle(&mut bench)?;
    let span = Span::new(&solved, &bench.shapes, bar);
    let current = span.variant(&case, &solved, &bench.shapes);
    let best = solved.path.clone();
    let ease = hands_only(&costs);
    let mut easy = Bench::new(instrument, hand, &ease);
    let mut found = Vec::new();
    for way in ways(&case, &solved, &span, (&mut bench, &mut easy), slack) {
        solved.path[span.steps()].copy_from_slice(&way);
        found.push(span.variant(&case, &solved, &bench.shapes));
        solved.path.copy_from_slice(&best);
    }
    let level = |v: &Variant| (v.effort, v.fullness);
    let stands = found.iter().position(|v| level(v) == level(&current));
    if let Some(i) = stands {
        // Nothing as full and as easy costs less, or it would be in the best arrangement.
        found[i] = current.clone();
    }
    Ok(Front {
        variants: found,
        current,
        stands,
    })
}

/// The costs that the hands pay, and no others.
pub(super) fn hands_only(costs: &Costs) -> Costs {
    Costs {
        melody_cut: 0,
        low: 0,
        bass_cut: 0,
        bass_missing: 0,
        bass_sung: 0,
        bass_high: 0,
        bass_stopped: 0,
        fill_cut: 0,
        thin: 0,
        no_third: 0,
        no_seventh: 0,
        two_thirds: 0,
        mud: 0,
        leap: 0,
        lead: 0,
        ..costs.clone()
    }
}

/// The slices that a bar's variants take part in.
pub(super) struct Span {
    bar: usize,
    /// The slices of the bar.
    inside: Range<usize>,
    /// The slices after the bar up to the first one in which the hand is set down again.
    after: Range<usize>,
}

impl Span {
    fn new(solved: &Solved, shapes: &Shapes, bar: usize) -> Span {
        let slices = &solved.plan.slices;
        let first = slices.partition_point(|s| s.bar < bar);
        let end = slices.partition_point(|s| s.bar <= bar);
        Span {
            bar,
            inside: first..end,
            after: end..solved.landing(shapes, end),
        }
    }

    /// All of its slices.
    pub fn steps(&self) -> Range<usize> {
        self.inside.start..self.after.end
    }

    /// The bar as a way through the song has it.
    fn variant(&self, case: &Case, solved: &Solved, shapes: &Shapes) -> Variant {
        let arrangement = case.read(solved, shapes);
        let mut price = Price::default();
        for index in self.steps().filter(|_| !self.inside.is_empty()) {
            price += arrangement.slices[index].price;
        }
        let strokes = self.inside.clone().filter_map(|index| {
            Some((
                solved.plan.stroke(index)?,
                shapes.get(solved.path[index].shape),
            ))
        });
        let full = strokes
            .clone()
            .map(|(stroke, shape)| fullness(shape, stroke));
        let stretches = arrangement.slices[self.inside.clone()].iter();
        Variant {
            bar: self.bar,
            effort: price.effort(),
            fullness: full.sum(),
            stretch: stretches
                .filter_map(|s| s.stretch)
                .max_by_key(|s| (s.reserve, s.percent)),
            price,
            arrangement,
            strokes: strokes.map(|(stroke, _)| stroke.at).collect(),
        }
    }
}

/// What of a step is held equal.
struct Equal {
    melody: bool,
    bass: bool,
    strikes_bass: bool,
    /// After the bar: all of it.
    fixed: Option<(Shape, u8)>,
}

impl Equal {
    fn new(solved: &Solved, shapes: &Shapes, span: &Span, index: usize) -> Equal {
        let node = solved.path[index];
        let shape = *shapes.get(node.shape);
        let held = |voice: u8| voice != NONE && node.held >> voice & 1 == 1;
        Equal {
            melody: held(shape.melody),
            bass: held(shape.bass),
            strikes_bass: shape.bass != NONE && !held(shape.bass),
            fixed: span.after.contains(&index).then_some((shape, node.held)),
        }
    }

    fn allows(&self, group: &Group) -> bool {
        let fixed = |(shape, held): &(Shape, u8)| group.keep.grip == shape.kept(*held);
        (!self.melody || group.keep.melody != NONE)
            && (!self.bass || group.keep.bass != NONE)
            && self.fixed.as_ref().is_none_or(fixed)
    }
}

/// One frontier for each fullness.
struct ByFullness<'p> {
    equal: Equal,
    stroke: Option<&'p Stroke>,
    /// The fullness of the states that are gone on from.
    before: u32,
    frontiers: BTreeMap<u32, Frontier>,
}

impl Gather for ByFullness<'_> {
    fn frontier(&mut self, shape: &Shape) -> Option<&mut Frontier> {
        let fits = match &self.equal.fixed {
            Some((fixed, _)) => shape == fixed,
            None => !self.equal.strikes_bass || shape.bass != NONE,
        };
        let full = self.before + self.stroke.map_or(0, |k| fullness(shape, k));
        (self.frontiers.get_mut(&full)).filter(|_| fits)
    }

    fn is_beyond_all(&self, cost: i64) -> bool {
        self.frontiers.values().all(|f| f.is_beyond_all(cost))
    }

    fn most_at(&self, slot: usize) -> i64 {
        let most = self.frontiers.values().map(|f| f.most_at(slot));
        most.max().unwrap_or(-1)
    }
}

/// The states of one slice that are equally full so far.
pub(super) struct Stage {
    pub fullness: u32,
    pub groups: Groups,
    range: Range<usize>,
}

/// The states of one slice: all of them, and sorted by fullness.
pub(super) struct Row {
    pub nodes: Vec<Node>,
    pub stages: Vec<Stage>,
    /// The stroke that adds to the fullness here, as an index into the plan's.
    pub stroke: Option<usize>,
}

/// The nodes of each way on the front through the slices of the span, easiest first.
fn ways(
    case: &Case,
    solved: &Solved,
    span: &Span,
    (bench, easy): (&mut Bench, &mut Bench),
    slack: i64,
) -> Vec<Vec<Node>> {
    if span.inside.is_empty() {
        return vec![solved.path[span.steps()].to_vec()];
    }
    let mut search = Search::new(&solved.plan, easy, Measure::Sum { cap: NEVER });
    search.fence_in(fences(case.song, &solved.plan).unwrap_or_default());
    search.slack = slack;
    let equal = |index: usize, shapes: &Shapes| Equal::new(solved, shapes, span, index);
    let must_hold = |&i: &usize| equal(i, &bench.shapes).bass;
    search.bass_stays = span.steps().filter(must_hold).collect();
    let mut rows = vec![before(&mut search, solved, &bench.shapes, span)];
    for index in span.steps() {
        let equal = equal(index, &bench.shapes);
        let fullest = span.inside.contains(&index);
        if let Some(row) = rows.last_mut() {
            let row = advance(&mut search, row, index, (equal, fullest));
            rows.push(row);
        }
    }
    (front(rows.last()))
        .filter_map(|ends| least_price(&mut search, &rows, span.inside.start, ends, bench))
        .collect()
}

/// The one state that all ways start from.
fn before(search: &mut Search, solved: &Solved, shapes: &Shapes, span: &Span) -> Row {
    let mut start = Node::START;
    let first = span.inside.start;
    if let Some(index) = first.checked_sub(1) {
        let node = solved.path[index];
        let shape = shapes.get(node.shape);
        let same = &mut search.bench.shapes;
        start.shape = (same.shape(shape.grip, shape.melody, shape.bass)).unwrap_or(start.shape);
        start.place = node.place;
    }
    search.between(start, first..first);
    let mut groups = Groups::default();
    let nodes = search.starting(&mut groups);
    let stage = Stage {
        fullness: 0,
        groups,
        range: 0..1,
    };
    Row {
        nodes,
        stages: vec![stage],
        stroke: None,
    }
}

/// The states of the slice `index`.
fn advance(
    search: &mut Search,
    row: &mut Row,
    index: usize,
    (equal, counts): (Equal, bool),
) -> Row {
    let plan = search.plan;
    let adds = |&i: &usize| counts && !plan.strokes[i].over;
    let stroke = plan.slices[index].stroke.filter(adds);
    let most = if stroke.is_some() { FULLEST } else { 0 };
    let mut gather = ByFullness {
        equal,
        stroke: stroke.map(|i| &plan.strokes[i]),
        before: 0,
        frontiers: (row.stages.iter())
            .flat_map(|s| s.fullness..=s.fullness + most)
            .map(|full| (full, search.frontier(index, NEVER)))
            .collect(),
    };
    for stage in &mut row.stages {
        gather.before = stage.fullness;
        stage.groups.retain(|g| gather.equal.allows(g));
        search.advance(index, &row.nodes, &stage.groups, &mut gather);
    }
    let (mut nodes, mut stages) = (Vec::new(), Vec::new());
    for (fullness, frontier) in gather.frontiers {
        if frontier.nodes.is_empty() {
            continue;
        }
        let mut groups = Groups::default();
        let first = nodes.len() as u32;
        frontier.group(
            search.bench,
            search.measure,
            (first, usize::MAX),
            &mut groups,
        );
        let first = nodes.len();
        nodes.extend(frontier.nodes);
        stages.push(Stage {
            fullness,
            groups,
            range: first..nodes.len(),
        });
    }
    Row {
        nodes,
        stages,
        stroke,
    }
}

/// A fullness on the front, with the last states of the ways that are as easy as it can be had.
pub(super) struct Ends {
    pub fullness: u32,
    pub nodes: Vec<u32>,
}

/// The fullnesses that are had for less effort than any greater one, easiest first.
fn front(last: Option<&Row>) -> impl Iterator<Item = Ends> {
    let mut ends = Vec::new();
    let mut least = NEVER;
    for (row, stage) in (last.iter()).flat_map(|row| row.stages.iter().rev().map(move |s| (row, s)))
    {
        let cost = |i: usize| row.nodes[i].cost;
        let effort = stage.range.clone().map(cost).min().unwrap_or(NEVER);
        if effort < least {
            least = effort;
            let nodes = stage.range.clone().filter(|&i| cost(i) == effort);
            ends.push(Ends {
                fullness: stage.fullness,
                nodes: nodes.map(|i| i as u32).collect(),
            });
        }
    }
    ends.into_iter().rev()
}

/// The price of a step by the whole table, from and to states of another bench.
pub(super) fn full_price(
    search: &Search,
    bench: &mut Bench,
    index: usize,
    (from, to): (Option<&Node>, &Node),
) -> (i64, Node) {
    let mut same = |node: &Node| {
        let shape = *search.bench.shapes.get(node.shape);
        let id = (bench.shapes).shape(shape.grip, shape.melody, shape.bass);
        Node {
            shape: id.unwrap_or(Shapes::SILENCE),
            ..*node
        }
    };
    let (from, to) = (from.map(&mut same), same(to));
    let price = price_step(search.plan, &bench.shapes, index, from.as_ref(), &to);
    (price.total(), to)
}

#[cfg(test)]
mod tests {
    use super::super::super::{Options, arrange};
    use super::*;
    use crate::guitar::{Hand, Instrument};
    use crate::song::abc;

    /// Low and quick, so that notes are cut and chords come out thin, low down and without their bass.
    #[test]
    fn what_the_hands_pay_is_what_counts_as_their_effort() {
        let text = "X:1\nM:4/4\nL:1/8\nK:G\n\"G\"G,B,DG, B,DG,B,|\"C7\"C,E,G,C, \"F#m\"F,A,C2|\"B7\"B2 d2 a4|]\n";
        let song = abc::read_book(text).remove(0).unwrap().song;
        let options = Options {
            costs: hands_only(&Costs::default()),
            ..Options::default()
        };
        let hand = Hand::named("medium").unwrap();
        let price = arrange(&song, &Instrument::standard(), &hand, &options)
            .unwrap()
            .price;
        assert_eq!(price.total(), price.effort());
        assert_ne!(price.effort(), 0);
    }
}
