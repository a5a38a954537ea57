//! Tells the program how it is built, for `thumbline --version`. Needs no network and no git.

use std::env::var;
use std::process::Command;

fn main() {
    println!("cargo::rerun-if-changed=src/build.rs");
    let rustc = Command::new(var("RUSTC").unwrap_or_else(|_| "rustc".into()))
        .arg("--version")
        .output();
    let rustc = rustc.ok().and_then(|o| String::from_utf8(o.stdout).ok());
    // `rustc 1.89.0 (and where from)`
    let words = rustc.unwrap_or_default();
    let words: Vec<&str> = words.split_whitespace().take(2).collect();
    for (name, value) in [
        ("TARGET", var("TARGET").unwrap_or_default()),
        ("PROFILE", var("PROFILE").unwrap_or_default()),
        ("RUSTC", words.join(" ")),
    ] {
        let value = if value.is_empty() { "unknown" } else { &value };
        println!("cargo::rustc-env=THUMBLINE_{name}={value}");
    }
}
