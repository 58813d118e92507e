use serde::Serialize;

use crate::OutputFile;

/// What one step of a build has made.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Made {
    /// The step's word.
    pub step: &'static str,
    /// How long it took (ms).
    pub ms: f64,
    /// Its files.
    pub files: usize,
    /// Their bytes.
    pub bytes: usize,
    /// Triangles in its STL files.
    pub triangles: usize,
}

impl Made {
    /// What the files of a step are, and how long (ms) it took to make them.
    #[must_use]
    pub fn of(step: &'static str, ms: f64, files: &[OutputFile]) -> Self {
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
