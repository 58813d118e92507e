//! `platework serve`: the page and the HTTP interface over a folder of models.

use batch::read_bytes;
use serde_json::json;
use server::{ServerError, ServerState, Token, page};
use tokio::net::TcpListener;

use super::Verdict;
use crate::cli::ServeArgs;
use crate::failure::Failure;
use crate::stdout;

/// Serves until it is told to end.
pub(crate) fn run(args: &ServeArgs, json: bool) -> Result<Verdict, Failure> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .map_err(ServerError::Serve)?;
    runtime.block_on(serve(args, json))?;
    // Work that nobody waits for any more does not hold up the end.
    runtime.shutdown_background();
    Ok(Verdict::Clear)
}

async fn serve(args: &ServeArgs, json: bool) -> Result<(), Failure> {
    let token = token(args)?;
    let failed = |cause| ServerError::Listen {
        address: args.listen,
        cause,
    };
    let listener = TcpListener::bind(args.listen).await.map_err(failed)?;
    let address = listener.local_addr().map_err(failed)?;
    let state = ServerState::new(&args.folder, address, token)?;
    warn(&state);
    let models = state.folder().names().map_err(ServerError::from)?.len();
    if json {
        let folder = state.folder().path();
        stdout::json(
            &json!({ "address": format!("http://{address}/"), "folder": folder, "models": models }),
        )?;
    } else {
        let folder = args.folder.display();
        stdout::line(&format!(
            "http://{address}/ serves {models} models of {folder}; Ctrl-C ends it"
        ))?;
    }
    server::serve(listener, state, told_to_end()).await;
    Ok(())
}

/// Largest file of a token (bytes).
const TOKEN_FILE_LIMIT: usize = 4096;

/// The token of the file, or of the environment; none if neither is given.
fn token(args: &ServeArgs) -> Result<Option<Token>, Failure> {
    let (text, from) = match &args.token_file {
        Some(path) => {
            let bytes = read_bytes(path, TOKEN_FILE_LIMIT)?;
            let text = String::from_utf8_lossy(&bytes).into_owned();
            (text, path.display().to_string())
        }
        None => match std::env::var("PLATEWORK_TOKEN") {
            Ok(text) => (text, "PLATEWORK_TOKEN".to_owned()),
            Err(_) => return Ok(None),
        },
    };
    match Token::new(&text) {
        Some(token) => Ok(Some(token)),
        None => Err(Failure::Token { from }),
    }
}

/// Says what the user would else wonder about.
fn warn(state: &ServerState) {
    if !page::PAGE_EMBEDDED {
        tracing::warn!(
            "this program was built without its page; only the HTTP interface is served"
        );
    }
    if !state.address().ip().is_loopback() {
        tracing::warn!(
            "the token and all files go over the network as they are: put a server that speaks TLS before this one"
        );
    }
    for path in state.folder().misnamed().unwrap_or_default() {
        tracing::warn!(
            file = %path.display(),
            "not served: names are of lower-case letters, digits and hyphens"
        );
    }
}

/// Over when the user presses Ctrl-C, or the system asks the program to end.
async fn told_to_end() {
    let interrupt = tokio::signal::ctrl_c();
    #[cfg(unix)]
    {
        use tokio::signal::unix::{SignalKind, signal};
        if let Ok(mut terminate) = signal(SignalKind::terminate()) {
            tokio::select! {
                _ = interrupt => {}
                _ = terminate.recv() => {}
            }
            return;
        }
    }
    #[cfg(not(unix))]
    let _ = interrupt.await;
    #[cfg(unix)]
    std::future::pending::<()>().await;
}
