//! Time that the program has had a processor.

/// Seconds that all threads of this program have had a processor, those that have ended included; where the system
/// tells, to a hundredth.
pub(crate) fn cpu_seconds() -> Option<f64> {
    let stat = std::fs::read_to_string("/proc/self/stat").ok()?;
    seconds_of(&stat)
}

/// The fourteenth and fifteenth word are time in the program and in the system, in hundredths of a second (proc(5):
/// clock ticks, of which Linux shows programs a hundred a second). The second word is a name in brackets, which may
/// hold anything.
fn seconds_of(stat: &str) -> Option<f64> {
    let (_, behind) = stat.rsplit_once(')')?;
    let mut words = behind.split_whitespace().skip(11);
    let mut next = || words.next()?.parse::<f64>().ok();
    Some((next()? + next()?) / 100.0)
}

/// Milliseconds that the threads that this program has now have had a processor, where the system tells: finer than
/// [`cpu_seconds`], and without the threads that have ended.
pub(crate) fn cpu_ms() -> Option<f64> {
    // The system brings a thread's time up to date when it is asked to give way.
    std::thread::yield_now();
    let mut nanoseconds = 0.0;
    for task in std::fs::read_dir("/proc/self/task").ok()? {
        let path: std::path::PathBuf = task.ok()?.path().join("schedstat");
        // A thread may end between the listing and here.
        let Ok(text) = std::fs::read_to_string(path) else {
            continue;
        };
        nanoseconds += text.split_whitespace().next()?.parse::<f64>().ok()?;
    }
    Some(nanoseconds / 1e6)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_times_are_read_whatever_the_name_is() {
        let stat = "22 (a) b (c) R 3 4 5 6 7 8 9 10 11 12 150 25 0 0 20";
        assert_eq!(seconds_of(stat), Some(1.75));
        assert_eq!(seconds_of("22 (a) R 3"), None);
    }
}
