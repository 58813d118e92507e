//! Texts that are being edited: kept by their hash, asked for with `?draft=`, and what they leave as it was.

use std::collections::BTreeMap;

use serde_json::Value;

use super::{CLASS_B, Office};

const PATH: &str = "/v1/models/class-b";

async fn draft(office: &Office, text: &str) -> Value {
    let answer = office
        .ask("POST", &format!("{PATH}/drafts"), &[], text.to_owned())
        .await;
    assert_eq!(answer.status, 200);
    assert_eq!(answer.header("cache-control"), "no-store");
    answer.json()
}

fn marks(draft: &Value) -> BTreeMap<String, String> {
    let word = |value: &Value| value.as_str().unwrap().to_owned();
    let parts = draft["parts"].as_array().unwrap().iter();
    parts
        .map(|own| (word(&own["id"]), word(&own["mark"])))
        .collect()
}

#[tokio::test]
async fn a_draft_is_built_and_nothing_is_written() {
    let office = Office::new();
    let base = marks(&draft(&office, CLASS_B).await);
    let text = CLASS_B.replace(
        "x = \"9ft 2in\"\ntop = \"12ft 0in\"",
        "x = \"9ft 2in\"\ntop = \"12ft 1in\"",
    );
    assert_ne!(text, CLASS_B);
    let edited = draft(&office, &text).await;
    assert!(edited["problem"].is_null());
    assert_eq!(office.folder.read("class-b.toml"), CLASS_B);

    // Only what the change touches has another mark; back again, all marks may be trusted again.
    let touched = marks(&edited);
    let changed: Vec<&str> = touched
        .iter()
        .filter(|(id, mark)| base.get(*id) != Some(mark))
        .map(|(id, _)| id.as_str())
        .collect();
    assert_eq!(changed, ["dome"]);

    let name = edited["draft"].as_str().unwrap();
    let glb = office
        .get(&format!(
            "{PATH}/preview.glb?draft={name}&parts=dome&still=on"
        ))
        .await;
    assert_eq!((glb.status.as_u16(), &glb.body[..4]), (200, &b"glTF"[..]));
    let json = String::from_utf8_lossy(&glb.body);
    assert!(json.contains("\"dome\"") && !json.contains("boiler-wrapper"));
    let difference = office
        .get(&format!("{PATH}/difference?draft={name}"))
        .await
        .json();
    assert_eq!(difference["inputs"][0]["name"], "dome.top", "{difference}");
    let plates = office.get(&format!("{PATH}/plates?draft={name}")).await;
    assert_eq!(plates.status, 200);
}

/// Parts as they were, parts that are new, and meshes made, as `/metrics` counts them.
async fn counts(office: &Office) -> [u64; 3] {
    let text = String::from_utf8(office.get("/metrics").await.body.to_vec()).unwrap();
    [
        "parts_total{state=\"same\"}",
        "parts_total{state=\"new\"}",
        "part_meshes_total",
    ]
    .map(|name| {
        let line = text
            .lines()
            .find_map(|own| own.strip_prefix(&format!("platework_{name} ")));
        line.unwrap().parse().unwrap()
    })
}

/// The whole preview of an edited text makes the meshes of what the edit touches and takes over all others.
#[tokio::test]
async fn an_edit_meshes_what_it_touches() {
    let office = Office::new();
    let parts = marks(&draft(&office, CLASS_B).await).len() as u64;
    let whole = office.get(&format!("{PATH}/preview.glb")).await;
    assert_eq!(whole.status, 200);
    let mut before = counts(&office).await;
    assert_eq!(before[2], parts);
    let base = marks(&draft(&office, CLASS_B).await);
    for (from, to, least, most) in [
        ("top = \"12ft 0in\"", "top = \"12ft 1in\"", 1, 1),
        ("pitch = \"7ft 5in\"", "pitch = \"7ft 6in\"", 10, 40),
    ] {
        let text = CLASS_B.replacen(from, to, 1);
        assert_ne!(text, CLASS_B);
        let edited = draft(&office, &text).await;
        let now = marks(&edited);
        let touched = now
            .iter()
            .filter(|(id, mark)| base.get(*id) != Some(mark))
            .count() as u64;
        assert!(
            (least..=most).contains(&touched),
            "{touched} parts touched by {to}"
        );
        let name = edited["draft"].as_str().unwrap();
        let glb = office
            .get(&format!("{PATH}/preview.glb?draft={name}"))
            .await;
        assert_eq!(glb.status, 200);
        let after = counts(&office).await;
        assert_eq!(after[0] - before[0], now.len() as u64 - touched, "{to}");
        assert_eq!(
            [after[1] - before[1], after[2] - before[2]],
            [touched; 2],
            "{to}"
        );
        before = after;
    }
}

#[tokio::test]
async fn a_draft_with_faults_says_where() {
    let office = Office::new();
    let text = CLASS_B.replace(
        "pitch = \"7ft 5in\"",
        "pitch = \"7½ furlongs\"\npich = \"1in\"",
    );
    let found = draft(&office, &text).await;
    let problem = &found["problem"];
    assert_eq!(problem["type"], "/problems/model");
    assert!(
        problem["errors"].as_array().unwrap().len() >= 2,
        "{problem}"
    );
    assert_eq!(found["parts"], Value::Array(Vec::new()));
    // The keys are there all the same, with their places in units of UTF-16.
    let fields = found["fields"].as_array().unwrap();
    let field = |path: &str| fields.iter().find(|own| own["path"] == path).unwrap();
    let units: Vec<u16> = text.encode_utf16().collect();
    for (path, value) in [
        ("boiler.pitch", "\"7½ furlongs\""),
        ("boiler.from", "\"3ft 10in\""),
    ] {
        let at = &field(path)["at"];
        let range = at["from"].as_u64().unwrap() as usize..at["to"].as_u64().unwrap() as usize;
        assert_eq!(String::from_utf16(&units[range]).unwrap(), value);
    }
    let band = field("boiler.band_width");
    assert_eq!(band["from"], "default");
    assert_eq!(band["source"], "common practice, no source");
    assert_eq!(band["opening"]["before"], "\nband_width = ");
    assert_eq!(field("metal.7mm.boiler")["most"], 2.0);
    assert_eq!(field("metal.7mm.alloy")["words"][0], "brass");

    // What can be read but not built has its place too; no TOML has no keys.
    let text = CLASS_B.replace("shoulder_radius = \"6in\"", "shoulder_radius = \"9ft\"");
    let found = draft(&office, &text).await;
    assert!(found["problem"]["errors"][0]["line"].is_number(), "{found}");
    let found = draft(&office, "= no TOML").await;
    assert_eq!(found["fields"], Value::Array(Vec::new()));
}

#[tokio::test]
async fn drafts_are_of_models_that_there_are_and_are_forgotten_politely() {
    let office = Office::new();
    office
        .ask("POST", "/v1/models/none/drafts", &[], CLASS_B)
        .await
        .problem(404);
    let html = [("content-type", "text/html")];
    office
        .ask("POST", &format!("{PATH}/drafts"), &html, CLASS_B)
        .await
        .problem(415);
    let problem = office
        .get(&format!("{PATH}/preview.glb?draft={}", "0".repeat(64)))
        .await
        .problem(404);
    assert_eq!(problem["type"], "/problems/draft");
    office
        .get(&format!("{PATH}/preview.glb?parts=../x"))
        .await
        .problem(404);
}

#[tokio::test]
async fn the_files_of_a_build_are_listed_and_served() {
    let office = Office::new();
    let list = office.get(&format!("{PATH}/build")).await.json();
    let groups = list["groups"].as_array().unwrap();
    let group = |name: &str| groups.iter().find(|own| own["group"] == name).unwrap();
    assert!(
        group("fret")["files"].is_null(),
        "not known before it is laid out"
    );
    let flats = group("flats")["files"].as_array().unwrap();
    let file = flats
        .iter()
        .find(|own| own["file"] == "boiler-wrapper.dxf")
        .unwrap();
    assert_eq!(
        (&file["plate"], &file["bytes"]),
        (&"boiler-wrapper".into(), &Value::Null)
    );
    let made = office
        .get(&format!("{PATH}/build/flats/boiler-wrapper.dxf"))
        .await;
    let flat = office
        .get(&format!("{PATH}/plates/boiler-wrapper/flat.dxf"))
        .await;
    assert_eq!(made.body, flat.body);
    assert_eq!(
        made.header("content-disposition"),
        "attachment; filename=\"class-b-boiler-wrapper.dxf\""
    );
    // Its size is known from then on.
    let list = office
        .get(&format!("{PATH}/build?group=flats"))
        .await
        .json();
    let flats = list["groups"][0]["files"].as_array().unwrap();
    let file = flats
        .iter()
        .find(|own| own["file"] == "boiler-wrapper.dxf")
        .unwrap();
    assert_eq!(file["bytes"], flat.body.len());
    for (path, status) in [
        ("formers/firebox-soldering-block.stl", 200),
        ("formers/boiler-wrapper.stl", 404),
        ("body/report.txt", 404),
        ("sheets/parts.csv", 200),
        ("nothing/parts.csv", 404),
        ("flats/..", 404),
    ] {
        let answer = office.get(&format!("{PATH}/build/{path}")).await;
        assert_eq!(answer.status.as_u16(), status, "{path}");
    }
    office
        .get(&format!("{PATH}/build?group=nothing"))
        .await
        .problem(404);
}
