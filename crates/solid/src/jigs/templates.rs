//! Go and no-go templates to be etched on the waste of the fret: curve gauges and rivet strips.

use body::{Body, Curve, Edge, Hole, Model, Plate, Sheet};
use develop::Forming;
use geom::math::{asin, sin, tan};
use geom::{Outline, Placement, Point2, Point3, Segment, Vector3};
use std::f64::consts::FRAC_PI_6;

use super::rings::stem;
use super::rivet_strip::{STRIPS, pitches};
use super::tubes::tubes;

/// The templates of an engine as flat plates, which belong to no sub-assembly and stand nowhere.
///
/// A curve gauge has the inside curve of a barrel's end above and the outside curve, over the bands, below. A
/// rivet strip has a row of holes at a pitch of the engine, every second or third rivet where the sheet would not
/// hold a bar between.
pub fn etched_templates(model: &Model, body: &Body) -> Vec<Plate> {
    // The footplate's sheet is stout and always there.
    let Some(footplate) = body.plate("footplate") else {
        return Vec::new();
    };
    let sheet = &footplate.sheet;
    let mut templates = Vec::new();
    for tube in tubes(body) {
        for (word, v) in [("front", 0.0), ("rear", 1.0)] {
            let radius = tube.at(v).radius;
            let (inside, outside) = (radius + tube.inside(), radius + tube.outside());
            templates.push(template(
                format!("template-{}-{word}", stem(&tube)),
                format!(
                    "{}, {word}: inside radius {inside:.2} mm, outside {outside:.2}",
                    tube.plate.title
                ),
                sheet,
                &gauge(inside, outside),
                Vec::new(),
            ));
        }
    }
    let process = model.metal.process;
    let t = sheet.stock_thickness;
    for (pitch, _) in pitches(body).into_iter().take(STRIPS) {
        let hole = process.least_hole.at(t).max(0.4);
        let bar = process.least_bar.at(t);
        let every = (1..=8)
            .find(|k| f64::from(*k) * pitch - hole >= 1.1 * bar)
            .unwrap_or(8);
        let step = pitch * f64::from(every);
        let count = ((24.0 / step).floor() as usize).clamp(4, 40);
        let long = step * (count - 1) as f64 + 8.0;
        let row = hole / 2.0 + 1.5 * bar;
        let outline =
            Outline::rectangle(Point2::new(-4.0, 0.0), Point2::new(long - 4.0, row + 4.0));
        let holes = (0..count)
            .map(|k| {
                let centre = Point2::new(step * k as f64, row);
                Hole {
                    feature: format!("guide-{}", k + 1),
                    centre,
                    diameter: Some(hole),
                    boundary: body::flat_curves(&Outline::circle(centre, hole / 2.0)),
                }
            })
            .collect();
        templates.push(template(
            format!("template-rivets-{pitch:.2}").replace('.', "-"),
            format!("Rivet strip, pitch {pitch:.2} mm, every {every}"),
            sheet,
            &outline,
            holes,
        ));
    }
    templates
}

/// A plate with a convex curve above and a concave one below, as wide as both allow over 60°.
fn gauge(inside: f64, outside: f64) -> Outline {
    let half = inside.min(outside) * sin(FRAC_PI_6);
    let bulge = |radius: f64| tan(asin(half / radius) / 2.0);
    let rise = inside - (inside * inside - half * half).sqrt();
    let tall = outside - (outside * outside - half * half).sqrt() + 6.0;
    let at = |x: f64, y: f64| Point2::new(x, y);
    let chain = geom::Chain::from_segments([
        // Below, over the barrel: travelled to the right, it turns right.
        Segment::from_bulge(at(-half, 0.0), at(half, 0.0), -bulge(outside)),
        Segment::line(at(half, 0.0), at(half, tall)),
        Segment::from_bulge(at(half, tall), at(-half, tall), bulge(inside)),
        Segment::line(at(-half, tall), at(-half, 0.0)),
    ]);
    Outline::from_chain(&chain)
        .unwrap_or_else(|_| Outline::rectangle(at(-half, 0.0), at(half, tall + rise)))
}

fn template(
    id: String,
    title: String,
    sheet: &Sheet,
    outline: &Outline,
    holes: Vec<Hole>,
) -> Plate {
    Plate {
        id,
        assembly: "templates",
        title,
        sheet: Sheet::plain(&sheet.metal, sheet.stock_thickness),
        forming: Forming::Flat(Placement::new(Point3::origin(), Vector3::x(), Vector3::y())),
        outline: outline
            .segments()
            .iter()
            .enumerate()
            .map(|(i, segment)| Edge {
                name: format!("side-{}", i + 1),
                curve: Curve::Flat(*segment),
            })
            .collect(),
        holes,
        regions: Vec::new(),
        rivets: Vec::new(),
        marks: Vec::new(),
        points: Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_gauge_has_the_area_of_its_block_less_one_segment_and_more_the_other() {
        let (inside, outside) = (16.0, 16.4);
        let outline = gauge(inside, outside);
        let segment = |radius: f64| {
            let half = 16.0 * sin(FRAC_PI_6);
            let sweep = 2.0 * asin(half / radius);
            radius * radius * (sweep - sin(sweep)) / 2.0
        };
        let (low, high) = outline.bounds();
        let tall = outline.segments()[1].length();
        let want = (high.x - low.x) * tall - segment(outside) + segment(inside);
        assert!((outline.area() - want).abs() < 1e-6);
    }
}
