//! A folder beside the wanted one, in which its files are written first.

use std::fs::{self, File, TryLockError};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

use crate::FileError;

/// Held locked by who writes the folder, for as long as it is not in place. The system takes the lock back also
/// from one that is killed: what nobody holds has been left.
const HELD: &str = ".being-written";

/// A folder beside the wanted one, gone again whatever happens.
#[derive(Debug)]
pub(crate) struct PartFolder {
    path: PathBuf,
    _held: File,
}

impl PartFolder {
    pub(crate) fn beside(target: &Path) -> Result<Self, FileError> {
        let failed = |cause| FileError::Write {
            path: target.to_owned(),
            cause,
        };
        let whole = std::path::absolute(target).map_err(failed)?;
        let (Some(parent), Some(name)) = (whole.parent(), whole.file_name()) else {
            return Err(failed(io::ErrorKind::InvalidInput.into()));
        };
        if target.exists() && !target.is_dir() {
            return Err(failed(io::ErrorKind::NotADirectory.into()));
        }
        fs::create_dir_all(parent).map_err(failed)?;
        let name = name.to_string_lossy();
        remove_left(parent, |own| own == name);
        let process = std::process::id();
        // Another thread or machine may have the same number.
        for number in 0.. {
            let path = parent.join(format!(".{name}.part-{process}-{number}"));
            match fs::create_dir(&path) {
                Err(cause) if cause.kind() == io::ErrorKind::AlreadyExists => continue,
                made => made.map_err(failed)?,
            }
            let held = File::create_new(path.join(HELD)).map_err(failed)?;
            // Where nothing can be locked, nothing is ever removed as left either. Whoever was about to remove
            // what is left may have taken this for such before it was locked.
            let lost = matches!(held.try_lock(), Err(TryLockError::WouldBlock));
            if !lost && path.join(HELD).exists() {
                return Ok(Self { path, _held: held });
            }
        }
        unreachable!("there are more numbers than folders")
    }

    /// Writes a file and waits until it is on the disk.
    pub(crate) fn write(&self, path: &str, bytes: &[u8]) -> Result<(), FileError> {
        let path = self.path.join(path);
        let write = || {
            fs::create_dir_all(path.parent().unwrap_or(&self.path))?;
            let mut file = File::create_new(&path)?;
            file.write_all(bytes)?;
            file.sync_all()
        };
        write().map_err(|cause| FileError::Write {
            path: path.clone(),
            cause,
        })
    }

    pub(crate) fn rename(&self, from: &str, target: &Path, to: &str) -> Result<(), FileError> {
        let path = target.join(to);
        let rename = || {
            fs::create_dir_all(path.parent().unwrap_or(target))?;
            fs::rename(self.path.join(from), &path)
        };
        rename().map_err(|cause| FileError::Write {
            path: path.clone(),
            cause,
        })
    }

    /// Puts the whole folder in the wanted one's place, which must be free.
    pub(crate) fn become_folder(&self, target: &Path) -> Result<(), FileError> {
        // The lock is held until this ends: nobody takes the folder for left between the two.
        let _ = fs::remove_file(self.path.join(HELD));
        fs::rename(&self.path, target).map_err(|cause| FileError::Write {
            path: target.to_owned(),
            cause,
        })
    }
}

impl Drop for PartFolder {
    fn drop(&mut self) {
        // Not there any more if it has become the wanted folder.
        let _ = fs::remove_dir_all(&self.path);
    }
}

/// Removes what writers have left in a folder that were cut off, of targets whose names are `ours`.
pub(crate) fn remove_left(parent: &Path, ours: impl Fn(&str) -> bool) {
    for entry in fs::read_dir(parent).into_iter().flatten().flatten() {
        let name = entry.file_name();
        let is_ours = name.to_str().and_then(target_of).is_some_and(&ours);
        if !is_ours {
            continue;
        }
        let path = entry.path();
        let Ok(held) = File::open(path.join(HELD)) else {
            continue;
        };
        // A folder that came into its place in the meantime has the file no more.
        if held.try_lock().is_err() || !path.join(HELD).exists() {
            continue;
        }
        match fs::remove_dir_all(&path) {
            Ok(()) => {
                tracing::info!(path = %path.display(), "removed what a build that was cut off had left")
            }
            Err(error) => tracing::warn!(path = %path.display(), %error, "could not be removed"),
        }
    }
}

/// The wanted folder's name, of the name of a folder beside it.
fn target_of(part: &str) -> Option<&str> {
    let (target, number) = part.strip_prefix('.')?.rsplit_once(".part-")?;
    let (process, count) = number.split_once('-')?;
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    (digits(process) && digits(count)).then_some(target)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_left_goes_and_what_is_being_written_stays() {
        let place = std::env::temp_dir().join(format!("platework-part-{}", std::process::id()));
        let _ = fs::remove_dir_all(&place);
        fs::create_dir(&place).unwrap();
        let out = place.join("out");
        let left = place.join(".out.part-1-0");
        fs::create_dir(&left).unwrap();
        fs::write(left.join(HELD), "").unwrap();
        fs::write(left.join("a.svg"), "half").unwrap();
        let other = place.join(".other.part-1-0");
        fs::create_dir(&other).unwrap();
        fs::write(other.join(HELD), "").unwrap();

        let first = PartFolder::beside(&out).unwrap();
        assert!(!left.exists() && other.exists());
        first.write("a.svg", b"a").unwrap();
        let second = PartFolder::beside(&out).unwrap();
        assert!(first.path.join("a.svg").exists() && first.path != second.path);
        first.become_folder(&out).unwrap();
        assert!(second.become_folder(&out).is_err(), "somebody was first");
        drop((first, second));
        let mut names: Vec<_> = fs::read_dir(&place)
            .unwrap()
            .map(|entry| entry.unwrap().file_name())
            .collect();
        names.sort();
        assert_eq!(names, [".other.part-1-0", "out"]);
        assert_eq!(fs::read_dir(&out).unwrap().count(), 1);
        fs::remove_dir_all(place).unwrap();
    }

    #[test]
    fn only_names_of_its_own_kind_are_known() {
        assert_eq!(target_of(".out.part-12-0"), Some("out"));
        for other in [
            "out.part-12-0",
            ".out.part-",
            ".out.part-12",
            ".out.part-a-0",
            ".out",
            ".out.part-1-",
        ] {
            assert_eq!(target_of(other), None, "{other}");
        }
    }
}
