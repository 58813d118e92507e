//! Writers of a folder kept apart, and what one that was cut off has left.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use crate::folder::{FolderError, ModelName};

/// Name of the file that a writer holds locked. It is empty and stays: removing it would let two writers hold
/// two files of this name.
const LOCK_FILE: &str = ".platework.lock";

/// Longest wait for another writer.
const WAIT: Duration = Duration::from_secs(5);

/// Between two tries.
const PAUSE: Duration = Duration::from_millis(2);

/// The sole right to write into a folder, among all programs that ask for it in this way; the system takes it back
/// also from one that is killed.
#[derive(Debug)]
pub(crate) struct FolderLock {
    _file: File,
}

impl FolderLock {
    /// Takes the right, after whoever has it. Waits: not for an async thread.
    ///
    /// # Errors
    ///
    /// [`FolderError::Locked`] after [`WAIT`], [`FolderError::Io`].
    pub(crate) fn take(root: &Path) -> Result<Self, FolderError> {
        let path = root.join(LOCK_FILE);
        let failed = |cause| FolderError::Io {
            path: path.clone(),
            cause,
        };
        // Opened for writing, since some network file systems lock nothing else.
        let options = OpenOptions::new()
            .write(true)
            .create(true)
            .truncate(false)
            .open(&path);
        let file = options.map_err(failed)?;
        let begun = Instant::now();
        loop {
            match file.try_lock() {
                Ok(()) => return Ok(Self { _file: file }),
                Err(TryLockError::WouldBlock) if begun.elapsed() < WAIT => {
                    std::thread::sleep(PAUSE);
                }
                Err(TryLockError::WouldBlock) => {
                    return Err(FolderError::Locked {
                        seconds: WAIT.as_secs(),
                    });
                }
                Err(TryLockError::Error(cause)) => return Err(failed(cause)),
            }
        }
    }
}

/// Whether there is a file that a write has left which was cut off, or that one is about to put in place.
pub(crate) fn has_scraps(root: &Path) -> bool {
    scraps(root).next().is_some()
}

/// Removes such files. Only with the lock: without it they may be another writer's.
pub(crate) fn sweep(root: &Path) {
    for path in scraps(root) {
        match fs::remove_file(&path) {
            Ok(()) => {
                tracing::info!(path = %path.display(), "removed what a write that was cut off had left")
            }
            Err(error) => tracing::warn!(path = %path.display(), %error, "could not be removed"),
        }
    }
}

fn scraps(root: &Path) -> impl Iterator<Item = PathBuf> {
    let entries = fs::read_dir(root).into_iter().flatten().flatten();
    let paths = entries.map(|entry| entry.path());
    paths.filter(|path| is_scrap(path) && path.is_file())
}

/// `.class-b.toml.` and six letters or digits: how a new content is called until it is put in place.
fn is_scrap(path: &Path) -> bool {
    let name = path.file_name().and_then(|name| name.to_str());
    let model_and_end = name
        .and_then(|name| name.strip_prefix('.'))
        .and_then(|name| name.rsplit_once(".toml."));
    model_and_end.is_some_and(|(model, end)| {
        let plain = end.bytes().all(|byte| byte.is_ascii_alphanumeric());
        ModelName::parse(model).is_some() && end.len() == 6 && plain
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn folder(name: &str) -> PathBuf {
        let path =
            std::env::temp_dir().join(format!("platework-lock-{name}-{}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).unwrap();
        path
    }

    #[test]
    fn one_writer_at_a_time() {
        let root = folder("alone");
        let file = root.join("count");
        fs::write(&file, "0").unwrap();
        std::thread::scope(|scope| {
            for _ in 0..4 {
                scope.spawn(|| {
                    for _ in 0..50 {
                        let _alone = FolderLock::take(&root).unwrap();
                        let count: u32 = fs::read_to_string(&file).unwrap().parse().unwrap();
                        fs::write(&file, (count + 1).to_string()).unwrap();
                    }
                });
            }
        });
        assert_eq!(fs::read_to_string(&file).unwrap(), "200");
        fs::remove_dir_all(root).unwrap();
    }

    #[test]
    fn what_a_write_has_left_is_removed_at_the_start() {
        let root = folder("scraps");
        for name in [".class-b.toml.aB3xZ9", ".class-b.toml.swp", "class-b.toml"] {
            fs::write(root.join(name), "text").unwrap();
        }
        crate::ModelFolder::open(&root).unwrap();
        assert!(!has_scraps(&root));
        assert!(root.join(".class-b.toml.swp").exists() && root.join("class-b.toml").exists());
        // Where there is nothing to remove, a folder that is only read from stays as it is.
        fs::remove_file(root.join(LOCK_FILE)).unwrap();
        crate::ModelFolder::open(&root).unwrap();
        assert!(!root.join(LOCK_FILE).exists());
        fs::remove_dir_all(root).unwrap();
    }

    #[test]
    fn only_what_a_write_leaves_is_a_scrap() {
        assert!(is_scrap(Path::new("/f/.class-b.toml.aB3xZ9")));
        for other in [
            "class-b.toml",
            ".class-b.toml",
            ".class-b.toml.swp",
            ".class-b.toml.aB3x-9",
            ".class-b.toml.aB3xZ99",
            ".Class-B.toml.aB3xZ9",
            "class-b.toml.aB3xZ9",
            ".#class-b.toml",
            LOCK_FILE,
        ] {
            assert!(!is_scrap(&Path::new("/f").join(other)), "{other}");
        }
    }
}
