//! The routes put together, and the loop that serves them.

use std::future::Future;
use std::time::Duration;

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::middleware::{from_fn_with_state, map_response};
use axum::routing::get;
use tokio::net::TcpListener;
use tokio::sync::Notify;
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::compression::CompressionLayer;
use tower_http::trace::TraceLayer;
use utoipa::OpenApi as _;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use crate::connections::{MOST_CONNECTIONS, answer_all};
use crate::described::complete;
use crate::events::{FailedEvent, RebuiltEvent};
use crate::watch::Watch;
use crate::{Problem, ProblemPlace, ServerState, guard, metrics, routes};

/// Largest drawing that is read (bytes).
const ARTWORK_LIMIT: usize = artwork::MAX_ARTWORK_BYTES;

/// Largest file of readings that is read (bytes).
const READINGS_LIMIT: usize = check::built::MAX_READING_BYTES;

/// After the signal to end, time for answers that are on their way.
const PATIENCE: Duration = Duration::from_secs(5);

#[derive(utoipa::OpenApi)]
#[openapi(
    info(
        title = "Platework",
        description = "Locomotive bodies of etched sheet, from their model files: previews, flats, solids and checks. \
                   Lengths are millimetres on the model. HEAD is answered wherever GET is.",
        license(name = "Apache-2.0", identifier = "Apache-2.0")
    ),
    components(schemas(Problem, ProblemPlace, RebuiltEvent, FailedEvent)),
    paths(routes::page::index, routes::description::openapi_json)
)]
struct Description;

/// All described routes, unlayered but for the limits on bodies and time.
fn described() -> OpenApiRouter<ServerState> {
    // The text of a model file is never compressed: its strong tag names its bytes.
    let model = OpenApiRouter::new()
        .routes(routes!(
            routes::models::read_model,
            routes::models::write_model
        ))
        .routes(routes!(
            routes::difference::difference,
            routes::difference::difference_of_text
        ))
        .routes(routes!(routes::drafts::make_draft))
        .layer(DefaultBodyLimit::max(body::MODEL_FILE_LIMIT));
    let drawing = OpenApiRouter::new()
        .routes(routes!(routes::artwork::check_artwork))
        .routes(routes!(routes::artwork::artwork_report))
        .routes(routes!(routes::artwork::artwork_as_drawn))
        .layer(DefaultBodyLimit::max(ARTWORK_LIMIT));
    let readings = OpenApiRouter::new()
        .routes(routes!(routes::built::check_built))
        .routes(routes!(routes::built::built_sheet))
        .layer(DefaultBodyLimit::max(READINGS_LIMIT));
    OpenApiRouter::with_openapi(Description::openapi())
        .routes(routes!(routes::models::list_models))
        .routes(routes!(routes::preview::preview))
        .routes(routes!(routes::body_step::body_step))
        .routes(routes!(routes::plates::list_plates))
        .routes(routes!(routes::plates::flat_svg))
        .routes(routes!(routes::plates::flat_dxf))
        .routes(routes!(routes::plates::flat_json))
        .routes(routes!(routes::plates::list_features))
        .routes(routes!(routes::plates::formed_glb))
        .routes(routes!(routes::plates::formed_stl))
        .routes(routes!(routes::plates::flat_step))
        .routes(routes!(routes::plates::solid_step))
        .routes(routes!(routes::findings::list_findings))
        .routes(routes!(routes::joints::list_joints))
        .routes(routes!(routes::order::list_order))
        .routes(routes!(routes::dimensions::list_dimensions))
        .routes(routes!(routes::build_files::list_build))
        .routes(routes!(routes::build_files::build_file))
        .routes(routes!(routes::jigs::list_jigs))
        .routes(routes!(routes::jigs::jig_file))
        .routes(routes!(routes::sheets::list_sheets))
        .routes(routes!(routes::sheets::sheet))
        .routes(routes!(routes::health::health))
        .routes(routes!(routes::health::metrics))
        .routes(routes!(routes::clearances::clearances))
        .routes(routes!(routes::clearances::clearances_file))
        .merge(model)
        .merge(drawing)
        .merge(readings)
        .layer(guard::time_limit())
        // After the time limit: the stream of events has no end.
        .routes(routes!(routes::events::listen))
}

/// The description of the interface, OpenAPI 3.1.
pub fn openapi() -> utoipa::openapi::OpenApi {
    complete(described().split_for_parts().1)
}

/// Everything that the server answers, as a value: `tower`'s `oneshot` asks it without a socket.
pub fn app(state: ServerState) -> Router {
    let (router, description) = described().split_for_parts();
    let text = complete(description)
        .to_pretty_json()
        .expect("the description is made of strings, which JSON can always write");
    let router = router
        .route(
            "/openapi.json",
            get(routes::description::openapi_json).with_state(text.into()),
        )
        .fallback(routes::page::file);
    let router = if state.address().ip().is_loopback() {
        router
    } else {
        // On the machine itself compressing takes longer than sending.
        router.layer(CompressionLayer::new())
    };
    router
        .layer(guard::request_limit())
        .layer(CatchPanicLayer::custom(guard::after_panic))
        .layer(from_fn_with_state(state.clone(), guard::admit))
        .layer(from_fn_with_state(state.clone(), metrics::count))
        .layer(map_response(guard::in_one_shape))
        .layer(map_response(guard::with_headers))
        // Faults are logged where they happen, once.
        .layer(TraceLayer::new_for_http().on_failure(()))
        .with_state(state)
}

/// Serves until `shutdown` is over, then lets answers on their way finish and ends all streams.
pub async fn serve(
    listener: TcpListener,
    state: ServerState,
    shutdown: impl Future<Output = ()> + Send + 'static,
) {
    let watch = Watch::start(&state)
        .inspect_err(|error| {
            tracing::warn!(%error, "changes on disk are not noticed; reload the page by hand");
        })
        .ok();
    let ending = std::sync::Arc::new(Notify::new());
    let (told, closing) = (std::sync::Arc::clone(&ending), state.clone());
    let server = answer_all(listener, app(state), MOST_CONNECTIONS, async move {
        shutdown.await;
        closing.events().close();
        told.notify_one();
    });
    tokio::select! {
        () = server => {}
        () = async { ending.notified().await; tokio::time::sleep(PATIENCE).await } => {}
    }
    drop(watch);
}
