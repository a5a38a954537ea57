//! A bar wider than a line, cut at its beats into parts that fit.

use super::rhythm::Voice;
use super::written::Written;
use crate::theory::Ticks;

/// The bar itself if it fits, else its parts; what has no beat to be cut at stays whole.
pub(super) fn parts(bar: Written, fits: &impl Fn(&Written) -> bool) -> Vec<Written> {
    if fits(&bar) {
        return vec![bar];
    }
    let middle = bar.length / 2;
    let clean = bar.beats.iter().copied().filter(|&b| is_clean(&bar, b));
    let Some(place) = clean.min_by_key(|b| (b - middle).abs()) else {
        return vec![bar];
    };
    let (front, back) = cut(bar, place);
    let mut all = parts(front, fits);
    all.extend(parts(back, fits));
    all
}

/// Whether no beam and no tuplet goes over a place.
fn is_clean(bar: &Written, place: Ticks) -> bool {
    [&bar.upper, &bar.lower].into_iter().all(|voice| {
        let next = voice.signs.partition_point(|s| s.at < place);
        let before = next.checked_sub(1).and_then(|i| voice.signs.get(i));
        let tuplet = before.and_then(|s| s.tuplet);
        let torn = tuplet.is_some() && voice.signs.get(next).is_some_and(|s| s.tuplet == tuplet);
        !torn && voice.beams.iter().all(|&(a, b)| b < next || a >= next)
    })
}

fn cut(bar: Written, place: Ticks) -> (Written, Written) {
    let (upper, upper_rest) = cut_voice(bar.upper, place);
    let (lower, lower_rest) = cut_voice(bar.lower, place);
    let tied = |voice: &Voice| voice.signs.last().is_some_and(|s| s.tied);
    let tied_in = [tied(&upper), tied(&lower)];
    let rings = (bar.notes.iter())
        .filter(|n| n.at < place)
        .filter_map(|n| Some((n.string, n.rings?)));
    let ringing = rings.chain(bar.ringing.iter().copied());
    let ringing: Vec<(u8, Ticks)> = ringing.filter(|r| r.1 > place).collect();
    let (mut notes, mut notes_rest) = (bar.notes, Vec::new());
    notes_rest.extend(notes.extract_if(.., |n| n.at >= place));
    let (mut names, mut names_rest) = (bar.names, Vec::new());
    names_rest.extend(names.extract_if(.., |n| n.at >= place));
    let (mut barres, mut barres_rest) = (bar.barres, Vec::new());
    barres_rest.extend(barres.extract_if(.., |b| b.0 >= place));
    for note in &mut notes_rest {
        note.at -= place;
        note.rings = note.rings.map(|end| end - place);
    }
    names_rest.iter_mut().for_each(|n| n.at -= place);
    barres_rest.iter_mut().for_each(|b| b.0 -= place);
    let beats = |from: Ticks, to: Ticks| {
        let inside = bar.beats.iter().filter(move |&&b| from < b && b < to);
        inside.map(|b| b - from).collect::<Vec<Ticks>>()
    };
    let back = Written {
        number: None,
        length: bar.length - place,
        opens: false,
        close: bar.close,
        passes: None,
        beats: beats(place, bar.length),
        upper: upper_rest,
        lower: lower_rest,
        notes: notes_rest,
        names: names_rest,
        barres: barres_rest,
        meter: None,
        tempo: None,
        ringing: ringing
            .into_iter()
            .map(|(s, end)| (s, end - place))
            .collect(),
        tied_in,
    };
    let front = Written {
        number: bar.number,
        length: place,
        opens: bar.opens,
        close: None,
        passes: bar.passes,
        beats: beats(0, place),
        upper,
        lower,
        notes,
        names,
        barres,
        meter: bar.meter,
        tempo: bar.tempo,
        ringing: bar.ringing,
        tied_in: bar.tied_in,
    };
    (front, back)
}

fn cut_voice(voice: Voice, place: Ticks) -> (Voice, Voice) {
    let next = voice.signs.partition_point(|s| s.at < place);
    let mut front = voice;
    let mut back = Voice {
        signs: front.signs.split_off(next),
        tuplets: front.tuplets.clone(),
        beams: front
            .beams
            .iter()
            .filter(|b| b.0 >= next)
            .copied()
            .collect(),
    };
    front.beams.retain(|b| b.1 < next);
    for sign in &mut back.signs {
        sign.at -= place;
        sign.end -= place;
    }
    for beam in &mut back.beams {
        *beam = (beam.0 - next, beam.1 - next);
    }
    (front, back)
}
