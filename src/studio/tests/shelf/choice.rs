//! Which song is chosen after a find, and after a song was worked on.

use super::*;

#[test]
fn a_find_that_is_left_keeps_the_song_that_it_chose() {
    for leave in [
        &[Message::Back][..],
        &[Message::Erase, Message::Erase, Message::Erase],
    ] {
        let mut studio = studio();
        tell(&mut studio, &typed("her"));
        let found = shelf(&studio).entry().unwrap().name.clone();
        assert_eq!(found, name("Herring Boats"));
        tell(&mut studio, leave);
        assert_eq!(shelf(&studio).count(), 4);
        assert_eq!(shelf(&studio).entry().unwrap().name, found);
    }
}

#[test]
fn a_new_song_is_chosen_when_its_player_comes_back() {
    let mut studio = studio();
    tell(&mut studio, &typed("he"));
    studio.update(Message::Shelf(Ask::New));
    for answer in ["Kelp", "C", "3/4", "90"] {
        tell(&mut studio, &[Message::Clear]);
        tell(&mut studio, &typed(answer));
        tell(&mut studio, &[Message::Open]);
    }
    let address = Address {
        folder: "songs".into(),
        name: name("Kelp"),
    };
    let added = News::Added {
        address,
        seal: Seal::ABSENT,
    };
    tell(&mut studio, &[Message::News(added), Message::Back]);
    let mut all = entries();
    all.push(entry("Kelp", "C major", &[], [0; 4]));
    studio.update(listed(all, lists()));
    assert_eq!(shelf(&studio).entry().unwrap().name, name("Kelp"));
}
