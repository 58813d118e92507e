//! Reading the files that are named on the command line.

use std::path::{Path, PathBuf};

use artwork::{MAX_SIDE_FILE_BYTES, SideFile};
use batch::{ModelSource, read_bytes};
use body::Overrides;
use check::{MAX_WAIVER_BYTES, Waivers};
use server::Workshop;

use crate::cli::ModelArgs;
use crate::failure::Failure;

/// The content of the side file of a drawing, if there is one beside it.
pub(crate) fn read_side_file(drawing: &Path) -> Result<Option<Vec<u8>>, Failure> {
    let path = PathBuf::from(SideFile::name_of(&drawing.to_string_lossy()));
    if !path.exists() {
        return Ok(None);
    }
    Ok(Some(read_bytes(&path, MAX_SIDE_FILE_BYTES)?))
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

/// Reads and builds the model.
pub(crate) fn open(args: &ModelArgs) -> Result<Workshop, Failure> {
    open_as(&args.model, &args.overrides())
}

/// Reads and builds a model file in a given way.
pub(crate) fn open_as(path: &Path, overrides: &Overrides) -> Result<Workshop, Failure> {
    Ok(ModelSource::read(path)?.open(overrides)?)
}
