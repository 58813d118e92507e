//! Many builds at once, as a user runs them: rows, folders, shares, and what becomes of a sweep that is cut off.

#![allow(
    clippy::unwrap_used,
    reason = "a failed step of a test is a failed test"
)]

mod place;

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::Stdio;
use std::time::Duration;

use place::{CLASS_B, Place, assert_same_files, contents, status, text};
use serde_json::Value;

/// Three pitches on two wheel standards.
const SIX: [&str; 6] = [
    "sweep",
    "class-b.toml",
    "--over",
    "boiler.pitch=7ft3in..7ft5in/3",
    "--over",
    "wheels=exact,p4",
];

fn rows(said: &Value) -> &Vec<Value> {
    said["rows"].as_array().unwrap()
}

fn states(said: &Value) -> Vec<&str> {
    rows(said)
        .iter()
        .map(|row| row["state"].as_str().unwrap())
        .collect()
}

/// The values that were set, row by row.
fn values(said: &Value) -> Vec<Vec<&str>> {
    rows(said)
        .iter()
        .map(|row| {
            let set = row["settings"].as_array().unwrap();
            set.iter()
                .map(|own| own["value"].as_str().unwrap())
                .collect()
        })
        .collect()
}

/// The answer without what differs from run to run.
fn repeatable(mut said: Value) -> Value {
    for key in [
        "seconds",
        "cpu_seconds",
        "peak_memory_kib",
        "threads",
        "out",
    ] {
        said.as_object_mut().unwrap().remove(key);
    }
    for row in said["rows"].as_array_mut().unwrap() {
        row.as_object_mut().unwrap().remove("seconds").unwrap();
    }
    said
}

fn names(folder: &Path) -> BTreeSet<String> {
    let entries = fs::read_dir(folder).unwrap();
    entries
        .map(|own| own.unwrap().file_name().into_string().unwrap())
        .collect()
}

/// Every combination, the last key fastest; each is what `build` makes of a file with that value.
#[test]
fn every_combination_has_its_row_in_order() {
    let place = Place::new("sweep-order");
    let (code, said) = place.json(&[&SIX[..], &["--no-files", "--json"]].concat());
    assert_eq!((code, &said["combinations"]), (0, &6.into()));
    let want: Vec<[&str; 2]> = ["7ft 3in", "7ft 4in", "7ft 5in"]
        .into_iter()
        .flat_map(|pitch| ["exact", "p4"].map(|wheels| [pitch, wheels]))
        .collect();
    assert_eq!(values(&said), want);
    let numbers: Vec<u64> = rows(&said)
        .iter()
        .map(|row| row["number"].as_u64().unwrap())
        .collect();
    assert_eq!(numbers, [1, 2, 3, 4, 5, 6]);
    assert!(states(&said).iter().all(|own| *own == "reckoned"));
    assert_eq!(
        names(&place.0),
        BTreeSet::from(["class-b.toml".to_owned()]),
        "nothing is written"
    );

    let own = &rows(&said)[3]["summary"];
    assert_eq!(
        (&own["scale"], &own["wheels"]),
        (&"4mm".into(), &"p4".into())
    );
    let set = CLASS_B.replace("pitch = \"7ft 5in\"", "pitch = \"7ft 4in\"");
    assert_ne!(set, CLASS_B);
    fs::write(place.0.join("set.toml"), set).unwrap();
    let build = ["build", "set.toml", "--wheels", "p4", "--out", "built"];
    assert_eq!(status(&place.run(&build)), 0);
    let report: Value =
        serde_json::from_slice(&contents(&place.0.join("built"))["report.json"]).unwrap();
    let plates = report["plates"].as_array().unwrap();
    let area: f64 = plates
        .iter()
        .map(|own| own["flat_area_mm2"].as_f64().unwrap())
        .sum();
    assert_eq!(own["plates"], plates.len());
    assert!((own["metal_cm2"].as_f64().unwrap() - area / 100.0).abs() < 0.006);
    let findings = report["findings"].as_array().unwrap();
    assert_eq!(
        own["notes"],
        findings
            .iter()
            .filter(|own| own["severity"] == "note")
            .count()
    );

    let shown = text(&place.run(&[&SIX[..], &["--no-files"]].concat()).stdout);
    let lines: Vec<&str> = shown.lines().collect();
    assert!(
        lines[0].starts_with("no.  model    boiler.pitch  wheels  plates"),
        "{shown}"
    );
    assert!(
        lines[4].starts_with("  4  class-b  7ft 4in       p4          80"),
        "{shown}"
    );
}

/// All files: the folder is that of a build, but for times, and with the model file that it was made from.
#[test]
fn a_folder_holds_what_a_build_writes() {
    let place = Place::new("sweep-files");
    let sweep = [
        "sweep",
        "class-b.toml",
        "--over",
        "wheels=exact",
        "--out",
        "all",
        "--json",
    ];
    let (code, said) = place.json(&sweep);
    assert_eq!(code, 0, "{said}");
    let row = &rows(&said)[0];
    let folder = place.0.join("all").join(row["folder"].as_str().unwrap());
    let build = [
        "build",
        "class-b.toml",
        "--wheels",
        "exact",
        "--out",
        "built",
    ];
    assert_eq!(status(&place.run(&build)), 0);
    let (mut swept, mut built) = (contents(&folder), contents(&place.0.join("built")));
    assert_eq!(text(&swept["model/class-b.toml"]), CLASS_B);
    assert_eq!(
        serde_json::from_slice::<Value>(&swept["summary.json"]).unwrap(),
        row["summary"]
    );
    let mut reports = [&swept, &built]
        .map(|own| -> Value { serde_json::from_slice(&own["report.json"]).unwrap() });
    for report in &mut reports {
        report["timings_ms"].take();
    }
    assert_eq!(reports[0], reports[1]);
    for own in [&mut swept, &mut built] {
        own.retain(|file, _| {
            !["report.json", "files.json", "summary.json"].contains(&file.as_str())
                && !file.starts_with("model/")
        });
    }
    assert_same_files(&swept, &built);
}

#[test]
fn a_refused_combination_is_a_row_with_its_reason() {
    let place = Place::new("sweep-refused");
    let over = [
        "sweep",
        "class-b.toml",
        "--over",
        "boiler.pitch=7ft5in,40ft,7ft4in",
    ];
    let more = ["--out", "out", "--only", "flats"];
    let (code, said) = place.json(&[&over[..], &more, &["--json"]].concat());
    assert_eq!((code, states(&said)), (2, vec!["made", "refused", "made"]));
    let row = &rows(&said)[1];
    assert!(row["folder"].is_null() && row["summary"].is_null());
    let reason = row["reason"].as_str().unwrap();
    assert!(reason.starts_with("class-b.toml:"), "{reason}");
    assert_eq!(names(&place.0.join("out")).len(), 2);
    let shown = place.run(&[&over[..], &more].concat());
    assert!(text(&shown.stdout).contains(&format!("\n     {reason}\n")));

    // Scales and wheels that do not go together are refused by the model too.
    let both = [
        "--over",
        "scale=4mm,7mm",
        "--over",
        "wheels=exact,p4",
        "--no-files",
        "--json",
    ];
    let (code, said) = place.json(&[&["sweep", "class-b.toml"][..], &both].concat());
    let want = vec!["refused", "reckoned", "reckoned", "refused"];
    assert_eq!((code, states(&said)), (2, want));
}

#[test]
fn wrong_keys_values_and_numbers_are_told_before_anything_is_built() {
    let place = Place::new("sweep-wrong");
    fs::write(place.0.join("bad.toml"), "title = \n").unwrap();
    for (args, says, help) in [
        (
            &["--over", "boiler.pich=7ft"][..],
            "boiler.pich",
            "boiler.pitch",
        ),
        (
            &["--over", "boiler.pitch=7ft,seven"],
            "boiler.pitch=seven",
            "4ft 8 1/2in",
        ),
        (&["--over", "wheels=fine,p5"], "wheels=p5", "exact"),
        (
            &["--over", "boiler.pitch=7ft..8ft"],
            "how many",
            "7ft1in..7ft6in/6",
        ),
        (
            &["--over", "boiler.pitch"],
            "names no key",
            "wheels=fine,exact",
        ),
        (
            &["--over", "wheels=fine", "--over", "wheels=exact"],
            "wheels is given twice",
            "commas",
        ),
        (
            &["--over", "variant=late"],
            "no variants",
            "[variants.NAME]",
        ),
        (
            &[
                "--over",
                "boiler.pitch=7ft..8ft/500",
                "--over",
                "footplate.top=4ft..5ft/500",
            ],
            "250000 combinations",
            "fewer",
        ),
        (&["--part", "3/2"], "no share", "2/8"),
        (&["class-b.toml"], "given twice", "leave"),
        (&["gone.toml"], "gone.toml cannot be read", ""),
        (&["bad.toml", "--over", "title=a"], "bad.toml:1:", ""),
    ] {
        let output = place.run(&[&["sweep", "class-b.toml"][..], args, &["--out", "out"]].concat());
        assert_eq!(status(&output), 2, "{args:?}");
        // Messages are broken into lines.
        let said: Vec<String> = text(&output.stderr)
            .split_whitespace()
            .map(str::to_owned)
            .collect();
        let said = said.join(" ").replace(" │ ", " ");
        assert!(
            said.contains(says) && said.contains(help),
            "{args:?}: {said}"
        );
        assert!(
            output.stdout.is_empty() && !place.0.join("out").exists(),
            "{args:?}"
        );
    }
    let both = ["sweep", "class-b.toml", "--no-files", "--out", "out"];
    assert_eq!(status(&place.run(&both)), 2);
    assert_eq!(status(&place.run(&["sweep", "class-b.toml"])), 2);
}

/// What is there whole is kept; what lacks a byte is made anew, and what is not ours stays.
#[test]
fn whole_folders_are_kept_and_others_made_anew() {
    let place = Place::new("sweep-kept");
    let more = ["--out", "out", "--only", "flats,preview", "--json"];
    let args = [&SIX[..], &more].concat();
    let (_, first) = place.json(&args);
    assert_eq!(states(&first), ["made"; 6]);
    let out = place.0.join("out");
    let whole = contents(&out);
    assert!(whole.keys().all(|own| !own.contains("/.")));
    let (_, again) = place.json(&args);
    assert_eq!(states(&again), ["kept"; 6]);
    assert_eq!(contents(&out), whole);
    let of = |said: &Value, key: &str| -> Vec<Value> {
        rows(said).iter().map(|row| row[key].clone()).collect()
    };
    assert_eq!(of(&again, "summary"), of(&first, "summary"));
    assert_eq!(of(&again, "folder"), of(&first, "folder"));

    // A file less, a file cut short, no list, and what a copy that was cut off would be.
    let folder = |at: usize| out.join(rows(&first)[at]["folder"].as_str().unwrap());
    fs::remove_file(folder(0).join("flats/footplate.dxf")).unwrap();
    let cut = folder(1).join("preview.glb");
    let bytes = fs::read(&cut).unwrap();
    fs::write(&cut, &bytes[..bytes.len() / 2]).unwrap();
    fs::remove_file(folder(2).join("files.json")).unwrap();
    fs::remove_dir_all(folder(3)).unwrap();
    fs::create_dir(folder(3)).unwrap();
    fs::write(folder(4).join("mine.txt"), "mine").unwrap();
    let (_, mended) = place.json(&args);
    assert_eq!(
        states(&mended),
        ["made", "made", "made", "made", "kept", "kept"]
    );
    let mut after = contents(&out);
    let mine = format!("{}/mine.txt", rows(&first)[4]["folder"].as_str().unwrap());
    assert_eq!(after.remove(&mine).unwrap(), b"mine");
    assert_eq!(after, whole);

    // Anything that decides a byte decides the name.
    let folders = |args: &[&str]| -> BTreeSet<String> {
        let (_, said) = place.json(&[args, &["--out", "other", "--json"]].concat());
        rows(&said)
            .iter()
            .map(|row| row["folder"].as_str().unwrap().to_owned())
            .collect()
    };
    fs::write(place.0.join("class-c.toml"), CLASS_B).unwrap();
    fs::write(
        place.0.join("class-d.toml"),
        CLASS_B.replace("7ft 5in", "7ft 4in"),
    )
    .unwrap();
    let models = ["sweep", "class-b.toml", "class-c.toml", "class-d.toml"];
    let ways: [&[&str]; 4] = [
        &["--only", "preview"],
        &["--only", "preview", "--no-rivets"],
        &["--only", "preview,flats"],
        &["--only", "preview", "--over", "wheels=exact"],
    ];
    let all: BTreeSet<String> = ways
        .iter()
        .flat_map(|own| folders(&[&models[..], own].concat()))
        .collect();
    assert_eq!(all.len(), 12);
    // The order of the parts decides nothing.
    let turned = folders(&[&models[..], &["--only", "flats,preview"]].concat());
    assert!(turned.is_subset(&all));
}

#[test]
fn a_sweep_that_was_killed_is_carried_on() {
    let place = Place::new("sweep-killed");
    let out = place.0.join("out");
    let args = [&SIX[..], &["--out", "out", "--only", "flats,formed"]].concat();
    // Killed again and again, until one was caught amid writing.
    let is_part = |own: &String| own.starts_with('.');
    for _ in 0..50 {
        let mut child = place
            .command(&args)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut caught = false;
        while !caught && child.try_wait().unwrap().is_none() {
            caught = out.exists() && names(&out).iter().any(is_part);
            std::thread::sleep(Duration::from_millis(1));
        }
        child.kill().unwrap();
        child.wait().unwrap();
        if names(&out).iter().any(is_part) {
            break;
        }
        fs::remove_dir_all(&out).unwrap();
    }
    assert!(names(&out).iter().any(is_part), "no kill came amid writing");
    let (code, said) = place.json(&[&args[..], &["--json"]].concat());
    assert_eq!(code, 0);
    assert!(states(&said).contains(&"made"));
    let folders: BTreeSet<String> = rows(&said)
        .iter()
        .map(|row| row["folder"].as_str().unwrap().to_owned())
        .collect();
    assert_eq!(
        names(&out),
        folders,
        "what was cut off is gone, and all is there"
    );
    let clean = [
        &SIX[..],
        &["--out", "clean", "--only", "flats,formed", "--json"],
    ]
    .concat();
    place.json(&clean);
    assert_eq!(contents(&out), contents(&place.0.join("clean")));
}

#[test]
fn two_processes_at_once_leave_one_whole_result() {
    let place = Place::new("sweep-two");
    let args = [
        &SIX[..],
        &["--out", "out", "--only", "flats,preview", "--threads", "2"],
    ]
    .concat();
    let start = || {
        place
            .command(&args)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap()
    };
    let both = [start(), start()].map(|own| own.wait_with_output().unwrap());
    for own in &both {
        assert_eq!(status(own), 0, "{}", text(&own.stderr));
    }
    let (_, kept) = place.json(&[&args[..], &["--json"]].concat());
    assert_eq!(states(&kept), ["kept"; 6]);
    assert_eq!(names(&place.0.join("out")).len(), 6);
    place.json(
        &[
            &SIX[..],
            &["--out", "alone", "--only", "flats,preview", "--json"],
        ]
        .concat(),
    );
    assert_eq!(
        contents(&place.0.join("out")),
        contents(&place.0.join("alone"))
    );
}

#[test]
fn same_rows_and_bytes_on_one_thread_and_on_many() {
    let place = Place::new("sweep-threads");
    let run = |out: &str, threads: &str| {
        let more = [
            "--out",
            out,
            "--only",
            "flats,fret",
            "--threads",
            threads,
            "--json",
        ];
        let (code, said) = place.json(&[&SIX[..2], &SIX[4..], &more].concat());
        assert_eq!(code, 0);
        (repeatable(said), contents(&place.0.join(out)))
    };
    let (one, two, many) = (run("one", "1"), run("two", "2"), run("many", "7"));
    assert!(one == two, "on two threads");
    assert!(one == many, "on seven threads");
    assert!(one.0["rows"][0]["summary"]["sheets"].as_u64().unwrap() > 0);
}

#[test]
fn shares_have_nothing_in_common_and_all_together() {
    let place = Place::new("sweep-shares");
    let (_, whole) = place.json(&[&SIX[..], &["--no-files", "--json"]].concat());
    let whole = repeatable(whole);
    let mut numbers = Vec::new();
    for part in ["1/4", "2/4", "3/4", "4/4"] {
        let (_, said) = place.json(&[&SIX[..], &["--no-files", "--json", "--part", part]].concat());
        let said = repeatable(said);
        assert_eq!(said["combinations"], 6);
        for row in rows(&said) {
            let number = row["number"].as_u64().unwrap() as usize;
            assert_eq!(*row, rows(&whole)[number - 1]);
            numbers.push(number);
        }
    }
    numbers.sort_unstable();
    assert_eq!(numbers, [1, 2, 3, 4, 5, 6]);
    // A share may be empty.
    let (code, said) = place.json(&[
        "sweep",
        "class-b.toml",
        "--no-files",
        "--part",
        "2/2",
        "--json",
    ]);
    assert_eq!((code, rows(&said).len()), (0, 0));
}

/// A drawing that the model adopts decides the result as well, and stands beside the model in its folder.
#[test]
fn an_own_drawing_decides_the_name_too() {
    let place = Place::new("sweep-own");
    let own = "[[own_plates]]\nid = \"brake-bracket\"\ndrawing = \"artwork/own.svg\"\nsheet = \"frames\"\n\
               x = \"120mm\"\ny = \"12mm\"\nz = \"12mm\"\nfacing = \"left\"\n";
    fs::write(place.0.join("own.toml"), format!("{CLASS_B}\n{own}")).unwrap();
    let draw = |height: f64| {
        let drawing = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"60mm\" height=\"40mm\" viewBox=\"0 0 60 40\">\n\
             <g id=\"OUTLINE\"><rect x=\"10\" y=\"10\" width=\"20\" height=\"{height}\"/></g>\n\
             <g id=\"LABELS\"><text x=\"20\" y=\"16\">brake bracket</text></g>\n</svg>"
        );
        fs::create_dir_all(place.0.join("artwork")).unwrap();
        fs::write(place.0.join("artwork/own.svg"), drawing).unwrap();
    };
    let run = || {
        let args = [
            "sweep", "own.toml", "--out", "out", "--only", "flats", "--json",
        ];
        let (_, said) = place.json(&args);
        rows(&said)[0].clone()
    };
    let without = run();
    assert_eq!(without["state"], "refused");
    assert!(
        without["reason"]
            .as_str()
            .unwrap()
            .contains("own_plates[0].drawing"),
        "{without}"
    );
    draw(8.0);
    let high = run();
    assert_eq!(
        (&high["state"], &high["summary"]["plates"]),
        (&"made".into(), &81.into()),
        "{high}"
    );
    draw(7.0);
    let low = run();
    assert_eq!(low["state"], "made");
    assert_ne!(high["folder"], low["folder"]);
    draw(8.0);
    assert_eq!(run()["state"], "kept");
    // The model in the folder can be built where it stands.
    let model = format!("out/{}/model/own.toml", high["folder"].as_str().unwrap());
    let (code, said) = place.json(&["check", &model, "--json"]);
    assert!(code < 2, "{said}");
}
