//! The program as a user runs it: files, exit status, both outputs.

#![allow(
    clippy::unwrap_used,
    reason = "a failed step of a test is a failed test"
)]

mod place;

use std::collections::BTreeMap;
use std::fs;
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::process::{Command, Stdio};

use place::{CLASS_B, Place, assert_same_files, contents, status, text};
use serde_json::Value;

fn report(files: &BTreeMap<String, Vec<u8>>) -> Value {
    serde_json::from_slice(&files["report.json"]).unwrap()
}

#[test]
fn build_writes_every_file_of_every_plate() {
    let place = Place::new("build");
    let (code, said) = place.json(&["build", "class-b.toml", "--out", "deep/out", "--json"]);
    assert_eq!(code, 0, "{said}");
    let files = contents(&place.0.join("deep/out"));
    let report = report(&files);
    assert_eq!(report["model"], "class-b");
    let dimensions = &report["dimensions"];
    let inputs = dimensions["inputs"].as_array().unwrap();
    let pitch = inputs
        .iter()
        .find(|own| own["path"] == "boiler.pitch")
        .unwrap();
    assert_eq!(
        (&pitch["full_size"], &pitch["from"]),
        (&"7ft 5in".into(), &"file".into())
    );
    assert!(!dimensions["derived"].as_array().unwrap().is_empty());
    assert!(report["timings_ms"]["total"].as_f64().unwrap() > 0.0);
    let plates = report["plates"].as_array().unwrap();
    assert!(plates.len() > 20);
    for plate in plates {
        let id = plate["id"].as_str().unwrap();
        for file in [
            format!("flats/{id}.dxf"),
            format!("flats/{id}.svg"),
            format!("flats/{id}.json"),
            format!("formed/{id}.stl"),
        ] {
            assert!(
                files.get(&file).is_some_and(|bytes| bytes.len() > 100),
                "{file}"
            );
        }
        let mesh = &plate["mesh"];
        let (volume, expected) = (
            mesh["volume_mm3"].as_f64().unwrap(),
            mesh["expected_volume_mm3"].as_f64().unwrap(),
        );
        assert!(
            (volume - expected).abs() < 0.01 * expected,
            "{id}: {volume} for {expected} mm³"
        );
    }
    for id in [
        "boiler-wrapper",
        "firebox-wrapper",
        "footplate",
        "tank-side-left",
    ] {
        assert!(
            files[&format!("solids/{id}.step")].starts_with(b"ISO-10303-21;")
                && files[&format!("flat-solids/{id}.step")].starts_with(b"ISO-10303-21;"),
            "{id}"
        );
    }
    assert!(files.contains_key("formers/firebox-soldering-block.stl"));
    assert!(
        files
            .keys()
            .any(|file| file.starts_with("formers/") && file.contains("-former-"))
    );
    let jigs = report["jigs"].as_array().unwrap();
    assert!(jigs.len() > 10);
    for jig in jigs {
        let id = jig["id"].as_str().unwrap();
        assert!(files[&format!("jigs/{id}.3mf")].starts_with(b"PK"), "{id}");
        assert!(files[&format!("jigs/{id}.stl")].len() > 84, "{id}");
        assert!(jig["pieces"][0]["volume_mm3"].as_f64().unwrap() > 0.0);
    }
    assert!(files.contains_key("jigs/bed-1.3mf") && files.contains_key("jigs/jigs.json"));
    assert!(files["preview.glb"].starts_with(b"glTF"));
    for sheet in [
        "forming-boiler-wrapper",
        "assembly",
        "arrangement",
        "parts",
        "measuring",
    ] {
        assert!(
            files[&format!("sheets/{sheet}.pdf")].starts_with(b"%PDF"),
            "{sheet}"
        );
    }
    assert!(files["sheets/parts.csv"].starts_with(b"kind,sheet,number"));
    assert!(text(&files["sheets/readings.csv"]).contains("\nroof-height,,,,mm,height-gauge,,"));
    assert!(text(&files["sheets/readings.toml"]).contains("\nroof-height "));
    // Every file but the two that say what was written.
    assert_eq!(said["files"].as_u64().unwrap() as usize, files.len() - 1);
    assert_eq!(
        fs::read_dir(place.0.join("deep")).unwrap().count(),
        1,
        "nothing is left beside it"
    );
}

#[test]
fn same_input_same_bytes_on_one_thread_and_on_many() {
    let place = Place::new("bytes");
    let build = |out: &str, threads: &str| {
        let mut command = place.command(&["build", "class-b.toml", "--out", out]);
        assert!(
            command
                .env("RAYON_NUM_THREADS", threads)
                .output()
                .unwrap()
                .status
                .success()
        );
        contents(&place.0.join(out))
    };
    let (mut one, mut many) = (build("one", "1"), build("many", "7"));
    let mut reports = [report(&one), report(&many)];
    for report in &mut reports {
        report
            .as_object_mut()
            .unwrap()
            .remove("timings_ms")
            .unwrap();
    }
    assert_eq!(reports[0], reports[1]);
    one.remove("report.json");
    many.remove("report.json");
    assert_same_files(&one, &many);
}

#[test]
fn build_again_replaces_its_own_files_and_no_others() {
    let place = Place::new("again");
    let build =
        |more: &[&str]| place.run(&[&["build", "class-b.toml", "--out", "out"], more].concat());
    assert_eq!(status(&build(&[])), 0);
    fs::write(place.0.join("out/flats/mine.dxf"), "mine").unwrap();
    let before = contents(&place.0.join("out"));
    assert_eq!(
        status(&build(&["--scale", "4mm", "--wheels", "p4", "--no-rivets"])),
        0
    );
    let after = contents(&place.0.join("out"));
    assert_ne!(before["flats/footplate.dxf"], after["flats/footplate.dxf"]);
    assert_eq!(report(&after)["scale"], "4mm");
    assert_eq!(after["flats/mine.dxf"], b"mine");

    fs::write(
        place.0.join("out/flats/footplate.dxf"),
        "drawn over by hand",
    )
    .unwrap();
    let refused = build(&[]);
    assert_eq!(status(&refused), 2);
    assert!(
        text(&refused.stderr).contains("footplate.dxf"),
        "{}",
        text(&refused.stderr)
    );
    let left = contents(&place.0.join("out"));
    assert_eq!(left["flats/footplate.dxf"], b"drawn over by hand");
    assert_eq!(
        left["preview.glb"], after["preview.glb"],
        "nothing else was touched"
    );
}

#[test]
fn no_rivets_leaves_them_out_of_the_preview() {
    let place = Place::new("rivets");
    let size = |out: &str, more: &[&str]| {
        let args = [&["build", "class-b.toml", "--out", out], more].concat();
        assert_eq!(status(&place.run(&args)), 0);
        fs::metadata(place.0.join(out).join("preview.glb"))
            .unwrap()
            .len()
    };
    assert!(size("with", &[]) > size("without", &["--no-rivets"]) + 100_000);
}

#[test]
fn check_says_what_it_found_by_table_and_by_status() {
    let place = Place::new("check");
    let clear = place.run(&["check", "class-b.toml"]);
    assert_eq!(status(&clear), 0);
    let table = text(&clear.stdout);
    assert!(
        table.contains("Class B 0-6-2T, 7mm, fine wheels"),
        "{table}"
    );
    assert!(
        table.contains("not-developable"),
        "the corner of the bunker is a note: {table}"
    );
    assert!(
        clear.stderr.is_empty(),
        "no progress in a pipe: {}",
        text(&clear.stderr)
    );

    let (code, found) = place.json(&[
        "check",
        "class-b.toml",
        "--json",
        "--scale",
        "4mm",
        "--wheels",
        "p4",
    ]);
    assert_eq!(
        (code, &found["scale"], &found["wheels"]),
        (0, &"4mm".into(), &"p4".into())
    );
    assert!(found["findings"].is_array());
    assert!(found["artwork"].is_null());
}

/// The demo model with a variant whose chimney stands an inch farther back.
const LATE: &str =
    "\n[variants.late]\ntitle = \"Class B, late\"\n[variants.late.chimney]\nx = \"2ft 5in\"\n";

#[test]
fn variants_are_built_and_unknown_ones_refused() {
    let place = Place::new("variants");
    fs::write(place.0.join("both.toml"), format!("{CLASS_B}{LATE}")).unwrap();
    let (code, found) = place.json(&["check", "both.toml", "--variant", "late", "--json"]);
    assert_eq!((code, &found["variant"]), (0, &"late".into()));
    assert_eq!(found["title"], "Class B, late");
    let refused = place.run(&["check", "both.toml", "--variant", "early"]);
    assert_eq!(status(&refused), 2);
    let said = text(&refused.stderr);
    assert!(
        said.contains("early") && said.contains("it has late"),
        "{said}"
    );
}

#[test]
fn defaults_are_listed_with_their_sources() {
    let place = Place::new("defaults");
    let (_, found) = place.json(&["check", "class-b.toml", "--defaults", "--json"]);
    let defaults = found["defaults"].as_array().unwrap();
    let band = defaults
        .iter()
        .find(|own| own["path"] == "boiler.band_width")
        .unwrap();
    assert_eq!(band["value"], "2in (1.17 mm)");
    assert_eq!(band["source"], "common practice, no source");
    for word in ["metal.7mm.process", "metal.7mm.bend_rule"] {
        assert!(defaults.iter().any(|own| own["path"] == word), "{word}");
    }
    let table = text(&place.run(&["check", "class-b.toml", "--defaults"]).stdout);
    assert!(
        table.contains(&format!("{} defaults", defaults.len())),
        "{table}"
    );
    assert!(table.contains("boiler.band_width"), "{table}");
    let (_, without) = place.json(&["check", "class-b.toml", "--json"]);
    assert!(without["defaults"].is_null());
}

#[test]
fn differ_says_what_must_be_etched_again() {
    let place = Place::new("differ");
    fs::write(place.0.join("both.toml"), format!("{CLASS_B}{LATE}")).unwrap();
    let same = place.run(&["differ", "class-b.toml", "both.toml"]);
    assert_eq!(status(&same), 0);
    assert!(text(&same.stdout).contains("nothing differs"));
    let late = &["differ", "both.toml", "both.toml", "--variant-new", "late"];
    let other = place.run(late);
    assert_eq!(status(&other), 1);
    let said = text(&other.stdout);
    for line in [
        "  chimney.x: 16.333 -> 16.917 mm",
        "  smokebox-wrapper: must be etched again",
        "    hole chimney: changed, moved by 0.583 mm",
        "  nickel-silver half-hard 0.40 mm: stays",
        "To be etched again: 2 plates, on nickel-silver half-hard 0.20 mm and nickel-silver half-hard 0.30 mm.",
    ] {
        assert!(said.lines().any(|own| own == line), "{line} in {said}");
    }
    let (code, found) = place.json(&[late, &["--json", "--scale", "4mm"][..]].concat());
    assert_eq!((code, &found["after"]["scale"]), (1, &"4mm".into()));
    assert_eq!(found["plates"][0]["change"], "etch-again");
    fs::write(place.0.join("bad.toml"), "title = 3").unwrap();
    assert_eq!(
        status(&place.run(&["differ", "bad.toml", "class-b.toml"])),
        2
    );
    assert_eq!(
        status(&place.run(&["differ", "class-b.toml", "gone.toml"])),
        2
    );
}

#[test]
fn check_with_findings_that_count_ends_with_one() {
    let place = Place::new("findings");
    // Sheet so thick that the bands are too narrow to be etched.
    let thick = CLASS_B.replace("boiler = \"0.40mm\"", "boiler = \"2mm\"");
    fs::write(place.0.join("thick.toml"), thick).unwrap();
    let (code, found) = place.json(&["check", "thick.toml", "--json"]);
    assert_eq!(code, 1, "{found}");
    let findings = found["findings"].as_array().unwrap();
    assert!(findings.iter().any(|finding| finding["severity"] != "note"));
    // A body with findings is built all the same.
    assert_eq!(
        status(&place.run(&["build", "thick.toml", "--out", "out"])),
        1
    );
    assert!(place.0.join("out/preview.glb").exists());
}

#[test]
fn own_flats_pass_as_artwork_and_other_drawings_do_not() {
    let place = Place::new("artwork");
    assert_eq!(
        status(&place.run(&["build", "class-b.toml", "--out", "out"])),
        0
    );
    let check = |drawing: &str, more: &[&str]| {
        place.json(
            &[
                &["check", "class-b.toml", "--json", "--artwork", drawing],
                more,
            ]
            .concat(),
        )
    };
    let (code, own) = check("out/flats/boiler-wrapper.dxf", &[]);
    assert_eq!(
        code, 0,
        "what was written from the body is what was meant: {own}"
    );
    assert_eq!(own["artwork"]["per_plate"][0]["plate"], "boiler-wrapper");
    let (code, other) = check("out/flats/boiler-wrapper.dxf", &["--scale", "4mm"]);
    assert_eq!(code, 1);
    assert_ne!(own["artwork"]["findings"], other["artwork"]["findings"]);
    let spoilt = place.run(&["check", "class-b.toml", "--artwork", "class-b.toml"]);
    assert_eq!(status(&spoilt), 2, "a model file is no drawing");
}

#[test]
fn the_test_build_is_reported_and_waivers_let_findings_pass() {
    let place = Place::new("test-build");
    let drawing = include_bytes!("../../../demo-models/artwork/class-b-three-faults.dxf");
    fs::write(place.0.join("sheet.dxf"), drawing).unwrap();
    let args = [
        "check",
        "class-b.toml",
        "--artwork",
        "sheet.dxf",
        "--out",
        "report",
        "--json",
    ];
    let (code, found) = place.json(&args);
    assert_eq!(code, 1);
    assert!(
        found["verdict"]
            .as_str()
            .unwrap()
            .starts_with("Not fit to etch"),
        "{}",
        found["verdict"]
    );
    let measures = found["artwork"]["test_build"]["measures"]
        .as_array()
        .unwrap();
    assert!(
        measures.len() > 400 && measures[0]["verdict"] == "error",
        "{}",
        measures[0]
    );
    let files = contents(&place.0.join("report"));
    let page = text(&files["report.html"]);
    assert!(page.contains("<svg") && page.contains("Not fit to etch") && !page.contains("http://"));
    assert!(files["as-drawn.glb"].starts_with(b"glTF"));
    let written: Value = serde_json::from_slice(&files["report.json"]).unwrap();
    assert_eq!(written, found);

    let rules: Vec<(&str, &str)> = [
        &found["artwork"]["findings"],
        &found["artwork"]["test_build"]["findings"],
    ]
    .into_iter()
    .flat_map(|list| list.as_array().unwrap())
    .filter(|own| own["severity"] != "note")
    .map(|own| (own["rule"].as_str().unwrap(), own["path"].as_str().unwrap()))
    .collect();
    let waivers: String = rules
        .iter()
        .map(|(rule, path)| format!("[[waive]]\nrule = \"{rule}\"\npath = \"{path}\"\nreason = \"drawn so to show it\"\n"))
        .collect();
    let idle = "[[waive]]\nrule = \"outline\"\npath = \"footplate\"\nreason = \"none\"\n";
    fs::write(
        place.0.join("class-b.waivers.toml"),
        format!("{waivers}{idle}"),
    )
    .unwrap();
    let (code, waived) = place.json(&args);
    assert_eq!(code, 0, "{}", waived["verdict"]);
    assert!(
        waived["verdict"]
            .as_str()
            .unwrap()
            .starts_with("Fit to etch")
    );
    assert_eq!(waived["waived"].as_array().unwrap().len(), rules.len());
    assert!(
        text(&contents(&place.0.join("report"))["report.html"]).contains("drawn so to show it")
    );
    let table = text(&place.run(&args[..4]).stdout);
    assert!(
        table.starts_with("Fit to etch") && table.contains("because: drawn so to show it"),
        "{table}"
    );
    assert!(table.contains("waiver-idle"), "{table}");

    fs::write(
        place.0.join("class-b.waivers.toml"),
        "[[waive]]\nrule = \"outlin\"\n",
    )
    .unwrap();
    let refused = place.run(&args[..4]);
    assert_eq!(status(&refused), 2);
    assert!(
        text(&refused.stderr).contains("class-b.waivers.toml:2:8"),
        "{}",
        text(&refused.stderr)
    );
}

#[test]
fn errors_point_into_the_file() {
    let place = Place::new("errors");
    fs::write(
        place.0.join("bad.toml"),
        CLASS_B.replace("pitch = \"7ft", "pitch = \"7 leagues"),
    )
    .unwrap();
    let line = 1 + CLASS_B
        .lines()
        .position(|line| line.starts_with("pitch"))
        .unwrap();
    for args in [
        &["check", "bad.toml"][..],
        &["build", "bad.toml", "--out", "out"],
        &["bench", "bad.toml"],
    ] {
        let output = place.run(args);
        assert_eq!(status(&output), 2, "{args:?}");
        let said = text(&output.stderr);
        assert!(said.contains(&format!("bad.toml:{line}:")), "{said}");
        assert!(said.contains("7 leagues"), "the line is shown: {said}");
        assert!(output.stdout.is_empty());
    }
    assert!(!place.0.join("out").exists());
    let (code, said) = place.json(&["check", "bad.toml", "--json"]);
    assert_eq!(code, 2);
    assert_eq!(said["error"]["errors"][0]["line"], line);
    assert_eq!(said["error"]["errors"][0]["path"], "boiler.pitch");

    let (code, said) = place.json(&["check", "nowhere.toml", "--json"]);
    assert_eq!(code, 2);
    assert!(
        said["error"]["detail"]
            .as_str()
            .unwrap()
            .contains("nowhere.toml")
    );
    assert_eq!(
        status(&place.run(&["check", "class-b.toml", "--scale", "9mm"])),
        2
    );
    assert_eq!(
        status(&place.run(&["check", "class-b.toml", "--wheels", "p4", "--scale", "7mm"])),
        2
    );
    assert_eq!(
        status(&place.run(&["check", "."])),
        2,
        "a folder is no model file"
    );
}

#[test]
fn new_writes_a_model_that_passes_and_never_over_another() {
    let place = Place::new("new");
    let (code, said) = place.json(&["new", "Class Q", "--json"]);
    assert_eq!((code, &said["file"]), (0, &"class-q.toml".into()));
    let (code, found) = place.json(&["check", "class-q.toml", "--json"]);
    assert_eq!((code, &found["title"]), (0, &"Class Q".into()));
    fs::write(place.0.join("class-q.toml"), "mine").unwrap();
    assert_eq!(status(&place.run(&["new", "Class Q"])), 2);
    assert_eq!(
        fs::read_to_string(place.0.join("class-q.toml")).unwrap(),
        "mine"
    );
    assert_eq!(
        status(&place.run(&["new", "Class Q", "--out", "other.toml"])),
        0
    );
    assert!(place.0.join("other.toml").exists());
}

#[test]
fn bench_tells_the_parts() {
    let place = Place::new("bench");
    let (code, bench) = place.json(&["bench", "class-b.toml", "--runs", "1", "--json"]);
    assert_eq!((code, &bench["threads"]), (0, &1.into()));
    for share in ["with_rivets", "without_rivets"] {
        let share = &bench[share];
        let parts =
            ["read_ms", "build_ms", "mesh_ms", "glb_ms"].map(|part| share[part].as_f64().unwrap());
        let total = share["total_ms"].as_f64().unwrap();
        assert!((parts.iter().sum::<f64>() - total).abs() < 0.01, "{share}");
        assert!(share["triangles"].as_u64().unwrap() > 1000);
    }
    assert!(
        bench["with_rivets"]["triangles"].as_u64() > bench["without_rivets"]["triangles"].as_u64()
    );
    if cfg!(target_os = "linux") {
        assert!(bench["peak_memory_kib"].as_u64().unwrap() > 1024);
    }
    let table = text(&place.run(&["bench", "class-b.toml", "--runs", "1"]).stdout);
    assert!(
        table.contains("without rivets") && table.contains("peak memory"),
        "{table}"
    );
}

#[test]
fn bench_writes_every_file_of_the_plates() {
    let place = Place::new("bench-files");
    let folder = place.0.join("files");
    let to = folder.to_string_lossy().into_owned();
    let args = ["bench", "class-b.toml", "--runs", "1", "--json", "--files"];
    let (code, bench) = place.json(&[&args[..], &[&to]].concat());
    assert_eq!(code, 0);
    let plates = bench["plates"].as_u64().unwrap();
    assert!(bench["chord_error_mm"].as_f64().unwrap() <= 0.02, "{bench}");
    for (stage, files) in [
        ("glb", 1),
        ("stl", plates),
        ("step", plates),
        ("dxf", plates),
    ] {
        let own = bench["stages"].as_array().unwrap();
        let own = own.iter().find(|own| own["stage"] == stage).unwrap();
        assert_eq!(own["files"], files, "{own}");
        let written = fs::read_dir(folder.join(stage)).unwrap();
        let bytes: u64 = written.map(|f| f.unwrap().metadata().unwrap().len()).sum();
        assert_eq!(own["bytes"], bytes, "{own}");
    }
}

#[test]
fn a_reader_that_has_seen_enough_is_no_failure() {
    let place = Place::new("pipe");
    let mut command = place.command(&["check", "class-b.toml", "--json"]);
    let mut child = command
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!(status(&output), 0, "{}", text(&output.stderr));
    assert!(output.stderr.is_empty(), "{}", text(&output.stderr));
}

#[test]
fn readings_are_compared_with_the_drawing() {
    let place = Place::new("compare");
    let write = |name: &str, content: &str| fs::write(place.0.join(name), content).unwrap();
    let compare = |file: &str| place.run(&["compare", "class-b.toml", "--built", file]);
    write(
        "good.csv",
        "id,reading,reading_2\nroof-height,85.15,85.18\n",
    );
    let good = compare("good.csv");
    assert_eq!(status(&good), 0, "{}", text(&good.stderr));
    let said = text(&good.stdout);
    assert!(
        said.contains("1 of ") && said.contains("conforms"),
        "{said}"
    );
    write(
        "bad.toml",
        "[readings]\nroof-height = [85.9, 85.95]\nover-beams = 225.2\n",
    );
    let sheet = ["--sheet", "sheet.pdf", "--paper", "letter"];
    let args = ["compare", "class-b.toml", "--built", "bad.toml"];
    let (code, report) = place.json(&[&args[..], &sheet, &["--json"]].concat());
    assert_eq!(code, 1);
    assert_eq!(report["model"], "class-b");
    assert_eq!(report["findings"][0]["rule"], "built-out-of-tolerance");
    assert!(
        fs::read(place.0.join("sheet.pdf"))
            .unwrap()
            .starts_with(b"%PDF")
    );
    // What a waiver lets pass is listed with its reason and does not count; one of another command is not spoken of.
    let waivers = "[[waive]]\nrule = \"built-out-of-tolerance\"\npath = \"cab-roof\"\nreason = \"a thicker roof\"\n\
                   [[waive]]\nrule = \"fit\"\npath = \"nowhere\"\nreason = \"none\"\n";
    write("class-b.waivers.toml", waivers);
    write("roof.csv", "id,reading,reading_2\nroof-height,85.9,85.92\n");
    let waived = compare("roof.csv");
    let said = text(&waived.stdout);
    assert_eq!(status(&waived), 0, "{said}");
    assert!(said.contains("because: a thicker roof"), "{said}");
    assert!(!said.contains("waiver-idle"), "{said}");
    let (_, report) = place.json(&["compare", "class-b.toml", "--built", "roof.csv", "--json"]);
    assert_eq!(report["waived"][0]["waiver"]["reason"], "a thicker roof");
    let rules = |list: &serde_json::Value| list.to_string().contains("built-out-of-tolerance");
    assert!(rules(&report["waived"]) && !rules(&report["findings"]));
    fs::remove_file(place.0.join("class-b.waivers.toml")).unwrap();
    write("wrong.csv", "id,reading\nroof-height,x\n");
    let wrong = compare("wrong.csv");
    assert_eq!(status(&wrong), 2);
    let said = text(&wrong.stderr);
    assert!(said.contains("wrong.csv:2:13"), "{said}");
    write("scan.txt", "");
    let other = compare("scan.txt");
    assert_eq!(status(&other), 2);
    assert!(text(&other.stderr).contains("not a readings file"));
    assert_eq!(status(&compare("nowhere.csv")), 2);
}

/// Wheels of the usual 4 mm standard foul the firebox of class B; waived, they stop nothing.
#[test]
fn what_fouls_on_the_curve_can_be_waived() {
    let place = Place::new("curve-waived");
    let args = [
        "clearances",
        "class-b.toml",
        "--scale",
        "4mm",
        "--wheels",
        "oo",
        "--radius",
        "2000",
        "--json",
    ];
    let (code, found) = place.json(&args);
    assert_eq!(code, 1);
    assert_eq!(found["waived"], serde_json::json!([]));
    let counting: Vec<&serde_json::Value> = found["findings"]
        .as_array()
        .unwrap()
        .iter()
        .chain(found["balance"]["findings"].as_array().unwrap())
        .filter(|own| own["severity"] != "note")
        .collect();
    assert!(counting.iter().any(|own| own["rule"] == "wheel-touches"));
    let waive = |own: &&serde_json::Value| {
        format!(
            "[[waive]]\nrule = {}\npath = {}\nreason = \"filed out\"\n",
            own["rule"], own["path"]
        )
    };
    let file: String = counting.iter().map(waive).collect();
    fs::write(place.0.join("class-b.waivers.toml"), file).unwrap();
    let (code, waived) = place.json(&args);
    assert_eq!(code, 0, "{:#}", waived["findings"]);
    assert_eq!(waived["waived"].as_array().unwrap().len(), counting.len());
    let said = place.run(&args[..args.len() - 1]);
    assert!(text(&said.stdout).contains("because: filed out"));
    // The least radius that it runs on is looked for without them.
    let least = [&args[..], &["--least"]].concat();
    assert!(place.json(&least).1["least_radius_mm"].is_number());
}

#[cfg(unix)]
#[test]
fn serve_answers_and_ends_when_told() {
    let place = Place::new("serve");
    let mut command = place.command(&["serve", ".", "--listen", "127.0.0.1:0", "--json"]);
    let mut child = command
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut out = BufReader::new(child.stdout.take().unwrap());
    let mut said = String::new();
    while !said.trim_end().ends_with('}') {
        assert!(out.read_line(&mut said).unwrap() > 0, "{said}");
    }
    let said: Value = serde_json::from_str(&said).unwrap();
    assert_eq!(said["models"], 1);
    let address = said["address"]
        .as_str()
        .unwrap()
        .trim_start_matches("http://")
        .trim_end_matches('/');
    let mut socket = TcpStream::connect(address).unwrap();
    write!(
        socket,
        "GET /v1/models HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n\r\n"
    )
    .unwrap();
    let mut answer = String::new();
    socket.read_to_string(&mut answer).unwrap();
    assert!(
        answer.starts_with("HTTP/1.1 200") && answer.contains("class-b"),
        "{answer}"
    );

    let taken = place.run(&["serve", ".", "--listen", address]);
    assert_eq!(status(&taken), 2);
    assert!(
        text(&taken.stderr).contains("--listen"),
        "{}",
        text(&taken.stderr)
    );

    let told = Command::new("kill")
        .args(["-INT", &child.id().to_string()])
        .status()
        .unwrap();
    assert!(told.success());
    assert!(child.wait().unwrap().success());
    assert_eq!(status(&place.run(&["serve", "nowhere"])), 2);
}
