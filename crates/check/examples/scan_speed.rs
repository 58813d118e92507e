//! Time to hold a scan of so many points against class B: `cargo run -p check --example scan_speed -- 1000000`.
//!
//! The scan is made by laying points on a mesh of the body with noise and a fifth of them anywhere; run it under
//! `/usr/bin/time -v` to see memory.

use body::{Model, Overrides};
use check::scan::{BodySurface, ScanKind, ScanOptions, compare_scan, read_scan};
use solid::{Mesh, MeshOptions, mesh_plate};
use std::io::{BufReader, BufWriter, Write as _};
use std::time::Instant;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let count: usize = std::env::args()
        .nth(1)
        .map_or(Ok(100_000), |own| own.parse())?;
    let path = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../../demo-models/class-b.toml"
    );
    let model = Model::read("class-b", &std::fs::read(path)?, &Overrides::default())?;
    let body = body::build(&model)?;
    let file = std::env::temp_dir().join(format!("platework-scan-speed-{count}.ply"));
    if !file.exists() {
        write_scan(&body, count, &file)?;
    }
    let start = Instant::now();
    let surface = BodySurface::of(&body)?;
    println!("surface  {:6.2} s", start.elapsed().as_secs_f64());
    let reading = Instant::now();
    let scan = read_scan(
        BufReader::new(std::fs::File::open(&file)?),
        Some(ScanKind::Ply),
    )?;
    println!("reading  {:6.2} s", reading.elapsed().as_secs_f64());
    let comparing = Instant::now();
    let mm_per_foot = model.scale.mm_per_foot();
    let report = compare_scan(&surface, scan, mm_per_foot, ScanOptions::default())?;
    println!("compare  {:6.2} s", comparing.elapsed().as_secs_f64());
    println!("whole    {:6.2} s", start.elapsed().as_secs_f64());
    println!(
        "{} points, rms {:.4} mm, {} findings",
        report.file_points,
        report.whole.rms,
        report.findings.len()
    );
    Ok(())
}

/// A share from 0 to 1 that looks as if drawn by lot (SplitMix64).
fn share(state: &mut u64) -> f64 {
    *state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
    let mut z = *state;
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    (z ^ (z >> 31)) as f64 / u64::MAX as f64
}

fn write_scan(
    body: &body::Body,
    count: usize,
    file: &std::path::Path,
) -> Result<(), Box<dyn std::error::Error>> {
    let options = MeshOptions::default();
    let meshes: Vec<Mesh> = body
        .plates
        .iter()
        .map(|own| mesh_plate(own, &options).map(|own| own.mesh))
        .collect::<Result<_, _>>()?;
    let triangles: Vec<[[f64; 3]; 3]> = meshes
        .iter()
        .flat_map(|mesh| {
            let all = mesh.triangles.iter();
            all.map(|t| t.map(|corner| mesh.positions[corner as usize]))
        })
        .collect();
    let mut sums = Vec::with_capacity(triangles.len());
    let mut sum = 0.0;
    for [a, b, c] in &triangles {
        let side = |p: &[f64; 3]| geom::Vector3::new(p[0] - a[0], p[1] - a[1], p[2] - a[2]);
        sum += side(b).cross(&side(c)).norm();
        sums.push(sum);
    }
    let mut out = BufWriter::new(std::fs::File::create(file)?);
    write!(
        out,
        "ply\nformat binary_little_endian 1.0\nelement vertex {count}\nproperty float x\nproperty float y\n\
         property float z\nend_header\n"
    )?;
    let mut state = 7;
    for i in 0..count {
        let drawn = share(&mut state) * sum;
        let at = sums.partition_point(|own| *own < drawn).min(sums.len() - 1);
        let [a, b, c] = triangles[at];
        let (mut u, mut v) = (share(&mut state), share(&mut state));
        if u + v > 1.0 {
            (u, v) = (1.0 - u, 1.0 - v);
        }
        for k in 0..3 {
            let on = a[k] + (b[k] - a[k]) * u + (c[k] - a[k]) * v;
            let noise = (0..12).map(|_| share(&mut state)).sum::<f64>() - 6.0;
            let anywhere = share(&mut state) * [160.0, 60.0, 80.0][k] - [0.0, 30.0, 0.0][k];
            let x = if i % 5 == 0 {
                anywhere
            } else {
                on + 0.02 * noise
            };
            out.write_all(&(x as f32).to_le_bytes())?;
        }
    }
    Ok(out.flush()?)
}
