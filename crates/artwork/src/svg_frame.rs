//! Sizes, view boxes and transforms of an SVG.

use crate::ArtworkError;
use crate::affine::Affine;
use crate::drawn::DrawingUnit;
use crate::svg_read::at;
use geom::{Point2, Vector2};
use roxmltree::Node;
use std::str::FromStr as _;
use svgtypes::{Length, LengthUnit, Transform, ViewBox};

/// Millimetres in a pixel (Cascading Style Sheets: 96 to the inch).
const PIXEL_MM: f64 = 25.4 / 96.0;

/// How user units of the root lie on the sheet, y still down.
pub(crate) struct Frame {
    /// From user units to millimetres.
    pub(crate) map: Affine,
    /// Millimetres in a user unit, along x.
    pub(crate) user_mm: f64,
    /// Whether the file says so.
    pub(crate) unit: DrawingUnit,
}

impl Frame {
    /// Where a copy stands against what it copies.
    pub(crate) fn of_copy(node: Node<'_, '_>) -> Result<Affine, ArtworkError> {
        Ok(Affine::shift(Vector2::new(
            number(node, "x")?,
            number(node, "y")?,
        )))
    }
}

/// A length attribute in user units; zero if it is not there.
pub(crate) fn number(node: Node<'_, '_>, name: &str) -> Result<f64, ArtworkError> {
    Ok(length(node, name)?.unwrap_or(0.0))
}

/// A length attribute in user units, if it is there.
pub(crate) fn length(node: Node<'_, '_>, name: &str) -> Result<Option<f64>, ArtworkError> {
    let Some(text) = node.attribute(name) else {
        return Ok(None);
    };
    let wrong = || {
        at(
            node,
            format!("{name} = {:?} is no length that is read", start_of(text)),
        )
    };
    let length = Length::from_str(text.trim()).map_err(|_| wrong())?;
    let value = match length.unit {
        LengthUnit::None => length.number,
        unit => length.number * unit_mm(unit).ok_or_else(wrong)? / PIXEL_MM,
    };
    if value.is_finite() {
        Ok(Some(value))
    } else {
        Err(wrong())
    }
}

/// Millimetres in a unit; `None` for those that hang on something else.
fn unit_mm(unit: LengthUnit) -> Option<f64> {
    Some(match unit {
        LengthUnit::None | LengthUnit::Px => PIXEL_MM,
        LengthUnit::Mm => 1.0,
        LengthUnit::Cm => 10.0,
        LengthUnit::In => 25.4,
        LengthUnit::Pt => 25.4 / 72.0,
        LengthUnit::Pc => 25.4 / 6.0,
        LengthUnit::Em | LengthUnit::Ex | LengthUnit::Percent => return None,
    })
}

fn name_of(unit: LengthUnit) -> Option<&'static str> {
    Some(match unit {
        LengthUnit::Mm => "millimetres",
        LengthUnit::Cm => "centimetres",
        LengthUnit::In => "inches",
        LengthUnit::Pt => "points of 1/72 inch",
        LengthUnit::Pc => "picas of 1/6 inch",
        _ => return None,
    })
}

/// Width or height in millimetres and the name of its unit, if that is one with a length of its own.
fn side(node: Node<'_, '_>, name: &str) -> Option<(f64, Option<&'static str>)> {
    let length = Length::from_str(node.attribute(name)?.trim()).ok()?;
    let mm = length.number * unit_mm(length.unit)?;
    (mm.is_finite() && mm > 0.0).then(|| (mm, name_of(length.unit)))
}

fn view_box(node: Node<'_, '_>) -> Result<Option<ViewBox>, ArtworkError> {
    let Some(text) = node.attribute("viewBox") else {
        return Ok(None);
    };
    let sound = ViewBox::from_str(text)
        .ok()
        .filter(|b| [b.x, b.y, b.w, b.h].iter().all(|v| v.is_finite()) && b.w > 0.0 && b.h > 0.0);
    sound
        .map(Some)
        .ok_or_else(|| at(node, format!("viewBox = {:?} is no box", start_of(text))))
}

/// The frame of the outermost svg element.
pub(crate) fn frame_of(root: Node<'_, '_>) -> Result<Frame, ArtworkError> {
    const GUESS: DrawingUnit = DrawingUnit::Guessed("pixels at 96 to the inch");
    let (width, height) = (side(root, "width"), side(root, "height"));
    let Some(view) = view_box(root)? else {
        return Ok(Frame {
            map: Affine::scaling(PIXEL_MM, PIXEL_MM),
            user_mm: PIXEL_MM,
            // User units are pixels here, whatever the size of the sheet.
            unit: GUESS,
        });
    };
    let unit = width.or(height).and_then(|(_, name)| name);
    let sizes = match (width, height) {
        (Some((w, _)), Some((h, _))) => (w, h),
        (Some((w, _)), None) => (w, w / view.w * view.h),
        (None, Some((h, _))) => (h / view.h * view.w, h),
        (None, None) => (view.w * PIXEL_MM, view.h * PIXEL_MM),
    };
    let map = fitted(root, &view, sizes);
    Ok(Frame {
        map,
        user_mm: map.x_axis.x,
        unit: unit.map_or(GUESS, DrawingUnit::Named),
    })
}

/// The map of a view box onto a place of some size, as preserveAspectRatio asks.
fn fitted(node: Node<'_, '_>, view: &ViewBox, (width, height): (f64, f64)) -> Affine {
    let (mut x, mut y) = (width / view.w, height / view.h);
    let asked = node.attribute("preserveAspectRatio").unwrap_or("xMidYMid");
    if !asked.contains("none") {
        // Sizes rounded in the file make two scales of one; the wider side is the truer.
        if (x / y - 1.0).abs() < 1e-3 {
            let truer = if width > height { x } else { y };
            (x, y) = (truer, truer);
        } else {
            let one = if asked.contains("slice") {
                x.max(y)
            } else {
                x.min(y)
            };
            (x, y) = (one, one);
        }
    }
    let slack = Vector2::new(width - view.w * x, height - view.h * y);
    let share = |low: &str, high: &str| {
        if asked.contains(low) {
            0.0
        } else if asked.contains(high) {
            1.0
        } else {
            0.5
        }
    };
    let by = Vector2::new(
        slack.x * share("xMin", "xMax"),
        slack.y * share("YMin", "YMax"),
    );
    Affine::shift(by)
        .after(&Affine::scaling(x, y))
        .after(&Affine::shift(-Vector2::new(view.x, view.y)))
}

/// The frame of an svg or symbol within another; a copy of it may give the size.
pub(crate) fn nested_frame(
    node: Node<'_, '_>,
    copy: Option<Node<'_, '_>>,
) -> Result<Affine, ArtworkError> {
    // A size in shares of the frame round it is left alone: the frame itself is its size then.
    let size = |name| match copy.map_or(Ok(None), |copy| length(copy, name)) {
        Ok(Some(value)) => Some(value),
        _ => length(node, name).ok().flatten(),
    };
    let place = if node.tag_name().name() == "svg" {
        Affine::shift(Vector2::new(
            length(node, "x").ok().flatten().unwrap_or(0.0),
            length(node, "y").ok().flatten().unwrap_or(0.0),
        ))
    } else {
        Affine::scaling(1.0, 1.0)
    };
    let Some(view) = view_box(node)? else {
        return Ok(place);
    };
    let sizes = (
        size("width").unwrap_or(view.w),
        size("height").unwrap_or(view.h),
    );
    if !(sizes.0 > 0.0 && sizes.1 > 0.0) {
        return Err(at(node, "this has no size"));
    }
    Ok(place.after(&fitted(node, &view, sizes)))
}

/// The transform attribute of an element.
pub(crate) fn own_transform(node: Node<'_, '_>) -> Result<Affine, ArtworkError> {
    let Some(text) = node.attribute("transform") else {
        return Ok(Affine::scaling(1.0, 1.0));
    };
    let wrong = || {
        at(
            node,
            format!("transform = {:?} cannot be read", start_of(text)),
        )
    };
    let t = Transform::from_str(text).map_err(|_| wrong())?;
    if [t.a, t.b, t.c, t.d, t.e, t.f]
        .iter()
        .any(|v| !v.is_finite())
    {
        return Err(wrong());
    }
    Ok(Affine {
        x_axis: Vector2::new(t.a, t.b),
        y_axis: Vector2::new(t.c, t.d),
        origin: Point2::new(t.e, t.f),
    })
}

/// The start of a value, fit to be printed.
pub(crate) fn start_of(text: &str) -> String {
    text.chars().take(40).collect()
}
