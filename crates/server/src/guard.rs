//! What every request passes: the Host and Origin rules, limits, headers, and one shape for errors.

use std::net::SocketAddr;
use std::time::Duration;

use axum::BoxError;
use axum::body::Body;
use axum::error_handling::HandleErrorLayer;
use axum::extract::{Request, State};
use axum::http::{HeaderName, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse as _, Response};
use tower::ServiceBuilder;
use tower::limit::GlobalConcurrencyLimitLayer;
use tower::load_shed::LoadShedLayer;
use tower_http::timeout::TimeoutLayer;

use crate::problem::{PROBLEM_JSON, ProblemKind};
use crate::token::Token;
use crate::{Problem, ServerState, page};

/// Longest time that a request may take; the stream of events has no end.
pub(crate) const TIME_LIMIT: Duration = Duration::from_secs(30);

/// Requests that are worked on at a time; more are refused with 503.
pub(crate) const MOST_REQUESTS: usize = 64;

/// Headers of every answer, unless the route sets them itself.
const HEADERS: [(HeaderName, &str); 5] = [
    (
        header::CONTENT_SECURITY_POLICY,
        page::CONTENT_SECURITY_POLICY,
    ),
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (header::REFERRER_POLICY, "no-referrer"),
    (
        HeaderName::from_static("cross-origin-resource-policy"),
        "same-origin",
    ),
    (
        HeaderName::from_static("cross-origin-opener-policy"),
        "same-origin",
    ),
];

/// The time limit of a request.
pub(crate) fn time_limit() -> TimeoutLayer {
    TimeoutLayer::with_status_code(StatusCode::SERVICE_UNAVAILABLE, TIME_LIMIT)
}

/// Refuses requests beyond [`MOST_REQUESTS`] rather than letting them pile up.
pub(crate) fn request_limit() -> impl Clone
+ Send
+ Sync
+ 'static
+ tower::Layer<
    axum::routing::Route,
    Service: tower::Service<
        Request,
        Response = Response,
        Error = std::convert::Infallible,
        Future: Send + 'static,
    > + Clone
                 + Send
                 + Sync
                 + 'static,
> {
    ServiceBuilder::new()
        .layer(HandleErrorLayer::new(async |_: BoxError| {
            Problem::of_status(StatusCode::SERVICE_UNAVAILABLE)
        }))
        .layer(LoadShedLayer::new())
        .layer(GlobalConcurrencyLimitLayer::new(MOST_REQUESTS))
        .into_inner()
}

/// Lets through what is sent to this server under its own name, and writes only from its own page.
///
/// A page of another site can make the browser send requests here. Its name stands in Origin; and
/// where it has made its own name point to this machine, that name stands in Host.
pub(crate) async fn admit(
    State(state): State<ServerState>,
    request: Request,
    next: Next,
) -> Response {
    if let Err(problem) = check(&state, &request) {
        return problem.into_response();
    }
    if is_coded(&request) {
        return coded();
    }
    match state.token() {
        Some(token) if request.uri().path() != HEALTH && !token.is_shown(request.headers()) => {
            entered(token, &request)
        }
        _ => next.run(request).await,
    }
}

/// Whether a body is sent compressed: a few bytes of it could be any number.
fn is_coded(request: &Request) -> bool {
    let codings = request.headers().get_all(header::CONTENT_ENCODING);
    codings
        .iter()
        .any(|own| !own.as_bytes().eq_ignore_ascii_case(b"identity"))
}

/// The answer to a compressed body, with what is taken instead (RFC 9110, 12.5.3).
fn coded() -> Response {
    let problem = Problem::at(
        ProblemKind::MediaType,
        "Content-Encoding",
        "compressed bodies are not read here",
        "send the file as it is, without Content-Encoding",
    );
    let taken = [(
        header::ACCEPT_ENCODING,
        HeaderValue::from_static("identity"),
    )];
    (taken, problem).into_response()
}

/// What is answered without a token, so that who keeps the server running need not know it.
const HEALTH: &str = "/health";

/// The answer to a request without the token: the page asked for with it as a word of the query gives a browser its
/// cookie and sends it on to an address without it; everything else is refused.
fn entered(token: &Token, request: &Request) -> Response {
    let uri = request.uri();
    let cookie = (uri.path() == "/")
        .then(|| token.cookie(uri.query().unwrap_or_default()))
        .flatten();
    let Some(cookie) = cookie else {
        let mut response = Problem::at(
            ProblemKind::Token,
            "Authorization",
            "this server asks for its token",
            "send  Authorization: Bearer TOKEN;  in a browser open the page once with  /?token=TOKEN",
        )
        .into_response();
        response.headers_mut().insert(
            header::WWW_AUTHENTICATE,
            HeaderValue::from_static("Bearer realm=\"platework\""),
        );
        return response;
    };
    let mut response = StatusCode::SEE_OTHER.into_response();
    let headers = response.headers_mut();
    headers.insert(header::LOCATION, HeaderValue::from_static("/"));
    headers.insert(header::SET_COOKIE, cookie);
    headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    response
}

fn check(state: &ServerState, request: &Request) -> Result<(), Problem> {
    let mut hosts = request.headers().get_all(header::HOST).iter();
    let host = hosts.next().and_then(|value| value.to_str().ok());
    let host = match (host, hosts.next()) {
        (Some(host), None) => host,
        _ => {
            let help = "send one header Host with the address that you asked";
            return Err(Problem::at(
                ProblemKind::Host,
                "Host",
                "there is no single Host",
                help,
            ));
        }
    };
    let called = request
        .uri()
        .authority()
        .map_or(host, |authority| authority.as_str());
    for name in [host, called] {
        if !is_own_name(name, state.address()) {
            return Err(Problem::at(
                ProblemKind::Host,
                "Host",
                "this server answers only to localhost and its own address, with its port",
                &format!("ask http://{}", state.address()),
            ));
        }
    }
    let reads = [Method::GET, Method::HEAD, Method::OPTIONS].contains(request.method());
    let origin = request.headers().get(header::ORIGIN);
    if !reads
        && origin.is_some_and(|origin| origin.as_bytes() != format!("http://{host}").as_bytes())
    {
        return Err(Problem::at(
            ProblemKind::Origin,
            "Origin",
            "a page of another site may not write here",
            "only this server's own page writes; programs leave Origin out",
        ));
    }
    Ok(())
}

/// Whether a Host is one of this server's names. Bound to the network it may be called anything.
fn is_own_name(host: &str, address: SocketAddr) -> bool {
    if !address.ip().is_loopback() {
        return true;
    }
    let own = [
        format!("localhost:{}", address.port()),
        format!("127.0.0.1:{}", address.port()),
        format!("[::1]:{}", address.port()),
        address.to_string(),
    ];
    let host = host.to_ascii_lowercase();
    // Browsers leave out the port that http has by itself.
    own.contains(&host) || (address.port() == 80 && own.contains(&format!("{host}:80")))
}

/// Sets the headers of [`HEADERS`] where the route has none of its own.
pub(crate) async fn with_headers(mut response: Response) -> Response {
    let headers = response.headers_mut();
    for (name, value) in HEADERS {
        headers
            .entry(name)
            .or_insert(HeaderValue::from_static(value));
    }
    response
}

/// Gives errors that the libraries answer the shape of all others; a header `Allow` stays.
pub(crate) async fn in_one_shape(response: Response) -> Response {
    let status = response.status();
    let kind = response.headers().get(header::CONTENT_TYPE);
    let error = status.is_client_error() || status.is_server_error();
    if !error || kind.is_some_and(|kind| kind == PROBLEM_JSON) {
        return response;
    }
    let allow = response.headers().get(header::ALLOW).cloned();
    let mut shaped = Problem::of_status(status).into_response();
    if let Some(allow) = allow {
        shaped.headers_mut().insert(header::ALLOW, allow);
    }
    shaped
}

/// The answer to a panic. What happened is in the log.
pub(crate) fn after_panic(payload: Box<dyn std::any::Any + Send>) -> axum::http::Response<Body> {
    let text = payload
        .downcast_ref::<&str>()
        .map(|text| (*text).to_owned())
        .or_else(|| payload.downcast_ref::<String>().cloned())
        .unwrap_or_default();
    tracing::error!(panic = text, "a request ended in a panic");
    Problem::internal().into_response()
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;
    use std::sync::atomic::{AtomicUsize, Ordering};

    use axum::Router;
    use axum::routing::get;
    use tower::ServiceExt as _;

    use super::*;

    #[tokio::test(start_paused = true)]
    async fn a_request_ends_with_the_time_limit() {
        let for_ever = get(async || std::future::pending::<()>().await);
        let app = Router::new()
            .route("/", for_ever)
            .layer(time_limit())
            .layer(axum::middleware::map_response(in_one_shape));
        let answer = app.oneshot(Request::new(Body::empty())).await.unwrap();
        assert_eq!(answer.status(), StatusCode::SERVICE_UNAVAILABLE);
        assert_eq!(answer.headers()[header::CONTENT_TYPE], PROBLEM_JSON);
    }

    #[tokio::test]
    async fn a_panic_is_answered_without_its_words() {
        let app = Router::new()
            .route("/", get(async || -> () { panic!("secret") }))
            .layer(tower_http::catch_panic::CatchPanicLayer::custom(
                after_panic,
            ));
        let answer = app.oneshot(Request::new(Body::empty())).await.unwrap();
        assert_eq!(answer.status(), StatusCode::INTERNAL_SERVER_ERROR);
        let body = axum::body::to_bytes(answer.into_body(), 10_000)
            .await
            .unwrap();
        let text = String::from_utf8_lossy(&body);
        assert!(
            text.contains("/problems/internal") && !text.contains("secret"),
            "{text}"
        );
    }

    #[test]
    fn names_of_a_loopback_server() {
        let address: SocketAddr = "127.0.0.1:8730".parse().unwrap();
        for good in [
            "localhost:8730",
            "127.0.0.1:8730",
            "[::1]:8730",
            "LOCALHOST:8730",
        ] {
            assert!(is_own_name(good, address), "{good}");
        }
        for bad in [
            "localhost",
            "localhost:8731",
            "127.0.0.1",
            "example.org:8730",
            "localhost.example.org:8730",
            "127.0.0.1:8730.example.org",
            "",
        ] {
            assert!(!is_own_name(bad, address), "{bad}");
        }
    }

    #[tokio::test]
    async fn requests_beyond_the_limit_are_refused_at_once() {
        let (open, gate) = tokio::sync::watch::channel(false);
        let waiting_inside = Arc::new(AtomicUsize::new(0));
        let count = Arc::clone(&waiting_inside);
        let wait = move || {
            let mut gate = gate.clone();
            count.fetch_add(1, Ordering::Relaxed);
            async move {
                let _ = gate.wait_for(|open| *open).await;
            }
        };
        let app = Router::new().route("/", get(wait)).layer(request_limit());
        let ask = || app.clone().oneshot(Request::new(Body::empty()));
        let waiting: Vec<_> = (0..MOST_REQUESTS).map(|_| tokio::spawn(ask())).collect();
        while waiting_inside.load(Ordering::Relaxed) < MOST_REQUESTS {
            tokio::task::yield_now().await;
        }
        let refused = ask().await.unwrap();
        assert_eq!(refused.status(), StatusCode::SERVICE_UNAVAILABLE);
        assert_eq!(refused.headers()[header::CONTENT_TYPE], PROBLEM_JSON);
        assert_eq!(refused.headers()[header::RETRY_AFTER], "2");
        open.send(true).unwrap();
        for request in waiting {
            assert_eq!(request.await.unwrap().unwrap().status(), StatusCode::OK);
        }
        assert_eq!(ask().await.unwrap().status(), StatusCode::OK);
    }

    #[test]
    fn port_80_may_be_left_out_and_other_addresses_have_any_name() {
        assert!(is_own_name("localhost", "127.0.0.1:80".parse().unwrap()));
        assert!(!is_own_name("example.org", "127.0.0.1:80".parse().unwrap()));
        assert!(is_own_name(
            "workshop.lan:8730",
            "0.0.0.0:8730".parse().unwrap()
        ));
    }
}
