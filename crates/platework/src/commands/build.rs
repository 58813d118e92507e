//! `platework build`: everything that can be made from a model.

use std::time::Instant;

use rayon::prelude::*;
use serde_json::json;
use server::{WorkError, Workshop, is_former};
use solid::{SolidError, StepSolid};

use super::made::{self, Made};
use super::{Verdict, fret, sheets};
use crate::cli::BuildArgs;
use crate::failure::Failure;
use crate::memory::{peak_in_words, peak_memory_kib};
use crate::model_file;
use crate::output_folder::{OutputFile, write_folder};
use crate::progress::Steps;
use crate::stdout;

/// A plate that has no exact solid, and why.
struct NoSolid {
    plate: String,
    reason: String,
}

/// Builds the model and writes the folder.
pub(crate) fn run(args: &BuildArgs, json: bool) -> Result<Verdict, Failure> {
    let start = Instant::now();
    let rivets = !args.no_rivets;
    let mut steps = Steps::new(12);
    let workshop = steps.step("body", || model_file::open(&args.model))?;
    let meshes = steps.step("meshes", || workshop.meshes(rivets))?;
    let glb = steps.step("preview", || workshop.glb(&meshes))?;
    let flats = steps.step("flats", || flats(&workshop))?;
    let (fret, lost) = steps.step("fret", || fret::files(&workshop))?;
    let sheets = steps.step("sheets", || sheets::files(&workshop, args.paper))?;
    let formed = steps.step("formed", || formed(&workshop, &meshes))?;
    let (exact, (solids, without)) = steps.step("solids", || {
        let exact = workshop.exact_solids();
        let files = solids(&workshop, &exact, args.riveted_solids);
        (exact, files)
    });
    let body_step = steps.step("body.step", || workshop.body_step(exact));
    let jigs = steps.step("jigs", || jigs(&workshop))?;
    let facts = steps.step("measures", || workshop.facts(&meshes.plates, rivets))?;
    let report = steps.step("checks", || workshop.report(&facts))?;
    let mut report = report.with_jigs(workshop.jigs().json());
    for (step, milliseconds) in steps.timings() {
        report = report.timed(step, *milliseconds);
    }
    report = report.timed("total", start.elapsed().as_secs_f64() * 1e3);
    let groups = [
        ("preview", vec![OutputFile::new("preview.glb", glb)]),
        ("flats", flats),
        ("fret", fret),
        ("sheets", sheets),
        ("formed", formed),
        ("solids", solids),
        ("body.step", vec![OutputFile::new("body.step", body_step)]),
        ("jigs", jigs),
    ];
    let made = groups
        .iter()
        .map(|(step, files)| Made::of(step, steps.time_of(step), files))
        .collect::<Vec<_>>();
    let mut files: Vec<OutputFile> = groups.into_iter().flat_map(|(_, files)| files).collect();
    files.push(OutputFile {
        repeatable: false,
        ..OutputFile::new("report.json", report.to_text())
    });
    let count = files.len();
    steps.step("files", || write_folder(&args.out, files))?;
    drop(steps);
    say(args, &workshop, count, &made, &without, start, json)?;
    if !json {
        fret::say(&lost)?;
    }
    let found: Vec<_> = workshop.findings().iter().cloned().chain(lost).collect();
    Ok(Verdict::of(&found))
}

fn flats(workshop: &Workshop) -> Result<Vec<OutputFile>, WorkError> {
    each_plate(workshop, |id| {
        let flat = workshop.flat(id)?;
        Ok(vec![
            OutputFile::new(format!("flats/{id}.dxf"), export::dxf_of(&flat)),
            OutputFile::new(format!("flats/{id}.svg"), export::svg_of(&flat)),
            OutputFile::new(format!("flats/{id}.json"), workshop.flat_json(&flat)),
        ])
    })
}

/// Formed plates, and again by themselves what is printed to form others on.
fn formed(workshop: &Workshop, meshes: &server::PartMeshes) -> Result<Vec<OutputFile>, WorkError> {
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
    let made = plates
        .par_iter()
        .zip(exact)
        .map(|(plate, exact)| {
            if with_rivets {
                solid::riveted_step(plate)
            } else {
                Ok(solid::step_file_of(plate, exact.clone()?))
            }
        })
        .collect::<Vec<Result<String, SolidError>>>();
    let (mut files, mut without, mut measures) = (Vec::new(), Vec::new(), Vec::new());
    for (plate, step) in plates.iter().zip(made) {
        match step {
            Ok(text) => {
                measures.extend(solid_measures(plate, with_rivets));
                files.push(OutputFile::new(format!("solids/{}.step", plate.id), text));
            }
            Err(error) => without.push(NoSolid {
                plate: plate.id.clone(),
                reason: error.to_string(),
            }),
        }
    }
    let list = format!("{:#}\n", serde_json::Value::Array(measures));
    files.push(OutputFile::new("solids/measures.json", list));
    (files, without)
}

/// What another program should find in a solid's file, measured without the kernel.
fn solid_measures(plate: &body::Plate, with_rivets: bool) -> Option<serde_json::Value> {
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

/// Files of every plate, in the order of the body, whichever thread made them.
fn each_plate(
    workshop: &Workshop,
    make: impl Fn(&str) -> Result<Vec<OutputFile>, WorkError> + Sync,
) -> Result<Vec<OutputFile>, WorkError> {
    let plates = &workshop.body().plates;
    let made: Vec<_> = plates.par_iter().map(|plate| make(&plate.id)).collect();
    let mut files = Vec::new();
    for own in made {
        files.extend(own?);
    }
    Ok(files)
}

fn say(
    args: &BuildArgs,
    workshop: &Workshop,
    files: usize,
    made: &[Made],
    without: &[NoSolid],
    start: Instant,
    json: bool,
) -> Result<(), Failure> {
    let counting = workshop
        .findings()
        .iter()
        .filter(|finding| finding.counts())
        .count();
    let total = start.elapsed().as_secs_f64() * 1e3;
    if json {
        let without: Vec<_> = without
            .iter()
            .map(|no| json!({ "plate": no.plate, "reason": no.reason }))
            .collect();
        return stdout::json(&json!({
            "model": workshop.name(),
            "out": args.out,
            "files": files,
            "plates": workshop.body().plates.len(),
            "without_exact_solid": without,
            "findings": workshop.findings().len(),
            "findings_that_count": counting,
            "total_ms": total.round(),
            "made": made,
            "peak_memory_kib": peak_memory_kib(),
        }));
    }
    let (out, plates) = (args.out.display(), workshop.body().plates.len());
    stdout::line(&format!(
        "{}: {plates} plates, {files} files in {out}, {:.1} s",
        workshop.model().title,
        total / 1e3
    ))?;
    made::say(made)?;
    stdout::line(&peak_in_words(peak_memory_kib()))?;
    for no in without {
        stdout::line(&format!("no exact solid of {}: {}", no.plate, no.reason))?;
    }
    for (kind, error) in workshop.jigs().refused() {
        stdout::line(&format!("no {}: {error}", kind.title.to_lowercase()))?;
    }
    if counting > 0 {
        let model = args.model.model.display();
        stdout::line(&format!(
            "{counting} findings count; `platework check {model}` lists them"
        ))?;
    }
    Ok(())
}
