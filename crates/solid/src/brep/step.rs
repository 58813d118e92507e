//! The text of an exchange file (ISO 10303-21, application protocol 214) round the entities of solids.

use super::domes::{Dome, domes};
use super::edges::Edges;
use super::entities::solid_entities;
use super::kernel::closed_shell;
use super::net::Net;
use super::step_file::StepFile;
use crate::SolidError;
use body::Plate;
use std::fmt::Write as _;

/// The exact solid of a plate as entities of an exchange file, to be put into a file of one's own.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StepSolid {
    /// One entity a line, each ending in `;` and a line feed.
    pub entities: String,
    /// Number of the `MANIFOLD_SOLID_BREP`.
    pub solid: usize,
    /// Number after the last one used.
    pub next: usize,
}

/// The exact solid of a plate, formed in space, as entities numbered as the first of a [`StepFile`].
///
/// Coordinates are millimetres of the body's frame. The skins lie at `z_low` and `z_high` of the
/// sheet and of its regions; walls and steps follow the sheet's normal. A skin that goes on at one
/// height is not divided where the other one steps. Rivet heads take no part.
///
/// # Accuracy
///
/// Lines, circles and cones about the loft's axis are exact; other curves are splines within
/// 1e-8 mm.
///
/// # Errors
///
/// [`SolidError`] for a plate whose boundary bounds nothing, whose skins fold or whose regions leave
/// no metal, and [`SolidError::Kernel`] if the solid cannot be put together.
pub fn step_solid(plate: &Plate) -> Result<StepSolid, SolidError> {
    solid_of(plate, &[])
}

fn solid_of(plate: &Plate, domes: &[Dome]) -> Result<StepSolid, SolidError> {
    let net = Net::of(plate, domes)?;
    let edges = Edges::of(plate, &net)?;
    let shell = closed_shell(plate, &net, &edges)?;
    solid_entities(&shell, &plate.id, StepFile::FIRST).map_err(|step| SolidError::Kernel {
        plate: plate.id.clone(),
        step,
    })
}

/// An exchange file of one plate: its exact solid, formed in space, in millimetres.
///
/// The same plate gives the same bytes; the time stamp is therefore a fixed one.
///
/// # Errors
///
/// As [`step_solid`].
pub fn plate_step(plate: &Plate) -> Result<String, SolidError> {
    Ok(step_file_of(plate, step_solid(plate)?))
}

/// As [`plate_step`], with the rivet heads on.
///
/// A head is a face of the plate's own shell: the cap of a sphere on flat metal; on bent metal its rim
/// follows the skin and its meridians are conics that rise to the top of the cap. Heads that would
/// touch an edge, an opening, a place of other depth or one another are left off.
///
/// # Errors
///
/// As [`step_solid`].
pub fn riveted_step(plate: &Plate) -> Result<String, SolidError> {
    let domes = domes_of(plate)?;
    Ok(step_file_of(plate, solid_of(plate, &domes)?))
}

/// Numbers of the rivets whose heads [`riveted_step`] keeps.
///
/// # Errors
///
/// [`SolidError::Develop`] for a boundary that leaves the sheet.
pub fn exact_rivets(plate: &Plate) -> Result<Vec<usize>, SolidError> {
    Ok(domes_of(plate)?.iter().map(|dome| dome.rivet).collect())
}

pub(super) fn domes_of(plate: &Plate) -> Result<Vec<Dome>, SolidError> {
    domes(plate).map_err(|cause| SolidError::Develop {
        plate: plate.id.clone(),
        cause,
    })
}

/// The exchange file of a plate whose solid is at hand: as [`plate_step`].
pub fn step_file_of(plate: &Plate, solid: StepSolid) -> String {
    let mut file = StepFile::new();
    file.part(&plate.id, &plate.title, solid, None);
    file.finish(&plate.id, &plate.title)
}

impl StepSolid {
    /// The same entities numbered from `first`.
    pub(super) fn from(self, first: usize) -> Self {
        if self.solid == first {
            return self;
        }
        let (entities, next) = renumbered(&self.entities, self.solid, first);
        Self {
            entities,
            solid: first,
            next,
        }
    }
}

/// A string of an exchange file, quotes included: `'` doubled, `\` doubled, letters outside ASCII
/// as `\X2\` (ISO 10303-21, clause 6.4.3).
pub fn step_string(text: &str) -> String {
    let mut written = String::with_capacity(text.len() + 2);
    written.push('\'');
    for letter in text.chars() {
        match letter {
            '\'' => written.push_str("''"),
            '\\' => written.push_str("\\\\"),
            ' '..='~' => written.push(letter),
            _ => written.push_str(&match u32::from(letter) {
                code @ 0..=0xFFFF => format!("\\X2\\{code:04X}\\X0\\"),
                code => format!("\\X4\\{code:08X}\\X0\\"),
            }),
        }
    }
    written.push('\'');
    written
}

/// Entities numbered `from` one number on, numbered from `first` on, and the number after the last.
fn renumbered(text: &str, from: usize, first: usize) -> (String, usize) {
    let mut written = String::with_capacity(text.len() + text.len() / 8);
    let mut next = first;
    let mut parts = text.split('#');
    written.push_str(parts.next().unwrap_or(""));
    for part in parts {
        let digits = part.bytes().take_while(u8::is_ascii_digit).count();
        // Names inside it are empty or ids of plates, so that every # begins a number.
        let number = part[..digits].parse::<usize>().unwrap_or(from);
        let number = number + first - from;
        next = next.max(number + 1);
        written.push('#');
        write!(written, "{number}").expect("writing to memory cannot fail");
        written.push_str(&part[digits..]);
    }
    (written, next)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strings_are_escaped() {
        assert_eq!(step_string("driver's side"), "'driver''s side'");
        assert_eq!(step_string("a\\b"), "'a\\\\b'");
        assert_eq!(step_string("Kühl"), "'K\\X2\\00FC\\X0\\hl'");
    }

    #[test]
    fn numbers_move_together() {
        let (text, next) = renumbered("#16 = A('', #17);\n#17 = B();\n", 16, 40);
        assert_eq!(text, "#40 = A('', #41);\n#41 = B();\n");
        assert_eq!(next, 42);
    }
}
