//! Any bytes as a model file. Also a module of the tests, which replay the corpus.

use body::{Model, ModelError, Overrides};

/// Reads bytes as a model file and builds the body; gives whether there is one.
///
/// # Panics
///
/// If the refusal names no place, or one outside the file.
pub(crate) fn check(bytes: &[u8]) -> bool {
    let overrides = Overrides::default();
    // The page asks for the keys of files that cannot be built, too.
    let fields = Model::fields("fuzz.toml", bytes, &overrides);
    let built = Model::read("fuzz.toml", bytes, &overrides).and_then(|model| body::build(&model));
    for error in [fields.err(), built.as_ref().err().cloned()]
        .into_iter()
        .flatten()
    {
        has_places(&error, bytes);
    }
    built.is_ok()
}

fn has_places(error: &ModelError, bytes: &[u8]) {
    assert!(!error.problems.is_empty());
    // A file that is no text has problems of the file as a whole only.
    let text = std::str::from_utf8(bytes).unwrap_or_default();
    let lines = text.matches('\n').count() + 1;
    for problem in &error.problems {
        let placed = (1..=lines).contains(&problem.line)
            && problem.column >= 1
            && text.get(problem.span.clone()).is_some();
        assert!(
            placed && !problem.message.is_empty(),
            "{problem:?} in {lines} lines"
        );
    }
}
