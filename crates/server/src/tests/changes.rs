use super::{CLASS_B, Office};

const PATH: &str = "/v1/models/class-b/difference";

const LATE: &str = r#"
[variants.late]
title = "Class B, late"

[variants.late.chimney]
x = "2ft 5in"
"#;

/// An office whose class B has a variant with the chimney an inch farther back.
fn office() -> Office {
    let office = Office::new();
    office
        .folder
        .write("class-b.toml", &format!("{CLASS_B}{LATE}"));
    office
}

fn plates(difference: &serde_json::Value) -> Vec<(&str, &str)> {
    let plates = difference["plates"].as_array().unwrap().iter();
    plates
        .map(|own| {
            (
                own["plate"].as_str().unwrap(),
                own["change"].as_str().unwrap(),
            )
        })
        .collect()
}

#[tokio::test]
async fn variants_are_listed_and_asked_for() {
    let office = office();
    let list = office.get("/v1/models").await.json();
    let expected = serde_json::json!([{"name": "late", "title": "Class B, late"}]);
    assert_eq!(list["models"][0]["variants"], expected);
    let base = office.get("/v1/models/class-b/plates").await;
    let late = office.get("/v1/models/class-b/plates?variant=late").await;
    assert_ne!(base.header("etag"), late.header("etag"));
    assert_eq!(base.json()["variant"], serde_json::Value::Null);
    assert_eq!(base.json()["variants"], expected);
    assert_eq!(late.json()["variant"], "late");
    assert_eq!(late.json()["title"], "Class B, late");
    let wrapper = "/v1/models/class-b/plates/smokebox-wrapper/flat.dxf";
    let base = office.get(wrapper).await;
    let late = office
        .get(&format!("{wrapper}?variant=late&scale=4mm"))
        .await;
    assert_ne!(base.body, late.body);
    assert_eq!(
        late.header("content-disposition"),
        "attachment; filename=\"class-b-late-4mm-smokebox-wrapper.dxf\""
    );
}

#[tokio::test]
async fn an_unknown_variant_is_a_fault_that_names_those_that_there_are() {
    let office = office();
    let path = "/v1/models/class-b/findings?variant=";
    let problem = office.get(&format!("{path}later")).await.problem(422);
    let help = problem["errors"][0]["help"].as_str().unwrap();
    assert!(help.contains("late"), "{problem}");
    let problem = office.get(&format!("{path}..%2F")).await.problem(400);
    assert_eq!(problem["errors"][0]["path"], "variant");
}

#[tokio::test]
async fn dimensions_say_where_they_are_from() {
    let office = office();
    let path = "/v1/models/class-b/dimensions?variant=late&scale=4mm";
    let answer = office.get(path).await.json();
    let input = |path: &str| {
        let inputs = answer["inputs"].as_array().unwrap();
        inputs.iter().find(|own| own["path"] == path).unwrap()
    };
    let chimney = input("chimney.x");
    assert_eq!(
        (&chimney["full_size_in"], &chimney["from"]),
        (&29.0.into(), &"variant".into())
    );
    assert_eq!(
        (&chimney["full_size"], &chimney["written"]),
        (&"2ft 5in".into(), &"2ft 5in".into())
    );
    assert!((chimney["mm"].as_f64().unwrap() - 29.0 / 3.0).abs() < 1e-6);
    let width = input("boiler.band_width");
    assert_eq!(width["from"], "default");
    assert!(!width["source"].as_str().unwrap().is_empty());
    assert_eq!(
        input("metal.4mm.boiler")["full_size_in"],
        serde_json::Value::Null
    );
    assert!(answer["derived"].as_array().unwrap().len() > 5);
    assert!((answer["angles"][0]["deg"].as_f64().unwrap() - 19.3).abs() < 0.1);
    assert!(!answer["defaults"].as_array().unwrap().is_empty());
}

#[tokio::test]
async fn two_variants_are_compared() {
    let office = office();
    let same = office.get(PATH).await;
    assert_eq!(same.json()["same"], true);
    let path = format!("{PATH}?variant=late");
    let answer = office.get(&path).await;
    let found = answer.json();
    let own = [
        ("smokebox-wrapper", "etch-again"),
        ("smokebox-wrapper-overlay", "etch-again"),
    ];
    assert_eq!(plates(&found), own);
    assert_eq!(found["inputs"][0]["name"], "chimney.x");
    assert_eq!(found["after"]["variant"], "late");
    let again = office
        .ask(
            "GET",
            &path,
            &[("if-none-match", answer.header("etag"))],
            "",
        )
        .await;
    assert_eq!(again.status, 304);
    let back = office.get(&format!("{PATH}?from_variant=late")).await;
    assert_eq!(back.json()["before"]["variant"], "late");
    assert_ne!(back.header("etag"), answer.header("etag"));
}

#[tokio::test]
async fn another_model_is_compared_and_a_missing_one_is_not() {
    let office = office();
    office.folder.write(
        "class-c.toml",
        &CLASS_B.replace("back = \"31ft 6in\"", "back = \"31ft 4in\""),
    );
    let found = office.get(&format!("{PATH}?from=class-c")).await.json();
    assert!(plates(&found).contains(&("bunker-wrapper", "etch-again")));
    office
        .get(&format!("{PATH}?from=class-x"))
        .await
        .problem(404);
    office.get(&format!("{PATH}?from=../x")).await.problem(404);
    office
        .get(&format!("{PATH}?form=class-c"))
        .await
        .problem(400);
    office
        .get("/v1/models/class-x/difference")
        .await
        .problem(404);
}

#[tokio::test]
async fn an_edited_text_is_compared_before_it_is_saved() {
    let office = office();
    let stored = office.folder.read("class-b.toml");
    let text = stored.replace("diameter = \"1ft 3in\"", "diameter = \"1ft 2in\"");
    let headers = [("content-type", "text/plain")];
    let answer = office.ask("POST", PATH, &headers, text.clone()).await;
    assert_eq!(answer.status, 200);
    assert_eq!(answer.header("cache-control"), "no-store");
    let found = answer.json();
    let own = [
        ("cab-front", "etch-again"),
        ("cab-front-overlay", "etch-again"),
        ("cab-back", "etch-again"),
        ("cab-window-beading-left", "etch-again"),
        ("cab-window-beading-right", "etch-again"),
    ];
    assert_eq!(plates(&found), own);
    assert_eq!(
        office.folder.read("class-b.toml"),
        stored,
        "nothing is written"
    );
    // Against the variant that is looked at, read from the text itself.
    let path = format!("{PATH}?variant=late&from_variant=late");
    let found = office.ask("POST", &path, &headers, text).await.json();
    assert_eq!(plates(&found), own);

    let broken = stored.replace("pitch = \"7ft 5in\"", "pitch = \"7\"");
    let problem = office.ask("POST", PATH, &[], broken).await.problem(422);
    assert!(
        problem["detail"].as_str().unwrap().contains("as sent"),
        "{problem}"
    );
    assert_eq!(problem["errors"][0]["path"], "boiler.pitch");
}

#[tokio::test]
async fn a_comparison_keeps_the_rules_of_a_write() {
    let office = office();
    let json = [("content-type", "application/json")];
    office.ask("POST", PATH, &json, "{}").await.problem(415);
    let large = "#".repeat(body::MODEL_FILE_LIMIT + 1);
    office.ask("POST", PATH, &[], large).await.problem(413);
    let foreign = [("origin", "http://example.org")];
    office
        .ask("POST", PATH, &foreign, CLASS_B)
        .await
        .problem(403);
    let host = [("host", "example.org")];
    office.ask("POST", PATH, &host, CLASS_B).await.problem(421);
    office
        .ask("POST", "/v1/models/class-x/difference", &[], CLASS_B)
        .await
        .problem(404);
    office.ask("DELETE", PATH, &[], "").await.problem(405);
}
