//! `thumbline play` and `probe` on a machine without a sound device, as a player would start them.
#![cfg(all(feature = "sound", target_os = "linux"))]
#![allow(clippy::unwrap_used)] // a test that can't start the program has failed

use std::process::{Command, Output};

/// Runs the program with an ALSA that knows no device at all.
fn thumbline(args: &[&str]) -> Output {
    let song = concat!(env!("CARGO_MANIFEST_DIR"), "/songs/salt-on-the-window.toml");
    let args = args.iter().map(|&a| if a == "SONG" { song } else { a });
    Command::new(env!("CARGO_BIN_EXE_thumbline"))
        .args(args)
        .env("ALSA_CONFIG_PATH", "/dev/null")
        .output()
        .unwrap()
}

fn texts(output: &Output) -> (String, String) {
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
    (text(&output.stdout), text(&output.stderr))
}

#[test]
fn without_a_device_the_music_goes_on_unheard() {
    let output = thumbline(&[
        "play",
        "SONG",
        "--bars",
        "2",
        "--tempo",
        "200%",
        "--count-in",
        "1",
    ]);
    let (out, err) = texts(&output);
    assert_eq!(output.status.code(), Some(0), "{err}");
    assert!(
        out.contains("bar 2 beat") && !out.contains("bar 1"),
        "{out}"
    );
    assert!(err.starts_with("silent: there is no sound device"), "{err}");
    assert_eq!(
        err.lines().count(),
        1,
        "ALSA's own messages stay away: {err}"
    );
}

#[test]
fn what_can_not_be_played_is_refused_with_its_reason() {
    for (args, code, word) in [
        (&["play", "SONG", "--bars", "90-99"][..], 2, "bars 1 to"),
        (&["play", "SONG", "--tempo", "10%"], 2, "20% to 200%"),
        (&["play", "SONG", "--level", "12"], 2, "-60 to 6 dB"),
        (
            &["play", "SONG", "--mute", "drums"],
            2,
            "melody, bass, fill",
        ),
        (&["play", "SONG", "--device", "no such thing"], 3, "probe"),
    ] {
        let output = thumbline(args);
        let (_, err) = texts(&output);
        assert_eq!(output.status.code(), Some(code), "{args:?}: {err}");
        assert!(err.contains(word), "{args:?}: {err}");
    }
}

#[test]
fn the_probe_finds_no_device() {
    let (out, err) = texts(&thumbline(&["probe"]));
    assert!(out.contains("no device was found"), "{out}");
    assert_eq!(err, "");
}
