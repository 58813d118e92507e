use super::Office;
use std::fs;

const WRAPPER: &str = "/v1/models/class-b/plates/boiler-wrapper";

#[tokio::test]
async fn models_are_listed_also_those_that_cannot_be_read() {
    let office = Office::new();
    office.folder.write("broken.toml", "title = 3\n");
    office.folder.write("Not Served.toml", "");
    office.folder.write("notes.txt", "");
    let list = office.get("/v1/models").await.json();
    let models = list["models"].as_array().unwrap();
    let names: Vec<&str> = models
        .iter()
        .map(|model| model["name"].as_str().unwrap())
        .collect();
    assert_eq!(names, ["broken", "class-b"]);
    assert_eq!(models[0]["title"], "broken");
    assert_eq!(models[0]["problem"]["status"], 422);
    assert_eq!(models[0]["problem"]["errors"][0]["line"], 1);
    assert_eq!(models[1]["title"], "Class B 0-6-2T");
    assert!(models[1].get("problem").is_none());
}

#[tokio::test]
async fn text_of_a_model_is_the_file() {
    let office = Office::new();
    let answer = office.get("/v1/models/class-b").await;
    assert_eq!(answer.status, 200);
    assert_eq!(answer.header("content-type"), "text/plain; charset=utf-8");
    assert_eq!(answer.body, super::CLASS_B);
    assert_eq!(
        answer.header("etag"),
        format!("\"{}\"", crate::sha256_hex(super::CLASS_B.as_bytes()))
    );
}

#[tokio::test]
async fn preview_is_a_glb_and_rivets_make_it_larger() {
    let office = Office::new();
    let with = office.get("/v1/models/class-b/preview.glb").await;
    let without = office
        .get("/v1/models/class-b/preview.glb?rivets=off")
        .await;
    for answer in [&with, &without] {
        assert_eq!(answer.status, 200);
        assert_eq!(answer.header("content-type"), "model/gltf-binary");
        assert_eq!(&answer.body[..4], b"glTF");
        let length = u32::from_le_bytes(answer.body[8..12].try_into().unwrap());
        assert_eq!(length as usize, answer.body.len());
    }
    assert!(with.body.len() > without.body.len() + 100_000);
}

#[tokio::test]
async fn the_same_question_has_the_same_bytes_from_two_servers() {
    for path in [
        "/v1/models/class-b/preview.glb",
        "/v1/models/class-b/plates",
        "/openapi.json",
    ] {
        let first = Office::new().get(path).await;
        let second = Office::new().get(path).await;
        assert_eq!(first.body, second.body, "{path}");
        assert_eq!(first.header("etag"), second.header("etag"), "{path}");
    }
}

#[tokio::test]
async fn plates_follow_scale_and_wheels() {
    let office = Office::new();
    let seven = office.get("/v1/models/class-b/plates").await.json();
    let four = office
        .get("/v1/models/class-b/plates?scale=4mm&wheels=p4")
        .await
        .json();
    assert_eq!(
        (&seven["scale"], &seven["wheels"]),
        (&"7mm".into(), &"fine".into())
    );
    assert_eq!(
        (&four["scale"], &four["wheels"]),
        (&"4mm".into(), &"p4".into())
    );
    assert_eq!(four["mm_per_foot"], 4.0);
    let width = |list: &serde_json::Value| {
        let plates = list["plates"].as_array().unwrap();
        let plate = plates
            .iter()
            .find(|plate| plate["id"] == "footplate")
            .unwrap();
        plate["edges"]
            .as_array()
            .unwrap()
            .iter()
            .map(|edge| edge["flat_mm"].as_f64().unwrap())
            .sum::<f64>()
    };
    let ratio = width(&seven) / width(&four);
    assert!(
        (ratio - 7.0 / 4.0).abs() < 0.05,
        "perimeters of the footplate go as 7 to 4, not {ratio}"
    );
}

#[tokio::test]
async fn the_order_puts_every_plate_in_place_once() {
    let office = Office::new();
    let plates = office.get("/v1/models/class-b/plates").await.json();
    let order = office.get("/v1/models/class-b/order").await.json();
    let ids = |list: &serde_json::Value, key: &str| {
        let items = list.as_array().unwrap().iter();
        let mut ids: Vec<String> = items
            .map(|own| own[key].as_str().unwrap().to_owned())
            .collect();
        ids.sort();
        ids
    };
    assert_eq!(ids(&order["steps"], "plate"), ids(&plates["plates"], "id"));
    for (i, step) in order["steps"].as_array().unwrap().iter().enumerate() {
        assert!(
            i > 0 || step["layer"] == 0,
            "nothing stands before the first"
        );
        assert_eq!(step["layer"] == 0, step["onto"] == serde_json::json!([]));
    }
}

#[tokio::test]
async fn every_plate_stands_in_one_assembly_and_keeps_its_lengths() {
    let list = Office::new().get("/v1/models/class-b/plates").await.json();
    let plates = list["plates"].as_array().unwrap();
    let assemblies = list["assemblies"].as_array().unwrap();
    let listed: usize = assemblies
        .iter()
        .map(|own| own["plates"].as_array().unwrap().len())
        .sum();
    assert_eq!(listed, plates.len());
    for plate in plates {
        let home = assemblies
            .iter()
            .filter(|own| own["plates"].as_array().unwrap().contains(&plate["id"]));
        assert_eq!(home.count(), 1, "{}", plate["id"]);
        assert!(plate["flat_area_mm2"].as_f64().unwrap() > 0.0);
        for edge in plate["edges"].as_array().unwrap() {
            let (flat, formed) = (
                edge["flat_mm"].as_f64().unwrap(),
                edge["formed_mm"].as_f64().unwrap(),
            );
            assert!(
                (flat - formed).abs() < 2e-6,
                "{} {}: {flat} and {formed}",
                plate["id"],
                edge["name"]
            );
        }
    }
    assert!(plates.iter().any(|plate| plate["formed"] == "rolled"));
    assert!(plates.iter().any(|plate| plate["formed"] == "flat"));
}

#[tokio::test]
async fn a_flat_comes_as_svg_dxf_and_json() {
    let office = Office::new();
    let svg = office.get(&format!("{WRAPPER}/flat.svg")).await;
    assert_eq!(svg.header("content-type"), "image/svg+xml");
    assert!(String::from_utf8_lossy(&svg.body).contains("<svg"));
    let dxf = office.get(&format!("{WRAPPER}/flat.dxf?scale=4mm")).await;
    assert_eq!(dxf.header("content-type"), "image/vnd.dxf");
    assert_eq!(
        dxf.header("content-disposition"),
        "attachment; filename=\"class-b-4mm-boiler-wrapper.dxf\""
    );
    assert!(
        String::from_utf8_lossy(&dxf.body)
            .trim_end()
            .ends_with("EOF")
    );
    let json = office.get(&format!("{WRAPPER}/flat.json")).await.json();
    assert_eq!(json["plate"], "boiler-wrapper");
    assert_eq!(json["scale"], "7mm");
    assert!(json["outline"].as_array().unwrap().len() >= 4);
}

#[tokio::test]
async fn features_are_as_long_formed_as_flat_and_joints_name_them() {
    let office = Office::new();
    let joints = office.get("/v1/models/class-b/joints").await.json()["joints"].clone();
    let answer = office.get(&format!("{WRAPPER}/features")).await.json();
    let features = answer["features"].as_array().unwrap();
    let kinds = ["edge", "hole", "bend", "point"];
    for kind in kinds {
        assert!(features.iter().any(|own| own["kind"] == kind), "{kind}");
    }
    let riveted = "/v1/models/class-b/plates/smokebox-wrapper-overlay/features";
    let overlay = office.get(riveted).await.json()["features"].clone();
    let rivet = |own: &serde_json::Value| own["kind"] == "rivet" && own["at"]["body_mm"].is_array();
    assert!(overlay.as_array().unwrap().iter().any(rivet));
    let mut ids: Vec<&str> = features
        .iter()
        .map(|own| own["id"].as_str().unwrap())
        .collect();
    ids.sort_unstable();
    let count = ids.len();
    ids.dedup();
    assert_eq!(ids.len(), count, "every feature has a name of its own");
    let length = |points: &serde_json::Value| -> f64 {
        let points = points.as_array().unwrap();
        let square = |pair: &[serde_json::Value]| -> f64 {
            let (a, b) = (pair[0].as_array().unwrap(), pair[1].as_array().unwrap());
            let steps = a.iter().zip(b);
            steps
                .map(|(a, b)| (b.as_f64().unwrap() - a.as_f64().unwrap()).powi(2))
                .sum()
        };
        points.windows(2).map(|pair| square(pair).sqrt()).sum()
    };
    // The outside of a ring is longer than mid-sheet by half the thickness for each radian: here by 1 %.
    for run in features
        .iter()
        .flat_map(|own| own["runs"].as_array().unwrap())
    {
        let (flat, formed) = (length(&run["flat_mm"]), length(&run["body_mm"]));
        assert!((formed - flat).abs() < 0.02 * flat, "{flat} and {formed}");
    }
    // A ruling is straight in both states.
    let bends = features.iter().filter(|own| own["kind"] == "bend");
    for run in bends.flat_map(|own| own["runs"].as_array().unwrap()) {
        assert_eq!(run["body_mm"].as_array().unwrap().len(), 2);
    }
    let plates = office.get("/v1/models/class-b/plates").await.json()["plates"].clone();
    let known = |id: &serde_json::Value| {
        plates
            .as_array()
            .unwrap()
            .iter()
            .any(|own| own["id"] == *id)
    };
    assert!(!joints.as_array().unwrap().is_empty());
    for joint in joints.as_array().unwrap() {
        assert!(
            known(&joint["a"]["plate"]) && known(&joint["b"]["plate"]),
            "{joint}"
        );
    }
    office
        .get("/v1/models/class-b/plates/no-such/features")
        .await
        .problem(404);
}

#[tokio::test]
async fn a_formed_plate_comes_as_glb_stl_and_step() {
    let office = Office::new();
    let glb = office.get(&format!("{WRAPPER}/formed.glb")).await;
    assert_eq!(&glb.body[..4], b"glTF");
    let stl = office
        .get(&format!("{WRAPPER}/formed.stl?rivets=off"))
        .await;
    assert_eq!(stl.header("content-type"), "model/stl");
    let triangles = u32::from_le_bytes(stl.body[80..84].try_into().unwrap()) as usize;
    assert_eq!(stl.body.len(), 84 + 50 * triangles);
    let step = office.get(&format!("{WRAPPER}/solid.step")).await;
    assert_eq!(step.header("content-type"), "model/step");
    assert!(step.body.starts_with(b"ISO-10303-21;"));
}

#[tokio::test]
async fn the_body_is_one_step_file_of_all_its_plates() {
    let office = Office::new();
    let step = office.get("/v1/models/class-b/body.step").await;
    assert_eq!(step.header("content-type"), "model/step");
    assert!(step.header("content-disposition").contains("class-b.step"));
    let text = String::from_utf8(step.body.to_vec()).unwrap();
    let plates = office.get("/v1/models/class-b/plates").await.json();
    let plates = plates["plates"].as_array().unwrap();
    assert_eq!(text.matches("MANIFOLD_SOLID_BREP(").count(), plates.len());
    for plate in plates {
        let id = plate["id"].as_str().unwrap();
        assert!(
            text.contains(&format!("MANIFOLD_SOLID_BREP('{id}'")),
            "{id}"
        );
    }
}

#[tokio::test]
async fn findings_have_their_units_in_their_names() {
    let answer = Office::new().get("/v1/models/class-b/findings").await;
    let findings = answer.json()["findings"].as_array().unwrap().clone();
    assert!(
        !findings.is_empty(),
        "class B is known to have a corner that cannot be developed"
    );
    for finding in findings {
        assert!(["error", "warning", "note"].contains(&finding["severity"].as_str().unwrap()));
        assert!(finding["found_mm"].is_number() && finding["limit_mm"].is_number());
        assert!(!finding["sentence"].as_str().unwrap().is_empty());
        assert!(finding["asks"].is_string(), "{finding}");
        assert!(finding["mend"].is_string(), "{finding}");
    }
}

#[tokio::test]
async fn every_jig_listed_can_be_fetched() {
    let office = Office::new();
    let jigs = office.get("/v1/models/class-b/jigs").await.json()["jigs"]
        .as_array()
        .unwrap()
        .clone();
    assert!(!jigs.is_empty());
    for jig in jigs {
        let stl = office.get(jig["stl"].as_str().unwrap()).await;
        assert_eq!(stl.status, 200);
        assert_eq!(stl.header("content-type"), "model/stl");
        assert!(stl.body.len() > 84);
        let threemf = office.get(jig["threemf"].as_str().unwrap()).await;
        assert_eq!(threemf.status, 200);
        assert_eq!(threemf.header("content-type"), "model/3mf");
        assert!(threemf.body.starts_with(b"PK"));
        assert!(!jig["pieces"].as_array().unwrap().is_empty());
    }
    office
        .get("/v1/models/class-b/jigs/firebox-soldering-block")
        .await
        .problem(404);
}

#[tokio::test]
async fn own_flats_pass_the_artwork_check() {
    let office = Office::new();
    let dxf = office.get(&format!("{WRAPPER}/flat.dxf")).await.body;
    let path = "/v1/models/class-b/artwork-check";
    let report = office
        .ask(
            "POST",
            path,
            &[("content-type", "image/vnd.dxf")],
            dxf.clone(),
        )
        .await;
    assert_eq!(
        report.status,
        200,
        "{}",
        String::from_utf8_lossy(&report.body)
    );
    let own = report.json();
    assert_eq!(own["per_plate"][0]["plate"], "boiler-wrapper");
    let errors = |report: &serde_json::Value| {
        let findings = report["findings"].as_array().unwrap();
        findings
            .iter()
            .filter(|finding| finding["severity"] == "error")
            .count()
    };
    assert_eq!(errors(&own), 0, "{own}");
    // Held against the other scale the same drawing is wrong.
    let other = office
        .ask("POST", &format!("{path}?scale=4mm"), &[], dxf)
        .await;
    assert!(errors(&other.json()) > 0);
}

/// A drawing of a hole on plan length; waivers beside the model file let it pass.
#[tokio::test]
async fn a_check_of_artwork_has_its_page_its_engine_and_its_waivers() {
    let office = Office::new();
    let path = "/v1/models/class-b/artwork-check";
    let dxf: &[u8] = include_bytes!("../../../../demo-models/artwork/class-b-three-faults.dxf");
    let kind = [("content-type", "image/vnd.dxf")];
    let plain = office.ask("POST", path, &kind, dxf).await.json();
    let verdict = plain["test_build"]["verdict"].as_str().unwrap();
    assert!(verdict.starts_with("Not fit to etch"), "{verdict}");
    assert_eq!(plain["waived"], serde_json::json!([]));

    let page = office
        .ask("POST", &format!("{path}/report.html"), &kind, dxf)
        .await;
    assert_eq!(page.status, 200);
    assert_eq!(page.header("content-type"), "text/html; charset=utf-8");
    assert_eq!(page.header("cache-control"), "no-store");
    let text = String::from_utf8(page.body.to_vec()).unwrap();
    assert!(text.contains("Not fit to etch") && text.contains("<svg"));

    let glb = office
        .ask("POST", &format!("{path}/as-drawn.glb"), &kind, dxf)
        .await;
    assert_eq!(glb.status, 200);
    assert_eq!(glb.header("content-type"), "model/gltf-binary");
    assert_eq!(&glb.body[..4], b"glTF");

    let rule = "placed-on-plan-length";
    let standing = |report: &serde_json::Value, rule: &str| {
        let all = report["findings"].as_array().unwrap().clone();
        all.into_iter().find(|own| own["rule"] == rule).unwrap()
    };
    let found = standing(&plain, rule);
    office.folder.write(
        "class-b.waivers.toml",
        &format!(
            "[[waive]]\nrule = \"{rule}\"\npath = {}\nreason = \"drilled by hand\"\n\
             [[waive]]\nrule = \"fit\"\npath = \"dome\"\nreason = \"soldered\"\n",
            found["path"]
        ),
    );
    let waived = office.ask("POST", path, &kind, dxf).await.json();
    assert_eq!(waived["waived"][0]["finding"]["path"], found["path"]);
    assert_eq!(waived["waived"][0]["waiver"]["reason"], "drilled by hand");
    // The body's own findings are sorted by the same waivers; one that fits none of them is told, unless a drawing might.
    let own = office.get("/v1/models/class-b/findings").await;
    let tag = own.header("etag").to_owned();
    let own = own.json();
    let among = |found: &serde_json::Value| {
        let all = found.as_array().unwrap().iter();
        let idle: Vec<_> = all
            .filter(|own| own["rule"] == "waiver-idle")
            .cloned()
            .collect();
        assert_eq!(idle.len(), 1, "{idle:?}");
        assert_eq!(
            (idle[0]["severity"].as_str(), idle[0]["path"].as_str()),
            (Some("note"), Some("dome"))
        );
    };
    among(&waived["waiver_notes"]);
    among(&own["findings"]);

    office
        .folder
        .write("class-b.waivers.toml", "[[waive]]\nrule = \"outlin\"\n");
    let wrong = office.ask("POST", path, &kind, dxf).await.problem(422);
    let errors = wrong["errors"].as_array().unwrap();
    assert!(errors.iter().any(|own| own["line"] == 2), "{wrong}");
    office.get("/v1/models/class-b/findings").await.problem(422);
    fs::remove_file(office.folder.path().join("class-b.waivers.toml")).unwrap();
    let without = office.get("/v1/models/class-b/findings").await;
    assert_ne!(without.header("etag"), tag);
}

#[tokio::test]
async fn an_svg_and_its_side_file_are_read() {
    let office = Office::new();
    let svg = office.get(&format!("{WRAPPER}/flat.svg")).await.body;
    let path = "/v1/models/class-b/artwork-check";
    let kind = [("content-type", "image/svg+xml")];
    let side = "?side_file=allowance%20%3D%20%22left%20to%20the%20etcher%22";
    let report = office
        .ask("POST", &format!("{path}{side}"), &kind, svg.clone())
        .await
        .json();
    assert_eq!(report["per_plate"][0]["plate"], "boiler-wrapper");
    assert_eq!(report["drawing"]["unit"], "millimetres");
    for finding in report["findings"].as_array().unwrap() {
        assert_eq!(finding["severity"], "note", "{finding}");
        assert_ne!(finding["rule"], "allowance-unknown");
    }
    let wrong = office
        .ask(
            "POST",
            &format!("{path}?side_file=allowance%20%3D%203"),
            &kind,
            svg,
        )
        .await
        .problem(422);
    assert_eq!(wrong["type"], "/problems/artwork");
    assert_eq!(wrong["errors"][0]["column"], 13);
}

#[tokio::test]
async fn what_is_no_drawing_is_said_so() {
    let office = Office::new();
    let path = "/v1/models/class-b/artwork-check";
    for body in ["", "hello\nthere\n", "Some Binary DXF\r\n\x1a\0"] {
        let problem = office.ask("POST", path, &[], body).await.problem(422);
        assert_eq!(problem["type"], "/problems/artwork");
    }
    office
        .ask("POST", path, &[("content-type", "application/json")], "{}")
        .await
        .problem(415);
}

#[tokio::test]
async fn sheets_are_listed_and_printed() {
    let office = Office::new();
    let list = office.get("/v1/models/class-b/sheets").await.json();
    let sheets = list["sheets"].as_array().unwrap();
    let names: Vec<&str> = sheets.iter().filter_map(|own| own["id"].as_str()).collect();
    for name in [
        "forming-boiler-wrapper",
        "arrangement",
        "parts",
        "measuring",
    ] {
        assert!(names.contains(&name), "{name} of {names:?}");
    }
    let path = "/v1/models/class-b/sheets/forming-boiler-wrapper.pdf";
    let sheet = office.get(path).await;
    assert_eq!(sheet.status, 200);
    assert_eq!(sheet.header("content-type"), "application/pdf");
    assert!(sheet.body.starts_with(b"%PDF"));
    let other = office.get(&format!("{path}?paper=letter")).await;
    assert_ne!(sheet.header("etag"), other.header("etag"));
    assert_ne!(sheet.body, other.body);
    let here = "/v1/models/class-b/sheets";
    office.get(&format!("{path}?paper=a9")).await.problem(400);
    office
        .get(&format!("{here}/forming-cab-front.pdf"))
        .await
        .problem(404);
    office
        .get(&format!("{here}/measuring.csv"))
        .await
        .problem(404);
    office.get(&format!("{here}/measuring")).await.problem(404);
}

#[tokio::test]
async fn readings_are_held_against_the_drawing() {
    let office = Office::new();
    let path = "/v1/models/class-b/built-check";
    let empty = office.get("/v1/models/class-b/sheets/readings.toml").await;
    assert_eq!(
        empty.header("content-type"),
        "application/toml; charset=utf-8"
    );
    // What the server gives out is read back, by its kind or by its content.
    for kind in [&[("content-type", "application/toml")][..], &[]] {
        let answer = office.ask("POST", path, kind, empty.body.clone()).await;
        let report = answer.json();
        assert_eq!(answer.status, 200, "{report}");
        assert_eq!(answer.header("cache-control"), "no-store");
        assert_eq!(report["findings"][0]["rule"], "built-no-readings");
        assert_eq!(report["decision"], serde_json::Value::Null);
    }
    let csv = [("content-type", "text/csv; charset=utf-8")];
    let table = "id;reading\nroof-height;86,0\nover-beams;225,15\n";
    let report = office.ask("POST", path, &csv, table).await.json();
    assert_eq!(report["measured"], 2);
    assert_eq!(report["decision"], "does-not-conform");
    assert_eq!(report["findings"][0]["path"], "cab.roof.top");
    assert_eq!(report["findings"][0]["at"]["plate"], "cab-roof");
    // At another scale the same readings are of another model.
    let other = office
        .ask("POST", &format!("{path}?scale=4mm"), &csv, table)
        .await
        .json();
    assert_eq!(
        other["points"].as_array().unwrap().len(),
        report["points"].as_array().unwrap().len()
    );
    assert_eq!(other["findings"][0]["rule"], "built-slip");
    office.folder.write(
        "class-b.waivers.toml",
        "[[waive]]\nrule = \"built-out-of-tolerance\"\npath = \"cab-roof\"\nreason = \"a thicker roof\"\n",
    );
    let waived = office.ask("POST", path, &csv, table).await.json();
    assert_eq!(waived["waived"][0]["finding"]["path"], "cab.roof.top");
    assert_eq!(waived["waived"][0]["waiver"]["reason"], "a thicker roof");
    assert_ne!(waived["findings"][0]["path"], "cab.roof.top");
    let sheet = office
        .ask("POST", &format!("{path}/sheet.pdf"), &csv, table)
        .await;
    assert_eq!(sheet.header("content-type"), "application/pdf");
    assert!(sheet.body.starts_with(b"%PDF"));
    let problem = office
        .ask("POST", path, &csv, "id,reading\nroof-hight,85\n")
        .await
        .problem(422);
    assert_eq!(problem["type"], "/problems/readings");
    assert_eq!(problem["errors"][0]["line"], 2);
    assert_eq!(problem["errors"][0]["column"], 1);
    let help = problem["errors"][0]["help"].as_str().unwrap();
    assert!(help.contains("roof-height"), "{help}");
    let scan = [("content-type", "model/stl")];
    let problem = office.ask("POST", path, &scan, "solid").await.problem(422);
    assert_eq!(problem["type"], "/problems/scan");
    let picture = [("content-type", "image/png")];
    office.ask("POST", path, &picture, "png").await.problem(415);
    let large = vec![b'#'; check::built::MAX_READING_BYTES + 1];
    office.ask("POST", path, &csv, large).await.problem(413);
}

#[tokio::test]
async fn the_description_names_every_route_with_its_errors() {
    let answer = Office::new().get("/openapi.json").await;
    let description = answer.json();
    assert!(description["openapi"].as_str().unwrap().starts_with("3.1"));
    let paths = description["paths"].as_object().unwrap();
    let expected = [
        "/",
        "/health",
        "/metrics",
        "/openapi.json",
        "/v1/events",
        "/v1/models",
        "/v1/models/{model}",
        "/v1/models/{model}/artwork-check",
        "/v1/models/{model}/artwork-check/as-drawn.glb",
        "/v1/models/{model}/artwork-check/report.html",
        "/v1/models/{model}/body.step",
        "/v1/models/{model}/build",
        "/v1/models/{model}/build/{group}/{file}",
        "/v1/models/{model}/built-check",
        "/v1/models/{model}/built-check/sheet.pdf",
        "/v1/models/{model}/clearances",
        "/v1/models/{model}/clearances/{file}",
        "/v1/models/{model}/difference",
        "/v1/models/{model}/dimensions",
        "/v1/models/{model}/drafts",
        "/v1/models/{model}/findings",
        "/v1/models/{model}/jigs",
        "/v1/models/{model}/jigs/{file}",
        "/v1/models/{model}/joints",
        "/v1/models/{model}/order",
        "/v1/models/{model}/plates",
        "/v1/models/{model}/plates/{id}/features",
        "/v1/models/{model}/plates/{id}/flat.dxf",
        "/v1/models/{model}/plates/{id}/flat.json",
        "/v1/models/{model}/plates/{id}/flat.step",
        "/v1/models/{model}/plates/{id}/flat.svg",
        "/v1/models/{model}/plates/{id}/formed.glb",
        "/v1/models/{model}/plates/{id}/formed.stl",
        "/v1/models/{model}/plates/{id}/solid.step",
        "/v1/models/{model}/preview.glb",
        "/v1/models/{model}/sheets",
        "/v1/models/{model}/sheets/{file}",
    ];
    let mut names: Vec<&str> = paths.keys().map(String::as_str).collect();
    names.sort_unstable();
    assert_eq!(names, expected);
    for (path, operations) in paths {
        for (method, operation) in operations.as_object().unwrap() {
            let responses = operation["responses"].as_object().unwrap();
            let done = if method == "put" { "204" } else { "200" };
            let of_a_model: &[&str] = match path.contains("{model}") {
                true => &["400", "404", "422"],
                false => &[],
            };
            for status in [done, "405", "421", "500", "503"].iter().chain(of_a_model) {
                let known = responses.contains_key(*status);
                assert!(known, "{method} {path}: {status}");
            }
        }
    }
    let problem = &description["components"]["schemas"]["Problem"]["properties"];
    assert!(problem["errors"].is_object(), "problems are described");
}

#[tokio::test]
async fn the_page_is_served_with_its_policy() {
    let office = Office::new();
    let page = office.get("/").await;
    assert_eq!(page.status, 200);
    assert_eq!(page.header("content-type"), "text/html; charset=utf-8");
    assert_eq!(page.header("cache-control"), "no-cache");
    assert!(
        page.header("content-security-policy")
            .contains("frame-ancestors 'none'")
    );
    let text = String::from_utf8(page.body.to_vec()).unwrap();
    for asset in text.split('"').filter(|word| word.starts_with("/assets/")) {
        let file = office.get(asset).await;
        assert_eq!(file.status, 200, "{asset}");
        assert!(
            file.header("cache-control").contains("immutable"),
            "{asset}"
        );
    }
    office.ask("POST", "/", &[], "").await.problem(405);
}
