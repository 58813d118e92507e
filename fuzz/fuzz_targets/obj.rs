//! Any bytes are read as a scan or refused; what was read holds together.
#![no_main]

use check::scan::{ScanKind, read_scan};

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    if let Ok(scan) = read_scan(bytes, Some(ScanKind::Obj)) {
        assert!(
            scan.points
                .iter()
                .all(|p| p.coords.iter().all(|x| x.is_finite()))
        );
        let count = scan.points.len() as u32;
        assert!(
            scan.triangles
                .iter()
                .flatten()
                .all(|corner| *corner < count)
        );
        assert!(scan.normals.is_empty() || scan.normals.len() == scan.points.len());
    }
});
