//! Errands on a real disk, in a folder of its own for each test.

use super::*;
use crate::shelf::{Name, Seal, Store};
use std::path::Path;
use std::time::Duration;

const SONG: &str = "title = \"Two Buoys\"\nmeter = \"3/4\"\nunit = \"1/4\"\ntune = \"\"\"\n\"C\"E G c |]\n\"\"\"\n";

fn clerk(folder: &Path) -> Clerk {
    Clerk::new(Some(Folders::under(folder)))
}

fn name(text: &str) -> Name {
    Name::new(text).unwrap()
}

#[track_caller]
fn done(news: &[News]) -> &str {
    let said = news.iter().find_map(|n| match n {
        News::Done(text) => Some(text.as_str()),
        _ => None,
    });
    said.unwrap_or_else(|| panic!("{news:?}"))
}

#[test]
fn the_first_start_lays_the_demo_songs_out() {
    let folder = tempfile::tempdir().unwrap();
    let mut clerk = clerk(folder.path());
    let news = clerk.run(Errand::List);
    let [
        News::Listed {
            entries,
            unread: 12,
            ..
        },
        News::Welcome,
    ] = &news[..]
    else {
        panic!("{news:?}");
    };
    assert!(entries.iter().all(|e| e.bars == 0));
    let mut read = Vec::new();
    while clerk.has_unread() {
        let news = clerk.read_on(5);
        assert!(news.len() == 1);
        if let Some(News::Entries(entries)) = news.into_iter().next() {
            read.extend(entries);
        }
    }
    assert!(read.iter().all(|e| e.bars > 0 && e.problem.is_none()));
    // What was read is not read again.
    assert!(matches!(
        &clerk.run(Errand::List)[..],
        [News::Listed { unread: 0, .. }]
    ));
}

#[test]
fn without_a_home_it_is_said() {
    let news = Clerk::new(None).run(Errand::List);
    assert!(
        matches!(&news[..], [News::Trouble(text)] if text.contains("HOME")),
        "{news:?}"
    );
    let refused = Clerk::new(None).run(Errand::Log("x".into()));
    assert!(matches!(&refused[..], [News::Logged(_, Err(why))] if why.contains("HOME")));
}

#[test]
fn a_book_is_taken_in_once_and_what_failed_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("gulls.abc");
    let tune = |n, title: &str, chord: &str| {
        format!("X:{n}\nT:{title}\nM:3/4\nL:1/4\nK:C\n\"{chord}\"C E G |\n\n")
    };
    std::fs::write(
        &path,
        tune(1, "Gull", "C") + "X:2\nT:Odd\nM:3/4\nL:1/4\nK:C\nC99999 |\n",
    )
    .unwrap();
    let mut clerk = clerk(folder.path());
    let typed = path.display().to_string();
    let news = clerk.run(Errand::Import(typed.clone()));
    assert_eq!(
        done(&news),
        "1 song is on the shelf now, 1 could not be taken"
    );
    let told = news
        .iter()
        .any(|n| matches!(n, News::Notices(_, lines) if lines[0].contains("tune 2 is not taken")));
    assert!(told, "{news:?}");
    let again = clerk.run(Errand::Import(typed));
    assert_eq!(
        done(&again),
        "nothing new is taken, 1 lay there already, 1 could not be taken"
    );
    let missing = clerk.run(Errand::Import("no/such.abc".into()));
    assert!(matches!(&missing[0], News::Trouble(text) if text.contains("no/such.abc")));
}

#[test]
fn songs_and_setlists_are_written_and_nothing_is_replaced_unasked() {
    let folder = tempfile::tempdir().unwrap();
    let mut clerk = clerk(folder.path());
    let export = |what: &Paper, ending: &str, replace| Errand::Export {
        what: what.clone(),
        path: folder
            .path()
            .join(format!("out.{ending}"))
            .display()
            .to_string(),
        replace,
    };
    let song = Paper::Song(name("the-late-baker"));
    for (ending, begins) in [
        ("txt", "The Late Baker"),
        ("json", "{"),
        ("mid", "MThd"),
        ("pdf", "%PDF"),
        ("svg", "<?xml"),
        ("toml", "format = 1"),
    ] {
        done(&clerk.run(export(&song, ending, false)));
        let bytes = std::fs::read(folder.path().join(format!("out.{ending}"))).unwrap();
        assert!(bytes.starts_with(begins.as_bytes()), "{ending}");
        assert!(matches!(
            &clerk.run(export(&song, ending, false))[..],
            [News::Exists(_)]
        ));
        done(&clerk.run(export(&song, ending, true)));
    }
    assert!(
        matches!(&clerk.run(export(&song, "doc", false))[..], [News::Trouble(t)] if t.contains(".mid"))
    );
    let news = clerk.run(Errand::NewSetlist(
        "Evening".into(),
        vec![name("the-late-baker")],
    ));
    assert!(news.contains(&News::NewSetlist(name("evening"))));
    // Asked for twice before the screen has heard of the first: one list with both songs.
    let twice = clerk.run(Errand::NewSetlist(
        "Evening".into(),
        vec![name("the-late-baker")],
    ));
    assert!(twice.contains(&News::NewSetlist(name("evening"))));
    done(&clerk.run(export(&Paper::Setlist(name("evening")), "txt", true)));
    let text = std::fs::read_to_string(folder.path().join("out.txt")).unwrap();
    let baker = "The Late Baker (D major)";
    assert_eq!(text, format!("Evening\n\n1. {baker}\n2. {baker}\n"));
    done(&clerk.run(export(&Paper::Setlist(name("evening")), "svg", true)));
    let text = std::fs::read_to_string(folder.path().join("out.svg")).unwrap();
    assert!(text.contains("<title>Evening</title>") && text.contains(">The Late Baker</text>"));
}

#[test]
fn ideas_that_were_taken_are_printed() {
    let folder = tempfile::tempdir().unwrap();
    let mut clerk = clerk(folder.path());
    let path = |file: &str| folder.path().join(file).display().to_string();
    let song = format!("{SONG}[[idea]]\nbar = 1\nfigure = \"root and fifth\"\n");
    std::fs::write(path("song.toml"), song).unwrap();
    done(&clerk.run(Errand::Import(path("song.toml"))));
    clerk.run(Errand::NewSetlist(
        "Evening".into(),
        vec![name("two-buoys")],
    ));
    for what in [
        Paper::Song(name("two-buoys")),
        Paper::Setlist(name("evening")),
    ] {
        done(&clerk.run(Errand::Export {
            what: what.clone(),
            path: path("out.svg"),
            replace: true,
        }));
        let sheet = std::fs::read_to_string(path("out.svg")).unwrap();
        assert!(sheet.contains("colour"), "{what:?}");
    }
}

#[test]
fn two_windows_and_an_editor_are_noticed() {
    let folder = tempfile::tempdir().unwrap();
    let (mut one, mut two) = (clerk(folder.path()), clerk(folder.path()));
    let baker = name("the-late-baker");
    let opened = one.run(Errand::Open(baker.clone()));
    let [
        News::Opened {
            address,
            seal,
            text,
        },
        News::Held {
            refused: None,
            jotted: None,
            ..
        },
    ] = &opened[..]
    else {
        panic!("{opened:?}");
    };
    let second = two.run(Errand::Open(baker.clone()));
    assert!(matches!(
        &second[1],
        News::Held {
            refused: Some(_),
            ..
        }
    ));
    let refused = two.run(Errand::Tag(baker.clone(), vec!["x".into()]));
    assert!(matches!(&refused[..], [News::Trouble(_)]), "{refused:?}");
    let store = Store::open(&address.folder).unwrap();
    std::fs::write(store.path(&baker), SONG).unwrap();
    let jot = |seal| Errand::Jot {
        address: address.clone(),
        text: text.clone() + "# more\n",
        seal,
    };
    let changed = one.run(jot(Some(seal.clone())));
    assert!(matches!(
        &changed[..],
        [News::Unjotted { changed: true, .. }]
    ));
    // Once that is known, it is not told again.
    assert!(one.run(jot(None)).is_empty());
    let save = |seal| Errand::Save {
        address: address.clone(),
        text: text.clone(),
        seal,
    };
    let unsaved = one.run(save(Some(seal.clone())));
    assert!(matches!(
        &unsaved[..],
        [News::Unsaved { changed: true, .. }]
    ));
    assert!(matches!(&one.run(save(None))[..], [News::Saved { .. }]));
    let versions = store.versions(&baker).unwrap();
    assert_eq!(store.read_version(&baker, versions[0]).unwrap(), SONG);
    one.run(Errand::Release(address.clone()));
    let free = two.run(Errand::Tag(baker.clone(), vec!["x".into()]));
    done(&free);
    // A setlist that changed meanwhile is shown anew, not overwritten.
    one.run(Errand::NewSetlist("Evening".into(), vec![baker.clone()]));
    let stale = Errand::SetSongs {
        name: name("evening"),
        before: Vec::new(),
        after: Vec::new(),
    };
    let news = two.run(stale);
    assert!(
        matches!(&news[..], [News::Listed { lists, .. }, News::Trouble(_)] if lists[0].songs == [baker])
    );
}

#[test]
fn what_is_thrown_away_and_what_was_before_come_back() {
    let folder = tempfile::tempdir().unwrap();
    let mut clerk = clerk(folder.path());
    let baker = name("the-late-baker");
    done(&clerk.run(Errand::Tag(baker.clone(), vec!["fast".into()])));
    let news = clerk.run(Errand::Versions(baker.clone()));
    let [News::Versions(_, versions)] = &news[..] else {
        panic!("{news:?}");
    };
    done(&clerk.run(Errand::GoBack(baker.clone(), versions[0])));
    done(&clerk.run(Errand::ThrowAway(Kind::Song, baker.clone())));
    let news = clerk.run(Errand::Bin);
    let [News::Binned(all)] = &news[..] else {
        panic!("{news:?}");
    };
    let (kind, binned) = all[0].clone();
    let back = clerk.run(Errand::TakeBack(kind, binned));
    assert_eq!(done(&back), "“the-late-baker” is back");
    assert!(back.contains(&News::Binned(Vec::new())));
}

#[test]
fn what_was_sent_off_is_on_the_disk_when_the_thread_ends() {
    let folder = tempfile::tempdir().unwrap();
    let mut files = Files::start(Some(Folders::under(folder.path())));
    files.send(Errand::List);
    let mut news = Vec::new();
    while files.is_busy() {
        news.extend(files.news());
        std::thread::sleep(Duration::from_millis(1));
    }
    let read: usize = (news.iter())
        .map(|n| match n {
            News::Entries(entries) => entries.len(),
            _ => 0,
        })
        .sum();
    assert_eq!(read, 12);
    let address = Address {
        folder: Folders::under(folder.path()).songs,
        name: name("buoys"),
    };
    files.send(Errand::Save {
        address: address.clone(),
        text: SONG.into(),
        seal: Some(Seal::ABSENT),
    });
    drop(files);
    let store = Store::open(&address.folder).unwrap();
    assert_eq!(store.read(&address.name).unwrap().0, SONG);
}

#[test]
fn sheets_get_a_name_that_is_free() {
    let folder = tempfile::tempdir().unwrap();
    let arrangement = crate::score::fixture::waltz();
    for wanted in ["lamps.pdf", "lamps-2.pdf"] {
        let news = super::papers::print(folder.path(), &arrangement, "lamps");
        assert!(
            matches!(&news, News::Printed(path) if path.ends_with(wanted)),
            "{news:?}"
        );
        let bytes = std::fs::read(folder.path().join(wanted)).unwrap();
        assert!(bytes.starts_with(b"%PDF-"));
    }
    let nowhere = folder.path().join("no");
    let news = super::papers::print(&nowhere, &arrangement, "lamps");
    assert!(matches!(news, News::Trouble(_)), "{news:?}");
}

#[test]
fn every_line_of_the_log_is_on_the_disk_when_the_thread_ends() {
    let folder = tempfile::tempdir().unwrap();
    let folders = Folders::under(folder.path());
    let mut files = Files::start(Some(folders.clone()));
    let lines: Vec<String> = (0..20).map(|i| format!("line {i}")).collect();
    for line in &lines {
        files.send(Errand::Log(line.clone()));
        // What the log waits for is waited for, and told.
        assert!(files.is_busy());
    }
    drop(files);
    let text = folders.read_log().unwrap();
    assert_eq!(text.lines().collect::<Vec<_>>(), lines);
    let read = clerk(folder.path()).run(Errand::ReadLog);
    assert_eq!(read, [News::LogRead(Ok(text))]);
}

/// A key waits until the change before it is on the disk.
#[test]
fn what_was_changed_is_on_the_disk_once_it_is_waited_for() {
    let folder = tempfile::tempdir().unwrap();
    let songs = Folders::under(folder.path()).songs;
    let store = Store::open(&songs).unwrap();
    let buoys = store
        .add("buoys", SONG, jiff::Timestamp::UNIX_EPOCH)
        .unwrap();
    let (_, seal) = store.read(&buoys).unwrap();
    let mut files = Files::start(Some(Folders::under(folder.path())));
    for round in 0..20 {
        let text = format!("{SONG}# {round}\n");
        files.send(Errand::Jot {
            address: Address {
                folder: songs.clone(),
                name: buoys.clone(),
            },
            text: text.clone(),
            seal: Some(seal.clone()),
        });
        // On a slow disk a key waits in turns.
        files.late = false;
        while files.written < files.changed {
            files.settle();
            files.late = false;
        }
        assert_eq!(store.jotted(&buoys).unwrap(), Some(text));
    }
    assert!(files.news().is_empty());
}

#[test]
fn a_song_of_a_newer_format_is_only_read() {
    let folder = tempfile::tempdir().unwrap();
    let mut clerk = clerk(folder.path());
    clerk.run(Errand::List);
    let baker = name("the-late-baker");
    let path = Folders::under(folder.path())
        .songs
        .join("the-late-baker.toml");
    let newer = format!("format = 2\nhum = \"low\"\n{SONG}");
    std::fs::write(&path, &newer).unwrap();
    let opened = clerk.run(Errand::Open(baker.clone()));
    let Some(News::Held {
        refused: Some(why), ..
    }) = opened.get(1)
    else {
        panic!("{opened:?}");
    };
    assert!(why.contains("newer Thumbline"), "{why}");
    let tagged = clerk.run(Errand::Tag(baker, vec!["quiet".into()]));
    assert!(matches!(&tagged[..], [News::Trouble(_)]), "{tagged:?}");
    assert_eq!(std::fs::read_to_string(&path).unwrap(), newer);
}

#[test]
fn a_song_that_is_not_worked_on_is_free() {
    let folder = tempfile::tempdir().unwrap();
    let mut clerk = clerk(folder.path());
    clerk.run(Errand::List);
    let baker = name("the-late-baker");
    let store = Store::open(&Folders::under(folder.path()).songs).unwrap();
    store.jot(&baker, &"x".repeat(17 << 20)).unwrap();
    let opened = clerk.run(Errand::Open(baker.clone()));
    assert!(
        matches!(
            &opened[1],
            News::Held {
                refused: Some(_),
                ..
            }
        ),
        "{opened:?}"
    );
    store.drop_jotted(&baker).unwrap();
    done(&clerk.run(Errand::Tag(baker, vec!["quiet".into()])));
}
