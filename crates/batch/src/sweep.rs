//! Many builds: every model with every combination of values.

use std::collections::BTreeSet;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};
use std::thread;
use std::time::Instant;

use body::Model;
use serde::Serialize;

use crate::job::is_folder_of_job;
use crate::part_folder::remove_left;
use crate::setting::overrides_of;
use crate::{Axis, Job, JobError, ModelSource, Setting, Share, State, Summary, SweepError, Wanted};

/// Most combinations of one sweep. Chosen: at the seconds that a build takes, more are a slip of the pen.
pub const MOST_COMBINATIONS: usize = 10_000;

/// Models, and the values that their keys take.
#[derive(Debug)]
pub struct Sweep {
    models: Vec<ModelSource>,
    axes: Vec<Axis>,
    wanted: Wanted,
}

/// What came of a combination.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Row {
    /// Its number in the whole sweep, from 1.
    pub number: usize,
    /// The model's name.
    pub model: String,
    /// What was set.
    pub settings: Vec<Setting>,
    /// Made, kept, reckoned or refused.
    pub state: State,
    /// Its folder; none if it was refused or nothing is written.
    pub folder: Option<String>,
    /// What came of it, unless it was refused.
    pub summary: Option<Summary>,
    /// Why it was refused.
    pub reason: Option<String>,
    /// How long it took (s).
    pub seconds: f64,
}

impl Sweep {
    /// A sweep of models over values, all of them looked at: nothing is built yet, and a key or value that cannot be
    /// in one of the files is told before anything is.
    ///
    /// The last key varies fastest, and the models slowest.
    ///
    /// # Errors
    ///
    /// [`SweepError`].
    pub fn new(
        models: Vec<ModelSource>,
        axes: Vec<Axis>,
        wanted: Wanted,
    ) -> Result<Self, SweepError> {
        let sweep = Self {
            models,
            axes,
            wanted,
        };
        let mut seen = BTreeSet::new();
        if let Some(twice) = sweep.models.iter().find(|own| !seen.insert(&own.path)) {
            return Err(SweepError::ModelTwice { file: twice.file() });
        }
        let mut seen = BTreeSet::new();
        if let Some(twice) = sweep.axes.iter().find(|own| !seen.insert(&own.key)) {
            return Err(SweepError::KeyTwice {
                key: twice.key.clone(),
            });
        }
        let counts = sweep.axes.iter().map(|own| own.values.len());
        let count = counts.fold(sweep.models.len() as f64, |all, own| all * own as f64);
        if count > MOST_COMBINATIONS as f64 {
            return Err(SweepError::TooMany {
                count: format!("{count:.0}"),
            });
        }
        sweep.check()?;
        Ok(sweep)
    }

    /// Holds each key and value against each file, as it is read with each combination of scale, wheels and variant.
    fn check(&self) -> Result<(), SweepError> {
        let (readings, keys): (Vec<&Axis>, Vec<&Axis>) = self
            .axes
            .iter()
            .partition(|own| setting(own, 0).is_reading());
        for model in &self.models {
            for axis in &readings {
                for at in 0..axis.values.len() {
                    setting(axis, at).check_reading(model)?;
                }
            }
            // Without keys to look at, a file that is no model has a row that says so.
            if keys.is_empty() {
                continue;
            }
            let ways: usize = readings.iter().map(|own| own.values.len()).product();
            for way in 0..ways {
                let no_model = |error| SweepError::Model(Box::new(error));
                let overrides = overrides_of(model, &product(&readings, way)).map_err(no_model)?;
                let fields = Model::fields(&model.file(), &model.bytes, &overrides);
                let fields = fields.map_err(no_model)?;
                for axis in &keys {
                    for at in 0..axis.values.len() {
                        setting(axis, at).check_value(model, &overrides, &fields)?;
                    }
                }
            }
        }
        Ok(())
    }

    /// Number of combinations, of all shares.
    #[must_use]
    pub fn count(&self) -> usize {
        self.models.len() * self.per_model()
    }

    fn per_model(&self) -> usize {
        self.axes.iter().map(|own| own.values.len()).product()
    }

    /// The keys that vary, in their order.
    #[must_use]
    pub fn axes(&self) -> &[Axis] {
        &self.axes
    }

    /// Model and settings of a combination, counted from 0.
    fn combination(&self, index: usize) -> (&ModelSource, Vec<Setting>) {
        let model = &self.models[index / self.per_model()];
        let axes: Vec<&Axis> = self.axes.iter().collect();
        (model, product(&axes, index % self.per_model()))
    }

    /// Builds a share of the combinations on so many threads. With `out`, each is written to its own folder there
    /// unless it stands there whole; without, nothing is written, and nothing is made but what the rows say.
    /// `tell` hears of each row as it is done, in any order; the rows that are returned are in the sweep's order, and
    /// but for the seconds they are the same on any number of threads.
    ///
    /// # Errors
    ///
    /// [`SweepError::File`] for a folder that cannot be written: what was being made is finished, nothing more is
    /// begun, and what is whole stays. [`SweepError::Threads`].
    pub fn run(
        &self,
        share: Share,
        out: Option<&Path>,
        threads: usize,
        tell: impl Fn(&Row) + Sync,
    ) -> Result<Vec<Row>, SweepError> {
        if let Some(out) = out {
            remove_left(out, is_folder_of_job);
        }
        let indices: Vec<usize> = (0..self.count()).filter(|own| share.has(*own)).collect();
        // A combination is one thread's from end to end while there are enough of them: as tasks of one pool they
        // would be begun inside each other, and as many models be held at once.
        let workers = threads.min(indices.len()).max(1);
        let pools = (0..workers)
            .map(|_| {
                let own = (threads / workers).max(1);
                rayon::ThreadPoolBuilder::new().num_threads(own).build()
            })
            .collect::<Result<Vec<_>, _>>()?;
        let next = AtomicUsize::new(0);
        let stop = AtomicBool::new(false);
        let done = Mutex::new(Vec::new());
        let work = || {
            while !stop.load(Ordering::Relaxed) {
                let Some(&index) = indices.get(next.fetch_add(1, Ordering::Relaxed)) else {
                    return;
                };
                let row = self.row(index, out);
                match &row {
                    Ok(row) => tell(row),
                    Err(_) => stop.store(true, Ordering::Relaxed),
                }
                let mut done = done.lock().unwrap_or_else(PoisonError::into_inner);
                done.push((index, row));
            }
        };
        thread::scope(|scope| {
            for pool in &pools {
                scope.spawn(move || pool.install(work));
            }
        });
        let mut done = done.into_inner().unwrap_or_else(PoisonError::into_inner);
        done.sort_by_key(|(index, _)| *index);
        done.into_iter().map(|(_, row)| row).collect()
    }

    fn row(&self, index: usize, out: Option<&Path>) -> Result<Row, SweepError> {
        let start = Instant::now();
        let (model, settings) = self.combination(index);
        let made = match guarded(|| self.job(model, &settings, out)) {
            Ok(Ok(made)) => Ok(made),
            Err(bug) => Err(format!("a bug of Platework broke it off: {bug}")),
            Ok(Err(JobError::Work(refused))) => Err(refused.to_string()),
            Ok(Err(JobError::File(error))) => return Err(error.into()),
        };
        let (state, summary, folder, reason) = match made {
            Ok((state, summary, folder)) => (state, Some(summary), folder, None),
            Err(reason) => (State::Refused, None, None, Some(reason)),
        };
        Ok(Row {
            number: index + 1,
            model: model.name(),
            settings,
            state,
            folder,
            summary,
            reason,
            seconds: start.elapsed().as_secs_f64(),
        })
    }

    fn job(
        &self,
        model: &ModelSource,
        settings: &[Setting],
        out: Option<&Path>,
    ) -> Result<(State, Summary, Option<String>), JobError> {
        let job = Job::new(model, settings, self.wanted.clone())?;
        match out {
            Some(out) => {
                let done = job.run(out)?;
                Ok((done.state, done.summary, Some(job.folder())))
            }
            None => Ok((State::Reckoned, job.make()?.0, None)),
        }
    }
}

/// Does one combination's work; what a panic said. A bug that one combination meets has been shown by then, and
/// must not cost the others; nothing that the panic has left half done is used again.
fn guarded<T>(work: impl FnOnce() -> T) -> Result<T, String> {
    catch_unwind(AssertUnwindSafe(work)).map_err(|said| {
        let text = said.downcast_ref::<String>().map(String::as_str);
        let text = text.or_else(|| said.downcast_ref::<&str>().copied());
        text.unwrap_or("without a word").to_owned()
    })
}

fn setting(axis: &Axis, at: usize) -> Setting {
    Setting {
        key: axis.key.clone(),
        value: axis.values[at].clone(),
    }
}

/// One combination of values, the last key's varying fastest.
fn product(axes: &[&Axis], index: usize) -> Vec<Setting> {
    let mut rest = index;
    let mut settings: Vec<Setting> = axes
        .iter()
        .rev()
        .map(|axis| {
            let own = setting(axis, rest % axis.values.len());
            rest /= axis.values.len();
            own
        })
        .collect();
    settings.reverse();
    settings
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bug_costs_one_combination_only() {
        assert_eq!(guarded(|| 3), Ok(3));
        let broken: Result<(), String> = guarded(|| panic!("a corner of {} sides", 2));
        assert_eq!(broken, Err("a corner of 2 sides".to_owned()));
        let broken: Result<(), String> = guarded(|| panic!("no corner"));
        assert_eq!(broken, Err("no corner".to_owned()));
    }
}
