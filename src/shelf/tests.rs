//! The shelf on a real disk, in a folder of its own for each test.

use super::*;
use crate::arrange::Layer;
use proptest::prelude::*;
use std::fs;
use tempfile::TempDir;

fn at(second: i64) -> Timestamp {
    Timestamp::from_second(1_767_000_000 + second).unwrap()
}

fn shelf() -> (TempDir, Shelf) {
    let folder = tempfile::tempdir().unwrap();
    let shelf = Shelf::open(Folders::under(folder.path()), at(0)).unwrap();
    (folder, shelf)
}

fn name(text: &str) -> Name {
    Name::new(text).unwrap()
}

fn listed(shelf: &Shelf) -> Vec<Entry> {
    let unread = shelf.unread().unwrap().into_iter();
    unread.map(|e| shelf.entry(e.name)).collect()
}

#[test]
fn a_new_shelf_holds_the_demo_songs_and_only_the_first_time() {
    let (_folder, shelf) = shelf();
    let list = listed(&shelf);
    assert_eq!(list.len(), 12);
    assert!(list.iter().all(|e| e.problem.is_none() && e.bars > 0));
    let lamps = name("lamps-along-the-quay");
    shelf.songs.throw_away(&lamps, at(1)).unwrap();
    let again = Shelf::open(shelf.folders.clone(), at(2)).unwrap();
    assert_eq!(listed(&again).len(), 11);
}

#[test]
fn ticks_are_seen_in_the_list() {
    let (_folder, shelf) = shelf();
    let lamps = name("lamps-along-the-quay");
    let mut taken = shelf.take(&lamps).unwrap();
    taken.progress.tick(Layer::Melody, 0, true);
    taken.progress.tick(Layer::Bass, 1, true);
    taken.progress.tick(Layer::Bass, 2, true);
    taken.progress.write(&mut taken.file).unwrap();
    let text = taken.file.to_string();
    shelf.songs.save(&lamps, &text, &taken.seal, at(1)).unwrap();
    let list = listed(&shelf);
    let entry = list.iter().find(|e| e.name == lamps).unwrap();
    assert_eq!(entry.done, [1, 2, 0, 0]);
}

#[test]
fn a_broken_song_is_listed_with_its_fault() {
    let (_folder, shelf) = shelf();
    fs::write(shelf.folders.songs.join("torn.toml"), "title = \"Torn").unwrap();
    fs::write(shelf.folders.songs.join("bytes.toml"), [0xff, 0xfe]).unwrap();
    let list = listed(&shelf);
    for torn in ["torn", "bytes"] {
        let entry = list.iter().find(|e| e.name == name(torn)).unwrap();
        assert!(entry.problem.as_ref().is_some_and(|p| p.contains(torn)));
        assert_eq!(entry.title, torn);
    }
    assert!(matches!(
        shelf.take(&name("torn")),
        Err(ShelfError::NotASong { .. })
    ));
}

#[test]
fn new_songs_get_names_of_their_own() {
    let (_folder, shelf) = shelf();
    let song = shelf.take(&name("tide-table-dance")).unwrap().song;
    let first = shelf.add(&song, at(1)).unwrap();
    let second = shelf.add(&song, at(1)).unwrap();
    assert_eq!(first.as_str(), "tide-table-dance-2");
    assert_eq!(second.as_str(), "tide-table-dance-3");
    assert_eq!(shelf.take(&second).unwrap().song.title, song.title);
}

#[test]
fn saving_keeps_what_was_before_and_going_back_can_be_undone() {
    let (_folder, shelf) = shelf();
    let store = &shelf.songs;
    let a = name("a");
    let mut seal = store.save(&a, "one", &Seal::ABSENT, at(0)).unwrap();
    seal = store.save(&a, "two", &seal, at(10)).unwrap();
    // The same text again is no new version; two saves at one time are two versions.
    seal = store.save(&a, "two", &seal, at(20)).unwrap();
    seal = store.save(&a, "three", &seal, at(10)).unwrap();
    let versions = store.versions(&a).unwrap();
    let texts: Vec<String> = versions
        .iter()
        .map(|v| store.read_version(&a, *v).unwrap())
        .collect();
    assert_eq!(texts, ["two", "one"]);
    let seal = store.go_back(&a, versions[1], &seal, at(30)).unwrap();
    assert_eq!(store.read(&a).unwrap().0, "one");
    let newest = store.versions(&a).unwrap()[0];
    store.go_back(&a, newest, &seal, at(40)).unwrap();
    assert_eq!(store.read(&a).unwrap().0, "three");
    let never = Version {
        number: 9,
        until: at(999),
    };
    assert!(matches!(
        store.read_version(&a, never),
        Err(ShelfError::NoVersion { .. })
    ));
}

#[test]
fn versions_and_a_bin_without_numbers_are_older_than_those_with() {
    let (_folder, shelf) = shelf();
    let store = &shelf.songs;
    let a = name("a");
    let mut seal = store.save(&a, "one", &Seal::ABSENT, at(0)).unwrap();
    for (text, second) in [("two", 1), ("three", 2)] {
        seal = store.save(&a, text, &seal, at(second)).unwrap();
    }
    let own = shelf.folders.songs.join(".thumbline");
    store.save(&name("b"), "b", &Seal::ABSENT, at(3)).unwrap();
    store.throw_away(&name("b"), at(3)).unwrap();
    for folder in [own.join("earlier/a"), own.join("bin")] {
        for entry in fs::read_dir(&folder).unwrap() {
            let path = entry.unwrap().path();
            let bare = path.file_name().unwrap().to_str().unwrap()[7..].to_string();
            fs::rename(&path, folder.join(bare)).unwrap();
        }
    }
    store.save(&a, "four", &seal, at(-5)).unwrap();
    let versions = store.versions(&a).unwrap();
    let read = |v| store.read_version(&a, v).unwrap();
    assert_eq!(
        versions.iter().map(|v| read(*v)).collect::<Vec<_>>(),
        ["three", "two", "one"]
    );
    assert_eq!(
        store.take_back(&store.bin().unwrap()[0]).unwrap(),
        name("b")
    );
}

#[test]
fn a_change_by_another_program_is_noticed_and_nothing_is_lost() {
    let (_folder, shelf) = shelf();
    let store = &shelf.songs;
    let a = name("a");
    let seal = store.save(&a, "ours", &Seal::ABSENT, at(0)).unwrap();
    assert!(store.unchanged(&a, &seal).is_ok());
    fs::write(store.path(&a), "theirs").unwrap();
    assert!(store.unchanged(&a, &seal).is_err());
    let error = store.save(&a, "ours too", &seal, at(1)).unwrap_err();
    assert!(matches!(error, ShelfError::Changed { .. }));
    assert_eq!(store.read(&a).unwrap().0, "theirs");
    let seal = store.seal(&a).unwrap();
    store.save(&a, "ours too", &seal, at(2)).unwrap();
    let newest = store.versions(&a).unwrap()[0];
    assert_eq!(store.read_version(&a, newest).unwrap(), "theirs");
    assert!(matches!(
        store.save(&a, "new", &Seal::ABSENT, at(3)),
        Err(ShelfError::Taken { .. })
    ));
    fs::remove_file(store.path(&a)).unwrap();
    assert!(matches!(
        store.save(&a, "x", &seal, at(4)),
        Err(ShelfError::Gone { .. })
    ));
}

#[test]
fn two_programs_on_one_song_notice_each_other() {
    let (_folder, shelf) = shelf();
    let a = name("a");
    let lock = shelf.songs.lock(&a).unwrap();
    let other = Store::open(&shelf.folders.songs).unwrap();
    assert!(matches!(other.lock(&a), Err(ShelfError::InUse { .. })));
    assert!(other.lock(&name("b")).is_ok());
    drop(lock);
    assert!(other.lock(&a).is_ok());
}

#[test]
fn what_is_thrown_away_can_be_taken_back() {
    let (_folder, shelf) = shelf();
    let store = &shelf.songs;
    let a = name("a Z.b");
    for text in ["first", "second"] {
        store.save(&a, text, &Seal::ABSENT, at(0)).unwrap();
        store.throw_away(&a, at(5)).unwrap();
    }
    let bin = store.bin().unwrap();
    assert_eq!(bin.len(), 2);
    assert_eq!(store.take_back(&bin[0]).unwrap(), a);
    assert_eq!(store.read(&a).unwrap().0, "second");
    assert_eq!(store.take_back(&bin[1]).unwrap(), name("a Z.b-2"));
    assert!(matches!(
        store.take_back(&bin[1]),
        Err(ShelfError::Missing { .. })
    ));
    store.throw_away(&a, at(100)).unwrap();
    assert!(matches!(
        store.throw_away(&a, at(101)),
        Err(ShelfError::Missing { .. })
    ));
}

#[test]
fn unsaved_work_goes_into_the_bin_with_its_file_and_comes_back_with_it() {
    let (_folder, shelf) = shelf();
    let store = &shelf.songs;
    let a = name("a");
    for text in ["first", "second"] {
        store.save(&a, text, &Seal::ABSENT, at(0)).unwrap();
        store.jot(&a, &format!("{text} and more")).unwrap();
        store.throw_away(&a, at(5)).unwrap();
        assert_eq!(store.jotted(&a).unwrap(), None);
    }
    for binned in store.bin().unwrap() {
        let name = store.take_back(&binned).unwrap();
        let more = format!("{} and more", store.read(&name).unwrap().0);
        assert_eq!(store.jotted(&name).unwrap(), Some(more));
    }
}

#[test]
fn a_file_that_is_no_text_can_be_thrown_away() {
    let (_folder, shelf) = shelf();
    let bytes = name("bytes");
    fs::write(shelf.songs.path(&bytes), [0xff, 0xfe]).unwrap();
    let binned = shelf.songs.throw_away(&bytes, at(1)).unwrap();
    assert_eq!(shelf.songs.take_back(&binned).unwrap(), bytes);
}

#[test]
fn a_save_stands_though_the_journal_can_not_be_dropped() {
    let (_folder, shelf) = shelf();
    let a = name("a");
    let seal = shelf.songs.save(&a, "one", &Seal::ABSENT, at(0)).unwrap();
    let journal = shelf.folders.songs.join(".thumbline/journal");
    fs::create_dir(journal.join("a.toml")).unwrap();
    let seal = shelf.songs.save(&a, "two", &seal, at(1)).unwrap();
    // Where it can't even be found, nothing is saved.
    fs::remove_dir_all(&journal).unwrap();
    fs::write(&journal, "").unwrap();
    assert!(shelf.songs.save(&a, "three", &seal, at(2)).is_err());
    assert_eq!(shelf.songs.read(&a).unwrap().0, "two");
}

#[test]
fn the_journal_outlives_a_crash_and_not_a_save() {
    let (_folder, shelf) = shelf();
    let a = name("a");
    let seal = shelf.songs.save(&a, "one", &Seal::ABSENT, at(0)).unwrap();
    shelf.songs.jot(&a, "on").unwrap();
    shelf.songs.jot(&a, "one more").unwrap();
    let again = Store::open(&shelf.folders.songs).unwrap();
    assert_eq!(again.jotted(&a).unwrap().as_deref(), Some("one more"));
    again.save(&a, "one more", &seal, at(1)).unwrap();
    assert_eq!(again.jotted(&a).unwrap(), None);
}

#[test]
fn the_log_only_grows_and_survives_a_torn_line() {
    let (_folder, shelf) = shelf();
    assert_eq!(shelf.folders.read_log().unwrap(), "");
    shelf.folders.add_to_log("one").unwrap();
    let mut torn = fs::read(&shelf.folders.log).unwrap();
    torn.extend(b"tw\xc3");
    fs::write(&shelf.folders.log, torn).unwrap();
    shelf.folders.add_to_log("three\nand four").unwrap();
    assert_eq!(
        shelf.folders.read_log().unwrap(),
        "one\ntw\u{fffd}\nthree and four\n"
    );
}

#[test]
fn setlists_are_made_kept_and_told() {
    let (_folder, shelf) = shelf();
    let evening = shelf.add_setlist("Harbour evening", at(0)).unwrap();
    let (mut setlist, seal) = shelf.take_setlist(&evening).unwrap();
    setlist.songs = vec![name("lamps-along-the-quay"), name("gone")];
    (shelf.setlists)
        .save(&evening, &setlist.text(), &seal, at(1))
        .unwrap();
    let (again, _) = shelf.take_setlist(&evening).unwrap();
    insta::assert_snapshot!(again.listed(&listed(&shelf)), @r"
    Harbour evening

    1. Lamps Along the Quay (G major)
    2. gone (not on the shelf)
    ");
}

#[cfg(unix)]
#[test]
fn links_lead_nowhere() {
    use std::os::unix::fs::symlink;
    let (folder, shelf) = shelf();
    let outside = folder.path().join("outside");
    fs::create_dir(&outside).unwrap();
    let secret = outside.join("secret.toml");
    fs::write(&secret, "secret").unwrap();
    let a = name("a");
    symlink(&secret, shelf.songs.path(&a)).unwrap();
    assert!(matches!(
        shelf.songs.read(&a),
        Err(ShelfError::NotPlain { .. })
    ));
    assert!(shelf.songs.save(&a, "x", &Seal::ABSENT, at(0)).is_err());
    assert!(!shelf.songs.names().unwrap().contains(&a));
    // A folder of the store's own that became a link, and a log that is one.
    let own = shelf.folders.songs.join(".thumbline");
    fs::remove_dir_all(&own).unwrap();
    symlink(&outside, &own).unwrap();
    let b = name("b");
    assert!(shelf.songs.jot(&b, "x").is_err());
    assert!(shelf.songs.lock(&b).is_err());
    symlink(&secret, &shelf.folders.log).unwrap();
    assert!(shelf.folders.add_to_log("x").is_err() && shelf.folders.read_log().is_err());
    assert_eq!(fs::read_dir(&outside).unwrap().count(), 1);
    assert_eq!(fs::read_to_string(&secret).unwrap(), "secret");
}

proptest! {
    #![proptest_config(crate::properties::cases(24))]

    /// Whatever is saved, every text that lay on disk within the hour can be had again, and no
    /// half-written file is left behind.
    #[test]
    fn nothing_saved_is_lost(texts in prop::collection::vec("[ab]{0,3}", 1..10)) {
        let folder = tempfile::tempdir().unwrap();
        let store = Store::open(folder.path()).unwrap();
        let a = name("a");
        let mut seal = Seal::ABSENT;
        for (i, text) in texts.iter().enumerate() {
            seal = store.save(&a, text, &seal, at(i as i64 / 3)).unwrap();
        }
        let mut wanted = texts.clone();
        wanted.dedup();
        let mut had: Vec<String> = store.versions(&a).unwrap().iter().rev()
            .map(|v| store.read_version(&a, *v).unwrap()).collect();
        had.push(store.read(&a).unwrap().0);
        prop_assert_eq!(had, wanted);
        prop_assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 2);
    }
}

proptest! {
    #![proptest_config(crate::properties::cases(12))]

    /// However far the clock is set back between saves, every text can be had again, in the order in
    /// which it lay on disk; and so with what is thrown away.
    #[test]
    fn a_clock_set_back_loses_nothing(
        steps in prop::collection::vec(prop_oneof![0i64..60, -400_000_000i64..0, Just(0), Just(-1)], 1..12),
    ) {
        let folder = tempfile::tempdir().unwrap();
        let store = Store::open(folder.path()).unwrap();
        let (a, b) = (name("a"), name("b"));
        let (mut seal, mut now) = (Seal::ABSENT, 0);
        let texts: Vec<String> = (0..steps.len()).map(|i| i.to_string()).collect();
        for (text, step) in texts.iter().zip(&steps) {
            now += step;
            store.jot(&a, text).unwrap();
            seal = store.save(&a, text, &seal, at(now)).unwrap();
            store.save(&b, text, &Seal::ABSENT, at(now)).unwrap();
            store.throw_away(&b, at(now)).unwrap();
        }
        let mut had: Vec<String> = store.versions(&a).unwrap().iter().rev()
            .map(|v| store.read_version(&a, *v).unwrap()).collect();
        had.push(store.read(&a).unwrap().0);
        prop_assert_eq!(&had, &texts);
        prop_assert_eq!(store.jotted(&a).unwrap(), None);
        let bin = store.bin().unwrap();
        for (binned, text) in bin.iter().zip(texts.iter().rev()) {
            let name = store.take_back(binned).unwrap();
            prop_assert_eq!(&store.read(&name).unwrap().0, text);
        }
        prop_assert_eq!(bin.len(), texts.len());
    }
}
