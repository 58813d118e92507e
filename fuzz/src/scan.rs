//! Any bytes as a scan. Also a module of the tests, which replay the corpus.

use check::scan::{ScanError, ScanKind, read_scan};

/// Reads bytes as a scan; gives whether they were one.
///
/// # Panics
///
/// If what was read does not hold together, or a refusal says nothing.
pub(crate) fn check(bytes: &[u8], kind: ScanKind) -> bool {
    let scan = match read_scan(bytes, Some(kind)) {
        Ok(scan) => scan,
        Err(ScanError::Broken { wrong, right, .. }) => {
            assert!(!wrong.is_empty() && !right.is_empty());
            return false;
        }
        Err(_) => return false,
    };
    let mut points = scan.points.iter();
    assert!(points.all(|point| point.coords.iter().all(|x| x.is_finite())));
    let count = scan.points.len() as u32;
    let mut corners = scan.triangles.iter().flatten();
    assert!(corners.all(|corner| *corner < count));
    assert!(scan.normals.is_empty() || scan.normals.len() == scan.points.len());
    true
}
