//! The stream of what happens to model files.

use std::convert::Infallible;
use std::time::Duration;

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::sse::{Event as Message, KeepAlive, Sse};
use tokio_stream::wrappers::BroadcastStream;
use tokio_stream::{Stream, StreamExt as _};

use crate::{Problem, ServerState};

/// A comment is sent at this distance, so that a line that has gone dead is noticed.
const KEEP_ALIVE: Duration = Duration::from_secs(15);

/// Server-sent events: `rebuilt` with `{"model"}` after a changed file has been built, `failed` with
/// `{"model", "problem"}` if it cannot be.
#[utoipa::path(
    get,
    path = "/v1/events",
    responses((status = 200, description = "The stream: `rebuilt` with data as RebuiltEvent, `failed` with data as FailedEvent", body = String, content_type = "text/event-stream"))
)]
pub(crate) async fn listen(
    State(state): State<ServerState>,
) -> Result<Sse<impl Stream<Item = Result<Message, Infallible>>>, Problem> {
    let receiver = state
        .events()
        .listen()
        .ok_or_else(|| Problem::of_status(StatusCode::SERVICE_UNAVAILABLE))?;
    let messages = BroadcastStream::new(receiver)
        // A listener that missed events is cut off: it comes again and reads everything anew.
        .map_while(Result::ok)
        .map(|event| {
            let data = serde_json::to_string(&event)
                .expect("events are made of strings and numbers, which JSON can always write");
            Ok(Message::default().event(event.word()).data(data))
        });
    Ok(Sse::new(messages).keep_alive(KeepAlive::new().interval(KEEP_ALIVE)))
}
