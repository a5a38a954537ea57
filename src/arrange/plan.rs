//! What the song wants at each moment, before any hand is asked: the slices, the melody in its
//! octave, and the strokes under it.

use super::Layer;
use super::arrangement::Tune;
use super::clock::Clock;
use super::ideas::{Marks, mark_at};
use super::strokes::{Ground, Stroke, fingers_beside_knock};
use crate::song::Song;
use crate::theory::{QUARTER, Ticks};
use std::ops::Range;

/// A melody note that goes below a ringing note stops it, unless it is as short as this.
pub(crate) const PASSING: Ticks = QUARTER / 2;

/// A song, or a part of it, as a row of slices.
#[derive(Debug, Clone)]
pub(crate) struct Plan {
    pub layer: Layer,
    /// What the slices are of, in ticks from the song's start.
    pub part: Range<Ticks>,
    /// The whole song's melody.
    pub melody: Vec<Tune>,
    pub strokes: Vec<Stroke>,
    pub slices: Vec<Wanted>,
    /// What the taken ideas ask for, where the layer is colour.
    pub marks: Marks,
}

/// What one slice wants.
#[derive(Debug, Clone)]
pub(crate) struct Wanted {
    /// Start in ticks from the song's start.
    pub at: Ticks,
    /// Index of the written bar.
    pub bar: usize,
    /// Milliseconds since the slice before started.
    pub millis: i64,
    /// The least such time from here on.
    pub quickest: i64,
    /// The melody note struck here.
    pub melody: Option<usize>,
    /// The melody note that should sound here, struck or held.
    pub sung: Option<usize>,
    /// The stroke that starts here.
    pub stroke: Option<usize>,
    /// The stroke whose notes may ring here, started here or before.
    pub under: Option<usize>,
    /// The melody note struck here is touched as a harmonic: string index and fret.
    pub touch: Option<(u8, i8)>,
    /// The idea that knocks here.
    pub hit: Option<usize>,
}

impl Wanted {
    /// Whether the left hand does something: for a knock alone it does not.
    pub fn acts(&self) -> bool {
        self.melody.is_some() || self.stroke.is_some()
    }
}

impl Plan {
    /// The stroke that starts in a slice.
    pub fn stroke(&self, index: usize) -> Option<&Stroke> {
        self.slices[index].stroke.map(|i| &self.strokes[i])
    }

    /// Lays out a song whose melody is moved by `shift` semitones (whole octaves).
    pub fn new(song: &Song, layer: Layer, shift: i32) -> Plan {
        Plan::of_part(song, layer, shift, 0..Ticks::MAX)
    }

    /// Lays out the slices in a part of a song, in ticks from the song's start, with the strokes that may
    /// ring in it: as they are in the plan of the whole song, but for the hand's time before the first
    /// of them and the quickest step to come, which is that of the part.
    pub fn of_part(song: &Song, layer: Layer, shift: i32, part: Range<Ticks>) -> Plan {
        if layer < Layer::Colour {
            return Plan::marked(song, (layer, shift), Marks::default(), part);
        }
        let coloured = song.is_recoloured().then(|| song.recoloured());
        let heard = coloured.as_ref().unwrap_or(song);
        Plan::marked(heard, (layer, shift), Marks::new(heard, song), part)
    }

    fn marked(song: &Song, (layer, shift): (Layer, i32), marks: Marks, part: Range<Ticks>) -> Plan {
        let starts = song.starts();
        let melody = melody(song, &starts, &song.runs_on(), shift);
        let ground = Ground {
            song,
            starts: &starts,
            melody: &melody,
            layer,
            marks: &marks,
        };
        let strokes = match layer {
            Layer::Melody => Vec::new(),
            _ => ground.strokes(&part),
        };
        let slices = slices(&ground, &strokes, &part);
        Plan {
            layer,
            part,
            melody,
            strokes,
            slices,
            marks,
        }
    }

    /// Where the slice `index` ends.
    pub fn end(&self, index: usize, song_end: Ticks) -> Ticks {
        self.slices.get(index + 1).map_or(song_end, |s| s.at)
    }
}

/// The melody with ties joined where the bars follow each other only in this order.
fn melody(song: &Song, starts: &[Ticks], joined: &[bool], shift: i32) -> Vec<Tune> {
    let mut tunes: Vec<Tune> = Vec::new();
    let mut tie_open = false;
    for (bar, written) in song.bars.iter().enumerate() {
        for note in &written.notes {
            let at = starts[bar] + note.at;
            let pitch = note.pitch.octaves_up(shift / 12);
            let goes_on = |last: &Tune| {
                tie_open
                    && last.end == at
                    && last.pitch.midi() == pitch.midi()
                    && (note.at > 0 || joined[bar])
            };
            match tunes.last_mut() {
                Some(last) if goes_on(last) => last.end = at + note.length,
                _ => tunes.push(Tune {
                    bar,
                    at,
                    end: at + note.length,
                    pitch,
                }),
            }
            tie_open = note.tied;
        }
    }
    tunes.retain(|t| t.end > t.at);
    tunes
}

fn slices(ground: &Ground, strokes: &[Stroke], part: &Range<Ticks>) -> Vec<Wanted> {
    let Ground { melody, marks, .. } = ground;
    let is_free = |at: &Ticks| match strokes.binary_search_by_key(at, |s| s.at) {
        Ok(i) => strokes[i].bassless && strokes[i].fill.1 <= fingers_beside_knock(melody, *at),
        Err(_) => true,
    };
    let knocks = (marks.hits.iter()).filter(|m| part.contains(&m.at) && is_free(&m.at));
    let knocks: Vec<_> = knocks.copied().collect();
    let mut onsets: Vec<Ticks> = melody[melody.partition_point(|t| t.at < part.start)..]
        .iter()
        .map(|t| t.at)
        .take_while(|&at| at < part.end)
        .chain(strokes.iter().map(|s| s.at).filter(|at| part.contains(at)))
        .chain(knocks.iter().map(|m| m.at))
        .collect();
    onsets.sort_unstable();
    onsets.dedup();
    let mut clock = Clock::new(ground.song, ground.starts);
    let slice = |at| {
        let bar = ground.starts.partition_point(|&s| s <= at);
        let sung = melody.partition_point(|t| t.at <= at).checked_sub(1);
        let sung = sung.filter(|&i| melody[i].end > at);
        let under = strokes.partition_point(|s| s.at <= at).checked_sub(1);
        let under = under.filter(|&i| strokes[i].end.max(strokes[i].fill_end) > at);
        let melody_here = sung.filter(|&i| melody[i].at == at);
        let stroke_here = under.filter(|&i| strokes[i].at == at);
        // The left hand does nothing for a knock, so its time goes on.
        let idle = melody_here.is_none() && stroke_here.is_none();
        Wanted {
            at,
            bar: bar.min(ground.song.bars.len()).saturating_sub(1),
            millis: if idle {
                i64::from(u32::MAX)
            } else {
                clock.millis_until(at)
            },
            quickest: i64::MAX,
            melody: melody_here,
            sung,
            stroke: stroke_here,
            under,
            touch: melody_here
                .and_then(|_| mark_at(&marks.touched, at))
                .map(|m| (m.what.0.saturating_sub(1), m.what.1 as i8)),
            hit: mark_at(&knocks, at).map(|m| m.idea),
        }
    };
    let mut slices: Vec<Wanted> = onsets.into_iter().map(slice).collect();
    let mut quickest = i64::MAX;
    for slice in slices.iter_mut().rev() {
        quickest = quickest.min(slice.millis);
        slice.quickest = quickest;
    }
    slices
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::song::{BassNote, Figure, Idea, Step, abc};
    use proptest::prelude::*;

    #[test]
    fn ties_join_notes_where_bars_follow_each_other_only_in_this_order() {
        let lengths = |bars: &str| -> Vec<Ticks> {
            let text = format!("X:1\nM:4/4\nL:1/4\nK:C\n{bars}\n");
            let song = abc::read_book(&text).remove(0).unwrap().song;
            let melody = Plan::new(&song, Layer::Melody, 0).melody;
            melody.iter().map(|t| (t.end - t.at) / QUARTER).collect()
        };
        assert_eq!(lengths("c2c2-|c4|]"), [2, 6]);
        assert_eq!(lengths("|:c4|c2-c2-:|c2-c2|]"), [4, 4, 4]);
    }

    fn bars() -> impl Strategy<Value = String> {
        let chord = prop::sample::select(vec!["", "", "", "\"C\"", "\"G7/B\"", "\"N.C.\""]);
        let note = prop::sample::select(vec!["C", "G,", "e", "B-", "z", "c/d/"]);
        let bar = prop::collection::vec((chord, note), 1..=6).prop_map(|notes| {
            let note = |(chord, note): &(&str, &str)| format!("{chord}{note}");
            notes.iter().map(note).collect::<String>()
        });
        let line = prop::sample::select(vec!["|", "|", "|[Q:1/4=60]", ":|"]);
        let bars = prop::collection::vec((bar, line), 1..=8);
        bars.prop_map(|bars| {
            bars.iter()
                .map(|(bar, line)| format!("{bar}{line}"))
                .collect()
        })
    }

    fn ideas() -> impl Strategy<Value = Vec<Idea>> {
        let note = || BassNote {
            name: "D".parse().expect("it is a note"),
            octave: None,
        };
        let walk = |step| Figure::Walk {
            step,
            notes: vec![note(); 5],
        };
        let figure = prop::sample::select(vec![
            Figure::Beats,
            Figure::Between,
            Figure::Breath,
            Figure::Hits,
            Figure::Hits,
            Figure::Roll(4),
            Figure::Broken(QUARTER / 2),
            Figure::Bass(note()),
            Figure::Harmonic { string: 2, fret: 7 },
            Figure::Campanella(vec![2, 1, 3]),
            walk(Step::Beat),
            walk(Step::Chord),
        ]);
        let idea = (0..8usize, 0..3i64, figure)
            .prop_map(|(bar, at, figure)| Idea::new(bar, at * QUARTER / 2, figure));
        prop::collection::vec(idea, 0..5)
    }

    /// What a plan says of a slice, written out; without the quickest step to come, and without the time
    /// before it where that is not known.
    fn said(plan: &Plan, index: usize, timed: bool) -> String {
        let mut slice = plan.slices[index].clone();
        let strokes = [slice.stroke.take(), slice.under.take()];
        slice.quickest = 0;
        if !timed {
            slice.millis = 0;
        }
        let strokes = strokes.map(|s| s.map(|i| &plan.strokes[i]));
        format!("{slice:?} {strokes:?}")
    }

    proptest! {
        #![proptest_config(crate::properties::cases(400))]

        #[test]
        fn a_part_is_laid_out_as_in_the_whole(
            bars in bars(),
            ideas in ideas(),
            layer in prop::sample::select(vec![Layer::Melody, Layer::Bass, Layer::Fill, Layer::Colour]),
            ends in (any::<prop::sample::Index>(), any::<prop::sample::Index>()),
        ) {
            let text = format!("X:1\nM:3/4\nL:1/4\nK:C\n{bars}\n");
            let mut song = abc::read_book(&text).remove(0).unwrap().song;
            song.ideas = ideas;
            song.ideas.retain(|i| i.to < song.bars.len() && i.at < song.bars[i.bar].length);
            let whole = Plan::new(&song, layer, 0);
            prop_assume!(!whole.slices.is_empty());
            let count = whole.slices.len();
            let (one, other) = (ends.0.index(count), ends.1.index(count + 1));
            let (from, to) = (one.min(other), one.max(other));
            let until = whole.slices.get(to).map_or(Ticks::MAX, |s| s.at);
            let part = Plan::of_part(&song, layer, 0, whole.slices[from].at..until);
            prop_assert_eq!(part.slices.len(), to - from);
            let first = part.slices.iter().position(Wanted::acts).unwrap_or(part.slices.len());
            for i in 0..to - from {
                let timed = i > first;
                prop_assert_eq!(said(&part, i, timed), said(&whole, from + i, timed));
            }
        }
    }
}
