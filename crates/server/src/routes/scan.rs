//! A scan of the finished model held against its body: read as it comes, never held as a whole.

use std::io::{self, Read};

use axum::body::{Body, Bytes};
use axum::http::{HeaderMap, HeaderValue, header};
use axum::response::{IntoResponse as _, Response};
use check::Occasion;
use check::scan::ScanKind;
use export::ScanJson;
use tokio::sync::mpsc::{Receiver, Sender, channel};
use tokio_stream::StreamExt as _;

use super::{JSON, json};
use crate::asked::Asked;
use crate::{Problem, ServerState, today};

/// Media types of scans, and their kinds: those registered, and those in use.
pub(super) const SCAN_TYPES: [(&str, ScanKind); 6] = [
    ("model/stl", ScanKind::Stl),
    ("application/sla", ScanKind::Stl),
    ("model/ply", ScanKind::Ply),
    ("application/ply", ScanKind::Ply),
    ("model/obj", ScanKind::Obj),
    ("application/object", ScanKind::Obj),
];

/// Pieces of a body that wait to be read.
const WAITING: usize = 8;

/// The kind of scan that a request says it sends.
pub(super) fn scan_kind(headers: &HeaderMap) -> Option<ScanKind> {
    let media = headers.get(header::CONTENT_TYPE)?.to_str().ok()?;
    let media = media.split(';').next().unwrap_or_default().trim();
    SCAN_TYPES
        .iter()
        .find(|own| own.0.eq_ignore_ascii_case(media))
        .map(|own| own.1)
}

/// A body that is read while it comes.
struct Coming {
    pieces: Receiver<Result<Bytes, io::Error>>,
    rest: Bytes,
}

impl Read for Coming {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        while self.rest.is_empty() {
            match self.pieces.blocking_recv() {
                Some(piece) => self.rest = piece?,
                None => return Ok(0),
            }
        }
        let count = self.rest.len().min(buffer.len());
        buffer[..count].copy_from_slice(&self.rest.split_to(count));
        Ok(count)
    }
}

/// Passes a body on piece by piece, until it ends or nobody reads it any more.
async fn pass_on(body: Body, pieces: Sender<Result<Bytes, io::Error>>) {
    let mut stream = body.into_data_stream();
    while let Some(piece) = stream.next().await {
        let piece = piece.map_err(io::Error::other);
        let broke_off = piece.is_err();
        if pieces.send(piece).await.is_err() || broke_off {
            return;
        }
    }
}

/// Holds a scan against the body, and answers what is built wrong.
pub(super) async fn check_scan(
    state: &ServerState,
    asked: Asked,
    kind: ScanKind,
    body: Body,
) -> Result<Response, Problem> {
    let source = state.source_asked(&asked).await?;
    let waivers = state.waivers(&asked.model).await?;
    let (sender, pieces) = channel(WAITING);
    let coming = Coming {
        pieces,
        rest: Bytes::new(),
    };
    let work = state.work(move |state| {
        let workshop = state.take(&asked, &source)?;
        let (report, read_off) = workshop.scan_check(coming, Some(kind), None)?;
        let judged = waivers.judge(report.findings.clone(), Occasion::Scan, &today());
        Ok::<_, crate::WorkError>(json(&ScanJson::of(&report, &read_off, &judged)))
    });
    let (made, ()) = tokio::join!(work, pass_on(body, sender));
    let kind = [(header::CONTENT_TYPE, HeaderValue::from_static(JSON))];
    let kept = [(header::CACHE_CONTROL, HeaderValue::from_static("no-store"))];
    Ok((kind, kept, made??).into_response())
}
