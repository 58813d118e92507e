//! Room that wheels take above the footplate, and what it cuts from the plates that stand there.

use super::footplate::{beside_wheel, swept_radius, wheel_opening};
use crate::Model;
use geom::{Point2, Segment};

/// A side of an outline and its name.
pub(super) type Side = (String, Segment);

/// What one pair of wheels needs over the footplate (mm): its own height and side play with air about it.
#[derive(Clone, Copy, Debug)]
pub(super) struct WheelRoom {
    /// From where to where along the engine, at the footplate.
    pub(super) from: f64,
    pub(super) to: f64,
    /// From the centre line.
    pub(super) inner: f64,
    pub(super) outer: f64,
    axle: Point2,
    radius: f64,
}

impl WheelRoom {
    /// Of all wheels that come up through the footplate, from the front.
    pub(super) fn all(model: &Model) -> Vec<Self> {
        let wheels = model.wheels.dimensions();
        let axles = model.running.axles.iter().enumerate();
        axles
            .filter_map(|(i, axle)| {
                let (from, to) = wheel_opening(model, axle)?;
                let beside = beside_wheel(model, i + 1);
                Some(Self {
                    from,
                    to,
                    inner: wheels.back_to_back / 2.0 - beside,
                    outer: wheels.back_to_back / 2.0 + wheels.tyre_width + beside,
                    axle: Point2::new(axle.x, axle.diameter / 2.0),
                    radius: swept_radius(model, axle),
                })
            })
            .collect()
    }

    /// How high it reaches anywhere between two places along the engine, if it reaches over a floor there.
    pub(super) fn top(&self, x: (f64, f64), floor: f64) -> Option<f64> {
        let off = (self.axle.x.clamp(x.0, x.1) - self.axle.x).abs();
        if off >= self.radius {
            return None;
        }
        let top = self.axle.y + ((self.radius - off) * (self.radius + off)).sqrt();
        (top > floor).then_some(top)
    }
}

/// What is cut from the foot of an upright plate: from where to where along it, and how high.
#[derive(Clone, Copy, Debug)]
pub(super) struct FootCut {
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) top: f64,
}

/// The sides of an upright rectangle, anticlockwise from its lower left corner, with square openings in its foot;
/// `ends` names its right and its left end.
///
/// What of the foot is left is `bottom` where it is longest, then `bottom-2`, …; pieces shorter than `least` are cut
/// away too. Openings that would not leave `least` of the plate over them are not cut.
pub(super) fn notched(
    low: Point2,
    high: Point2,
    ends: [&str; 2],
    cuts: &[FootCut],
    least: f64,
) -> Vec<Side> {
    let mut cuts: Vec<FootCut> = cuts
        .iter()
        .filter(|own| own.top > low.y && own.top + least < high.y)
        .map(|own| FootCut {
            from: own.from.max(low.x),
            to: own.to.min(high.x),
            top: own.top,
        })
        .filter(|own| own.from < own.to)
        .collect();
    cuts.sort_by(|a, b| a.from.total_cmp(&b.from));
    let mut merged: Vec<FootCut> = Vec::new();
    for mut own in cuts {
        if own.from - low.x < least {
            own.from = low.x;
        }
        if high.x - own.to < least {
            own.to = high.x;
        }
        match merged.last_mut() {
            Some(last) if own.from - last.to < least => {
                last.to = last.to.max(own.to);
                last.top = last.top.max(own.top);
            }
            _ => merged.push(own),
        }
    }
    let mut corners = vec![low];
    let mut feet: Vec<(usize, f64)> = Vec::new();
    let foot_to = |corners: &mut Vec<Point2>, feet: &mut Vec<(usize, f64)>, x: f64| {
        let from = corners[corners.len() - 1];
        if x > from.x {
            feet.push((corners.len() - 1, x - from.x));
            corners.push(Point2::new(x, low.y));
        }
    };
    for own in &merged {
        if own.from > low.x {
            foot_to(&mut corners, &mut feet, own.from);
            corners.push(Point2::new(own.from, own.top));
        } else {
            corners[0] = Point2::new(low.x, own.top);
        }
        corners.push(Point2::new(own.to, own.top));
        if own.to < high.x {
            corners.push(Point2::new(own.to, low.y));
        }
    }
    foot_to(&mut corners, &mut feet, high.x);
    let end = corners.len() - 1;
    corners.push(high);
    corners.push(Point2::new(low.x, high.y));
    feet.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    let name = |i: usize| -> String {
        if i == end {
            return ends[0].to_owned();
        }
        if i == end + 1 {
            return "top".to_owned();
        }
        if i == end + 2 {
            return ends[1].to_owned();
        }
        match feet.iter().position(|(own, _)| *own == i) {
            Some(0) => "bottom".to_owned(),
            Some(n) => format!("bottom-{}", n + 1),
            None => "wheel".to_owned(),
        }
    };
    (0..corners.len())
        .map(|i| {
            let next = corners[(i + 1) % corners.len()];
            (name(i), Segment::line(corners[i], next))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use geom::{Chain, Outline};

    fn of(cuts: &[(f64, f64, f64)]) -> (Vec<String>, f64) {
        let cuts: Vec<FootCut> = cuts
            .iter()
            .map(|&(from, to, top)| FootCut { from, to, top })
            .collect();
        let at = Point2::new;
        let sides = notched(at(0.0, 10.0), at(50.0, 40.0), ["rear", "front"], &cuts, 1.0);
        let (names, segments): (Vec<String>, Vec<Segment>) = sides.into_iter().unzip();
        let outline = Outline::from_chain(&Chain::from_segments(segments))
            .unwrap_or_else(|error| panic!("{error}"));
        (names, 1500.0 - outline.area())
    }

    #[test]
    fn openings_leave_a_foot_with_its_longest_piece_first() {
        let (names, cut) = of(&[]);
        assert_eq!(names, ["bottom", "rear", "top", "front"]);
        assert!(cut.abs() < 1e-9);
        // One in the middle, one over the right end, one that leaves less than a bar at the left end.
        let (names, cut) = of(&[(20.0, 25.0, 14.0), (45.0, 60.0, 15.0), (0.5, 4.0, 12.0)]);
        assert!(
            (cut - (5.0 * 4.0 + 5.0 * 5.0 + 4.0 * 2.0)).abs() < 1e-9,
            "{cut}"
        );
        assert_eq!(
            names,
            [
                "wheel", "wheel", "bottom-2", "wheel", "wheel", "wheel", "bottom", "wheel",
                "wheel", "rear", "top", "front"
            ]
        );
        // Two with less than a bar between them are one; one too high is none.
        let (_, cut) = of(&[(10.0, 15.0, 12.0), (15.5, 20.0, 14.0), (30.0, 35.0, 39.5)]);
        assert!((cut - 10.0 * 4.0).abs() < 1e-9, "{cut}");
    }
}
