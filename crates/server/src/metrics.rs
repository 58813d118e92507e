//! Counts of what the server did, in the text format of OpenMetrics.

use std::fmt::Write as _;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Instant;

use axum::extract::{Request, State};
use axum::http::StatusCode;
use axum::middleware::Next;
use axum::response::Response;

use crate::ServerState;
use crate::part_cells::PartCounts;

/// Counters since the start.
#[derive(Debug)]
pub(crate) struct Metrics {
    started: Instant,
    /// Answers by the first digit of their status, from 1.
    answers: [AtomicU64; 5],
    open: AtomicU64,
    works: AtomicU64,
    parts: Arc<PartCounts>,
}

impl Default for Metrics {
    fn default() -> Self {
        Self {
            started: Instant::now(),
            answers: Default::default(),
            open: AtomicU64::new(0),
            works: AtomicU64::new(0),
            parts: Arc::default(),
        }
    }
}

impl Metrics {
    /// A piece of work off the async threads has begun.
    pub(crate) fn work_begun(&self) {
        self.works.fetch_add(1, Ordering::Relaxed);
    }

    /// What the shelves count.
    pub(crate) fn parts(&self) -> Arc<PartCounts> {
        Arc::clone(&self.parts)
    }

    fn answered(&self, status: StatusCode) {
        let class = usize::from(status.as_u16() / 100).clamp(1, 5) - 1;
        self.answers[class].fetch_add(1, Ordering::Relaxed);
    }

    /// The counters as text.
    pub(crate) fn text(&self) -> String {
        let mut out = String::new();
        let read = |counter: &AtomicU64| counter.load(Ordering::Relaxed);
        let [same, new, meshed] = self.parts.read();
        // Writing to a String cannot fail.
        let _ = writeln!(
            out,
            "# TYPE platework_answers counter\n# HELP platework_answers Requests answered, by the class of their status."
        );
        for (i, counter) in self.answers.iter().enumerate() {
            let _ = writeln!(
                out,
                "platework_answers_total{{status=\"{}xx\"}} {}",
                i + 1,
                read(counter)
            );
        }
        let _ = writeln!(
            out,
            "# TYPE platework_requests_open gauge\n# HELP platework_requests_open Requests that are being answered.\nplatework_requests_open {}\n\
             # TYPE platework_works counter\n# HELP platework_works Pieces of work done off the async threads.\nplatework_works_total {}\n\
             # TYPE platework_parts counter\n# HELP platework_parts Plates and fittings of bodies built: the same as in a body that is kept, or new.\n\
             platework_parts_total{{state=\"same\"}} {same}\nplatework_parts_total{{state=\"new\"}} {new}\n\
             # TYPE platework_part_meshes counter\n# HELP platework_part_meshes Meshes made of plates and fittings.\nplatework_part_meshes_total {meshed}\n\
             # TYPE platework_up_seconds gauge\n# UNIT platework_up_seconds seconds\n# HELP platework_up_seconds Time since the start.\nplatework_up_seconds {}\n# EOF",
            read(&self.open),
            read(&self.works),
            self.started.elapsed().as_secs()
        );
        out
    }
}

/// Counts a request down again, also if it is dropped on its way.
struct Open<'m>(&'m AtomicU64);

impl Drop for Open<'_> {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::Relaxed);
    }
}

/// Counts every request and its answer.
pub(crate) async fn count(
    State(state): State<ServerState>,
    request: Request,
    next: Next,
) -> Response {
    let metrics = state.metrics();
    metrics.open.fetch_add(1, Ordering::Relaxed);
    let _open = Open(&metrics.open);
    let response = next.run(request).await;
    metrics.answered(response.status());
    response
}
