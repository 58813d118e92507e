//! The files of `platework build`, one at a time: which there are, what each gives, and the file itself.

use serde::Serialize;
use utoipa::ToSchema;

use crate::{WorkError, Workshop};

/// Files that belong together: a folder of the build.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub(crate) struct BuildGroup {
    /// Its name in addresses.
    #[schema(example = "flats")]
    pub(crate) group: &'static str,
    /// Its name in words.
    title: &'static str,
    /// Its files; `null` where they are not known before the group is worked out: ask for `?group=` then.
    files: Option<Vec<BuildFile>>,
}

/// A file of a build.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub(crate) struct BuildFile {
    /// Its name in the group.
    #[schema(example = "boiler-wrapper.dxf")]
    pub(crate) file: String,
    /// What it gives.
    says: String,
    /// The plate that it is of.
    plate: Option<String>,
    /// Its size, once it has been made.
    bytes: Option<u64>,
}

/// Name in addresses, name in words, and whether listing it takes as long as making it.
const GROUPS: [(&str, &str, bool); 10] = [
    ("body", "The engine", false),
    ("flats", "Flats", false),
    ("formed", "Formed plates", false),
    ("solids", "Exact solids, formed", false),
    ("flat-solids", "Exact solids, before they are bent", false),
    ("formers", "Formers and blocks, in their places", false),
    ("sheets", "Sheets for the builder", false),
    ("fret", "Sheets to be etched", true),
    ("jigs", "Formers and jigs, for the printer", true),
    (
        "templates",
        "Templates that may be etched on the waste",
        true,
    ),
];

/// The media type of a file, by the ending of its name.
pub(crate) fn media_of(file: &str) -> Option<&'static str> {
    Some(match file.rsplit_once('.')?.1 {
        "glb" => "model/gltf-binary",
        "dxf" => "image/vnd.dxf",
        "svg" => "image/svg+xml",
        "json" => "application/json",
        "stl" => "model/stl",
        "step" => "model/step",
        "3mf" => "model/3mf",
        "pdf" => "application/pdf",
        "csv" => "text/csv; charset=utf-8",
        "toml" => "text/plain; charset=utf-8",
        _ => return None,
    })
}

/// What a file of this ending is, of a thing named before it.
fn says(ending: &str) -> &'static str {
    match ending {
        "dxf" => "drawing at true size, DXF R12 in mm",
        "svg" => "drawing at true size, SVG",
        "json" => "the same as data",
        "stl" => "mesh in mm, STL",
        "3mf" => "mesh in mm, 3MF, an object a piece",
        "step" => "exact solid, STEP in mm, without rivet heads",
        "csv" => "table",
        _ => "printed sheet, PDF",
    }
}

impl Workshop {
    /// All groups, or one of them with its files; nothing if there is no such group.
    ///
    /// # Errors
    ///
    /// Of a group that has to be worked out before its files are known.
    pub(crate) fn build_groups(&self, only: Option<&str>) -> Result<Vec<BuildGroup>, WorkError> {
        let wanted = GROUPS
            .iter()
            .filter(|own| only.is_none_or(|only| own.0 == only));
        wanted
            .map(|&(group, title, long)| {
                let files = match long && only.is_none() {
                    true => None,
                    false => Some(self.files_of(group)?),
                };
                Ok::<_, WorkError>(BuildGroup {
                    group,
                    title,
                    files,
                })
            })
            .collect()
    }

    fn files_of(&self, group: &str) -> Result<Vec<BuildFile>, WorkError> {
        let mut files = Vec::new();
        let mut add = |file: String, says: &str, plate: Option<&str>| {
            let bytes = self.size_of(group, &file);
            files.push(BuildFile {
                file,
                says: says.to_owned(),
                plate: plate.map(str::to_owned),
                bytes,
            });
        };
        let body = self.body();
        match group {
            "body" => {
                add(
                    "preview.glb".to_owned(),
                    "the engine in 3D, rivets on, formed and drawn apart by its animations",
                    None,
                );
                add(
                    "body.step".to_owned(),
                    "exact solids of all plates by sub-assembly, in their places, STEP in mm",
                    None,
                );
                add(
                    "report.json".to_owned(),
                    "lengths and areas of both states, joints, order of assembly, findings",
                    None,
                );
            }
            "flats" | "formed" | "solids" | "flat-solids" => {
                let endings: &[&str] = match group {
                    "flats" => &["dxf", "svg", "json"],
                    "formed" => &["stl"],
                    _ => &["step"],
                };
                for plate in &body.plates {
                    for ending in endings {
                        let words = format!("{}: {}", plate.title, says(ending));
                        add(
                            format!("{}.{ending}", plate.id),
                            &words,
                            Some(plate.id.as_str()),
                        );
                    }
                }
            }
            "formers" => {
                for plate in body.plates.iter().filter(|own| is_former(&own.id)) {
                    add(
                        format!("{}.stl", plate.id),
                        &format!("{}: {}", plate.title, says("stl")),
                        Some(plate.id.as_str()),
                    );
                }
                for block in &body.blocks {
                    add(
                        format!("{}.stl", block.id),
                        &format!("{}: {}", block.title, says("stl")),
                        Some(block.plate.as_str()),
                    );
                }
            }
            "sheets" => {
                for sheet in self.sheets() {
                    let plate = sheet.id.strip_prefix("forming-");
                    for ending in sheet.endings {
                        let words = format!("{}: {}", sheet.title, says(ending));
                        add(format!("{}.{ending}", sheet.id), &words, plate);
                    }
                }
            }
            "fret" => {
                for sheet in &self.fret()?.sheets {
                    for (name, says) in Self::fret_names(sheet.number) {
                        let words = format!(
                            "Sheet {}, {} {} mm: {says}",
                            sheet.number, sheet.metal, sheet.thickness
                        );
                        add(name, &words, None);
                    }
                }
                add(
                    "fret.json".to_owned(),
                    "what lies where on which sheet, as data",
                    None,
                );
            }
            "jigs" => {
                for jig in self.jigs().sound() {
                    for ending in ["stl", "3mf"] {
                        add(
                            format!("{}.{ending}", jig.id),
                            &format!("{}: {}", jig.title, says(ending)),
                            None,
                        );
                    }
                }
                for bed in 1..=self.jigs().beds()?.len() {
                    add(
                        format!("bed-{bed}.3mf"),
                        "all pieces as they lie on a bed of the printer, 3MF",
                        None,
                    );
                }
            }
            _ => {
                for flat in self.templates()? {
                    for ending in ["dxf", "svg"] {
                        add(format!("{}.{ending}", flat.plate), says(ending), None);
                    }
                }
            }
        }
        Ok(files)
    }

    /// A file of a build by group and name; nothing if there is none of that name. Its size is known from then on.
    ///
    /// # Errors
    ///
    /// As what is made.
    pub(crate) fn build_file(&self, group: &str, file: &str) -> Result<Option<Vec<u8>>, WorkError> {
        let made = match group {
            "fret" => self.file_of_fret(file)?,
            _ => {
                let (id, ending) = file.rsplit_once('.').unwrap_or((file, ""));
                self.file_of(group, id, ending)?
            }
        };
        if let Some(bytes) = &made {
            self.note_size(group, file, bytes.len() as u64);
        }
        Ok(made)
    }

    fn file_of_fret(&self, file: &str) -> Result<Option<Vec<u8>>, WorkError> {
        if file == "fret.json" {
            return Ok(Some(self.fret_json()?.into_bytes()));
        }
        for sheet in &self.fret()?.sheets {
            if let Some(bytes) = self.fret_file(sheet, file)? {
                return Ok(Some(bytes));
            }
        }
        Ok(None)
    }

    fn file_of(&self, group: &str, id: &str, ending: &str) -> Result<Option<Vec<u8>>, WorkError> {
        Ok(Some(match (group, ending) {
            ("body", "glb") if id == "preview" => self.preview(true)?.to_vec(),
            ("body", "step") if id == "body" => self.body_step(self.exact_solids()).into_bytes(),
            ("body", "json") if id == "report" => {
                let meshes = self.meshes(true)?;
                let report = self.report(&self.facts(&meshes.plates, true)?)?;
                report.with_jigs(self.jigs().json()).to_text().into_bytes()
            }
            ("flats", "dxf") => export::dxf_of(&self.flat(id)?),
            ("flats", "svg") => export::svg_of(&self.flat(id)?).into_bytes(),
            ("flats", "json") => self.flat_json(&self.flat(id)?).into_bytes(),
            ("formed", "stl") => self.formed_stl(id, true)?,
            ("solids", "step") => self.solid_step(id)?.into_bytes(),
            ("flat-solids", "step") => self.flat_step(id)?.into_bytes(),
            ("formers", "stl") if is_former(id) => self.formed_stl(id, true)?,
            ("formers", "stl") => match self.body().blocks.iter().find(|own| own.id == id) {
                Some(block) => self.block_stl(block)?,
                None => return Ok(None),
            },
            ("sheets", _) => self.sheet(id, ending, None)?,
            ("jigs", "stl") => self.jigs().stl(id)?,
            ("jigs", "3mf") => match id.strip_prefix("bed-").map(str::parse::<usize>) {
                Some(number) => {
                    let beds = self.jigs().beds()?;
                    let bed = number
                        .ok()
                        .and_then(|n| beds.into_iter().nth(n.checked_sub(1)?));
                    return Ok(bed);
                }
                None => self.jigs().threemf(id)?,
            },
            ("templates", "dxf" | "svg") => {
                let flats = self.templates()?;
                let Some(flat) = flats.iter().find(|flat| flat.plate == id) else {
                    return Ok(None);
                };
                match ending {
                    "dxf" => export::dxf_of(flat),
                    _ => export::svg_of(flat).into_bytes(),
                }
            }
            _ => return Ok(None),
        }))
    }
}

/// Whether a plate is one that a wrapper is formed on: such have the word in their names.
#[must_use]
pub fn is_former(id: &str) -> bool {
    id.split('-').any(|word| word == "former")
}
