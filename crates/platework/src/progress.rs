//! Progress on a terminal; nothing in a pipe, but for what many builds say of each.

use std::io::IsTerminal as _;
use std::time::Duration;

use batch::Timings;
use indicatif::{ProgressBar, ProgressStyle};

/// Steps of a command, shown as they go by and timed.
#[derive(Debug)]
pub(crate) struct Steps {
    bar: ProgressBar,
    timings: Timings<'static>,
}

impl Steps {
    /// So many steps. The bar is on standard error and hides itself when that is no terminal.
    pub(crate) fn new(count: u64) -> Self {
        let bar = bar("{spinner} {pos}/{len} {msg}", count);
        let shown = bar.clone();
        let mut begun = 0;
        let timings = Timings::telling(move |word| {
            shown.set_message(word);
            shown.set_position(begun);
            begun += 1;
        });
        Self { bar, timings }
    }

    /// Does one step. `word` names it in the timings.
    pub(crate) fn step<T>(&mut self, word: &'static str, work: impl FnOnce() -> T) -> T {
        self.timings.step(word, work)
    }

    /// Steps done so far with their times; also for work that has steps of its own.
    pub(crate) fn timings(&mut self) -> &mut Timings<'static> {
        &mut self.timings
    }
}

impl Drop for Steps {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}

/// Many builds, told as they are done: a bar on a terminal, else a line each, both on standard error.
#[derive(Debug)]
pub(crate) struct Builds {
    bar: Option<ProgressBar>,
    count: usize,
    done: std::sync::atomic::AtomicUsize,
}

impl Builds {
    pub(crate) fn new(count: usize) -> Self {
        let terminal = std::io::stderr().is_terminal();
        let template = "{spinner} {pos}/{len} {elapsed} of about {duration}  {msg}";
        Self {
            bar: terminal.then(|| bar(template, count as u64)),
            count,
            done: 0.into(),
        }
    }

    /// One more is done.
    pub(crate) fn tell(&self, words: &str) {
        let Some(bar) = &self.bar else {
            let done = 1 + self.done.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
            eprintln!("{done} of {}: {words}", self.count);
            return;
        };
        bar.set_message(words.to_owned());
        bar.inc(1);
    }
}

impl Drop for Builds {
    fn drop(&mut self) {
        if let Some(bar) = &self.bar {
            bar.finish_and_clear();
        }
    }
}

fn bar(template: &str, count: u64) -> ProgressBar {
    let bar = ProgressBar::new(count);
    let style = ProgressStyle::with_template(template).expect("the template is a fixed text");
    bar.set_style(style);
    bar.enable_steady_tick(Duration::from_millis(120));
    bar
}
