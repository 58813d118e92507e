//! Inner plate, top and baffles of a side tank.

use super::Tank;
use crate::assemblies::tank_fittings::drill_access;
use crate::error::AtKey;
use crate::panel::bays;
use crate::upright::{Facing, FlatPlateOf, drill, rectangle};
use crate::{BodyError, Plate};
use geom::math::FRAC_PI_2;
use geom::{Chain, Outline, Point2, Point3};

impl Tank<'_> {
    pub(super) fn inner(&self, baffles: &[f64]) -> Plate {
        let t = self.model.side_tanks();
        let z = (self.model.footplate.top, t.top - t.top_recess);
        let x = self.inside_length();
        let sheet = self.model.metal.sheet("tanks");
        let mut plate = self.along("inner", "Tank inner plate", sheet, false, t.inner, x, z);
        // Lengths on this flat, as its outline was laid.
        let on_flat = |x: f64| {
            if self.left {
                x - t.from
            } else {
                self.model.tanks_end() - x
            }
        };
        let marks: Vec<f64> = baffles.iter().map(|x| on_flat(*x)).collect();
        let (a, b) = (on_flat(x.0), on_flat(x.1));
        drill_access(
            self.model,
            &mut plate,
            Point2::new(a.min(b), z.0),
            Point2::new(a.max(b), z.1),
            &marks,
        );
        plate
    }

    pub(super) fn top(&self) -> Result<Plate, BodyError> {
        let t = self.model.side_tanks();
        let ((from, to), (inner, outer)) = (self.inside_length(), self.inside_width());
        let origin = Point3::new(from, 0.0, t.top - t.top_recess);
        let length = to - from;
        let inside_radius = t
            .front_radius
            .map_or(0.0, |radius| radius - self.recess - self.sheet);
        // The left tank's top from its inner front corner, anticlockwise from above.
        let (mut outline, mut sides) = if inside_radius > 0.0 {
            let run = Chain::starting(Point2::new(0.0, inner), 0.0)
                .line(length)
                .corner(FRAC_PI_2)
                .line(outer - inner)
                .corner(FRAC_PI_2)
                .line(length - inside_radius)
                .arc(inside_radius, FRAC_PI_2)
                .line(outer - inner - inside_radius)
                .finish();
            let closed = Outline::from_chain(&run).at_key("side_tanks.front_radius")?;
            (closed, vec!["inner", "rear", "outer", "corner", "front"])
        } else {
            let low = Point2::new(0.0, inner);
            let closed = rectangle(low, Point2::new(length, outer));
            (closed, vec!["inner", "rear", "outer", "front"])
        };
        if !self.left {
            outline = outline.mirrored_in_x_axis();
            sides.reverse();
        }
        Ok(FlatPlateOf {
            id: self.id("top"),
            assembly: "side-tanks",
            title: format!("Tank top, {}", self.word()),
            sheet: self.model.metal.sheet("tanks"),
            outside_origin: origin,
            facing: Facing::Up,
            outline: &outline,
            sides: &sides,
        }
        .plate())
    }

    /// Baffles on two rows, alike from both ends, or on every row of a short tank.
    pub(super) fn baffle_places(&self) -> Vec<f64> {
        let t = self.model.side_tanks();
        let clear = self.recess + t.front_radius.unwrap_or(0.0);
        let (from, to) = (t.from + clear, self.model.tanks_end());
        let rows = bays(from, to, t.baffles);
        match rows.len() {
            0 => vec![f64::midpoint(from, to)],
            1 | 2 => rows,
            n => vec![rows[(n - 1) / 4], rows[n - 1 - (n - 1) / 4]],
        }
    }

    pub(super) fn baffle(&self, number: usize, x: f64) -> Plate {
        let t = self.model.side_tanks();
        let y = self.inside_width();
        let z = (self.model.footplate.top, t.top - t.top_recess - self.sheet);
        let part = format!("baffle-{number}");
        let title = format!("Tank baffle {number}");
        let mut plate = self.across(&part, &title, self.model.metal.sheet("tanks"), x, y, z);
        let middle = Point2::new(
            -self.sign() * f64::midpoint(y.0, y.1),
            f64::midpoint(z.0, z.1),
        );
        let opening = 0.5 * (y.1 - y.0).min(z.1 - z.0);
        if opening >= self.model.metal.process.least_hole.at(self.sheet) {
            drill(&mut plate, "access", middle, opening);
        }
        plate
    }
}
