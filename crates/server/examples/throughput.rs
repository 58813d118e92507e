//! Requests a second for a preview that is built already, beside a bare handler that sends the same bytes: served by the framework's
//! own loop, and by the barest loop there is.
//!
//! `cargo run -p server --example throughput [FOLDER [MODEL]]` loads both in turn with `wrk`, which has to be on the
//! path (Debian: `wrk`), and prints the medians and their ratio.

use std::error::Error;
use std::path::Path;
use std::process::Command;

use axum::Router;
use axum::body::{Body, Bytes, to_bytes};
use axum::http::{Request, header};
use axum::routing::get;
use axum::serve::ListenerExt as _;
use hyper::server::conn::http1::Builder;
use hyper_util::rt::TokioIo;
use hyper_util::service::TowerToHyperService;
use server::{ServerState, app};
use tokio::net::TcpListener;
use tower::ServiceExt as _;

/// Rounds of both, in turn: the median of an odd number is one of them.
const ROUNDS: usize = 5;

/// Any free port of this machine.
const ANY: &str = "127.0.0.1:0";

/// What is loaded.
const QUERIES: [(&str, &str); 2] = [
    ("with rivets", "preview.glb"),
    ("without rivets", "preview.glb?rivets=off"),
];

#[tokio::main]
async fn main() -> Result<(), Box<dyn Error>> {
    let mut args = std::env::args().skip(1);
    let folder = args.next().unwrap_or_else(|| "demo-models".to_owned());
    let model = args.next().unwrap_or_else(|| "class-b".to_owned());

    let listener = TcpListener::bind(ANY).await?;
    let address = listener.local_addr()?;
    let state = ServerState::new(Path::new(&folder), address, None)?;
    let whole = app(state.clone());
    tokio::spawn(server::serve(listener, state, std::future::pending()));

    for (title, file) in QUERIES {
        let path = format!("/v1/models/{model}/{file}");
        let request = Request::get(&path)
            .header(header::HOST, address.to_string())
            .body(Body::empty())?;
        let answer = whole.clone().oneshot(request).await?;
        if !answer.status().is_success() {
            return Err(format!("{path}: {}", answer.status()).into());
        }
        let bytes: Bytes = to_bytes(answer.into_body(), usize::MAX).await?;
        let length = bytes.len();
        let bare = Router::new().fallback(get(move || {
            let bytes = bytes.clone();
            async move { ([(header::CONTENT_TYPE, "model/gltf-binary")], bytes) }
        }));
        // Both send without delay, as the server does.
        let (plain, framed) = (TcpListener::bind(ANY).await?, TcpListener::bind(ANY).await?);
        let addresses = [plain.local_addr()?, framed.local_addr()?, address];
        tokio::spawn(serve_plainly(plain, bare.clone()));
        let framed = framed.tap_io(|stream| {
            let _ = stream.set_nodelay(true);
        });
        tokio::spawn(async { axum::serve(framed, bare).await });

        let mut rates = [const { Vec::new() }; 3];
        for _ in 0..ROUNDS {
            for (address, rates) in addresses.iter().zip(&mut rates) {
                rates.push(loaded(format!("http://{address}{path}")).await?);
            }
        }
        let [least, framed, own] = rates.map(median);
        println!(
            "{title} ({length} bytes): {own:.0} a second; bare handler {least:.0}: {:.0} %; by the framework's loop {framed:.0}: {:.0} %",
            own / least * 100.0,
            own / framed * 100.0
        );
    }
    Ok(())
}

/// Serves without limits, times, counts or an orderly end.
async fn serve_plainly(listener: TcpListener, bare: Router) {
    while let Ok((stream, _)) = listener.accept().await {
        let _ = stream.set_nodelay(true);
        let service = TowerToHyperService::new(bare.clone());
        tokio::spawn(Builder::new().serve_connection(TokioIo::new(stream), service));
    }
}

/// Requests a second over 16 connections for three seconds. Another status than 200 is an error.
async fn loaded(url: String) -> Result<f64, Box<dyn Error>> {
    let run = move || {
        Command::new("wrk")
            .args(["-t1", "-c16", "-d3s", &url])
            .output()
    };
    let output = tokio::task::spawn_blocking(run).await??;
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    if text.contains("Non-2xx") {
        return Err(text.into());
    }
    let line = text
        .lines()
        .find_map(|line| line.trim().strip_prefix("Requests/sec:"))
        .ok_or_else(|| text.clone())?;
    Ok(line.trim().parse()?)
}

fn median(mut all: Vec<f64>) -> f64 {
    all.sort_by(f64::total_cmp);
    all[all.len() / 2]
}
