//! The ideas for a bar: found, priced by solving the bar anew, ranked.

use super::super::cost::Price;
use super::super::search::Bench;
use super::super::solve::{Case, Solved};
use super::super::{ArrangeError, Layer, Options};
use super::price::{Local, local};
use super::scene::{Draft, Scene};
use super::{bass, bells, chords, touch, walk, why};
use crate::guitar::{Hand, Instrument};
use crate::song::{Figure, Idea, Song};

/// An idea that can be played, with its reason and its price.
#[derive(Debug, Clone, PartialEq)]
pub struct Offer {
    /// What it is; it is taken when the song has it among its ideas.
    pub idea: Idea,
    /// What it does: `root and fifth in turn`.
    pub text: String,
    /// Why here.
    pub reason: String,
    /// What it costs beyond the arrangement at hand, by name: its bars solved anew with the rest left
    /// as it is, so that taken it costs no more.
    pub more: Price,
    /// What it gives to the music, in thousandths of an effort: the common rules of taste.
    pub worth: i64,
}

impl Offer {
    /// What the hands pay beyond the arrangement at hand, in thousandths of an effort; less than
    /// nothing where it makes the bar easier.
    pub fn effort(&self) -> i64 {
        self.more.effort()
    }

    /// Worth less effort: what offers are ranked by.
    pub fn gain(&self) -> i64 {
        self.worth - self.effort()
    }
}

/// Two bars with one pattern in a row.
pub(super) const AGAIN: i64 = 700;
/// The same treatment in a parallel place.
pub(super) const PARALLEL: i64 = 900;
/// What moves on in the song's last bar, where the end should ring: more than all that speaks for it.
const ENDING: i64 = 2_500;
/// Never more than this many ideas of one kind for one onset.
const ALIKE: usize = 2;

/// The ideas for the written bar `bar` (index from 0), the best first: around the arrangement of the
/// song with the ideas that it has. Those that the player left are not among them, nor those taken.
/// Every one can be played by this hand on this instrument.
///
/// # Errors
/// As for [`crate::arrange::arrange`].
pub fn offers(
    song: &Song,
    instrument: &Instrument,
    hand: &Hand,
    options: &Options,
    bar: usize,
) -> Result<Vec<Offer>, ArrangeError> {
    let costs = options.leaning();
    let mut bench = Bench::new(instrument, hand, &costs);
    let options = &coloured(options);
    let base = Case { song, options }.settle(&mut bench)?;
    Ok(of_bar(song, &base, &mut bench, bar))
}

/// The options with the fourth layer asked for.
pub(crate) fn coloured(options: &Options) -> Options {
    Options {
        layer: Layer::Colour,
        ..options.clone()
    }
}

/// The ideas for a bar around a way through the song.
pub(crate) fn of_bar(song: &Song, base: &Solved, bench: &mut Bench, bar: usize) -> Vec<Offer> {
    if bar >= song.bars.len() {
        return Vec::new();
    }
    let heard = song.recoloured();
    let scene = Scene::new(&heard, base, &bench.shapes, bar);
    let found = drafts(&scene);
    drop(scene);
    let mut offers = priced(song, base, bench, found);
    offers.sort_by_key(|o| -o.gain());
    few_alike(offers)
}

/// The ideas for the bar that a scene looks at, before they are priced.
pub(crate) fn drafts(scene: &Scene) -> Vec<Draft> {
    let mut found = bass::drafts(scene);
    found.extend(walk::drafts(scene));
    found.extend(touch::drafts(scene));
    found.extend(bells::drafts(scene));
    found.extend(chords::drafts(scene));
    found.retain(|d| !scene.song.ideas.iter().any(|i| i.is_like(&d.idea)));
    for draft in &mut found {
        // The end is like no other bar.
        let ends = scene.is_last() && moves_on(&draft.idea.figure);
        if ends {
            draft.worth -= ENDING;
        }
        if scene.repeats(&draft.idea.figure) {
            draft.worth -= AGAIN;
        }
        if !ends && scene.answers(&draft.idea.figure) {
            draft.worth += PARALLEL;
            draft.reason += "; as in the bar like it";
        }
    }
    found
}

/// Whether a figure goes on striking, or leaves out the bass, all through a bar.
fn moves_on(figure: &Figure) -> bool {
    matches!(
        figure,
        Figure::Beats | Figure::Between | Figure::Fifths | Figure::Hits | Figure::Breath
    )
}

/// Drafts with their prices, without those that can't be played or leave out what they are for.
pub(crate) fn priced(
    song: &Song,
    base: &Solved,
    bench: &mut Bench,
    drafts: Vec<Draft>,
) -> Vec<Offer> {
    let mut with = song.clone();
    let price = |draft: Draft| {
        with.ideas.truncate(song.ideas.len());
        with.ideas.push(draft.idea.clone());
        offer(&with, base, bench, draft)
    };
    drafts.into_iter().filter_map(price).collect()
}

/// The draft that is the last idea of a song, with its price.
fn offer(song: &Song, base: &Solved, bench: &mut Bench, draft: Draft) -> Option<Offer> {
    let bars = first_bar(song, &draft.idea, base)..draft.idea.to + 1;
    let local = local(song, base, bench, bars)?;
    let missing = super::super::Cost::BassMissing;
    if local.more[missing] > 0 || !is_heard(song, &local, bench) {
        return None;
    }
    Some(Offer {
        text: why(&draft.idea.figure),
        reason: draft.reason,
        worth: draft.worth,
        more: local.more,
        idea: draft.idea,
    })
}

/// The first bar in which an idea changes anything: a slur asks for a string of the note before, too.
fn first_bar(song: &Song, idea: &Idea, base: &Solved) -> usize {
    if !matches!(idea.figure, crate::song::Figure::Slur { .. }) {
        return idea.bar;
    }
    let at = song.starts()[idea.bar] + idea.at;
    let melody = &base.plan.melody;
    let before = melody.partition_point(|t| t.at < at).checked_sub(1);
    before.map_or(idea.bar, |i| melody[i].bar.min(idea.bar))
}

/// Whether the last idea of a song is heard in the bars solved for it: a slur as a slur, a knock as a
/// knock, each note of a campanella over the next, another chord by a note that the written one lacks.
fn is_heard(song: &Song, local: &Local, bench: &Bench) -> bool {
    let Some(idea) = song.ideas.last() else {
        return false;
    };
    let solved = &local.solved;
    let answer = solved.wordless(song, &bench.shapes);
    let at = song.starts()[idea.bar] + idea.at;
    let onset = |index: usize| solved.plan.slices[index].at;
    match &idea.figure {
        Figure::Slur { .. } => {
            let notes = answer.struck(local.steps.clone());
            let here = || notes.iter().filter(|n| onset(n.index) == at);
            here().any(|n| answer.is_slurred(&notes, n))
        }
        Figure::Hits => {
            let grips = answer.ring_over(&mut answer.struck(local.steps.clone()));
            let here = |i: &usize| solved.plan.slices[*i].bar == idea.bar;
            let mut here = local.steps.clone().filter(here);
            here.any(|i| answer.knock(i, &grips[i]).is_some())
        }
        Figure::Campanella(strings) => {
            let mut notes = answer.struck(local.steps.clone());
            answer.ring_over(&mut notes);
            let tune = notes.iter().filter(|n| n.layer == Layer::Melody);
            let run: Vec<_> = (tune.filter(|n| onset(n.index) >= at))
                .take(strings.len())
                .collect();
            run.windows(2)
                .all(|pair| pair[0].end > onset(pair[1].index))
        }
        Figure::Chord(_) => {
            let index = local.steps.clone().find(|&i| onset(i) == at);
            let stroke = index.and_then(|i| Some((solved.plan.stroke(i)?, answer.shape(i))));
            stroke.is_some_and(|(stroke, shape)| {
                let mut under = shape.strings().filter(|&s| shape.melody != s as u8);
                under.any(|s| stroke.brings(shape.midi(s)))
            })
        }
        _ => true,
    }
}

/// The list without more than a few of one kind at one onset, the best kept.
fn few_alike(offers: Vec<Offer>) -> Vec<Offer> {
    let mut kept: Vec<Offer> = Vec::with_capacity(offers.len());
    for offer in offers {
        let kind = std::mem::discriminant(&offer.idea.figure);
        let alike = kept.iter().filter(|k| {
            k.idea.at == offer.idea.at && std::mem::discriminant(&k.idea.figure) == kind
        });
        if alike.count() < ALIKE {
            kept.push(offer);
        }
    }
    kept
}
