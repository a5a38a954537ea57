//! The real program, started as a player would start it.
#![allow(clippy::unwrap_used)] // a test that can't start the program has failed

use std::io::Write;
use std::path::Path;
use std::process::{Command, Output, Stdio};

/// A tune of three bars and a pickup.
pub const TUNE: &str = "X:7\nT:Gulls over the Weir\nM:3/4\nL:1/4\nQ:1/4=90\nK:G\n\
                    D|\"G\"G A B|\"D7\"A F D|\"G\"G3|]\n";

/// Runs the program to its end, with this on its standard input.
pub fn thumbline(args: &[&str], input: &[u8]) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_thumbline"))
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // A program that refuses its arguments does not read; the pipe is then closed, which is fine.
    let _ = child.stdin.take().unwrap().write_all(input);
    child.wait_with_output().unwrap()
}

/// Holds that it ended with this code.
#[track_caller]
pub fn code(output: &Output, code: i32) {
    let err = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(code), "{err}");
}

/// What it printed.
pub fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

/// What it complained of.
pub fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

/// A path as it is typed.
pub fn path(path: &Path) -> &str {
    path.to_str().unwrap()
}
