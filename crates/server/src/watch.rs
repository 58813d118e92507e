//! Live rebuild: model files that change on disk are built and told to the listeners.

use std::collections::{BTreeMap, BTreeSet};
use std::time::Duration;

use body::Overrides;
use notify::{RecommendedWatcher, RecursiveMode};
use notify_debouncer_full::{DebounceEventResult, Debouncer, RecommendedCache, new_debouncer};
use tokio::sync::mpsc::{UnboundedReceiver, UnboundedSender, unbounded_channel};

use crate::events::{Event, FailedEvent, RebuiltEvent};
use crate::folder::{FolderError, ModelName};
use crate::{Problem, ServerState, WorkError};

/// Quiet after the last change before a file is read: editors write in several steps.
const QUIET: Duration = Duration::from_millis(150);

/// Watches the folder until it is dropped.
pub(crate) struct Watch {
    _debouncer: Debouncer<RecommendedWatcher, RecommendedCache>,
}

impl Watch {
    /// Begins to watch. The folder is watched, not the files, since editors put new files in their place.
    pub(crate) fn start(state: &ServerState) -> Result<Self, notify::Error> {
        let (sender, receiver) = unbounded_channel();
        let folder = state.clone();
        let mut debouncer = new_debouncer(QUIET, None, move |result: DebounceEventResult| {
            for name in changed(&folder, result) {
                tell(&sender, name);
            }
        })?;
        debouncer.watch(state.folder().path(), RecursiveMode::NonRecursive)?;
        let seen = contents(state);
        tokio::spawn(rebuild_each(state.clone(), receiver, seen));
        Ok(Self {
            _debouncer: debouncer,
        })
    }
}

fn tell(sender: &UnboundedSender<ModelName>, name: ModelName) {
    // The other end is gone only while the server ends.
    let _ = sender.send(name);
}

/// Models that a burst of events is about: all of them where events were lost.
fn changed(state: &ServerState, result: DebounceEventResult) -> BTreeSet<ModelName> {
    let events = match result {
        Ok(events) if !events.iter().any(|event| event.need_rescan()) => events,
        _ => {
            return state
                .folder()
                .names()
                .unwrap_or_default()
                .into_iter()
                .collect();
        }
    };
    events
        .iter()
        // Reading a file is an event as well, and the rebuild reads.
        .filter(|event| !event.kind.is_access())
        .flat_map(|event| &event.paths)
        .filter_map(|path| ModelName::of_file(path))
        .collect()
}

/// Hashes of all model files, so that a file that is only touched is not built again.
fn contents(state: &ServerState) -> BTreeMap<ModelName, String> {
    let names = state.folder().names().unwrap_or_default();
    let hashes = names.into_iter().filter_map(|name| {
        let source = state.folder().read(&name).ok()?;
        Some((name, source.sha256))
    });
    hashes.collect()
}

/// One rebuild at a time. What changes meanwhile is gathered, so that only the newest content is built.
async fn rebuild_each(
    state: ServerState,
    mut receiver: UnboundedReceiver<ModelName>,
    mut seen: BTreeMap<ModelName, String>,
) {
    while let Some(first) = receiver.recv().await {
        let mut names = BTreeSet::from([first]);
        while let Ok(name) = receiver.try_recv() {
            names.insert(name);
        }
        for name in names {
            let known = seen.get(&name).cloned();
            let asked = name.clone();
            let outcome = state
                .work(move |state| rebuild(state, &asked, known.as_deref()))
                .await;
            match outcome {
                Ok(Some(rebuilt)) => {
                    match rebuilt.sha256 {
                        Some(sha256) => seen.insert(name, sha256),
                        None => seen.remove(&name),
                    };
                    state.events().send(rebuilt.event);
                }
                Ok(None) => {}
                Err(problem) => state.events().send(failed(&name, problem)),
            }
        }
    }
}

struct Rebuilt {
    /// Hash of the content; nothing if there is no file any more.
    sha256: Option<String>,
    event: Event,
}

/// Builds a model whose file has changed, its preview included; nothing if its content is the known one.
fn rebuild(state: &ServerState, name: &ModelName, known: Option<&str>) -> Option<Rebuilt> {
    let source = match state.folder().read(name) {
        Ok(source) => source,
        // A file that was never known and is gone again is an editor's scratch file.
        Err(FolderError::Missing { .. }) if known.is_none() => return None,
        Err(error) => {
            return Some(Rebuilt {
                sha256: None,
                event: failed(name, error.into()),
            });
        }
    };
    if known == Some(source.sha256.as_str()) {
        return None;
    }
    let built = state
        .take_text(name, &source, &Overrides::default(), false)
        .and_then(|workshop| workshop.preview(true));
    let event = match built {
        Ok(_) => {
            tracing::info!(model = name.as_str(), "rebuilt");
            Event::Rebuilt(RebuiltEvent {
                model: name.as_str().to_owned(),
            })
        }
        Err(error) => {
            tracing::info!(model = name.as_str(), "changed, and cannot be built");
            failed(name, WorkError::into(error))
        }
    };
    Some(Rebuilt {
        sha256: Some(source.sha256),
        event,
    })
}

fn failed(name: &ModelName, problem: Problem) -> Event {
    Event::Failed(FailedEvent {
        model: name.as_str().to_owned(),
        problem,
    })
}
