//! `[[own_plates]]`: plates that the designer draws himself and the body adopts.

use super::{CHOSEN, each, table};
use crate::model::reader::Reader;
use crate::upright::Facing;

/// A plate that no sub-assembly makes: its shape is a drawing, its place stands in the model file.
#[derive(Clone, Debug, PartialEq)]
pub struct OwnPlate {
    /// Key of its table: `own_plates[0]`.
    pub key: String,
    /// Kebab-case name.
    pub id: String,
    /// File of the drawing, beside the model file.
    pub drawing: String,
    /// Label or layer that the shape bears on the drawing.
    pub label: String,
    /// Holes of other plates that a hole of this one lies over: `frame-left/fixing`.
    pub joins: Vec<String>,
    pub(crate) part: String,
    /// Where the middle of the outline stands on the outside face (mm, body frame).
    pub(crate) middle: [f64; 3],
    pub(crate) facing: Facing,
    /// Turn of the drawing, anticlockwise seen from outside (rad).
    pub(crate) turned: f64,
}

impl OwnPlate {
    pub(crate) fn read_all(reader: &Reader<'_>) -> Vec<Self> {
        each(reader, "own_plates", |reader, name| {
            let t = table(reader, name);
            let text = |key: &str, wanted: &str| {
                let path = format!("{name}.{key}");
                let found = reader.text_or(&path, "", "none");
                if found.trim().is_empty() {
                    reader.problem(&path, format!("this plate has no {key}"), wanted);
                }
                found
            };
            let id = text("id", "give it a name like  id = \"brake-bracket\"");
            if !is_id(&id) {
                let path = format!("{name}.id");
                let help = "lower-case letters, digits and hyphens, like brake-bracket";
                reader.problem(&path, format!("{id} is no name of a plate"), help);
            }
            let drawing = text("drawing", "name the DXF or SVG beside the model file");
            if !is_beside(&drawing) {
                let path = format!("{name}.drawing");
                let help =
                    "a file beside the model file or in a folder there, like  artwork/own.dxf";
                reader.problem(
                    &path,
                    format!("{drawing} leads away from the model file"),
                    help,
                );
            }
            let joins = format!("{name}.joins");
            let part = crate::model::metal::part_word(reader, &format!("{name}.sheet"));
            let side = t.one_of("side", &[("left", 1.0), ("right", -1.0)], 1.0, CHOSEN);
            Self {
                key: name.to_owned(),
                label: reader.text_or(&format!("{name}.label"), &id, "the plate's id"),
                joins: (0..reader.count(&joins))
                    .map(|i| reader.text_or(&format!("{joins}[{i}]"), "", "none"))
                    .collect(),
                part,
                middle: [t.place("x"), side * t.place("y"), t.place("z")],
                facing: t.one_of("facing", &FACINGS, Facing::Left, CHOSEN),
                turned: t.degrees("turned", -360.0..=360.0, 0.0, CHOSEN),
                id,
                drawing,
            }
        })
    }
}

const FACINGS: [(&str, Facing); 5] = [
    ("left", Facing::Left),
    ("right", Facing::Right),
    ("front", Facing::Front),
    ("rear", Facing::Rear),
    ("up", Facing::Up),
];

fn is_id(text: &str) -> bool {
    let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    !text.is_empty() && text.len() <= 60 && text.chars().all(plain)
}

/// True for a path that stays in the folder of the model file.
fn is_beside(text: &str) -> bool {
    let mut parts = std::path::Path::new(text).components();
    !text.contains('\\') && parts.all(|part| matches!(part, std::path::Component::Normal(_)))
}
