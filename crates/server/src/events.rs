//! What happens to model files, told to whoever listens.

use std::sync::{Mutex, PoisonError};

use serde::Serialize;
use tokio::sync::broadcast;
use utoipa::ToSchema;

use crate::Problem;

/// Events that a slow listener may be behind before its line is cut.
const BACKLOG: usize = 256;

/// Listeners at a time.
pub(crate) const MOST_LISTENERS: usize = 64;

/// Something that happened to a model file.
#[derive(Clone, Debug, Serialize)]
#[serde(untagged)]
pub(crate) enum Event {
    /// It changed and was built.
    Rebuilt(RebuiltEvent),
    /// It changed and cannot be built.
    Failed(FailedEvent),
}

/// Data of the event `rebuilt`: a file changed on disk and was built.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub(crate) struct RebuiltEvent {
    /// Name of the model.
    pub(crate) model: String,
}

/// Data of the event `failed`: a file changed and cannot be built, or is gone.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub(crate) struct FailedEvent {
    /// Name of the model.
    pub(crate) model: String,
    /// What is wrong.
    pub(crate) problem: Problem,
}

impl Event {
    /// Name of the event on the line.
    pub(crate) fn word(&self) -> &'static str {
        match self {
            Self::Rebuilt(_) => "rebuilt",
            Self::Failed(_) => "failed",
        }
    }
}

/// The line to all listeners, until it is closed.
#[derive(Debug)]
pub(crate) struct Events {
    sender: Mutex<Option<broadcast::Sender<Event>>>,
}

impl Events {
    pub(crate) fn new() -> Self {
        let (sender, _) = broadcast::channel(BACKLOG);
        Self {
            sender: Mutex::new(Some(sender)),
        }
    }

    /// Tells all listeners; nobody listening is no failure.
    pub(crate) fn send(&self, event: Event) {
        if let Some(sender) = self.lock().as_ref() {
            let _ = sender.send(event);
        }
    }

    /// A listener's end, unless the line is closed or has too many listeners.
    pub(crate) fn listen(&self) -> Option<broadcast::Receiver<Event>> {
        let sender = self.lock();
        let sender = sender.as_ref()?;
        (sender.receiver_count() < MOST_LISTENERS).then(|| sender.subscribe())
    }

    /// Ends every listener's stream.
    pub(crate) fn close(&self) {
        self.lock().take();
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, Option<broadcast::Sender<Event>>> {
        self.sender.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
