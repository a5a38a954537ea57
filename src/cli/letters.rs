//! What is printed, in the letters that the terminal shows.

use crate::exchange::letters::{self, Letters};
use std::io::{self, IsTerminal, Write};

/// The letters of the terminal that the program runs on, and why.
pub(super) fn found() -> (Letters, String) {
    letters::found(|name| Some(std::env::var_os(name)?.to_string_lossy().into_owned()))
}

/// The letters for what is printed there: a file or a pipe takes all.
pub(super) fn on(stream: &impl IsTerminal) -> Letters {
    match stream.is_terminal() {
        true => found().0,
        false => Letters::All,
    }
}

/// A stream that takes any text and passes it on in these letters, line by line.
pub(super) struct Fitted<W: Write> {
    stream: W,
    letters: Letters,
    line: Vec<u8>,
}

impl<W: Write> Fitted<W> {
    pub fn new(stream: W, letters: Letters) -> Fitted<W> {
        Fitted {
            stream,
            letters,
            line: Vec::new(),
        }
    }

    /// Passes on what came so far, up to this byte.
    fn pass(&mut self, end: usize) -> io::Result<()> {
        let rest = self.line.split_off(end);
        let lines = std::mem::replace(&mut self.line, rest);
        let text = self.letters.text(&String::from_utf8_lossy(&lines));
        self.stream.write_all(text.as_bytes())
    }
}

impl<W: Write> Write for Fitted<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if self.letters == Letters::All {
            return self.stream.write(bytes);
        }
        self.line.extend_from_slice(bytes);
        if let Some(last) = self.line.iter().rposition(|b| *b == b'\n') {
            self.pass(last + 1)?;
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        // A letter that is torn by the end of what was written waits for its other half.
        let whole = match std::str::from_utf8(&self.line) {
            Err(error) if error.error_len().is_none() => error.valid_up_to(),
            _ => self.line.len(),
        };
        self.pass(whole)?;
        self.stream.flush()
    }
}

impl<W: Write> Drop for Fitted<W> {
    fn drop(&mut self) {
        // Nothing more can be done where the stream is gone.
        let _ = self.flush();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn texts_pass_as_they_come() {
        let mut out = Vec::new();
        let mut fitted = Fitted::new(&mut out, Letters::Ascii);
        let text = "“Zoë” ½\n5 of 9 …";
        for byte in text.bytes() {
            fitted.write_all(&[byte]).unwrap();
            fitted.flush().unwrap();
        }
        fitted.write_all(&[0xe2]).unwrap();
        drop(fitted);
        let out = String::from_utf8(out).unwrap();
        assert_eq!(out, "\"Zoe\" 1/2\n5 of 9 ...");
        let mut out = Vec::new();
        let mut all = Fitted::new(&mut out, Letters::All);
        all.write_all(text.as_bytes()).unwrap();
        drop(all);
        assert_eq!(out, text.as_bytes());
    }
}
