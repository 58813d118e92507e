//! Requests a second for a preview that is built already, beside a bare handler that sends the same bytes.
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
use axum::serve::{Listener as _, ListenerExt as _};
use server::{ServerState, app};
use tokio::net::TcpListener;
use tower::ServiceExt as _;

/// Rounds of both, in turn: the median of an odd number is one of them.
const ROUNDS: usize = 5;

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

    let listener = TcpListener::bind("127.0.0.1:0").await?;
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
        // Sends without delay, as the server does.
        let beside = TcpListener::bind("127.0.0.1:0").await?.tap_io(|stream| {
            let _ = stream.set_nodelay(true);
        });
        let other = beside.local_addr()?;
        tokio::spawn(async { axum::serve(beside, bare).await });

        let (mut own, mut least) = (Vec::new(), Vec::new());
        for _ in 0..ROUNDS {
            least.push(loaded(format!("http://{other}{path}")).await?);
            own.push(loaded(format!("http://{address}{path}")).await?);
        }
        let (own, least) = (median(own), median(least));
        println!(
            "{title} ({length} bytes): {own:.0} a second, bare handler {least:.0}: {:.0} %",
            own / least * 100.0
        );
    }
    Ok(())
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
