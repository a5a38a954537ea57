//! Reading, writing and moving chords. What the reference libraries say is checked in
//! `tests/outside_chords.rs`.

use super::*;
use proptest::prelude::*;

fn chord(text: &str) -> Chord {
    match Symbol::parse(text) {
        Ok(Symbol::Chord(chord)) => chord,
        other => panic!("{text}: {other:?}"),
    }
}

fn degrees(text: &str) -> String {
    let tones: Vec<String> = chord(text).tones.iter().map(Tone::to_string).collect();
    tones.join(" ")
}

/// One line a chord: its fixed spelling, its tones, and other ways of writing it.
/// Spellings are common practice, no source; decided readings stand at [`Symbol::parse`].
const CHORDS: &str = "
    C | 1 3 5 | CM Cmaj CMAJ Cmajor Cma CMa (C) C/C
    Cm | 1 ♭3 5 | C- C− Cmin CMIN Cminor Cmi CMi
    C5 | 1 5 | C(no3) Cno3 C(omit3) Cno3rd Comit3
    Cdim | 1 ♭3 ♭5 | C° Cº Co Cdiminished Cmb5 Cm(b5) Cm-5 CDIM
    C+ | 1 3 ♯5 | Caug C(#5) C+5 Caugmented CAUG Cmaj#5 C(+5)
    C(♭5) | 1 3 ♭5 | C(b5) C-5 CMb5 Cmaj(b5)
    C6 | 1 3 5 6 | CM6 Cmaj6 Cadd6 C(add6) Cadd13 C(6)
    Cm6 | 1 ♭3 5 6 | C-6 Cmin6 Cmi6
    C6/9 | 1 3 5 6 9 | C69 C6(9) C6add9 C6(add9) Cadd9add6 C(add6,9) CM69
    Cm6/9 | 1 ♭3 5 6 9 | Cm69 C-69 Cmin6/9
    Cm(♭6) | 1 ♭3 5 ♭6 | Cmb6 Cm(b13) Cm(addb6) C-(b6)
    C7 | 1 3 5 ♭7 | Cdom7 Cdominant7
    Cmaj7 | 1 3 5 7 | CM7 CΔ7 Cma7 C^7 CΔ C^ C△7 CMaj7 CMA7 Cmajor7 C7M C(maj7) C(#7)
    Cm7 | 1 ♭3 5 ♭7 | C-7 Cmin7 Cmi7 CMi7 CMIN7 Cminor7
    Cm7♭5 | 1 ♭3 ♭5 ♭7 | Cm7b5 C-7b5 Cø Cø7 CØ7 Cm7(b5) Cm7-5 Cmin7b5 Chalfdim7 C∅ Ch7
    Cdim7 | 1 ♭3 ♭5 ♭♭7 | C°7 Co7 Cº7 Cdiminished7
    Cm(maj7) | 1 ♭3 5 7 | CmM7 Cmmaj7 Cm(M7) C-Δ7 C-Δ CmΔ C-maj7 CmMaj7 CminMaj7 Cm(#7) Cm#7 Cm/maj7 CmiMA7 C-^7
    Cdim(maj7) | 1 ♭3 ♭5 7 | C°M7 Cdimmaj7 C°(maj7) C°Δ
    C7(♯5) | 1 3 ♯5 ♭7 | C+7 C7#5 Caug7 C7+ C7+5 C7aug C7(#5)
    C7(♭5) | 1 3 ♭5 ♭7 | C7b5 C7-5 C7(-5) C7dim5
    Cmaj7(♯5) | 1 3 ♯5 7 | CM7#5 C+M7 C+maj7 CaugM7 C+Δ7 Cmaj7+
    Cmaj7(♭5) | 1 3 ♭5 7 | CM7b5 CΔb5
    C9 | 1 3 5 ♭7 9 | C7(9) C7add9 C7/9 Cdom9
    Cmaj9 | 1 3 5 7 9 | CM9 CΔ9 Cma9 C9M Cmaj7(9)
    Cm9 | 1 ♭3 5 ♭7 9 | C-9 Cmin9 Cmi9
    Cm(maj9) | 1 ♭3 5 7 9 | CmM9 C-Δ9
    Cm9♭5 | 1 ♭3 ♭5 ♭7 9 | Cø9 Cm9(b5)
    Cdim9 | 1 ♭3 ♭5 ♭♭7 9 | C°9 Cdim7(add9)
    C9(♯5) | 1 3 ♯5 ♭7 9 | C+9 C9#5 Caug9
    C11 | 1 5 ♭7 9 11 | C9(add11,no3)
    C9add11 | 1 3 5 ♭7 9 11 | C9(11) C7(9,11)
    Cmaj11 | 1 5 7 9 11 | CM11
    Cm11 | 1 ♭3 5 ♭7 9 11 | C-11 Cmin11 Cm9add11
    Cm11♭5 | 1 ♭3 ♭5 ♭7 9 11 | Cø11
    C13 | 1 3 5 ♭7 9 13 | C9add13 C9(13) C7(9,13)
    C7add13 | 1 3 5 ♭7 13 | C7/13 C7(13) C7/6 C7add6
    Cmaj13 | 1 3 5 7 9 13 | CM13 CΔ13
    Cm13 | 1 ♭3 5 ♭7 9 11 13 | C-13 Cmin13
    C13(♯11) | 1 3 5 ♭7 9 ♯11 13 | C13#11
    C13(♭9) | 1 3 5 ♭7 ♭9 13 | C13b9
    C7(♭9) | 1 3 5 ♭7 ♭9 | C7b9 C7-9 C7(-9) C7♭9 C9b9
    C7(♯9) | 1 3 5 ♭7 ♯9 | C7#9 C7+9 C7♯9
    C7(♯11) | 1 3 5 ♭7 ♯11 | C7#11 C7+11 C7#4
    C7(♭13) | 1 3 5 ♭7 ♭13 | C7b13 C7-13 C7b6
    C9(♯11) | 1 3 5 ♭7 9 ♯11 | C9#11 C9+11
    Cmaj7(♯11) | 1 3 5 7 ♯11 | CM7#11 CΔ#11 Cmaj7+11
    C(♯11) | 1 3 5 ♯11 | C(add#11) Cadd#4
    C7(♭5,♭9) | 1 3 ♭5 ♭7 ♭9 | C7b5b9 C7b9b5 C7(b9,b5) C7-5-9
    C7(♯5,♯9) | 1 3 ♯5 ♭7 ♯9 | C7#5#9 C7alt Calt C7(#9,#5) C7(alt) C+7#9
    C7(♯5,♭9) | 1 3 ♯5 ♭7 ♭9 | C7#5b9 C+7b9
    C7(♭9,♯11) | 1 3 5 ♭7 ♭9 ♯11 | C7(#11,b9) C7b9#11 C7b9/#11
    C7(♭9,♯9) | 1 3 5 ♭7 ♭9 ♯9 | C7#9b9
    C7(♭5,♯5,♭9,♯9) | 1 3 ♭5 ♯5 ♭7 ♭9 ♯9 | C7#9b9#5b5
    C7(♭9,♭13) | 1 3 5 ♭7 ♭9 ♭13 | C7b9b13 C7b9/b13
    Csus4 | 1 4 5 | Csus C4 Cmsus4 C(sus4) CSUS4
    Csus2 | 1 2 5 | Csus2(no3)
    Csus2sus4 | 1 2 4 5 | Csus24 Csus4sus2
    Csus♭2 | 1 ♭2 5 | Csusb2
    Csus♯4 | 1 ♯4 5 | Csus#4
    C7sus4 | 1 4 5 ♭7 | C7sus Csus7 Cm7sus4
    C7sus2 | 1 2 5 ♭7 | C7(sus2)
    C9sus4 | 1 4 5 ♭7 9 | C9sus Csus9 C11sus4
    C13sus4 | 1 4 5 ♭7 9 13 | C13sus Csus13
    C7sus4(♭9) | 1 4 5 ♭7 ♭9 | C7susb9 C7b9sus4 C7sus4b9 C7b9sus
    Cmaj7sus4 | 1 4 5 7 | CM7sus4 Csus(maj7)
    Csus4(add9) | 1 4 5 9 | Csusadd9
    C+sus4 | 1 4 ♯5 | Csus4#5
    Cadd9 | 1 3 5 9 | C(add9) C2 Cadd2 C(9) C/9 Cmaj2 C(add2)
    Cmadd9 | 1 ♭3 5 9 | Cm(add9) Cm2 Cmadd2 C-add9 Cmin(add9)
    Cadd11 | 1 3 5 11 | Cadd4 C(add4) C(11)
    Cmadd11 | 1 ♭3 5 11 | Cm(add4)
    C5add9 | 1 5 9 | Cadd9no3 C(add9,no3)
    C(add9,add11) | 1 3 5 9 11 | Cadd9add11 C(add9,11) C(add2,4)
    Cm7add11 | 1 ♭3 5 ♭7 11 | Cm7(11) Cm7add4
    C(no5) | 1 3 | C(omit5) Cno5
    C7(no5) | 1 3 ♭7 | C7omit5
    C9(no3) | 1 5 ♭7 9 | C9omit3
    C7(no3,no5) | 1 ♭7 | C7(no3,5) C7no5no3
    N.C. | | NC N.C nc
    C/E | 1 3 5 | (C/E)
    C/B♭ | 1 3 5 | C/Bb C/B♭ (C/Bb)
    C6/9/E | 1 3 5 6 9 | C69/E
    Cdim/E♭♭ | 1 ♭3 ♭5 | C°/Ebb
    C♯m7♭5/B | 1 ♭3 ♭5 ♭7 | C#ø/B C♯-7b5/B
    B♭maj7 | 1 3 5 7 | Bb^7 BbMaj7
    C♭5 | 1 5 | Cb5
";

fn lines() -> impl Iterator<Item = (&'static str, &'static str, Vec<&'static str>)> {
    CHORDS.trim().lines().map(|line| {
        let mut cells = line.split('|').map(str::trim);
        let fixed = cells.next().unwrap();
        let tones = cells.next().unwrap();
        let others = cells.next().unwrap();
        (fixed, tones, others.split(' ').collect())
    })
}

#[test]
fn all_spellings_of_a_chord_are_one_value_with_one_fixed_spelling() {
    for (fixed, tones, others) in lines() {
        let value = Symbol::parse(fixed).unwrap();
        assert_eq!(value.to_string(), fixed);
        if let Symbol::Chord(chord) = &value {
            assert_eq!(degrees(fixed), tones, "{fixed}");
            assert_eq!(Symbol::parse(&chord.ascii()), Ok(value.clone()), "{fixed}");
        }
        for other in others {
            assert_eq!(
                Symbol::parse(other),
                Ok(value.clone()),
                "{other} as {fixed}"
            );
        }
    }
}

#[test]
fn blanks_do_not_matter() {
    for (text, plain) in [
        ("  Am7 ", "Am7"),
        ("A m7", "Am7"),
        ("C7 (b9, #11)", "C7b9#11"),
        ("C7 b9 #11", "C7b9#11"),
        ("C (no 5th)", "Cno5"),
        ("D / F#", "D/F#"),
        ("C (add 9)", "Cadd9"),
        ("N. C.", "NC"),
    ] {
        assert_eq!(Symbol::parse(text), Symbol::parse(plain), "{text}");
    }
    assert_eq!(chord("  A m7 ").text, "A m7");
}

#[test]
fn every_quality_reads_and_writes_on_every_root_and_bass() {
    // From F♭ to B♯: every letter plain, flat and sharp.
    let names: Vec<Name> = (-8..=12).map(Name::from_fifths).collect();
    // The lines on a plain C without a slash bass.
    let suffixes: Vec<&str> = lines()
        .filter_map(|(fixed, _, _)| fixed.strip_prefix('C'))
        .filter(|s| !s.starts_with(['♯', '♭']) && !s.replace("6/9", "").contains('/'))
        .collect();
    assert!(suffixes.len() >= 60, "{}", suffixes.len());
    for suffix in suffixes {
        let model = chord(&format!("C{suffix}"));
        for root in &names {
            let one = chord(&format!("{root}{suffix}"));
            assert_eq!(
                (one.root, &one.tones),
                (*root, &model.tones),
                "{}",
                one.text
            );
            assert_eq!(one.to_string(), one.text);
            assert_eq!(chord(&one.ascii()), one);
            for bass in &names {
                let over = chord(&format!("{root}{suffix}/{bass}"));
                assert_eq!(over.tones, model.tones);
                assert_eq!(over.bass_name(), *bass);
                assert_eq!(over.bass.is_none(), bass == root);
                assert_eq!(chord(&over.to_string()), over);
            }
        }
    }
}

#[test]
fn what_is_not_understood_is_refused_at_its_place() {
    let said: Vec<String> = [
        "",
        "am7",
        "H7",
        "x",
        "%",
        "Cfoo",
        "C7b",
        "C7b7",
        "C8",
        "Cm5",
        "Cdim6",
        "C#b",
        "Bbb5",
        "C/",
        "C/E7",
        "C/Q",
        "Cadd",
        "Cadd7",
        "C7(b9",
        "C7b9)",
        "C7((b9))",
        "Cm+7",
        "C7maj7",
        "Cdom",
        "C7dim",
        "C7no7",
        "Cno35",
        "Csus5",
        "Cmmaj",
        "C7(E)",
        "C--7",
        "C7 5",
        "C|G",
        "C7/b9/E/G",
        "Cmajj7",
        "C🎸",
        "C(4)",
        "C7/4",
    ]
    .iter()
    .map(|text| match Symbol::parse(text) {
        Err(e) => format!("{} {e}", e.at),
        Ok(value) => panic!("{text} read as {value:?}"),
    })
    .collect();
    insta::assert_snapshot!(said.join("\n"), @r#"
    0 chord “”: nothing is written; write a chord such as Am7, or N.C.
    0 chord “am7”: write the root as a capital: Am7
    0 chord “H7”: H is written B here, and the German B is written Bb
    0 chord “x”: a chord starts with a capital A to G; write Am7, D/F#, or N.C. for none
    0 chord “%”: a chord starts with a capital A to G; write Am7, D/F#, or N.C. for none
    1 chord “Cfoo”: “foo” is not understood; write m, maj7, dim, aug, sus4, add9, b5, #11, no3 …, and a slash before another bass
    2 chord “C7b”: only b5, #5, b9, #9, #11 and b13 are alterations; write C7(b9,#11)
    2 chord “C7b7”: only b5, #5, b9, #9, #11 and b13 are alterations; write C7(b9,#11)
    1 chord “C8”: 8 does not go with this chord; write C5, C6, C7, C9, C11, C13 or C6/9, Cm6, Cdim7 and the like
    2 chord “Cm5”: 5 does not go with this chord; write C5, C6, C7, C9, C11, C13 or C6/9, Cm6, Cdim7 and the like
    4 chord “Cdim6”: 6 does not go with this chord; write C5, C6, C7, C9, C11, C13 or C6/9, Cm6, Cdim7 and the like
    2 chord “C#b”: only b5, #5, b9, #9, #11 and b13 are alterations; write C7(b9,#11)
    1 chord “Bbb5”: no chord has a double sign on its root; write the plain root, or brackets for an altered tone: Bb(b5)
    2 chord “C/”: after the slash comes a note A to G: D/F#
    3 chord “C/E7”: after the slash stands one bass note and nothing more: D/F#, not a second chord
    2 chord “C/Q”: after the slash comes a note A to G: D/F#
    4 chord “Cadd”: only 2, 4, 6, 9, 11 and 13 can be added; write Cadd9 or C7(add13)
    4 chord “Cadd7”: only 2, 4, 6, 9, 11 and 13 can be added; write Cadd9 or C7(add13)
    2 chord “C7(b9”: the bracket is not closed; write a ) after what it holds
    4 chord “C7b9)”: a closing bracket without an opening one; write ( before it
    3 chord “C7((b9))”: brackets within brackets; write one pair: C7(b9,#11)
    2 chord “Cm+7”: +7 may be meant in two ways; write Cm(maj7) or C7(#5)
    2 chord “C7maj7”: the chord has a seventh already; write one of the two
    4 chord “Cdom”: a dominant chord needs its number; write C7 or Cdom7
    2 chord “C7dim”: only b5, #5, b9, #9, #11 and b13 are alterations; write C7(b9,#11)
    4 chord “C7no7”: only 3, 5, 9 and 11 can be left out; write C7(no3)
    3 chord “Cno35”: only 3, 5, 9 and 11 can be left out; write C7(no3)
    4 chord “Csus5”: sus goes with 2 or 4; write Gsus4 or G7sus4
    2 chord “Cmmaj”: maj needs its number here; write Cm(maj7)
    3 chord “C7(E)”: “E)” is not understood; write m, maj7, dim, aug, sus4, add9, b5, #11, no3 …, and a slash before another bass
    2 chord “C--7”: only b5, #5, b9, #9, #11 and b13 are alterations; write C7(b9,#11)
    3 chord “C7 5”: only 2, 4, 6, 9, 11 and 13 can be added; write Cadd9 or C7(add13)
    1 chord “C|G”: “|G” is not understood; write m, maj7, dim, aug, sus4, add9, b5, #11, no3 …, and a slash before another bass
    7 chord “C7/b9/E/G”: after the slash stands one bass note and nothing more: D/F#, not a second chord
    4 chord “Cmajj7”: “j7” is not understood; write m, maj7, dim, aug, sus4, add9, b5, #11, no3 …, and a slash before another bass
    1 chord “C🎸”: “🎸” is not understood; write m, maj7, dim, aug, sus4, add9, b5, #11, no3 …, and a slash before another bass
    2 chord “C(4)”: the number may be meant in two ways; write sus2 or sus4, or with the third add9 or add11
    3 chord “C7/4”: the number may be meant in two ways; write sus2 or sus4, or with the third add9 or add11
    "#);
}

#[test]
fn tones_answer_what_an_arranger_asks() {
    let am7 = chord("Am7/G");
    assert_eq!(am7.classes().collect::<Vec<_>>(), [9, 0, 4, 7]);
    assert_eq!(am7.third(), Some(Tone::new(3, 3)));
    assert_eq!(am7.fifth(), Some(Tone::new(5, 7)));
    assert_eq!(am7.seventh(), Some(Tone::new(7, 10)));
    assert!(am7.is_tone(0) && am7.is_tone(24) && !am7.is_tone(2));
    assert_eq!(am7.tone_of(7), am7.seventh());
    assert_eq!(am7.bass_name().to_string(), "G");
    assert_eq!(chord("Gsus4").third(), None);
    assert_eq!(chord("C6").seventh(), None);
    assert!(!chord("C/D").is_tone(2));
    let names = |text| {
        let chord = chord(text);
        let names: Vec<String> = chord
            .tones
            .iter()
            .map(|&t| chord.name(t).to_string())
            .collect();
        names.join(" ")
    };
    assert_eq!(names("F#m7b5"), "F♯ A C E");
    assert_eq!(names("Ebm11"), "E♭ G♭ B♭ D♭ F A♭");
    assert_eq!(names("Bdim7"), "B D F A♭");
    assert_eq!(names("E7#9"), "E G♯ B D F𝄪".replace('𝄪', "♯♯"));
}

#[test]
fn chords_move_into_the_new_key() {
    for (from, by, key, to) in [
        ("Am7/G", 2, "D", "Bm7/A"),
        ("C/Bb", 2, "D", "D/C"),
        ("G7", 1, "Ab", "A♭7"),
        ("F#dim7", -2, "Bb", "Edim7"),
        ("Bdim", 1, "Db", "Cdim"),
        ("Gdim7", 1, "F", "G♯dim7"),
        ("G", 1, "C", "A♭"),
        ("D", 1, "C", "E♭"),
        ("D", 1, "E", "D♯"),
        ("C", -1, "F#", "B"),
        ("D/F#", 2, "E", "E/G♯"),
        ("Cm/Eb", 1, "C#m", "C♯m/E"),
        ("D", 0, "Gb", "D"),
    ] {
        let key: Key = key.parse().unwrap();
        let moved = chord(from).transposed(by, &key);
        assert_eq!(moved.to_string(), to, "{from} by {by} in {key}");
        assert_eq!(moved.text, to);
    }
}

/// Symbols put together from the trade's pieces, sensible or not.
fn symbols() -> impl Strategy<Value = String> {
    let root = prop::sample::select(vec!["C", "F#", "Bb", "E♭", "Ab", "B", "C♯", "G"]);
    let quality = prop::sample::select(vec![
        "", "m", "-", "maj", "M", "Δ", "dim", "°", "ø", "+", "aug", "mM", "C", "dom",
    ]);
    let number = prop::sample::select(vec![
        "", "5", "6", "7", "9", "11", "13", "69", "6/9", "2", "4",
    ]);
    let change = prop::sample::select(vec![
        "sus4", "sus", "sus2", "susb2", "sus#4", "b5", "#5", "b9", "#9", "#11", "b13", "add9",
        "add11", "add13", "add6", "addb9", "add#11", "addb13", "no3", "no5", "omit9", "no11",
        "alt", "(maj7)", "(maj9)", "+", "(9)", "(13)", "b6", ",", " ", "/",
    ]);
    let bass = prop::sample::select(vec!["", "/E", "/Bb", "/F#", "/C", "/Ebb", "/"]);
    (
        root,
        quality,
        number,
        prop::collection::vec(change, 0..6),
        bass,
    )
        .prop_map(|(r, q, n, c, b)| format!("{r}{q}{n}{}{b}", c.concat()))
}

proptest! {
    #![proptest_config(crate::properties::cases(1000))]

    #[test]
    fn reading_never_fails_badly(text in ".{0,20}") {
        if let Err(e) = Symbol::parse(&text) {
            prop_assert!(e.at <= text.chars().count());
        }
    }

    #[test]
    fn near_symbols_never_fail_badly(text in "[A-H]?[#bx♯]{0,2}[majindug+°øΔM0-9sb#,()/ -]{0,16}") {
        if let Err(e) = Symbol::parse(&text) {
            prop_assert!(e.at <= text.chars().count());
        }
    }

    #[test]
    fn the_fixed_spelling_reads_back(text in symbols()) {
        if let Ok(Symbol::Chord(chord)) = Symbol::parse(&text) {
            let fixed = chord.to_string();
            let back = Symbol::parse(&fixed);
            prop_assert_eq!(&back, &Ok(Symbol::Chord(chord.clone())), "{} written {}", text, fixed);
            prop_assert_eq!(&Symbol::parse(&chord.ascii()), &back);
            prop_assert_eq!(chord.tones[0], Tone::ROOT);
            prop_assert!(chord.tones.is_sorted());
        }
    }

    #[test]
    fn moving_keeps_the_sound(text in symbols(), by in -24..24i32, fifths in -6..=6i32) {
        if let Ok(Symbol::Chord(chord)) = Symbol::parse(&text) {
            let key = Key::new(Name::from_fifths(fifths), super::super::Mode::Major);
            let moved = chord.transposed(by, &key);
            let sound = |c: &Chord, by: i32| -> Vec<i32> {
                c.classes().chain([c.bass_name().class()]).map(|x| (x + by).rem_euclid(12)).collect()
            };
            prop_assert_eq!(sound(&moved, 0), sound(&chord, by));
            prop_assert!(moved.root.alter.abs() <= 1);
            prop_assert_eq!(sound(&chord.transposed(12, &key), 0), sound(&chord, 0));
        }
    }
}
