//! Texts that are being edited: kept in memory by their hash, never written.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, PoisonError};

use crate::Problem;
use crate::folder::{ModelName, Source};
use crate::problem::ProblemKind;

/// Texts that are kept. An editor sends one with every change and asks for the last few only.
const KEPT: usize = 32;

/// Drafts by model and hash, the latest last.
#[derive(Debug, Default)]
pub(crate) struct Drafts {
    texts: Mutex<VecDeque<(ModelName, Arc<Source>)>>,
}

impl Drafts {
    /// Keeps a text; the oldest makes room.
    pub(crate) fn keep(&self, model: &ModelName, source: &Arc<Source>) {
        let mut texts = self.texts.lock().unwrap_or_else(PoisonError::into_inner);
        texts.retain(|(name, own)| name != model || own.sha256 != source.sha256);
        texts.push_back((model.clone(), Arc::clone(source)));
        if texts.len() > KEPT {
            texts.pop_front();
        }
    }

    /// The text of a hash.
    ///
    /// # Errors
    ///
    /// A problem that says to send it again, if it is not kept: pushed out, or from before the server began.
    pub(crate) fn text(&self, model: &ModelName, sha256: &str) -> Result<Arc<Source>, Problem> {
        let texts = self.texts.lock().unwrap_or_else(PoisonError::into_inner);
        let found = texts
            .iter()
            .find(|(name, own)| name == model && own.sha256 == sha256);
        found.map(|(_, own)| Arc::clone(own)).ok_or_else(|| {
            Problem::at(
                ProblemKind::Draft,
                "draft",
                "the server does not keep that draft",
                "send the text again to POST …/drafts",
            )
        })
    }
}
