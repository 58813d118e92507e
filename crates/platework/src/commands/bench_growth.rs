//! `platework bench --growth`: how time grows with rivets, plates and models.

use std::time::Instant;

use batch::ModelSource;
use body::{Edge, Model, Plate, Rivet, Sheet, flat_curves};
use develop::Forming;
use geom::math::log10;
use geom::{FlatPoint, Outline, Placement, Point2, Point3, Vector3};
use rayon::prelude::*;
use serde::Serialize;
use server::{WorkError, Workshop};
use solid::{MeshOptions, SolidError};

use super::Verdict;
use super::bench::median;
use crate::cli::BenchArgs;
use crate::failure::Failure;
use crate::stdout;

/// Times of one kind of work at two sizes.
#[derive(Debug, Serialize)]
struct Growth {
    /// What there is more of, and what is done with it.
    of: &'static str,
    threads: usize,
    counts: [usize; 2],
    wall_ms: [f64; 2],
    /// The power of the count that time grows with: 1 where ten times as much takes ten times as long.
    exponent: f64,
}

/// Distance between rivets of the plate that is meshed (mm).
const PITCH_MM: f64 = 1.5;

/// Runs of the smaller sizes of which the median is taken.
const RUNS: usize = 5;

/// Measures and says so.
pub(crate) fn run(args: &BenchArgs, json: bool) -> Result<Verdict, Failure> {
    let source = ModelSource::read(&args.model.model)?;
    let name = source.name();
    let open = || -> Result<Workshop, Failure> {
        let model = Model::read(&source.file(), &source.bytes, &args.model.overrides())?;
        Ok(Workshop::build(&name, model)?)
    };
    let body = open()?;
    let own = &body.body().plates;
    let mut found = Vec::new();
    for threads in [1, 2] {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()?;
        let mut grow = |of, counts, work: &(dyn Fn(usize) -> Result<(), Failure> + Sync)| {
            let wall_ms = pool.install(|| timed(counts, work))?;
            found.push(Growth {
                of,
                threads,
                counts,
                exponent: exponent(counts.map(|count: usize| count as f64), wall_ms),
                wall_ms,
            });
            Ok::<_, Failure>(())
        };
        grow("rivets of one plate, meshed", [1000, 10_000], &|count| {
            Ok(meshed(&[riveted_plate(count)]).map_err(WorkError::from)?)
        })?;
        grow(
            "plates of the model, meshed",
            [own.len(), 10 * own.len()],
            &|count| {
                let plates: Vec<Plate> = own.iter().cycle().take(count).cloned().collect();
                Ok(meshed(&plates).map_err(WorkError::from)?)
            },
        )?;
        grow("models, file to GLB", [1, 100], &|count| {
            (0..count).into_par_iter().try_for_each(|_| {
                let workshop = open()?;
                workshop.glb(&workshop.meshes(true)?)?;
                Ok(())
            })
        })?;
    }
    if json {
        stdout::json(&found)?;
    } else {
        say(&name, &found)?;
    }
    Ok(Verdict::Clear)
}

/// The power of the count that the time grows with.
fn exponent(counts: [f64; 2], times: [f64; 2]) -> f64 {
    log10(times[1] / times[0]) / log10(counts[1] / counts[0])
}

/// Milliseconds at both counts.
fn timed(
    counts: [usize; 2],
    work: &(dyn Fn(usize) -> Result<(), Failure> + Sync),
) -> Result<[f64; 2], Failure> {
    let once = |count| {
        let start = Instant::now();
        work(count)?;
        Ok(start.elapsed().as_secs_f64() * 1e3)
    };
    // The first run pays for memory and caches; it does not count.
    once(counts[0])?;
    let few = (0..RUNS).map(|_| once(counts[0]));
    let few = median(few.collect::<Result<_, Failure>>()?);
    Ok([few, once(counts[1])?])
}

fn meshed(plates: &[Plate]) -> Result<(), SolidError> {
    let options = MeshOptions::default();
    let meshes: Result<Vec<_>, SolidError> = plates
        .par_iter()
        .map(|plate| solid::mesh_plate(plate, &options))
        .collect();
    meshes.map(drop)
}

/// A flat plate with rivets in square rows.
fn riveted_plate(rivets: usize) -> Plate {
    let columns = (rivets as f64).sqrt().ceil() as usize;
    let rows = rivets.div_ceil(columns);
    let along = |count: usize| (count as f64 + 1.0) * PITCH_MM;
    let outline = Outline::rectangle(Point2::origin(), Point2::new(along(columns), along(rows)));
    let names = ["front", "right", "rear", "left"];
    let edges = names.into_iter().zip(flat_curves(&outline));
    let centre = |i: usize| FlatPoint::new(along(i % columns), along(i / columns));
    Plate {
        id: "riveted".to_owned(),
        assembly: "rivets",
        title: "Riveted plate".to_owned(),
        sheet: Sheet::plain("brass half-hard", 0.2),
        forming: Forming::Flat(Placement::new(Point3::origin(), Vector3::x(), Vector3::y())),
        outline: edges
            .map(|(name, curve)| Edge {
                name: name.to_owned(),
                curve,
            })
            .collect(),
        holes: Vec::new(),
        regions: Vec::new(),
        rivets: (0..rivets)
            .map(|i| Rivet {
                centre: centre(i),
                head_diameter: 0.6,
                head_height: 0.2,
                dot: None,
                row: "all".to_owned(),
            })
            .collect(),
        marks: Vec::new(),
        points: Vec::new(),
    }
}

fn say(name: &str, found: &[Growth]) -> Result<(), Failure> {
    stdout::line(&format!("{name}: growth of the time (ms)"))?;
    stdout::line("                              threads      from          to  exponent")?;
    for own in found {
        let [few, many] = own.wall_ms;
        let [from, to] = own.counts;
        stdout::line(&format!(
            "{:30}{:7}{few:10.1}{many:12.1}{:10.2}   {from} to {to}",
            own.of, own.threads, own.exponent
        ))?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn four_times_as_long_for_twice_as_much_is_a_square() {
        assert!((exponent([5.0, 10.0], [3.0, 12.0]) - 2.0).abs() < 1e-12);
    }

    /// Every rivet has its own head: none stands on another or over the edge.
    #[test]
    fn the_riveted_plate_holds_all_its_rivets() {
        let plate = riveted_plate(120);
        let mesh = solid::mesh_plate(&plate, &MeshOptions::default()).unwrap();
        assert_eq!((plate.rivets.len(), mesh.skipped_rivets.len()), (120, 0));
    }
}
