//! Makes the plate of a rolled wrapper from its loft.

use crate::{BodyError, Curve, Edge, Face, Hole, Plate, Purpose, Region, Sheet};
use develop::{DevelopError, Forming, Loft, SurfacePoint, Trace};
use geom::{FlatPoint, Outline, Vector2};

/// Names of a wrapper's corners and sides.
#[derive(Clone, Copy, Debug)]
pub(crate) struct SideNames {
    /// Edges where rulings begin and end: `front`, `rear`.
    pub(crate) ends: (&'static str, &'static str),
    /// Edges along the first and the last ruling: `seam-right`, `seam-left`.
    pub(crate) sides: (&'static str, &'static str),
    /// Corner points: first ruling front and rear, last ruling front and rear.
    pub(crate) corners: [&'static str; 4],
    /// Datum points, front and rear: `front-crown`, `rear-crown`.
    pub(crate) datum: (&'static str, &'static str),
}

/// A tube closed by a seam underneath.
pub(crate) const TUBE: SideNames = SideNames {
    ends: ("front", "rear"),
    sides: ("seam-right", "seam-left"),
    corners: [
        "seam-right-front",
        "seam-right-rear",
        "seam-left-front",
        "seam-left-rear",
    ],
    datum: ("front-crown", "rear-crown"),
};

/// A wrapper open below, standing on its feet.
pub(crate) const ARCH: SideNames = SideNames {
    ends: ("front", "rear"),
    sides: ("foot-right", "foot-left"),
    corners: [
        "front-right-foot",
        "rear-right-foot",
        "front-left-foot",
        "rear-left-foot",
    ],
    datum: ("front-crown", "rear-crown"),
};

/// What a wrapper is called and made of.
pub(crate) struct WrapperOf<'a> {
    pub(crate) id: &'a str,
    pub(crate) assembly: &'static str,
    pub(crate) title: &'a str,
    pub(crate) sheet: Sheet,
    pub(crate) names: SideNames,
}

impl WrapperOf<'_> {
    /// The plate of the whole loft, its corners and crown named.
    pub(crate) fn plate(self, loft: Loft) -> Plate {
        let end = loft.w_end();
        let n = self.names;
        let edge = |name: &str, trace: Trace| Edge {
            name: name.to_owned(),
            curve: Curve::Surface(trace),
        };
        let section = |v, from, to| Trace::Section { v, from, to };
        let ruling = |w, from, to| Trace::Ruling { w, from, to };
        let at = |w, v| loft.flat(SurfacePoint { w, v });
        let datum = loft.datum();
        let points = vec![
            (n.datum.0.to_owned(), at(datum, 0.0)),
            (n.datum.1.to_owned(), at(datum, 1.0)),
            (n.corners[0].to_owned(), at(0.0, 0.0)),
            (n.corners[1].to_owned(), at(0.0, 1.0)),
            (n.corners[2].to_owned(), at(end, 0.0)),
            (n.corners[3].to_owned(), at(end, 1.0)),
        ];
        Plate {
            id: self.id.to_owned(),
            assembly: self.assembly,
            title: self.title.to_owned(),
            sheet: self.sheet,
            outline: vec![
                edge(n.sides.0, ruling(0.0, 0.0, 1.0)),
                edge(n.ends.1, section(1.0, 0.0, end)),
                edge(n.sides.1, ruling(end, 1.0, 0.0)),
                edge(n.ends.0, section(0.0, end, 0.0)),
            ],
            forming: Forming::Rolled(Box::new(loft)),
            holes: Vec::new(),
            regions: Vec::new(),
            rivets: Vec::new(),
            marks: Vec::new(),
            points,
        }
    }
}

/// The four sides of the part of a loft between two rulings and two fractions of them.
pub(crate) fn loft_panel(w: (f64, f64), v: (f64, f64)) -> Vec<Curve> {
    [
        Trace::Ruling {
            w: w.0,
            from: v.0,
            to: v.1,
        },
        Trace::Section {
            v: v.1,
            from: w.0,
            to: w.1,
        },
        Trace::Ruling {
            w: w.1,
            from: v.1,
            to: v.0,
        },
        Trace::Section {
            v: v.0,
            from: w.1,
            to: w.0,
        },
    ]
    .map(Curve::Surface)
    .to_vec()
}

/// Size of a centre-line tick: width and length (mm): common practice, no source.
pub(crate) const TICK: (f64, f64) = (0.3, 1.0);

/// A loft of a plate, which must be rolled.
pub(crate) fn loft_of(plate: &Plate) -> &Loft {
    plate
        .forming
        .loft()
        .expect("wrappers are rolled by construction")
}

/// Half-etched ticks on the inside at both ends of the rulings `w`, no longer than `room` (mm), and
/// the centre line drawn on the flat.
pub(crate) fn add_ticks(plate: &mut Plate, rulings: &[(&str, f64)], room: f64, half_etch: f64) {
    add_ticks_clear(plate, rulings, (0.0, 0.0), room, half_etch);
}

/// As [`add_ticks`], the ticks standing clear of the ends by `clear`, fractions of the rulings at the front and the rear.
pub(crate) fn add_ticks_clear(
    plate: &mut Plate,
    rulings: &[(&str, f64)],
    clear: (f64, f64),
    room: f64,
    half_etch: f64,
) {
    let loft = loft_of(plate).clone();
    // Rulings begin at the wrapper's fourth side and end at its second.
    let (near, far) = match plate.outline.as_slice() {
        [_, far, _, near] => (near.name.clone(), far.name.clone()),
        _ => ("front".to_owned(), "rear".to_owned()),
    };
    let (near, far) = (near.as_str(), far.as_str());
    for &(name, w) in rulings {
        let ruling = loft.ruling(w);
        let from = loft.flat(SurfacePoint { w, v: 0.0 });
        let to = loft.flat(SurfacePoint { w, v: 1.0 });
        let length = TICK.1.min(0.8 * room).min(ruling.length / 4.0) / ruling.length;
        let ends = (clear.0, 1.0 - clear.1);
        for (end, v, corner) in [
            (near, (ends.0, ends.0 + length), from),
            (far, (ends.1 - length, ends.1), to),
        ] {
            // The tick's half width as a share of the patch, measured where the tick stands.
            let aside = corner
                + Vector2::new(-ruling.flat_direction.y, ruling.flat_direction.x) * (TICK.0 / 2.0);
            let half = (loft.locate(aside).w - w).abs();
            if half == 0.0 || v.0 < 0.0 || v.1 > 1.0 || v.1 <= v.0 {
                continue;
            }
            plate.regions.push(Region {
                name: format!("{name}-{end}"),
                purpose: Purpose::Mark,
                face: Face::Inside,
                z_low: plate.sheet.z_low + half_etch,
                z_high: plate.sheet.z_high,
                boundary: loft_panel((w - half, w + half), v),
            });
        }
        plate.marks.push(crate::Mark {
            name: name.to_owned(),
            from,
            to,
        });
    }
}

/// Cuts the hole of a straight bore through a wrapper.
pub(crate) fn bore(
    plate: &mut Plate,
    feature: &str,
    trace: Trace,
    diameter: f64,
) -> Result<(), DevelopError> {
    let loft = loft_of(plate);
    let Trace::Bore {
        drill,
        along,
        across,
        ..
    } = trace
    else {
        unreachable!("only bores are bored");
    };
    let v = along / loft.axial_length();
    let centre = loft.flat(loft.under_drill(drill, across, v)?);
    // The rim is asked for here, so that a bore that runs off the plate fails where it is placed.
    trace.breaks(loft)?;
    plate.points.push((format!("hole:{feature}"), centre));
    plate.holes.push(Hole {
        feature: feature.to_owned(),
        centre,
        diameter: Some(diameter),
        boundary: vec![Curve::Surface(trace)],
    });
    Ok(())
}

/// Places a point of the body's side on a wrapper: fraction of the rulings `v`, height `z` in section.
pub(crate) fn at_height(
    loft: &Loft,
    left: bool,
    z: f64,
    v: f64,
) -> Result<FlatPoint, DevelopError> {
    let drill = Vector2::new(if left { 1.0 } else { -1.0 }, 0.0);
    // To the right of a drill pointing left lies down, of one pointing right lies up.
    let across = if left { -z } else { z };
    Ok(loft.flat(loft.under_drill(drill, across, v)?))
}

/// Cuts a round hole square to the sheet about a point of the flat.
pub(crate) fn round_hole(plate: &mut Plate, feature: &str, centre: FlatPoint, diameter: f64) {
    plate.points.push((format!("hole:{feature}"), centre));
    plate.holes.push(Hole {
        feature: feature.to_owned(),
        centre,
        diameter: Some(diameter),
        boundary: crate::flat_curves(&Outline::circle(centre, diameter / 2.0)),
    });
}

/// Turns a failure to place a feature into an error at its key.
pub(crate) fn placed<T>(
    result: Result<T, DevelopError>,
    path: &str,
    what: &str,
) -> Result<T, BodyError> {
    result.map_err(|cause| BodyError::Shape {
        path: path.to_owned(),
        sentence: format!("{what} does not fall on its plate: {cause}"),
        help: "check the place and size against the sub-assembly that it stands on".to_owned(),
    })
}
