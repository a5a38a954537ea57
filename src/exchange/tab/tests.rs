use super::*;
use crate::arrange::{Arrangement, Layer, RightFinger, Technique};
use crate::score::fixture;
use proptest::prelude::*;

fn plain(arrangement: &Arrangement, width: usize) -> String {
    let options = Options {
        width,
        ascii: true,
        ..Options::default()
    };
    write(arrangement, options)
}

/// The frets written on each string's lines, from the highest string.
fn read_back(tab: &str, strings: usize) -> Vec<Vec<u8>> {
    let mut frets = vec![Vec::new(); strings];
    let mut row = 0;
    // Only a string's line holds nothing but these after its name and bar line.
    let signs = "-=|:hp/\\<>x0123456789";
    for line in tab.lines() {
        let Some((name, rest)) = line.split_at_checked(2) else {
            continue;
        };
        let is_string = name.starts_with(['A', 'B', 'C', 'D', 'E', 'F', 'G'])
            && rest.chars().all(|c| signs.contains(c));
        if !is_string {
            row = 0;
            continue;
        }
        let numbers = rest.split(|c: char| !c.is_ascii_digit());
        frets[row % strings].extend(numbers.filter_map(|n| n.parse::<u8>().ok()));
        row += 1;
    }
    frets
}

fn struck(arrangement: &Arrangement) -> Vec<Vec<u8>> {
    (1..=arrangement.instrument.strings() as u8)
        .map(|string| {
            let plucks = arrangement.plucks.iter().filter(|p| p.string == string);
            plucks.map(|p| p.fret).collect()
        })
        .collect()
}

#[test]
fn a_pickup_bass_fill_and_remark() {
    insta::assert_snapshot!(write(&fixture::waltz(), Options::default()), @r"
    Lamps on the Quay
    C major, 3/4, quarter = 96, layers: melody + bass + fill
    tuning standard (E2 A2 D3 G3 B3 E4), medium hand, melody an octave below the
    tune as written

       0 (3/4)   1             2
                 C             G/B
    E│─────────│───────────0═│─────────────│┃
    B│─────────│─1═══════3═──│─3═══════════│┃
    G│─0═══════│─0═══════────│─0═══════════│┃
    D│─────────│─────────────│─────────────│┃
    A│─────────│─3═══════════│─2═══════────│┃
    E│─────────│─────────────│─────────────│┃
       3         1   2   3 +   1   2   3
    L            1       4     4
                 3             2
    R  m         m       m a   m
                 i             i
                 p             p

    Signs: numbers on the lines are frets, 0 is open; ══ the string rings on; ── it
    is silent; under the lines the beats; L left hand: 1 index to 4 little finger; R
    right hand: p thumb, i index, m middle, a ring; fingers from the highest string
    down.

    Remarks
    bar 2, beat 3: the bass B is let go one beat early
    ");
}

#[test]
fn repeats_endings_barre_and_high_frets_in_a_narrow_column() {
    insta::assert_snapshot!(plain(&fixture::round(), 60), @r"
    Round the Breakwater
    C major, 4/4, quarter = 96, layers: melody + bass + fill
    tuning standard (E2 A2 D3 G3 B3 E4), medium hand, melody an
    octave below the tune as written
    played: bars 1-3, 1-3, 1-2, 4

         1 (4/4)           2
         B1:1-6..                B11:2-5
         F                 Bbm7        C7sus4/G
    E||--1=======12======|-10=12=------------------|
    B||--1=======--------|-------11================|
    G||:-2=======--------|-------------------------|
    D||:-----------------|-------------------------|
    A||------------------|-1===========------------|
    E||--1===============|-------------3===========|
         1   2   3   4     1  +  2     3     4
    L    1       4         2  4  1     2
         1                 1
         2
         1
    R    a       a         m  a  m     p
         m                 p
         i
         p

       3 [1,2.                              x3
    E|--------------------------------------||
    B|-------------------------------\1=h2=-||
    G|-0========0========0========0========:||
    D|-------------------------------------:||
    A|-3===================================-||
    E|--------------------------------------||
       1        2        3        4  +  +
    L  3                             1  2
    R  i        i        i        i
       p

       4 [3. (2/4) (dotted quarter = 60)
       B1:1-6............................
    E|-1=================================||
    B|-----------------------------------||
    G|-----------------------------------||
    D|-----------------------------------||
    A|-----------------------------------||
    E|-1=================================||
       1                2
    L  1
       1
    R  a
       p

    Signs: numbers on the lines are frets, 0 is open; == the
    string rings on; -- it is silent; under the lines the beats;
    L left hand: 1 index to 4 little finger; R right hand: p
    thumb, i index, m middle, a ring; fingers from the highest
    string down; B1:1-6 barre at fret 1 over strings 1 to 6; h p
    hammered on, pulled off, / \ slid; [1. only on that pass.
    ");
}

#[test]
fn reasons_follow_bar_by_bar() {
    let options = Options {
        reasons: true,
        ..Options::default()
    };
    let text = write(&fixture::waltz(), options);
    let (_, reasons) = text.split_once("Why each note is there\n").unwrap();
    insta::assert_snapshot!(reasons, @r"
    bar 0, beat 3: fill G3 on open string 3: by hand
    bar 1, beat 1: fill C3 on string 5, fret 3, finger 3: by hand
        fill G3 on open string 3: by hand
        fill C4 on string 2, fret 1, finger 1: by hand
    bar 1, beat 3: fill D4 on string 2, fret 3, finger 4: by hand
    bar 1, beat 3½: fill E4 on open string 1: by hand
    bar 2, beat 1: fill B2 on string 5, fret 2, finger 2: by hand
        fill G3 on open string 3: by hand
        fill D4 on string 2, fret 3, finger 4: by hand
    ");
}

#[test]
fn what_is_written_can_be_read_back() {
    for arrangement in [fixture::waltz(), fixture::round()] {
        for width in [40, 47, 80, 200] {
            let tab = plain(&arrangement, width);
            assert_eq!(read_back(&tab, 6), struck(&arrangement), "{tab}");
        }
    }
}

#[test]
fn capo_seven_strings_and_strange_titles_are_shown_safely() {
    let mut arrangement = fixture::waltz();
    arrangement.instrument.open.push("B1".parse().unwrap());
    arrangement.instrument.capo = 2;
    arrangement.song.title = "Tide\u{1b}[31m \u{202e}table ♯1".into();
    arrangement.plucks[0].technique = Technique::Harmonic;
    let tab = write(&arrangement, Options::default());
    assert!(tab.starts_with("Tide\u{fffd}[31m \u{fffd}table ♯1\n"));
    assert!(tab.contains("capo at fret 2") && tab.contains("<0>"));
    assert_eq!(tab.lines().filter(|l| l.starts_with("B│")).count(), 2);
    assert!(plain(&arrangement, 80).is_ascii());
}

#[test]
fn an_empty_song_is_written_too() {
    let empty = fixture::arranged("", Vec::new(), &[]);
    assert!(write(&empty, Options::default()).starts_with("Without a title\n"));
}

prop_compose! {
    /// Up to sixty attacks anywhere in a few bars, one after another on each string.
    fn tunes()(
        bars in prop::collection::vec(prop::sample::select(vec!["4/4", "3/4", "6/8", "7/8", "12/4"]), 1..6),
        steps in prop::collection::vec((0i64..9, 1u8..=6, 0u8..20, 1i64..40), 1..60),
    ) -> Arrangement {
        use crate::theory::QUARTER;
        let bars: Vec<_> = bars.iter().enumerate().map(|(i, m)| fixture::bar(i as u32 + 1, m)).collect();
        let length: i64 = bars.iter().map(|b| b.length).sum::<i64>() / (QUARTER / 8);
        let mut at = 0;
        let mut free = [0i64; 7];
        let mut attacks = Vec::new();
        for (step, string, fret, ring) in steps {
            at += step;
            let begin = at.max(free[usize::from(string)]);
            let end = (begin + ring).min(length);
            if begin >= end {
                continue;
            }
            free[usize::from(string)] = end;
            attacks.push((begin, end, string, fret, fret.min(1), RightFinger::P, Layer::Melody));
        }
        attacks.sort_by_key(|a| (a.0, std::cmp::Reverse(a.2)));
        fixture::arranged("Any", bars, &attacks)
    }
}

proptest! {
    #![proptest_config(crate::properties::cases(64))]
    #[test]
    fn no_line_is_too_long_and_no_fret_is_lost(arrangement in tunes(), width in 40usize..140) {
        let tab = plain(&arrangement, width);
        for line in tab.lines() {
            prop_assert!(line.chars().count() <= width, "{}", line);
        }
        prop_assert!(tab.is_ascii());
        prop_assert_eq!(read_back(&tab, 6), struck(&arrangement), "{}", tab);
    }
}
