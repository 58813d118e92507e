//! Any bytes as requests to the server. Also a module of the tests, which replay the corpus.

use std::collections::BTreeSet;
use std::path::PathBuf;

use axum::Router;
use axum::body::{Body, Bytes, to_bytes};
use axum::extract::Request;
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, Uri, header};
use serde_json::Value;
use tokio::runtime::Runtime;
use tower::ServiceExt as _;

/// Text of the one model that is served, as `tender`.
const MODEL: &[u8] = include_bytes!("../corpus/model_file/four-wheel-tender.toml");

const FILE: &str = "tender.toml";

/// Where the server thinks that it listens.
const OWN_HOST: &str = "127.0.0.1:8730";

/// All names that it answers to.
const OWN_HOSTS: [&str; 3] = [OWN_HOST, "localhost:8730", "[::1]:8730"];

/// A file beside the folder, to which a link in the folder leads. It must never be read or written.
const BESIDE: &str = "title = \"This stands outside the folder that is served\"\n";

/// Requests of one input.
const MOST_REQUESTS: usize = 4;

/// Longest answer that is read (bytes); those of the model are a few megabytes.
const LONGEST_ANSWER: usize = 200_000_000;

/// Longest body that is made up (bytes): over the limit for a model file, 1 MB, and far below that for a drawing.
const LONGEST_BODY: usize = 3_000_000;

/// What `docs/http.md` and the browsers' rules want on every answer: the page may load and call nothing but its own
/// server, types are not guessed, and no other site may read or hold what is answered.
const HEADERS: [(&str, &str); 5] = [
    ("content-security-policy", "default-src 'self';"),
    ("x-content-type-options", "nosniff"),
    ("referrer-policy", "no-referrer"),
    ("cross-origin-resource-policy", "same-origin"),
    ("cross-origin-opener-policy", "same-origin"),
];

/// A server over a temporary folder, asked without a socket.
pub(crate) struct Office {
    runtime: Runtime,
    app: Router,
    pub(crate) description: Value,
    /// Holds the folder that is served and what stands beside it; taken away at the end.
    pub(crate) root: PathBuf,
    /// What the last answers of an input gave, for the requests that follow.
    etag: Vec<u8>,
    draft: Vec<u8>,
    answer: Bytes,
}

/// How an operation of the description was answered: `GET /v1/models`, 200.
pub(crate) type Answered = (String, u16);

impl Office {
    /// A server over a new folder of that name among the temporary files.
    pub(crate) fn new(name: &str) -> Self {
        let root = std::env::temp_dir().join(format!("{name}-{}", std::process::id()));
        let _ = std::fs::remove_dir_all(&root);
        let served = root.join("served");
        std::fs::create_dir_all(&served).expect("temporary folders can be made");
        std::fs::write(served.join(FILE), MODEL).expect("temporary files can be written");
        std::fs::write(root.join("beside.toml"), BESIDE).expect("temporary files can be written");
        #[cfg(unix)]
        std::os::unix::fs::symlink("../beside.toml", served.join("away.toml"))
            .expect("temporary links can be made");
        let address = OWN_HOST.parse().expect("an address");
        let state = server::ServerState::new(&served, address, None).expect("the folder is there");
        let description = server::openapi()
            .to_json()
            .expect("the description is JSON");
        Self {
            runtime: tokio::runtime::Builder::new_current_thread()
                .enable_time()
                .build()
                .expect("a runtime"),
            app: server::app(state),
            description: serde_json::from_str(&description).expect("the description is JSON"),
            root,
            etag: Vec::new(),
            draft: Vec::new(),
            answer: Bytes::new(),
        }
    }

    /// Every operation of the description: `GET /v1/models`.
    #[allow(dead_code, reason = "the fuzz target has no use for it")]
    pub(crate) fn operations(&self) -> BTreeSet<String> {
        let paths = self.description["paths"].as_object().expect("paths");
        let named = paths.iter().flat_map(|(path, item)| {
            let methods = item.as_object().expect("methods");
            methods
                .keys()
                .map(move |method| format!("{} {path}", method.to_uppercase()))
        });
        named.collect()
    }

    /// Sends the requests that a text holds, one after the other, and holds each answer against the description.
    ///
    /// Requests have lines between them that hold `===` only; one is a line with method and address, lines of headers,
    /// an empty line and the body. Where no line says otherwise, `Host` is the server's own. `{etag}` stands for the
    /// last ETag that was answered, `{draft}` for the name of the last draft, in the body `{model}` for the text of the
    /// model file and `{answer}` for the last answer. A text that is no request ends the matter: the HTTP library would
    /// not let it through.
    ///
    /// # Panics
    ///
    /// If an answer is not as the description says, or anything but the model file was written.
    pub(crate) fn check(&mut self, bytes: &[u8]) -> Vec<Answered> {
        // An input that fails has to fail by itself.
        self.etag.clear();
        self.draft.clear();
        self.answer.clear();
        let mut answered = Vec::new();
        let mut written = false;
        for text in requests(bytes).into_iter().take(MOST_REQUESTS) {
            let Some(request) = self.request(&text) else {
                break;
            };
            let (operation, status) = self.ask(request);
            written |= status == 204;
            answered.push((operation, status));
        }
        self.nothing_else_is_written(written);
        answered
    }

    /// The request that a text describes, if it is one.
    fn request(&self, text: &[u8]) -> Option<Request> {
        let (head, body) = head_and_body(text);
        let head = replaced(
            &replaced(head, b"{etag}", &self.etag),
            b"{draft}",
            &self.draft,
        );
        let body = replaced(
            &replaced(body, b"{model}", MODEL),
            b"{answer}",
            &self.answer,
        );
        let mut lines = head.split(|byte| *byte == b'\n').map(<[u8]>::trim_ascii);
        let mut words = lines.next()?.splitn(2, |byte| *byte == b' ');
        let mut request = Request::new(Body::from(body));
        *request.method_mut() = Method::from_bytes(words.next()?).ok()?;
        *request.uri_mut() = Uri::try_from(words.next()?.trim_ascii()).ok()?;
        for line in lines.filter(|line| !line.is_empty()) {
            let at = line.iter().position(|byte| *byte == b':')?;
            let name = HeaderName::from_bytes(&line[..at]).ok()?;
            let value = HeaderValue::from_bytes(line[at + 1..].trim_ascii()).ok()?;
            request.headers_mut().append(name, value);
        }
        let own = HeaderValue::from_static(OWN_HOST);
        request.headers_mut().entry(header::HOST).or_insert(own);
        Some(request)
    }

    /// Sends a request and looks at the answer; gives its operation and status.
    fn ask(&mut self, request: Request) -> Answered {
        let method = request.method().clone();
        let path = request.uri().path().to_owned();
        let asked = request.headers().clone();
        let what = format!("{method} {}", request.uri());
        let app = self.app.clone();
        let (status, headers, body) = self.runtime.block_on(async {
            let Ok(response) = app.oneshot(request).await;
            let (parts, body) = response.into_parts();
            let kind = parts.headers.get(header::CONTENT_TYPE);
            // Its end does not come.
            let is_stream = kind.is_some_and(|kind| kind == "text/event-stream");
            let body = if is_stream {
                Bytes::new()
            } else {
                to_bytes(body, LONGEST_ANSWER)
                    .await
                    .unwrap_or_else(|error| panic!("{what}: the answer breaks off: {error}"))
            };
            (parts.status, parts.headers, body)
        });
        // A panic on another thread is a 500 here. No disk is full and no other server writes: nor may it be busy.
        let text = || String::from_utf8_lossy(&body[..body.len().min(600)]);
        assert!(!status.is_server_error(), "{what}: {status} {}", text());
        has_headers(&headers, &what);
        if status.is_success() || status == StatusCode::NOT_MODIFIED {
            was_admitted(&method, &asked, &what);
        }
        assert!(
            is_large(&body) || !contains(&body, BESIDE.as_bytes()),
            "{what}: a file outside was read"
        );

        let described = operation_of(&self.description, &method, &path);
        let said = described.as_ref().map(|(_, operation)| {
            let said = &operation["responses"][status.as_str()];
            let known = !said.is_null();
            assert!(known, "{what}: {status} is not described: {}", text());
            resolved(&self.description, said)
        });
        let problem_schema = &self.description["components"]["schemas"]["Problem"];
        if status.is_client_error() {
            let kind = headers.get(header::CONTENT_TYPE);
            let is_problem = kind.is_some_and(|kind| kind == "application/problem+json");
            assert!(is_problem, "{what}: {status} as {kind:?}: {}", text());
            if method != Method::HEAD {
                let problem = json(&body, &what);
                assert_eq!(problem["status"], status.as_u16(), "{what}: {}", text());
                fits(&self.description, problem_schema, &problem, &what);
            }
        } else if let (Some(said), false) = (said, body.is_empty()) {
            let kind = headers.get(header::CONTENT_TYPE);
            let kind = kind.and_then(|kind| kind.to_str().ok()).unwrap_or_default();
            let bare = kind.split(';').next().unwrap_or_default();
            let content = said["content"].as_object();
            let content = content.and_then(|all| {
                all.iter()
                    .find(|(own, _)| own.split(';').next() == Some(bare))
            });
            let Some((_, content)) = content else {
                panic!("{what}: {status} as {kind:?} is not described");
            };
            if bare == "application/json" {
                fits(
                    &self.description,
                    &content["schema"],
                    &json(&body, &what),
                    &what,
                );
            }
        }

        if let Some(etag) = headers.get(header::ETAG) {
            self.etag = etag.as_bytes().to_vec();
        }
        if path.ends_with("/drafts") && status == StatusCode::OK {
            let draft = json(&body, &what);
            self.draft = draft["draft"].as_str().expect("a name").as_bytes().to_vec();
        }
        let name = described.map_or(what, |(name, _)| name);
        self.answer = body;
        (name, status.as_u16())
    }

    /// Nothing outside the folder was made, changed or taken away, and within it at most the model file; puts that back.
    fn nothing_else_is_written(&self, written: bool) {
        let names = |folder: &PathBuf| -> BTreeSet<String> {
            let entries = std::fs::read_dir(folder).expect("the folder stands");
            let names = entries.map(|own| own.expect("the folder can be read").file_name());
            names
                .map(|own| own.to_string_lossy().into_owned())
                .collect()
        };
        let served = self.root.join("served");
        let outside = names(&self.root);
        assert!(
            outside.iter().eq(["beside.toml", "served"]),
            "outside the folder: {outside:?}"
        );
        let beside = std::fs::read_to_string(self.root.join("beside.toml"));
        assert_eq!(beside.expect("it stands"), BESIDE);
        // The lock of those that write.
        let inside = names(&served);
        let others: Vec<_> = inside
            .iter()
            .filter(|own| ![FILE, "away.toml", ".platework.lock"].contains(&own.as_str()))
            .collect();
        assert!(others.is_empty() && inside.contains(FILE), "{inside:?}");
        let file = served.join(FILE);
        if std::fs::read(&file).expect("it stands") != MODEL {
            assert!(written, "the model file changed without a write");
            std::fs::write(file, MODEL).expect("temporary files can be written");
        }
    }
}

impl Drop for Office {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.root);
    }
}

/// Texts of the requests of an input.
fn requests(bytes: &[u8]) -> Vec<Vec<u8>> {
    let mut all = vec![Vec::new()];
    for line in bytes.split_inclusive(|byte| *byte == b'\n') {
        if line.trim_ascii_end() == b"===" {
            // The end of the line before belongs to the line between.
            all.last_mut().expect("there is one").pop();
            all.push(Vec::new());
        } else {
            all.last_mut()
                .expect("there is one")
                .extend_from_slice(line);
        }
    }
    all
}

/// What is before and after the first empty line.
fn head_and_body(text: &[u8]) -> (&[u8], &[u8]) {
    let mut at = 0;
    for line in text.split_inclusive(|byte| *byte == b'\n') {
        if line.trim_ascii().is_empty() && at > 0 {
            return (&text[..at], &text[at + line.len()..]);
        }
        at += line.len();
    }
    (text, b"")
}

/// The bytes with every occurrence of a word replaced, up to [`LONGEST_BODY`].
fn replaced(bytes: &[u8], word: &[u8], by: &[u8]) -> Vec<u8> {
    let mut all = Vec::with_capacity(bytes.len());
    let mut rest = bytes;
    while let Some(byte) = rest.first() {
        let fits = all.len() + by.len() <= LONGEST_BODY;
        if let Some(after) = rest.strip_prefix(word).filter(|_| fits) {
            all.extend_from_slice(by);
            rest = after;
        } else {
            all.push(*byte);
            rest = &rest[1..];
        }
    }
    all
}

/// Large answers are files of the model: looking through them would take longer than making them.
fn is_large(body: &Bytes) -> bool {
    body.len() > 100_000
}

fn contains(body: &[u8], word: &[u8]) -> bool {
    body.windows(word.len()).any(|own| own == word)
}

fn json(body: &Bytes, what: &str) -> Value {
    serde_json::from_slice(body).unwrap_or_else(|error| panic!("{what}: no JSON: {error}"))
}

/// Refuses an answer without one of [`HEADERS`], or one that another site may read.
fn has_headers(headers: &HeaderMap, what: &str) {
    for (name, begins) in HEADERS {
        let value = headers.get(name).and_then(|value| value.to_str().ok());
        let right = value.is_some_and(|value| value.starts_with(begins));
        assert!(right, "{what}: {name} is {value:?}");
    }
    let opened = headers
        .keys()
        .find(|name| name.as_str().starts_with("access-control-"));
    assert!(opened.is_none(), "{what}: {opened:?}");
}

/// Refuses the success of a request under another name than the server's, or of a write from another site's page.
fn was_admitted(method: &Method, asked: &HeaderMap, what: &str) {
    let mut hosts = asked.get_all(header::HOST).iter();
    let host = hosts
        .next()
        .map(|host| host.as_bytes().to_ascii_lowercase());
    let host = String::from_utf8(host.unwrap_or_default()).unwrap_or_default();
    let own = OWN_HOSTS.contains(&host.as_str()) && hosts.next().is_none();
    assert!(own, "{what}: answered under {host:?}");
    if method == Method::GET || method == Method::HEAD {
        return;
    }
    for origin in asked.get_all(header::ORIGIN) {
        let origin = String::from_utf8_lossy(origin.as_bytes()).to_lowercase();
        assert_eq!(origin, format!("http://{host}"), "{what}: another site");
    }
    let write = method == Method::PUT;
    assert!(
        !write || asked.contains_key(header::IF_MATCH),
        "{what}: unconditional"
    );
}

/// The operation of the description that a request asks for, with its name; nothing for the page's files.
fn operation_of<'a>(
    description: &'a Value,
    method: &Method,
    path: &str,
) -> Option<(String, &'a Value)> {
    // HEAD is answered wherever GET is.
    let method = if *method == Method::HEAD {
        "GET"
    } else {
        method.as_str()
    };
    let paths = description["paths"].as_object().expect("paths");
    // `jigs/{file}` and `preview.glb` do not overlap, so that the first is the only one.
    let (template, item) = paths.iter().find(|(template, _)| is_of(template, path))?;
    let operation = &item[method.to_lowercase()];
    (!operation.is_null()).then(|| (format!("{method} {template}"), operation))
}

/// Whether a path is one of a template such as `/v1/models/{model}/plates`.
fn is_of(template: &str, path: &str) -> bool {
    let mut own = template.split('/');
    let mut asked = path.split('/');
    loop {
        match (own.next(), asked.next()) {
            (None, None) => return true,
            (Some(own), Some(asked)) => {
                let any = own.starts_with('{') && !asked.is_empty();
                if !any && own != asked {
                    return false;
                }
            }
            _ => return false,
        }
    }
}

/// What a value of the description refers to, or the value.
fn resolved<'a>(description: &'a Value, value: &'a Value) -> &'a Value {
    match value["$ref"].as_str() {
        Some(place) => description
            .pointer(place.trim_start_matches('#'))
            .unwrap_or_else(|| panic!("the description has no {place}")),
        None => value,
    }
}

/// Refuses JSON that a schema of the description does not allow, by the keywords that it uses.
fn fits(description: &Value, schema: &Value, value: &Value, what: &str) {
    if let Err(place) = fault(description, schema, value) {
        panic!("{what}: the answer is not as described{place}");
    }
}

/// The place where JSON does not fit a schema: `.errors[0].line: …`.
pub(crate) fn fault(description: &Value, schema: &Value, value: &Value) -> Result<(), String> {
    let schema = resolved(description, schema);
    if let Some(own) = schema["oneOf"].as_array() {
        let fit = own.iter().any(|own| fault(description, own, value).is_ok());
        return if fit {
            Ok(())
        } else {
            Err(format!(": {value} is none of {own:?}"))
        };
    }
    for own in schema["allOf"].as_array().into_iter().flatten() {
        fault(description, own, value)?;
    }
    let is_of_type = |name: &Value| match name.as_str() {
        Some("null") => value.is_null(),
        Some("boolean") => value.is_boolean(),
        Some("string") => value.is_string(),
        Some("integer") => value.is_i64() || value.is_u64(),
        Some("number") => value.is_number(),
        Some("array") => value.is_array(),
        Some("object") => value.is_object(),
        _ => false,
    };
    let typed = match &schema["type"] {
        Value::Null => true,
        Value::Array(names) => names.iter().any(is_of_type),
        name => is_of_type(name),
    };
    if !typed {
        return Err(format!(": {value} is not {}", schema["type"]));
    }
    if let Some(words) = schema["enum"].as_array()
        && !words.contains(value)
    {
        return Err(format!(": {value} is none of {words:?}"));
    }
    if let Some(number) = value.as_f64() {
        let least = schema["minimum"].as_f64().unwrap_or(f64::NEG_INFINITY);
        let most = schema["maximum"].as_f64().unwrap_or(f64::INFINITY);
        if !(least..=most).contains(&number) {
            return Err(format!(": {number} is not in {least}..={most}"));
        }
    }
    for (index, item) in value.as_array().into_iter().flatten().enumerate() {
        fault(description, &schema["items"], item).map_err(|own| format!("[{index}]{own}"))?;
    }
    if value.is_object() {
        for name in schema["required"].as_array().into_iter().flatten() {
            if value.get(name.as_str().expect("a name")).is_none() {
                return Err(format!(": there is no {name}"));
            }
        }
        for (name, own) in schema["properties"].as_object().into_iter().flatten() {
            if let Some(value) = value.get(name) {
                fault(description, own, value).map_err(|own| format!(".{name}{own}"))?;
            }
        }
    }
    Ok(())
}
