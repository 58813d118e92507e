//! What is wrong with a model file, and where.

use std::ops::Range;

/// One thing that is wrong with a model file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// The key: `firebox.shoulder_radius`; empty for the file as a whole.
    pub path: String,
    /// Line in the file, from 1.
    pub line: usize,
    /// Column in the line, in characters, from 1.
    pub column: usize,
    /// Bytes of the file that it is about.
    pub span: Range<usize>,
    /// What is wrong, in a modeller's words.
    pub message: String,
    /// What would be right.
    pub help: String,
}

/// A model file that cannot be built, with everything that is wrong with it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ModelError {
    /// Name of the file, for messages.
    pub file: String,
    /// Text of the file (empty if it is no text).
    pub text: String,
    /// What is wrong, in the order of the file.
    pub problems: Vec<Problem>,
}

impl ModelError {
    /// An error about the file as a whole.
    pub fn whole_file(file: &str, message: impl Into<String>, help: impl Into<String>) -> Self {
        Self {
            file: file.to_owned(),
            text: String::new(),
            problems: vec![Problem {
                path: String::new(),
                line: 1,
                column: 1,
                span: 0..0,
                message: message.into(),
                help: help.into(),
            }],
        }
    }

    /// What is wrong in a text, in the order of the text.
    pub fn in_text(file: &str, text: &str, mut problems: Vec<Problem>) -> Self {
        problems.sort_by_key(|problem| (problem.span.start, problem.path.clone()));
        Self {
            file: file.to_owned(),
            text: text.to_owned(),
            problems,
        }
    }

    /// The text of a file of at most `limit` bytes, of which `holds` says what belongs in it.
    ///
    /// # Errors
    ///
    /// [`ModelError`] about the file as a whole if it is longer, or no UTF-8.
    pub fn text_of<'b>(
        file: &str,
        bytes: &'b [u8],
        limit: usize,
        holds: &str,
    ) -> Result<&'b str, Self> {
        if bytes.len() > limit {
            let message = format!("the file has {} bytes", bytes.len());
            let help = format!("at most {limit}: {holds}");
            return Err(Self::whole_file(file, message, help));
        }
        std::str::from_utf8(bytes).map_err(|error| {
            let sound = &bytes[..error.valid_up_to()];
            let line = sound.iter().filter(|byte| **byte == b'\n').count() + 1;
            let message = format!("byte {} (line {line}) is not UTF-8 text", sound.len() + 1);
            Self::whole_file(file, message, "save the file as UTF-8")
        })
    }
}

impl std::fmt::Display for ModelError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        for (i, problem) in self.problems.iter().enumerate() {
            if i > 0 {
                writeln!(f)?;
            }
            write!(f, "{}:{}:{}: ", self.file, problem.line, problem.column)?;
            if !problem.path.is_empty() {
                write!(f, "{}: ", problem.path)?;
            }
            write!(f, "{}", problem.message)?;
            if !problem.help.is_empty() {
                write!(f, "; {}", problem.help)?;
            }
        }
        Ok(())
    }
}

impl std::error::Error for ModelError {}

/// Line and column (from 1, column in characters) of a byte of a text.
pub fn line_and_column(text: &str, byte: usize) -> (usize, usize) {
    let mut end = byte.min(text.len());
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    let before = &text[..end];
    let line = before.matches('\n').count() + 1;
    let column = before.rsplit('\n').next().map_or(0, |l| l.chars().count()) + 1;
    (line, column)
}
