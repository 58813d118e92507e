//! Upright panels, flat or rolled in plan: their sheet, and their rivet rows by height above rail.
//!
//! Rows of neighbouring panels stand in line because every panel lays them by the same heights.

use crate::error::AtKey;
use crate::rows::{even_row, lay_row};
use crate::wrapper::{SideNames, WrapperOf};
use crate::{BodyError, Model, Plate, Sheet};
use develop::{Forming, Loft, LoftFrame, SurfacePoint};
use geom::tolerance::COINCIDENT_MM;
use geom::{Chain, FlatPoint, Point2};

/// A plate rolled in plan: the drawn outside, and how far behind it the sheet's outside lies.
pub(crate) struct PlanWrapperOf<'a> {
    pub(crate) id: &'a str,
    pub(crate) assembly: &'static str,
    pub(crate) title: &'a str,
    pub(crate) sheet: Sheet,
    pub(crate) names: SideNames,
    /// The drawn outside in plan (first coordinate rearward, second to the left), outside on the left of travel.
    pub(crate) plan: &'a Chain,
    /// How far the sheet's outside stands behind the drawn outside (mm).
    pub(crate) inset: f64,
    /// Lower and upper edge above rail (mm).
    pub(crate) heights: (f64, f64),
}

impl PlanWrapperOf<'_> {
    /// The plate; `path` is the key that decides the corner.
    ///
    /// # Errors
    ///
    /// [`BodyError`] at `path` where the corner is tighter than the sheet.
    pub(crate) fn plate(self, path: &str) -> Result<Plate, BodyError> {
        let neutral = self
            .plan
            .offset(-(self.inset + self.sheet.z_high))
            .at_key(path)?;
        let loft = Loft::between(
            LoftFrame::upright(self.heights.0),
            &neutral,
            &neutral,
            self.heights.1 - self.heights.0,
            self.sheet.thickness(),
            self.sheet.bend_rule,
        )
        .at_key(path)?;
        Ok(WrapperOf {
            id: self.id,
            assembly: self.assembly,
            title: self.title,
            sheet: self.sheet,
            names: self.names,
        }
        .plate(loft))
    }
}

/// A rectangle of an upright plate: lengths along it and heights above rail (mm).
#[derive(Clone, Copy, Debug)]
pub(crate) struct Panel {
    pub(crate) along: (f64, f64),
    pub(crate) heights: (f64, f64),
}

impl Panel {
    /// The whole of a plate rolled in plan, by length from its first ruling.
    pub(crate) fn of_rolled(plate: &Plate, heights: (f64, f64)) -> Self {
        let length = plate.forming.loft().map_or(0.0, |loft| {
            let at = |w| loft.flat(SurfacePoint { w, v: 0.0 }).y;
            at(loft.w_end()) - at(0.0)
        });
        Self {
            along: (0.0, length),
            heights,
        }
    }

    /// The flat point at a length along the panel and a height.
    fn place(&self, plate: &Plate, along: f64, height: f64) -> FlatPoint {
        match &plate.forming {
            Forming::Flat(_) => Point2::new(along, height),
            // On a plate rolled in plan the flat's x is the height over the lower edge.
            Forming::Rolled(loft) => {
                let first = loft.flat(SurfacePoint { w: 0.0, v: 0.0 });
                Point2::new(height - self.heights.0, first.y + along)
            }
        }
    }

    /// Lays a border row and an upright row at each of the given lengths along the panel.
    ///
    /// Upright rows stand on the rivets of the border that are nearest to them; corners are rivets of both rows.
    pub(crate) fn rivet(&self, model: &Model, plate: &mut Plate, uprights: &[(String, f64)]) {
        let (spec, edge) = (&model.rivets.platework, model.rivets.edge);
        let (low, high) = (
            Point2::new(self.along.0 + edge, self.heights.0 + edge),
            Point2::new(self.along.1 - edge, self.heights.1 - edge),
        );
        if low.x >= high.x || low.y >= high.y {
            return;
        }
        let bottom = even_row(low, Point2::new(high.x, low.y), spec.pitch);
        let mut rows = vec![
            ("bottom".to_owned(), bottom.clone()),
            (
                "top".to_owned(),
                even_row(Point2::new(low.x, high.y), high, spec.pitch),
            ),
        ];
        let upright = |x| even_row(Point2::new(x, low.y), Point2::new(x, high.y), spec.pitch);
        rows.push(("end-1".to_owned(), upright(low.x)));
        rows.push(("end-2".to_owned(), upright(high.x)));
        for (name, along) in uprights {
            let nearest = self.nearest_rivet(plate, &bottom, *along);
            rows.extend(nearest.map(|x| (name.clone(), upright(x))));
        }
        for (name, row) in rows {
            let places: Vec<_> = row.iter().map(|p| self.place(plate, p.x, p.y)).collect();
            lay_row(plate, &name, spec, places);
        }
    }
}

impl Panel {
    /// Length along the panel of the rivet of a row that is nearest to `along`; of two alike the one nearer
    /// to the front, so that the panel of the other side, whose flat runs the other way, has the same.
    fn nearest_rivet(&self, plate: &Plate, row: &[Point2], along: f64) -> Option<f64> {
        let off = |p: &Point2| (p.x - along).abs();
        let least = row.iter().map(off).fold(f64::INFINITY, f64::min);
        let in_body = |p: &Point2| plate.forming.place(self.place(plate, p.x, p.y)).point;
        row.iter()
            .filter(|p| off(p) <= least + COINCIDENT_MM)
            .map(|p| (p.x, in_body(p)))
            .min_by(|(_, a), (_, b)| a.x.total_cmp(&b.x))
            .map(|(x, _)| x)
    }
}

/// Lengths that part `from` to `to` into equal bays of about `pitch`, without the ends (mm).
pub(crate) fn bays(from: f64, to: f64, pitch: f64) -> Vec<f64> {
    let count = ((to - from) / pitch).round().clamp(1.0, 100.0) as usize;
    (1..count)
        .map(|i| from + (to - from) * i as f64 / count as f64)
        .collect()
}
