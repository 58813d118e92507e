//! Drawn shapes that no sub-assembly makes, adopted as plates of the body.

use artwork::{
    Artwork, DrawnShape, JoinTolerance, Role, SideFile, join, names, plain_name, read_artwork,
};
use body::{Body, BodyError, Face, Model, ModelError, OwnPlate, OwnShape};
use std::collections::BTreeMap;

/// Adopts the own plates of a model; `read` gives the content of a file beside the model file and of the
/// side file beside that.
///
/// # Errors
///
/// A [`ModelError`] at the key of the model file: a drawing that is not there or cannot be read, a label
/// that no shape or more than one bears, and as [`Body::adopt`].
pub fn adopt_own_plates(
    model: &Model,
    body: &mut Body,
    read: impl Fn(&str) -> Option<Vec<u8>>,
) -> Result<(), ModelError> {
    let mut drawings: BTreeMap<&str, Vec<DrawnShape>> = BTreeMap::new();
    for own in &model.own_plates {
        if !drawings.contains_key(own.drawing.as_str()) {
            let shapes = shapes_of(own, &read).map_err(|error| model.locate(&error))?;
            drawings.insert(&own.drawing, shapes);
        }
        let shapes = &drawings[own.drawing.as_str()];
        let shape = shape_of(own, shapes).map_err(|error| model.locate(&error))?;
        body.adopt(model, own, &shape.outline, &own_shape(shape))?;
    }
    Ok(())
}

fn wrong(own: &OwnPlate, key: &str, sentence: String, help: &str) -> BodyError {
    BodyError::Shape {
        path: format!("{}.{key}", own.key),
        sentence,
        help: help.to_owned(),
    }
}

fn shapes_of(
    own: &OwnPlate,
    read: &impl Fn(&str) -> Option<Vec<u8>>,
) -> Result<Vec<DrawnShape>, BodyError> {
    let name = &own.drawing;
    let unread = |why: String| {
        let sentence = format!("the drawing {name} cannot be read: {why}");
        wrong(
            own,
            "drawing",
            sentence,
            "a DXF or SVG beside the model file is wanted",
        )
    };
    let bytes = read(name).ok_or_else(|| unread("there is no such file".to_owned()))?;
    let side_name = SideFile::name_of(name);
    let side = match read(&side_name) {
        Some(text) => {
            SideFile::read(&side_name, &text).map_err(|error| unread(error.to_string()))?
        }
        None => SideFile::default(),
    };
    let drawing: Artwork =
        read_artwork(&bytes, name, &side).map_err(|error| unread(error.to_string()))?;
    let joined = join(&drawing.pieces, &drawing.labels, JoinTolerance::default())
        .map_err(|error| unread(error.to_string()))?;
    Ok(joined.shapes)
}

/// The one shape that bears the label, within it or as its layer.
fn shape_of<'s>(own: &OwnPlate, shapes: &'s [DrawnShape]) -> Result<&'s DrawnShape, BodyError> {
    let plain = plain_name(&own.label);
    let bears = |shape: &&DrawnShape| {
        let inside = shape
            .labels_inside
            .iter()
            .any(|label| names(&label.text, &plain));
        inside || names(&shape.layer, &plain)
    };
    let mut found = shapes.iter().filter(bears);
    let first = found.next().ok_or_else(|| {
        let sentence = format!("no shape of {} bears the name {}", own.drawing, own.label);
        wrong(
            own,
            "label",
            sentence,
            "write the name within the outline, or name its layer so",
        )
    })?;
    match found.count() {
        0 => Ok(first),
        n => {
            let sentence = format!(
                "{} shapes of {} bear the name {}",
                n + 1,
                own.drawing,
                own.label
            );
            Err(wrong(own, "label", sentence, "one shape may bear the name"))
        }
    }
}

fn own_shape(shape: &DrawnShape) -> OwnShape {
    let half = |role| match role {
        Role::HalfEtchFront => Some(Face::Outside),
        Role::HalfEtchRear => Some(Face::Inside),
        _ => None,
    };
    OwnShape {
        holes: shape.holes.clone(),
        half_etched: shape
            .details
            .iter()
            .filter_map(|own| Some((half(own.role)?, own.outline.clone())))
            .collect(),
    }
}
