//! Reading of OBJ: points, their normals, and faces of any form of corner.

use super::error::{At, ScanError};
use super::scan_file::ScanFile;
use super::source::{Source, number, shown, words};
use std::io::Read;

/// Reads points (`v`), normals (`vn`) and faces (`f`); all else is passed over.
///
/// Normals are taken where a cloud has as many of them as points and no face says otherwise.
pub(super) fn read<R: Read>(source: &mut Source<R>, scan: &mut ScanFile) -> Result<(), ScanError> {
    let mut line = Vec::new();
    let mut corners = Vec::new();
    let mut normals = Vec::new();
    // Faces may name points that follow.
    let mut greatest: Option<(u32, At)> = None;
    while source.next_line(&mut line)? {
        let at = source.line();
        let mut words = words(&line);
        match words.next() {
            Some(b"v") => {
                let mut p = [0.0; 3];
                for (x, what) in p.iter_mut().zip(["x", "y", "z"]) {
                    *x = number(words.next(), at, what)?;
                }
                scan.push_point(p, at)?;
            }
            Some(b"vn") if scan.triangles.is_empty() => {
                let mut n = [0.0; 3];
                for (x, what) in n.iter_mut().zip(["x", "y", "z"]) {
                    *x = number(words.next(), at, what)? as f32;
                }
                // One more than there are points is as good as any number that does not fit.
                if normals.len() <= scan.points.len() {
                    normals.push(n);
                }
            }
            Some(b"f") => {
                corners.clear();
                for word in words {
                    corners.push(corner(word, scan.points.len(), at)?);
                }
                if corners.len() < 3 {
                    return Err(ScanError::broken(
                        at,
                        format!("a face of {} corners", corners.len()),
                        "a face has three or more",
                    ));
                }
                for &own in &corners {
                    if greatest.is_none_or(|(most, _)| own > most) {
                        greatest = Some((own, at));
                    }
                }
                scan.push_face(&corners, at)?;
            }
            _ => {}
        }
    }
    if let Some((most, at)) = greatest
        && most as usize >= scan.points.len()
    {
        return Err(ScanError::broken(
            at,
            format!("a face names point {}", u64::from(most) + 1),
            format!("the file has {} points", scan.points.len()),
        ));
    }
    if scan.triangles.is_empty() && normals.len() == scan.points.len() {
        scan.normals = super::ply::unit_normals(normals);
    }
    Ok(())
}

/// A corner `7`, `7/1`, `7//3` or `7/1/3`; below zero it is counted back from the last point.
fn corner(word: &[u8], points: usize, at: At) -> Result<u32, ScanError> {
    let first = word.split(|byte| *byte == b'/').next().unwrap_or(word);
    let text = std::str::from_utf8(first).ok();
    let number: Option<i64> = text.and_then(|text| text.parse().ok());
    let index = match number {
        Some(number) if number > 0 => Some(number - 1),
        Some(number) if number < 0 => Some(points as i64 + number).filter(|own| *own >= 0),
        _ => None,
    };
    index
        .and_then(|index| u32::try_from(index).ok())
        .ok_or_else(|| {
            ScanError::broken(
                at,
                format!("{:?} names no point", shown(word)),
                "a corner is the number of a point, from 1, or counted back from the last with -1",
            )
        })
}
