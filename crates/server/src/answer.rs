//! Answers addressed by what they are made from: ETag, and 304 before anything is made.

use axum::body::{Body, Bytes};
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse as _, Response};

use crate::asked::Asked;
use crate::folder::sha256_hex;
use crate::{Problem, ServerState, WorkError, Workshop};

/// What a route makes.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Product {
    /// Stable word; part of the ETag.
    pub(crate) word: &'static str,
    /// Media type.
    pub(crate) media: &'static str,
    /// Ending of the file's name, for a file that is saved rather than shown.
    pub(crate) ending: Option<&'static str>,
}

impl Product {
    pub(crate) const fn shown(word: &'static str, media: &'static str) -> Self {
        Self {
            word,
            media,
            ending: None,
        }
    }

    pub(crate) const fn saved(
        word: &'static str,
        media: &'static str,
        ending: &'static str,
    ) -> Self {
        Self {
            word,
            media,
            ending: Some(ending),
        }
    }
}

/// Answers with a product of a model: 304 if the asker has it, else made off the async threads.
pub(crate) async fn product(
    state: &ServerState,
    asked: Asked,
    own: Product,
    make: impl FnOnce(&Workshop, &Asked) -> Result<Bytes, WorkError> + Send + 'static,
) -> Result<Response, Problem> {
    product_beside(state, asked, own, "", make).await
}

/// As [`product`], of something that follows from another text too: `beside`.
pub(crate) async fn product_beside(
    state: &ServerState,
    asked: Asked,
    product: Product,
    beside: &str,
    make: impl FnOnce(&Workshop, &Asked) -> Result<Bytes, WorkError> + Send + 'static,
) -> Result<Response, Problem> {
    let source = state.source_asked(&asked).await?;
    let sha256 = format!("{}{beside}", source.sha256);
    let tag = product_tag(&asked, &sha256, product.word);
    if has(&asked.if_none_match, &tag) {
        return Ok(not_modified(&tag));
    }
    let disposition = product.ending.map(|ending| asked.file_name(ending));
    let bytes = state
        .work(move |state| {
            let workshop = state.take(&asked, &source)?;
            make(&workshop, &asked)
        })
        .await??;
    let mut response = tagged(bytes, product.media, &tag);
    if let Some(name) = disposition {
        let value = HeaderValue::from_str(&format!("attachment; filename=\"{name}\""))
            .expect("names of models, plates and blocks are plain words");
        response
            .headers_mut()
            .insert(header::CONTENT_DISPOSITION, value);
    }
    Ok(response)
}

/// Answers with bytes that are at hand: 304 if the asker has them.
pub(crate) fn at_hand(
    bytes: impl Into<Bytes>,
    media: &'static str,
    headers: &HeaderMap,
) -> Response {
    let bytes = bytes.into();
    let tag = weak(&sha256_hex(&bytes));
    if has(&if_none_match(headers), &tag) {
        return not_modified(&tag);
    }
    tagged(bytes, media, &tag)
}

/// The whole answer with its tag. It may be kept, but has to be asked for again each time.
pub(crate) fn tagged(bytes: Bytes, media: &'static str, tag: &str) -> Response {
    let mut response = Response::new(Body::from(bytes));
    let headers = response.headers_mut();
    headers.insert(header::CONTENT_TYPE, HeaderValue::from_static(media));
    insert_tag(headers, tag);
    response
}

/// 304 with its tag.
pub(crate) fn not_modified(tag: &str) -> Response {
    let mut response = StatusCode::NOT_MODIFIED.into_response();
    insert_tag(response.headers_mut(), tag);
    response
}

fn insert_tag(headers: &mut HeaderMap, tag: &str) {
    let value = HeaderValue::from_str(tag).expect("a tag is a quoted hexadecimal number");
    headers.insert(header::ETAG, value);
    headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-cache"));
}

/// Tag of a product. It is weak, since the same product may be sent compressed.
fn product_tag(asked: &Asked, sha256: &str, word: &str) -> String {
    let parts = [
        env!("CARGO_PKG_VERSION"),
        word,
        asked.model.as_str(),
        sha256,
        asked.overrides.scale.map_or("", body::Scale::word),
        asked.overrides.wheels.map_or("", body::WheelStandard::word),
        asked.overrides.variant.as_deref().unwrap_or_default(),
        if asked.rivets { "rivets" } else { "" },
        asked.id.as_str(),
        &asked.parts.join(","),
        if asked.still { "still" } else { "" },
    ];
    tag_of(&parts)
}

/// Weak tag of an answer that follows from these texts.
pub(crate) fn tag_of(parts: &[&str]) -> String {
    weak(&sha256_hex(parts.join("\0").as_bytes()))
}

fn weak(sha256: &str) -> String {
    format!("W/\"{sha256}\"")
}

/// The values of `If-None-Match`, as one text.
pub(crate) fn if_none_match(headers: &HeaderMap) -> String {
    let values = headers.get_all(header::IF_NONE_MATCH).iter();
    let texts: Vec<&str> = values.filter_map(|value| value.to_str().ok()).collect();
    texts.join(",")
}

/// Whether a list of tags holds a tag, weak and strong being the same (RFC 9110, 13.1.2).
pub(crate) fn has(list: &str, tag: &str) -> bool {
    let bare = |tag: &str| tag.trim().trim_start_matches("W/").to_owned();
    let tag = bare(tag);
    list.split(',').any(|own| bare(own) == tag)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tags_are_found_in_lists() {
        assert!(has("\"a\", W/\"b\"", "W/\"a\""));
        assert!(has("W/\"a\"", "\"a\""));
        assert!(!has("", "\"a\""));
        assert!(!has("\"ab\"", "\"a\""));
    }
}
