//! A scan as its file has it.

use super::error::{At, ScanError};
use super::source::{MOST_POINTS, MOST_TRIANGLES, Source};
use super::{obj, ply, stl};
use geom::Point3;
use std::io::Read;

/// Kind of a scan file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ScanKind {
    /// Stereolithography, text or binary.
    Stl,
    /// Polygon file, text or binary of either byte order.
    Ply,
    /// Wavefront object.
    Obj,
}

impl ScanKind {
    /// The word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Stl => "stl",
            Self::Ply => "ply",
            Self::Obj => "obj",
        }
    }

    /// The kind that a file's ending tells, in small or capital letters.
    pub fn of_name(name: &str) -> Option<Self> {
        let ending = name.rsplit_once('.')?.1;
        [Self::Stl, Self::Ply, Self::Obj]
            .into_iter()
            .find(|kind| ending.eq_ignore_ascii_case(kind.word()))
    }
}

/// A scan as its file has it: points with or without triangles, in the file's own unit.
#[derive(Clone, Debug, Default)]
pub struct ScanFile {
    /// Points in the file's unit, each once.
    pub points: Vec<Point3>,
    /// Unit normals of the points, if the file gives them for all.
    pub normals: Vec<[f32; 3]>,
    /// Numbers of the corners of each triangle that has an area; none for a cloud of points.
    pub triangles: Vec<[u32; 3]>,
    /// Triangles without area, which are left out.
    pub flat_triangles: usize,
}

/// Reads a scan. `kind` is what the file's name tells; the first bytes decide where they are plain.
///
/// Memory is taken for what is read, never for what a header claims.
///
/// # Errors
///
/// [`ScanError::Broken`] and the others, with line or byte.
pub fn read_scan(reader: impl Read, kind: Option<ScanKind>) -> Result<ScanFile, ScanError> {
    let mut source = Source::new(reader);
    let head = source.ahead()?;
    let kind = if head.starts_with(b"ply\n") || head.starts_with(b"ply\r") {
        ScanKind::Ply
    } else {
        kind.or_else(|| kind_of(head))
            .ok_or(ScanError::UnknownKind)?
    };
    let mut scan = ScanFile::default();
    match kind {
        ScanKind::Stl => stl::read(&mut source, &mut scan)?,
        ScanKind::Ply => ply::read(&mut source, &mut scan)?,
        ScanKind::Obj => obj::read(&mut source, &mut scan)?,
    }
    scan.drop_flat_triangles()?;
    Ok(scan)
}

/// The kind that the first bytes show, for a file without a name.
fn kind_of(head: &[u8]) -> Option<ScanKind> {
    let head = &head[..head.len().min(1024)];
    if head.starts_with(b"solid") || head.iter().any(|byte| *byte == 0 || *byte > 0x7e) {
        return Some(ScanKind::Stl);
    }
    let is_obj = head
        .split(|byte| *byte == b'\n')
        .any(|line| line.starts_with(b"v ") || line.starts_with(b"v\t"));
    is_obj.then_some(ScanKind::Obj)
}

impl ScanFile {
    /// Adds a point and gives its number.
    pub(super) fn push_point(&mut self, point: [f64; 3], at: At) -> Result<u32, ScanError> {
        if self.points.len() == MOST_POINTS {
            return Err(ScanError::TooMany {
                at,
                what: "points",
                limit: MOST_POINTS,
            });
        }
        self.points.push(Point3::from(point));
        Ok((self.points.len() - 1) as u32)
    }

    pub(super) fn push_triangle(&mut self, triangle: [u32; 3], at: At) -> Result<(), ScanError> {
        if self.triangles.len() == MOST_TRIANGLES {
            return Err(ScanError::TooMany {
                at,
                what: "triangles",
                limit: MOST_TRIANGLES,
            });
        }
        self.triangles.push(triangle);
        Ok(())
    }

    /// Adds a face of three corners or more as a fan.
    pub(super) fn push_face(&mut self, corners: &[u32], at: At) -> Result<(), ScanError> {
        for two in corners[1..].windows(2) {
            self.push_triangle([corners[0], two[0], two[1]], at)?;
        }
        Ok(())
    }

    /// Corners of a triangle.
    pub(super) fn corners(&self, triangle: [u32; 3]) -> [Point3; 3] {
        triangle.map(|corner| self.points[corner as usize])
    }

    fn drop_flat_triangles(&mut self) -> Result<(), ScanError> {
        let before = self.triangles.len();
        let mut triangles = std::mem::take(&mut self.triangles);
        triangles.retain(|&triangle| {
            let [a, b, c] = self.corners(triangle);
            let twice = (b - a).cross(&(c - a)).norm();
            twice > 0.0 && twice.is_finite()
        });
        self.triangles = triangles;
        self.flat_triangles = before - self.triangles.len();
        if before > 0 && self.triangles.is_empty() {
            return Err(ScanError::NoArea { triangles: before });
        }
        Ok(())
    }
}
