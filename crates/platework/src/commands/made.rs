//! What a build has made, step by step: files, sizes, triangles and time.

use serde::Serialize;

use crate::failure::Failure;
use crate::output_folder::OutputFile;
use crate::stdout;

/// What one step has made.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) struct Made {
    step: &'static str,
    ms: f64,
    files: usize,
    bytes: usize,
    /// Triangles in its STL files.
    triangles: usize,
}

impl Made {
    /// What the files of a step are, and how long (ms) it took to make them.
    pub(crate) fn of(step: &'static str, ms: f64, files: &[OutputFile]) -> Self {
        Self {
            step,
            ms,
            files: files.len(),
            bytes: files.iter().map(|file| file.bytes.len()).sum(),
            triangles: files.iter().map(triangles_of).sum(),
        }
    }
}

/// Triangles of a binary STL: 84 bytes before the first, 50 each.
fn triangles_of(file: &OutputFile) -> usize {
    if file.path.ends_with(".stl") {
        file.bytes.len().saturating_sub(84) / 50
    } else {
        0
    }
}

/// The table for a terminal.
pub(crate) fn say(made: &[Made]) -> Result<(), Failure> {
    stdout::line("             seconds  files         kB  triangles in STL")?;
    for own in made.iter().filter(|own| own.files > 0) {
        let triangles = match own.triangles {
            0 => String::new(),
            count => count.to_string(),
        };
        let line = format!(
            "{:12}{:8.2}{:7}{:11.0}{triangles:>18}",
            own.step,
            own.ms / 1e3,
            own.files,
            own.bytes as f64 / 1e3,
        );
        stdout::line(line.trim_end())?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn triangles_are_counted_in_stl_only() {
        let files = [
            OutputFile::new("jigs/a.stl", vec![0; 84 + 50 * 3]),
            OutputFile::new("jigs/a.3mf", vec![0; 500]),
        ];
        let made = Made::of("jigs", 12.0, &files);
        assert_eq!((made.files, made.bytes, made.triangles), (2, 734, 3));
    }
}
