//! Places that are named in the model file.

use super::{JAWS, Measurement, MeasuringPoint};
use crate::model::specs::{MeasureOf, MeasureSpec, MeasureWay};
use crate::{Body, BodyError, Instrument, Model, Plate};
use develop::Forming;
use geom::{BodyPoint, Vector3};

/// What the keys of the tables begin with.
pub(super) const TABLE: &str = "measure[";

/// Sine of the angle up to which two faces are parallel.
const PARALLEL: f64 = 1e-6;

/// Points of a plate that are told when one is not there.
const LISTED: usize = 12;

/// A place of a measure: a point on the outside, or an outside face with its middle.
#[derive(Clone, Copy, Debug)]
struct Place {
    point: BodyPoint,
    /// Outward normal of a whole face.
    face: Option<Vector3>,
}

/// The measures of the model file whose places the body has.
pub(super) fn points(model: &Model, body: &Body) -> Vec<MeasuringPoint> {
    let own = model.measures.iter();
    own.filter_map(|spec| point(spec, body).ok()).collect()
}

/// Refuses measures whose places the body does not have; those at own plates wait until these are adopted.
///
/// # Errors
///
/// [`BodyError::Shape`] with the key that names the place.
pub(crate) fn refuse_unknown_places(
    model: &Model,
    body: &Body,
    adopted: bool,
) -> Result<(), BodyError> {
    let usual = super::measuring_points(model, body);
    for spec in &model.measures {
        let waits = |text: &str| {
            let plate = text.split('/').next().unwrap_or_default();
            !adopted && model.own_plates.iter().any(|own| own.id == plate)
        };
        let waits = match &spec.of {
            MeasureOf::Height(of) => waits(of),
            MeasureOf::Between(from, to, _) => waits(from) || waits(to),
        };
        if waits {
            continue;
        }
        let found = point(spec, body)?;
        if usual
            .iter()
            .any(|own| own.id == found.id && !own.is_named())
        {
            return Err(BodyError::Shape {
                path: format!("{}.name", spec.key),
                sentence: format!("{} is measured on every model that has it", spec.id),
                help: "give the measure another name".to_owned(),
            });
        }
    }
    Ok(())
}

fn point(spec: &MeasureSpec, body: &Body) -> Result<MeasuringPoint, BodyError> {
    let (measurement, plates) = match &spec.of {
        MeasureOf::Height(of) => {
            let place = place(spec, "height_of", of, body)?;
            if place.face.is_some() {
                return Err(wrong(
                    spec,
                    "height_of",
                    format!("{of} is a whole plate"),
                    points_of(body, of),
                ));
            }
            (Measurement::Height { at: place.point }, vec![of])
        }
        MeasureOf::Between(from, to, way) => {
            let ends = (
                place(spec, "from", from, body)?,
                place(spec, "to", to, body)?,
            );
            (between(spec, ends, *way)?, vec![from, to])
        }
    };
    let plates = plates.into_iter().map(|of| plate_of(of).to_owned());
    let height = matches!(measurement, Measurement::Height { .. });
    Ok(MeasuringPoint {
        id: spec.id.clone(),
        title: spec.title.clone(),
        instrument: if height {
            Instrument::HeightGauge
        } else {
            Instrument::Caliper
        },
        how: if height {
            "height gauge on a flat plate, the model on its wheels"
        } else {
            JAWS
        },
        datum: if height {
            "rail"
        } else {
            "the place named first"
        },
        measurement,
        tolerance: spec.tolerance,
        source: if spec.own_tolerance {
            "the model file"
        } else {
            super::TRADE
        },
        keys: vec![spec.key.clone()],
        plates: plates.collect(),
        when: None,
        on_drawing: false,
    })
}

/// The distance of two places.
fn between(
    spec: &MeasureSpec,
    (from, to): (Place, Place),
    way: MeasureWay,
) -> Result<Measurement, BodyError> {
    let (a, b) = (from.point, to.point);
    let direction = match (from.face, to.face) {
        (Some(one), Some(other)) if one.cross(&other).norm() > PARALLEL => {
            return Err(wrong(
                spec,
                "to",
                "the two faces are not parallel".to_owned(),
                "measure between a face and a point, or between two points".to_owned(),
            ));
        }
        (Some(face), _) | (None, Some(face)) => face,
        (None, None) => match way {
            MeasureWay::Straight => b - a,
            MeasureWay::Length => Vector3::x(),
            MeasureWay::Width => Vector3::y(),
            MeasureWay::Height => Vector3::z(),
        },
    };
    let direction = direction.try_normalize(0.0).unwrap_or_else(Vector3::x);
    let along = (b - a).dot(&direction);
    if along.abs() < 0.01 {
        return Err(wrong(
            spec,
            "to",
            "there is nothing between the two places that way".to_owned(),
            "name two places that stand apart, or another way with  along".to_owned(),
        ));
    }
    Ok(Measurement::Between {
        a,
        b,
        direction: direction * along.signum(),
    })
}

fn plate_of(text: &str) -> &str {
    text.split('/').next().unwrap_or_default()
}

fn wrong(spec: &MeasureSpec, key: &str, sentence: String, help: String) -> BodyError {
    BodyError::Shape {
        path: format!("{}.{key}", spec.key),
        sentence,
        help,
    }
}

/// `plate/point`, or `plate` for its face.
fn place(spec: &MeasureSpec, key: &str, text: &str, body: &Body) -> Result<Place, BodyError> {
    let id = plate_of(text);
    let Some(plate) = body.plate(id) else {
        let near = body.plates.iter().map(|own| own.id.as_str());
        let near = near.min_by_key(|own| strsim::osa_distance(own, id));
        let help = near.map_or_else(String::new, |own| format!("did you mean {own}?"));
        return Err(wrong(
            spec,
            key,
            format!("the body has no plate {id:?}"),
            help,
        ));
    };
    match text.split_once('/') {
        Some((_, name)) => match plate.point(name) {
            Ok(flat) => Ok(Place {
                point: outside(plate, flat),
                face: None,
            }),
            Err(error) => Err(wrong(spec, key, error.to_string(), points_of(body, id))),
        },
        None => face(plate).ok_or_else(|| {
            wrong(
                spec,
                key,
                format!("{id} is formed, and has no one face to measure from"),
                points_of(body, id),
            )
        }),
    }
}

fn outside(plate: &Plate, flat: geom::FlatPoint) -> BodyPoint {
    let place = plate.forming.place(flat);
    place.point + place.normal * plate.sheet.z_high
}

/// The outside face of a flat plate, and the middle of its points.
fn face(plate: &Plate) -> Option<Place> {
    let Forming::Flat(placement) = &plate.forming else {
        return None;
    };
    let points: Vec<BodyPoint> = plate
        .points
        .iter()
        .map(|(_, own)| outside(plate, *own))
        .collect();
    let sum: Vector3 = points.iter().map(|own| own.coords).sum();
    let middle = if points.is_empty() {
        outside(plate, geom::FlatPoint::origin())
    } else {
        BodyPoint::from(sum / points.len() as f64)
    };
    Some(Place {
        point: middle,
        face: Some(placement.normal()),
    })
}

fn points_of(body: &Body, text: &str) -> String {
    let id = plate_of(text);
    let Some(plate) = body.plate(id) else {
        return String::new();
    };
    let names = plate.points.iter().map(|(name, _)| name.as_str());
    let all: Vec<String> = names.map(|name| format!("{id}/{name}")).collect();
    let more = if all.len() > LISTED { " …" } else { "" };
    format!(
        "its points are {}{more}",
        all[..all.len().min(LISTED)].join(", ")
    )
}
