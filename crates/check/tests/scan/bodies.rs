//! Synthetic scans of demo bodies, sound and built wrong.

use crate::scanner::{Fine, Kept, Scanned, Scanner, Wrong, fine_meshes, fine_tyres};
use body::{Body, Model, Overrides, Scale};
use check::scan::{
    BodySurface, ErrorKind, Handedness, ScanError, ScanOptions, ScanReport, ScanUnit, compare_scan,
    read_off, read_scan,
};
use geom::{Point3, Vector3};
use std::path::Path;
use std::sync::OnceLock;

/// The scan is laid on the body nearer than this (mm).
const ALIGNED_MM: f64 = 0.02;

struct Engine {
    mm_per_foot: f64,
    body: Body,
    meshes: Vec<Fine>,
}

impl Engine {
    fn model(class: &str, scale: Scale) -> Model {
        let path = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("../../demo-models")
            .join(format!("{class}.toml"));
        let overrides = Overrides {
            scale: Some(scale),
            ..Overrides::default()
        };
        let bytes = std::fs::read(path).unwrap();
        Model::read(class, &bytes, &overrides).unwrap()
    }

    fn open(class: &str, scale: Scale) -> Self {
        let model = Self::model(class, scale);
        let body = body::build(&model).unwrap();
        Self {
            mm_per_foot: model.scale.mm_per_foot(),
            meshes: fine_meshes(&body),
            body,
        }
    }

    fn has(&self, assembly: &str) -> bool {
        self.meshes.iter().any(|own| own.assembly == assembly)
    }
}

fn class_b() -> &'static (Engine, BodySurface<'static>) {
    static OWN: OnceLock<(Engine, BodySurface<'static>)> = OnceLock::new();
    static ENGINE: OnceLock<Engine> = OnceLock::new();
    OWN.get_or_init(|| {
        let engine = ENGINE.get_or_init(|| Engine::open("class-b", Scale::Four));
        let surface = BodySurface::of(&engine.body).unwrap();
        (
            Engine {
                mm_per_foot: engine.mm_per_foot,
                body: engine.body.clone(),
                meshes: engine.meshes.clone(),
            },
            surface,
        )
    })
}

fn compare(
    engine: &Engine,
    surface: &BodySurface<'_>,
    file: &[u8],
) -> Result<ScanReport, ScanError> {
    let scan = read_scan(file, None)?;
    compare_scan(surface, scan, engine.mm_per_foot, ScanOptions::default())
}

/// Corners of the box round the body.
fn corners(engine: &Engine) -> Vec<Point3> {
    let far = f64::INFINITY;
    let (mut low, mut high) = (Vector3::repeat(far), Vector3::repeat(-far));
    for own in &engine.meshes {
        let (a, b) = own.mesh.bounds();
        low = low.inf(&Vector3::from(a));
        high = high.sup(&Vector3::from(b));
    }
    (0..8)
        .map(|i| {
            Point3::from(Vector3::from_fn(|k, _| {
                if i >> k & 1 == 1 { high[k] } else { low[k] }
            }))
        })
        .collect()
}

fn say(name: &str, engine: &Engine, scanned: &Scanned, report: &ScanReport) -> f64 {
    let missed = scanned.missed_by(report, &corners(engine));
    println!(
        "{name}: {} points, aligned within {missed:.4} mm (says {:.4}), noise {:.4}, near {:.2}, rms {:.4}, datum {} open {:?}",
        report.file_points,
        report.alignment.uncertainty,
        report.alignment.noise,
        report.alignment.near,
        report.whole.rms,
        report.alignment.datum_points,
        report.alignment.by_whole_body,
    );
    println!(
        "    {:.4} % larger (U {:.4} %) by {} groups, {}",
        100.0 * report.scale.share,
        100.0 * report.scale.uncertainty,
        report.scale.groups,
        report.scale.is_off
    );
    for error in &report.errors {
        println!("    {} (U {:.4})", error.words, error.uncertainty);
    }
    missed
}

/// Each thing that was built wrong: assembly, kind, axis, amount.
fn built_in(engine: &Engine) -> Vec<(&'static str, Wrong, ErrorKind, usize, f64)> {
    let mut all = Vec::new();
    if engine.has("boiler") {
        let up = Wrong::Moved(Vector3::z() * 0.4);
        all.push(("boiler", up, ErrorKind::Shifted, 2, 0.4));
    }
    if engine.has("cab") {
        let twist = geom::math::PI / 180.0;
        all.push(("cab", Wrong::Twisted(twist), ErrorKind::Turned, 2, twist));
    }
    for tank in ["side-tanks", "pannier-tanks", "tender-tank"] {
        if engine.has(tank) {
            all.push((tank, Wrong::Wider(0.3), ErrorKind::Width, 1, 0.3));
        }
    }
    all
}

/// A scan with all errors built in: each is found by its amount, and nothing else.
fn finds_all(
    name: &str,
    engine: &Engine,
    surface: &BodySurface<'_>,
    scanner: Scanner<'_>,
    normals: bool,
) -> ScanReport {
    let wrong = built_in(engine);
    let scanner = Scanner {
        wrong: wrong.iter().map(|own| (own.0, own.1)).collect(),
        ..scanner
    };
    let scanned = scanner.scan(&engine.meshes);
    let report = compare(engine, surface, &scanned.ply(normals)).unwrap();
    let missed = say(name, engine, &scanned, &report);
    assert!(missed < ALIGNED_MM, "{name}: aligned within {missed}");
    for (assembly, _, kind, axis, amount) in &wrong {
        let found: Vec<_> = report
            .errors
            .iter()
            .filter(|own| own.assembly == *assembly)
            .collect();
        assert_eq!(found.len(), 1, "{name}: {assembly} {found:#?}");
        assert_eq!(
            (found[0].kind, found[0].axis),
            (*kind, *axis),
            "{name}: {assembly}"
        );
        let off = (found[0].amount - amount).abs();
        assert!(
            off < 0.1 * amount.abs(),
            "{name}: {assembly} {}",
            found[0].words
        );
    }
    assert_eq!(
        report.errors.len(),
        wrong.len(),
        "{name}: {:#?}",
        report.errors
    );
    // The size of the scan is told where it is wrong, and nowhere else.
    let scale = report.scale;
    let told = report.findings.iter().any(|own| own.rule == "scan-scale");
    assert_eq!(told, scanner.size != 1.0, "{name}: {scale:?}");
    let off = (scale.share - (scanner.size - 1.0)).abs();
    assert!(off < 2.0 * scale.uncertainty, "{name}: {scale:?}");
    assert!(scale.uncertainty < 5e-4, "{name}: {scale:?}");
    report
}

fn is_silent(
    name: &str,
    engine: &Engine,
    surface: &BodySurface<'_>,
    scanner: &Scanner<'_>,
    file: impl Fn(&Scanned) -> Vec<u8>,
) -> ScanReport {
    let scanned = scanner.scan(&engine.meshes);
    let report = compare(engine, surface, &file(&scanned)).unwrap();
    let missed = say(name, engine, &scanned, &report);
    assert!(missed < ALIGNED_MM, "{name}: aligned within {missed}");
    assert!(report.errors.is_empty(), "{name}: {:#?}", report.errors);
    assert!(!report.scale.is_off, "{name}: {:?}", report.scale);
    report
}

#[test]
fn a_sound_scan_shows_nothing() {
    let (engine, surface) = class_b();
    let scanner = Scanner {
        points: 25_000,
        ..Scanner::default()
    };
    let report = is_silent("sound", engine, surface, &scanner, |own| own.ply(true));
    assert!(
        (report.alignment.noise - 0.02).abs() < 0.004,
        "{}",
        report.alignment.noise
    );
    assert_eq!(report.unit, ScanUnit::Millimetre);
}

#[test]
fn errors_are_found_and_none_invented() {
    let (engine, surface) = class_b();
    let scanner = Scanner {
        seed: 2,
        points: 40_000,
        ..Scanner::default()
    };
    finds_all("class-b", engine, surface, scanner, true);
}

/// A scan that is 0.3 % too small of a body with errors built in, and without normals: the size is told by its amount, and the
/// errors are found as in a scan of the right size.
#[test]
fn a_scan_of_the_wrong_size_is_told_from_what_is_built_wrong() {
    let (engine, surface) = class_b();
    let scanner = Scanner {
        seed: 22,
        size: 0.997,
        points: 25_000,
        ..Scanner::default()
    };
    finds_all("size", engine, surface, scanner, false);
}

/// One sub-assembly that is made too large is not the scan.
#[test]
fn a_part_made_too_large_is_not_the_scan() {
    let (engine, surface) = class_b();
    let scanner = Scanner {
        seed: 23,
        points: 15_000,
        wrong: vec![("footplate", Wrong::Larger(1.003))],
        ..Scanner::default()
    };
    let scanned = scanner.scan(&engine.meshes);
    let report = compare(engine, surface, &scanned.ply(true)).unwrap();
    say("footplate", engine, &scanned, &report);
    assert!(!report.scale.is_off, "{:?}", report.scale);
}

#[test]
fn parts_of_an_engine_are_enough() {
    let (engine, surface) = class_b();
    let left = Scanner {
        seed: 4,
        points: 25_000,
        kept: Kept::LeftSide,
        ..Scanner::default()
    };
    is_silent("left side", engine, surface, &left, |own| own.ply(false));
    let upper = Scanner {
        seed: 5,
        points: 25_000,
        kept: Kept::Above(22.0),
        ..Scanner::default()
    };
    is_silent("upper half", engine, surface, &upper, |own| own.stl());
}

#[test]
fn the_same_on_any_number_of_threads() {
    let (engine, surface) = class_b();
    let scanned = few(5).scan(&engine.meshes);
    let file = scanned.ply(true);
    let on = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads);
        pool.build()
            .unwrap()
            .install(|| compare(engine, surface, &file).unwrap())
    };
    let (one, three) = (on(1), on(3));
    assert_eq!(one.alignment.pose, three.alignment.pose);
    assert_eq!(one.whole, three.whole);
    assert_eq!(one.errors, three.errors);
}

/// The scan turned into its mirror image.
fn mirror(scanned: &mut Scanned) {
    for (point, normal) in scanned.points.iter_mut().zip(&mut scanned.normals) {
        point.x = -point.x;
        normal.x = -normal.x;
    }
}

#[test]
fn a_mirror_image_of_an_engine_alike_on_both_sides_cannot_be_told() {
    let (engine, surface) = class_b();
    let mut scanned = few(6).scan(&engine.meshes);
    let right = compare(engine, surface, &scanned.ply(true)).unwrap();
    mirror(&mut scanned);
    let mirrored = compare(engine, surface, &scanned.ply(true)).unwrap();
    for report in [right, mirrored] {
        assert_eq!(report.handedness, Handedness::Undecidable);
        assert!(
            report
                .findings
                .iter()
                .any(|own| own.rule == "scan-mirror-open")
        );
    }
}

#[test]
fn a_mirror_image_is_refused_where_something_stands_on_one_side() {
    let (engine, _) = class_b();
    let mut body = engine.body.clone();
    body.plates
        .retain(|own| !(own.assembly == "side-tanks" && own.id.contains("left")));
    body.fittings
        .retain(|own| !(own.assembly == "side-tanks" && own.id.contains("left")));
    let one_sided = Engine {
        mm_per_foot: engine.mm_per_foot,
        meshes: fine_meshes(&body),
        body,
    };
    let surface = BodySurface::of(&one_sided.body).unwrap();
    let mut scanned = few(7).scan(&one_sided.meshes);
    let right = compare(&one_sided, &surface, &scanned.ply(true)).unwrap();
    assert!(
        matches!(right.handedness, Handedness::Right { .. }),
        "{:?}",
        right.handedness
    );
    mirror(&mut scanned);
    let refused = compare(&one_sided, &surface, &scanned.ply(true));
    assert!(
        matches!(refused, Err(ScanError::Mirrored { .. })),
        "{:?}",
        refused.map(|own| own.handedness)
    );
}

#[test]
fn a_unit_is_guessed_with_a_finding_or_said() {
    let (engine, surface) = class_b();
    let mut scanned = few(8).scan(&engine.meshes);
    for point in &mut scanned.points {
        point.coords /= 25.4;
    }
    let file = scanned.ply(false);
    let guessed = compare(engine, surface, &file).unwrap();
    assert_eq!((guessed.unit, guessed.unit_guessed), (ScanUnit::Inch, true));
    assert!(
        guessed
            .findings
            .iter()
            .any(|own| own.rule == "scan-unit-guessed")
    );
    let said = ScanOptions {
        unit: Some(ScanUnit::Inch),
    };
    let scan = read_scan(file.as_slice(), None).unwrap();
    let said = compare_scan(surface, scan, engine.mm_per_foot, said).unwrap();
    assert!(
        said.findings
            .iter()
            .all(|own| own.rule != "scan-unit-guessed")
    );
    assert_eq!(said.alignment.pose, guessed.alignment.pose);
}

/// A scan of few points, where it is only looked how it is taken.
fn few(seed: u64) -> Scanner<'static> {
    Scanner {
        seed,
        points: 10_000,
        holes: 2,
        ..Scanner::default()
    }
}

/// Two triangles that lie on the cab's front are no scan, however many points could be taken from them.
#[test]
fn a_drawing_of_a_few_triangles_is_no_scan() {
    let (engine, surface) = class_b();
    let ply = b"ply\nformat ascii 1.0\nelement vertex 4\nproperty float x\nproperty float y\nproperty float z\n\
        element face 2\nproperty list uchar int vertex_indices\nend_header\n\
        0 0 0\n200 0 0\n200 60 0\n0 60 0\n3 0 1 2\n3 0 2 3\n";
    let refused = compare(engine, surface, ply);
    assert!(
        matches!(refused, Err(ScanError::TooFew { points: 4, .. })),
        "{refused:?}"
    );
}

/// Points on the fine meshes, without noise, lie on the body within their own chord error: what is measured is the true
/// surface and not the mesh that the search begins with, whose chords are ten times as coarse.
#[test]
fn distances_are_those_of_the_true_surface() {
    let (engine, surface) = class_b();
    let scanned = Scanner {
        seed: 9,
        points: 10_000,
        noise: 0.0,
        outliers: 0.0,
        holes: 0,
        ..Scanner::default()
    }
    .scan(&engine.meshes);
    let report = compare(engine, surface, &scanned.ply(true)).unwrap();
    let missed = say("without noise", engine, &scanned, &report);
    assert!(missed < 0.001, "aligned within {missed}");
    assert!(report.whole.within_95 < 0.003, "{}", report.whole.within_95);
}

/// What lies on the cab's front goes with it.
const ON_CAB_FRONT: [&str; 2] = ["cab-window-beading-left", "cab-window-beading-right"];

/// Plates that are set off by 0.5 mm in sub-assemblies whose rest sits right, as far as the body has them: a splasher's strip too
/// high, the spectacle front of the cab too far forward, a step too low. Each by its id, the axis and the amount.
fn set_off(engine: &Engine) -> Vec<(&str, usize, f64)> {
    let ids = || engine.meshes.iter().map(|own| own.id.as_str());
    let first = |is: fn(&str) -> bool| ids().find(|own| is(own));
    [
        (
            first(|own| own.starts_with("splasher") && own.contains("strip")),
            2,
            0.5,
        ),
        (first(|own| own == "cab-front-overlay"), 0, -0.5),
        (first(|own| own.starts_with("step-left")), 2, -0.5),
    ]
    .into_iter()
    .filter_map(|(id, axis, by)| Some((id?, axis, by)))
    .collect()
}

/// One scan of all of them: each is found and named, and nothing else is.
fn finds_single_plates(name: &str, engine: &Engine, surface: &BodySurface<'_>) {
    let off = set_off(engine);
    let moved = |axis: usize, by: f64| {
        let mut way = Vector3::zeros();
        way[axis] = by;
        Wrong::Moved(way)
    };
    let scanner = Scanner {
        seed: 31,
        points: 100_000,
        wrong: off
            .iter()
            .flat_map(|(id, axis, by)| {
                let on_it = ON_CAB_FRONT
                    .into_iter()
                    .filter(|_| *id == "cab-front-overlay");
                std::iter::once(*id)
                    .chain(on_it)
                    .map(|id| (id, moved(*axis, *by)))
            })
            .collect(),
        ..Scanner::default()
    };
    let scanned = scanner.scan(&engine.meshes);
    let report = compare(engine, surface, &scanned.ply(true)).unwrap();
    let missed = say(&format!("{name} {off:?}"), engine, &scanned, &report);
    assert!(missed < ALIGNED_MM, "{name}: aligned within {missed}");
    for (id, axis, by) in &off {
        let assembly = engine.meshes.iter().find(|own| own.id == *id).unwrap();
        let assembly = assembly.assembly;
        let found = report.errors.iter().find(|own| match &own.plate {
            Some(plate) => plate == id,
            // Where too little is seen of all else in a sub-assembly, it is the whole of it.
            None => own.assembly == assembly,
        });
        let found = found.unwrap_or_else(|| panic!("{name}: {id} is not found"));
        assert_eq!(
            (found.kind, found.axis),
            (ErrorKind::Shifted, *axis),
            "{name}: {id}"
        );
        assert!((found.amount - by).abs() < 0.05, "{name}: {}", found.words);
        let named = found.plate.as_ref().unwrap_or(&found.assembly);
        let finding = report.findings.iter().find(|own| own.path == *named);
        assert_eq!(
            finding.map(|own| own.rule),
            Some("scan-shifted"),
            "{name}: {id}"
        );
    }
    // What went with the cab's front may be told too, as it went.
    let went_along = report.errors.iter().filter(|own| {
        let is_on_it = own
            .plate
            .as_deref()
            .is_some_and(|own| ON_CAB_FRONT.contains(&own));
        is_on_it && own.kind == ErrorKind::Shifted && (own.amount + 0.5).abs() < 0.05
    });
    assert_eq!(
        report.errors.len() - went_along.count(),
        off.len(),
        "{name}: {:#?}",
        report.errors
    );
}

/// A splasher and the spectacle front by name; of the steps one plate alone is seen well enough.
#[test]
fn single_plates_are_found() {
    let engine = Engine::open("class-m", Scale::Four);
    let surface = BodySurface::of(&engine.body).unwrap();
    finds_single_plates("class-m", &engine, &surface);
}

/// Axle centres, buffer centres and buffer heights are read off tyres and heads; without wheels they were not seen.
#[test]
fn centres_are_read_off_round_parts() {
    let (engine, surface) = class_b();
    let mut meshes = engine.meshes.clone();
    meshes.extend(fine_tyres(&engine.body));
    let scanner = Scanner {
        seed: 41,
        points: 30_000,
        wrong: vec![
            ("wheel-left-2-tyre", Wrong::Moved(Vector3::x() * 0.12)),
            ("wheel-right-2-tyre", Wrong::Moved(Vector3::x() * 0.12)),
            (
                "buffer-front-left",
                Wrong::Moved(Vector3::new(0.0, 0.1, 0.25)),
            ),
        ],
        ..Scanner::default()
    };
    let model = Engine::model("class-b", Scale::Four);
    let places = body::measuring_points(&model, &engine.body);
    for (with_wheels, meshes) in [(true, &meshes), (false, &engine.meshes)] {
        let scanner = if with_wheels { &scanner } else { &few(42) };
        let scanned = scanner.scan(meshes);
        let report = compare(engine, surface, &scanned.ply(false)).unwrap();
        say("centres", engine, &scanned, &report);
        let read = read_off(surface, &report, &places);
        assert_eq!(read.len(), places.len());
        let reading = |id: &str| read.iter().find(|own| own.id == id).unwrap();
        for (id, off) in [("wheelbase-1-2", 0.12), ("wheelbase-2-3", -0.12)] {
            let own = reading(id);
            assert_eq!(own.reading.is_some(), with_wheels, "{id}");
            if let Some(found) = own.reading {
                assert!(
                    (found.found - own.drawn - off).abs() < found.uncertainty
                        && found.uncertainty < 0.03,
                    "{id}: {own:?}"
                );
            }
        }
        if with_wheels {
            for (id, off) in [
                ("buffer-height-front-left", 0.25),
                ("buffer-height-front-right", 0.0),
                ("buffer-centres-front", 0.1),
                ("buffer-centres-rear", 0.0),
            ] {
                let own = reading(id);
                let found = own.reading.unwrap();
                assert!(
                    (found.found - own.drawn - off).abs() < found.uncertainty
                        && found.uncertainty < 0.03,
                    "{id}: {own:?}"
                );
            }
        }
    }
}

/// Every demo body at both scales, with `PLATEWORK_SCANS=all`; one, with its name there; without it one, at one scale.
#[test]
fn every_demo_body() {
    let asked = std::env::var("PLATEWORK_SCANS").ok();
    let all = asked.is_some();
    let classes = match asked.as_deref() {
        None => vec!["class-m"],
        Some("all") => vec![
            "class-b", "class-e", "class-m", "class-m2", "class-s", "tender-t",
        ],
        Some(own) => vec![own],
    };
    for class in classes {
        for scale in [Scale::Seven, Scale::Four] {
            let engine = Engine::open(class, scale);
            let surface = BodySurface::of(&engine.body).unwrap();
            let name = format!("{class} {}", scale.word());
            let seeded = |seed: u64, size: f64| Scanner {
                seed,
                size,
                ..Scanner::default()
            };
            finds_all(&name, &engine, &surface, seeded(11, 1.0), false);
            if all {
                finds_all(&name, &engine, &surface, seeded(12, 1.0), true);
                finds_all(&name, &engine, &surface, seeded(13, 1.003), true);
                finds_single_plates(&name, &engine, &surface);
                is_silent(&name, &engine, &surface, &Scanner::default(), |own| {
                    own.ply(false)
                });
            } else {
                break;
            }
        }
    }
}
