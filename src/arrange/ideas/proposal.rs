//! Proposals for a whole song: ideas of one character, chosen together for a budget of effort.

use super::super::arrangement::Arrangement;
use super::super::search::Bench;
use super::super::solve::{Case, Solved};
use super::super::{ArrangeError, Options};
use super::choice::{Treatment, choose};
use super::offer::{AGAIN, Offer, PARALLEL, coloured, drafts, priced};
use super::scene::{Draft, Scene, is_parallel};
use super::walk;
use crate::guitar::{Hand, Instrument};
use crate::song::{Doubling, Figure, Idea, Song, Step};
use rustc_hash::FxHashMap;

/// The character of a proposal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Proposal {
    /// A little colour where phrases end and notes are long.
    Plain,
    /// The bass walks, over chords and over beats.
    Walking,
    /// Bass patterns, knocks, slurs.
    Lively,
    /// Breaths, bells and rolled chords.
    Sparse,
}

impl Proposal {
    /// All of them.
    pub const ALL: [Proposal; 4] = [
        Proposal::Plain,
        Proposal::Walking,
        Proposal::Lively,
        Proposal::Sparse,
    ];

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Proposal::Plain => "plain",
            Proposal::Walking => "walking",
            Proposal::Lively => "lively",
            Proposal::Sparse => "sparse",
        }
    }

    /// What an idea is worth more to this character, in thousandths of an effort; `None` where it has
    /// no place in it.
    fn likes(self, idea: &Idea, starts_chord: bool) -> Option<i64> {
        use Proposal::{Lively, Plain, Sparse, Walking};
        match (self, &idea.figure) {
            (Walking, Figure::Walk { step, .. }) => Some(match step {
                Step::Chord => 600,
                Step::Beat => 0,
            }),
            // The line says which bass a chord has.
            (Walking, Figure::Bass(_)) if !starts_chord => Some(0),
            (Walking, Figure::Chord(_)) if !starts_chord => Some(0),
            (Walking, Figure::Doubled(Doubling::Tenth)) => Some(200),
            (Lively, Figure::Doubled(Doubling::Octave)) => Some(0),
            (Plain, Figure::Roll(_)) => Some(-600),
            (Plain, Figure::Broken(_)) => Some(0),
            (Plain, Figure::Bass(_)) if starts_chord => Some(-2_000),
            (Lively, Figure::Fifths | Figure::Beats | Figure::Between) => Some(400),
            (Lively, Figure::Hits) => Some(-200),
            (Lively, Figure::Slur { .. } | Figure::Broken(_)) => Some(100),
            (Sparse, Figure::Breath) => Some(-500),
            (Sparse, Figure::Harmonic { .. }) => Some(200),
            (Sparse, Figure::Campanella(_)) => Some(0),
            (Sparse, Figure::Roll(_)) => Some(-500),
            (Sparse, Figure::Broken(_)) => Some(-400),
            _ => None,
        }
    }
}

/// A set of ideas for a whole song.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposed {
    /// Its character.
    pub proposal: Proposal,
    /// The ideas in order of their bars, each with reason and price.
    pub offers: Vec<Offer>,
    /// What the hands pay for the whole song without them, in thousandths of an effort.
    pub before: i64,
    /// The song arranged with them; its song has them among its ideas.
    pub arrangement: Arrangement,
}

impl Proposed {
    /// What the hands pay for the whole song more than without, in thousandths of an effort.
    pub fn more(&self) -> i64 {
        self.arrangement.price.effort() - self.before
    }
}

/// How often a budget is made smaller, or ideas that don't go together are left out.
const ROUNDS: usize = 12;

/// The ideas of a character that gain most together (worth less effort), for no more than `budget` thousandths of an
/// effort beyond the song as it is. Ideas that the song has already stay.
///
/// Every idea is priced by its bars solved anew with the rest left as it is; the choice among them is
/// exact (`choice.rs`). Then the song is solved with all of them. Should they cost more
/// together than each by itself, the budget is made smaller by as much and they are chosen anew.
///
/// # Errors
/// As for [`crate::arrange::arrange`].
pub fn propose(
    song: &Song,
    instrument: &Instrument,
    hand: &Hand,
    options: &Options,
    (proposal, budget): (Proposal, i64),
) -> Result<Proposed, ArrangeError> {
    let costs = options.leaning();
    let mut bench = Bench::new(instrument, hand, &costs);
    let options = coloured(options);
    let case = Case {
        song,
        options: &options,
    };
    let base = case.settle(&mut bench)?;
    // Ideas don't change the octave.
    let options = Options {
        shift: Some(base.shift),
        ..options.clone()
    };
    let before = case.read(&base, &bench.shapes).price.effort();
    let mut menu = menu(song, &base, &mut bench, proposal);
    let mut left = budget;
    for _ in 0..ROUNDS {
        let taken = pick(&menu, song.bars.len(), left);
        let mut with = song.clone();
        with.ideas
            .extend(taken.iter().map(|&i| menu[i].idea.clone()));
        let case = Case {
            song: &with,
            options: &options,
        };
        match case.settle(&mut bench) {
            Ok(solved) => {
                let arrangement = case.read(&solved, &bench.shapes);
                let over = arrangement.price.effort() - before - budget;
                if over <= 0 || taken.is_empty() {
                    return Ok(Proposed {
                        proposal,
                        offers: taken.iter().map(|&i| menu[i].clone()).collect(),
                        before,
                        arrangement,
                    });
                }
                left -= over;
            }
            Err(ArrangeError::Ideas { ideas, .. }) => {
                let own = song.ideas.len();
                let clash = ideas.iter().filter_map(|&i| taken.get(i.checked_sub(own)?));
                let Some(&last) = clash.max() else { break };
                menu.remove(last);
            }
            Err(other) => return Err(other),
        }
    }
    Ok(Proposed {
        proposal,
        offers: Vec::new(),
        before,
        arrangement: case.read(&base, &bench.shapes),
    })
}

/// The offers to take.
fn pick(menu: &[Offer], bars: usize, budget: i64) -> Vec<usize> {
    let list: Vec<Treatment> = (menu.iter())
        .map(|o| Treatment {
            bar: o.idea.bar,
            bars: o.idea.to + 1 - o.idea.bar,
            kind: kind(&o.idea.figure),
            worth: o.gain(),
            effort: o.effort(),
        })
        .collect();
    choose(&list, bars, budget, AGAIN)
}

/// Figures that are one pattern to the ear.
fn kind(figure: &Figure) -> usize {
    match figure {
        Figure::Beats => 0,
        Figure::Between => 1,
        Figure::Fifths => 2,
        Figure::Breath => 3,
        // Both lead the bass on to the next bar.
        Figure::Bass(_) | Figure::Walk { .. } => 4,
        Figure::Roll(_) => 5,
        Figure::Broken(_) => 6,
        Figure::Harmonic { .. } => 7,
        Figure::Hits => 8,
        Figure::Slur { .. } => 9,
        Figure::Chord(_) => 10,
        Figure::Doubled(_) => 11,
        Figure::Campanella(_) => 12,
    }
}

/// All that a character could take, priced, in order of bars.
fn menu(song: &Song, base: &Solved, bench: &mut Bench, proposal: Proposal) -> Vec<Offer> {
    let heard = song.recoloured();
    let mut found: Vec<Draft> = Vec::new();
    let mut found_from: Vec<Vec<usize>> = vec![Vec::new(); song.bars.len()];
    let mut scene = Scene::new(&heard, base, &bench.shapes, 0);
    if proposal == Proposal::Walking {
        walk::follow(&mut scene);
    }
    for bar in 0..song.bars.len() {
        scene.bar = bar;
        if song.taken().any(|(_, i)| (i.bar..=i.to).contains(&bar)) {
            continue; // the player has spoken
        }
        for mut draft in drafts(&scene) {
            let alike = &mut found_from[draft.idea.bar];
            let known = alike.iter().any(|&i| found[i].idea.is_like(&draft.idea));
            let at = scene.starts[draft.idea.bar] + draft.idea.at;
            let starts_chord = scene.next(at).is_some_and(|c| c.at == at);
            if let (Some(more), false) = (proposal.likes(&draft.idea, starts_chord), known) {
                draft.worth += more;
                alike.push(found.len());
                found.push(draft);
            }
        }
    }
    drop(scene);
    if proposal == Proposal::Walking {
        lines_first(&mut found);
    }
    parallels(song, &mut found);
    found.retain(|d| d.worth > 0);
    found.sort_by_key(|d| d.idea.bar);
    priced(song, base, bench, found)
}

/// Leaves out what would be in the way of a line over chords: what leads elsewhere counts on those.
fn lines_first(drafts: &mut Vec<Draft>) {
    let is_line = |i: &Idea| {
        matches!(
            i.figure,
            Figure::Walk {
                step: Step::Chord,
                ..
            }
        )
    };
    let lines: Vec<(usize, usize)> = (drafts.iter())
        .filter(|d| is_line(&d.idea))
        .map(|d| (d.idea.bar, d.idea.to))
        .collect();
    let meets = |i: &Idea| lines.iter().any(|&(from, to)| i.bar <= to && from <= i.to);
    drafts.retain(|d| is_line(&d.idea) || !meets(&d.idea));
}

/// What can be done in two places alike is worth more in both, so that a phrase that comes back is
/// treated as before.
fn parallels(song: &Song, drafts: &mut [Draft]) {
    let one_bar = |i: &Idea| i.bar == i.to;
    let mut groups: Vec<usize> = Vec::with_capacity(song.bars.len());
    for bar in 0..song.bars.len() {
        let first = (0..bar).find(|&b| groups[b] == b && is_parallel(song, b, bar));
        groups.push(first.unwrap_or(bar));
    }
    let treatment = |i: &Idea| (groups[i.bar], kind(&i.figure));
    // By treatment: the first and the last bar that may have it.
    let mut places: FxHashMap<(usize, usize), (usize, usize)> = FxHashMap::default();
    for idea in drafts.iter().map(|d| &d.idea) {
        let bars = places
            .entry(treatment(idea))
            .or_insert((idea.bar, idea.bar));
        *bars = (bars.0.min(idea.bar), bars.1.max(idea.bar));
    }
    for draft in drafts.iter_mut().filter(|d| one_bar(&d.idea)) {
        if places
            .get(&treatment(&draft.idea))
            .is_some_and(|(first, last)| first < last)
        {
            draft.worth += PARALLEL / 4;
        }
    }
}
