use std::time::Instant;

/// Steps of some work, each told when it begins, and how long it took.
pub struct Timings<'t> {
    tell: Box<dyn FnMut(&'static str) + 't>,
    done: Vec<(&'static str, f64)>,
}

impl<'t> Timings<'t> {
    /// `tell` is called with the word of each step as it begins.
    pub fn telling(tell: impl FnMut(&'static str) + 't) -> Self {
        Self {
            tell: Box::new(tell),
            done: Vec::new(),
        }
    }

    /// Nobody is told.
    pub fn silent() -> Self {
        Self::telling(|_| ())
    }

    /// Does one step. `word` names it.
    pub fn step<T>(&mut self, word: &'static str, work: impl FnOnce() -> T) -> T {
        (self.tell)(word);
        let start = Instant::now();
        let result = work();
        self.done.push((word, start.elapsed().as_secs_f64() * 1e3));
        result
    }

    /// How long a step took (ms); nothing for one that was not done.
    pub fn time_of(&self, word: &str) -> f64 {
        let own = self.done.iter().find(|(step, _)| *step == word);
        own.map_or(0.0, |(_, ms)| *ms)
    }

    /// Steps done so far with their times (ms).
    pub fn done(&self) -> &[(&'static str, f64)] {
        &self.done
    }
}

impl std::fmt::Debug for Timings<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Timings")
            .field("done", &self.done)
            .finish_non_exhaustive()
    }
}
