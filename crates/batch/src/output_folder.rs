//! Writing a folder of files so that it is whole or not touched, and keeping hands off foreign files.
//!
//! Everything is first written to a folder beside the wanted one. If the wanted one is not there yet,
//! it is renamed into place; else its files are renamed into place one by one. `files.json` lists what
//! was written with the hashes of the contents: only a file that still has such a content is replaced
//! or removed by the next build, and a folder is whole while all of them have.

use std::collections::BTreeSet;
use std::fs;
use std::io;
use std::path::{Component, Path};

use serde::{Deserialize, Serialize};
use server::sha256_hex;

use crate::FileError;
use crate::part_folder::PartFolder;

/// Name of the list of files.
const LIST: &str = "files.json";

/// What the list says that it is from.
const WRITTEN_BY: &str = concat!("platework ", env!("CARGO_PKG_VERSION"));

/// A file to be written.
#[derive(Clone, Debug)]
pub struct OutputFile {
    /// Place in the folder, with `/`: `flats/dome.dxf`.
    pub path: String,
    /// Content.
    pub bytes: Vec<u8>,
    /// Whether the same input gives the same content.
    pub repeatable: bool,
}

impl OutputFile {
    /// A file whose content follows from the input alone.
    pub fn new(path: impl Into<String>, bytes: impl Into<Vec<u8>>) -> Self {
        Self {
            path: path.into(),
            bytes: bytes.into(),
            repeatable: true,
        }
    }
}

/// The list of files that a build has written.
#[derive(Debug, Default, Deserialize, Serialize)]
struct FileList {
    /// What wrote them.
    written_by: String,
    files: Vec<Listed>,
}

#[derive(Clone, Debug, Deserialize, PartialEq, Serialize)]
struct Listed {
    path: String,
    /// Hash of the content; nothing for a file that differs from run to run.
    sha256: Option<String>,
}

/// Writes the files to a folder.
///
/// Files of an earlier build that are not written any more are removed. Nothing is touched on a failure
/// before the last step, which only renames.
///
/// # Errors
///
/// [`FileError::Foreign`] if a file in the way is not from an earlier build or was changed since;
/// [`FileError::Write`], [`FileError::Read`].
pub fn write_folder(target: &Path, mut files: Vec<OutputFile>) -> Result<(), FileError> {
    files.sort_by(|a, b| a.path.cmp(&b.path));
    let old = old_list(target)?;
    for file in &files {
        refuse_foreign(target, &old, file)?;
    }
    let (part, list) = written_beside(target, &files)?;
    if target.exists() {
        // Should this break off between two files, the next build still knows both contents as its own.
        let both = FileList {
            written_by: list.written_by.clone(),
            files: old.files.iter().chain(&list.files).cloned().collect(),
        };
        part.write("both.json", list_text(&both).as_bytes())?;
        part.rename("both.json", target, LIST)?;
        for file in &files {
            part.rename(&file.path, target, &file.path)?;
        }
        remove_stale(target, &old, &list);
        part.rename(LIST, target, LIST)
    } else {
        part.become_folder(target)
    }
}

/// The files and their list in a folder beside the wanted one.
fn written_beside(
    target: &Path,
    files: &[OutputFile],
) -> Result<(PartFolder, FileList), FileError> {
    let list = FileList {
        written_by: WRITTEN_BY.to_owned(),
        files: files.iter().map(listed).collect(),
    };
    let part = PartFolder::beside(target)?;
    for file in files {
        part.write(&file.path, &file.bytes)?;
    }
    part.write(LIST, list_text(&list).as_bytes())?;
    Ok((part, list))
}

fn listed(file: &OutputFile) -> Listed {
    Listed {
        path: file.path.clone(),
        sha256: file.repeatable.then(|| sha256_hex(&file.bytes)),
    }
}

fn list_text(list: &FileList) -> String {
    let text = serde_json::to_string_pretty(list)
        .expect("the list is made of strings, which JSON can always write");
    text + "\n"
}

/// The list of an earlier build; an empty one if there was none.
fn old_list(target: &Path) -> Result<FileList, FileError> {
    let path = target.join(LIST);
    let bytes = match fs::read(&path) {
        Ok(bytes) => bytes,
        Err(cause) if cause.kind() == io::ErrorKind::NotFound => return Ok(FileList::default()),
        Err(cause) => return Err(FileError::Read { path, cause }),
    };
    serde_json::from_slice(&bytes).map_err(|_| FileError::Foreign { path })
}

/// Refuses to replace what is not from an earlier build. The same content may be replaced by itself.
fn refuse_foreign(target: &Path, old: &FileList, file: &OutputFile) -> Result<(), FileError> {
    let path = target.join(&file.path);
    let present = match fs::read(&path) {
        Ok(present) => present,
        Err(cause) if cause.kind() == io::ErrorKind::NotFound => return Ok(()),
        Err(cause) => return Err(FileError::Read { path, cause }),
    };
    if present == file.bytes || is_own(old, &file.path, &present) {
        Ok(())
    } else {
        Err(FileError::Foreign { path })
    }
}

fn is_own(old: &FileList, path: &str, content: &[u8]) -> bool {
    let hash = sha256_hex(content);
    old.files
        .iter()
        .filter(|listed| listed.path == path)
        .any(|listed| listed.sha256.as_ref().is_none_or(|own| *own == hash))
}

/// Removes files of the earlier build that the present one does not have, and folders left empty.
fn remove_stale(target: &Path, old: &FileList, list: &FileList) {
    let kept: BTreeSet<&str> = list
        .files
        .iter()
        .map(|listed| listed.path.as_str())
        .collect();
    for listed in old
        .files
        .iter()
        .filter(|listed| !kept.contains(listed.path.as_str()))
    {
        // A list that somebody has changed must not reach out of the folder.
        let inside = Path::new(&listed.path)
            .components()
            .all(|c| matches!(c, Component::Normal(_)));
        let path = target.join(&listed.path);
        let own = || fs::read(&path).is_ok_and(|content| is_own(old, &listed.path, &content));
        if !inside || !own() {
            continue;
        }
        if let Err(error) = fs::remove_file(&path) {
            tracing::warn!(path = %path.display(), %error, "a file of an earlier build stays");
        }
        if let Some(folder) = path.parent().filter(|folder| *folder != target) {
            // Fails for a folder that still has something in it, which is right.
            let _ = fs::remove_dir(folder);
        }
    }
}

/// The content of a file of a folder that is whole: each file of its list is there with its own content.
pub(crate) fn from_whole(target: &Path, file: &str) -> Option<Vec<u8>> {
    let list = old_list(target).ok()?;
    let mut wanted = None;
    for listed in &list.files {
        let content = fs::read(target.join(&listed.path)).ok()?;
        if listed.sha256.as_deref() != Some(&sha256_hex(&content)) {
            return None;
        }
        if listed.path == file {
            wanted = Some(content);
        }
    }
    wanted
}

/// Writes a folder whose name decides the content of every file in it, unless it is there already: then what has
/// another content is put right.
///
/// Any number of processes may do this at once: each writes the same, and renames it into place.
///
/// # Errors
///
/// [`FileError::Write`].
pub(crate) fn write_named_by_content(
    target: &Path,
    mut files: Vec<OutputFile>,
) -> Result<(), FileError> {
    files.sort_by(|a, b| a.path.cmp(&b.path));
    let (part, _) = written_beside(target, &files)?;
    if !target.exists() && part.become_folder(target).is_ok() {
        return Ok(());
    }
    // Somebody was first, or left it in pieces. The list comes last: without it the folder is not whole.
    for file in &files {
        part.rename(&file.path, target, &file.path)?;
    }
    part.rename(LIST, target, LIST)
}

#[cfg(test)]
mod tests {
    use std::sync::atomic::{AtomicUsize, Ordering};

    use super::*;

    /// A place for one test, gone again at the end.
    struct Place(std::path::PathBuf);

    impl Place {
        fn new() -> Self {
            static COUNT: AtomicUsize = AtomicUsize::new(0);
            let number = COUNT.fetch_add(1, Ordering::Relaxed);
            let name = format!("platework-out-{}-{number}", std::process::id());
            let path = std::env::temp_dir().join(name);
            let _ = fs::remove_dir_all(&path);
            fs::create_dir(&path).unwrap();
            Self(path)
        }

        fn out(&self) -> std::path::PathBuf {
            self.0.join("out")
        }

        fn read(&self, path: &str) -> String {
            fs::read_to_string(self.out().join(path)).unwrap()
        }

        /// What stands beside the wanted folder: nothing may be left there.
        fn beside(&self) -> usize {
            fs::read_dir(&self.0).unwrap().count() - 1
        }
    }

    impl Drop for Place {
        fn drop(&mut self) {
            let _ = fs::remove_dir_all(&self.0);
        }
    }

    fn files(of: &[(&str, &str)]) -> Vec<OutputFile> {
        of.iter()
            .map(|(path, text)| OutputFile::new(*path, *text))
            .collect()
    }

    #[test]
    fn a_folder_is_written_and_written_again() {
        let place = Place::new();
        write_folder(&place.out(), files(&[("flats/b.svg", "b"), ("a.glb", "a")])).unwrap();
        assert_eq!(
            (
                place.read("a.glb").as_str(),
                place.read("flats/b.svg").as_str()
            ),
            ("a", "b")
        );
        let list = place.read(LIST);
        write_folder(&place.out(), files(&[("a.glb", "a"), ("flats/b.svg", "b")])).unwrap();
        assert_eq!(
            place.read(LIST),
            list,
            "the order in which files are handed over does not matter"
        );
        write_folder(&place.out(), files(&[("a.glb", "A"), ("flats/b.svg", "b")])).unwrap();
        assert_eq!(place.read("a.glb"), "A");
        assert_eq!(place.beside(), 0);
    }

    #[test]
    fn what_is_not_made_any_more_goes_and_foreign_files_stay() {
        let place = Place::new();
        let both = [
            ("flats/a.svg", "a"),
            ("flats/b.svg", "b"),
            ("solids/a.step", "s"),
        ];
        write_folder(&place.out(), files(&both)).unwrap();
        fs::write(place.out().join("flats/mine.svg"), "mine").unwrap();
        fs::write(place.out().join("flats/b.svg"), "b, corrected by hand").unwrap();
        write_folder(&place.out(), files(&[("flats/c.svg", "c")])).unwrap();
        assert!(!place.out().join("flats/a.svg").exists());
        assert!(
            !place.out().join("solids").exists(),
            "an empty folder goes with its last file"
        );
        assert_eq!(place.read("flats/mine.svg"), "mine");
        assert_eq!(place.read("flats/b.svg"), "b, corrected by hand");
        assert_eq!(place.read("flats/c.svg"), "c");
    }

    #[test]
    fn foreign_files_in_the_way_are_refused_before_anything_is_touched() {
        let place = Place::new();
        fs::create_dir(place.out()).unwrap();
        fs::write(place.out().join("b.svg"), "mine").unwrap();
        let refused = write_folder(&place.out(), files(&[("a.svg", "a"), ("b.svg", "b")]));
        assert!(matches!(refused, Err(FileError::Foreign { path }) if path.ends_with("b.svg")));
        assert!(!place.out().join("a.svg").exists());
        assert_eq!(place.read("b.svg"), "mine");
        assert_eq!(place.beside(), 0);
        fs::write(place.out().join("b.svg"), "b").unwrap();
        write_folder(&place.out(), files(&[("a.svg", "a"), ("b.svg", "b")])).unwrap();
        fs::write(place.out().join("a.svg"), "changed by hand").unwrap();
        let refused = write_folder(&place.out(), files(&[("a.svg", "A"), ("b.svg", "b")]));
        assert!(matches!(refused, Err(FileError::Foreign { path }) if path.ends_with("a.svg")));
    }

    #[test]
    fn a_file_that_differs_from_run_to_run_is_known_by_its_name() {
        let place = Place::new();
        let report = |text: &str| OutputFile {
            repeatable: false,
            ..OutputFile::new("report.json", text)
        };
        write_folder(&place.out(), vec![report("1")]).unwrap();
        write_folder(&place.out(), vec![report("2")]).unwrap();
        assert_eq!(place.read("report.json"), "2");
    }

    #[test]
    fn a_list_that_was_tampered_with_reaches_nothing_outside() {
        let place = Place::new();
        fs::write(place.0.join("precious"), "p").unwrap();
        write_folder(&place.out(), files(&[("a", "a")])).unwrap();
        let list = place.read(LIST).replace("\"a\"", "\"../precious\"");
        let list = list.replace(&sha256_hex(b"a"), &sha256_hex(b"p"));
        fs::write(place.out().join(LIST), list).unwrap();
        write_folder(&place.out(), files(&[("a", "a")])).unwrap();
        assert!(place.0.join("precious").exists());
    }

    #[test]
    fn a_build_that_broke_off_between_two_files_can_be_repeated() {
        let place = Place::new();
        write_folder(&place.out(), files(&[("a", "1"), ("b", "1")])).unwrap();
        // As it stands after the first rename of a second build.
        let listed = |path: &str, text: &str| listed(&OutputFile::new(path, text));
        let both = FileList {
            written_by: String::new(),
            files: vec![
                listed("a", "1"),
                listed("b", "1"),
                listed("a", "2"),
                listed("b", "2"),
            ],
        };
        fs::write(place.out().join(LIST), list_text(&both)).unwrap();
        fs::write(place.out().join("a"), "2").unwrap();
        write_folder(&place.out(), files(&[("a", "3"), ("b", "3")])).unwrap();
        assert_eq!(
            (place.read("a").as_str(), place.read("b").as_str()),
            ("3", "3")
        );
    }

    #[test]
    fn a_file_in_the_folders_place_is_refused() {
        let place = Place::new();
        fs::write(place.out(), "a file").unwrap();
        assert!(write_folder(&place.out(), files(&[("a", "a")])).is_err());
        assert_eq!(fs::read_to_string(place.out()).unwrap(), "a file");
    }
}
