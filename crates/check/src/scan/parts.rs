//! The parts of a body as a scan meets them: plates and fittings, in groups that can be built wrong as one.

use body::{Body, Fitting, Plate};
use geom::Point3;
use rayon::prelude::*;
use solid::{Mesh, MeshOptions, PlateFace, SolidError, mesh_fitting, mesh_plate};

/// The sub-assembly whose parts turn, slide and hang in springs: seen by a scanner, but not measured.
const RUNNING_GEAR: &str = "running-gear";

/// Chord error of the mesh from which the search for the surface starts (mm).
const CHORD_ERROR_MM: f64 = 0.02;

/// A part on one side of the engine stands clear of the middle by so much (mm).
const SIDE_MM: f64 = 0.1;

/// What a part is made as.
#[derive(Clone, Copy, Debug)]
pub(super) enum Made<'b> {
    Plate(&'b Plate),
    Fitting(&'b Fitting),
}

/// On which side of the engine something stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Side {
    Left,
    Right,
    /// Across the middle.
    Both,
}

/// A plate or fitting with its mesh.
pub(super) struct Part<'b> {
    pub(super) made: Made<'b>,
    pub(super) mesh: Mesh,
    /// What each triangle of the mesh of a plate is part of.
    pub(super) faces: Vec<PlateFace>,
    /// Number of its group; `None` for running gear.
    pub(super) group: Option<usize>,
    pub(super) side: Side,
}

impl Part<'_> {
    /// Corners of the box round it.
    pub(super) fn bounds(&self) -> [Point3; 2] {
        let (low, high) = self.mesh.bounds();
        [low.into(), high.into()]
    }

    pub(super) fn id(&self) -> &str {
        match self.made {
            Made::Plate(own) => &own.id,
            Made::Fitting(own) => &own.id,
        }
    }

    pub(super) fn assembly(&self) -> &'static str {
        match self.made {
            Made::Plate(own) => own.assembly,
            Made::Fitting(own) => own.assembly,
        }
    }

    pub(super) fn title(&self) -> String {
        match self.made {
            Made::Plate(own) => own.title.clone(),
            Made::Fitting(own) => {
                let words = own.id.replace('-', " ");
                let mut letters = words.chars();
                let first = letters.next().map(|own| own.to_ascii_uppercase());
                first.into_iter().chain(letters).collect()
            }
        }
    }
}

/// Parts that are soldered up as one and can stand wrong as one: a sub-assembly, or one side of it where it
/// has nothing across the middle.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Group {
    pub(super) assembly: &'static str,
    /// `Boiler`, `Side tanks, left`.
    pub(super) title: String,
    pub(super) side: Side,
    /// Middle of the box round it, in the body.
    pub(super) middle: Point3,
    /// Corners of the box.
    pub(super) low: Point3,
    pub(super) high: Point3,
}

impl Group {
    /// Half its width (mm), never nothing.
    pub(super) fn half_width(&self) -> f64 {
        ((self.high.y - self.low.y) / 2.0).max(1e-6)
    }
}

/// All parts of a body, meshed, and their groups.
pub(super) fn parts_of(body: &Body) -> Result<(Vec<Part<'_>>, Vec<Group>), SolidError> {
    let options = MeshOptions {
        rivets: true,
        chord_error: CHORD_ERROR_MM,
    };
    let plates: Vec<Result<Part<'_>, SolidError>> = body
        .plates
        .par_iter()
        .map(|plate| {
            let made = mesh_plate(plate, &options)?;
            let faces = made.faces();
            Ok(part(Made::Plate(plate), made.mesh, faces))
        })
        .collect();
    let fittings: Vec<Result<Part<'_>, SolidError>> = body
        .fittings
        .par_iter()
        .map(|fitting| {
            let mesh = mesh_fitting(fitting, CHORD_ERROR_MM)?;
            Ok(part(Made::Fitting(fitting), mesh, Vec::new()))
        })
        .collect();
    let all = plates.into_iter().chain(fittings);
    let mut parts = all.collect::<Result<Vec<_>, _>>()?;
    let groups = group(body, &mut parts);
    Ok((parts, groups))
}

fn part(made: Made<'_>, mesh: Mesh, faces: Vec<PlateFace>) -> Part<'_> {
    let (low, high) = mesh.bounds();
    let side = if low[1] > SIDE_MM {
        Side::Left
    } else if high[1] < -SIDE_MM {
        Side::Right
    } else {
        Side::Both
    };
    Part {
        made,
        mesh,
        faces,
        group: None,
        side,
    }
}

fn group(body: &Body, parts: &mut [Part<'_>]) -> Vec<Group> {
    let mut groups = Vec::new();
    for assembly in &body.assemblies {
        if assembly.id == RUNNING_GEAR {
            continue;
        }
        let own: Vec<usize> = (0..parts.len())
            .filter(|&i| parts[i].assembly() == assembly.id)
            .collect();
        // Handrails and other fittings go with the side that they are on.
        let crosses = own.iter().any(|&i| parts[i].side == Side::Both);
        let sides: &[(Side, &str)] = if crosses {
            &[(Side::Both, "")]
        } else {
            &[(Side::Left, ", left"), (Side::Right, ", right")]
        };
        for &(side, words) in sides {
            let of_side = |i: &&usize| crosses || parts[**i].side == side;
            let own: Vec<usize> = own.iter().filter(of_side).copied().collect();
            if own.is_empty() {
                continue;
            }
            let (low, high) = box_round(own.iter().flat_map(|&i| parts[i].bounds()));
            for i in own {
                parts[i].group = Some(groups.len());
            }
            groups.push(Group {
                assembly: assembly.id,
                title: format!("{}{words}", assembly.title),
                side,
                middle: low + (high - low) / 2.0,
                low,
                high,
            });
        }
    }
    groups
}

/// Box round points.
pub(super) fn box_round(points: impl Iterator<Item = Point3>) -> (Point3, Point3) {
    let far = f64::INFINITY;
    let none = (Point3::new(far, far, far), Point3::new(-far, -far, -far));
    points.fold(none, |(low, high), own| (low.inf(&own), high.sup(&own)))
}
