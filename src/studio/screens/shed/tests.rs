//! The Shed driven by messages and keys, and drawn on a terminal in memory.

use crate::song::SongFile;
use crate::studio::keymap::{BINDINGS, Place};
use crate::studio::screens::Run;
use crate::studio::tests::shown;
use crate::studio::{Desk, Errand, Home, Message, News, Order, Screen, Shed, Studio, Theme};
use crate::theory::QUARTER;
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use jiff::civil::{DateTime, date};
use jiff::tz::TimeZone;
use proptest::prelude::*;

mod clock;
mod plan;
mod rounds;

const SONG: &str = "format = 1
title = \"Two Buoys\"
key = \"C\"
meter = \"3/4\"
unit = \"1/4\"
tempo = \"1/4=90\"
tune = \"\"\"
\"C\"E G c | \"F\"A F A | \"G7\"B G D | \"C\"E3 |
\"Am\"A c e | \"F\"f e c | \"G7\"d B G | \"C\"c3 |]
\"\"\"
";

const LOG: &str = "
2026-01-04T19:00:00 two-buoys bars 6-6 fill at 60% 3 of 3 clean in 40 s
2026-01-05T19:00:00 two-buoys bars 6-6 fill at 70% 2 of 9 clean in 200 s
2026-01-05T19:10:00 two-buoys bars 3-3 fill at 65% 4 of 5 clean in 60 s
";

const LENGTH: i64 = 6 * QUARTER;

fn noon() -> DateTime {
    date(2026, 1, 6).at(12, 0, 0, 0)
}

/// In the Shed with the bar of this index, the log read.
fn studio(bar: isize, log: &str) -> Studio {
    let (_, song, _) = SongFile::parse(SONG).unwrap();
    let desk = Desk::open(song, Home::nowhere(Vec::new())).unwrap();
    let mut studio = Studio::at_desk(desk, Theme::named("none").unwrap(), TimeZone::UTC);
    studio.update(Message::Clock(noon(), 0));
    studio.update(Message::Bar(bar));
    let orders = studio.update(Message::Practise);
    assert!(orders.contains(&Order::Disk(Errand::ReadLog)));
    studio.update(Message::News(News::LogRead(Ok(log.into()))));
    studio
}

fn shed(studio: &Studio) -> &Shed {
    match &studio.screen {
        Screen::Shed(shed) => shed,
        _ => panic!("not in the Shed"),
    }
}

fn press(studio: &mut Studio, code: KeyCode) -> Vec<Order> {
    let key = KeyEvent::new(code, KeyModifiers::NONE);
    let message = studio.press(key);
    message.map_or(Vec::new(), |m| studio.update(m))
}

fn typed(studio: &mut Studio, letters: &str) -> Vec<Order> {
    letters
        .chars()
        .flat_map(|c| press(studio, KeyCode::Char(c)))
        .collect()
}

/// What plays is played to its end.
fn play_out(studio: &mut Studio) -> Vec<Order> {
    studio.update(Message::Heard(Some(0)));
    studio.update(Message::Heard(Some(LENGTH - 1)));
    studio.update(Message::Heard(None))
}

/// A whole pass and the word on it.
fn pass(studio: &mut Studio, clean: bool) -> Vec<Order> {
    if shed(studio).run == Run::Still {
        typed(studio, " ");
    }
    while shed(studio).run != Run::Asked {
        play_out(studio);
    }
    press(
        studio,
        if clean {
            KeyCode::Enter
        } else {
            KeyCode::Backspace
        },
    )
}

fn lines(orders: &[Order]) -> Vec<&str> {
    (orders.iter())
        .filter_map(|order| match order {
            Order::Disk(Errand::Log(line)) => Some(line.as_str()),
            _ => None,
        })
        .collect()
}

#[test]
fn the_shed_at_80_by_24() {
    let mut studio = studio(5, LOG);
    typed(&mut studio, "t");
    pass(&mut studio, true);
    insta::assert_snapshot!(shown(&studio, 80, 24));
}

#[test]
fn the_shed_before_the_first_pass() {
    let studio = studio(5, "");
    insta::assert_snapshot!(shown(&studio, 80, 24));
}

#[test]
fn the_shed_at_120_by_40() {
    let mut studio = studio(2, LOG);
    typed(&mut studio, " ");
    play_out(&mut studio);
    studio.update(Message::Heard(Some(QUARTER)));
    insta::assert_snapshot!(shown(&studio, 120, 40));
}

#[test]
fn the_shed_at_200_by_60() {
    let mut studio = studio(2, LOG);
    pass(&mut studio, false);
    for _ in 0..2 {
        play_out(&mut studio);
    }
    insta::assert_snapshot!(shown(&studio, 200, 60));
}

#[test]
fn the_charts_are_chosen_where_there_is_no_room_for_all() {
    let mut studio = studio(5, LOG);
    press(&mut studio, KeyCode::Tab);
    let tempo = shown(&studio, 80, 24);
    press(&mut studio, KeyCode::Tab);
    let effort = shown(&studio, 80, 24);
    let right = |text: &str| {
        let lines = text.lines().skip(13).take(9);
        let cut = lines.map(|l| l.chars().skip(46).collect::<String>());
        cut.collect::<Vec<_>>().join("\n")
    };
    insta::assert_snapshot!(format!("{}\n\n{}", right(&tempo), right(&effort)));
}

#[test]
fn without_colour_every_state_has_a_word_or_a_shape() {
    let mut studio = studio(5, LOG);
    let still = shown(&studio, 80, 24);
    assert!(
        still.contains("Space begins") && still.contains("▸Bars"),
        "{still}"
    );
    typed(&mut studio, "t ");
    assert!(shown(&studio, 80, 24).contains("Listen"));
    play_out(&mut studio);
    assert!(shown(&studio, 80, 24).contains("Counting in"));
    studio.update(Message::Heard(Some(QUARTER)));
    let playing = shown(&studio, 80, 24);
    assert!(
        playing.contains("breaks off") && playing.contains('▾'),
        "{playing}"
    );
    play_out(&mut studio);
    let asked = shown(&studio, 80, 24);
    assert!(asked.contains("clean?") && asked.contains("○○○"), "{asked}");
    press(&mut studio, KeyCode::Enter);
    assert!(shown(&studio, 80, 24).contains("●○○"));
    typed(&mut studio, "1");
    assert!(shown(&studio, 80, 24).contains("Melody   silent"));
}

#[test]
fn a_small_terminal_gets_a_sentence() {
    insta::assert_snapshot!(shown(&studio(0, ""), 40, 12), @r"
    This terminal is 40×12. Thumbline needs
    80×24: make the window larger or its
    letters smaller. Nothing is lost
    meanwhile.
    ");
    insta::assert_snapshot!(shown(&studio(0, ""), 70, 20), @r"
    The Shed is read from behind a guitar and needs 80 columns and 21
    lines; this terminal has 70 and 20. Make it larger, or go back with
    Esc.
    ");
}

#[test]
fn the_keys_are_shown() {
    let mut studio = studio(0, "");
    typed(&mut studio, "?");
    for (width, height) in [(80, 24), (200, 60)] {
        let text = shown(&studio, width, height);
        let rows = BINDINGS.iter().filter(|b| b.place == Place::Shed);
        for row in rows {
            assert!(text.contains(row.does), "{} is not shown", row.does);
        }
        assert!(text.contains("Keep headphones low."), "{text}");
    }
}

#[test]
fn a_climb_goes_from_start_to_goal_by_keys() {
    let mut studio = studio(2, "");
    let mut tempos = Vec::new();
    let mut logged = 0;
    for _ in 0..27 {
        tempos.push(shed(&studio).tempo());
        logged += lines(&pass(&mut studio, true)).len();
    }
    let wanted: Vec<u16> = (60..=100).step_by(5).flat_map(|t| [t; 3]).collect();
    assert_eq!((tempos, logged), (wanted, 27));
    assert_eq!(shed(&studio).run, Run::Still);
    assert!(shown(&studio, 80, 24).contains("there: clean at 100 %"));
}

#[test]
fn a_pass_that_was_not_clean_falls_back() {
    let mut studio = studio(2, "");
    for _ in 0..3 {
        pass(&mut studio, true);
    }
    assert_eq!(shed(&studio).tempo(), 65);
    pass(&mut studio, true);
    let orders = pass(&mut studio, false);
    assert_eq!(shed(&studio).climb.unwrap().clean(), 0);
    assert_eq!(
        lines(&orders),
        ["2026-01-06T12:00:00 two-buoys bars 3-3 fill at 65% 0 of 1 clean in 0 s"]
    );
    assert!(orders.contains(&Order::Speed(65)));
    assert!(matches!(
        orders.last(),
        Some(Order::Play { count_in: 1, .. })
    ));
    pass(&mut studio, false);
    assert!(pass(&mut studio, false).contains(&Order::Speed(60)));
}

/// Goes down to a setting and changes it by one.
fn set(studio: &mut Studio, name: &str) {
    let settings = shed(studio).settings();
    let row = settings.iter().position(|s| s.name() == name).unwrap();
    for _ in 0..row {
        press(studio, KeyCode::Down);
    }
    press(studio, KeyCode::Right);
}

#[test]
fn slow_and_goal_come_in_turn() {
    let mut studio = studio(2, "");
    set(&mut studio, "Climb");
    let tempos: Vec<u16> = (0..6)
        .map(|_| {
            let tempo = shed(&studio).tempo();
            pass(&mut studio, true);
            tempo
        })
        .collect();
    assert_eq!(tempos, [60, 100, 60, 100, 60, 100]);
    assert!(shed(&studio).climb.unwrap().is_there());
    press(&mut studio, KeyCode::Right);
    assert_eq!(shed(&studio).climb, None);
    pass(&mut studio, true);
    assert_eq!(shed(&studio).tempo(), 60);
}

#[test]
fn the_model_is_heard_whole_and_the_pass_without_what_is_silent() {
    let mut studio = studio(2, "");
    typed(&mut studio, "1");
    let play = |count_in| Order::Play {
        from: 0,
        to: LENGTH,
        repeat: false,
        count_in,
    };
    let orders = typed(&mut studio, " ");
    let wanted = [Order::Speed(60), Order::Silence(vec![]), play(0)];
    assert_eq!(orders, wanted);
    let silent = vec![crate::arrange::Layer::Melody];
    let wanted = [Order::Speed(60), Order::Silence(silent), play(1)];
    assert_eq!(play_out(&mut studio), wanted);
    assert_eq!(typed(&mut studio, " "), [Order::Stop]);
    assert_eq!(shed(&studio).run, Run::Still);
    // Stopped early, nothing is asked; late news from the sound change nothing.
    studio.update(Message::Heard(Some(LENGTH - 1)));
    studio.update(Message::Heard(None));
    assert_eq!(shed(&studio).run, Run::Still);
}

#[test]
fn half_an_hour_brings_a_break() {
    let mut studio = studio(0, "");
    typed(&mut studio, " ");
    play_out(&mut studio);
    studio.update(Message::Heard(Some(0)));
    for second in 1..=1800 {
        studio.update(Message::Clock(noon(), second));
    }
    studio.update(Message::Choose(0));
    assert!(shown(&studio, 80, 24).contains("rest five minutes"));
    assert!(shown(&studio, 80, 24).contains("Two Buoys"));
}

#[test]
fn leaving_logs_the_time_and_gives_the_desk_its_sound_back() {
    let mut studio = studio(0, "");
    typed(&mut studio, " ");
    play_out(&mut studio);
    for second in 1..=7 {
        studio.update(Message::Clock(noon(), second));
    }
    let orders = press(&mut studio, KeyCode::Esc);
    assert_eq!(orders[0], Order::Stop);
    assert!(lines(&orders)[0].ends_with("0 of 0 clean in 7 s"));
    assert!(orders.contains(&Order::Silence(vec![])));
    assert_eq!(
        orders[orders.len() - 2..],
        [Order::Speed(100), Order::Click(false)]
    );
    assert!(matches!(studio.screen, Screen::Desk(_)));
    // What was set stays set.
    studio.update(Message::Practise);
    assert!(studio.update(Message::Quit).contains(&Order::Quit));
}

#[test]
fn pins_are_saved_before_the_program_ends() {
    let mut studio = studio(0, "");
    press(&mut studio, KeyCode::Esc);
    let orders = studio.update(Message::Pin);
    assert!(orders.iter().any(|o| matches!(o, Order::Disk(_))));
    studio.update(Message::Practise);
    // The disk has not answered yet.
    let orders = studio.update(Message::Quit);
    assert!(!orders.contains(&Order::Quit));
    assert!(matches!(studio.screen, Screen::Desk(_)));
}

#[test]
fn without_any_sound_the_player_says_when_a_pass_is_over() {
    let mut studio = studio(2, "");
    typed(&mut studio, " ");
    studio.update(Message::Unheard);
    typed(&mut studio, " ");
    studio.update(Message::Unheard);
    assert_eq!(lines(&press(&mut studio, KeyCode::Enter)).len(), 1);
}

/// What may happen in the Shed.
fn happenings() -> impl Strategy<Value = Message> {
    let keys: Vec<Message> = BINDINGS
        .iter()
        .filter(|b| b.place == Place::Shed && b.message != Message::Back)
        .map(|b| b.message.clone())
        .collect();
    prop_oneof![
        6 => prop::sample::select(keys),
        2 => (-LENGTH..2 * LENGTH).prop_map(|at| Message::Heard(Some(at))),
        2 => Just(Message::Heard(None)),
        1 => (0i8..3, 0u64..4000).prop_map(|(day, s)| Message::Clock(date(2026, 1, 6 + day).at(9, 0, 0, 0), s)),
        1 => Just(Message::Help),
        1 => Just(Message::Suspend),
        1 => Just(Message::Unheard),
    ]
}

proptest! {
    #![proptest_config(crate::properties::cases(64))]
    #[test]
    fn no_keys_break_it_and_no_record_is_lost(
        happenings in prop::collection::vec((happenings(), any::<bool>()), 0..80),
        bar in 0isize..8,
        width in 1u16..130, height in 1u16..50,
    ) {
        let mut studio = studio(bar, LOG);
        let mut file = LOG.to_string();
        let mut queue: Vec<String> = Vec::new();
        let mut words = 0;
        for (happening, works) in happenings {
            let asked = matches!(happening, Message::Pass(_)) && shed(&studio).run == Run::Asked;
            for order in studio.update(happening) {
                if let Order::Disk(Errand::Log(line)) = order {
                    queue.push(line);
                }
            }
            words += usize::from(asked);
            // The disk works, or it refuses all.
            for line in queue.drain(..) {
                let result = if works { Ok(()) } else { Err("full".to_string()) };
                if works {
                    file += &line;
                    file.push('\n');
                }
                studio.update(Message::News(News::Logged(line, result)));
            }
            if !matches!(studio.screen, Screen::Shed(_)) {
                // What the disk refused is tried again on entering.
                let again = studio.update(Message::Practise).into_iter();
                queue.extend(again.filter_map(|o| match o {
                    Order::Disk(Errand::Log(line)) => Some(line),
                    _ => None,
                }));
            }
            let shed = shed(&studio);
            prop_assert!((20..=200).contains(&shed.tempo()));
            prop_assert!(shed.passage.bars().end <= 8 && shed.row < shed.settings().len());
        }
        let _ = shown(&studio, width, height);
        studio.help = None;
        for line in queue {
            studio.update(Message::News(News::Logged(line, Err("full".to_string()))));
        }
        // What is still owed is tried again on leaving.
        for order in studio.update(Message::Back) {
            if let Order::Disk(Errand::Log(line)) = order {
                file += &line;
                file.push('\n');
            }
        }
        let (mut written, errors) = crate::practice::read(&file);
        prop_assert_eq!(errors, vec![]);
        let mut known = studio.log.records.clone();
        prop_assert!(known.len() >= words + 3);
        // Where the clock was set, the studio has times of its own.
        for records in [&mut known, &mut written] {
            records.iter_mut().for_each(|r| r.at = noon());
            records.sort_by_key(ToString::to_string);
        }
        prop_assert_eq!(known, written);
    }
}
