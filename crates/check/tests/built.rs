//! Measuring points of the demo engines, and readings of the finished model held against them.

#![allow(clippy::unwrap_used, reason = "a test may fail by panic")]

use body::{
    Body, Instrument, Measurement, MeasuringAxis, MeasuringPoint, Model, Overrides, Scale,
    equal_readings, measuring_points,
};
use check::RULES;
use check::built::{
    BuiltReport, Decision, Estimate, Reading, Readings, ReadingsKind, compare_built, decide,
    empty_readings_csv, empty_readings_toml,
};
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::sync::OnceLock;

struct Engine {
    name: &'static str,
    model: Model,
    body: Body,
    points: Vec<MeasuringPoint>,
}

const FILES: [(&str, &str); 5] = [
    ("class-b", include_str!("../../../demo-models/class-b.toml")),
    ("class-e", include_str!("../../../demo-models/class-e.toml")),
    ("class-m", include_str!("../../../demo-models/class-m.toml")),
    ("class-s", include_str!("../../../demo-models/class-s.toml")),
    (
        "tender-t",
        include_str!("../../../demo-models/tender-t.toml"),
    ),
];

fn build(name: &'static str, text: &str, scale: Scale) -> Engine {
    let overrides = Overrides {
        scale: Some(scale),
        ..Overrides::default()
    };
    let model = Model::read(name, text.as_bytes(), &overrides).unwrap();
    let body = body::build(&model).unwrap();
    let points = measuring_points(&model, &body);
    Engine {
        name,
        model,
        body,
        points,
    }
}

/// The demo engines at 7 mm scale.
fn engines() -> &'static [Engine] {
    static ENGINES: OnceLock<Vec<Engine>> = OnceLock::new();
    ENGINES.get_or_init(|| {
        let all = FILES.iter();
        all.map(|(name, text)| build(name, text, Scale::Seven))
            .collect()
    })
}

fn engine(name: &str) -> &'static Engine {
    engines().iter().find(|own| own.name == name).unwrap()
}

impl Engine {
    fn has(&self, id: &str) -> bool {
        self.points.iter().any(|own| own.id == id)
    }

    fn point(&self, id: &str) -> &MeasuringPoint {
        let own = self.points.iter().find(|own| own.id == id);
        own.unwrap_or_else(|| panic!("{} has no {id}", self.name))
    }

    fn read(&self, text: &str) -> Readings {
        Readings::read(
            "readings.csv",
            text.as_bytes(),
            ReadingsKind::Csv,
            &self.points,
        )
        .unwrap_or_else(|error| panic!("{error}"))
    }

    fn compare(&self, text: &str) -> BuiltReport {
        compare_built(&self.model, self.points.clone(), &self.read(text))
    }

    /// Readings as drawn but for what is said to be off, by the beginnings of ids (mm).
    fn built(&self, off: impl Fn(&MeasuringPoint) -> f64) -> BuiltReport {
        let mut text = "id,reading,reading_2,reading_3\n".to_owned();
        for point in &self.points {
            let mm = point.mm() + off(point);
            // A scatter of a hundredth.
            writeln!(
                text,
                "{},{:.4},{:.4},{:.4}",
                point.id,
                mm - 0.01,
                mm,
                mm + 0.01
            )
            .unwrap();
        }
        self.compare(&text)
    }
}

fn rules(report: &BuiltReport) -> Vec<&'static str> {
    let counting = report.findings.iter().filter(|own| own.counts());
    counting.map(|own| own.rule).collect()
}

#[test]
fn every_engine_is_measured_where_builders_measure() {
    let usual = [
        "over-beams",
        "over-buffers",
        "wheelbase-1-2",
        "wheelbase-2-3",
        "footplate-height-front-left",
        "footplate-height-front-right",
        "footplate-height-rear-left",
        "footplate-height-rear-right",
        "footplate-diagonal-left",
        "footplate-diagonal-right",
        "over-footplate",
    ];
    let of_engines = [
        "boiler-height-smokebox",
        "boiler-height-middle",
        "boiler-height-throat",
        "smokebox-diameter-across",
        "boiler-diameter-front-across",
        "boiler-diameter-front-upright",
        "boiler-diameter-rear-across",
        "boiler-diameter-rear-upright",
        "firebox-width-shoulder-front",
        "firebox-width-shoulder-rear",
        "firebox-width-waist-front",
        "firebox-width-waist-rear",
        "firebox-crown-front",
        "firebox-crown-rear",
        "over-cab-top",
        "over-cab-bottom",
        "cab-eaves-left",
        "cab-eaves-right",
        "roof-height",
        "chimney-height",
        "chimney-offset",
        "dome-height",
        "dome-offset",
        "smokebox-front-to-cab-front",
        "buffer-centres-front",
        "buffer-height-front-left",
        "buffer-height-front-right",
        "cab-diagonal-left",
        "cab-diagonal-right",
    ];
    for engine in engines() {
        let tender = engine.name == "tender-t";
        for id in usual {
            assert!(engine.has(id), "{} {id}", engine.name);
        }
        for id in of_engines {
            // The firebox of class S goes straight down.
            let straight = engine.name == "class-s" && id.contains("waist");
            assert_eq!(engine.has(id), !tender && !straight, "{} {id}", engine.name);
        }
        let ids: BTreeSet<&str> = engine.points.iter().map(|own| own.id.as_str()).collect();
        assert_eq!(ids.len(), engine.points.len(), "{}", engine.name);
    }
    for (name, id) in [
        ("class-b", "over-tanks-top"),
        ("class-b", "over-bunker-bottom"),
        ("class-b", "tank-height-rear"),
        ("class-b", "cab-front-to-bunker-back"),
        ("class-b", "buffer-height-rear-right"),
        ("class-b", "over-bunker-flare"),
        ("class-e", "footplate-platform-front"),
        ("class-e", "cab-front-to-cab-back"),
        ("class-e", "gap-to-tender"),
        ("class-m", "smokebox-diameter-upright"),
        ("class-m", "over-cylinders"),
        ("class-s", "over-saddle-tank"),
        ("class-s", "tank-height-front"),
        ("tender-t", "gap-to-engine"),
        ("tender-t", "over-coping"),
        ("tender-t", "coping-height-rear"),
        ("tender-t", "over-tender-tank-bottom"),
        ("tender-t", "buffer-centres-rear"),
    ] {
        assert!(engine(name).has(id), "{name} {id}");
    }
    assert!(!engine("class-b").has("smokebox-diameter-upright"));
    assert!(!engine("class-e").has("buffer-centres-rear"));
}

#[test]
fn places_name_keys_and_plates_that_there_are() {
    for engine in engines() {
        let known: BTreeSet<&str> = engine
            .model
            .inputs
            .iter()
            .map(|own| own.path.as_str())
            .chain(engine.body.dimensions.iter().map(|own| own.path.as_str()))
            .collect();
        for point in &engine.points {
            let words = format!("{} {}", engine.name, point.id);
            assert!(!point.keys.is_empty(), "{words} has no key");
            assert!(
                point.keys.iter().all(|key| known.contains(key.as_str())),
                "{words}: {:?}",
                point.keys
            );
            let is_there = |id: &String| engine.body.plate(id).is_some();
            assert!(point.plates.iter().all(is_there), "{words}");
            assert!(!point.plates.is_empty(), "{words} has no plate");
            assert!(point.tolerance > 0.0 && point.mm().is_finite(), "{words}");
        }
        for equal in equal_readings(&engine.model, &engine.points) {
            assert!(equal.points.len() > 1, "{}", equal.id);
        }
    }
}

/// The drawing's own figures, full size in inches, worked from the table of the invented railway and not from the model file.
const DRAWN: [(&str, &[(&str, f64)]); 3] = [
    (
        "class-b",
        &[
            ("over-beams", 386.0),
            ("over-buffers", 428.0),
            ("wheelbase-1-2", 88.0),
            ("wheelbase-2-3", 94.0),
            ("wheelbase-3-4", 78.0),
            ("footplate-height-rear-left", 50.0),
            ("boiler-height-smokebox", 89.0 + 26.5),
            ("boiler-height-throat", 89.0 + 29.0),
            ("smokebox-diameter-across", 55.0),
            ("boiler-diameter-front-across", 53.0),
            ("boiler-diameter-rear-upright", 58.0),
            ("firebox-width-shoulder-front", 59.0),
            ("firebox-width-waist-rear", 48.0),
            ("firebox-crown-front", 120.0),
            ("firebox-crown-rear", 118.5),
            ("over-tanks-top", 100.0),
            ("over-cab-bottom", 100.0),
            ("over-bunker-top", 100.0),
            ("tank-height-front", 102.0),
            ("roof-height", 146.0),
            ("chimney-height", 152.0),
            ("dome-height", 144.0),
            ("chimney-offset", 0.0),
            ("smokebox-front-to-cab-front", 228.0),
            ("cab-front-to-bunker-back", 140.0),
            ("tank-front-to-cab-front", 152.0),
            ("buffer-centres-front", 68.5),
            ("buffer-height-rear-right", 41.0),
        ],
    ),
    (
        "class-m",
        &[
            ("over-beams", 375.0),
            ("wheelbase-1-2", 109.0),
            ("wheelbase-2-3", 84.0),
            ("wheelbase-3-4", 96.0),
            ("footplate-height-front-right", 56.0),
            ("footplate-platform-front", 49.0),
            ("boiler-height-smokebox", 100.0 + 28.0),
            ("boiler-height-throat", 72.0 + 63.0),
            ("smokebox-diameter-upright", 57.0),
            ("boiler-diameter-front-upright", 56.0),
            ("boiler-diameter-rear-across", 63.0),
            ("firebox-width-shoulder-front", 70.0),
            ("firebox-width-shoulder-rear", 60.0),
            ("firebox-crown-rear", 133.0),
            ("over-cylinders", 103.0),
            ("over-cab-top", 96.0),
            ("roof-height", 152.0),
            ("chimney-height", 155.0),
            ("dome-height", 153.0),
            ("smokebox-front-to-cab-front", 280.0),
            ("cab-front-to-cab-back", 40.0),
            ("gap-to-tender", 15.0),
        ],
    ),
    (
        "tender-t",
        &[
            ("over-beams", 258.0),
            ("wheelbase-1-2", 78.0),
            ("footplate-height-rear-left", 51.0),
            ("tender-tank-length", 234.0),
            ("over-tender-tank-top", 90.0),
            ("tank-side-height", 99.0),
        ],
    ),
];

#[test]
fn nominals_are_the_drawings_figures_at_both_scales() {
    for (name, drawn) in DRAWN {
        let text = FILES.iter().find(|own| own.0 == name).unwrap().1;
        let four = build(name, text, Scale::Four);
        for (own, mm_per_inch) in [(engine(name), 7.0 / 12.0), (&four, 4.0 / 12.0)] {
            for (id, inches) in drawn {
                let found = own.point(id).mm();
                assert!(
                    (found - inches * mm_per_inch).abs() < 1e-9,
                    "{name} {id}: {found} for {inches} in"
                );
            }
        }
        // The table rounds what follows to an eighth of an inch: the flare of the tender is 9'-0¼" high, 8'-2⅝" wide.
        if name == "tender-t" {
            let inch = 12.0 / 7.0;
            assert!(
                (engine(name).point("coping-height-rear").mm() * inch - 108.25).abs() < 1.0 / 16.0
            );
            assert!((engine(name).point("over-coping").mm() * inch - 98.625).abs() < 1.0 / 16.0);
        }
    }
    // Eaves of class B: 9'-7⅞".
    assert!(
        (engine("class-b").point("cab-eaves-left").mm() * 12.0 / 7.0 - 115.875).abs() < 1.0 / 16.0
    );
}

/// Places lie on the metal of the plate that they name first; found on its mesh, which knows nothing of measuring.
#[test]
fn places_lie_on_the_plates_that_they_name() {
    use parry3d_f64::math::Vector;
    use parry3d_f64::query::PointQuery as _;
    let options = solid::MeshOptions {
        rivets: false,
        ..solid::MeshOptions::default()
    };
    let shape = |engine: &Engine, id: &str| {
        let plate = engine.body.plate(id).unwrap();
        let mesh = solid::mesh_plate(plate, &options).unwrap().mesh;
        let vertices = mesh.positions.iter().map(|p| Vector::from(*p));
        parry3d_f64::shape::TriMesh::new(vertices.collect(), mesh.triangles).unwrap()
    };
    let mut off = Vec::new();
    for engine in engines() {
        let mut meshes = std::collections::BTreeMap::new();
        for point in &engine.points {
            // Centres, gaps, and tops of fittings are on no plate.
            let places = match point.measurement {
                Measurement::Height { at } if !at.z.is_nan() => vec![at],
                Measurement::Between { a, b, .. } if !point.id.starts_with("gap") => vec![a, b],
                Measurement::Diameter { .. } => {
                    let ends = point.measurement.ends();
                    vec![ends.0, ends.1]
                }
                _ => continue,
            };
            let fitting = ["buffer", "chimney", "dome", "over-buffers"];
            if fitting.iter().any(|own| point.id.starts_with(own)) {
                continue;
            }
            for place in places {
                let near = point.plates.iter().map(|id| {
                    let shape = meshes
                        .entry(id.as_str())
                        .or_insert_with(|| shape(engine, id));
                    let own = Vector::new(place.x, place.y, place.z);
                    (shape.project_local_point(own, false).point - own).length()
                });
                let near = near.fold(f64::INFINITY, f64::min);
                // Wrappers are cut back by films; the seam of a drum stands open below.
                let seam = point.id == "smokebox-diameter-upright";
                if near > if seam { 0.75 } else { 0.3 } {
                    off.push(format!(
                        "{} {}: {near:.2} from {place:.2?}",
                        engine.name, point.id
                    ));
                }
            }
        }
    }
    assert!(off.is_empty(), "{off:#?}");
}

#[test]
fn measures_named_in_the_model_file_are_placed_on_its_plates() {
    let named = "
        [[measure]]
        name = \"spectacle-plate-to-smokebox\"
        title = \"Spectacle plate to smokebox front\"
        from = \"cab-front\"
        to = \"smokebox-front\"
        tolerance = \"0.3mm\"
        [[measure]]
        name = \"beam-top\"
        height_of = \"buffer-beam-front/right-top\"
        [[measure]]
        name = \"beam-width\"
        from = \"buffer-beam-front/top-left\"
        to = \"buffer-beam-front/right-top\"
        along = \"width\"
        ";
    let text = format!("{}{named}", FILES[0].1);
    let own = build("class-b", &text, Scale::Seven);
    // 19'-10" less 10 in, on the outside faces of both plates; each stands behind its overlay.
    let plates = own.point("spectacle-plate-to-smokebox");
    assert!(
        (plates.mm() - 228.0 * 7.0 / 12.0).abs() < 0.5,
        "{}",
        plates.mm()
    );
    assert_eq!((plates.tolerance, plates.source), (0.3, "the model file"));
    assert_eq!(plates.title, "Spectacle plate to smokebox front");
    assert_eq!(plates.keys, ["measure[0]"]);
    assert_eq!(own.point("beam-top").title, "Beam top");
    assert_eq!(own.point("beam-top").axis(), MeasuringAxis::Height);
    assert!((own.point("beam-width").mm() - 56.0).abs() < 1e-9);
    assert_eq!(own.point("beam-width").axis(), MeasuringAxis::Width);
    assert_eq!(own.points.len(), engine("class-b").points.len() + 3);
}

#[test]
fn a_measure_at_a_place_that_there_is_not_is_refused_where_it_stands() {
    for (table, path, message, help) in [
        (
            "height_of = \"cab-frnt/top-left\"",
            "measure[0].height_of",
            "no plate \"cab-frnt\"",
            "cab-front",
        ),
        (
            "height_of = \"cab-front/nose\"",
            "measure[0].height_of",
            "no point named nose",
            "cab-front/",
        ),
        (
            "height_of = \"cab-front\"",
            "measure[0].height_of",
            "whole plate",
            "cab-front/",
        ),
        (
            "from = \"cab-front\"\nto = \"boiler-wrapper\"",
            "measure[0].to",
            "is formed",
            "boiler-wrapper/",
        ),
        (
            "from = \"cab-front\"\nto = \"tank-side-left\"",
            "measure[0].to",
            "not parallel",
            "point",
        ),
        (
            "from = \"cab-front\"\nto = \"cab-front\"",
            "measure[0].to",
            "nothing between",
            "apart",
        ),
        ("from = \"cab-front\"", "measure[0].to", "", ""),
        ("", "measure[0]", "either of a height", "height_of"),
        (
            "height_of = \"cab-front/nose\"\nfrom = \"cab-front\"",
            "measure[0]",
            "either of a height",
            "height_of",
        ),
    ] {
        let text = format!("{}\n[[measure]]\nname = \"own\"\n{table}\n", FILES[0].1);
        let model = Model::read("class-b.toml", text.as_bytes(), &Overrides::default());
        let error = model.and_then(|model| body::build(&model)).unwrap_err();
        let problem = &error.problems[0];
        assert_eq!(problem.path, path, "{table}: {error}");
        assert!(problem.message.contains(message), "{table}: {error}");
        assert!(problem.help.contains(help), "{table}: {error}");
        assert!(problem.line > FILES[0].1.lines().count(), "{error}");
    }
    for name in ["over-beams", "Own Name", ""] {
        let text = format!(
            "{}\n[[measure]]\nname = \"{name}\"\nheight_of = \"cab-front/hole:window-1\"\n",
            FILES[0].1
        );
        let model = Model::read("class-b.toml", text.as_bytes(), &Overrides::default());
        let error = model.and_then(|model| body::build(&model)).unwrap_err();
        assert_eq!(error.problems[0].path, "measure[0].name", "{error}");
    }
}

#[test]
fn empty_lists_are_read_back_as_no_readings() {
    for engine in engines() {
        let csv = empty_readings_csv(&engine.model, &engine.points);
        let toml = empty_readings_toml(&engine.model, &engine.points);
        for (text, kind) in [(csv, ReadingsKind::Csv), (toml, ReadingsKind::Toml)] {
            for own in &engine.points {
                assert!(text.contains(&own.id), "{}", own.id);
            }
            let readings = Readings::read("empty", text.as_bytes(), kind, &engine.points)
                .unwrap_or_else(|error| panic!("{error}"));
            assert_eq!(readings.count(), 0);
            let report = compare_built(&engine.model, engine.points.clone(), &readings);
            let [finding] = &report.findings[..] else {
                panic!("{:?}", report.findings);
            };
            assert_eq!(
                (finding.rule, finding.counts()),
                ("built-no-readings", false)
            );
            assert_eq!(report.decision(), None);
        }
    }
}

#[test]
fn tables_are_read_as_spreadsheets_write_them() {
    let own = engine("class-b");
    let plain = own.read("id,reading\nover-beams,225.1\nover-beams,225.2\n");
    assert_eq!(
        plain
            .of("over-beams")
            .iter()
            .map(|own| own.mm)
            .collect::<Vec<_>>(),
        [225.1, 225.2]
    );
    assert_eq!(plain.of("over-beams")[1].line, 3);
    for text in [
        "\u{feff}id;reading;reading_2\r\nover-beams;225,1;225,2\r\n",
        "sep=;\nid;reading\nover-beams;225,1\nover-beams;225,2",
        "# of Tuesday\n\nID\tReading\n over-beams \t225.1\nover-beams\t\"225,2\"\n",
        "id,reading,place,\rover-beams,225.1,\"Over, \"\"all\"\"\",\rover-beams,225.2,,,,\r",
        "id,unit,reading,reading 2\nover-beams,mm,225.1,225.2\n,,,\nroof-height,mm,,\n",
    ] {
        let read = own.read(text);
        let mm: Vec<f64> = read.of("over-beams").iter().map(|own| own.mm).collect();
        assert_eq!(mm, [225.1, 225.2], "{text:?}");
        assert_eq!(read.count(), 2, "{text:?}");
    }
    // Lines that end as on old machines are counted too.
    let text = "id,reading\rover-beams,225.1\rroof-height,85.2";
    assert_eq!(own.read(text).of("roof-height")[0].line, 3);
    let inches = own.read("id,reading,unit,instrument,error\nroof-height,3.35,in,rule,±0.01\n");
    let [reading] = inches.of("roof-height") else {
        panic!("{inches:?}");
    };
    assert!((reading.mm - 85.09).abs() < 1e-9);
    assert!((reading.limit.unwrap() - 0.254).abs() < 1e-12);
    assert_eq!(reading.instrument, Some(Instrument::Rule));
    // Offsets may be to the right.
    assert_eq!(own.read("id,reading\nchimney-offset,-0.05\n").count(), 1);
}

#[test]
fn lists_are_read_with_their_units_and_instruments() {
    let own = engine("class-b");
    let text = "
        unit = \"in\"
        [instruments]
        caliper = 0.001
        [readings]
        over-beams = [8.86, 8.87]
        roof-height = 3.35
        tank-height-front = { readings = [59.5], unit = \"mm\", instrument = \"rule\", error = 0.25 }
        tank-height-rear = []
        ";
    let read = Readings::read("r.toml", text.as_bytes(), ReadingsKind::Toml, &own.points).unwrap();
    assert_eq!(read.count(), 4);
    assert!((read.of("over-beams")[0].mm - 8.86 * 25.4).abs() < 1e-9);
    assert!((read.of("over-beams")[0].limit.unwrap() - 0.0254).abs() < 1e-12);
    // The height gauge of the roof has the usual limit.
    assert_eq!(read.of("roof-height")[0].limit, None);
    let tank = read.of("tank-height-front")[0];
    assert_eq!((tank.mm, tank.limit), (59.5, Some(0.25)));
}

#[test]
fn what_is_wrong_with_a_file_is_told_where_it_stands() {
    let own = engine("class-b");
    use ReadingsKind::{Csv, Toml};
    for (kind, text, line, column, message, help) in [
        (Csv, "", 1, 1, "no first row", "id,reading"),
        (Csv, "# nothing\n\n", 1, 1, "no first row", "id,reading"),
        (
            Csv,
            "over-beams,225.1\n",
            1,
            1,
            "no column \"over-beams\"",
            "id,reading",
        ),
        (Csv, "id,unit\n", 1, 1, "no column reading", "id,reading"),
        (Csv, "id,id,reading\n", 1, 4, "stands twice", ""),
        (
            Csv,
            "id,reading\nover-beans,225.1\n",
            2,
            1,
            "no place \"over-beans\"",
            "did you mean over-beams?",
        ),
        (
            Csv,
            "id,reading\nover-beans,\n",
            2,
            1,
            "no place",
            "over-beams",
        ),
        (
            Csv,
            "id,reading\nover-beams,225,1\n",
            2,
            16,
            "more fields",
            "semicolons",
        ),
        (
            Csv,
            "id,reading\nover-beams,\"225,1\"\n",
            2,
            12,
            "no reading",
            "decimal point",
        ),
        (
            Csv,
            "id;reading\nover-beams;1.225,1\n",
            2,
            12,
            "no reading",
            "thousands",
        ),
        (
            Csv,
            "id,reading\nover-beams,nan\n",
            2,
            12,
            "no reading",
            "plain number",
        ),
        (
            Csv,
            "id,reading\nover-beams,1e3\n",
            2,
            12,
            "no reading",
            "plain number",
        ),
        (
            Csv,
            "id,reading\nover-beams,225 mm\n",
            2,
            12,
            "no reading",
            "unit",
        ),
        (
            Csv,
            "id,reading\nover-beams,-225\n",
            2,
            12,
            "cannot be",
            "above zero",
        ),
        (
            Csv,
            "id,reading\nover-beams,99999\n",
            2,
            12,
            "cannot be",
            "10 m",
        ),
        (
            Csv,
            "id,reading,unit\nover-beams,8.8,inch\n",
            2,
            16,
            "no unit",
            "mm or in",
        ),
        (
            Csv,
            "id,reading,instrument\nover-beams,8.8,ruler\n",
            2,
            16,
            "no instrument",
            "rule",
        ),
        (
            Csv,
            "id,reading,error\nover-beams,8.8,0\n",
            2,
            16,
            "no instrument is right",
            "between",
        ),
        (
            Csv,
            "id,reading,error\nover-beams,8.8,small\n",
            2,
            16,
            "limit of error",
            "plain number",
        ),
        (Csv, "id,reading\n,225\n", 2, 2, "no place", "id"),
        (
            Csv,
            "id,reading\növer,\"225\nroof-height,1\n",
            2,
            6,
            "not closed",
            "one line",
        ),
        (
            Toml,
            "over-beams = 1",
            1,
            1,
            "no table or key",
            "[readings]",
        ),
        (
            Toml,
            "[readings]\nover-beans = 1",
            2,
            1,
            "no place",
            "over-beams",
        ),
        (
            Toml,
            "[readings]\nover-beams = 0x10",
            2,
            14,
            "no reading",
            "number",
        ),
        (
            Toml,
            "[readings]\nover-beams = nan",
            2,
            14,
            "no reading",
            "plain number",
        ),
        (
            Toml,
            "[readings]\nover-beams = [225.1, \"225\"]",
            2,
            22,
            "no reading",
            "number",
        ),
        (
            Toml,
            "[readings]\nover-beams = { reading = 1 }",
            2,
            16,
            "have no reading",
            "readings =",
        ),
        (
            Toml,
            "[readings]\nover-beams = { unit = \"mm\" }",
            2,
            14,
            "no readings here",
            "readings =",
        ),
        (Toml, "unit = \"cm\"\n[readings]", 1, 8, "no unit", "mm"),
        (
            Toml,
            "readings = 3",
            1,
            1,
            "readings is a table",
            "[readings]",
        ),
        (
            Toml,
            "[instruments]\nruler = 1\n[readings]\n",
            2,
            1,
            "no instrument",
            "rule",
        ),
        (Toml, "[readings\n", 1, 10, "not TOML", ""),
        (Toml, "", 1, 1, "no [readings]", ""),
    ] {
        let error = Readings::read("r", text.as_bytes(), kind, &own.points).unwrap_err();
        let first = &error.problems[0];
        assert!(first.message.contains(message), "{text:?}: {error}");
        assert!(first.help.contains(help), "{text:?}: {error}");
        assert_eq!(
            (first.line, first.column),
            (line, column),
            "{text:?}: {error}"
        );
    }
    // All of them at once.
    let text = "id,reading\nx,1\nover-beams,a\nroof-height,b\n";
    let error = Readings::read("r", text.as_bytes(), Csv, &own.points).unwrap_err();
    let lines: Vec<usize> = error.problems.iter().map(|own| own.line).collect();
    assert_eq!(lines, [2, 3, 4]);
}

#[test]
fn hostile_files_are_refused_within_bounds() {
    let own = engine("class-b");
    let read = |bytes: &[u8], kind| Readings::read("r", bytes, kind, &own.points);
    let row = "over-beams,225.1\n";
    let full = format!("id,reading\n{}", row.repeat(10_000));
    assert_eq!(
        read(full.as_bytes(), ReadingsKind::Csv).unwrap().count(),
        10_000
    );
    let over = format!("{full}{row}");
    let error = read(over.as_bytes(), ReadingsKind::Csv).unwrap_err();
    assert_eq!((error.problems.len(), error.problems[0].line), (1, 10_002));
    // Ten readings a row.
    let wide = format!(
        "id,{}\n{}",
        ["reading"; 10].join(","),
        format!("over-beams,{}\n", ["225.1"; 10].join(",")).repeat(1001)
    );
    let error = read(wide.as_bytes(), ReadingsKind::Csv).unwrap_err();
    assert!(
        error.problems[0]
            .message
            .contains("more than 10000 readings"),
        "{error}"
    );
    let list = format!("[readings]\nover-beams = [{}]", "225.1,".repeat(10_001));
    let error = read(list.as_bytes(), ReadingsKind::Toml).unwrap_err();
    assert!(
        error.problems[0].message.contains("more than 10000"),
        "{error}"
    );
    // Faults are counted, not all told.
    let wrong = format!("id,reading\n{}", "x,1\n".repeat(9_000));
    let error = read(wrong.as_bytes(), ReadingsKind::Csv).unwrap_err();
    assert_eq!(error.problems.len(), 100);
    assert!(error.to_string().contains("8900 more faults"));
    for (bytes, message) in [
        (vec![b'a'; (1 << 20) + 1], "more than"),
        (vec![0xFF, 0xFE, b'i', 0], "UTF-16"),
        (vec![b'i', b'd', 0x80], "UTF-8"),
    ] {
        for kind in [ReadingsKind::Csv, ReadingsKind::Toml] {
            let error = read(&bytes, kind).unwrap_err();
            assert!(error.problems[0].message.contains(message), "{error}");
        }
    }
    for text in [
        "[".repeat(100_000),
        format!("[readings]\nover-beams = {}", "[".repeat(100_000)),
        format!("id,reading\nover-beams,{}", "9".repeat(1_000_000)),
        "\"".repeat(1_000_000),
        format!("id,reading\n{},1", "x".repeat(1_000_000)),
        format!("[readings]\n{} = 1", "x".repeat(1_000_000)),
        ",".repeat(1_000_000),
        "\0".repeat(1000),
    ] {
        for kind in [ReadingsKind::Csv, ReadingsKind::Toml] {
            assert!(read(text.as_bytes(), kind).is_err());
        }
    }
}

#[test]
fn a_model_as_drawn_conforms() {
    for engine in engines() {
        let report = engine.built(|_| 0.0);
        assert_eq!(rules(&report), Vec::<&str>::new(), "{}", engine.name);
        // A depth rod and a caliper are fine enough for all tolerances but none is too coarse.
        assert_eq!(
            report.decision(),
            Some(Decision::Conforms),
            "{}",
            engine.name
        );
        assert!(
            report
                .points
                .iter()
                .all(|own| own.probability.unwrap() > 0.99)
        );
        assert!(report.causes.is_empty());
    }
}

#[test]
fn causes_are_found_and_named_and_none_is_invented() {
    let is_height = |own: &MeasuringPoint| matches!(own.measurement, Measurement::Height { .. });
    type Off = fn(&MeasuringPoint) -> f64;
    let boiler: Off = |own| {
        let all = [
            "boiler-height",
            "firebox-crown",
            "chimney-height",
            "dome-height",
        ];
        if all.iter().any(|id| own.id.starts_with(id)) {
            0.4
        } else {
            0.0
        }
    };
    let twisted: Off = |own| match own.id.as_str() {
        "footplate-height-front-left" | "footplate-height-rear-right" => 0.2,
        "footplate-height-front-right" | "footplate-height-rear-left" => -0.2,
        _ => 0.0,
    };
    let corner: Off = |own| {
        if own.id == "footplate-height-front-left" {
            0.5
        } else {
            0.0
        }
    };
    let tanks: Off = |own| {
        if own.id.starts_with("over-tanks-") {
            0.45
        } else {
            0.0
        }
    };
    let thick: Off = |own| {
        if own.id.starts_with("boiler-diameter-") {
            -0.3
        } else {
            0.0
        }
    };
    let axle: Off = |own| match own.id.as_str() {
        "wheelbase-2-3" => 0.2,
        "wheelbase-3-4" => -0.2,
        _ => 0.0,
    };
    let centre: Off = |own| {
        if own.id.ends_with("-offset") {
            -0.3
        } else {
            0.0
        }
    };
    let scaled: Off = |own| 0.012 * own.mm();
    let one: Off = |own| if own.id == "roof-height" { 0.5 } else { 0.0 };
    let oval: Off = |own| match own.id.as_str() {
        "boiler-diameter-front-across" => 0.12,
        "boiler-diameter-front-upright" => -0.12,
        _ => 0.0,
    };
    let cases: [(&str, Off, &[&str], &str); 10] = [
        (
            "class-b",
            boiler,
            &["built-unit-high"],
            "boiler and firebox sit 0.40 mm high",
        ),
        (
            "class-b",
            twisted,
            &["built-twisted"],
            "front left and rear right",
        ),
        (
            "class-e",
            corner,
            &["built-out-of-tolerance", "built-unequal"],
            "0.50 mm too high",
        ),
        ("class-b", tanks, &["built-wide"], "0.45 mm too wide"),
        (
            "class-m",
            thick,
            &["built-thick"],
            "0.94 mm too short round",
        ),
        (
            "class-b",
            axle,
            &["built-axle"],
            "axle 3 stands 0.20 mm too far back",
        ),
        (
            "class-s",
            centre,
            &["built-off-centre"],
            "0.30 mm to the right",
        ),
        ("class-b", scaled, &["built-scaled"], "1.20 % too large"),
        (
            "class-b",
            one,
            &["built-out-of-tolerance"],
            "0.50 mm too high",
        ),
        (
            "class-b",
            oval,
            &["built-unequal", "built-undecided", "built-undecided"],
            "boiler-diameter-front-across is 0.24 mm over",
        ),
    ];
    for (name, off, wanted, words) in cases {
        let report = engine(name).built(off);
        assert_eq!(rules(&report), wanted, "{words}: {:#?}", report.findings);
        let found = report
            .findings
            .iter()
            .any(|own| own.sentence.contains(words));
        assert!(found, "{words}: {:#?}", report.findings);
        for own in report.findings {
            assert!(
                RULES.iter().any(|rule| rule.word == own.rule),
                "{}",
                own.rule
            );
        }
    }
    // Everything that stands on the wheels.
    let high = engine("class-b").built(|own| if is_height(own) { 0.3 } else { 0.0 });
    assert_eq!(rules(&high), ["built-stands-high"], "{:#?}", high.findings);
    assert!(high.findings[0].sentence.contains("0.30 mm high"));
    assert!(high.findings[0].sentence.contains("wheels"));
    // The front end alone, and what stands on it by its share.
    let tilted = engine("class-b").built(|own| match own.measurement {
        Measurement::Height { at } => 0.5 * (1.0 - at.x / 225.0),
        _ => 0.0,
    });
    assert_eq!(rules(&tilted), ["built-tilted"], "{:#?}", tilted.findings);
    assert!(
        tilted.findings[0].sentence.contains("at its front"),
        "{:#?}",
        tilted.findings
    );
}

#[test]
fn two_causes_are_told_apart() {
    // The model stands 0.3 mm high, and its boiler 0.4 mm high on it; the cab is 0.5 mm wide.
    let report = engine("class-b").built(|own| {
        let stand = match own.measurement {
            Measurement::Height { .. } => 0.3,
            _ => 0.0,
        };
        let id = own.id.as_str();
        let boiler = ["boiler-height", "firebox-crown", "chimney-h", "dome-h"];
        let boiler = boiler.iter().any(|own| id.starts_with(own));
        let cab = id.starts_with("over-cab-");
        stand + if boiler { 0.4 } else { 0.0 } + if cab { 0.5 } else { 0.0 }
    });
    assert_eq!(
        rules(&report),
        ["built-stands-high", "built-unit-high", "built-wide"],
        "{:#?}",
        report.findings
    );
    assert!((report.causes[1].found - 0.4).abs() < 0.05);
}

#[test]
fn readings_that_are_none_are_told_and_left_out() {
    let own = engine("class-b");
    let mut inches = "id,reading\n".to_owned();
    for point in &own.points {
        if !matches!(point.measurement, Measurement::Offset { .. }) {
            writeln!(inches, "{},{:.3}", point.id, point.mm() / 25.4).unwrap();
        }
    }
    let report = own.compare(&inches);
    assert_eq!(
        rules(&report),
        ["built-other-unit"],
        "{:#?}",
        report.findings
    );
    assert!(
        report.findings[0]
            .sentence
            .contains("inches called millimetres")
    );
    let four = inches.replace(' ', "");
    let four: String = four
        .lines()
        .map(|line| match line.split_once(',') {
            Some((id, mm)) if mm != "reading" => {
                format!(
                    "{id},{:.3}\n",
                    mm.parse::<f64>().unwrap() * 25.4 * 4.0 / 7.0
                )
            }
            _ => format!("{line}\n"),
        })
        .collect();
    let report = own.compare(&four);
    assert_eq!(
        rules(&report),
        ["built-other-unit"],
        "{:#?}",
        report.findings
    );
    assert!(
        report.findings[0].sentence.contains("4mm scale"),
        "{:#?}",
        report.findings
    );
    // One slip among good ones: the roof read as the chimney.
    let mm = |id: &str| own.point(id).mm();
    let text = format!(
        "id,reading\nroof-height,{}\nchimney-height,{}\nover-beams,{}\n",
        mm("chimney-height"),
        mm("chimney-height"),
        mm("over-beams") / 25.4
    );
    let report = own.compare(&text);
    let slips: Vec<&str> = report
        .findings
        .iter()
        .filter(|own| own.rule == "built-slip")
        .map(|own| own.sentence.as_str())
        .collect();
    assert!(
        slips
            .iter()
            .any(|own| own.contains("inches called millimetres")),
        "{slips:?}"
    );
}

#[test]
fn scatter_and_coarse_instruments_are_told() {
    let own = engine("class-b");
    let mm = own.point("roof-height").mm();
    let text = format!(
        "id,reading,reading_2\nroof-height,{:.2},{:.2}\n",
        mm - 0.2,
        mm + 0.2
    );
    assert_eq!(
        rules(&own.compare(&text)),
        ["built-undecided", "built-scatter"]
    );
    let text = format!("id,reading,instrument\nroof-height,{mm:.2},rule\n");
    let report = own.compare(&text);
    assert_eq!(rules(&report), ["built-undecided"]);
    assert!(report.findings[0].sentence.contains("proves nothing"));
    let at = report
        .points
        .iter()
        .find(|own| own.point.id == "roof-height")
        .unwrap();
    assert_eq!(at.decision, Some(Decision::Undecided));
    assert!(at.probability.unwrap() > 0.7);
}

/// A generator with a fixed seed (Steele, Lea and Flood 2014, splitmix64).
struct Chance(u64);

impl Chance {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// From 0 to 1.
    fn uniform(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// By Box and Muller.
    fn normal(&mut self) -> f64 {
        let radius = (-2.0 * ln(1.0 - self.uniform())).sqrt();
        radius * geom::math::cos(geom::math::TAU * self.uniform())
    }
}

/// Natural logarithm by the common one.
fn ln(x: f64) -> f64 {
    geom::math::log10(x) * std::f64::consts::LN_10
}

/// Of models that lie just beyond a limit fewer than 2.3 % are said to conform, of those just within fewer than 2.3 % not to: the
/// promise of a guard of one expanded uncertainty (95.45 % both sides, half of the rest on each).
#[test]
fn false_verdicts_are_as_rare_as_the_rule_promises() {
    const MODELS: usize = 10_000;
    const TOLERANCE: f64 = 0.15;
    let mut chance = Chance(20_261_126);
    // Readings, their scatter, limit of the instrument's error: scatter alone, both alike, instrument alone.
    for (count, scatter, limit) in [
        (3, 0.03, 0.001),
        (5, 0.03, 0.03),
        (2, 0.02, 0.001),
        (1, 0.0, 0.03),
    ] {
        let (mut false_good, mut false_bad, mut good) = (0, 0, 0);
        for _ in 0..MODELS {
            for truth in [TOLERANCE + 1e-6, TOLERANCE - 1e-6, 0.0] {
                let shared = (2.0 * chance.uniform() - 1.0) * limit;
                let readings: Vec<Reading> = (0..count)
                    .map(|_| Reading {
                        mm: 50.0 + truth + shared + scatter * chance.normal(),
                        instrument: None,
                        limit: Some(limit),
                        line: 1,
                    })
                    .collect();
                let own = Estimate::of(&readings, Instrument::Caliper).unwrap();
                let limits = (50.0 - TOLERANCE, 50.0 + TOLERANCE);
                let decision = decide(own.mean, own.expanded(), limits);
                if truth > TOLERANCE {
                    false_good += usize::from(decision == Decision::Conforms);
                } else if truth > 0.0 {
                    false_bad += usize::from(decision == Decision::DoesNotConform);
                } else {
                    good += usize::from(decision == Decision::Conforms);
                }
            }
        }
        // Half of 4.55 %, and three standard deviations of ten thousand draws.
        let promised = 0.022_75 * MODELS as f64;
        let most = promised + 3.0 * promised.sqrt();
        let words = format!("{count} readings, scatter {scatter}, limit {limit}");
        assert!(
            (false_good as f64) < most,
            "{words}: {false_good} false good"
        );
        assert!((false_bad as f64) < most, "{words}: {false_bad} false bad");
        // It is a rule that can be met: models as drawn conform, save where two readings know too little.
        let wanted = if count == 2 { 0.5 } else { 0.9 };
        assert!(good as f64 > wanted * MODELS as f64, "{words}: {good} good");
        // And no emptier than it promises where scatter decides: the guard is Student's, not a wider one.
        if count == 3 {
            assert!(
                false_good as f64 > promised - 3.0 * promised.sqrt(),
                "{words}: {false_good}"
            );
        }
    }
}
