//! Connections: so many at a time, cut off where a request comes too slowly, and let finish at the end.

use std::future::Future;
use std::io;
use std::pin::pin;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::body::Body;
use axum::http::Request;
use hyper::body::Incoming;
use hyper::server::conn::http1::Builder;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::{GracefulConnection, GracefulShutdown};
use hyper_util::service::TowerToHyperService;
use tokio::io::{AsyncRead, AsyncWrite};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::Semaphore;
use tower::ServiceExt as _;

/// Time that the head of a request may take, and that a connection may wait for its next request.
pub(crate) const HEAD_TIME: Duration = Duration::from_secs(15);

/// Connections that are open at a time; others wait until one is closed.
pub(crate) const MOST_CONNECTIONS: usize = 512;

/// Wait after the system has refused a connection because it has no more of something.
const BREATH: Duration = Duration::from_secs(1);

/// Answers connections, `most` at a time, until `shutdown` is over, then lets answers on their way finish.
pub(crate) async fn answer_all(
    listener: TcpListener,
    app: Router,
    most: usize,
    shutdown: impl Future<Output = ()>,
) {
    let (open, places) = (GracefulShutdown::new(), Arc::new(Semaphore::new(most)));
    let mut shutdown = pin!(shutdown);
    loop {
        let next = async {
            let place = Arc::clone(&places).acquire_owned().await;
            (place, accepted(&listener).await)
        };
        let (place, stream) = tokio::select! {
            next = next => next,
            () = &mut shutdown => break,
        };
        let connection = open.watch(connection(stream, app.clone()));
        tokio::spawn(async move {
            let _place = place;
            if let Err(error) = connection.await {
                tracing::debug!(%error, "a connection broke off");
            }
        });
    }
    drop(listener);
    open.shutdown().await;
}

/// The next connection. What the system refuses is tried again.
async fn accepted(listener: &TcpListener) -> TcpStream {
    loop {
        match listener.accept().await {
            Ok((stream, _)) => {
                // An answer is sent at once; where that fails it comes a little later.
                let _ = stream.set_nodelay(true);
                return stream;
            }
            Err(error) if is_of_the_other_end(&error) => {}
            Err(error) => {
                tracing::error!(%error, "no connection could be accepted");
                tokio::time::sleep(BREATH).await;
            }
        }
    }
}

fn is_of_the_other_end(error: &io::Error) -> bool {
    matches!(
        error.kind(),
        io::ErrorKind::ConnectionRefused
            | io::ErrorKind::ConnectionAborted
            | io::ErrorKind::ConnectionReset
    )
}

/// One connection, with the time that the head of a request may take.
fn connection<T>(stream: T, app: Router) -> impl GracefulConnection<Error = hyper::Error>
where
    T: AsyncRead + AsyncWrite + Send + Unpin + 'static,
{
    let service = app.map_request(|request: Request<Incoming>| request.map(Body::new));
    Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(HEAD_TIME)
        .serve_connection(TokioIo::new(stream), TowerToHyperService::new(service))
}

#[cfg(test)]
mod tests {
    use axum::routing::{get, post};
    use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _, DuplexStream, duplex};
    use tokio::time::Instant;

    use super::*;
    use crate::guard::{TIME_LIMIT, in_one_shape, time_limit};

    fn connected() -> DuplexStream {
        let app = Router::new()
            .route("/", get(async || "here"))
            .route("/", post(async |body: String| body))
            .layer(time_limit())
            .layer(axum::middleware::map_response(in_one_shape));
        let (own, other) = duplex(4096);
        tokio::spawn(connection(other, app));
        own
    }

    /// Sends a byte a second until the other end is closed; gives what was answered, and how long it took.
    async fn dripped(text: &str) -> (String, Duration) {
        let begun = Instant::now();
        let mut stream = connected();
        for byte in text.bytes() {
            if stream.write_all(&[byte]).await.is_err() {
                break;
            }
            tokio::time::sleep(Duration::from_secs(1)).await;
        }
        let mut answer = String::new();
        let _ = stream.read_to_string(&mut answer).await;
        (answer, begun.elapsed())
    }

    #[tokio::test(start_paused = true)]
    async fn a_head_that_comes_a_byte_a_second_is_cut_off() {
        let head = format!(
            "GET / HTTP/1.1\r\nHost: a\r\nX: {}\r\n\r\n",
            "x".repeat(200)
        );
        let (answer, took) = dripped(&head).await;
        assert!(!answer.contains("200"), "{answer}");
        assert!(took < HEAD_TIME + Duration::from_secs(3), "{took:?}");
    }

    #[tokio::test(start_paused = true)]
    async fn a_body_that_comes_a_byte_a_second_is_answered_with_busy() {
        let mut stream = connected();
        let head = "POST / HTTP/1.1\r\nHost: a\r\nContent-Length: 100\r\n\r\n";
        stream.write_all(head.as_bytes()).await.unwrap();
        let begun = Instant::now();
        let (mut from, mut to) = tokio::io::split(stream);
        tokio::spawn(async move {
            while to.write_all(b"x").await.is_ok() {
                tokio::time::sleep(Duration::from_secs(1)).await;
            }
        });
        let mut answer = String::new();
        let _ = from.read_to_string(&mut answer).await;
        assert!(answer.starts_with("HTTP/1.1 503"), "{answer}");
        assert!(answer.contains("/problems/busy"), "{answer}");
        let most = TIME_LIMIT + Duration::from_secs(3);
        assert!(begun.elapsed() < most, "{:?}", begun.elapsed());
    }

    #[tokio::test]
    async fn connections_beyond_the_limit_wait_for_a_place() {
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let address = listener.local_addr().unwrap();
        let app = Router::new().route("/", get(async || "here"));
        tokio::spawn(answer_all(listener, app, 2, std::future::pending()));
        let ask = b"GET / HTTP/1.1\r\nHost: a\r\n\r\n";
        let mut answer = [0; 12];
        let mut open = Vec::new();
        for _ in 0..2 {
            let mut stream = TcpStream::connect(address).await.unwrap();
            stream.write_all(ask).await.unwrap();
            stream.read_exact(&mut answer).await.unwrap();
            open.push(stream);
        }
        let mut third = TcpStream::connect(address).await.unwrap();
        third.write_all(ask).await.unwrap();
        let waited =
            tokio::time::timeout(Duration::from_millis(200), third.read_exact(&mut answer));
        assert!(waited.await.is_err(), "there is no place");
        open.pop();
        third.read_exact(&mut answer).await.unwrap();
        assert_eq!(&answer, b"HTTP/1.1 200");
    }

    #[tokio::test(start_paused = true)]
    async fn a_head_with_too_many_lines_or_too_long_is_refused() {
        let lines: String = (0..101).map(|k| format!("X-{k}: y\r\n")).collect();
        for (head, status) in [
            (format!("GET / HTTP/1.1\r\nHost: a\r\n{lines}\r\n"), "431"),
            (
                format!("GET /{} HTTP/1.1\r\nHost: a\r\n\r\n", "x".repeat(66_000)),
                "414",
            ),
        ] {
            let (mut from, mut to) = tokio::io::split(connected());
            tokio::spawn(async move { to.write_all(head.as_bytes()).await });
            let mut answer = String::new();
            let _ = from.read_to_string(&mut answer).await;
            assert!(
                answer.starts_with(&format!("HTTP/1.1 {status}")),
                "{answer}"
            );
        }
    }

    #[tokio::test(start_paused = true)]
    async fn a_connection_that_asks_nothing_is_closed() {
        let begun = Instant::now();
        let mut stream = connected();
        stream
            .write_all(b"GET / HTTP/1.1\r\nHost: a\r\n\r\n")
            .await
            .unwrap();
        let mut answer = String::new();
        stream.read_to_string(&mut answer).await.unwrap();
        assert!(answer.ends_with("here"), "{answer}");
        let most = HEAD_TIME + Duration::from_secs(3);
        assert!(begun.elapsed() < most, "{:?}", begun.elapsed());
    }
}
