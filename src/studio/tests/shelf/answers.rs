//! What the disk answers, whatever the player does meanwhile.

use super::*;

fn said(studio: &Studio) -> String {
    shelf(studio).said.clone().unwrap().1
}

#[test]
fn an_answer_leaves_a_line_alone_that_does_not_wait_for_it() {
    let answers = [
        News::Done("written: fog.wav".into()),
        News::Exists("fog.wav".into()),
        News::Trouble("no such tune".into()),
    ];
    for answer in answers {
        let mut studio = studio();
        tell(
            &mut studio,
            &[
                Message::Shelf(Ask::Export),
                Message::Open,
                Message::Back,
                Message::Shelf(Ask::New),
            ],
        );
        tell(&mut studio, &typed("Weir"));
        let line = shelf(&studio).line.clone();
        studio.update(Message::News(answer));
        assert_eq!(shelf(&studio).line, line);
        assert!(!said(&studio).is_empty());
    }
}

#[test]
fn a_song_that_does_not_come_is_told_on_the_stand_and_can_be_asked_for_again() {
    let mut studio = studio();
    tell(&mut studio, &[Message::Open, Message::Stand]);
    studio.update(Message::News(News::Trouble("no song of this name".into())));
    assert!(shown(&studio, 80, 24).contains("no song of this name"));
    studio.update(Message::Back);
    let orders = errands(studio.update(Message::Open));
    assert!(matches!(orders[..], [Errand::Open(_)]));
}

#[test]
fn what_happens_by_itself_takes_back_no_step() {
    let mut studio = studio();
    tell(&mut studio, &[Message::Back, Message::Heard(None)]);
    assert!(studio.update(Message::Back).contains(&Order::Quit));
}

#[test]
fn the_chosen_row_of_the_bin_is_seen_however_long_the_names_are() {
    let mut studio = studio();
    let binned = |number| Binned {
        number,
        at: Timestamp::UNIX_EPOCH,
        name: Name::from_title(&"a long title ".repeat(8)),
    };
    let all = (1..40).map(|n| (Kind::Song, binned(n))).collect();
    studio.update(Message::News(News::Binned(all)));
    for _ in 0..40 {
        assert!(shown(&studio, 80, 24).contains('▸'));
        studio.update(Message::Choose(1));
    }
}

#[test]
fn another_ending_leaves_the_folder_alone() {
    let mut studio = studio();
    tell(&mut studio, &[Message::Shelf(Ask::Export), Message::Clear]);
    tell(&mut studio, &typed("~/my.songs/moorings"));
    studio.update(Message::Choose(1));
    let text = |studio: &Studio| shelf(studio).line.as_ref().unwrap().text.clone();
    assert_eq!(text(&studio), "~/my.songs/moorings.txt");
    studio.update(Message::Choose(1));
    assert_eq!(text(&studio), "~/my.songs/moorings.pdf");
}
