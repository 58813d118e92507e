use super::{CLASS_B, Office, TOKEN};

#[tokio::test]
async fn only_own_names_are_answered_to() {
    let office = Office::new();
    for path in ["/", "/v1/models", "/nothing", "/openapi.json", "/v1/events"] {
        for host in [
            "example.org",
            "example.org:8730",
            "127.0.0.1:80",
            "127.0.0.1",
            "",
        ] {
            let problem = office
                .ask("GET", path, &[("host", host)], "")
                .await
                .problem(421);
            assert_eq!(problem["type"], "/problems/host", "{path} {host}");
        }
    }
    for host in ["localhost:8730", "127.0.0.1:8730", "[::1]:8730"] {
        assert_eq!(
            office
                .ask("GET", "/v1/models", &[("host", host)], "")
                .await
                .status,
            200,
            "{host}"
        );
    }
}

#[tokio::test]
async fn bound_to_the_network_the_name_is_free() {
    let office = Office::at("0.0.0.0:8730");
    let bearer = format!("Bearer {TOKEN}");
    let headers = [("host", "workshop.lan:8730"), ("authorization", &bearer)];
    assert_eq!(
        office.ask("GET", "/v1/models", &headers, "").await.status,
        200
    );
}

#[tokio::test]
async fn on_a_network_the_token_is_asked_for() {
    let folder = super::Folder::new();
    let address = "0.0.0.0:8730".parse().unwrap();
    let refused = crate::ServerState::new(folder.path(), address, None);
    let words = refused.err().unwrap().to_string();
    assert!(words.contains("--token-file"), "{words}");

    let office = Office::at("0.0.0.0:8730");
    let wrong = format!("Bearer {TOKEN}x");
    for headers in [
        vec![],
        vec![("authorization", wrong.as_str())],
        vec![("authorization", TOKEN)],
        vec![("cookie", "platework-token=")],
    ] {
        for (method, path) in [
            ("GET", "/"),
            ("GET", "/v1/models"),
            ("GET", "/openapi.json"),
            ("GET", "/metrics"),
            ("GET", "/nothing"),
            ("PUT", "/v1/models/class-b"),
        ] {
            let answer = office.ask(method, path, &headers, "").await;
            assert!(
                answer.header("www-authenticate").starts_with("Bearer"),
                "{path}"
            );
            answer.problem(401);
        }
    }
    // Who keeps it running asks without.
    assert_eq!(office.get("/health").await.json()["status"], "ok");

    // A browser is given its cookie, and the token leaves the address.
    office.get("/?token=wrong").await.problem(401);
    office
        .get(&format!("/v1/models?token={TOKEN}"))
        .await
        .problem(401);
    let entered = office.get(&format!("/?token={TOKEN}")).await;
    assert_eq!(entered.status, 303);
    assert_eq!(entered.header("location"), "/");
    let cookie = entered.header("set-cookie");
    assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict"));
    let own = cookie.split(';').next().unwrap();
    let answer = office
        .ask("GET", "/v1/models", &[("cookie", own)], "")
        .await;
    assert_eq!(answer.status, 200);
}

#[tokio::test]
async fn counters_say_what_was_answered() {
    let office = Office::new();
    office.get("/v1/models").await;
    office.get("/v1/models/class-x").await;
    let answer = office.get("/metrics").await;
    assert!(
        answer
            .header("content-type")
            .starts_with("application/openmetrics-text")
    );
    let text = String::from_utf8(answer.body.to_vec()).unwrap();
    for line in [
        "platework_answers_total{status=\"2xx\"} 1",
        "platework_answers_total{status=\"4xx\"} 1",
        "platework_requests_open 1",
        "# EOF",
    ] {
        assert!(text.lines().any(|own| own == line), "{line}\n{text}");
    }
}

#[tokio::test]
async fn other_sites_cannot_write() {
    let office = Office::new();
    let put = async |origin: &str| {
        let headers = [("origin", origin), ("if-match", "*")];
        office
            .ask("PUT", "/v1/models/class-b", &headers, CLASS_B)
            .await
    };
    for origin in [
        "http://example.org",
        "null",
        "http://localhost:8730",
        "https://127.0.0.1:8730",
        "",
    ] {
        let problem = put(origin).await.problem(403);
        assert_eq!(problem["type"], "/problems/origin", "{origin}");
    }
    assert_eq!(put("http://127.0.0.1:8730").await.status, 204);
    let headers = [("origin", "http://example.org")];
    office
        .ask("POST", "/v1/models/class-b/artwork-check", &headers, "")
        .await
        .problem(403);
    // Reading harms nobody: without a header that allows it the other site does not see the answer.
    let read = office.ask("GET", "/v1/models", &headers, "").await;
    assert_eq!(read.status, 200);
    assert_eq!(read.header("access-control-allow-origin"), "");
}

#[tokio::test]
async fn no_path_leads_out_of_the_folder() {
    let office = Office::new();
    let outside = office.folder.path().with_extension("outside.toml");
    std::fs::write(&outside, CLASS_B).unwrap();
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink(&outside, office.folder.path().join("linked.toml")).unwrap();
        std::os::unix::fs::symlink("class-b.toml", office.folder.path().join("inside.toml"))
            .unwrap();
    }
    for name in [
        "..%2Foutside",
        "%2e%2e",
        "..%5Coutside",
        "linked",
        "class-b.toml",
        "Class-B",
        "%00",
        "class-b%00",
        "%2Fetc%2Fpasswd",
    ] {
        office.get(&format!("/v1/models/{name}")).await.problem(404);
        office
            .get(&format!("/v1/models/{name}/plates"))
            .await
            .problem(404);
    }
    #[cfg(unix)]
    assert_eq!(office.get("/v1/models/inside").await.status, 200);
    let list = office.get("/v1/models").await.json().to_string();
    assert!(!list.contains("linked"), "{list}");
    std::fs::remove_file(outside).unwrap();
}

#[tokio::test]
async fn what_is_not_there_is_a_problem_in_the_one_shape() {
    let office = Office::new();
    for path in [
        "/nothing",
        "/v1",
        "/v1/models/class-x",
        "/v1/models/class-x/preview.glb",
        "/v1/models/class-b/plates/none/flat.svg",
        "/v1/models/class-b/plates/none/formed.stl",
        "/v1/models/class-b/plates/No%20Such/solid.step",
        "/v1/models/class-b/plates/boiler-wrapper/flat.pdf",
        "/v1/models/class-b/jigs/none.stl",
        "/assets/none.js",
    ] {
        office.get(path).await.problem(404);
    }
    let near = office
        .get("/v1/models/class-b/plates/boiler-wraper/flat.svg")
        .await
        .problem(404);
    assert_eq!(near["errors"][0]["help"], "did you mean boiler-wrapper?");
}

#[tokio::test]
async fn wrong_queries_name_the_word_and_the_choice() {
    let office = Office::new();
    for (query, path) in [
        ("scale=9mm", "scale"),
        ("wheels=wide", "wheels"),
        ("rivets=yes", "rivets"),
        ("scale=", "scale"),
    ] {
        let problem = office
            .get(&format!("/v1/models/class-b/plates?{query}"))
            .await
            .problem(400);
        assert_eq!(problem["errors"][0]["path"], path);
        assert!(
            problem["errors"][0]["help"]
                .as_str()
                .unwrap()
                .starts_with("choose among")
        );
    }
    for query in ["colour=red", "scale=4mm&scale=7mm", "scale=%FF"] {
        office
            .get(&format!("/v1/models/class-b/plates?{query}"))
            .await
            .problem(400);
    }
    let problem = office
        .get("/v1/models/class-b/plates?scale=7mm&wheels=em")
        .await
        .problem(422);
    assert_eq!(problem["type"], "/problems/model");
}

#[tokio::test]
async fn other_methods_are_refused_with_what_is_allowed() {
    let office = Office::new();
    let answer = office.ask("DELETE", "/v1/models/class-b", &[], "").await;
    answer.problem(405);
    assert_eq!(answer.header("allow"), "GET,HEAD,PUT");
    office.ask("POST", "/v1/models", &[], "").await.problem(405);
    office
        .ask("GET", "/v1/models/class-b/artwork-check", &[], "")
        .await
        .problem(405);
}

#[tokio::test]
async fn every_answer_has_the_security_headers() {
    let office = Office::new();
    for path in [
        "/",
        "/v1/models",
        "/nothing",
        "/v1/models/class-b/plates?scale=9mm",
    ] {
        let answer = office.get(path).await;
        assert!(
            answer
                .header("content-security-policy")
                .contains("default-src 'self'"),
            "{path}"
        );
        assert_eq!(answer.header("x-content-type-options"), "nosniff", "{path}");
        assert_eq!(answer.header("referrer-policy"), "no-referrer", "{path}");
        assert_eq!(
            answer.header("cross-origin-resource-policy"),
            "same-origin",
            "{path}"
        );
    }
}

#[tokio::test]
async fn a_broken_model_says_where() {
    let office = Office::new();
    office.folder.write(
        "broken.toml",
        &CLASS_B.replace("pitch = \"7ft 5in\"", "pitch = \"7 feet\""),
    );
    let line = 1 + CLASS_B
        .lines()
        .position(|line| line.starts_with("pitch"))
        .unwrap();
    for path in [
        "plates",
        "preview.glb",
        "findings",
        "plates/footplate/flat.svg",
    ] {
        let problem = office
            .get(&format!("/v1/models/broken/{path}"))
            .await
            .problem(422);
        let place = &problem["errors"][0];
        assert_eq!(place["path"], "boiler.pitch", "{problem}");
        assert_eq!(place["line"], line, "{problem}");
        assert!(!place["help"].as_str().unwrap().is_empty());
    }
    // The text itself can still be read, to be mended.
    assert_eq!(office.get("/v1/models/broken").await.status, 200);
}

#[tokio::test]
async fn a_file_that_is_too_large_is_not_read() {
    let office = Office::new();
    office
        .folder
        .write("large.toml", &"#".repeat(body::MODEL_FILE_LIMIT + 1));
    office.get("/v1/models/large/plates").await.problem(422);
}

#[tokio::test]
async fn compressed_bodies_are_not_unpacked() {
    let office = Office::new();
    for (method, path) in [
        ("PUT", "/v1/models/class-b"),
        ("POST", "/v1/models/class-b/drafts"),
        ("POST", "/v1/models/class-b/difference"),
        ("POST", "/v1/models/class-b/artwork-check"),
        ("POST", "/v1/models/class-b/built-check"),
    ] {
        for coding in ["gzip", "br", "deflate, gzip", "zstd"] {
            let headers = [("content-encoding", coding), ("if-match", "*")];
            let answer = office.ask(method, path, &headers, CLASS_B).await;
            let problem = answer.problem(415);
            assert_eq!(problem["errors"][0]["path"], "Content-Encoding", "{path}");
            assert_eq!(answer.header("accept-encoding"), "identity", "{path}");
        }
    }
    let headers = [("content-encoding", "identity"), ("if-match", "*")];
    let answer = office
        .ask("PUT", "/v1/models/class-b", &headers, CLASS_B)
        .await;
    assert_eq!(answer.status, 204);
}

#[tokio::test]
async fn listeners_beyond_the_limit_are_refused() {
    let office = Office::new();
    let listen = || {
        let request = axum::http::Request::get("/v1/events").header("host", "127.0.0.1:8730");
        let request = request.body(axum::body::Body::empty()).unwrap();
        tower::ServiceExt::oneshot(office.app.clone(), request)
    };
    let mut open = Vec::new();
    for _ in 0..crate::events::MOST_LISTENERS {
        let answer = listen().await.unwrap();
        assert_eq!(answer.status(), 200);
        open.push(answer);
    }
    let refused = office.get("/v1/events").await;
    refused.problem(503);
    assert_eq!(refused.header("retry-after"), "2");
    open.pop();
    assert_eq!(listen().await.unwrap().status(), 200);
}

#[tokio::test]
async fn readings_that_are_too_large_are_not_read() {
    let office = Office::new();
    let large = vec![b'#'; check::built::MAX_READING_BYTES + 1];
    for path in ["built-check", "built-check/sheet.pdf"] {
        let path = format!("/v1/models/class-b/{path}");
        let problem = office
            .ask("POST", &path, &[], large.clone())
            .await
            .problem(413);
        assert_eq!(problem["type"], "/problems/too-large");
    }
}

#[tokio::test]
async fn the_description_is_whole() {
    let office = Office::new();
    let answer = office.get("/openapi.json").await;
    let text = String::from_utf8(answer.body.to_vec()).unwrap();
    let api = answer.json();
    // Every reference leads somewhere.
    for part in text.split("\"$ref\": \"#").skip(1) {
        let place = part.split('"').next().unwrap();
        assert!(api.pointer(place).is_some(), "{place}");
    }
    let routes = api["paths"].as_object().unwrap();
    for (path, methods) in routes {
        for (method, operation) in methods.as_object().unwrap() {
            let answers = &operation["responses"];
            for status in ["405", "421", "500", "503"] {
                assert!(answers[status].is_object(), "{method} {path}: {status}");
            }
            let writes = answers["403"].is_object()
                && answers["413"].is_object()
                && answers["415"].is_object();
            assert_eq!(writes, method != "get", "{method} {path}");
            // Every part of an address, and every word, says what it may be.
            for own in operation["parameters"].as_array().into_iter().flatten() {
                let said = own["description"].is_string() && own["schema"].is_object();
                assert!(said, "{method} {path}: {}", own["name"]);
                assert_eq!(
                    own["required"] == true,
                    own["in"] == "path" || own["name"] == "If-Match"
                );
            }
            // JSON is described to its leaves, but for files of several kinds and for this one.
            let content = &answers["200"]["content"]["application/json"]["schema"];
            let free = content.as_object().is_some_and(serde_json::Map::is_empty);
            assert!(
                !free || path == "/openapi.json" || path.ends_with("/{file}"),
                "{method} {path}"
            );
        }
    }
}
