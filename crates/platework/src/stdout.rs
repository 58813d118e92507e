//! Standard output. A reader that has seen enough and closes the pipe is no failure.

use std::io::{self, Write as _};

use serde::Serialize;

use crate::failure::Failure;

/// Writes text with a line end.
pub(crate) fn line(text: &str) -> Result<(), Failure> {
    let mut out = io::stdout().lock();
    match writeln!(out, "{text}").and_then(|()| out.flush()) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => Err(Failure::Stdout(error)),
        _ => Ok(()),
    }
}

/// Writes a value as indented JSON.
pub(crate) fn json(value: &impl Serialize) -> Result<(), Failure> {
    let text = serde_json::to_string_pretty(value)
        .expect("answers are made of strings and numbers, which JSON can always write");
    line(&text)
}
