use super::{CLASS_B, Office};

const PATH: &str = "/v1/models/class-b";

#[tokio::test]
async fn a_write_replaces_what_it_names() {
    let office = Office::new();
    let tag = office.get(PATH).await.header("etag").to_owned();
    let text = CLASS_B.replace("Class B", "Class C");
    let headers = [
        ("if-match", tag.as_str()),
        ("content-type", "text/plain; charset=utf-8"),
    ];
    let answer = office.ask("PUT", PATH, &headers, text.clone()).await;
    assert_eq!(answer.status, 204);
    assert_eq!(office.folder.read("class-b.toml"), text);
    assert_eq!(office.get(PATH).await.header("etag"), answer.header("etag"));
    assert_ne!(answer.header("etag"), tag);
    // The same write again names a text that is not there any more.
    let problem = office.ask("PUT", PATH, &headers, text).await.problem(412);
    assert_eq!(problem["type"], "/problems/changed");
}

#[tokio::test]
async fn a_write_must_say_what_it_replaces() {
    let office = Office::new();
    office.ask("PUT", PATH, &[], CLASS_B).await.problem(428);
    for tag in ["\"other\"", "", "W/\"x\""] {
        office
            .ask("PUT", PATH, &[("if-match", tag)], CLASS_B)
            .await
            .problem(412);
    }
    let tag = office.get(PATH).await.header("etag").to_owned();
    let weak = format!("W/{tag}");
    office
        .ask("PUT", PATH, &[("if-match", &weak)], CLASS_B)
        .await
        .problem(412);
    assert_eq!(office.folder.read("class-b.toml"), CLASS_B);
}

#[tokio::test]
async fn of_two_writes_at_once_one_wins() {
    let office = Office::new();
    let tag = office.get(PATH).await.header("etag").to_owned();
    let headers = [("if-match", tag.as_str())];
    let (first, second) = (
        CLASS_B.replace("Class B", "First"),
        CLASS_B.replace("Class B", "Second"),
    );
    let (a, b) = tokio::join!(
        office.ask("PUT", PATH, &headers, first),
        office.ask("PUT", PATH, &headers, second)
    );
    let mut statuses = [a.status.as_u16(), b.status.as_u16()];
    statuses.sort_unstable();
    assert_eq!(statuses, [204, 412]);
}

#[tokio::test]
async fn what_cannot_be_read_is_not_written() {
    let office = Office::new();
    let put = async |text: Vec<u8>| office.ask("PUT", PATH, &[("if-match", "*")], text).await;
    let problem = put(CLASS_B.replace("pitch =", "pich =").into())
        .await
        .problem(422);
    assert!(problem["errors"][0]["line"].is_number());
    put(b"title = ".to_vec()).await.problem(422);
    put(b"\xff\xfe".to_vec()).await.problem(422);
    put(Vec::new()).await.problem(422);
    assert_eq!(office.folder.read("class-b.toml"), CLASS_B);
}

#[tokio::test]
async fn limits_and_media_types_of_a_write() {
    let office = Office::new();
    let comment = "#".repeat(body::MODEL_FILE_LIMIT - CLASS_B.len());
    let headers = [("if-match", "*")];
    let largest = format!("{CLASS_B}{comment}");
    assert_eq!(largest.len(), body::MODEL_FILE_LIMIT);
    assert_eq!(
        office
            .ask("PUT", PATH, &headers, largest.clone())
            .await
            .status,
        204
    );
    let problem = office
        .ask("PUT", PATH, &headers, format!("{largest}#"))
        .await
        .problem(413);
    assert_eq!(problem["type"], "/problems/too-large");
    let headers = [("if-match", "*"), ("content-type", "application/json")];
    office.ask("PUT", PATH, &headers, "{}").await.problem(415);
    let path = "/v1/models/class-b/artwork-check";
    let large = vec![b'0'; artwork::MAX_ARTWORK_BYTES + 1];
    office.ask("POST", path, &[], large).await.problem(413);
}

#[tokio::test]
async fn there_is_nothing_to_replace_where_there_is_no_file() {
    let office = Office::new();
    office
        .ask("PUT", "/v1/models/class-x", &[("if-match", "*")], CLASS_B)
        .await
        .problem(404);
    assert!(!office.folder.path().join("class-x.toml").exists());
}
