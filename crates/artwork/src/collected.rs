//! What a reader has read so far, within limits.

use crate::ArtworkError;
use crate::affine::{Affine, Placed};
use crate::curve_fit::READ_FIT_MM;
use crate::drawn::{Artwork, DrawnCurve, FARTHEST_MM, MAX_CURVES, MAX_FITTED, NotRead};
use crate::ellipse::EllipticArc;
use crate::labels::Label;
use crate::role::Role;
use crate::side_file::SideFile;
use crate::spline::Spline;
use geom::{Point2, Segment};
use std::collections::BTreeMap;

/// The most texts that a drawing may have.
const MAX_LABELS: usize = 100_000;

/// The most kinds and layers that are tallied one by one; drawings have some dozens.
const MAX_TALLIES: usize = 10_000;

/// Number of entities left out, by kind and layer.
pub(crate) type Left = BTreeMap<(String, String), usize>;

/// Curves and texts read so far.
#[derive(Debug, Default)]
pub(crate) struct Collected {
    pieces: Vec<DrawnCurve>,
    labels: Vec<Label>,
    left: Left,
    fitted: usize,
}

/// Where a curve stands on the drawing, and what for.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Standing<'a> {
    pub(crate) map: &'a Affine,
    pub(crate) layer: &'a str,
    pub(crate) role: Role,
}

impl Collected {
    pub(crate) fn leave(&mut self, kind: &str, layer: &str) {
        self.leave_several(kind, layer, 1);
    }

    pub(crate) fn leave_several(&mut self, kind: &str, layer: &str, times: usize) {
        let key = (kind.to_owned(), layer.to_owned());
        if self.left.len() < MAX_TALLIES || self.left.contains_key(&key) {
            let count = self.left.entry(key).or_insert(0);
            *count = count.saturating_add(times);
        }
    }

    /// Takes in a line or arc.
    pub(crate) fn draw(&mut self, at: Standing<'_>, segment: &Segment) -> Result<(), ArtworkError> {
        if at.map.is_flat() {
            self.leave("curve at no scale", at.layer);
            return Ok(());
        }
        match at.map.segment(segment) {
            Placed::Plain(segment) => self.push(at, segment),
            Placed::Ellipse(arc) => self.push_ellipse(at, &arc),
        }
    }

    /// Takes in part of an ellipse.
    pub(crate) fn ellipse(
        &mut self,
        at: Standing<'_>,
        arc: &EllipticArc,
    ) -> Result<(), ArtworkError> {
        self.push_ellipse(at, &arc.mapped(at.map))
    }

    fn push_ellipse(&mut self, at: Standing<'_>, arc: &EllipticArc) -> Result<(), ArtworkError> {
        let reach = arc.centre.coords.norm() + arc.u.norm() + arc.v.norm();
        within_reach(reach, at.layer)?;
        self.fit(1)?;
        for segment in arc.laid(READ_FIT_MM) {
            self.push(at, segment)?;
        }
        Ok(())
    }

    /// Takes in a spline.
    pub(crate) fn spline(&mut self, at: Standing<'_>, spline: &Spline) -> Result<(), ArtworkError> {
        let placed = spline.mapped(at.map);
        within_reach(placed.reach(), at.layer)?;
        self.fit(placed.pieces())?;
        for segment in placed.laid(READ_FIT_MM) {
            self.push(at, segment)?;
        }
        Ok(())
    }

    fn fit(&mut self, pieces: usize) -> Result<(), ArtworkError> {
        self.fitted += pieces;
        if self.fitted > MAX_FITTED {
            return Err(ArtworkError::TooManySplines { limit: MAX_FITTED });
        }
        Ok(())
    }

    fn push(&mut self, at: Standing<'_>, segment: Segment) -> Result<(), ArtworkError> {
        if self.pieces.len() >= MAX_CURVES {
            return Err(ArtworkError::TooMany { limit: MAX_CURVES });
        }
        let reach = match &segment {
            Segment::Line { start, end } => start.coords.norm().max(end.coords.norm()),
            Segment::Arc(arc) => segment.start().coords.norm() + arc.radius * arc.sweep.abs(),
        };
        within_reach(reach, at.layer)?;
        self.pieces.push(DrawnCurve {
            segment,
            layer: at.layer.to_owned(),
            role: at.role,
        });
        Ok(())
    }

    /// Takes in a text; those on layers that are left out, and of sheet furniture, name nothing.
    pub(crate) fn label(
        &mut self,
        at: Standing<'_>,
        text: String,
        place: Point2,
    ) -> Result<(), ArtworkError> {
        if !(at.role.is_of_plates() || at.role == Role::Label) || text.is_empty() {
            return Ok(());
        }
        if self.labels.len() >= MAX_LABELS {
            return Err(ArtworkError::TooMany { limit: MAX_LABELS });
        }
        let place = at.map.point(place);
        within_reach(place.coords.norm(), at.layer)?;
        self.labels.push(Label {
            text,
            at: place,
            layer: at.layer.to_owned(),
        });
        Ok(())
    }

    /// The drawing, with what its side file says of it.
    pub(crate) fn into_artwork(self, side: &SideFile) -> Artwork {
        Artwork {
            pieces: self.pieces,
            labels: self.labels,
            not_read: self
                .left
                .into_iter()
                .map(|((kind, layer), count)| NotRead { kind, layer, count })
                .collect(),
            allowance: side.allowance,
            join_within: side.join_within,
            unused_names: side.mapping.unused(),
            ..Artwork::default()
        }
    }
}

/// Refuses what is no number too.
fn within_reach(reach: f64, layer: &str) -> Result<(), ArtworkError> {
    if reach <= FARTHEST_MM {
        return Ok(());
    }
    Err(ArtworkError::OutOfReach {
        layer: layer.to_owned(),
        limit_mm: FARTHEST_MM,
    })
}
