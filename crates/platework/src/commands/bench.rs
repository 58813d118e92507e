//! `platework bench`: the time from model file to preview.

use std::time::Instant;

use batch::ModelSource;
use body::Model;
use serde::Serialize;
use server::Workshop;

use super::{Verdict, bench_files, bench_growth};
use crate::cli::BenchArgs;
use crate::failure::Failure;
use crate::memory::{peak_in_words, peak_memory_kib};
use crate::progress::Steps;
use crate::stdout;

/// What was measured.
#[derive(Debug, Serialize)]
struct Bench {
    model: String,
    scale: &'static str,
    threads: usize,
    runs: u16,
    with_rivets: Share,
    without_rivets: Share,
    /// Most memory that the program has had; not known on every system.
    peak_memory_kib: Option<u64>,
}

/// Medians of the parts and of the whole (ms), and what came out.
#[derive(Debug, Serialize)]
struct Share {
    read_ms: f64,
    build_ms: f64,
    mesh_ms: f64,
    glb_ms: f64,
    total_ms: f64,
    triangles: usize,
    glb_bytes: usize,
}

/// One run: its parts (ms) and what came out.
struct Run {
    parts: [f64; 4],
    triangles: usize,
    glb_bytes: usize,
}

/// Measures and says so.
pub(crate) fn run(args: &BenchArgs, json: bool) -> Result<Verdict, Failure> {
    if let Some(folder) = &args.files {
        return bench_files::run(args, folder, json);
    }
    if args.growth {
        return bench_growth::run(args, json);
    }
    let threads = args.threads;
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(threads)
        .build()?;
    let source = ModelSource::read(&args.model.model)?;
    let model = Model::read(&source.file(), &source.bytes, &args.model.overrides())?;
    let mut steps = Steps::new(2);
    let with = steps.step("with rivets", || {
        pool.install(|| share(args, &source, true))
    })?;
    let without = steps.step("without rivets", || {
        pool.install(|| share(args, &source, false))
    })?;
    drop(steps);
    let bench = Bench {
        model: source.name(),
        scale: model.scale.word(),
        threads,
        runs: args.runs,
        with_rivets: with,
        without_rivets: without,
        peak_memory_kib: peak_memory_kib(),
    };
    if json {
        stdout::json(&bench)?;
    } else {
        say(&bench)?;
    }
    Ok(Verdict::Clear)
}

fn share(args: &BenchArgs, source: &ModelSource, rivets: bool) -> Result<Share, Failure> {
    // The first run pays for memory and caches; it does not count.
    let last = once(args, source, rivets)?;
    let runs: Result<Vec<Run>, Failure> =
        (0..args.runs).map(|_| once(args, source, rivets)).collect();
    let runs = runs?;
    let part = |i: usize| median(runs.iter().map(|run| run.parts[i]).collect());
    Ok(Share {
        read_ms: part(0),
        build_ms: part(1),
        mesh_ms: part(2),
        glb_ms: part(3),
        total_ms: median(runs.iter().map(|run| run.parts.iter().sum()).collect()),
        triangles: last.triangles,
        glb_bytes: last.glb_bytes,
    })
}

fn once(args: &BenchArgs, source: &ModelSource, rivets: bool) -> Result<Run, Failure> {
    let mut clock = Instant::now();
    let mut lap = || {
        let spent = clock.elapsed().as_secs_f64() * 1e3;
        clock = Instant::now();
        spent
    };
    let model = Model::read(&source.file(), &source.bytes, &args.model.overrides())?;
    let read = lap();
    let workshop = Workshop::build(&source.name(), model)?;
    let build = lap();
    let meshes = workshop.meshes(rivets)?;
    let mesh = lap();
    let glb = workshop.glb(&meshes)?;
    let parts = [read, build, mesh, lap()];
    let plates = meshes.plates.iter().map(|plate| plate.mesh.triangles.len());
    let fittings = meshes
        .fittings
        .iter()
        .map(|fitting| fitting.triangles.len());
    Ok(Run {
        parts,
        triangles: plates.chain(fittings).sum(),
        glb_bytes: glb.len(),
    })
}

/// Middle value, to the microsecond.
pub(super) fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    let (low, high) = (values[(values.len() - 1) / 2], values[values.len() / 2]);
    (low.midpoint(high) * 1e3).round() / 1e3
}

fn say(bench: &Bench) -> Result<(), Failure> {
    let Bench {
        model, scale, runs, ..
    } = bench;
    let cores = match bench.threads {
        1 => "one core".to_owned(),
        threads => format!("{threads} threads"),
    };
    stdout::line(&format!(
        "{model}, {scale}: model file to preview on {cores}, median of {runs} runs (ms)"
    ))?;
    stdout::line(
        "                    read     build      mesh       GLB     total  triangles      bytes",
    )?;
    for (words, share) in [
        ("with rivets", &bench.with_rivets),
        ("without rivets", &bench.without_rivets),
    ] {
        let parts = [
            share.read_ms,
            share.build_ms,
            share.mesh_ms,
            share.glb_ms,
            share.total_ms,
        ];
        let parts: Vec<String> = parts.iter().map(|part| format!("{part:10.2}")).collect();
        let (triangles, bytes) = (share.triangles, share.glb_bytes);
        stdout::line(&format!(
            "{words:14}{} {triangles:10} {bytes:10}",
            parts.concat()
        ))?;
    }
    stdout::line(&peak_in_words(bench.peak_memory_kib))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn median_is_the_middle() {
        assert_eq!(median(vec![3.0, 1.0, 2.0]), 2.0);
        assert_eq!(median(vec![4.0, 1.0, 2.0, 3.0]), 2.5);
        assert_eq!(median(vec![7.0]), 7.0);
    }
}
