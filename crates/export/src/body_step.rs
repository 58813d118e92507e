//! The body as one exchange file: exact solids of its plates by sub-assembly, named and in the colour of their metal.

use body::Body;
use solid::{StepColour, StepFile, StepSolid};

use crate::Material;

/// The exchange file of a body (ISO 10303-21, application protocol 214), in millimetres of its frame.
///
/// `solid_of` gives the solid of a plate by its id; plates without one are left out, and so are sub-assemblies
/// without any. The engine is named `name`, and `title` at length.
///
/// # Shape
///
/// The engine holds its sub-assemblies, each of these its plates, all under the names that they have everywhere.
/// Every part stands in the frame of the body, so that no placement moves anything.
pub fn body_step(
    name: &str,
    title: &str,
    body: &Body,
    mut solid_of: impl FnMut(&str) -> Option<StepSolid>,
) -> String {
    let mut file = StepFile::new();
    let engine = file.assembly(name, title);
    for assembly in &body.assemblies {
        let mut group = None;
        for plate in body.plates.iter().filter(|p| p.assembly == assembly.id) {
            let Some(solid) = solid_of(&plate.id) else {
                continue;
            };
            let group = *group.get_or_insert_with(|| file.assembly(assembly.id, assembly.title));
            let colour = Material::of_sheet(&plate.sheet.metal).step_colour();
            let part = file.part(&plate.id, &plate.title, solid, Some(colour));
            file.put(part, group, &plate.id);
        }
        if let Some(group) = group {
            file.put(group, engine, assembly.id);
        }
    }
    file.finish(name, title)
}

impl Material {
    /// The colour that a screen shows: about the square root of the linear one.
    fn step_colour(self) -> StepColour {
        StepColour {
            name: self.name(),
            rgb: self.colour().map(|linear| f64::from(linear).sqrt()),
        }
    }
}
