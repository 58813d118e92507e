//! Reading the files that are named on the command line.

use std::fs::File;
use std::io::Read as _;
use std::path::{Path, PathBuf};

use artwork::{MAX_SIDE_FILE_BYTES, SideFile};
use body::{MODEL_FILE_LIMIT, Overrides};
use check::{MAX_WAIVER_BYTES, Waivers};
use server::Workshop;

use crate::cli::ModelArgs;
use crate::failure::Failure;

/// The content of a file, if it is no larger than `limit` bytes.
pub(crate) fn read_bytes(path: &Path, limit: usize) -> Result<Vec<u8>, Failure> {
    let failed = |cause| Failure::Read {
        path: path.to_owned(),
        cause,
    };
    let file = File::open(path).map_err(failed)?;
    let mut bytes = Vec::new();
    file.take(limit as u64 + 1)
        .read_to_end(&mut bytes)
        .map_err(failed)?;
    if bytes.len() > limit {
        return Err(Failure::TooLarge {
            path: path.to_owned(),
            limit,
        });
    }
    Ok(bytes)
}

/// The content of the side file of a drawing, if there is one beside it.
pub(crate) fn read_side_file(drawing: &Path) -> Result<Option<Vec<u8>>, Failure> {
    let path = PathBuf::from(SideFile::name_of(&drawing.to_string_lossy()));
    if !path.exists() {
        return Ok(None);
    }
    read_bytes(&path, MAX_SIDE_FILE_BYTES).map(Some)
}

/// The waivers beside a model file; none, if there is no such file.
pub(crate) fn read_waivers(model: &Path) -> Result<Waivers, Failure> {
    let path = PathBuf::from(Waivers::name_of(&model.to_string_lossy()));
    if !path.exists() {
        return Ok(Waivers::default());
    }
    let bytes = read_bytes(&path, MAX_WAIVER_BYTES)?;
    Ok(Waivers::read(&path.to_string_lossy(), &bytes)?)
}

/// The content of the model file.
pub(crate) fn read_model(args: &ModelArgs) -> Result<Vec<u8>, Failure> {
    read_bytes(&args.model, MODEL_FILE_LIMIT)
}

/// The model's name: the file's without its ending.
pub(crate) fn name_of(path: &Path) -> String {
    path.file_stem()
        .map_or_else(String::new, |stem| stem.to_string_lossy().into_owned())
}

/// Reads and builds the model.
pub(crate) fn open(args: &ModelArgs) -> Result<Workshop, Failure> {
    open_as(&args.model, &args.overrides())
}

/// Reads and builds a model file in a given way.
pub(crate) fn open_as(path: &Path, overrides: &Overrides) -> Result<Workshop, Failure> {
    let bytes = read_bytes(path, MODEL_FILE_LIMIT)?;
    let file = path.to_string_lossy();
    let folder = path.parent().unwrap_or(Path::new(""));
    let beside = |own: &str| read_bytes(&folder.join(own), artwork::MAX_ARTWORK_BYTES).ok();
    Ok(Workshop::open_beside(
        &name_of(path),
        &file,
        &bytes,
        overrides,
        beside,
    )?)
}
