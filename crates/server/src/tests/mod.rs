//! The server as a value, asked without a socket; and once over a real one.

mod changes;
mod clearances;
mod conditions;
mod drafts;
mod guards;
mod live;
mod products;
mod writes;

use std::fs;
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};

use axum::Router;
use axum::body::{Body, Bytes};
use axum::http::{HeaderMap, Request, StatusCode};
use http_body_util::BodyExt as _;
use serde_json::Value;
use tower::ServiceExt as _;

use crate::{ServerState, app};

const CLASS_B: &str = include_str!("../../../../demo-models/class-b.toml");

/// A folder with the model `class-b`, gone again at the end.
pub(super) struct Folder(PathBuf);

impl Folder {
    pub(super) fn new() -> Self {
        static COUNT: AtomicUsize = AtomicUsize::new(0);
        let number = COUNT.fetch_add(1, Ordering::Relaxed);
        let path = std::env::temp_dir().join(format!("platework-{}-{number}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).unwrap();
        let folder = Self(path);
        folder.write("class-b.toml", CLASS_B);
        folder
    }

    pub(super) fn path(&self) -> &Path {
        &self.0
    }

    pub(super) fn write(&self, file: &str, text: &str) {
        fs::write(self.0.join(file), text).unwrap();
    }

    pub(super) fn read(&self, file: &str) -> String {
        fs::read_to_string(self.0.join(file)).unwrap()
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// An answer, its body read to the end.
pub(super) struct Answer {
    pub(super) status: StatusCode,
    pub(super) headers: HeaderMap,
    pub(super) body: Bytes,
}

impl Answer {
    pub(super) fn header(&self, name: &str) -> &str {
        self.headers
            .get(name)
            .map_or("", |value| value.to_str().unwrap())
    }

    pub(super) fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap()
    }

    /// The body as a problem of this status, in the one shape that there is.
    pub(super) fn problem(&self, status: u16) -> Value {
        let text = String::from_utf8_lossy(&self.body);
        assert_eq!(self.status.as_u16(), status, "{text}");
        assert_eq!(
            self.header("content-type"),
            "application/problem+json",
            "{text}"
        );
        let problem = self.json();
        assert_eq!(problem["status"], status);
        assert!(
            problem["type"].as_str().unwrap().starts_with("/problems/"),
            "{text}"
        );
        for word in ["title", "detail"] {
            assert!(!problem[word].as_str().unwrap().is_empty(), "{text}");
        }
        assert!(problem["errors"].is_array(), "{text}");
        problem
    }
}

/// A server over a folder of its own.
pub(super) struct Office {
    pub(super) folder: Folder,
    app: Router,
}

impl Office {
    pub(super) fn new() -> Self {
        Self::at("127.0.0.1:8730")
    }

    pub(super) fn at(address: &str) -> Self {
        let folder = Folder::new();
        let address: SocketAddr = address.parse().unwrap();
        let app = app(ServerState::new(folder.path(), address).unwrap());
        Self { folder, app }
    }

    pub(super) async fn get(&self, path: &str) -> Answer {
        self.ask("GET", path, &[], "").await
    }

    /// Asks with headers; Host is the server's own unless given.
    pub(super) async fn ask(
        &self,
        method: &str,
        path: &str,
        headers: &[(&str, &str)],
        body: impl Into<Body>,
    ) -> Answer {
        let mut request = Request::builder().method(method).uri(path);
        if !headers.iter().any(|(name, _)| *name == "host") {
            request = request.header("host", "127.0.0.1:8730");
        }
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        let request = request.body(body.into()).unwrap();
        let response = self.app.clone().oneshot(request).await.unwrap();
        let (parts, body) = response.into_parts();
        Answer {
            status: parts.status,
            headers: parts.headers,
            body: body.collect().await.unwrap().to_bytes(),
        }
    }
}
