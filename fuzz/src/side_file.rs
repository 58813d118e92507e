//! Any bytes as the side file of a drawing. Also a module of the tests, which replay the corpus.

/// Reads bytes as a side file; gives whether they were one.
///
/// # Panics
///
/// If the refusal names no place.
pub(crate) fn check(bytes: &[u8]) -> bool {
    let Err(error) = artwork::SideFile::read("fuzz", bytes) else {
        return true;
    };
    assert!(!error.problems.is_empty());
    assert!(
        error
            .problems
            .iter()
            .all(|own| own.line >= 1 && own.column >= 1)
    );
    false
}
