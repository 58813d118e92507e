//! What a build has made, step by step: files, sizes, triangles and time.

use batch::Made;

use crate::failure::Failure;
use crate::stdout;

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
