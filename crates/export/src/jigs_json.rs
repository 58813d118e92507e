//! Formers and jigs as JSON: what they do and what their pieces measure.

use body::PrintSpec;
use serde::Serialize;
use solid::{FormedBend, FormedSheet, Jig, JigPiece};

use crate::{millimetres, rounded};

/// A piece of a jig.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct JigPieceJson {
    /// Its name.
    pub name: String,
    /// Number of triangles.
    pub triangles: usize,
    /// Number of solids that it is.
    pub solids: usize,
    /// Volume as it should come out of the printer.
    pub volume_mm3: f64,
    /// Size as it should come out of the printer, on the bed.
    pub size_mm: [f64; 3],
    /// Volume of the blank before holes and letters were cut: by its mesh, and in closed form or by quadrature.
    pub blank_volume_mm3: Option<[f64; 2]>,
    /// Where the bed's origin and its three axes lie in the body.
    pub to_body: Option<[[f64; 3]; 4]>,
}

/// A bend and the tool that leaves it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FormedBendJson {
    /// Number of the piece of the section, in order of travel.
    pub piece: usize,
    /// Inside radius wanted.
    pub wanted_radius_mm: f64,
    /// Angle wanted, below zero where the outside is convex.
    pub wanted_angle_deg: f64,
    /// Radius of the tool.
    pub tool_radius_mm: f64,
    /// Angle bent round the tool.
    pub tool_angle_deg: f64,
    /// True if the tool keeps the wanted curve and the bend is made by hand.
    pub by_hand: bool,
}

/// A plate that a tool forms, and its bends in front.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FormedSheetJson {
    /// The plate.
    pub plate: String,
    /// Thickness where it bends.
    pub thickness_mm: f64,
    /// Yield stress.
    pub yield_mpa: f64,
    /// Modulus of elasticity.
    pub elasticity_mpa: f64,
    /// Its bends.
    pub bends: Vec<FormedBendJson>,
}

impl From<&FormedSheet> for FormedSheetJson {
    fn from(sheet: &FormedSheet) -> Self {
        Self {
            plate: sheet.plate.clone(),
            thickness_mm: millimetres(sheet.thickness),
            yield_mpa: sheet.yield_stress,
            elasticity_mpa: sheet.elasticity,
            bends: sheet.bends.iter().map(FormedBendJson::from).collect(),
        }
    }
}

impl From<&FormedBend> for FormedBendJson {
    fn from(bend: &FormedBend) -> Self {
        let degrees = |angle: f64| rounded(angle.to_degrees(), 6);
        Self {
            piece: bend.piece,
            wanted_radius_mm: millimetres(bend.wanted_radius),
            wanted_angle_deg: degrees(bend.wanted_angle),
            tool_radius_mm: millimetres(bend.tool_radius),
            tool_angle_deg: degrees(bend.tool_angle),
            by_hand: bend.by_hand,
        }
    }
}

/// A former or jig.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct JigJson {
    /// Its name.
    pub id: String,
    /// Its name on a sheet.
    pub title: String,
    /// What it does.
    pub says: String,
    /// How it is used and what to mind.
    pub use_it: String,
    /// What it is printed as.
    pub pieces: Vec<JigPieceJson>,
    /// Figures and reservations.
    pub notes: Vec<String>,
    /// Plates that it forms, with their bends.
    pub forming: Vec<FormedSheetJson>,
}

/// The printer that jigs are made for.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PrintJson {
    /// `filament` or `resin`.
    pub process: String,
    /// What is sent to the printer is so many times as large as what should come out.
    pub printed_scale: f64,
    /// Width, depth and height that can be printed.
    pub bed_mm: [f64; 3],
    /// Least wall.
    pub least_wall_mm: f64,
    /// Advice on heat.
    pub heat: String,
}

impl From<&PrintSpec> for PrintJson {
    fn from(print: &PrintSpec) -> Self {
        Self {
            process: print.process.to_owned(),
            printed_scale: 1.0 + print.shrinkage,
            bed_mm: print.bed,
            least_wall_mm: print.least_wall,
            heat: print.heat.to_owned(),
        }
    }
}

impl From<&Jig> for JigJson {
    fn from(jig: &Jig) -> Self {
        Self {
            id: jig.id.to_owned(),
            title: jig.title.to_owned(),
            says: jig.says.to_owned(),
            use_it: jig.use_it.to_owned(),
            pieces: jig.pieces.iter().map(JigPieceJson::from).collect(),
            notes: jig.notes.clone(),
            forming: jig.forming.iter().map(FormedSheetJson::from).collect(),
        }
    }
}

impl From<&JigPiece> for JigPieceJson {
    fn from(piece: &JigPiece) -> Self {
        let (low, high) = piece.mesh.bounds();
        Self {
            name: piece.name.clone(),
            triangles: piece.mesh.triangles.len(),
            solids: piece.solids,
            volume_mm3: millimetres(piece.mesh.volume()),
            size_mm: std::array::from_fn(|i| millimetres(high[i] - low[i])),
            blank_volume_mm3: piece.blank.map(|(a, b)| [millimetres(a), millimetres(b)]),
            to_body: piece.to_body.map(|frame| {
                let o = frame.origin;
                let place = [o.x, o.y, o.z].map(millimetres);
                let axis = |v: geom::Vector3| [v.x, v.y, v.z];
                [place, axis(frame.x), axis(frame.y), axis(frame.z)]
            }),
        }
    }
}
