//! The corpus of the fuzz targets, replayed on the stable compiler: each file as it is, cut, and with bytes
//! changed.

use crate::scanner::Lot;
use check::scan::{ScanError, ScanKind, read_scan};
use std::path::Path;

/// Changed copies of each file.
const CHANGED: usize = 300;

/// Reads bytes as a scan; gives whether they were one.
fn reads(bytes: &[u8], kind: ScanKind) -> bool {
    match read_scan(bytes, Some(kind)) {
        Ok(scan) => {
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
            true
        }
        Err(ScanError::Broken { wrong, right, .. }) => {
            assert!(!wrong.is_empty() && !right.is_empty());
            false
        }
        Err(_) => false,
    }
}

#[test]
fn corpus() {
    for kind in [ScanKind::Stl, ScanKind::Ply, ScanKind::Obj] {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("../../fuzz/corpus")
            .join(kind.word());
        let mut files: Vec<_> = std::fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().path())
            .collect();
        files.sort();
        assert!(!files.is_empty());
        let (mut tried, mut read) = (0, 0);
        let mut lot = Lot::new(2026);
        let mut below = |limit: usize| (lot.share() * limit as f64) as usize % limit;
        for path in files {
            let sound = std::fs::read(&path).unwrap();
            let mut take = |bytes: &[u8]| {
                tried += 1;
                read += usize::from(reads(bytes, kind));
            };
            take(&sound);
            for cut in (0..sound.len()).step_by(7) {
                take(&sound[..cut]);
            }
            for _ in 0..CHANGED {
                let mut bytes = sound.clone();
                for _ in 0..1 + below(4) {
                    let at = below(bytes.len());
                    match below(3) {
                        0 => bytes[at] = below(256) as u8,
                        1 => bytes[at] = b"0123456789-.e+ \n"[below(16)],
                        _ => {
                            let length = below(40).min(bytes.len() - at);
                            let stretch = bytes[at..at + length].to_vec();
                            let to = below(bytes.len());
                            bytes.splice(to..to, stretch);
                        }
                    }
                }
                take(&bytes);
            }
        }
        println!("{}: {tried} tried, {read} read", kind.word());
        assert!(read > tried / 50 && read < tried, "{read} of {tried}");
    }
}
