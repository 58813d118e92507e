//! Over a real socket: changes on disk are told to listeners, and an open stream does not hold up the end.

use std::net::SocketAddr;
use std::time::Duration;

use serde_json::Value;
use tokio::io::{AsyncBufReadExt as _, AsyncWriteExt as _, BufReader};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::oneshot;
use tokio::time::timeout;

use super::{CLASS_B, Folder};
use crate::{ServerState, serve};

/// Longer than a rebuild takes on a busy machine.
const PATIENCE: Duration = Duration::from_secs(20);

/// A listener's end of the stream of events.
struct Stream(BufReader<TcpStream>);

impl Stream {
    async fn open(address: SocketAddr) -> Self {
        let mut socket = TcpStream::connect(address).await.unwrap();
        let request = format!("GET /v1/events HTTP/1.1\r\nHost: {address}\r\n\r\n");
        socket.write_all(request.as_bytes()).await.unwrap();
        let mut stream = Self(BufReader::new(socket));
        assert!(stream.line().await.unwrap().starts_with("HTTP/1.1 200"));
        let mut kind = String::new();
        while let Some(line) = stream.line().await.filter(|line| !line.is_empty()) {
            if let Some(value) = line.strip_prefix("content-type: ") {
                value.clone_into(&mut kind);
            }
        }
        assert_eq!(kind, "text/event-stream");
        stream
    }

    /// The next line; nothing at the end of the stream.
    async fn line(&mut self) -> Option<String> {
        let mut line = String::new();
        let read = timeout(PATIENCE, self.0.read_line(&mut line))
            .await
            .expect("a line in time")
            .unwrap();
        (read > 0).then(|| line.trim_end().to_owned())
    }

    /// The next event: its name and its data.
    async fn event(&mut self) -> (String, Value) {
        let mut name = String::new();
        loop {
            let line = self.line().await.expect("the stream goes on");
            if let Some(word) = line.strip_prefix("event: ") {
                word.clone_into(&mut name);
            }
            if let Some(data) = line.strip_prefix("data: ") {
                return (name, serde_json::from_str(data).unwrap());
            }
        }
    }
}

#[tokio::test]
async fn changes_on_disk_are_told_and_streams_end_with_the_server() {
    let folder = Folder::new();
    let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
    let address = listener.local_addr().unwrap();
    let state = ServerState::new(folder.path(), address, None).unwrap();
    let (end, ended) = oneshot::channel::<()>();
    let server = tokio::spawn(serve(listener, state, async {
        let _ = ended.await;
    }));
    let mut stream = Stream::open(address).await;

    // Written beside and renamed into place, as many editors do.
    folder.write("class-b.new", &CLASS_B.replace("Class B", "Class C"));
    std::fs::rename(
        folder.path().join("class-b.new"),
        folder.path().join("class-b.toml"),
    )
    .unwrap();
    let (name, data) = stream.event().await;
    assert_eq!(
        (name.as_str(), &data["model"]),
        ("rebuilt", &"class-b".into()),
        "{data}"
    );

    folder.write("class-b.toml", &CLASS_B.replace("pitch =", "pich ="));
    let (name, data) = stream.event().await;
    assert_eq!(
        (name.as_str(), &data["model"]),
        ("failed", &"class-b".into()),
        "{data}"
    );
    assert!(data["problem"]["errors"][0]["line"].is_number(), "{data}");

    // The same content again is no change; a second model is one.
    folder.write("class-b.toml", &CLASS_B.replace("pitch =", "pich ="));
    folder.write("class-d.toml", CLASS_B);
    let (name, data) = stream.event().await;
    assert_eq!(
        (name.as_str(), &data["model"]),
        ("rebuilt", &"class-d".into()),
        "{data}"
    );

    std::fs::remove_file(folder.path().join("class-d.toml")).unwrap();
    let (name, data) = stream.event().await;
    assert_eq!(
        (name.as_str(), &data["problem"]["status"]),
        ("failed", &404.into()),
        "{data}"
    );

    end.send(()).unwrap();
    while stream.line().await.is_some() {}
    timeout(PATIENCE, server)
        .await
        .expect("the server ends in time")
        .unwrap();
}
