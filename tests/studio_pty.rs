//! The studio as its user has it: the program in a terminal, driven by keys.
#![cfg(unix)]

#[path = "support/numbers.rs"]
mod numbers;
#[path = "support/pty.rs"]
#[allow(dead_code)]
mod pty;

use numbers::Numbers;
use pty::{BACKSPACE, DOWN, ENTER, ESC, F2, House, PAGE_DOWN, RIGHT, Studio, TAB, UP, ctrl};

/// A song of four bars with chords.
const BUOYS: &str = "format = 1
title = \"Two Buoys\"
key = \"C\"
meter = \"3/4\"
unit = \"1/4\"
tempo = \"1/4=180\"
tune = \"\"\"
\"C\"E G c | \"F\"A F A | \"G7\"B G D | \"C\"E3 |]
\"\"\"
";

fn house() -> House {
    House::with(&[("two-buoys.toml", BUOYS)])
}

/// The song on the Desk, the look round declined.
fn at_desk(house: &House) -> Studio {
    let mut studio = house.start(&[]);
    studio.see("Two Buoys");
    studio.press(ENTER);
    studio.see("stretch");
    studio
}

/// The lines of tab on the screen.
fn tab(text: &str) -> Vec<String> {
    let is_tab = |l: &&str| l.get(2..).is_some_and(|rest| rest.starts_with('│'));
    let lines = text.lines().filter(is_tab);
    let left = |l: &str| l.chars().take(60).collect::<String>();
    lines.map(|l| left(l).trim_end().to_string()).collect()
}

#[test]
fn the_first_start_offers_songs_help_and_a_look_round() {
    let house = House::new();
    let mut studio = house.start(&[]);
    studio.see("12 songs");
    studio.see("Some songs are here to begin with.");
    studio.press(F2);
    studio.see("A look round · 1 of 12");
    studio.press(F2);
    studio.wait("end of the tour", |t| !t.contains("A look round"));
    studio.press("?");
    studio.see("Keys: press one");
    studio.escape(|t| !t.contains("Keys: press one"));
    studio.escape(|t| t.contains("Esc again leaves"));
    studio.press(ESC);
    assert!(studio.end().success());
    studio.is_given_back();
    // The songs are there, and are not laid out again.
    std::fs::remove_file(house.songs().join("two-lanterns.toml")).unwrap();
    let studio = house.start(&[]);
    let text = studio.see("11 songs");
    assert!(!text.contains("Some songs are here"), "{text}");
}

#[test]
fn a_song_comes_from_nothing_and_comes_back_the_same() {
    let house = house();
    let mut studio = house.start(&[]);
    studio.see("Two Buoys");
    studio.press(&ctrl('n'));
    for (asks, answer) in [
        ("A new song: its title", "Weir Steps"),
        ("its key", "G"),
        ("its meter", "3/4"),
        ("its tempo", "120"),
    ] {
        studio.see(asks);
        studio.press(answer);
        studio.press(ENTER);
    }
    studio.see("a–g notes");
    // Three bars of quarters, then a long note; a chord over the first note of each bar.
    studio.press("4gabbagab'd2.g");
    studio.see("bar 4: 3 of 3 beats");
    for (bar, chord) in ["G", "D7", "C", "G"].iter().enumerate() {
        studio.press(pty::HOME);
        studio.press(&PAGE_DOWN.repeat(bar));
        studio.press(RIGHT);
        studio.press("h");
        studio.see("that is it");
        studio.press(chord);
        studio.press(ENTER);
        studio.wait("the chord to be kept", |t| !t.contains("the next beat"));
    }
    studio.press(ESC);
    studio.see("stretch");
    layers_pin_and_variant(&mut studio);
    let before = tab(&studio.text());
    assert_eq!(before.len(), 6, "{}", studio.text());
    studio.press("q");
    assert!(studio.end().success());
    studio.is_given_back();
    let text = house.song("weir-steps.toml");
    assert!(
        text.contains("[[pin]]") && text.contains("[[idea]]"),
        "{text}"
    );
    let mut again = house.start(&[]);
    again.see("Weir Steps");
    again.press("weir");
    again.press(ENTER);
    again.see("stretch");
    again.press("4");
    again.see("4 colour");
    again.wait("the same tab", |t| tab(t) == before);
    again.press("q");
    again.end();
    assert_eq!(house.song("weir-steps.toml"), text);
    let file = house.songs().join("weir-steps.toml");
    let checked = std::process::Command::new(env!("CARGO_BIN_EXE_thumbline"))
        .arg("arrange")
        .arg(file)
        .output()
        .unwrap();
    assert!(checked.status.success());
}

fn layers_pin_and_variant(studio: &mut Studio) {
    studio.press("1");
    studio.see("1 melody");
    // Before layer 2 it asks whether the tune is known.
    studio.press("2");
    studio.see("do you know it?");
    studio.press("T");
    studio.press("2");
    studio.see("2 bass");
    studio.press("3");
    studio.see("3 fill");
    studio.press("p");
    studio.see("^");
    studio.press(pty::HOME);
    studio.see("bar 1 of 4");
    studio.press(".");
    studio.see("bar 2 of 4");
    // The list of ways comes when there is time for it.
    studio.see("effort");
    studio.press("e");
    studio.wait("the way to be pinned", |t| !t.contains('…'));
    studio.press("4");
    studio.see("Ideas, bar 2");
    studio.see("▸ ");
    studio.press("y");
    studio.see("√");
    studio.press("s");
    studio.wait("it to be saved", |t| !t.contains("not saved"));
}

#[test]
fn a_bar_is_looped_at_half_the_tempo() {
    let house = house();
    let mut studio = at_desk(&house);
    studio.press(&"-".repeat(10));
    studio.see("(50%)");
    studio.press("o");
    let mark = |text: &str| {
        let find = |l: &str| l.chars().position(|c| c == '▾');
        text.lines().find_map(find)
    };
    let at = mark(&studio.wait("the music to move", |t| mark(t).is_some()));
    studio.wait("the music to go on", |t| {
        mark(t).is_some_and(|m| Some(m) != at)
    });
    // It stays in the bar and comes back to its start.
    studio.wait("the loop to begin again", |t| mark(t) <= at);
    studio.press("o");
    studio.wait("silence", |t| mark(t).is_none());
}

#[test]
fn clean_passes_climb_and_are_logged() {
    let house = house();
    let mut studio = at_desk(&house);
    studio.press("w");
    studio.see("Space begins");
    studio.see("60 %");
    // Without a model and count-in, and after one clean pass already.
    for (setting, change) in [("Count-in", "none"), ("Model", "on m"), ("Clean", "1")] {
        set(&mut studio, setting, change);
    }
    studio.press(" ");
    studio.see("Was that pass clean?");
    studio.press(ENTER);
    studio.see("65 %");
    studio.see("Was that pass clean?");
    studio.press(BACKSPACE);
    studio.press(ESC);
    studio.see("n write");
    studio.press("q");
    studio.end();
    let log = house.log();
    assert!(
        log.contains("two-buoys bars 1-1 fill at 60% 1 of 1 clean"),
        "{log}"
    );
    assert!(log.contains("at 65% 0 of 1 clean"), "{log}");
}

/// Changes a setting of the Shed until its line holds a text.
fn set(studio: &mut Studio, setting: &str, wanted: &str) {
    // What the marks stand before: the bar in the rows above, and the setting.
    let marked = |text: &str| {
        let behind = text.split('▸').skip(1);
        let words = behind.map(|t| t.split_whitespace().next().map(str::to_string));
        words.collect::<Vec<_>>()
    };
    let value = |text: &str| {
        let found = text.lines().find_map(|l| l.split_once(setting));
        found.map(|(_, value)| value.trim_start().to_string())
    };
    studio.press(&UP.repeat(20));
    let mut text = studio.see("▸Bars");
    while !text.contains(&format!("▸{setting}")) {
        studio.press(DOWN);
        text = studio.wait("the next setting", |t| marked(t) != marked(&text));
    }
    while !value(&text).is_some_and(|v| v.starts_with(wanted)) {
        studio.press(pty::LEFT);
        text = studio.wait("another value", |t| value(t) != value(&text));
    }
}

#[test]
fn a_setlist_is_made_and_played_through_on_the_stand() {
    let house = House::new();
    let mut studio = house.start(&[]);
    studio.see("12 songs");
    for title in ["Lamps", "Gangway"] {
        studio.press(title);
        studio.see("1 of 12 songs");
        studio.press(&ctrl('l'));
        studio.see("into a setlist");
        studio.press(&ctrl('u'));
        studio.press("Harbour Evening");
        studio.press(ENTER);
        studio.wait("the list", |t| !t.contains("into a setlist"));
        studio.escape(|t| !t.contains(&format!("find  {title}")));
    }
    studio.press(TAB);
    studio.see("Harbour Evening");
    studio.press(&ctrl('r'));
    studio.see("Harbour Evening, 1 of 2");
    studio.see("Lamps Along the Quay");
    studio.press(&PAGE_DOWN.repeat(2));
    studio.press("n");
    studio.see("Harbour Evening, 2 of 2");
    studio.see("Gangway March");
    studio.press("p");
    studio.see("Harbour Evening, 1 of 2");
    studio.press(ESC);
    studio.see("Setlists");
}

#[test]
fn no_size_breaks_the_picture() {
    let house = house();
    let mut studio = at_desk(&house);
    let mut numbers = Numbers(2026);
    for _ in 0..200 {
        studio.resize(1 + numbers.below(250) as u16, 1 + numbers.below(80) as u16);
        studio.press(numbers.one([RIGHT, DOWN, "3", "2", "?", ".", "e", "u"]));
    }
    studio.resize(40, 12);
    studio.see("This terminal is 40×12.");
    studio.resize(80, 24);
    studio.wait("the whole screen", |t| {
        t.contains("Two Buoys") && (t.contains("q leave") || t.contains("Keys: press one"))
    });
}

#[test]
fn signals_end_it_with_everything_kept() {
    for name in ["TERM", "HUP"] {
        let house = house();
        let mut studio = at_desk(&house);
        studio.press("p");
        studio.see("^");
        studio.signal(name);
        studio.end();
        studio.is_given_back();
        let again = at_desk(&house);
        again.see("^");
    }
}

#[test]
fn it_ends_when_its_window_is_closed() {
    let house = house();
    let mut studio = at_desk(&house);
    studio.press("p");
    studio.see("^");
    studio.hang_up();
    assert!(!studio.end().success());
    at_desk(&house).see("^");
    // Also where a shell stands between the window and the program.
    let mut shell = house.shell();
    shell.see("ready>");
    shell.press("sh -c 'thumbline; true' &\r");
    shell.press("fg\r");
    shell.see("Two Buoys");
    shell.hang_up();
    shell.end();
    // Nobody holds the song any more, so the next one may.
    let mut again = at_desk(&house);
    again.press("p");
    again.wait("it to be unpinned", |t| !t.contains('^'));
    again.press("q");
    assert!(again.end().success());
}

#[test]
fn it_can_be_put_aside_and_woken() {
    let house = house();
    let mut studio = house.shell();
    studio.see("ready>");
    studio.press("thumbline\r");
    studio.see("Two Buoys");
    studio.press(ENTER);
    studio.see("stretch");
    studio.press(&ctrl('z'));
    studio.see("Stopped");
    studio.is_given_back();
    studio.press("fg\r");
    studio.until("the screen", || studio.look(|s| s.alternate_screen()));
    studio.wait("the whole screen", |t| {
        t.contains("Two Buoys") && t.contains("q leave") && !t.contains("Stopped")
    });
    studio.press("p");
    studio.see("^");
    studio.press("q");
    studio.is_given_back();
    studio.press("exit $?\r");
    assert!(studio.end().success());
}

#[test]
fn a_panic_is_told_on_a_terminal_that_is_given_back() {
    let house = house();
    let this = std::env::current_exe().unwrap();
    let words = ["--exact", "breaks", "--ignored", "--nocapture"];
    let mut studio = house.start_other(&this, &words);
    studio.see("Two Buoys");
    std::fs::write(house.path().join("now"), "").unwrap();
    studio.see("something broke on purpose");
    studio.is_given_back();
    assert!(!studio.end().success());
}

/// The studio with a thread that breaks when a file tells it to.
#[test]
#[ignore = "run by the test above, in a terminal of its own"]
fn breaks() {
    use thumbline::studio;
    std::thread::spawn(|| {
        while !std::path::Path::new("now").exists() {
            std::thread::sleep(std::time::Duration::from_millis(5));
        }
        panic!("something broke on purpose");
    });
    let shelf = studio::Shelf::new(jiff::tz::TimeZone::UTC);
    let theme = studio::Theme::named("none").unwrap();
    let studio = studio::Studio::choosing(shelf, theme);
    studio::run(studio, thumbline::shelf::Folders::of_user().ok()).unwrap();
}

#[test]
fn a_song_that_is_open_elsewhere_is_not_overwritten() {
    let house = house();
    let mut one = at_desk(&house);
    let mut other = at_desk(&house);
    other.see("open");
    other.press("p");
    other.see("^");
    other.press("q");
    other.end();
    one.press(RIGHT);
    one.press("p");
    one.see("^");
    one.press("q");
    one.end();
    let texts: Vec<String> = std::fs::read_dir(house.songs())
        .unwrap()
        .filter_map(|e| std::fs::read_to_string(e.unwrap().path()).ok())
        .collect();
    assert_eq!(texts.len(), 2, "both are kept");
    assert!(texts.iter().all(|t| t.matches("[[pin]]").count() == 1));
}

/// Whether any colour was sent: SGR 30 to 38, 40 to 48, 90 to 107 (ECMA-48, and common practice).
fn is_coloured(bytes: &[u8]) -> bool {
    let text = String::from_utf8_lossy(bytes);
    text.split("\x1b[").skip(1).any(|part| {
        let Some((codes, _)) = part.split_once('m') else {
            return false;
        };
        let mut numbers = codes.split(';').map(str::parse::<u8>);
        numbers.any(|n| matches!(n, Ok(30..=38 | 40..=48 | 90..=107)))
    })
}

#[test]
fn without_colours_none_is_sent_and_the_config_goes_first() {
    let house = house();
    let bare = [("NO_COLOR", "1")];
    let mut studio = house.start_with(&[], (80, 24), &bare);
    studio.see("Two Buoys");
    studio.press(ENTER);
    studio.see("stretch");
    assert!(!is_coloured(&studio.bytes()));
    studio.press("q");
    studio.end();
    std::fs::create_dir_all(house.config().join("themes")).unwrap();
    let config = house.config().join("config.toml");
    std::fs::write(&config, "theme = \"dusk\"").unwrap();
    let dusk = house.config().join("themes/dusk.toml");
    std::fs::write(&dusk, "ground = \"white on blue\"").unwrap();
    let studio = house.start_with(&[], (80, 24), &bare);
    studio.see("Two Buoys");
    let ground = || studio.look(|s| s.cell(0, 0).map(|c| c.bgcolor()));
    studio.until("blue", || ground() == Some(vt100::Color::Idx(4)));
    // It changes while the studio runs, and a mistake is told.
    std::fs::write(&dusk, "ground = \"white on #102030\"").unwrap();
    studio.until("the new ground", || {
        ground() == Some(vt100::Color::Rgb(0x10, 0x20, 0x30))
    });
    std::fs::write(&config, "theme = \"dawn\"").unwrap();
    studio.see("there is no theme “dawn”");
    assert_eq!(ground(), Some(vt100::Color::Rgb(0x10, 0x20, 0x30)));
}
