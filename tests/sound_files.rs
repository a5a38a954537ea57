//! Sound files written by the real program and read back by another library, hound.
#![cfg(feature = "sound")]
#![allow(clippy::unwrap_used)] // a test that can't start the program has failed

use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use tempfile::TempDir;

/// Two bars of 3/4 at 120: three seconds of music, and then what still rings.
const SONG: &str = "title = \"Reeds in the Shallows\"\nkey = \"G\"\nmeter = \"3/4\"\nunit = \"1/4\"\n\
                    tempo = \"1/4=120\"\ntune = \"\"\"\n\"G\"G A B|\"D7\"A F D|]\n\"\"\"\n";

/// The longest end after the last note, in seconds.
const TAIL: f64 = 6.0;

/// A song in a folder of its own.
struct Desk {
    folder: TempDir,
}

impl Desk {
    fn new() -> Desk {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("reeds.toml"), SONG).unwrap();
        Desk { folder }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Runs the program in the folder.
    fn run(&self, args: &[&str]) -> Output {
        Command::new(env!("CARGO_BIN_EXE_thumbline"))
            .args(args)
            .current_dir(self.folder.path())
            .output()
            .unwrap()
    }

    /// `play --wav` with more options, at a low rate for speed, read back.
    #[track_caller]
    fn sound(&self, more: &[&str]) -> Sound {
        let mut args = vec!["play", "reeds.toml", "--wav", "a.wav"];
        if !more.contains(&"--rate") {
            args.extend(["--rate", "8000"]);
        }
        args.extend(more);
        let output = self.run(&args);
        let err = String::from_utf8(output.stderr).unwrap();
        assert_eq!((output.status.code(), err.as_str()), (Some(0), ""));
        assert!(output.stdout.is_empty());
        Sound::read(&self.path("a.wav"))
    }

    /// The names of what lies in the folder, sorted.
    fn names(&self) -> Vec<String> {
        let entries = std::fs::read_dir(self.folder.path()).unwrap();
        let mut names: Vec<String> = entries
            .map(|e| e.unwrap().file_name().into_string().unwrap())
            .collect();
        names.sort();
        names
    }
}

/// A sound file read back, its left channel scaled to −1 to 1.
struct Sound {
    spec: hound::WavSpec,
    left: Vec<f64>,
}

impl Sound {
    fn read(path: &Path) -> Sound {
        let mut file = hound::WavReader::open(path).unwrap();
        let spec = file.spec();
        assert_eq!(spec.channels, 2);
        let full = f64::from((1u64 << (spec.bits_per_sample - 1)) as f32);
        let all: Vec<f64> = match spec.sample_format {
            hound::SampleFormat::Float => {
                let samples = file.samples::<f32>();
                samples.map(|s| f64::from(s.unwrap())).collect()
            }
            hound::SampleFormat::Int => {
                let samples = file.samples::<i32>();
                samples.map(|s| f64::from(s.unwrap()) / full).collect()
            }
        };
        let left = all.into_iter().step_by(2).collect();
        Sound { spec, left }
    }

    fn seconds(&self) -> f64 {
        self.left.len() as f64 / f64::from(self.spec.sample_rate)
    }

    /// Loudness (mean square) between two times in seconds.
    fn power(&self, from: f64, to: f64) -> f64 {
        let at = |t: f64| (t * f64::from(self.spec.sample_rate)) as usize;
        let part = &self.left[at(from)..at(to).min(self.left.len())];
        part.iter().map(|x| x * x).sum::<f64>() / part.len() as f64
    }

    /// Strength of one frequency between two times: the squared sum against a turning pointer,
    /// under a Hann window.
    fn tone(&self, hz: f64, from: f64, to: f64) -> f64 {
        let rate = f64::from(self.spec.sample_rate);
        let (first, last) = ((from * rate) as usize, (to * rate) as usize);
        let turn = 2.0 * std::f64::consts::PI * hz / rate;
        let (mut re, mut im) = (0.0, 0.0);
        let around = 2.0 * std::f64::consts::PI / (last - first) as f64;
        for (i, x) in self.left[first..last].iter().enumerate() {
            let x = x * (0.5 - 0.5 * (around * i as f64).cos());
            re += x * (turn * i as f64).cos();
            im += x * (turn * i as f64).sin();
        }
        (re * re + im * im) / ((last - first) as f64).powi(2)
    }

    /// The largest difference from another of the same length.
    #[track_caller]
    fn apart(&self, other: &Sound) -> f64 {
        assert_eq!(self.left.len(), other.left.len());
        let pairs = self.left.iter().zip(&other.left);
        pairs.fold(0.0, |most: f64, (a, b)| most.max((a - b).abs()))
    }
}

/// G4, the first note of the tune, in Hz (ISO 16: A4 = 440 Hz; twelve equal semitones).
fn g4() -> f64 {
    440.0 * 2f64.powf(-2.0 / 12.0)
}

#[test]
fn the_sample_formats_hold_the_same_music() {
    let desk = Desk::new();
    let float = desk.sound(&["--bits", "float"]);
    assert_eq!(float.spec.bits_per_sample, 32);
    assert_eq!(float.spec.sample_format, hound::SampleFormat::Float);
    assert!(float.left.iter().all(|x| x.is_finite() && x.abs() <= 1.0));
    assert!(float.power(0.0, 3.0) > 1e-5, "the file is silent");
    // Rounding is at most half a step, and 16 bits are dithered by one step more; the full scale
    // of hound's integers and ours differs by one step.
    for (bits, steps) in [("16", 2.6), ("24", 1.6)] {
        let sound = desk.sound(&["--bits", bits]);
        let width: u16 = bits.parse().unwrap();
        assert_eq!(sound.spec.bits_per_sample, width);
        assert_eq!(sound.spec.sample_format, hound::SampleFormat::Int);
        let step = 1.0 / f64::from(1u32 << (width - 1));
        // A float near 1 is itself only good to 24 bits.
        let apart = sound.apart(&float);
        assert!(apart <= steps * step, "{bits}: {} steps", apart / step);
    }
}

#[test]
fn any_rate_gives_the_same_length_of_time_and_the_same_pitch() {
    let desk = Desk::new();
    // The first note against the semitones beside it.
    let g = g4();
    for rate in ["8000", "11987", "44100", "96000"] {
        let sound = desk.sound(&["--rate", rate, "--layer", "1"]);
        assert_eq!(sound.spec.sample_rate.to_string(), rate);
        let seconds = sound.seconds();
        assert!((3.0..=3.0 + TAIL + 0.3).contains(&seconds), "{seconds}");
        let here = sound.tone(g, 0.05, 0.45);
        for beside in [g * 2f64.powf(-1.0 / 12.0), g * 2f64.powf(1.0 / 12.0)] {
            let there = sound.tone(beside, 0.05, 0.45);
            assert!(here > 10.0 * there, "{rate}: {here} and {there}");
        }
    }
}

#[test]
fn the_click_sounds_only_when_asked_for() {
    let desk = Desk::new();
    let without = desk.sound(&["--bits", "float"]);
    let with = desk.sound(&["--bits", "float", "--click"]);
    // What differs begins on the first beat and again on the second, half a second later.
    let differs = |from: usize| {
        let all = with.left.iter().zip(&without.left).skip(from);
        let found = all.take(800).position(|(a, b)| (a - b).abs() > 1e-3);
        found.map(|at| at as f64 / 8_000.0)
    };
    for beat in [0, 4_000, 8_000] {
        let late = differs(beat);
        assert!(late.is_some_and(|t| t < 0.01), "beat {beat}: {late:?}");
    }
    assert_eq!(desk.sound(&["--bits", "float"]).apart(&without), 0.0);
}

#[test]
fn only_the_chosen_layers_sound() {
    let desk = Desk::new();
    let tune = desk.sound(&["--bits", "float", "--solo", "melody"]);
    let bass = desk.sound(&["--bits", "float", "--mute", "melody", "--mute", "fill"]);
    let nothing = desk.sound(&[
        "--bits", "float", "--mute", "melody", "--mute", "bass", "--mute", "fill",
    ]);
    let all = desk.sound(&["--bits", "float"]);
    assert_eq!(nothing.power(0.0, 3.0), 0.0);
    let tones = |sound: &Sound, hz: f64| sound.tone(hz, 0.55, 0.95);
    // On the second beat the tune has A4, 440 Hz; the bass still rings on G2, 98 Hz (ISO 16).
    assert!(tones(&tune, 440.0) > 100.0 * tones(&bass, 440.0));
    assert!(tones(&bass, 98.0) > 100.0 * tones(&tune, 98.0));
    assert!(all.power(0.0, 3.0) > tune.power(0.0, 3.0));
    let first = desk.sound(&["--bits", "float", "--layer", "1"]);
    assert!(tones(&first, 440.0) > 100.0 * tones(&first, 98.0));
}

#[test]
fn passes_bars_tempo_and_count_in_set_the_length() {
    let desk = Desk::new();
    // Three seconds of music a pass; the end is what still rings, and differs little.
    for (args, music) in [
        (&["--passes", "1"][..], 3.0),
        (&["--passes", "3"], 9.0),
        (&["--tempo", "50%"], 6.0),
        (&["--tempo", "200%"], 1.5),
        (&["--bars", "2", "--passes", "2"], 3.0),
        (&["--count-in", "1"], 4.5),
    ] {
        let seconds = desk.sound(args).seconds();
        let rest = seconds - music;
        assert!((0.2..=TAIL + 0.3).contains(&rest), "{args:?}: {seconds}");
    }
    // The same pitch at half the tempo, and the second pass like the first.
    let slow = desk.sound(&["--tempo", "50%", "--layer", "1"]);
    let g = g4();
    assert!(slow.tone(g, 0.05, 0.9) > 10.0 * slow.tone(g / 2.0, 0.05, 0.9));
    let twice = desk.sound(&["--passes", "2", "--bars", "1"]);
    for half in [0.0, 1.5] {
        assert!(
            twice.tone(g, half + 0.05, half + 0.45)
                > 10.0 * twice.tone(g * 1.06, half + 0.05, half + 0.45)
        );
    }
}

#[test]
fn arrange_writes_the_same_sound_as_play() {
    let desk = Desk::new();
    let output = desk.run(&["arrange", "reeds.toml", "-o", "b.wav", "-o", "b.txt"]);
    assert_eq!(output.status.code(), Some(0));
    let played = desk.sound(&["--rate", "48000"]);
    let written = Sound::read(&desk.path("b.wav"));
    assert_eq!(written.spec, played.spec);
    assert_eq!(written.apart(&played), 0.0);
    assert_eq!(desk.names(), ["a.wav", "b.txt", "b.wav", "reeds.toml"]);
}

#[test]
fn wrong_values_are_answered_and_no_file_is_touched() {
    let desk = Desk::new();
    std::fs::write(desk.path("a.wav"), "old").unwrap();
    for (args, said) in [
        (&["--rate", "7999"][..], "8000 to 192000"),
        (&["--rate", "fast"], "8000 to 192000"),
        (&["--bits", "12"], "16, 24 and float"),
        (&["--passes", "0"], "1..=100"),
        (&["--passes", "101"], "1..=100"),
        (&["--tempo", "10%"], "20% to 200%"),
        (&["--level", "NaN"], "-60 to 6 dB"),
        (&["--bars", "7"], "bars 1 to 2"),
        (&["--solo", "drums"], "melody, bass, fill"),
        (&["--loop"], "--loop"),
        (&["--device", "any"], "--device"),
    ] {
        let output = desk.run(&[&["play", "reeds.toml", "--wav", "a.wav"], args].concat());
        let err = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{args:?}: {err}");
        assert!(err.contains(said), "{args:?}: {err}");
        assert_eq!(std::fs::read(desk.path("a.wav")).unwrap(), b"old");
        assert_eq!(desk.names(), ["a.wav", "reeds.toml"]);
    }
    for (args, said) in [
        (&["--wav", "a.mp3"][..], ".wav"),
        (&["--rate", "44100"], "--wav"),
    ] {
        let output = desk.run(&[&["play", "reeds.toml"], args].concat());
        let err = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{args:?}: {err}");
        assert!(err.contains(said), "{args:?}: {err}");
    }
}

#[test]
fn a_place_that_can_not_be_written_is_the_machines_fault() {
    let desk = Desk::new();
    std::fs::create_dir(desk.path("folder.wav")).unwrap();
    for name in ["folder.wav", "no/such/a.wav"] {
        for args in [
            &["arrange", "reeds.toml", "-o", name][..],
            &["play", "reeds.toml", "--rate", "8000", "--wav", name],
        ] {
            let output = desk.run(args);
            let err = String::from_utf8(output.stderr).unwrap();
            assert_eq!(output.status.code(), Some(3), "{args:?}: {err}");
            assert!(err.contains("can't be written"), "{args:?}: {err}");
            assert_eq!(desk.names(), ["folder.wav", "reeds.toml"]);
        }
    }
    // Two songs are one too many for a sound file.
    std::fs::copy(desk.path("reeds.toml"), desk.path("more.toml")).unwrap();
    let output = desk.run(&["arrange", "reeds.toml", "more.toml", "-o", "c.wav"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8(output.stderr).unwrap().contains("--tune"));
    assert!(!desk.path("c.wav").exists());
}
