//! A song in many keys on many guitars: what each costs, by the same exact search.

use super::answer::price_step;
use super::cost::{Cost, Price};
use super::search::Bench;
use super::shape::{NONE, Shapes};
use super::solve::{Case, Solved};
use super::{ArrangeError, Layer, Options};
use crate::guitar::{Hand, Instrument};
use crate::song::Song;
use crate::theory::Pitch;

/// How a song plays in one key on one guitar.
#[derive(Debug, Clone, PartialEq)]
pub struct Figures {
    /// The prices of all slices added up: what the hands pay and what the music loses.
    pub price: Price,
    /// The worst stretch, in percent of what is comfortable; 0 when two fingers are never down.
    pub stretch: i32,
    /// The part of the time in which a bass note should ring that it does, in thousandths; `None`
    /// without bass.
    pub ring: Option<i64>,
    /// The mean number of notes sounding where a chord starts, in thousandths; `None` without chords.
    pub full: Option<i64>,
    /// How often a barre is laid.
    pub barres: usize,
    /// The melody's lowest and highest note as played.
    pub range: (Pitch, Pitch),
}

/// The song without what holds only on the guitar it was made for: pins on strings and grips, and
/// ideas. Whatever is surveyed is measured without them.
pub fn unbound(song: &Song) -> Song {
    let mut free = song.for_any_guitar();
    free.ideas.clear();
    free
}

/// Solves each song on one guitar and tells `each` of its index and figures; an error is why that song
/// can't be played there. Stops as soon as `each` answers `false`.
///
/// The songs are best one song in several keys: what was worked out for one serves the others.
pub fn survey(
    songs: &[Song],
    instrument: &Instrument,
    hand: &Hand,
    options: &Options,
    each: &mut dyn FnMut(usize, Result<Figures, ArrangeError>) -> bool,
) {
    let costs = options.leaning();
    let mut bench = Bench::new(instrument, hand, &costs);
    for (index, song) in songs.iter().enumerate() {
        let case = Case { song, options };
        let figures = match case.settle(&mut bench) {
            Ok(solved) => Ok(figures(song, &solved, &bench.shapes)),
            Err(error) => Err(error),
        };
        if !each(index, figures) {
            return;
        }
    }
}

fn figures(song: &Song, solved: &Solved, shapes: &Shapes) -> Figures {
    let (plan, path) = (&solved.plan, &solved.path);
    let mut price = Price::default();
    let (mut stretch, mut barres) = (0, 0);
    let (mut notes, mut chords) = (0i64, 0i64);
    for (index, node) in path.iter().enumerate() {
        let before = index.checked_sub(1).map(|i| &path[i]);
        let step = price_step(plan, shapes, index, before, node);
        let shape = shapes.get(node.shape);
        let judged = shapes.hand.judge(&shapes.neck, &shape.grip);
        stretch = stretch.max(judged.ok().flatten().map_or(0, |s| s.percent));
        barres += usize::from(step[Cost::Barre] > 0);
        if plan.slices[index].stroke.is_some() {
            notes += i64::from(shape.sounding.count_ones());
            chords += 1;
        }
        price += step;
    }
    let pitches = || plan.melody.iter().map(|t| t.pitch);
    let low = pitches().min_by_key(|p| p.midi());
    let high = pitches().max_by_key(|p| p.midi());
    let range = low.zip(high);
    Figures {
        price,
        stretch,
        ring: ring(song, solved, shapes),
        full: (chords > 0).then(|| 1000 * notes / chords.max(1)),
        barres,
        range: range.unwrap_or((Pitch::from_midi(60, 0), Pitch::from_midi(60, 0))),
    }
}

/// The part of its time that the bass rings, in thousandths.
fn ring(song: &Song, solved: &Solved, shapes: &Shapes) -> Option<i64> {
    let answer = solved.wordless(song, shapes);
    let (mut rings, mut should) = (0, 0);
    for note in answer
        .struck(0..solved.path.len())
        .iter()
        .filter(|n| n.layer == Layer::Bass)
    {
        let at = solved.plan.slices[note.index].at;
        rings += note.end - at;
        should += note.wanted - at;
    }
    // A chord without its bass should have had one.
    for (slice, node) in solved.plan.slices.iter().zip(&solved.path) {
        let stroke = slice.stroke.map(|i| &solved.plan.strokes[i]);
        if let Some(stroke) = stroke
            && shapes.get(node.shape).bass == NONE
            && !stroke.silent
            && !stroke.bassless
        {
            should += stroke.end - stroke.at;
        }
    }
    (should > 0).then(|| 1000 * rings / should)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::arrange::arrange;
    use crate::song::abc;

    #[test]
    fn each_cell_is_the_song_solved_by_itself_and_the_best_is_the_best() {
        let text = "X:1\nM:3/4\nL:1/8\nK:G\n\"G\"B3 A G2|\"C\"e3 d c2|\"D7\"A2 F2 D2|\"G\"G6|]\n";
        let song = abc::read_book(text).remove(0).unwrap().song;
        let keys: Vec<Song> = [-3, 0, 2].map(|s| song.transposed(s)).to_vec();
        let hand = Hand::named("medium").unwrap();
        let options = Options::default();
        let (mut surveyed, mut alone) = (Vec::new(), Vec::new());
        for (tuning, capo) in [
            ("standard", 0),
            ("standard", 3),
            ("drop D", 0),
            ("DADGAD", 2),
        ] {
            let instrument = Instrument::new(tuning, capo, 19).unwrap();
            survey(&keys, &instrument, &hand, &options, &mut |i, figures| {
                let figures = figures.unwrap();
                surveyed.push((figures.price.total(), tuning, capo, i));
                let one = arrange(&keys[i], &instrument, &hand, &options).unwrap();
                assert_eq!(figures.price, one.price);
                alone.push((one.price.total(), tuning, capo, i));
                true
            });
        }
        assert_eq!(surveyed.len(), 12);
        assert_eq!(surveyed.iter().min(), alone.iter().min());
    }

    #[test]
    fn without_chords_nothing_is_said_of_bass_and_fullness() {
        let song = abc::read_book("X:1\nM:2/4\nL:1/4\nK:C\nEG|]\n").remove(0);
        let songs = [song.unwrap().song];
        let hand = Hand::named("medium").unwrap();
        let (instrument, options) = (Instrument::standard(), Options::default());
        let mut seen = None;
        survey(&songs, &instrument, &hand, &options, &mut |_, figures| {
            seen = figures.ok().map(|f| (f.ring, f.full));
            true
        });
        assert_eq!(seen, Some((None, None)));
    }

    #[test]
    fn it_stops_when_told() {
        let text = "X:1\nM:2/4\nL:1/4\nK:C\n\"C\"EG|]\n";
        let song = abc::read_book(text).remove(0).unwrap().song;
        let hand = Hand::named("medium").unwrap();
        let mut seen = 0;
        let songs = vec![song; 5];
        let instrument = Instrument::standard();
        survey(
            &songs,
            &instrument,
            &hand,
            &Options::default(),
            &mut |_, _| {
                seen += 1;
                seen < 2
            },
        );
        assert_eq!(seen, 2);
    }
}
