//! `platework bench --files`: every writer beside the writing of its own bytes.

use std::fs;
use std::path::Path;
use std::time::Instant;

use artwork::FlatDrawing;
use batch::{FileError, ModelSource};
use body::Model;
use export::PartMesh;
use rayon::prelude::*;
use serde::Serialize;
use server::{WorkError, Workshop};
use solid::{MeshOptions, PlateMesh, SolidError};

use super::Verdict;
use super::bench::median;
use crate::cli::BenchArgs;
use crate::cpu_time::cpu_ms;
use crate::failure::Failure;
use crate::memory::peak_memory_kib;
use crate::stdout;

/// What was measured.
#[derive(Debug, Serialize)]
struct Bench {
    model: String,
    scale: &'static str,
    threads: usize,
    runs: u16,
    plates: usize,
    rivets: usize,
    triangles: usize,
    /// Greatest distance of an outer skin's triangles from the true skin, over all plates.
    chord_error_mm: f64,
    /// Plates without an exact solid; they have no STEP file.
    without_exact_solid: Vec<String>,
    stages: Vec<Stage>,
    peak_memory_kib: Option<u64>,
}

/// Medians of one stage.
#[derive(Debug, Serialize)]
struct Stage {
    stage: &'static str,
    /// To the last byte given to the system.
    wall_ms: f64,
    /// Of all threads of the program; not known on every system.
    cpu_ms: Option<f64>,
    #[serde(flatten)]
    written: Option<Written>,
}

/// What a writer wrote, and what the bytes alone take.
#[derive(Debug, Serialize)]
struct Written {
    files: usize,
    bytes: usize,
    /// Part of the stage in which the finished bytes are given to the system.
    give_ms: f64,
    /// The same bytes to files of the same names in another folder, again.
    copy_ms: f64,
}

/// One stage of one run.
struct Lap {
    stage: &'static str,
    wall_ms: f64,
    cpu_ms: Option<f64>,
    written: Option<Written>,
}

/// One run.
struct Run {
    laps: Vec<Lap>,
    workshop: Workshop,
    meshes: Vec<PlateMesh>,
    without: Vec<String>,
}

type Files = Vec<(String, Vec<u8>)>;

/// Measures and says so.
pub(crate) fn run(args: &BenchArgs, folder: &Path, json: bool) -> Result<Verdict, Failure> {
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(args.threads)
        .build()?;
    let source = ModelSource::read(&args.model.model)?;
    // The first run pays for memory, caches and new files; it does not count.
    let last = pool.install(|| once(args, &source, folder))?;
    let runs = (0..args.runs).map(|_| Ok(pool.install(|| once(args, &source, folder))?.laps));
    let runs = runs.collect::<Result<Vec<Vec<Lap>>, Failure>>()?;
    let plates = &last.workshop.body().plates;
    let off = plates
        .iter()
        .zip(&last.meshes)
        .map(|(plate, mesh)| mesh.measure_chord_error(plate));
    let bench = Bench {
        model: source.name(),
        scale: last.workshop.model().scale.word(),
        threads: args.threads,
        runs: args.runs,
        plates: plates.len(),
        rivets: plates.iter().map(|plate| plate.rivets.len()).sum(),
        triangles: last.meshes.iter().map(|m| m.mesh.triangles.len()).sum(),
        chord_error_mm: off.fold(0.0, f64::max),
        without_exact_solid: last.without,
        stages: (0..last.laps.len()).map(|i| stage(&runs, i)).collect(),
        peak_memory_kib: peak_memory_kib(),
    };
    if json {
        stdout::json(&bench)?;
    } else {
        say(&bench)?;
    }
    Ok(Verdict::Clear)
}

fn stage(runs: &[Vec<Lap>], i: usize) -> Stage {
    let of = |part: fn(&Lap) -> Option<f64>| -> Option<f64> {
        let values: Option<Vec<f64>> = runs.iter().map(|laps| part(&laps[i])).collect();
        values.map(median)
    };
    let written = |part: fn(&Written) -> f64| {
        let values = runs.iter().filter_map(|laps| laps[i].written.as_ref());
        median(values.map(part).collect())
    };
    Stage {
        stage: runs[0][i].stage,
        wall_ms: of(|lap| Some(lap.wall_ms)).unwrap_or_default(),
        cpu_ms: of(|lap| lap.cpu_ms),
        written: runs[0][i].written.as_ref().map(|own| Written {
            files: own.files,
            bytes: own.bytes,
            give_ms: written(|own| own.give_ms),
            copy_ms: written(|own| own.copy_ms),
        }),
    }
}

fn once(args: &BenchArgs, source: &ModelSource, folder: &Path) -> Result<Run, Failure> {
    let mut laps = Laps {
        folder,
        laps: Vec::new(),
    };
    let model = laps.lap("read", || {
        Ok(Model::read(
            &source.file(),
            &source.bytes,
            &args.model.overrides(),
        )?)
    })?;
    let workshop = laps.lap("build", || Ok(Workshop::build(&source.name(), model)?))?;
    let plates = &workshop.body().plates;
    let options = MeshOptions::default();
    let meshes = laps.lap("mesh", || {
        let meshes = plates
            .par_iter()
            .map(|plate| solid::mesh_plate(plate, &options));
        Ok(meshes
            .collect::<Result<Vec<_>, SolidError>>()
            .map_err(WorkError::from)?)
    })?;
    laps.files("glb", || {
        let of = |id: &str| plates.iter().position(|plate| plate.id == id);
        let glb = export::glb_of(workshop.body(), |id| {
            of(id).map(|i| PartMesh::Plate(&meshes[i]))
        });
        Ok(vec![(
            "plates.glb".to_owned(),
            glb.map_err(WorkError::from)?,
        )])
    })?;
    laps.files("stl", || {
        each(&workshop, |i| {
            let id = &plates[i].id;
            Ok((format!("{id}.stl"), export::stl_of(id, &meshes[i].mesh)?))
        })
    })?;
    let mut without = Vec::new();
    laps.files("step", || {
        let made = plates.par_iter().map(solid::plate_step);
        let made: Vec<_> = made.collect();
        let mut files = Vec::new();
        for (plate, text) in plates.iter().zip(made) {
            match text {
                Ok(text) => files.push((format!("{}.step", plate.id), text.into_bytes())),
                Err(_) => without.push(plate.id.clone()),
            }
        }
        Ok(files)
    })?;
    let flats = laps.lap("flats", || {
        let flats = plates.par_iter().map(FlatDrawing::of);
        Ok(flats
            .collect::<Result<Vec<_>, _>>()
            .map_err(WorkError::from)?)
    })?;
    laps.files("dxf", || {
        each(&workshop, |i| {
            Ok((format!("{}.dxf", plates[i].id), export::dxf_of(&flats[i])))
        })
    })?;
    laps.files("svg", || {
        each(&workshop, |i| {
            Ok((
                format!("{}.svg", plates[i].id),
                export::svg_of(&flats[i]).into(),
            ))
        })
    })?;
    let laps = laps.laps;
    Ok(Run {
        laps,
        workshop,
        meshes,
        without,
    })
}

/// A file of each plate, in the order of the body, whichever thread made it.
fn each(
    workshop: &Workshop,
    make: impl Fn(usize) -> Result<(String, Vec<u8>), WorkError> + Sync + Send,
) -> Result<Files, Failure> {
    let made = (0..workshop.body().plates.len())
        .into_par_iter()
        .map(make)
        .collect::<Vec<_>>();
    Ok(made.into_iter().collect::<Result<_, WorkError>>()?)
}

/// The stages of a run as they go by.
struct Laps<'a> {
    folder: &'a Path,
    laps: Vec<Lap>,
}

impl Laps<'_> {
    fn lap<T>(
        &mut self,
        stage: &'static str,
        work: impl FnOnce() -> Result<T, Failure>,
    ) -> Result<T, Failure> {
        let clock = Clock::start();
        let made = work()?;
        let (wall_ms, cpu_ms) = clock.spent();
        self.laps.push(Lap {
            stage,
            wall_ms,
            cpu_ms,
            written: None,
        });
        Ok(made)
    }

    /// A stage that makes files and writes them; afterwards, outside its time, the same bytes once more.
    fn files(
        &mut self,
        stage: &'static str,
        make: impl FnOnce() -> Result<Files, Failure>,
    ) -> Result<(), Failure> {
        let [first, again] = ["", "again"].map(|beside| self.folder.join(beside).join(stage));
        for folder in [&first, &again] {
            fs::create_dir_all(folder).map_err(|cause| not_written(folder, cause))?;
        }
        let clock = Clock::start();
        let files = make()?;
        let giving = Instant::now();
        give(&files, &first)?;
        let give_ms = milliseconds(giving);
        let (wall_ms, cpu_ms) = clock.spent();
        let copying = Instant::now();
        give(&files, &again)?;
        let copy_ms = milliseconds(copying);
        self.laps.push(Lap {
            stage,
            wall_ms,
            cpu_ms,
            written: Some(Written {
                files: files.len(),
                bytes: files.iter().map(|(_, bytes)| bytes.len()).sum(),
                give_ms,
                copy_ms,
            }),
        });
        Ok(())
    }
}

fn give(files: &Files, folder: &Path) -> Result<(), Failure> {
    for (name, bytes) in files {
        let path = folder.join(name);
        fs::write(&path, bytes).map_err(|cause| not_written(&path, cause))?;
    }
    Ok(())
}

fn not_written(path: &Path, cause: std::io::Error) -> Failure {
    Failure::File(FileError::Write {
        path: path.to_owned(),
        cause,
    })
}

/// Time by the wall and by the processor.
struct Clock {
    wall: Instant,
    cpu_ms: Option<f64>,
}

impl Clock {
    fn start() -> Self {
        Self {
            cpu_ms: cpu_ms(),
            wall: Instant::now(),
        }
    }

    fn spent(&self) -> (f64, Option<f64>) {
        let wall = milliseconds(self.wall);
        let cpu = cpu_ms().zip(self.cpu_ms).map(|(now, then)| now - then);
        (wall, cpu)
    }
}

fn milliseconds(since: Instant) -> f64 {
    since.elapsed().as_secs_f64() * 1e3
}

fn say(bench: &Bench) -> Result<(), Failure> {
    let Bench {
        model,
        scale,
        threads,
        runs,
        plates,
        rivets,
        triangles,
        ..
    } = bench;
    stdout::line(&format!(
        "{model}, {scale}: {plates} plates, {rivets} rivets, {triangles} triangles within {:.4} mm; \
         {threads} threads, median of {runs} runs (ms)",
        bench.chord_error_mm
    ))?;
    stdout::line("stage        wall       CPU  files      bytes   written    copied  wall/copied")?;
    for stage in &bench.stages {
        let cpu = stage
            .cpu_ms
            .map_or_else(|| format!("{:>10}", "?"), |cpu| format!("{cpu:10.2}"));
        let written = stage.written.as_ref().map_or_else(String::new, |own| {
            format!(
                "{:7}{:11}{:10.2}{:10.2}{:13.1}",
                own.files,
                own.bytes,
                own.give_ms,
                own.copy_ms,
                stage.wall_ms / own.copy_ms
            )
        });
        stdout::line(&format!(
            "{:7}{:10.2}{cpu}{written}",
            stage.stage, stage.wall_ms
        ))?;
    }
    for plate in &bench.without_exact_solid {
        stdout::line(&format!("no exact solid of {plate}"))?;
    }
    Ok(())
}
