//! Bytes and lines of a scan, read in turn so that nothing is held but what was read.

use super::error::{At, ScanError};
use std::io::{BufRead, BufReader, Read};

/// Largest scan file (bytes).
pub const SCAN_FILE_LIMIT: u64 = 512_000_000;

/// Most points of a scan.
pub const MOST_POINTS: usize = 5_000_000;

/// Most triangles of a scan: a closed mesh has about twice as many as points.
pub const MOST_TRIANGLES: usize = 12_000_000;

/// Longest line of a text (bytes): a face of a few thousand corners.
const LONGEST_LINE: usize = 1 << 16;

/// A file being read.
pub(super) struct Source<R> {
    reader: BufReader<R>,
    /// Bytes that were read.
    at: u64,
    /// Lines that were read.
    line: u64,
}

impl<R: Read> Source<R> {
    pub(super) fn new(reader: R) -> Self {
        Self {
            reader: BufReader::with_capacity(1 << 18, reader),
            at: 0,
            line: 0,
        }
    }

    /// The place of the next byte.
    pub(super) fn byte(&self) -> At {
        At::Byte(self.at)
    }

    /// The line read last.
    pub(super) fn line(&self) -> At {
        At::Line(self.line)
    }

    fn took(&mut self, count: usize) -> Result<(), ScanError> {
        self.at += count as u64;
        if self.at > SCAN_FILE_LIMIT {
            return Err(ScanError::TooLarge {
                limit_mb: SCAN_FILE_LIMIT / 1_000_000,
                points: MOST_POINTS,
            });
        }
        Ok(())
    }

    fn failed(&self, cause: &std::io::Error) -> ScanError {
        ScanError::Read {
            at: self.at,
            cause: cause.to_string(),
        }
    }

    /// What comes next, without taking it; at least a byte unless the file ends.
    pub(super) fn ahead(&mut self) -> Result<&[u8], ScanError> {
        let at = self.at;
        self.reader.fill_buf().map_err(|cause| ScanError::Read {
            at,
            cause: cause.to_string(),
        })
    }

    /// Fills the buffer as far as the file goes; gives how far.
    pub(super) fn fill(&mut self, buffer: &mut [u8]) -> Result<usize, ScanError> {
        let mut filled = 0;
        while filled < buffer.len() {
            match self.reader.read(&mut buffer[filled..]) {
                Ok(0) => break,
                Ok(count) => {
                    self.took(count)?;
                    filled += count;
                }
                Err(cause) if cause.kind() == std::io::ErrorKind::Interrupted => {}
                Err(cause) => return Err(self.failed(&cause)),
            }
        }
        Ok(filled)
    }

    /// The next line without its end, `false` at the end of the file.
    pub(super) fn next_line(&mut self, line: &mut Vec<u8>) -> Result<bool, ScanError> {
        line.clear();
        let mut limited = self.reader.by_ref().take(LONGEST_LINE as u64 + 1);
        let read = limited.read_until(b'\n', line);
        let count = read.map_err(|cause| self.failed(&cause))?;
        self.took(count)?;
        if count == 0 {
            return Ok(false);
        }
        self.line += 1;
        if line.len() > LONGEST_LINE {
            return Err(ScanError::broken(
                self.line(),
                format!("the line has more than {LONGEST_LINE} bytes"),
                "a point or a facet has a line of its own",
            ));
        }
        while line
            .last()
            .is_some_and(|byte| matches!(byte, b'\n' | b'\r'))
        {
            line.pop();
        }
        Ok(true)
    }
}

/// A word of a line as a finite number.
pub(super) fn number(word: Option<&[u8]>, at: At, what: &str) -> Result<f64, ScanError> {
    let right = "a coordinate is a number such as 12.5";
    let Some(word) = word else {
        return Err(ScanError::broken(at, format!("{what} is missing"), right));
    };
    let text = std::str::from_utf8(word).ok();
    let value: Option<f64> = text.and_then(|text| text.parse().ok());
    match value {
        Some(value) if is_coordinate(value) => Ok(value),
        _ => Err(ScanError::broken(
            at,
            format!("{what} is {:?}", shown(word)),
            right,
        )),
    }
}

/// True for a number that can be a coordinate: finite, and small enough for its square to be.
pub(super) fn is_coordinate(value: f64) -> bool {
    value.abs() < 1e30
}

/// A word of the file, as far as it is shown in a message.
pub(super) fn shown(word: &[u8]) -> String {
    let text = String::from_utf8_lossy(&word[..word.len().min(24)]).into_owned();
    text.chars().filter(|own| !own.is_control()).collect()
}

/// Words of a line, which blanks part.
pub(super) fn words(line: &[u8]) -> impl Iterator<Item = &[u8]> {
    line.split(u8::is_ascii_whitespace)
        .filter(|word| !word.is_empty())
}
