//! Among ways that are equally full and equally easy, the one of least price.

use super::super::frontier::Node;
use super::super::search::{Bench, Search};
use super::front::{Ends, Row, full_price};
use super::variant::fullness;
use std::collections::BTreeMap;

/// The steps by which a state is come to as easily as can be: index of the state before, strings
/// held.
type Steps = BTreeMap<u32, Vec<(u32, u8)>>;

/// The cheapest way by the whole cost table among those that end in `ends` at the effort that these
/// states have, as states of `bench`. The rows begin with the state before the slice `first`.
pub(super) fn least_price(
    search: &mut Search,
    rows: &[Row],
    first: usize,
    ends: Ends,
    bench: &mut Bench,
) -> Option<Vec<Node>> {
    let steps = easiest_steps(search, rows, first, ends);
    // For each state: the least price of a way to it, the state before, and the state itself.
    let mut table: Vec<BTreeMap<u32, (i64, u32, Node)>> = Vec::with_capacity(rows.len());
    table.push(BTreeMap::from([(0, (0, 0, rows[0].nodes[0]))]));
    for (i, steps) in steps.iter().enumerate() {
        let index = first + i;
        let mut here = BTreeMap::new();
        for (&to, from) in steps {
            let ways = from.iter().filter_map(|&(before, held)| {
                let node = Node {
                    held,
                    ..rows[i + 1].nodes[to as usize]
                };
                let was = &rows[i].nodes[before as usize];
                let so_far = table[i].get(&before)?.0;
                let from = (index > 0).then_some(was);
                let (price, node) = full_price(search, bench, index, (from, &node));
                Some((so_far + price, before, node))
            });
            if let Some(best) = ways.min_by_key(|w| (w.0, w.1)) {
                here.insert(to, best);
            }
        }
        table.push(here);
    }
    let last = table.last()?;
    let mut at = *last.iter().min_by_key(|(_, way)| way.0)?.0;
    let mut path = Vec::with_capacity(steps.len());
    for here in table[1..].iter().rev() {
        let (_, before, node) = here.get(&at)?;
        path.push(*node);
        at = *before;
    }
    path.reverse();
    Some(path)
}

/// For each row after the first, the steps that lie on a way as easy as can be to one of `ends`.
fn easiest_steps(search: &mut Search, rows: &[Row], first: usize, ends: Ends) -> Vec<Steps> {
    let mut all = Vec::with_capacity(rows.len());
    let mut wanted: BTreeMap<u32, u32> = (ends.nodes.iter()).map(|&n| (n, ends.fullness)).collect();
    for i in (1..rows.len()).rev() {
        let index = first + i - 1;
        let (mut steps, mut next) = (Steps::new(), BTreeMap::new());
        for (&to, &full) in &wanted {
            let node = rows[i].nodes[to as usize];
            let stroke = rows[i].stroke.map(|k| &search.plan.strokes[k]);
            let shape = search.bench.shapes.get(node.shape);
            let before = full - stroke.map_or(0, |k| fullness(shape, k));
            let stage = rows[i - 1].stages.iter().find(|s| s.fullness == before);
            let Some(stage) = stage else { continue };
            let cost = (&node, node.cost);
            for edge in search.edges(index, &rows[i - 1].nodes, &stage.groups, cost) {
                steps.entry(to).or_default().push((edge.from, edge.held));
                next.insert(edge.from, before);
            }
        }
        all.push(steps);
        wanted = next;
    }
    all.reverse();
    all
}
