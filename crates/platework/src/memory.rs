//! Memory that the program has used.

/// Most memory that this program has had in use (KiB), where the system tells.
pub(crate) fn peak_memory_kib() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    peak_of(&status)
}

/// The same in words.
pub(crate) fn peak_in_words(peak_kib: Option<u64>) -> String {
    let words = |kib| format!("peak memory: {:.1} MiB", kib as f64 / 1024.0);
    peak_kib.map_or_else(|| "peak memory: not known on this system".to_owned(), words)
}

fn peak_of(status: &str) -> Option<u64> {
    let line = status
        .lines()
        .find_map(|line| line.strip_prefix("VmHWM:"))?;
    line.trim().strip_suffix("kB")?.trim().parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn peak_is_read_from_the_status() {
        assert_eq!(
            peak_of("VmPeak:\t  9 kB\nVmHWM:\t   1234 kB\nx: y\n"),
            Some(1234)
        );
        assert_eq!(peak_of("VmPeak:\t  9 kB\n"), None);
        assert_eq!(peak_in_words(Some(1536)), "peak memory: 1.5 MiB");
    }
}
