use super::*;
use crate::practice::read;
use jiff::civil::date;
use proptest::prelude::*;

fn piece(song: &str, efforts: &[i64]) -> Piece {
    Piece {
        song: song.into(),
        layer: Layer::Fill,
        efforts: efforts.to_vec(),
        goal: 100,
    }
}

fn bars(turns: &[Turn]) -> Vec<(&str, usize)> {
    let bar = |t: &Turn| t.passage.first() + 1;
    turns.iter().map(|t| (&*t.song, bar(t))).collect()
}

fn day(day: i8, clean: u32) -> Record {
    Record {
        at: date(2026, 1, day).at(19, 0, 0, 0),
        song: "quay".into(),
        bars: (0, 0),
        layer: Layer::Fill,
        tempo: 100,
        clean,
        all: 5,
        seconds: 100,
    }
}

fn is_due(log: &[Record], on: i8) -> bool {
    !plan(&[piece("quay", &[10])], log, date(2026, 1, on), 3).is_empty()
}

#[test]
fn the_hardest_bars_of_all_songs_come_in_turn() {
    let pieces = [piece("quay", &[1, 10, 9]), piece("ferry", &[50, 2])];
    let turns = plan(&pieces, &[], date(2026, 1, 5), 17);
    let wanted = [("quay", 2), ("ferry", 1), ("quay", 3)];
    assert_eq!(bars(&turns), [&wanted[..], &wanted[..]].concat());
    assert_eq!(turns[5].seconds, 120);
    assert_eq!(turns[0].passage.bars(), 1..3);
    assert_eq!(turns[0].reason, "not practised yet");
}

#[test]
fn what_goes_well_waits_longer_each_time() {
    assert!(!is_due(&[day(5, 1)], 5));
    assert!(is_due(&[day(5, 1)], 6));
    assert!(is_due(&[day(5, 5)], 6));
    assert!(!is_due(&[day(5, 5), day(6, 5)], 7));
    assert!(is_due(&[day(5, 5), day(6, 5)], 8));
    assert!(!is_due(&[day(5, 5), day(6, 5), day(8, 4)], 11));
    assert!(is_due(&[day(5, 5), day(6, 5), day(8, 4)], 12));
    // Slips bring it back the next day, and so does a tempo short of the goal.
    let slow = |d| Record {
        tempo: 95,
        ..day(d, 5)
    };
    assert!(is_due(&[slow(5), slow(6)], 7));
    // Time without a pass is no practice of the bar.
    let listened = Record {
        clean: 0,
        all: 0,
        ..day(6, 0)
    };
    assert!(is_due(&[day(5, 5), listened], 6));
    assert!(is_due(&[day(5, 5), day(6, 5), day(8, 3)], 9));
}

#[test]
fn slips_go_first_and_the_tempo_is_where_it_was_clean() {
    let log = "2026-01-05T19:00:00 quay bars 1-1 fill at 80% 5 of 5 clean in 95 s
        2026-01-05T19:10:00 quay bars 2-2 fill at 70% 1 of 5 clean in 95 s
        2026-01-05T19:20:00 quay bars 2-2 fill at 75% 0 of 5 clean in 95 s";
    let (log, errors) = read(log);
    assert_eq!(errors, []);
    let turns = plan(&[piece("quay", &[10, 10])], &log, date(2026, 1, 6), 3);
    assert_eq!(bars(&turns), [("quay", 2)]);
    assert_eq!(turns[0].tempo, 70);
    assert_eq!(turns[0].reason, "1 of 10 clean, yesterday");
}

#[test]
fn a_bar_without_work_for_the_hands_gets_no_turn() {
    let both = Record {
        bars: (0, 1),
        ..day(5, 3)
    };
    let turns = plan(&[piece("quay", &[10, 0])], &[both], date(2026, 1, 6), 12);
    assert!(!turns.is_empty() && turns.iter().all(|t| t.passage.first() == 0));
}

#[test]
fn without_time_or_songs_there_is_nothing_to_do() {
    assert_eq!(plan(&[], &[], date(2026, 1, 5), 30), []);
    assert_eq!(plan(&[piece("quay", &[])], &[], date(2026, 1, 5), 30), []);
    assert_eq!(plan(&[piece("quay", &[1])], &[], date(2026, 1, 5), 0), []);
}

proptest! {
    #![proptest_config(crate::properties::cases(256))]

    #[test]
    fn a_plan_is_short_mixed_and_spaced(
        efforts in prop::collection::vec(prop::collection::vec(0i64..20_000, 0..20), 1..4),
        played in prop::collection::vec((1i8..=20, 0usize..20, 0u32..=5), 0..40),
        minutes in 0u32..90,
    ) {
        let names = ["quay", "ferry", "stove"];
        let pieces: Vec<Piece> = names.iter().zip(&efforts).map(|(n, e)| piece(n, e)).collect();
        let log: Vec<Record> = played.iter()
            .map(|&(d, bar, clean)| Record { bars: (bar, bar), ..day(d, clean) }).collect();
        let today = date(2026, 1, 20);
        let turns = plan(&pieces, &log, today, minutes);
        prop_assert!(turns.iter().all(|t| t.seconds <= LONGEST_TURN && (20..=100).contains(&t.tempo)));
        prop_assert!(turns.iter().map(|t| t.seconds).sum::<u32>() <= minutes * 60);
        let spots = bars(&turns);
        let several = spots.iter().any(|s| *s != spots[0]);
        prop_assert!(!several || spots.windows(2).all(|w| w[0] != w[1]));
        for turn in &turns {
            let (song, bar) = (&turn.song, turn.passage.first());
            prop_assert!(!log.iter().any(|r| r.song == *song && r.has(bar) && r.at.date() == today));
        }
    }
}
