//! What the routes share.

use std::net::SocketAddr;
use std::path::Path;
use std::sync::Arc;

use body::Overrides;
use check::Waivers;
use tokio::sync::{Mutex, Semaphore};
use tokio::task::spawn_blocking;

use crate::asked::Asked;
use crate::drafts::Drafts;
use crate::events::Events;
use crate::folder::{FolderError, ModelFolder, ModelName, Source};
use crate::metrics::Metrics;
use crate::problem::ProblemKind;
use crate::shelf::Shelf;
use crate::token::Token;
use crate::{Problem, ServerError, WorkError, Workshop};

/// The folder that is served, the address, and what has been built. Cloning it shares it.
#[derive(Clone, Debug)]
pub struct ServerState(Arc<Shared>);

#[derive(Debug)]
struct Shared {
    folder: ModelFolder,
    address: SocketAddr,
    token: Option<Token>,
    metrics: Metrics,
    shelf: Shelf,
    /// Bodies of drafts, apart from those of files: a draft follows another with every key.
    draft_shelf: Shelf,
    drafts: Drafts,
    events: Events,
    writing: Mutex<()>,
    working: Arc<Semaphore>,
}

impl ServerState {
    /// Serves the model files of a folder; `address` is the one that is bound, with its port. On another address
    /// than those of the machine itself whoever asks has to show the token.
    ///
    /// # Errors
    ///
    /// [`ServerError::Folder`] if the folder cannot be read, [`ServerError::NoToken`] on a network without one.
    pub fn new(
        folder: &Path,
        address: SocketAddr,
        token: Option<Token>,
    ) -> Result<Self, ServerError> {
        if token.is_none() && !address.ip().is_loopback() {
            return Err(ServerError::NoToken { address });
        }
        let folder = ModelFolder::open(folder)?;
        let metrics = Metrics::default();
        let shelf = |kept| Shelf::of(folder.path(), kept, metrics.parts());
        let cores = std::thread::available_parallelism().map_or(1, usize::from);
        Ok(Self(Arc::new(Shared {
            shelf: shelf(6),
            draft_shelf: shelf(3),
            drafts: Drafts::default(),
            folder,
            address,
            token,
            metrics,
            events: Events::new(),
            writing: Mutex::new(()),
            working: Arc::new(Semaphore::new(cores.max(2))),
        })))
    }

    /// The folder.
    pub fn folder(&self) -> &ModelFolder {
        &self.0.folder
    }

    /// The address that is bound.
    pub fn address(&self) -> SocketAddr {
        self.0.address
    }

    /// The token that has to be shown, if any.
    pub(crate) fn token(&self) -> Option<&Token> {
        self.0.token.as_ref()
    }

    pub(crate) fn metrics(&self) -> &Metrics {
        &self.0.metrics
    }

    pub(crate) fn shelf(&self) -> &Shelf {
        &self.0.shelf
    }

    pub(crate) fn drafts(&self) -> &Drafts {
        &self.0.drafts
    }

    pub(crate) fn events(&self) -> &Events {
        &self.0.events
    }

    /// Held over reading, comparing and writing a model file.
    pub(crate) fn writing(&self) -> &Mutex<()> {
        &self.0.writing
    }

    /// Runs work off the async threads, no more of it at a time than there are cores.
    ///
    /// Work that has begun runs to its end, also if the asker has gone: its result stays on the shelf.
    pub(crate) async fn work<T: Send + 'static>(
        &self,
        work: impl FnOnce(&Self) -> T + Send + 'static,
    ) -> Result<T, Problem> {
        let permit = Arc::clone(&self.0.working)
            .acquire_owned()
            .await
            .map_err(|_| Problem::internal())?;
        self.metrics().work_begun();
        let state = self.clone();
        let span = tracing::Span::current();
        let task = spawn_blocking(move || {
            let _permit = permit;
            span.in_scope(|| work(&state))
        });
        task.await.map_err(|error| {
            tracing::error!(%error, "work ended in a panic");
            Problem::internal()
        })
    }

    /// Reads the waivers beside a model file off the async threads; none, if there is no such file.
    pub(crate) async fn waivers(&self, name: &ModelName) -> Result<Waivers, Problem> {
        let (state, own) = (self.clone(), name.clone());
        let bytes = spawn_blocking(move || state.folder().waivers(&own))
            .await
            .map_err(|error| {
                tracing::error!(%error, "reading ended in a panic");
                Problem::internal()
            })??;
        let Some(bytes) = bytes else {
            return Ok(Waivers::default());
        };
        let file = Waivers::name_of(&name.file_name());
        Waivers::read(&file, &bytes).map_err(|error| Problem::from(&error))
    }

    /// The text that is asked for: a draft, or the model file.
    pub(crate) async fn source_asked(&self, asked: &Asked) -> Result<Arc<Source>, Problem> {
        match &asked.draft {
            Some(sha256) => self.drafts().text(&asked.model, sha256),
            None => self.source(&asked.model).await.map(Arc::new),
        }
    }

    /// The body of a text that is asked for, built if it is on neither shelf. Takes a while: not for an async thread.
    pub(crate) fn take(&self, asked: &Asked, source: &Source) -> Result<Arc<Workshop>, WorkError> {
        self.take_text(
            &asked.model,
            source,
            &asked.overrides,
            asked.draft.is_some(),
        )
    }

    /// As [`ServerState::take`], of a text that is or is not a draft.
    pub(crate) fn take_text(
        &self,
        name: &ModelName,
        source: &Source,
        overrides: &Overrides,
        is_draft: bool,
    ) -> Result<Arc<Workshop>, WorkError> {
        let (files, drafts) = (&self.0.shelf, &self.0.draft_shelf);
        // The file first: what an edit leaves as it is, or puts back, is then the file's.
        let mut others = files.all_of(name, overrides);
        others.extend(drafts.all_of(name, overrides));
        if !is_draft || files.has(name, source, overrides) {
            return files.take(name, source, overrides, &others);
        }
        drafts.take(name, source, overrides, &others)
    }

    /// Reads a model file off the async threads.
    pub(crate) async fn source(&self, name: &ModelName) -> Result<Source, Problem> {
        let (state, name) = (self.clone(), name.clone());
        spawn_blocking(move || state.folder().read(&name))
            .await
            .map_err(|error| {
                tracing::error!(%error, "reading ended in a panic");
                Problem::internal()
            })?
            .map_err(Problem::from)
    }
}

impl From<FolderError> for Problem {
    fn from(error: FolderError) -> Self {
        match &error {
            FolderError::Missing { name } => Self::at(
                ProblemKind::NotFound,
                name,
                &error.to_string(),
                "GET /v1/models lists the models",
            ),
            FolderError::TooLarge { name, .. } => Self::at(
                ProblemKind::Model,
                name,
                &error.to_string(),
                "a model file is a page or two of text",
            ),
            FolderError::Changed { name } => Self::at(
                ProblemKind::Changed,
                name,
                &error.to_string(),
                "read it again and put your changes into that",
            ),
            FolderError::Full { name } => {
                tracing::error!(%error, "a model file could not be written");
                Self::at(
                    ProblemKind::Full,
                    name,
                    &error.to_string(),
                    "make room on the disk of the folder and send it again",
                )
            }
            FolderError::Locked { .. } => {
                tracing::warn!(%error, "a model file was not written");
                Self::new(ProblemKind::Busy, error.to_string())
            }
            FolderError::Io { .. } => {
                tracing::error!(%error, "a model file could not be read or written");
                Self::internal()
            }
        }
    }
}
