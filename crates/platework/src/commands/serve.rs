//! `platework serve`: the page and the HTTP interface over a folder of models.

use serde_json::json;
use server::{ServerError, ServerState, page};
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
    let failed = |cause| ServerError::Listen {
        address: args.listen,
        cause,
    };
    let listener = TcpListener::bind(args.listen).await.map_err(failed)?;
    let address = listener.local_addr().map_err(failed)?;
    let state = ServerState::new(&args.folder, address)?;
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
    server::serve(listener, state, told_to_end()).await?;
    Ok(())
}

/// Says what the user would else wonder about.
fn warn(state: &ServerState) {
    if !page::PAGE_EMBEDDED {
        tracing::warn!(
            "this program was built without its page; only the HTTP interface is served"
        );
    }
    if !state.address().ip().is_loopback() {
        tracing::warn!("everyone who reaches this address can read and change the model files");
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
