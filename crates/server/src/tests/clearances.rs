use super::Office;

const CLASS_E: &str = include_str!("../../../../demo-models/class-e.toml");
const TENDER_T: &str = include_str!("../../../../demo-models/tender-t.toml");
const CURVE: &str = "?scale=4mm&wheels=p4&tender=tender-t&radius=914";

fn office() -> Office {
    let office = Office::new();
    office.folder.write("class-e.toml", CLASS_E);
    office.folder.write("tender-t.toml", TENDER_T);
    office
}

#[tokio::test]
async fn an_engine_is_led_over_a_curve_with_its_tender() {
    let office = office();
    let address = format!("/v1/models/class-e/clearances{CURVE}");
    let found = office.get(&address).await;
    let view = found.json();
    assert_eq!(view["course"], "curve");
    // The angle of the demo railway's table of curves.
    let angle = view["coupled"]["angle_deg"].as_array().unwrap();
    let most = angle
        .iter()
        .map(|own| own.as_f64().unwrap().abs())
        .fold(0.0, f64::max);
    assert!((most - 5.04).abs() < 0.02, "{most}");
    assert!(view.get("least_radius_mm").is_none());

    let plan = office
        .get(&format!("/v1/models/class-e/clearances/plan.svg{CURVE}"))
        .await;
    let text = std::str::from_utf8(&plan.body).unwrap();
    assert!(text.contains("On the curve: 914 mm radius") && text.contains("angle 5.0"));
    let run = office
        .get(&format!("/v1/models/class-e/clearances/run.glb{CURVE}"))
        .await;
    assert_eq!(run.header("content-type"), "model/gltf-binary");
    let length = u32::from_le_bytes(run.body[12..16].try_into().unwrap()) as usize;
    let gltf: serde_json::Value = serde_json::from_slice(&run.body[20..20 + length]).unwrap();
    assert_eq!(gltf["animations"][0]["name"], "run");
    // Engine, its bogie, and the tender, each with a way and a turn.
    assert_eq!(
        gltf["animations"][0]["channels"].as_array().unwrap().len(),
        6
    );

    let tag = found.header("etag").to_owned();
    let again = office
        .ask("GET", &address, &[("if-none-match", &tag)], "")
        .await;
    assert_eq!(again.status, 304);
    // What a waiver lets pass is another answer, and stands by itself.
    let first = &view["findings"][0];
    let waiver = format!(
        "[[waive]]\nrule = {}\npath = {}\nreason = \"eased\"\n",
        first["rule"], first["path"]
    );
    office.folder.write("class-e.waivers.toml", &waiver);
    let waived = office.get(&address).await;
    assert_ne!(waived.header("etag"), tag);
    assert_eq!(waived.json()["waived"][0]["waiver"]["reason"], "eased");
    assert!(
        !waived.json()["findings"]
            .as_array()
            .unwrap()
            .contains(first)
    );
    // Another radius is another answer.
    let other = office.get(&address.replace("914", "1067")).await;
    assert_ne!(other.header("etag"), tag);
}

#[tokio::test]
async fn a_course_that_is_none_is_refused_with_what_would_be_right() {
    let office = office();
    let of = |words: &str| format!("/v1/models/class-e/clearances{words}");
    for (words, status, wanted) in [
        ("?radius=-5", 400, "no length of a track"),
        ("?radius=nan", 400, "no length of a track"),
        ("?reverse=0&crossover=6", 400, "three kinds of course"),
        ("?radius=30", 422, "too sharp"),
        ("?radius=0", 422, "radius is none"),
        ("?crossover=6&radius=1e6", 422, "apart"),
        ("?radius=1e9", 400, "straight track"),
        ("?tender=class-x", 404, "class-x"),
        ("?tender=../x", 404, "no model of that name"),
        ("/plan.dxf", 404, "there is no file"),
    ] {
        let answer = office.get(&of(words)).await;
        let problem = answer.problem(status).to_string();
        assert!(problem.contains(wanted), "{words}: {problem}");
    }
}
