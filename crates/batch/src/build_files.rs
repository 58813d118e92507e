//! Everything that a build writes, by the part of the build that makes it.

use body::{Finding, Plate, SheetPaper};
use export::Report;
use rayon::prelude::*;
use serde_json::json;
use server::{PartMeshes, WorkError, Workshop, is_former};
use solid::{SolidError, StepSolid};

use crate::{OutputFile, Timings};

/// A part of a build that can be asked for alone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Group {
    /// `preview.glb`.
    Preview,
    /// `flats/`.
    Flats,
    /// `fret/`; only with it is known what is found while the sheets are laid out.
    Fret,
    /// `sheets/`.
    Sheets,
    /// `formed/` and `formers/`.
    Formed,
    /// `solids/`.
    Solids,
    /// `flat-solids/`.
    FlatSolids,
    /// `body.step`.
    BodyStep,
    /// `jigs/`.
    Jigs,
    /// `report.json`; it lists the jigs, which are made for it.
    Report,
}

impl Group {
    /// All, in the order in which they are made.
    pub const ALL: [Self; 10] = [
        Self::Preview,
        Self::Flats,
        Self::Fret,
        Self::Sheets,
        Self::Formed,
        Self::Solids,
        Self::FlatSolids,
        Self::BodyStep,
        Self::Jigs,
        Self::Report,
    ];

    /// The word used on the command line and in timings.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Preview => "preview",
            Self::Flats => "flats",
            Self::Fret => "fret",
            Self::Sheets => "sheets",
            Self::Formed => "formed",
            Self::Solids => "solids",
            Self::FlatSolids => "flat-solids",
            Self::BodyStep => "body.step",
            Self::Jigs => "jigs",
            Self::Report => "report",
        }
    }
}

/// Which files are wanted, and how.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wanted {
    /// The parts of the build, in any order.
    pub groups: Vec<Group>,
    /// Rivet heads on preview and formed plates.
    pub rivets: bool,
    /// Rivet heads on the exact solids.
    pub riveted_solids: bool,
    /// Paper of the sheets for the builder, if not the file's own.
    pub paper: Option<SheetPaper>,
}

impl Default for Wanted {
    fn default() -> Self {
        Self {
            groups: Group::ALL.to_vec(),
            rivets: true,
            riveted_solids: false,
            paper: None,
        }
    }
}

impl Wanted {
    /// Whether a part is wanted.
    #[must_use]
    pub fn has(&self, group: Group) -> bool {
        self.groups.contains(&group)
    }
}

/// A plate that has no exact solid, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoSolid {
    /// The plate.
    pub plate: String,
    /// The reason.
    pub reason: String,
}

/// What was made of a model.
#[derive(Debug)]
pub struct BuildFiles {
    /// The files of each part, but for the report.
    pub groups: Vec<(Group, Vec<OutputFile>)>,
    /// The report, without timings.
    pub report: Option<Report>,
    /// Plates without an exact solid.
    pub without: Vec<NoSolid>,
    /// Sheets of the fret, and what was found while they were laid out.
    pub fret: Option<(usize, Vec<Finding>)>,
}

impl BuildFiles {
    /// What the fret was found to lack.
    #[must_use]
    pub fn lost(&self) -> &[Finding] {
        self.fret.as_ref().map_or(&[], |(_, findings)| findings)
    }
}

/// Makes the files that are wanted, one part after another, each on all threads.
///
/// # Errors
///
/// [`WorkError`] for what a part cannot be made of.
pub fn make_files(
    workshop: &Workshop,
    wanted: &Wanted,
    timings: &mut Timings<'_>,
) -> Result<BuildFiles, WorkError> {
    let any = |of: &[Group]| of.iter().any(|own| wanted.has(*own));
    let mut groups = Vec::new();
    let mut add = |group, files| groups.push((group, files));
    let meshes = if any(&[Group::Preview, Group::Formed, Group::Report]) {
        Some(timings.step("meshes", || workshop.meshes(wanted.rivets))?)
    } else {
        None
    };
    if let Some(meshes) = meshes.as_ref().filter(|_| wanted.has(Group::Preview)) {
        let glb = timings.step("preview", || workshop.glb(meshes))?;
        add(Group::Preview, vec![OutputFile::new("preview.glb", glb)]);
    }
    if wanted.has(Group::Flats) {
        add(Group::Flats, timings.step("flats", || flats(workshop))?);
    }
    let mut fret = None;
    if wanted.has(Group::Fret) {
        let (files, sheets, lost) = timings.step("fret", || fret_files(workshop))?;
        add(Group::Fret, files);
        fret = Some((sheets, lost));
    }
    if wanted.has(Group::Sheets) {
        let files = timings.step("sheets", || sheet_files(workshop, wanted.paper))?;
        add(Group::Sheets, files);
    }
    if let Some(meshes) = meshes.as_ref().filter(|_| wanted.has(Group::Formed)) {
        add(
            Group::Formed,
            timings.step("formed", || formed(workshop, meshes))?,
        );
    }
    let mut without = Vec::new();
    if any(&[Group::Solids, Group::BodyStep]) {
        // The solids are made once, and serve both their own files and the body's.
        let (exact, own) = timings.step("solids", || {
            let exact = workshop.exact_solids();
            let own = wanted
                .has(Group::Solids)
                .then(|| solids(workshop, &exact, wanted.riveted_solids));
            (exact, own)
        });
        if let Some((files, lacking)) = own {
            add(Group::Solids, files);
            without = lacking;
        }
        if wanted.has(Group::BodyStep) {
            let step = timings.step("body.step", || workshop.body_step(exact));
            add(Group::BodyStep, vec![OutputFile::new("body.step", step)]);
        }
    }
    if wanted.has(Group::FlatSolids) {
        let (files, lacking) = timings.step("flat-solids", || flat_solids(workshop))?;
        add(Group::FlatSolids, files);
        without.extend(lacking);
    }
    if wanted.has(Group::Jigs) {
        add(Group::Jigs, timings.step("jigs", || jigs(workshop))?);
    }
    let mut report = None;
    if let Some(meshes) = meshes.as_ref().filter(|_| wanted.has(Group::Report)) {
        let facts = timings.step("measures", || workshop.facts(&meshes.plates, wanted.rivets))?;
        let own = timings.step("checks", || workshop.report(&facts))?;
        report = Some(own.with_jigs(workshop.jigs().json()));
    }
    Ok(BuildFiles {
        groups,
        report,
        without,
        fret,
    })
}

fn flats(workshop: &Workshop) -> Result<Vec<OutputFile>, WorkError> {
    each(&workshop.body().plates, |plate| {
        let id = &plate.id;
        let flat = workshop.flat(id)?;
        Ok(vec![
            OutputFile::new(format!("flats/{id}.dxf"), export::dxf_of(&flat)),
            OutputFile::new(format!("flats/{id}.svg"), export::svg_of(&flat)),
            OutputFile::new(format!("flats/{id}.json"), workshop.flat_json(&flat)),
        ])
    })
}

/// Drawings, films and key plan of each sheet; how many sheets, and what was found while they were laid out.
fn fret_files(workshop: &Workshop) -> Result<(Vec<OutputFile>, usize, Vec<Finding>), WorkError> {
    let fret = workshop.fret()?;
    let mut files = each(&fret.sheets, |sheet| {
        let mut files = Vec::new();
        for (name, _) in Workshop::fret_names(sheet.number) {
            if let Some(bytes) = workshop.fret_file(sheet, &name)? {
                files.push(OutputFile::new(format!("fret/{name}"), bytes));
            }
        }
        Ok(files)
    })?;
    files.push(OutputFile::new("fret/fret.json", workshop.fret_json()?));
    Ok((files, fret.sheets.len(), fret.findings))
}

/// The sheets for the builder, in the folder `sheets`.
///
/// # Errors
///
/// As the sheets.
pub fn sheet_files(
    workshop: &Workshop,
    paper: Option<SheetPaper>,
) -> Result<Vec<OutputFile>, WorkError> {
    let made = workshop.all_sheets(paper)?.into_iter();
    Ok(made
        .map(|(file, bytes)| OutputFile::new(format!("sheets/{file}"), bytes))
        .collect())
}

/// Formed plates, and again by themselves what is printed to form others on.
fn formed(workshop: &Workshop, meshes: &PartMeshes) -> Result<Vec<OutputFile>, WorkError> {
    let mut files = Vec::new();
    for (plate, mesh) in workshop.body().plates.iter().zip(&meshes.plates) {
        let id = &plate.id;
        let stl = export::stl_of(id, &mesh.mesh)?;
        if is_former(id) {
            files.push(OutputFile::new(format!("formers/{id}.stl"), stl.clone()));
        }
        files.push(OutputFile::new(format!("formed/{id}.stl"), stl));
    }
    for block in &workshop.body().blocks {
        let stl = workshop.block_stl(block)?;
        files.push(OutputFile::new(format!("formers/{}.stl", block.id), stl));
    }
    Ok(files)
}

/// Every jig by itself, all of them on beds of the printer, and what is known of them.
fn jigs(workshop: &Workshop) -> Result<Vec<OutputFile>, WorkError> {
    let jigs = workshop.jigs();
    let mut files = Vec::new();
    for jig in jigs.sound() {
        let id = jig.id;
        files.push(OutputFile::new(format!("jigs/{id}.stl"), jigs.stl(id)?));
        files.push(OutputFile::new(format!("jigs/{id}.3mf"), jigs.threemf(id)?));
    }
    for (i, bed) in jigs.beds()?.into_iter().enumerate() {
        files.push(OutputFile::new(format!("jigs/bed-{}.3mf", i + 1), bed));
    }
    for flat in workshop.templates()? {
        let name = format!("jigs/templates/{}", flat.plate);
        files.push(OutputFile::new(
            format!("{name}.dxf"),
            export::dxf_of(&flat),
        ));
        files.push(OutputFile::new(
            format!("{name}.svg"),
            export::svg_of(&flat),
        ));
    }
    let refused: Vec<_> = jigs
        .refused()
        .iter()
        .map(|(kind, error)| json!({ "id": kind.id, "reason": error.to_string() }))
        .collect();
    let list = json!({
        "printer": jigs.print_json(),
        "film_mm": workshop.model().metal.film,
        "jigs": jigs.json(),
        "refused": refused,
    });
    files.push(OutputFile::new("jigs/jigs.json", format!("{list:#}\n")));
    Ok(files)
}

/// Exact solids of the plates that have one, and the plates that have none.
fn solids(
    workshop: &Workshop,
    exact: &[Result<StepSolid, SolidError>],
    with_rivets: bool,
) -> (Vec<OutputFile>, Vec<NoSolid>) {
    let plates = &workshop.body().plates;
    let steps = plates
        .par_iter()
        .zip(exact)
        .map(|(plate, exact)| {
            if with_rivets {
                solid::riveted_step(plate)
            } else {
                Ok(solid::step_file_of(plate, exact.clone()?))
            }
        })
        .collect();
    step_files(Group::Solids, plates, steps, with_rivets)
}

/// Exact solids of the plates as they are etched, and the plates that have none.
fn flat_solids(workshop: &Workshop) -> Result<(Vec<OutputFile>, Vec<NoSolid>), WorkError> {
    let plates = workshop.body().plates.par_iter();
    let made: Vec<_> = plates.map(|plate| workshop.flat_solid(&plate.id)).collect();
    let made = made.into_iter().collect::<Result<Vec<_>, _>>()?;
    let (flats, steps): (Vec<Plate>, Vec<_>) = made.into_iter().unzip();
    let (files, mut without) = step_files(Group::FlatSolids, &flats, steps, false);
    for own in &mut without {
        own.reason = format!("before it is bent: {}", own.reason);
    }
    Ok((files, without))
}

/// The files of solids in the folder of their group, with the list of what another program should find in them; and the
/// plates that have none.
fn step_files(
    group: Group,
    plates: &[Plate],
    steps: Vec<Result<String, SolidError>>,
    with_rivets: bool,
) -> (Vec<OutputFile>, Vec<NoSolid>) {
    let folder = group.word();
    let (mut files, mut without, mut measures) = (Vec::new(), Vec::new(), Vec::new());
    for (plate, step) in plates.iter().zip(steps) {
        match step {
            Ok(text) => {
                measures.extend(solid_measures(plate, with_rivets));
                files.push(OutputFile::new(format!("{folder}/{}.step", plate.id), text));
            }
            Err(error) => without.push(NoSolid {
                plate: plate.id.clone(),
                reason: error.to_string(),
            }),
        }
    }
    let list = format!("{:#}\n", serde_json::Value::Array(measures));
    files.push(OutputFile::new(format!("{folder}/measures.json"), list));
    (files, without)
}

/// What another program should find in a solid's file, measured without the kernel.
fn solid_measures(plate: &Plate, with_rivets: bool) -> Option<serde_json::Value> {
    let measures = if with_rivets {
        solid::riveted_measures(plate).ok()?
    } else {
        solid::exact_measures(plate).ok()?
    };
    let (low, high) = (measures.low, measures.high);
    Some(json!({
        "file": format!("{}.step", plate.id),
        "name": plate.id,
        "volume_mm3": measures.volume,
        "area_mm2": measures.area,
        "low_mm": [low.x, low.y, low.z],
        "high_mm": [high.x, high.y, high.z],
    }))
}

/// Files of every item, in its order, whichever thread made them.
fn each<T: Sync>(
    items: &[T],
    make: impl Fn(&T) -> Result<Vec<OutputFile>, WorkError> + Sync + Send,
) -> Result<Vec<OutputFile>, WorkError> {
    let made: Vec<_> = items.par_iter().map(make).collect();
    let mut files = Vec::new();
    for own in made {
        files.extend(own?);
    }
    Ok(files)
}
