//! What a change of the model does to one plate.

use crate::CheckError;
use crate::difference::{LengthChange, Presence, figure};
use crate::pairs::pairs;
use crate::tolerance::DIFFERENCE_MM;
use body::{Curve, Hole, Plate, Region};
use develop::Forming;
use geom::{BodyPoint, FlatPoint, Vector2};
use serde::Serialize;
use utoipa::ToSchema;

/// Points at which each curve is compared: three fix a line or arc, a curve on a rolled plate needs more.
const SAMPLES: usize = 33;

/// What has to be done with a plate.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum PlateChange {
    /// There was none: it has to be etched.
    Added,
    /// It is not needed any more.
    Removed,
    /// Its flat, its metal or its thickness differs: it must be etched again.
    EtchAgain,
    /// Its flat is the same; it is bent to another shape.
    FormedOtherwise,
    /// Its flat and shape are the same; it stands elsewhere.
    Moves,
}

impl PlateChange {
    /// True if metal has to be etched.
    pub fn is_etched(self) -> bool {
        matches!(self, Self::Added | Self::EtchAgain)
    }

    /// What it means, in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Added => "added: must be etched",
            Self::Removed => "not needed any more",
            Self::EtchAgain => "must be etched again",
            Self::FormedOtherwise => "same flat, formed otherwise",
            Self::Moves => "only moves",
        }
    }
}

/// A plate before and after.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct PlateDifference {
    /// The plate.
    pub plate: String,
    /// Its name on a sheet.
    pub title: String,
    /// The sub-assembly it belongs to.
    pub assembly: String,
    /// What has to be done with it.
    pub change: PlateChange,
    /// Alloy and temper before and after, if they differ.
    pub metal: Option<[String; 2]>,
    /// Sheet as bought and what is left of it where half-etched, if they differ.
    pub thickness: Vec<LengthChange>,
    /// Sides whose length on the flat differs.
    pub edges: Vec<LengthChange>,
    /// Greatest distance between the outlines on the flat; nothing where they have other sides.
    pub outline_moved_mm: Option<f64>,
    /// Openings that differ.
    pub holes: Vec<HoleDifference>,
    /// Places of other depth that differ.
    pub regions: Vec<RegionDifference>,
    /// Rivet heads, if they differ.
    pub rivets: Option<RivetDifference>,
    /// Greatest distance that a place of the rim comes to lie from where it was, on the body; nothing
    /// where the sides are others.
    pub body_moved_mm: Option<f64>,
}

/// An opening before and after.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct HoleDifference {
    /// What it is for.
    pub feature: String,
    /// Whether it is there before and after.
    pub change: Presence,
    /// Distance that its centre moves on the flat.
    pub moved_mm: Option<f64>,
    /// Diameter before; nothing for a cut-out.
    pub before_diameter_mm: Option<f64>,
    /// Diameter after.
    pub after_diameter_mm: Option<f64>,
}

/// A place of other depth before and after.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct RegionDifference {
    /// Its name.
    pub name: String,
    /// Whether it is there before and after.
    pub change: Presence,
    /// Greatest distance between its boundaries on the flat; nothing where they have other sides.
    pub moved_mm: Option<f64>,
}

/// Rivet heads before and after.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct RivetDifference {
    /// Number before.
    pub before: usize,
    /// Number after.
    pub after: usize,
    /// Greatest distance that one moves on the flat; nothing where their number differs.
    pub moved_mm: Option<f64>,
}

/// A flat as points that can be held against those of another.
struct Flat<'p> {
    plate: &'p Plate,
    outline: Vec<FlatPoint>,
    holes: Vec<(&'p Hole, Vec<FlatPoint>)>,
    regions: Vec<(&'p Region, Vec<FlatPoint>)>,
}

impl<'p> Flat<'p> {
    fn of(plate: &'p Plate) -> Result<Self, CheckError> {
        let run = |boundary: &[Curve]| points(plate, boundary.iter());
        Ok(Self {
            plate,
            outline: points(plate, plate.outline.iter().map(|edge| &edge.curve))?,
            holes: plate
                .holes
                .iter()
                .map(|hole| Ok((hole, run(&hole.boundary)?)))
                .collect::<Result<_, CheckError>>()?,
            regions: plate
                .regions
                .iter()
                .map(|region| Ok((region, run(&region.boundary)?)))
                .collect::<Result<_, CheckError>>()?,
        })
    }

    /// True if the two are one flat, laid elsewhere on the sheet by `by`.
    fn is_same(&self, other: &Self, by: Vector2) -> bool {
        let near = |a: &[FlatPoint], b: &[FlatPoint]| is_small(apart(a, b, by));
        near(&self.outline, &other.outline)
            && pairs(&self.holes, &other.holes, |own| own.0.feature.as_str())
                .into_iter()
                .all(|pair| matches!(pair, (Some(a), Some(b)) if near(&a.1, &b.1)))
            && pairs(&self.regions, &other.regions, |own| own.0.name.as_str())
                .into_iter()
                .all(|pair| {
                    matches!(pair, (Some(a), Some(b)) if is_same_depth(a.0, b.0) && near(&a.1, &b.1))
                })
            && is_small(rivets_apart(self.plate, other.plate, by))
    }
}

/// Points along curves, in their order.
fn points<'c>(
    plate: &Plate,
    curves: impl Iterator<Item = &'c Curve>,
) -> Result<Vec<FlatPoint>, CheckError> {
    let mut found = Vec::new();
    for curve in curves {
        for i in 0..SAMPLES {
            let t = i as f64 / (SAMPLES - 1) as f64;
            let point = plate
                .flat_point(curve, t)
                .map_err(|cause| fail(plate, cause))?;
            found.push(point);
        }
    }
    Ok(found)
}

fn fail(plate: &Plate, cause: develop::DevelopError) -> CheckError {
    CheckError::Develop {
        plate: plate.id.clone(),
        cause,
    }
}

/// Greatest distance of points from those of the same number moved by `by`; nothing for other numbers.
fn apart(before: &[FlatPoint], after: &[FlatPoint], by: Vector2) -> Option<f64> {
    (before.len() == after.len()).then(|| {
        let distances = before.iter().zip(after).map(|(a, b)| (b - (a + by)).norm());
        distances.fold(0.0, f64::max)
    })
}

fn rivets_apart(before: &Plate, after: &Plate, by: Vector2) -> Option<f64> {
    let (a, b) = (&before.rivets, &after.rivets);
    let alike = a.len() == b.len()
        && a.iter().zip(b).all(|(a, b)| {
            is_small(Some((a.head_diameter - b.head_diameter).abs()))
                && is_small(Some((a.head_height - b.head_height).abs()))
        });
    let centres = |plate: &Plate| {
        plate
            .rivets
            .iter()
            .map(|own| own.centre)
            .collect::<Vec<_>>()
    };
    apart(&centres(before), &centres(after), by).filter(|_| alike)
}

fn is_small(distance: Option<f64>) -> bool {
    distance.is_some_and(|distance| distance <= DIFFERENCE_MM)
}

fn is_same_depth(a: &Region, b: &Region) -> bool {
    a.purpose == b.purpose
        && a.face == b.face
        && is_small(Some((a.z_low - b.z_low).abs()))
        && is_small(Some((a.z_high - b.z_high).abs()))
}

/// Compares a plate before and after; nothing if it is the same at the same place.
///
/// A flat is the same if it can be laid over the other by moving it on the sheet: its origin is where the
/// model has it, which nobody etches.
pub(crate) fn plate_difference(
    before: &Plate,
    after: &Plate,
) -> Result<Option<PlateDifference>, CheckError> {
    let (old, new) = (Flat::of(before)?, Flat::of(after)?);
    let thickness = thickness(before, after);
    let metal = (before.sheet.metal != after.sheet.metal)
        .then(|| [before.sheet.metal.clone(), after.sheet.metal.clone()]);
    let shift = match (old.outline.first(), new.outline.first()) {
        (Some(a), Some(b)) => b - a,
        _ => Vector2::zeros(),
    };
    let same_sheet = thickness.is_empty() && metal.is_none();
    let same_flat = old.is_same(&new, Vector2::zeros()) || old.is_same(&new, shift);
    let (was, is) = (in_space(&old), in_space(&new));
    let body_moved = (was.len() == is.len()).then(|| {
        let distances = was.iter().zip(&is).map(|(a, b)| (b - a).norm());
        distances.fold(0.0, f64::max)
    });
    let mut found = PlateDifference {
        plate: after.id.clone(),
        title: after.title.clone(),
        assembly: after.assembly.to_owned(),
        change: PlateChange::EtchAgain,
        metal,
        thickness,
        edges: Vec::new(),
        outline_moved_mm: Some(0.0),
        holes: Vec::new(),
        regions: Vec::new(),
        rivets: None,
        body_moved_mm: body_moved.map(figure),
    };
    if !(same_sheet && same_flat) {
        if !same_flat {
            tell_flat(&mut found, &old, &new)?;
        }
        return Ok(Some(found));
    }
    if is_small(body_moved) {
        return Ok(None);
    }
    found.change = if is_same_shape(after, &was, &is) {
        PlateChange::Moves
    } else {
        PlateChange::FormedOtherwise
    };
    Ok(Some(found))
}

/// A plate that is there before or after only.
pub(crate) fn lone_plate(plate: &Plate, change: PlateChange) -> PlateDifference {
    PlateDifference {
        plate: plate.id.clone(),
        title: plate.title.clone(),
        assembly: plate.assembly.to_owned(),
        change,
        metal: None,
        thickness: Vec::new(),
        edges: Vec::new(),
        outline_moved_mm: None,
        holes: Vec::new(),
        regions: Vec::new(),
        rivets: None,
        body_moved_mm: None,
    }
}

/// The sheet as bought, and its base if it is half-etched.
fn thickness(before: &Plate, after: &Plate) -> Vec<LengthChange> {
    let (a, b) = (&before.sheet, &after.sheet);
    let stock = LengthChange::of("sheet", Some(a.stock_thickness), Some(b.stock_thickness));
    let base = LengthChange::of("base", Some(a.thickness()), Some(b.thickness()));
    let proud = a.proud_height() > DIFFERENCE_MM || b.proud_height() > DIFFERENCE_MM;
    stock.into_iter().chain(base.filter(|_| proud)).collect()
}

/// Places of the rim on the body.
fn in_space(flat: &Flat<'_>) -> Vec<BodyPoint> {
    let place = |point: &FlatPoint| flat.plate.forming.place(*point).point;
    flat.outline.iter().map(place).collect()
}

/// True if the formed plate is the same shape elsewhere: it keeps the distances from three places of its rim.
fn is_same_shape(plate: &Plate, was: &[BodyPoint], is: &[BodyPoint]) -> bool {
    if matches!(plate.forming, Forming::Flat(_)) {
        return true;
    }
    let n = was.len();
    [0, n / 3, 2 * n / 3].into_iter().all(|from| {
        was.iter().zip(is).all(|(a, b)| {
            let (before, after) = ((a - was[from]).norm(), (b - is[from]).norm());
            (before - after).abs() <= DIFFERENCE_MM
        })
    })
}

/// Says in figures how the flats differ.
fn tell_flat(
    found: &mut PlateDifference,
    old: &Flat<'_>,
    new: &Flat<'_>,
) -> Result<(), CheckError> {
    let still = Vector2::zeros();
    let lengths = |plate: &Plate| plate.edge_lengths().map_err(|cause| fail(plate, cause));
    let (was, is) = (lengths(old.plate)?, lengths(new.plate)?);
    found.edges = pairs(&was, &is, |edge| edge.name.as_str())
        .into_iter()
        .filter_map(|(a, b)| {
            let name = a.or(b).map_or("", |edge| edge.name.as_str());
            LengthChange::of(name, a.map(|own| own.flat), b.map(|own| own.flat))
        })
        .collect();
    found.outline_moved_mm = apart(&old.outline, &new.outline, still).map(figure);
    found.holes = pairs(&old.holes, &new.holes, |own| own.0.feature.as_str())
        .into_iter()
        .filter_map(|(a, b)| hole_difference(a, b))
        .collect();
    found.regions = pairs(&old.regions, &new.regions, |own| own.0.name.as_str())
        .into_iter()
        .filter_map(|(a, b)| region_difference(a, b))
        .collect();
    let moved = rivets_apart(old.plate, new.plate, still);
    if !is_small(moved) {
        found.rivets = Some(RivetDifference {
            before: old.plate.rivets.len(),
            after: new.plate.rivets.len(),
            moved_mm: moved.map(figure),
        });
    }
    Ok(())
}

type Drawn<'a, T> = Option<&'a (&'a T, Vec<FlatPoint>)>;

fn hole_difference(before: Drawn<'_, Hole>, after: Drawn<'_, Hole>) -> Option<HoleDifference> {
    let moved = match (before, after) {
        (Some(a), Some(b)) => {
            if is_small(apart(&a.1, &b.1, Vector2::zeros())) {
                return None;
            }
            Some((b.0.centre - a.0.centre).norm())
        }
        _ => None,
    };
    let diameter = |own: Drawn<'_, Hole>| own.and_then(|own| own.0.diameter).map(figure);
    Some(HoleDifference {
        feature: before.or(after)?.0.feature.clone(),
        change: Presence::of(before, after),
        moved_mm: moved.map(figure),
        before_diameter_mm: diameter(before),
        after_diameter_mm: diameter(after),
    })
}

fn region_difference(
    before: Drawn<'_, Region>,
    after: Drawn<'_, Region>,
) -> Option<RegionDifference> {
    let moved = match (before, after) {
        (Some(a), Some(b)) => {
            let moved = apart(&a.1, &b.1, Vector2::zeros());
            if is_small(moved) && is_same_depth(a.0, b.0) {
                return None;
            }
            moved
        }
        _ => None,
    };
    Some(RegionDifference {
        name: before.or(after)?.0.name.clone(),
        change: Presence::of(before, after),
        moved_mm: moved.map(figure),
    })
}
