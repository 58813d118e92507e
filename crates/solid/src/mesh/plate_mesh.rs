//! The mesh of a plate, made from its flat.

use body::Plate;
use develop::{DevelopError, Place};
use geom::FlatPoint;

use super::drawing::{At, Drawing, Label, Node, located};
use super::grid::Grid;
use super::options::{Chords, MeshOptions, SNAP_MM};
use super::rivet_head::{Head, add_heads};
use super::stations::Stations;
use super::strips::Strips;
use super::surface::{LEAST_HEIGHT_MM, Mesh};
use super::thickening::{Depth, MOST_LEVELS, Thickening};
use super::triangulation::{FlatMesh, NONE};
use crate::SolidError;

/// A plate as a solid in its formed place.
#[derive(Clone, Debug)]
pub struct PlateMesh {
    /// The solid's boundary.
    pub mesh: Mesh,
    /// Rivets without a head in the mesh, because it would stand across an edge, another depth or
    /// another rivet: numbers in [`Plate::rivets`].
    pub skipped_rivets: Vec<usize>,
    /// Greatest distance by which the skins miss their place at the points of cones (mm).
    ///
    /// All rulings of a cone end in its apex, which takes the normal of one of them.
    pub apex_error: f64,
    flat: FlatMesh,
    /// Inner and outer face at each triangle of the flat (mm from mid-sheet).
    depths: Vec<(f64, f64)>,
    /// Rivet of each of the last positions, which heads added.
    of_heads: Vec<u32>,
    apexes: Vec<FlatPoint>,
    /// Rulings at which the mesh is creased, and the one that each position of it moves with, as
    /// coordinates on the loft; empty for a plate that stays flat.
    stations: Vec<f64>,
    rulings: Vec<f64>,
}

/// What a triangle of a plate's mesh is part of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PlateFace {
    /// The outer face of the metal, so far from mid-sheet (mm, positive outwards).
    Outside {
        /// Height over mid-sheet (mm).
        height: f64,
    },
    /// The inner face of the metal.
    Inside {
        /// Height over mid-sheet (mm); below zero for plain sheet.
        height: f64,
    },
    /// The cut edge of the plate, of an opening, or a step of the metal.
    Edge,
    /// The head of a rivet.
    Rivet {
        /// Its number in [`Plate::rivets`].
        number: usize,
    },
}

/// Meshes a plate: the flat is triangulated with its rulings, both skins take the same triangles,
/// and walls stand along every edge and every change of depth.
///
/// # Shape
///
/// Closed and wound outward for a plate whose outline, holes and regions are what they should be;
/// [`Mesh::soundness`] tells. No part of a skin is further from the true one than
/// [`MeshOptions::chord_error`], apexes apart.
///
/// # Errors
///
/// [`SolidError::Develop`] for a curve that leaves the plate; [`SolidError::Tangled`] for lines that
/// cannot be told apart; [`SolidError::Touching`] for openings and steps that touch in one point;
/// [`SolidError::TooManyDepths`].
pub fn mesh_plate(plate: &Plate, options: &MeshOptions) -> Result<PlateMesh, SolidError> {
    let mut left_out = Vec::new();
    let mut chords = Chords::of(options);
    let mut tries = MOST_TRIES;
    loop {
        let made = mesh_with(plate, options, chords, &left_out)?;
        let low = made.mesh.least_height();
        let Some((triangle, _)) = low.filter(|(_, height)| *height < LEAST_HEIGHT_MM) else {
            return Ok(made);
        };
        // A rivet's foot can come so near to a ruling that a triangle between them is too low.
        let rivet = rivet_at(plate, &made.mesh, triangle)
            .filter(|rivet| options.rivets && !left_out.contains(rivet));
        if let Some(rivet) = rivet {
            left_out.push(rivet);
        } else if tries > 0 {
            // Corners of two curves can, too; with other chords they do not.
            chords = chords.finer();
            tries -= 1;
        } else {
            return Ok(made);
        }
    }
}

/// How often a plate is meshed again with finer chords, because a triangle came out too low.
const MOST_TRIES: usize = 6;

/// The rivet whose head stands at a triangle of the mesh.
fn rivet_at(plate: &Plate, mesh: &Mesh, triangle: usize) -> Option<usize> {
    let corner = mesh.positions[mesh.triangles[triangle][0] as usize];
    let corner = geom::Point3::new(corner[0], corner[1], corner[2]);
    (0..plate.rivets.len()).find(|&i| {
        let rivet = &plate.rivets[i];
        let centre = plate.forming.place(rivet.centre).point;
        (centre - corner).norm() <= rivet.head_diameter + plate.sheet.stock_thickness
    })
}

fn mesh_with(
    plate: &Plate,
    options: &MeshOptions,
    chords: Chords,
    left_out: &[usize],
) -> Result<PlateMesh, SolidError> {
    let develop = |cause: DevelopError| SolidError::Develop {
        plate: plate.id.clone(),
        cause,
    };
    let levels = Levels::of(plate)?;
    let mut drawing = Drawing::of_plate(plate, chords, levels.reach()).map_err(develop)?;
    let mut skipped = Vec::new();
    let mut standing = vec![
        None;
        if options.rivets {
            plate.rivets.len()
        } else {
            0
        }
    ];
    if options.rivets {
        add_rivets(plate, &mut drawing, &mut standing, &mut skipped, left_out);
    }
    let flat = FlatMesh::of(&drawing).map_err(|_| SolidError::Tangled {
        name: plate.id.clone(),
    })?;
    let places = places(plate, &drawing, &flat.nodes);
    let depths = levels.depths(plate, &flat);
    let thickening = Thickening {
        flat: &flat,
        places: &places,
        levels: &levels.heights,
        depths: &depths,
    };
    let mut solid = thickening.solid();
    let pinched = thickening.may_pinch();
    skip_unseated(&flat, &standing, &mut skipped);
    add_heads(
        &mut solid,
        &flat,
        |i| depths[i].1,
        &standing,
        &levels.heights,
    );
    if pinched && solid.mesh.closedness().is_err() {
        return Err(SolidError::Touching {
            plate: plate.id.clone(),
        });
    }
    let depths = depths
        .iter()
        .map(|depth| {
            (
                levels.heights[depth.0 as usize],
                levels.heights[depth.1 as usize],
            )
        })
        .collect();
    let stations = drawing.stations.as_ref();
    let rulings = stations.map_or(Vec::new(), |stations| {
        let (corners, rivets) = rulings(plate, stations, &flat);
        solid.spread(&corners, &rivets)
    });
    Ok(PlateMesh {
        rulings,
        stations: stations.map_or(Vec::new(), |stations| stations.w.clone()),
        mesh: solid.mesh,
        skipped_rivets: skipped,
        apex_error: stations.map_or(0.0, |stations| stations.apex_error(levels.reach())),
        apexes: stations.map_or(Vec::new(), |s| {
            s.apexes.iter().map(|apex| apex.point).collect()
        }),
        depths,
        of_heads: solid.of_heads,
        flat,
    })
}

/// Heights over mid-sheet that a plate's metal has.
struct Levels {
    heights: Vec<f64>,
}

impl Levels {
    fn of(plate: &Plate) -> Result<Self, SolidError> {
        let sheet = [plate.sheet.z_low, plate.sheet.z_high];
        let regions = plate.regions.iter().flat_map(|r| [r.z_low, r.z_high]);
        let mut heights: Vec<f64> = sheet.into_iter().chain(regions).collect();
        heights.sort_by(f64::total_cmp);
        // A step that no triangle may be as low as is none.
        heights.dedup_by(|b, a| *b - *a < LEAST_HEIGHT_MM);
        let count = heights.len();
        if count > MOST_LEVELS || heights.iter().any(|h| !h.is_finite()) {
            return Err(SolidError::TooManyDepths {
                plate: plate.id.clone(),
                count,
            });
        }
        Ok(Self { heights })
    }

    /// Greatest distance of metal from mid-sheet (mm).
    fn reach(&self) -> f64 {
        self.heights.iter().fold(0.0, |reach, h| reach.max(h.abs()))
    }

    fn number(&self, height: f64) -> u8 {
        let above = self.heights.partition_point(|&h| h <= height);
        (above.max(1) - 1) as u8
    }

    fn depths(&self, plate: &Plate, flat: &FlatMesh) -> Vec<Depth> {
        let plain = (
            self.number(plate.sheet.z_low),
            self.number(plate.sheet.z_high),
        );
        let own: Vec<Depth> = plate
            .regions
            .iter()
            .map(|region| (self.number(region.z_low), self.number(region.z_high)))
            .collect();
        flat.region
            .iter()
            .map(|&region| own.get(region as usize).copied().unwrap_or(plain))
            .collect()
    }
}

/// Adds the feet of rivet heads that stand clear of every line; the others are skipped.
fn add_rivets(
    plate: &Plate,
    drawing: &mut Drawing<'_>,
    standing: &mut [Option<(Head, Place)>],
    skipped: &mut Vec<usize>,
    left_out: &[usize],
) {
    let clear = clear_heads(plate, drawing);
    for (i, head) in clear.into_iter().enumerate() {
        let head = head.filter(|_| !left_out.contains(&i));
        let corners = head.map(|head| head.corners(plate.rivets[i].centre));
        // A corner that cannot be located lies beyond the plate.
        let added = corners
            .is_some_and(|corners| drawing.add_polygon(Label::Rivet(i as u32), corners).is_ok());
        let centre = located(drawing.stations.as_ref(), plate.rivets[i].centre);
        if let (Some(head), true, Ok(centre)) = (head, added, centre) {
            standing[i] = Some((head, place_of(plate, drawing.stations.as_ref(), &centre)));
        } else {
            skipped.push(i);
        }
    }
}

fn clear_heads(plate: &Plate, drawing: &Drawing<'_>) -> Vec<Option<Head>> {
    let centres: Vec<FlatPoint> = plate.rivets.iter().map(|rivet| rivet.centre).collect();
    let finite = |p: &FlatPoint| p.x.is_finite() && p.y.is_finite();
    let mut heads: Vec<Option<Head>> = plate
        .rivets
        .iter()
        .map(|rivet| Head::of(rivet).filter(|_| finite(&rivet.centre)))
        .collect();
    let widest = heads
        .iter()
        .flatten()
        .fold(0.0f64, |widest, head| widest.max(head.foot));
    let box_of = centres
        .iter()
        .filter(|p| finite(p))
        .fold(None, |bounds, p| match bounds {
            None => Some((*p, *p)),
            Some((low, high)) => Some((
                FlatPoint::new(p.x.min(low.x), p.y.min(low.y)),
                FlatPoint::new(p.x.max(high.x), p.y.max(high.y)),
            )),
        });
    let Some((low, high)) = box_of else {
        return heads;
    };
    let mut grid = Grid::over(low, high, centres.len(), widest.max(SNAP_MM));
    for (i, centre) in centres.iter().enumerate() {
        let Some(head) = heads[i] else {
            grid.add(low);
            continue;
        };
        let mut free = true;
        grid.near_line(
            *centre,
            *centre,
            head.foot + widest + 2.0 * SNAP_MM,
            |other, _, distance| {
                let other = other as usize;
                free &= heads[other].is_none_or(|own| {
                    stand_apart((&head, *centre), (&own, centres[other]), distance)
                });
            },
        );
        if !free {
            heads[i] = None;
        }
        grid.add(*centre);
    }
    for (_, nodes) in &drawing.loops {
        for (k, node) in nodes.iter().enumerate() {
            let line = [node.point, nodes[(k + 1) % nodes.len()].point];
            grid.near_line(
                line[0],
                line[1],
                widest + 2.0 * SNAP_MM,
                |i, _, distance| {
                    let i = i as usize;
                    if heads[i].is_some_and(|head| meets(&head, centres[i], distance, line)) {
                        heads[i] = None;
                    }
                },
            );
        }
    }
    heads
}

/// True if two feet, their centres `distance` apart, do not meet.
fn stand_apart(a: (&Head, FlatPoint), b: (&Head, FlatPoint), distance: f64) -> bool {
    if distance > a.0.foot + b.0.foot + 2.0 * SNAP_MM {
        return true;
    }
    let corners = b.0.corners(b.1);
    (0..6).all(|i| {
        let line = [corners[i], corners[(i + 1) % 6]];
        let off = geom::Segment::line(line[0], line[1]).nearest(a.1).1;
        !meets(a.0, a.1, off, line)
    })
}

/// True if a line at `distance` from the centre of a foot comes within the snap distance of it.
fn meets(head: &Head, centre: FlatPoint, distance: f64, line: [FlatPoint; 2]) -> bool {
    if distance > head.foot + 2.0 * SNAP_MM {
        return false;
    }
    let corners = head.corners(centre);
    let side = |a: FlatPoint, b: FlatPoint| geom::Segment::line(a, b);
    (0..6).any(|i| {
        let (a, b) = (corners[i], corners[(i + 1) % 6]);
        let near = |segment: geom::Segment, p: FlatPoint| segment.nearest(p).1 < 2.0 * SNAP_MM;
        super::noding::crossing_of([a, b], line).is_some()
            || line.iter().any(|&p| near(side(a, b), p))
            || [a, b].iter().any(|&p| near(side(line[0], line[1]), p))
    }) || distance < head.foot / 2.0
}

/// Where each corner of the flat stands in space.
fn places(plate: &Plate, drawing: &Drawing<'_>, nodes: &[Node]) -> Vec<Place> {
    let stations = drawing.stations.as_ref();
    nodes
        .iter()
        .map(|node| place_of(plate, stations, node))
        .collect()
}

fn place_of(plate: &Plate, stations: Option<&Stations<'_>>, node: &Node) -> Place {
    match (node.at, stations) {
        (At::Station(station, v), Some(stations)) => stations.place(station as usize, v),
        (At::Between(at), Some(stations)) => stations.loft.formed(at),
        _ => plate.forming.place(node.point),
    }
}

/// The ruling that each corner of the flat moves with while the plate is formed, and each rivet.
///
/// The foot of a head moves with the rivet's centre, so that the head stays whole.
fn rulings(plate: &Plate, stations: &Stations<'_>, flat: &FlatMesh) -> (Vec<f64>, Vec<f64>) {
    let of_node = |node: &Node| match node.at {
        At::Station(station, _) => stations.w[station as usize],
        At::Between(at) => at.w,
        At::Flat => stations.loft.locate(node.point).w,
    };
    let mut corners: Vec<f64> = flat.nodes.iter().map(of_node).collect();
    let rivets: Vec<f64> = plate
        .rivets
        .iter()
        .map(|rivet| located(Some(stations), rivet.centre).map_or(0.0, |node| of_node(&node)))
        .collect();
    for (triangle, &rivet) in flat.triangles.iter().zip(&flat.rivet) {
        if let Some(&own) = rivets.get(rivet as usize) {
            for &corner in triangle {
                corners[corner as usize] = own;
            }
        }
    }
    (corners, rivets)
}

/// Notes the rivets whose foot turned out not to be in the metal.
fn skip_unseated(flat: &FlatMesh, standing: &[Option<(Head, Place)>], skipped: &mut Vec<usize>) {
    let mut in_metal = vec![false; standing.len()];
    for &rivet in flat.rivet.iter().filter(|&&rivet| rivet != NONE) {
        if let Some(own) = in_metal.get_mut(rivet as usize) {
            *own = true;
        }
    }
    skipped.extend((0..standing.len()).filter(|&i| standing[i].is_some() && !in_metal[i]));
    skipped.sort_unstable();
}

impl PlateMesh {
    /// Greatest distance of the outer skin's triangles from the true outer skin (mm), measured along
    /// its normal at seven points of each triangle; apexes are told apart by [`PlateMesh::apex_error`].
    ///
    /// This takes much longer than meshing.
    pub fn measure_chord_error(&self, plate: &Plate) -> f64 {
        let mut greatest: f64 = 0.0;
        let mut strips = vec![None; self.flat.nodes.len()];
        for (triangle, &(_, outer)) in self.flat.triangles.iter().zip(&self.depths) {
            let flat = triangle.map(|corner| self.flat.nodes[corner as usize].point);
            if flat.iter().any(|p| self.is_apex(*p)) {
                continue;
            }
            let skin = triangle.map(|corner| {
                strips[corner as usize]
                    .get_or_insert_with(|| self.place_of(plate, corner))
                    .at_height(outer)
            });
            for share in SAMPLES {
                let point = FlatPoint::from(
                    flat[0].coords * share[0]
                        + flat[1].coords * share[1]
                        + flat[2].coords * share[2],
                );
                let mesh = skin[0].coords * share[0]
                    + skin[1].coords * share[1]
                    + skin[2].coords * share[2];
                let place = plate.forming.place(point);
                let off = (place.at_height(outer).coords - mesh).dot(&place.normal);
                greatest = greatest.max(off.abs());
            }
        }
        greatest
    }

    /// What each triangle of the mesh is part of, in their order.
    pub fn faces(&self) -> Vec<PlateFace> {
        let mut faces = Vec::with_capacity(self.mesh.triangles.len());
        for (&rivet, &(inner, outer)) in self.flat.rivet.iter().zip(&self.depths) {
            if rivet == NONE {
                faces.push(PlateFace::Outside { height: outer });
            }
            faces.push(PlateFace::Inside { height: inner });
        }
        let corners = self.mesh.positions.len() - self.of_heads.len();
        // Walls follow the skins, heads the walls; a triangle of a head has its ring or top.
        for triangle in &self.mesh.triangles[faces.len()..] {
            let own = triangle.iter().find(|&&at| at as usize >= corners);
            faces.push(own.map_or(PlateFace::Edge, |&at| PlateFace::Rivet {
                number: self.of_heads[at as usize - corners] as usize,
            }));
        }
        faces
    }

    /// Strips of the plate that stay rigid while it is formed; `None` for a plate that stays flat.
    pub fn strips(&self, plate: &Plate) -> Option<Strips> {
        let loft = plate.forming.loft()?;
        Some(Strips::of(loft, &self.stations, &self.rulings))
    }

    /// The ruling of each position of the mesh as a coordinate on the loft of a rolled plate; corners and
    /// heads of a rivet are on the ruling of its centre. Empty for a plate that stays flat.
    pub fn rulings(&self) -> &[f64] {
        &self.rulings
    }

    fn is_apex(&self, point: FlatPoint) -> bool {
        self.apexes
            .iter()
            .any(|apex| (apex - point).norm() < SNAP_MM)
    }

    fn place_of(&self, plate: &Plate, corner: u32) -> Place {
        let node = &self.flat.nodes[corner as usize];
        match (node.at, plate.forming.loft()) {
            (At::Between(at), Some(loft)) => loft.formed(at),
            _ => plate.forming.place(node.point),
        }
    }
}

/// Shares of a triangle's corners at which its distance is measured.
const SAMPLES: [[f64; 3]; 7] = [
    [1.0 / 3.0, 1.0 / 3.0, 1.0 / 3.0],
    [0.5, 0.5, 0.0],
    [0.0, 0.5, 0.5],
    [0.5, 0.0, 0.5],
    [0.5, 0.25, 0.25],
    [0.25, 0.5, 0.25],
    [0.25, 0.25, 0.5],
];
