//! Normals along the ends of patches, where one end may be an apex.
//!
//! At an apex the sheet's normal turns on the spot, so that a skin at a height would end in an arc
//! run through forth and back. The apex takes one normal instead, that of the rulings to either side
//! of it; the skins are drawn over to it by a quadratic that dies out a few thicknesses away.

use develop::Loft;
use geom::{Point3, Vector3};

/// Normals of neighbouring patches further apart than this make a crease (chord of the unit circle).
const CREASE: f64 = 1e-6;

/// A lean of the normal below this is rounding.
const NO_LEAN: f64 = 1e-12;

/// Greatest part of a ruling over which a skin is drawn over.
const FURTHEST: f64 = 0.4;

/// What the normals do at one end of a patch.
#[derive(Clone, Copy, Debug)]
enum EndKind {
    /// The sheet's own.
    Own,
    /// The end is an apex: one point and one normal.
    Apex(Vector3),
    /// The first or last ruling, or both, begin at an apex beside the patch: changes of their normals.
    Beside { at_start: Vector3, at_end: Vector3 },
}

/// Normals at one end of a patch.
#[derive(Clone, Copy, Debug)]
pub(super) struct EndNormals {
    kind: EndKind,
    /// Part of the ruling over which the skins are drawn over.
    pub(super) reach: f64,
}

impl EndNormals {
    /// Change of the sheet's own normal at the very end of the ruling at a fraction of the patch.
    pub(super) fn lean(&self, fraction: f64, own: Vector3) -> Vector3 {
        match &self.kind {
            EndKind::Own => Vector3::zeros(),
            EndKind::Apex(normal) => normal - own,
            EndKind::Beside { at_start, at_end } => at_start * (1.0 - fraction) + at_end * fraction,
        }
    }

    /// True where the end is one point.
    pub(super) fn is_apex(&self) -> bool {
        matches!(self.kind, EndKind::Apex(_))
    }

    /// True where the sheet's own normals do all along the end.
    pub(super) fn is_own(&self, loft: &Loft, patch: usize) -> bool {
        [0.0, 0.5, 1.0].iter().all(|&fraction| {
            let own = loft.formed_ruling(patch, fraction).normal;
            self.lean(fraction, own).norm() <= NO_LEAN
        })
    }

    fn draw_over(&mut self, at: Side, by: Vector3, reach: f64) {
        if by.norm() <= NO_LEAN {
            return;
        }
        let (mut at_start, mut at_end) = match self.kind {
            EndKind::Beside { at_start, at_end } => (at_start, at_end),
            EndKind::Own | EndKind::Apex(_) => (Vector3::zeros(), Vector3::zeros()),
        };
        match at {
            Side::Start => at_start = by,
            Side::End => at_end = by,
        }
        *self = Self {
            kind: EndKind::Beside { at_start, at_end },
            reach: self.reach.max(reach),
        };
    }
}

enum Side {
    Start,
    End,
}

/// One end (0 front, 1 rear) of a loft's patches.
struct LoftEnd<'a> {
    loft: &'a Loft,
    end: usize,
}

impl LoftEnd<'_> {
    fn point(&self, patch: usize, fraction: f64) -> Point3 {
        let ruling = self.loft.formed_ruling(patch, fraction);
        if self.end == 0 {
            ruling.front
        } else {
            ruling.rear
        }
    }

    fn normal(&self, patch: usize, fraction: f64) -> Vector3 {
        self.loft.formed_ruling(patch, fraction).normal
    }

    fn is_apex(&self, patch: usize) -> bool {
        let start = self.point(patch, 0.0);
        [0.5, 1.0]
            .iter()
            .all(|&f| (self.point(patch, f) - start).norm() < 1e-9)
    }

    /// Part of a ruling over which the skins at half the thickness are drawn over to an apex.
    ///
    /// The radius at a fraction x of the ruling is x times that of the far end. A drawing over with
    /// slope 2/reach at the apex runs back on itself unless radius · reach exceeds the thickness;
    /// two and a half times that leaves room.
    fn reach(&self, patches: std::ops::Range<usize>, thickness: f64) -> f64 {
        patches
            .filter_map(|patch| self.loft.patches()[patch].radii())
            .map(|(front, rear)| 2.5 * thickness / if self.end == 0 { rear } else { front })
            .fold(1e-3, f64::max)
            .min(FURTHEST)
    }

    /// The one normal of an apex that a run of patches shares: that of the rulings to either side,
    /// which have the section's own tangent there.
    fn apex_normal(&self, run: &std::ops::Range<usize>) -> Vector3 {
        let before = run
            .start
            .checked_sub(1)
            .map(|patch| self.normal(patch, 1.0));
        let after = (run.end < self.loft.patches().len()).then(|| self.normal(run.end, 0.0));
        match (before, after) {
            (Some(a), Some(b)) => (a + b).normalize(),
            (Some(a), None) | (None, Some(a)) => a,
            (None, None) => {
                let middle = (run.start + run.end) as f64 / 2.0;
                let patch = (middle.floor() as usize).min(run.end - 1);
                self.normal(patch, middle - patch as f64)
            }
        }
    }
}

/// Normals at the front and rear end of every patch of a loft, for a sheet of given thickness (mm).
///
/// # Errors
///
/// The place where two patches join with a crease.
pub(super) fn end_normals(loft: &Loft, thickness: f64) -> Result<Vec<[EndNormals; 2]>, Point3> {
    let n = loft.patches().len();
    let own = EndNormals {
        kind: EndKind::Own,
        reach: 0.0,
    };
    let mut all = vec![[own; 2]; n];
    for end in [0, 1] {
        let side = LoftEnd { loft, end };
        let mut i = 0;
        while i < n {
            if !side.is_apex(i) {
                let joins = i + 1 == n
                    || side.is_apex(i + 1)
                    || (side.normal(i, 1.0) - side.normal(i + 1, 0.0)).norm() <= CREASE;
                if !joins {
                    return Err(side.point(i, 1.0));
                }
                i += 1;
                continue;
            }
            let first = i;
            while i < n && side.is_apex(i) {
                i += 1;
            }
            let run = first..i;
            let reach = side.reach(run.clone(), thickness);
            let normal = side.apex_normal(&run);
            for patch in &mut all[run] {
                patch[end] = EndNormals {
                    kind: EndKind::Apex(normal),
                    reach,
                };
            }
            if let Some(before) = first.checked_sub(1) {
                let lean = normal - side.normal(before, 1.0);
                all[before][end].draw_over(Side::End, lean, reach);
            }
            if i < n {
                let lean = normal - side.normal(i, 0.0);
                all[i][end].draw_over(Side::Start, lean, reach);
            }
        }
    }
    Ok(all)
}
