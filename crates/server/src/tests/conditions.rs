use super::Office;

const PATHS: [&str; 11] = [
    "/",
    "/openapi.json",
    "/v1/models",
    "/v1/models/class-b",
    "/v1/models/class-b/preview.glb",
    "/v1/models/class-b/plates",
    "/v1/models/class-b/plates/footplate/flat.svg",
    "/v1/models/class-b/findings",
    "/v1/models/class-b/jigs",
    "/v1/models/class-b/dimensions",
    "/v1/models/class-b/difference",
];

#[tokio::test]
async fn what_the_asker_has_is_not_sent_again() {
    let office = Office::new();
    for path in PATHS {
        let tag = office.get(path).await.header("etag").to_owned();
        assert!(!tag.is_empty(), "{path}");
        for list in [tag.clone(), format!("\"other\", {tag}")] {
            let again = office
                .ask("GET", path, &[("if-none-match", &list)], "")
                .await;
            assert_eq!(again.status, 304, "{path}");
            assert!(again.body.is_empty(), "{path}");
            assert_eq!(again.header("etag"), tag, "{path}");
        }
        let other = office
            .ask("GET", path, &[("if-none-match", "\"other\"")], "")
            .await;
        assert_eq!(other.status, 200, "{path}");
    }
}

#[tokio::test]
async fn tags_follow_the_file_and_the_query() {
    let office = Office::new();
    let mut tags = Vec::new();
    for query in ["", "?scale=4mm", "?scale=4mm&wheels=em", "?rivets=off"] {
        let path = format!("/v1/models/class-b/preview.glb{query}");
        tags.push(office.get(&path).await.header("etag").to_owned());
    }
    office
        .folder
        .write("class-b.toml", &format!("{}# a comment\n", super::CLASS_B));
    tags.push(
        office
            .get("/v1/models/class-b/preview.glb")
            .await
            .header("etag")
            .to_owned(),
    );
    let mut different = tags.clone();
    different.sort();
    different.dedup();
    assert_eq!(different.len(), tags.len(), "{tags:?}");
}

#[tokio::test]
async fn a_changed_file_is_built_anew() {
    let office = Office::new();
    let title = async || office.get("/v1/models/class-b/plates").await.json()["title"].clone();
    assert_eq!(title().await, "Class B 0-6-2T");
    office.folder.write(
        "class-b.toml",
        &super::CLASS_B.replace("Class B 0-6-2T", "Class C"),
    );
    assert_eq!(title().await, "Class C");
}

#[tokio::test]
async fn head_has_the_headers_and_no_body() {
    let office = Office::new();
    let head = office
        .ask("HEAD", "/v1/models/class-b/plates", &[], "")
        .await;
    assert_eq!(head.status, 200);
    assert!(head.body.is_empty());
    assert_eq!(
        head.header("etag"),
        office.get("/v1/models/class-b/plates").await.header("etag")
    );
}
