//! A model on the bench: read, built, and every product of it made on demand.
//!
//! The command line and the server both work through this; it makes no geometry of its own. The same
//! model gives the same bytes, on any number of threads.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use artwork::{FlatDrawing, SideFile};
use axum::body::Bytes;
use body::{Body, Finding, FormerBlock, Model, ModelError, Overrides, Plate, SheetPaper};
use check::built::{BuiltReport, Readings, ReadingsKind};
use check::running::{Balance, Vehicle};
use check::{ArtworkReport, Difference, DrawingWords, ModelState};
use export::{
    DimensionsJson, ExportError, FeaturesJson, FlatJson, GlbNode, MeshFacts, PartMesh, PlateJson,
    Report, ReportHead,
};
use rayon::prelude::*;
use solid::{Mesh, MeshOptions, PlateMesh};

use crate::WorkError;
use crate::jigs::{self, JigCell, Jigs};
use crate::marks::{Marks, marks_of};
use crate::part_cells::{PartCells, PartCounts};

/// A body with everything that can be made from it.
#[derive(Debug)]
pub struct Workshop {
    name: String,
    model: Model,
    body: Body,
    marks: Marks,
    cells: PartCells,
    previews: [OnceLock<Result<Bytes, WorkError>>; 2],
    findings: OnceLock<Vec<Finding>>,
    plate_views: OnceLock<Result<Vec<PlateJson>, WorkError>>,
    fret: OnceLock<Result<artwork::Fret, WorkError>>,
    jigs: Vec<JigCell>,
    arrangement: OnceLock<Result<export::ArrangementViews, WorkError>>,
    /// Sizes of the files of a build that have been made, by group and name.
    sizes: Mutex<BTreeMap<String, u64>>,
    vehicle: OnceLock<Result<Vehicle, WorkError>>,
    balance: OnceLock<Result<Balance, WorkError>>,
}

/// Meshes of all parts, in the order of the body.
#[derive(Clone, Debug)]
pub struct PartMeshes {
    /// Of the plates.
    pub plates: Vec<Arc<PlateMesh>>,
    /// Of the fittings.
    pub fittings: Vec<Arc<Mesh>>,
}

impl Workshop {
    /// Reads and builds a model. `name` is the file's name without its ending, `file` what messages call it.
    ///
    /// # Errors
    ///
    /// [`WorkError::Model`] for a file that cannot be read or a shape that cannot be.
    pub fn open(
        name: &str,
        file: &str,
        bytes: &[u8],
        overrides: &Overrides,
    ) -> Result<Self, WorkError> {
        Self::open_beside(name, file, bytes, overrides, |_| None)
    }

    /// As [`Workshop::open`]; `read` gives the files beside the model file that hold its own plates.
    ///
    /// # Errors
    ///
    /// As [`Workshop::open`].
    pub fn open_beside(
        name: &str,
        file: &str,
        bytes: &[u8],
        overrides: &Overrides,
        read: impl Fn(&str) -> Option<Vec<u8>>,
    ) -> Result<Self, WorkError> {
        let model = Model::read(file, bytes, overrides)?;
        Ok(Self::build_beside(name, model, read)?)
    }

    /// Builds a model that has been read.
    ///
    /// # Errors
    ///
    /// A [`ModelError`] at the key that asks for an impossible shape.
    pub fn build(name: &str, model: Model) -> Result<Self, ModelError> {
        Self::build_beside(name, model, |_| None)
    }

    /// As [`Workshop::build`]; `read` gives the files beside the model file that hold its own plates.
    ///
    /// # Errors
    ///
    /// As [`Workshop::build`].
    pub fn build_beside(
        name: &str,
        model: Model,
        read: impl Fn(&str) -> Option<Vec<u8>>,
    ) -> Result<Self, ModelError> {
        let mut body = body::build(&model)?;
        check::adopt_own_plates(&model, &mut body, read)?;
        Ok(Self {
            name: name.to_owned(),
            model,
            marks: Marks::new(),
            cells: PartCells::of(&body),
            body,
            previews: [OnceLock::new(), OnceLock::new()],
            findings: OnceLock::new(),
            plate_views: OnceLock::new(),
            fret: OnceLock::new(),
            jigs: jigs::cells(),
            arrangement: OnceLock::new(),
            sizes: Mutex::default(),
            vehicle: OnceLock::new(),
            balance: OnceLock::new(),
        })
    }

    /// The file's name without its ending.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The model as read.
    pub fn model(&self) -> &Model {
        &self.model
    }

    /// The body.
    pub fn body(&self) -> &Body {
        &self.body
    }

    /// The same with its parts marked: as in the first of `others` in which a part is the same, else with `own`. What
    /// has been made of a part that is the same is taken over.
    pub(crate) fn marked(
        mut self,
        own: &str,
        others: &[Arc<Self>],
        counts: &Arc<PartCounts>,
    ) -> Self {
        let known: Vec<_> = others
            .iter()
            .map(|other| (&other.body, &other.marks))
            .collect();
        self.marks = marks_of(&self.body, own, &known);
        let known: Vec<_> = others
            .iter()
            .map(|other| (&other.body, &other.marks, &other.cells))
            .collect();
        self.cells.share((&self.body, &self.marks), &known, counts);
        self
    }

    /// Marks of the parts; none in a workshop that stands on no shelf.
    pub(crate) fn marks(&self) -> &Marks {
        &self.marks
    }

    /// Some parts of the body as a GLB; `still` leaves out what forms them and draws them apart. Names that no part
    /// has are passed over.
    ///
    /// # Errors
    ///
    /// As [`Workshop::meshes`] and [`Workshop::glb`]; [`WorkError::Export`] also if no part has any of the names.
    pub(crate) fn parts_glb(
        &self,
        ids: &[String],
        rivets: bool,
        still: bool,
    ) -> Result<Vec<u8>, WorkError> {
        let asked = |(number, id): (usize, &String)| ids.contains(id).then_some(number);
        let plates = self.body.plates.iter().map(|own| &own.id);
        let plates: Vec<usize> = plates.enumerate().filter_map(asked).collect();
        let fittings = self.body.fittings.iter().map(|own| &own.id);
        let fittings: Vec<usize> = fittings.enumerate().filter_map(asked).collect();
        let rolled = in_order(&plates, |i| self.cells.plate(&self.body, *i, rivets))?;
        let turned = in_order(&fittings, |i| self.cells.fitting(&self.body, *i))?;
        let plates = plates.iter().map(|i| &self.body.plates[*i]).zip(&rolled);
        let fittings = fittings
            .iter()
            .map(|i| &self.body.fittings[*i])
            .zip(&turned);
        if still {
            let nodes: Result<Vec<GlbNode>, _> = plates
                .map(|(plate, mesh)| GlbNode::of_plate(plate, &mesh.mesh))
                .chain(fittings.map(|(fitting, mesh)| GlbNode::of_fitting(fitting, mesh)))
                .collect();
            return Ok(export::glb_of_nodes(&nodes?)?);
        }
        let by_name: BTreeMap<&str, PartMesh<'_>> = plates
            .map(|(plate, mesh)| (plate.id.as_str(), PartMesh::Plate(mesh)))
            .chain(fittings.map(|(own, mesh)| (own.id.as_str(), PartMesh::Solid(mesh))))
            .collect();
        Ok(export::glb_of(&self.body, |id| by_name.get(id).copied())?)
    }

    /// The plate of a name.
    ///
    /// # Errors
    ///
    /// [`WorkError::NoPlate`], with the nearest name there is.
    pub fn plate(&self, id: &str) -> Result<&Plate, WorkError> {
        self.body.plate(id).ok_or_else(|| WorkError::NoPlate {
            plate: id.to_owned(),
            near: nearest(id, self.body.plates.iter().map(|plate| plate.id.as_str())),
        })
    }

    /// Meshes of all parts, one part a task; each made once, then kept.
    ///
    /// # Errors
    ///
    /// [`WorkError::Solid`] of the first part, in the order of the body, that has no solid.
    pub fn meshes(&self, rivets: bool) -> Result<PartMeshes, WorkError> {
        let plates: Vec<usize> = (0..self.body.plates.len()).collect();
        let fittings: Vec<usize> = (0..self.body.fittings.len()).collect();
        Ok(PartMeshes {
            plates: in_order(&plates, |i| self.cells.plate(&self.body, *i, rivets))?,
            fittings: in_order(&fittings, |i| self.cells.fitting(&self.body, *i))?,
        })
    }

    /// The body as a GLB, from its meshes.
    ///
    /// # Errors
    ///
    /// [`WorkError::Export`] for a mesh that cannot be written.
    pub fn glb(&self, meshes: &PartMeshes) -> Result<Vec<u8>, WorkError> {
        let plates = self.body.plates.iter().zip(&meshes.plates);
        let fittings = self.body.fittings.iter().zip(&meshes.fittings);
        let by_name: BTreeMap<&str, PartMesh<'_>> = plates
            .map(|(plate, mesh)| (plate.id.as_str(), PartMesh::Plate(mesh)))
            .chain(fittings.map(|(fitting, mesh)| (fitting.id.as_str(), PartMesh::Solid(mesh))))
            .collect();
        Ok(export::glb_of(&self.body, |id| by_name.get(id).copied())?)
    }

    /// The body as a GLB; made once, then kept.
    ///
    /// # Errors
    ///
    /// As [`Workshop::meshes`] and [`Workshop::glb`].
    pub fn preview(&self, rivets: bool) -> Result<Bytes, WorkError> {
        self.previews[usize::from(rivets)]
            .get_or_init(|| Ok(self.glb(&self.meshes(rivets)?)?.into()))
            .clone()
    }

    /// The mesh of a plate; made once, then kept.
    fn mesh_of(&self, plate: &Plate, rivets: bool) -> Result<Arc<PlateMesh>, WorkError> {
        let number = self.body.plates.iter().position(|own| own.id == plate.id);
        let number = number.expect("the plate is of this body");
        Ok(self.cells.plate(&self.body, number, rivets)?)
    }

    /// The flat of a plate in lines and arcs.
    ///
    /// # Errors
    ///
    /// [`WorkError::NoPlate`], and [`WorkError::Flat`] for a flat that cannot be drawn.
    pub fn flat(&self, plate: &str) -> Result<FlatDrawing, WorkError> {
        Ok(FlatDrawing::of(self.plate(plate)?)?)
    }

    /// The views of the general arrangement; drawn once, then kept.
    pub(crate) fn arrangement_views(&self) -> Result<&export::ArrangementViews, WorkError> {
        self.arrangement
            .get_or_init(|| self.draw_arrangement())
            .as_ref()
            .map_err(Clone::clone)
    }

    /// Axles, trucks and solids of the engine, ready to be led over tracks; made once, then kept.
    ///
    /// # Errors
    ///
    /// [`WorkError::Solid`] for a plate or fitting that has no solid.
    pub fn vehicle(&self) -> Result<&Vehicle, WorkError> {
        self.vehicle
            .get_or_init(|| Ok(Vehicle::of(&self.model, &self.body)?))
            .as_ref()
            .map_err(Clone::clone)
    }

    /// What the model weighs and where; weighed once, then kept.
    ///
    /// # Errors
    ///
    /// [`WorkError::Solid`] for a plate or fitting that has no solid.
    pub fn balance(&self) -> Result<&Balance, WorkError> {
        self.balance
            .get_or_init(|| Ok(Balance::of(&self.model, &self.body)?))
            .as_ref()
            .map_err(Clone::clone)
    }

    /// All plates laid out on sheets to be etched; laid out once, then kept.
    ///
    /// # Errors
    ///
    /// [`WorkError::Flat`] for a flat that cannot be drawn.
    pub fn fret(&self) -> Result<artwork::Fret, WorkError> {
        self.fret.get_or_init(|| self.lay_out()).clone()
    }

    fn lay_out(&self) -> Result<artwork::Fret, WorkError> {
        let drawings = in_order(&self.body.plates, FlatDrawing::of)?;
        let mut plates = artwork::FretPlate::of(&self.body, drawings);
        let count = plates.len();
        plates.extend(artwork::FretPlate::on_waste(self.templates()?, count));
        let title = artwork::FretTitle {
            engine: &self.model.title,
            scale: self.model.scale.word(),
        };
        let process = self.model.metal.process;
        Ok(artwork::lay_out(&plates, &self.model.fret, process, title))
    }

    /// Text of the JSON of a flat.
    pub fn flat_json(&self, flat: &FlatDrawing) -> String {
        FlatJson::of(flat, self.model.scale.word()).to_text()
    }

    /// What can be pointed at on a plate, flat and formed.
    ///
    /// # Errors
    ///
    /// [`WorkError::NoPlate`], [`WorkError::Export`].
    pub fn features(&self, plate: &str) -> Result<FeaturesJson, WorkError> {
        Ok(FeaturesJson::of(self.plate(plate)?)?)
    }

    /// The formed plate alone as a GLB.
    ///
    /// # Errors
    ///
    /// [`WorkError::NoPlate`], [`WorkError::Solid`], [`WorkError::Export`].
    pub fn formed_glb(&self, plate: &str, rivets: bool) -> Result<Vec<u8>, WorkError> {
        let plate = self.plate(plate)?;
        let mesh = self.mesh_of(plate, rivets)?;
        let node = GlbNode::of_plate(plate, &mesh.mesh)?;
        Ok(export::glb_of_nodes(&[node])?)
    }

    /// The formed plate as an STL.
    ///
    /// # Errors
    ///
    /// [`WorkError::NoPlate`], [`WorkError::Solid`], [`WorkError::Export`].
    pub fn formed_stl(&self, plate: &str, rivets: bool) -> Result<Vec<u8>, WorkError> {
        let mesh = self.mesh_of(self.plate(plate)?, rivets)?;
        Ok(export::stl_of(plate, &mesh.mesh)?)
    }

    /// A block that a wrapper is soldered up on, whole and in its place in the body, as an STL.
    ///
    /// # Errors
    ///
    /// [`WorkError::Solid`], [`WorkError::Export`].
    pub fn block_stl(&self, block: &FormerBlock) -> Result<Vec<u8>, WorkError> {
        let mesh = solid::block_mesh(block, MeshOptions::default().chord_error)?;
        Ok(export::stl_of(&block.id, &mesh)?)
    }

    /// The jigs of the engine, each made once, when it is asked for, then kept.
    pub fn jigs(&self) -> Jigs<'_> {
        Jigs {
            model: &self.model,
            body: &self.body,
            cells: &self.jigs,
        }
    }

    /// Flats of the templates that may be etched on the waste of the fret.
    ///
    /// # Errors
    ///
    /// [`WorkError::Flat`] for a flat that cannot be drawn.
    pub fn templates(&self) -> Result<Vec<FlatDrawing>, WorkError> {
        in_order(
            &solid::etched_templates(&self.model, &self.body),
            FlatDrawing::of,
        )
    }

    /// Everything that the body itself breaks: found while building, at its joints, and by its etch rules.
    pub fn findings(&self) -> &[Finding] {
        self.findings
            .get_or_init(|| check::check_body(&self.body, self.model.metal.process))
    }

    /// Size of a file of a build, if it has been made.
    pub(crate) fn size_of(&self, group: &str, file: &str) -> Option<u64> {
        let sizes = self.sizes.lock().unwrap_or_else(PoisonError::into_inner);
        sizes.get(&format!("{group}/{file}")).copied()
    }

    pub(crate) fn note_size(&self, group: &str, file: &str, bytes: u64) {
        let mut sizes = self.sizes.lock().unwrap_or_else(PoisonError::into_inner);
        sizes.insert(format!("{group}/{file}"), bytes);
    }

    /// What is known of each plate, in the order of the body; measured once, then kept.
    ///
    /// # Errors
    ///
    /// [`WorkError::Export`] for a plate that cannot be measured.
    pub fn plate_views(&self) -> Result<&[PlateJson], WorkError> {
        self.plate_views
            .get_or_init(|| in_order(&self.body.plates, |plate| PlateJson::of(plate, None)))
            .as_deref()
            .map_err(Clone::clone)
    }

    /// Holds drawn artwork (DXF or SVG) against the body. `name` is what messages call the drawing;
    /// its side file says what it does not say itself.
    ///
    /// # Errors
    ///
    /// [`WorkError::SideFile`] and [`WorkError::Drawing`] for what cannot be read, [`WorkError::Check`]
    /// for a check that cannot be made.
    pub fn artwork_check(
        &self,
        drawing: &[u8],
        name: &str,
        side_file: Option<&[u8]>,
    ) -> Result<ArtworkReport, WorkError> {
        let side = match side_file {
            Some(text) => SideFile::read(&SideFile::name_of(name), text)
                .map_err(|error| WorkError::SideFile(Box::new(error)))?,
            None => SideFile::default(),
        };
        let drawing = artwork::read_artwork(drawing, name, &side)
            .map_err(|cause| WorkError::Drawing { cause })?;
        let words = DrawingWords {
            engine: self.model.title.clone(),
            scale: self.model.scale.word().to_owned(),
            mm_per_foot: self.model.scale.mm_per_foot(),
        };
        Ok(check::check_artwork(
            &self.body,
            &drawing,
            &words,
            self.model.metal.process,
        )?)
    }

    /// The places at which the finished model is measured.
    pub fn measuring_points(&self) -> Vec<body::MeasuringPoint> {
        body::measuring_points(&self.model, &self.body)
    }

    /// Holds readings of the finished model against its drawing. `file` is what messages call them.
    ///
    /// # Errors
    ///
    /// [`WorkError::Readings`] for what cannot be read, each fault with line and column.
    pub fn built_check(
        &self,
        bytes: &[u8],
        file: &str,
        kind: ReadingsKind,
    ) -> Result<BuiltReport, WorkError> {
        let points = self.measuring_points();
        let readings = Readings::read(file, bytes, kind, &points)
            .map_err(|error| WorkError::Readings(Box::new(error)))?;
        Ok(check::built::compare_built(&self.model, points, &readings))
    }

    /// A comparison with readings on paper, the model's own unless another is asked for.
    ///
    /// # Errors
    ///
    /// [`WorkError::Export`] if the pages cannot be written.
    pub fn built_pdf(
        &self,
        report: &BuiltReport,
        paper: Option<SheetPaper>,
    ) -> Result<Vec<u8>, WorkError> {
        let order = body::Order::of(&self.body);
        let source = export::SheetSource {
            model: &self.model,
            body: &self.body,
            order: &order,
        };
        let paper = paper.unwrap_or(self.model.sheets.paper);
        Ok(export::built_pdf(source, report, paper)?)
    }

    /// What differs from an earlier state of the model, or from another model.
    ///
    /// # Errors
    ///
    /// [`WorkError::Check`] for a plate that has no flat.
    pub fn difference_from(&self, before: &Self) -> Result<Difference, WorkError> {
        Ok(check::difference(&before.state(), &self.state())?)
    }

    fn state(&self) -> ModelState<'_> {
        ModelState {
            model: &self.model,
            body: &self.body,
            findings: self.findings(),
        }
    }

    /// The lengths that the model is made from and those that follow from them.
    pub fn dimensions(&self) -> DimensionsJson {
        DimensionsJson::of(&self.model, &self.body)
    }

    /// Measured facts of the plates' meshes, in the order of the body. This takes longer than meshing.
    ///
    /// # Errors
    ///
    /// [`WorkError::Export`] for a plate that cannot be measured.
    pub fn facts(
        &self,
        meshes: &[Arc<PlateMesh>],
        rivets: bool,
    ) -> Result<Vec<MeshFacts>, WorkError> {
        let pairs: Vec<(&Plate, &Arc<PlateMesh>)> = self.body.plates.iter().zip(meshes).collect();
        in_order(&pairs, |(plate, mesh)| {
            let skipped = mesh.skipped_rivets.iter().filter(|_| rivets);
            let missing: f64 = skipped.map(|i| plate.rivets[*i].volume()).sum();
            let expected = plate
                .expected_volume(rivets)
                .map_err(|cause| ExportError::Develop {
                    plate: plate.id.clone(),
                    cause,
                })?;
            Ok::<_, WorkError>(MeshFacts::new(
                mesh.mesh.triangles.len(),
                mesh.mesh.volume(),
                expected - missing,
                mesh.measure_chord_error(plate),
            ))
        })
    }

    /// The report, without timings.
    ///
    /// # Errors
    ///
    /// [`WorkError::Export`] for a plate that cannot be measured.
    pub fn report(&self, facts: &[MeshFacts]) -> Result<Report, WorkError> {
        let head = ReportHead {
            model: self.name.clone(),
            title: self.model.title.clone(),
            scale: self.model.scale.word().to_owned(),
            mm_per_foot: self.model.scale.mm_per_foot(),
            wheels: self.model.wheels.word().to_owned(),
            variant: self.model.variant.clone(),
        };
        let facts_of = |id: &str| {
            let at = self.body.plates.iter().position(|plate| plate.id == id)?;
            facts.get(at).copied()
        };
        let report = Report::of(head, &self.body, self.findings(), facts_of)?;
        Ok(report.with_dimensions(self.dimensions()))
    }
}

/// One task an item; results and the error that is reported follow the items' order, not the threads'.
pub(crate) fn in_order<T: Sync, R: Send, E: Into<WorkError> + Send>(
    items: &[T],
    make: impl Fn(&T) -> Result<R, E> + Sync + Send,
) -> Result<Vec<R>, WorkError> {
    let made: Vec<Result<R, E>> = items.par_iter().map(make).collect();
    made.into_iter()
        .map(|result| result.map_err(Into::into))
        .collect()
}

/// The name most like the one asked for, if any is like it at all.
#[must_use]
pub fn nearest<'n>(asked: &str, names: impl Iterator<Item = &'n str>) -> Option<String> {
    names
        .map(|name| (strsim::jaro_winkler(asked, name), name))
        .filter(|(likeness, _)| *likeness > 0.75)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, name)| name.to_owned())
}
