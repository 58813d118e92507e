//! The head of a PLY file: its form, its elements and their properties.

use super::error::{At, ScanError};
use super::source::{Source, shown, words};
use std::io::Read;

/// Most elements, and most properties of one: far more than any scanner writes.
const MOST_PARTS: usize = 64;

/// How numbers are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Form {
    Text,
    LittleEndian,
    BigEndian,
}

/// Kind of a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Number {
    I8,
    U8,
    I16,
    U16,
    I32,
    U32,
    F32,
    F64,
}

impl Number {
    fn of(word: &[u8]) -> Option<Self> {
        Some(match word {
            b"char" | b"int8" => Self::I8,
            b"uchar" | b"uint8" => Self::U8,
            b"short" | b"int16" => Self::I16,
            b"ushort" | b"uint16" => Self::U16,
            b"int" | b"int32" => Self::I32,
            b"uint" | b"uint32" => Self::U32,
            b"float" | b"float32" => Self::F32,
            b"double" | b"float64" => Self::F64,
            _ => return None,
        })
    }

    /// Bytes of it in a binary file.
    pub(super) fn bytes(self) -> usize {
        match self {
            Self::I8 | Self::U8 => 1,
            Self::I16 | Self::U16 => 2,
            Self::I32 | Self::U32 | Self::F32 => 4,
            Self::F64 => 8,
        }
    }

    /// Its value, the bytes in the order of a little-endian file.
    pub(super) fn value(self, bytes: [u8; 8]) -> f64 {
        let [a, b, c, d, ..] = bytes;
        match self {
            Self::I8 => f64::from(i8::from_le_bytes([a])),
            Self::U8 => f64::from(a),
            Self::I16 => f64::from(i16::from_le_bytes([a, b])),
            Self::U16 => f64::from(u16::from_le_bytes([a, b])),
            Self::I32 => f64::from(i32::from_le_bytes([a, b, c, d])),
            Self::U32 => f64::from(u32::from_le_bytes([a, b, c, d])),
            Self::F32 => f64::from(f32::from_le_bytes([a, b, c, d])),
            Self::F64 => f64::from_le_bytes(bytes),
        }
    }
}

/// What is read of a property.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Role {
    /// A coordinate of a point.
    Place(usize),
    /// A coordinate of a point's normal.
    Normal(usize),
    /// The corners of a face.
    Corners,
    /// Nothing.
    Passed,
}

/// A property: its role, the kind of its count if it is a list, and the kind of its numbers.
#[derive(Clone, Copy, Debug)]
pub(super) struct Property {
    pub(super) role: Role,
    pub(super) count: Option<Number>,
    pub(super) number: Number,
}

/// An element: how many of it the head claims, and what each consists of.
#[derive(Clone, Debug)]
pub(super) struct Element {
    pub(super) name: String,
    pub(super) claimed: u64,
    pub(super) properties: Vec<Property>,
}

/// Reads the head.
pub(super) fn read<R: Read>(source: &mut Source<R>) -> Result<(Form, Vec<Element>), ScanError> {
    let mut line = Vec::new();
    let mut form = None;
    let mut elements: Vec<Element> = Vec::new();
    let mut first = true;
    loop {
        if !source.next_line(&mut line)? {
            return Err(ScanError::broken(
                source.line(),
                "the file ends in its head",
                "a head ends with a line  end_header",
            ));
        }
        let at = source.line();
        let mut words = words(&line);
        let word = words.next();
        if first {
            if word != Some(b"ply") {
                return Err(ScanError::broken(
                    at,
                    format!("the file begins with {:?}", shown(word.unwrap_or(b""))),
                    "a PLY file begins with a line  ply",
                ));
            }
            first = false;
            continue;
        }
        match word {
            None | Some(b"comment" | b"obj_info") => {}
            Some(b"format") => form = Some(form_of(words.next(), at)?),
            Some(b"element") => {
                let element = element_of(words.next(), words.next(), at)?;
                if elements.len() == MOST_PARTS {
                    return Err(too_many_parts(at, "elements"));
                }
                elements.push(element);
            }
            Some(b"property") => {
                let Some(element) = elements.last_mut() else {
                    return Err(ScanError::broken(
                        at,
                        "a property before any element",
                        "properties follow the element that they belong to",
                    ));
                };
                if element.properties.len() == MOST_PARTS {
                    return Err(too_many_parts(at, "properties"));
                }
                let property = property_of(&element.name, words, at)?;
                element.properties.push(property);
            }
            Some(b"end_header") => break,
            Some(other) => {
                return Err(ScanError::broken(
                    at,
                    format!("{:?} is no word of a PLY head", shown(other)),
                    "lines begin with format, comment, element, property or end_header",
                ));
            }
        }
    }
    let form = form.ok_or_else(|| {
        ScanError::broken(
            source.line(),
            "the head has no format",
            "format ascii 1.0, binary_little_endian 1.0 or binary_big_endian 1.0",
        )
    })?;
    check_points(&elements, source.line())?;
    Ok((form, elements))
}

fn too_many_parts(at: At, what: &str) -> ScanError {
    ScanError::broken(
        at,
        format!("more than {MOST_PARTS} {what}"),
        "a scan has points and faces",
    )
}

fn form_of(word: Option<&[u8]>, at: At) -> Result<Form, ScanError> {
    match word {
        Some(b"ascii") => Ok(Form::Text),
        Some(b"binary_little_endian") => Ok(Form::LittleEndian),
        Some(b"binary_big_endian") => Ok(Form::BigEndian),
        other => Err(ScanError::broken(
            at,
            format!("the format is {:?}", shown(other.unwrap_or(b""))),
            "it is ascii, binary_little_endian or binary_big_endian",
        )),
    }
}

fn element_of(name: Option<&[u8]>, count: Option<&[u8]>, at: At) -> Result<Element, ScanError> {
    let text = count.and_then(|word| std::str::from_utf8(word).ok());
    let claimed: Option<u64> = text.and_then(|text| text.parse().ok());
    match (name, claimed) {
        (Some(name), Some(claimed)) => Ok(Element {
            name: shown(name),
            claimed,
            properties: Vec::new(),
        }),
        _ => Err(ScanError::broken(
            at,
            format!(
                "an element with the count {:?}",
                shown(count.unwrap_or(b""))
            ),
            "element vertex 1000",
        )),
    }
}

fn property_of<'l>(
    element: &str,
    mut words: impl Iterator<Item = &'l [u8]>,
    at: At,
) -> Result<Property, ScanError> {
    let wrong = |word: Option<&[u8]>| {
        ScanError::broken(
            at,
            format!("{:?} is no kind of number", shown(word.unwrap_or(b""))),
            "char, uchar, short, ushort, int, uint, float or double",
        )
    };
    let kind = |word: Option<&'l [u8]>| word.and_then(Number::of).ok_or_else(|| wrong(word));
    let first = words.next();
    let (count, number) = if first == Some(b"list") {
        let count = kind(words.next())?;
        if matches!(count, Number::F32 | Number::F64) {
            return Err(ScanError::broken(
                at,
                "a list whose length is not a whole number",
                "property list uchar int vertex_indices",
            ));
        }
        (Some(count), kind(words.next())?)
    } else {
        (None, kind(first)?)
    };
    let name = words.next().unwrap_or(b"");
    let role = match (element, count, name) {
        ("vertex", None, b"x") => Role::Place(0),
        ("vertex", None, b"y") => Role::Place(1),
        ("vertex", None, b"z") => Role::Place(2),
        ("vertex", None, b"nx") => Role::Normal(0),
        ("vertex", None, b"ny") => Role::Normal(1),
        ("vertex", None, b"nz") => Role::Normal(2),
        ("face", Some(_), b"vertex_indices" | b"vertex_index") => Role::Corners,
        _ => Role::Passed,
    };
    Ok(Property {
        role,
        count,
        number,
    })
}

/// There are points, and they have three coordinates.
fn check_points(elements: &[Element], at: At) -> Result<(), ScanError> {
    let points = elements.iter().find(|own| own.name == "vertex");
    let has = |axis| {
        let mut all = points.iter().flat_map(|own| &own.properties);
        all.any(|own| own.role == Role::Place(axis))
    };
    if has(0) && has(1) && has(2) {
        return Ok(());
    }
    Err(ScanError::broken(
        at,
        "the head has no element vertex with x, y and z",
        "element vertex 1000, and property float x, y and z below it",
    ))
}
