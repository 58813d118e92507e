//! Progress on a terminal; nothing in a pipe.

use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressStyle};

/// Steps of a command, shown as they go by and timed.
#[derive(Debug)]
pub(crate) struct Steps {
    bar: ProgressBar,
    timings: Vec<(&'static str, f64)>,
}

impl Steps {
    /// So many steps. The bar is on standard error and hides itself when that is no terminal.
    pub(crate) fn new(count: u64) -> Self {
        let bar = ProgressBar::new(count);
        let style = ProgressStyle::with_template("{spinner} {pos}/{len} {msg}")
            .expect("the template is a fixed text");
        bar.set_style(style);
        bar.enable_steady_tick(Duration::from_millis(120));
        Self {
            bar,
            timings: Vec::new(),
        }
    }

    /// Does one step. `word` names it in the timings.
    pub(crate) fn step<T>(&mut self, word: &'static str, work: impl FnOnce() -> T) -> T {
        self.bar.set_message(word);
        let start = Instant::now();
        let result = work();
        self.timings
            .push((word, start.elapsed().as_secs_f64() * 1e3));
        self.bar.inc(1);
        result
    }

    /// How long a step took (ms); nothing for one that was not done.
    pub(crate) fn time_of(&self, word: &str) -> f64 {
        let own = self.timings.iter().find(|(step, _)| *step == word);
        own.map_or(0.0, |(_, ms)| *ms)
    }

    /// Steps done so far with their times (ms).
    pub(crate) fn timings(&self) -> &[(&'static str, f64)] {
        &self.timings
    }
}

impl Drop for Steps {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}
