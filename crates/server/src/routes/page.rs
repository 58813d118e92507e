//! The page and its files.

use axum::body::{Body, Bytes};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, Uri, header};
use axum::response::{IntoResponse as _, Response};

use crate::answer::{has, if_none_match, not_modified};
use crate::page::{Asset, asset};
use crate::problem::ProblemKind;
use crate::{Problem, page};

/// A year, in seconds.
const FOR_EVER: &str = "public, max-age=31536000, immutable";

/// The page.
#[utoipa::path(
    get,
    path = "/",
    params(("token" = Option<String>, Query, description = "On a network: the token, for which a browser is given its cookie")),
    responses(
        (status = 200, description = "The page; its other files are below `/assets/`", body = String, content_type = "text/html"),
        (status = 303, description = "The token was right: a cookie, and the address without the token",
            headers(("Location" = String), ("Set-Cookie" = String))),
        (status = 304, description = "The asker has it"),
    )
)]
#[expect(
    dead_code,
    reason = "read by the description only; the page is a file as its others are"
)]
fn index() {}

/// A file of the page, for every address that no other route has.
pub(crate) async fn file(method: Method, uri: Uri, headers: HeaderMap) -> Response {
    let reads = method == Method::GET || method == Method::HEAD;
    match asset(uri.path()) {
        Some(asset) if reads => answer(asset, &headers),
        Some(_) => {
            let mut response = Problem::of_status(StatusCode::METHOD_NOT_ALLOWED).into_response();
            response
                .headers_mut()
                .insert(header::ALLOW, HeaderValue::from_static("GET,HEAD"));
            response
        }
        None => Problem::new(
            ProblemKind::NotFound,
            "this address has nothing; /openapi.json lists what the server answers",
        )
        .into_response(),
    }
}

fn answer(asset: Asset, headers: &HeaderMap) -> Response {
    let tag = format!("W/\"{}\"", asset.sha256);
    let mut response = if has(&if_none_match(headers), &tag) {
        not_modified(&tag)
    } else {
        let bytes = match asset.bytes {
            std::borrow::Cow::Borrowed(bytes) => Bytes::from_static(bytes),
            std::borrow::Cow::Owned(bytes) => Bytes::from(bytes),
        };
        let mut response = Response::new(Body::from(bytes));
        let kind = HeaderValue::from_str(&asset.mime)
            .unwrap_or(HeaderValue::from_static("application/octet-stream"));
        response.headers_mut().insert(header::CONTENT_TYPE, kind);
        response
    };
    let kept = if asset.immutable {
        FOR_EVER
    } else {
        "no-cache"
    };
    let headers = response.headers_mut();
    headers.insert(header::CACHE_CONTROL, HeaderValue::from_static(kept));
    headers.insert(
        header::CONTENT_SECURITY_POLICY,
        HeaderValue::from_static(page::CONTENT_SECURITY_POLICY),
    );
    let tag = HeaderValue::from_str(&tag).expect("a tag is a quoted hexadecimal number");
    headers.insert(header::ETAG, tag);
    response
}
