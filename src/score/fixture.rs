//! A few bars arranged by hand, and the demo songs, for tests.

use crate::arrange::{
    Arrangement, Layer, Options, Placed, Pluck, Price, Reason, Remark, RightFinger, Slice,
    Technique, Tune, arrange,
};
use crate::guitar::{Grip, Hand, Instrument, Span, Stretch};
use crate::song::{Bar, ChordChange, Close, GuitarWish, Note, Place, Song, SongFile, Tempo};
use crate::theory::{Key, Meter, Pitch, QUARTER, Symbol, Ticks};

/// A guitar in standard tuning without capo.
pub(crate) fn guitar() -> Instrument {
    Instrument {
        tuning: "standard".into(),
        open: ["E4", "B3", "G3", "D3", "A2", "E2"]
            .iter()
            .map(|n| pitch(n))
            .collect(),
        capo: 0,
        frets: 19,
        scale_mm: 650.0,
        nut_spacing_mm: 8.7,
        bridge_spacing_mm: 11.7,
    }
}

/// A hand with round figures.
pub(crate) fn hand() -> Hand {
    let span = Span {
        comfortable: 600,
        largest: 900,
    };
    Hand {
        name: "medium".into(),
        spans: [[span; 4]; 4],
    }
}

pub(crate) fn pitch(text: &str) -> Pitch {
    text.parse().unwrap()
}

/// An empty bar of a meter, full length.
pub(crate) fn bar(number: u32, meter: &str) -> Bar {
    let meter: Meter = meter.parse().unwrap();
    Bar {
        number,
        length: meter.bar(),
        meter,
        key: Key::C_MAJOR,
        tempo: None,
        notes: Vec::new(),
        chords: Vec::new(),
        opens_repeat: false,
        close: Close::Single,
        ending: Vec::new(),
        place: Place::default(),
    }
}

fn change(at: Ticks, symbol: &str) -> ChordChange {
    ChordChange {
        at,
        symbol: Symbol::parse(symbol).unwrap(),
        place: Place::default(),
    }
}

/// One attack as the fixtures write it: onset and end in eighths of a quarter from the song's
/// start, string, fret, left finger, right finger, layer.
pub(crate) type Attack = (Ticks, Ticks, u8, u8, u8, RightFinger, Layer);

/// Puts an arrangement together from bars and attacks; melody, slices and grips follow from them.
pub(crate) fn arranged(title: &str, bars: Vec<Bar>, attacks: &[Attack]) -> Arrangement {
    arranged_on(&guitar(), title, bars, attacks)
}

/// The same on another instrument.
pub(crate) fn arranged_on(
    instrument: &Instrument,
    title: &str,
    bars: Vec<Bar>,
    attacks: &[Attack],
) -> Arrangement {
    let unit = QUARTER / 8;
    let mut song = Song {
        title: title.into(),
        composer: None,
        tags: Vec::new(),
        key: Key::C_MAJOR,
        tempo: Tempo {
            beat: QUARTER,
            per_minute: 96,
        },
        bars,
        guitar: GuitarWish::default(),
        pins: Vec::new(),
        ideas: Vec::new(),
    };
    let starts = song.starts();
    let bar_of = |at: Ticks| starts.partition_point(|&s| s <= at) - 1;
    let plucks: Vec<Pluck> = attacks
        .iter()
        .map(|&(at, end, string, fret, left, right, layer)| Pluck {
            bar: bar_of(at * unit),
            at: at * unit,
            end: end * unit,
            string,
            fret,
            pitch: Pitch::from_midi(instrument.sounding(string, fret), 2),
            left,
            barre: false,
            right,
            layer,
            technique: Technique::Plain,
            reason: Reason::Fill {
                place: Placed {
                    pitch: Pitch::from_midi(instrument.sounding(string, fret), 2),
                    string,
                    fret,
                    finger: left,
                },
                tone: "by hand".into(),
            },
        })
        .collect();
    let mut melody = Vec::new();
    for p in plucks.iter().filter(|p| p.layer == Layer::Melody) {
        melody.push(Tune {
            bar: p.bar,
            at: p.at,
            end: p.end,
            pitch: p.pitch,
        });
        song.bars[p.bar].notes.push(Note {
            at: p.at - starts[p.bar],
            length: (p.end.min(starts[p.bar + 1])) - p.at,
            pitch: p.pitch.octaves_up(1),
            tied: false,
            place: Place::default(),
        });
    }
    let mut onsets: Vec<Ticks> = plucks.iter().map(|p| p.at).chain([0]).collect();
    onsets.sort_unstable();
    onsets.dedup();
    onsets.push(starts[song.bars.len()]);
    let slices = onsets
        .windows(2)
        .map(|pair| slice(bar_of(pair[0]), pair[0], pair[1], &plucks))
        .collect();
    Arrangement {
        song,
        instrument: instrument.clone(),
        hand: hand(),
        layer: Layer::Fill,
        shift: -12,
        melody,
        slices,
        plucks,
        remarks: Vec::new(),
        price: Price::default(),
    }
}

fn slice(bar: usize, at: Ticks, end: Ticks, plucks: &[Pluck]) -> Slice {
    let mut grip = Grip::EMPTY;
    for p in plucks.iter().filter(|p| p.at <= at && at < p.end) {
        let string = usize::from(p.string) - 1;
        grip.frets[string] = p.fret as i8;
        grip.fingers[string] = p.left;
    }
    let down = grip.fingers.iter().filter(|&&f| f > 0).count();
    Slice {
        bar,
        at,
        end,
        grip,
        stretch: (down > 1).then_some(Stretch {
            fingers: (1, 3),
            distance: 528,
            percent: 88,
            reserve: 0,
        }),
        price: Price::default(),
    }
}

/// Three bars of 3/4, the first a pickup of one beat: bass held, fill where the chord starts.
pub(crate) fn waltz() -> Arrangement {
    use Layer::{Bass, Fill, Melody};
    use RightFinger::{A, I, M, P};
    let mut pickup = bar(0, "3/4");
    pickup.length = QUARTER;
    let mut one = bar(1, "3/4");
    one.chords.push(change(0, "C"));
    let mut two = bar(2, "3/4");
    two.chords.push(change(0, "G/B"));
    two.close = Close::Final;
    let mut arrangement = arranged(
        "Lamps on the Quay",
        vec![pickup, one, two],
        &[
            (0, 8, 3, 0, 0, M, Melody),
            (8, 32, 5, 3, 3, P, Bass),
            (8, 24, 3, 0, 0, I, Fill),
            (8, 24, 2, 1, 1, M, Melody),
            (24, 28, 2, 3, 4, M, Melody),
            (28, 32, 1, 0, 0, A, Melody),
            (32, 48, 5, 2, 2, P, Bass),
            (32, 56, 3, 0, 0, I, Fill),
            (32, 56, 2, 3, 4, M, Melody),
        ],
    );
    arrangement.remarks.push(Remark {
        bar: 2,
        at: 6 * QUARTER,
        text: "the bass B is let go one beat early".into(),
    });
    arrangement
}

/// Four bars of 4/4 with a repeat, two endings, a barre, high frets, triplets and slurs.
pub(crate) fn round() -> Arrangement {
    use Layer::{Bass, Fill, Melody};
    use RightFinger::{A, I, M, P};
    let mut bars: Vec<Bar> = (1..=4).map(|n| bar(n, "4/4")).collect();
    bars[0].opens_repeat = true;
    bars[0].chords.push(change(0, "F"));
    bars[1].chords.push(change(0, "B♭m7"));
    bars[1].chords.push(change(2 * QUARTER, "C7sus4/G"));
    bars[2].ending = vec![1, 2];
    bars[2].close = Close::Repeat(3);
    bars[3].ending = vec![3];
    bars[3].meter = "2/4".parse().unwrap();
    bars[3].length = bars[3].meter.bar();
    bars[3].tempo = Some(Tempo {
        beat: QUARTER / 2 * 3,
        per_minute: 60,
    });
    bars[3].close = Close::Final;
    let mut attacks = vec![
        (0, 32, 6, 1, 1, P, Bass),
        (0, 16, 3, 2, 2, I, Fill),
        (0, 16, 2, 1, 1, M, Fill),
        (0, 16, 1, 1, 1, A, Melody),
        (16, 32, 1, 12, 4, A, Melody),
        (32, 48, 5, 1, 1, P, Bass),
        (32, 36, 1, 10, 2, M, Melody),
        (36, 40, 1, 12, 4, A, Melody),
        (40, 64, 2, 11, 1, M, Melody),
        (48, 64, 6, 3, 2, P, Bass),
        (64, 96, 5, 3, 3, P, Bass),
        (96, 112, 6, 1, 1, P, Bass),
        (96, 112, 1, 1, 1, A, Melody),
    ];
    for i in 0..4 {
        attacks.push((64 + 8 * i, 72 + 8 * i, 3, 0, 0, I, Melody));
    }
    attacks.sort_by_key(|a| (a.0, std::cmp::Reverse(a.2)));
    let mut arrangement = arranged("Round the Breakwater", bars, &attacks);
    // The last beat of the third bar moves by triplets.
    let beat = 11 * QUARTER;
    let mut triplets: Vec<Pluck> = Vec::new();
    for i in 1..3 {
        let mut pluck = arrangement.plucks[0].clone();
        pluck.bar = 2;
        pluck.at = beat + i * QUARTER / 3;
        pluck.end = pluck.at + QUARTER / 3;
        (pluck.string, pluck.fret, pluck.left) = (2, i as u8, i as u8);
        pluck.pitch = Pitch::from_midi(arrangement.instrument.sounding(2, i as u8), 2);
        (pluck.layer, pluck.right, pluck.technique) = (Melody, M, Technique::Slur);
        triplets.push(pluck);
    }
    arrangement.plucks.extend(triplets);
    arrangement.plucks.sort_by_key(|p| p.at);
    arrangement
}

/// The demo songs with their files' names, arranged as their files ask for.
pub(crate) fn demos() -> Vec<(String, Arrangement)> {
    let folder = std::fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/songs")).unwrap();
    let mut paths: Vec<_> = folder.map(|entry| entry.unwrap().path()).collect();
    // Who opened a demo song in the studio has its notes here.
    paths.retain(|p| p.extension().is_some_and(|e| e == "toml"));
    paths.sort();
    let arranged = paths.into_iter().map(|path| {
        let text = std::fs::read_to_string(&path).unwrap();
        let (_, song, _) = SongFile::parse(&text).unwrap();
        let instrument = Instrument::wished(&song.guitar).unwrap();
        let hand = Hand::wished(&song.guitar).unwrap();
        let arrangement = arrange(&song, &instrument, &hand, &Options::default()).unwrap();
        (path.display().to_string(), arrangement)
    });
    arranged.collect()
}
