//! Boiler bands, left proud by half-etching the barrel between them.

use crate::model::specs::BoilerSpec;
use crate::wrapper::{loft_of, loft_panel};
use crate::{
    Body, BodyError, Curve, Face, Finding, FindingPlace, Model, Plate, Purpose, Region, Severity,
};
use develop::{SurfacePoint, Trace};

/// Rings of one diameter where they meet: steps below this are rounding (mm).
const SAME: f64 = 1e-9;

/// Most bands between two fixed ones; no barrel has so many.
const MOST: f64 = 60.0;

/// Front edges of all bands of the barrel (x, mm), front to rear.
///
/// The end bands stand `band_inset` from the ends, one band stands at each ring joint, and between
/// these the bands are spaced evenly, no farther apart than the pitch. A band at a joint stands wholly
/// on one ring, its edge on the joint line: on the smaller ring, whose band then stands as high as the
/// step beside it or higher; on the front ring where both are of one size.
pub(super) fn places(b: &BoilerSpec) -> Result<Vec<f64>, BodyError> {
    let width = b.band_width;
    let mut fixed = vec![(b.from + b.band_inset, "boiler.band_inset".to_owned())];
    for pair in b.rings.windows(2) {
        let step = pair[1].front.radius - pair[0].rear.radius;
        let joint = pair[0].end();
        let front = if step < -SAME { joint } else { joint - width };
        fixed.push((front, format!("{}.length", pair[0].key)));
    }
    fixed.push((
        b.end() - b.band_inset - width,
        "boiler.band_inset".to_owned(),
    ));
    let mut all = vec![fixed[0].0];
    for pair in fixed.windows(2) {
        let (from, to) = (pair[0].0, pair[1].0);
        if to - from <= width {
            return Err(BodyError::Shape {
                path: pair[1].1.clone(),
                sentence: "the bands do not fit on the barrel".to_owned(),
                help: format!(
                    "bands of {width:.2} mm at both ends and at each ring joint must leave room on {:.2} mm",
                    b.length()
                ),
            });
        }
        // A whole number of pitches is not pushed to one more by rounding; bands never touch.
        let spaces = ((to - from) / b.band_pitch - 1e-6)
            .ceil()
            .min(((to - from) / (1.5 * width)).floor())
            .max(1.0);
        let holds = spaces <= MOST;
        if !holds {
            return Err(BodyError::Shape {
                path: "boiler.band_pitch".to_owned(),
                sentence: format!("that makes {spaces:.0} bands on one length of barrel"),
                help: format!("at most {MOST:.0} are made; check the unit of the pitch"),
            });
        }
        let spaces = spaces as usize;
        all.extend((1..=spaces).map(|i| from + (to - from) * i as f64 / spaces as f64));
    }
    Ok(all)
}

/// Adds to a ring's wrapper, which reaches from `from`, the bands that stand on it.
pub(super) fn add(model: &Model, wrapper: &mut Plate, from: f64, places: &[f64], body: &mut Body) {
    let b = model.boiler();
    let proud = wrapper.sheet.proud_height();
    if proud <= 0.0 {
        return;
    }
    let loft = loft_of(wrapper).clone();
    let (end, length) = (loft.w_end(), loft.axial_length());
    for (i, place) in places.iter().enumerate() {
        let share = |x: f64| {
            let v = (x - from) / length;
            // A band that ends with its ring shares the ring's edge exactly.
            if v.abs() < 1e-9 {
                0.0
            } else if (v - 1.0).abs() < 1e-9 {
                1.0
            } else {
                v
            }
        };
        let v = (share(*place), share(place + b.band_width));
        if v.0 < 0.0 || v.1 > 1.0 {
            continue;
        }
        wrapper.regions.push(Region {
            name: format!("band-{}", i + 1),
            purpose: Purpose::Band,
            face: Face::Outside,
            z_low: wrapper.sheet.z_low,
            z_high: wrapper.sheet.z_high + proud,
            boundary: loft_panel((0.0, end), v),
        });
    }
    warn_of_narrow_bands(model, wrapper, body);
}

/// Between a band and the end of a tick (mm): drawn as arcs, either by itself, the two would touch here and cross there.
const TICK_CLEAR_MM: f64 = 0.02;

/// What bands along a wrapper's front and rear edge take of the rulings (fractions), ticks clear of them.
pub(super) fn at_ends(wrapper: &Plate) -> (f64, f64) {
    let clear = TICK_CLEAR_MM / loft_of(wrapper).axial_length();
    let mut taken = (0.0, 0.0);
    for (from, to) in spans(wrapper).map(|(_, span)| span) {
        if from == 0.0 {
            taken.0 = to + clear;
        }
        if to == 1.0 {
            taken.1 = 1.0 - from + clear;
        }
    }
    taken
}

/// Names of a wrapper's bands and the fractions of the rulings between which they stand.
fn spans(wrapper: &Plate) -> impl Iterator<Item = (&str, (f64, f64))> {
    wrapper
        .regions
        .iter()
        .filter(|region| region.purpose == Purpose::Band)
        .filter_map(|region| match region.boundary.first() {
            Some(Curve::Surface(Trace::Ruling { from, to, .. })) => {
                Some((region.name.as_str(), (*from, *to)))
            }
            _ => None,
        })
}

fn warn_of_narrow_bands(model: &Model, wrapper: &Plate, body: &mut Body) {
    let width = model.boiler().band_width;
    let least = model
        .metal
        .process
        .least_bar
        .at(wrapper.sheet.stock_thickness);
    let known = body.findings.iter().any(|f| f.rule == "band-too-narrow");
    if width < least && !known {
        body.findings.push(Finding {
            path: "boiler.band_width".to_owned(),
            rule: "band-too-narrow",
            severity: Severity::Warning,
            found: width,
            limit: least,
            at: FindingPlace {
                plate: Some(wrapper.id.clone()),
                flat: None,
                body: None,
            },
            sentence: format!(
                "the boiler bands are {width:.2} mm wide; the etcher leaves bars of {least:.2} mm and more standing"
            ),
        });
    }
}

/// A hole whose rim comes onto a band is hard to see and weakens the band.
pub(super) fn warn_of_holes(wrapper: &Plate, body: &mut Body) {
    let loft = loft_of(wrapper);
    let length = loft.axial_length();
    for hole in &wrapper.holes {
        let SurfacePoint { v, .. } = loft.locate(hole.centre);
        let along = v * length;
        let radius = hole.diameter.unwrap_or(0.0) / 2.0;
        for (name, (from, to)) in spans(wrapper) {
            let gap = (from * length - along).max(along - to * length) - radius;
            if gap < 0.0 {
                body.findings.push(Finding {
                    path: format!("{}/{}", wrapper.id, hole.feature),
                    rule: "hole-on-band",
                    severity: Severity::Warning,
                    found: gap,
                    limit: 0.0,
                    at: FindingPlace {
                        plate: Some(wrapper.id.clone()),
                        flat: Some(hole.centre),
                        body: Some(wrapper.forming.place(hole.centre).point),
                    },
                    sentence: format!(
                        "the hole for {} cuts {name} by {:.2} mm; move the hole or the bands",
                        hole.feature, -gap
                    ),
                });
            }
        }
    }
}

/// A step between two rings that is higher than the band at the joint stands proud shows.
pub(super) fn warn_of_steps(model: &Model, body: &mut Body) {
    let b = model.boiler();
    let limit = model.metal.boiler_sheet().proud_height();
    for (i, pair) in b.rings.windows(2).enumerate() {
        let step = (pair[1].front.radius - pair[0].rear.radius).abs();
        if step > limit + SAME {
            body.findings.push(Finding {
                path: format!("{}.front_diameter", pair[1].key),
                rule: "ring-step-shows",
                severity: Severity::Warning,
                found: step,
                limit,
                at: FindingPlace {
                    plate: Some(format!("boiler-wrapper-{}", i + 2)),
                    flat: None,
                    body: Some(geom::Point3::new(
                        pair[1].from,
                        0.0,
                        pair[1].front.axis + pair[1].front.radius,
                    )),
                },
                sentence: format!(
                    "the rings differ by {step:.2} mm in radius where they meet; the band over the joint hides {limit:.2} mm"
                ),
            });
        }
    }
}
