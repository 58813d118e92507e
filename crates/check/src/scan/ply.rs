//! Reading of PLY: points with or without normals, and faces, text or binary.

use super::error::{At, ScanError};
use super::ply_head::{Element, Form, Number, Role};
use super::scan_file::ScanFile;
use super::source::{Source, is_coordinate, number, words};
use std::io::Read;

/// Most corners of a face that are taken.
const MOST_CORNERS: usize = 4096;

/// Reads head and elements; what is not points or faces is passed over.
pub(super) fn read<R: Read>(source: &mut Source<R>, scan: &mut ScanFile) -> Result<(), ScanError> {
    let (form, elements) = super::ply_head::read(source)?;
    let mut values = Values::new(form);
    let mut normals = Vec::new();
    let mut greatest: Option<(u32, At)> = None;
    for element in &elements {
        for i in 0..element.claimed {
            values.begin(source, element, i)?;
            let mut place = [0.0; 3];
            let mut normal: Option<[f32; 3]> = None;
            for property in &element.properties {
                let length = match property.count {
                    Some(kind) => values.length(source, kind, element)?,
                    None => 1,
                };
                if property.role == Role::Corners {
                    values.corners(source, property.number, length, element)?;
                    continue;
                }
                for _ in 0..length {
                    let value = values.next(source, property.number, element)?;
                    match property.role {
                        Role::Place(axis) => place[axis] = values.coordinate(value, i)?,
                        Role::Normal(axis) => {
                            normal.get_or_insert([0.0; 3])[axis] = value as f32;
                        }
                        _ => {}
                    }
                }
            }
            match element.name.as_str() {
                "vertex" => {
                    scan.push_point(place, values.at)?;
                    normals.extend(normal);
                }
                "face" => {
                    for &own in &values.face {
                        if greatest.is_none_or(|(most, _)| own > most) {
                            greatest = Some((own, values.at));
                        }
                    }
                    if values.face.len() > 2 {
                        scan.push_face(&values.face, values.at)?;
                    }
                }
                _ => {}
            }
        }
    }
    if let Some((most, at)) = greatest
        && most as usize >= scan.points.len()
    {
        return Err(ScanError::broken(
            at,
            format!("a face names point {most}"),
            format!("the file has points 0 to {}", scan.points.len().max(1) - 1),
        ));
    }
    if normals.len() == scan.points.len() && scan.triangles.is_empty() {
        scan.normals = unit_normals(normals);
    }
    Ok(())
}

/// Normals at unit length; none at all where one has no direction.
pub(super) fn unit_normals(mut normals: Vec<[f32; 3]>) -> Vec<[f32; 3]> {
    for normal in &mut normals {
        let square: f32 = normal.iter().map(|x| x * x).sum();
        if !(square > 1e-12 && square.is_finite()) {
            return Vec::new();
        }
        *normal = normal.map(|x| x / square.sqrt());
    }
    normals
}

/// The numbers of a file, one after another.
struct Values {
    form: Form,
    line: Vec<u8>,
    /// Where in the line the next word is looked for.
    from: usize,
    /// Where the element begins that is being read.
    at: At,
    /// Corners of the face read last.
    face: Vec<u32>,
}

impl Values {
    fn new(form: Form) -> Self {
        Self {
            form,
            line: Vec::new(),
            from: 0,
            at: At::Byte(0),
            face: Vec::new(),
        }
    }

    /// Goes to the next element: in a text, to the next line that is not empty.
    fn begin<R: Read>(
        &mut self,
        source: &mut Source<R>,
        element: &Element,
        i: u64,
    ) -> Result<(), ScanError> {
        self.face.clear();
        if self.form != Form::Text {
            self.at = source.byte();
            // An element without properties has no bytes and would be counted for ever.
            if element.properties.is_empty() && i >= super::source::MOST_POINTS as u64 {
                return Err(ScanError::broken(
                    self.at,
                    format!("{} {} without properties", element.claimed, element.name),
                    "an element has properties",
                ));
            }
            return Ok(());
        }
        self.from = 0;
        loop {
            if !source.next_line(&mut self.line)? {
                return Err(ended(source.line(), element));
            }
            self.at = source.line();
            if words(&self.line).next().is_some() {
                return Ok(());
            }
        }
    }

    fn next<R: Read>(
        &mut self,
        source: &mut Source<R>,
        kind: Number,
        element: &Element,
    ) -> Result<f64, ScanError> {
        if self.form == Form::Text {
            let rest = &self.line[self.from.min(self.line.len())..];
            let word = words(rest).next();
            let value = match kind {
                // What is passed over may be anything; coordinates are looked at when taken.
                Number::F32 | Number::F64 => {
                    let text = word.and_then(|word| std::str::from_utf8(word).ok());
                    text.and_then(|text| text.parse().ok())
                }
                _ => None,
            };
            let value = match value {
                Some(value) => value,
                None => number(word, self.at, "a number")?,
            };
            if let Some(word) = word {
                // Both lie in the same line.
                let start = word.as_ptr() as usize - self.line.as_ptr() as usize;
                self.from = start + word.len();
            }
            return Ok(value);
        }
        let mut bytes = [0; 8];
        let size = kind.bytes();
        let got = source.fill(&mut bytes[..size])?;
        if got < size {
            return Err(ended(source.byte(), element));
        }
        if self.form == Form::BigEndian {
            bytes[..size].reverse();
        }
        Ok(kind.value(bytes))
    }

    /// Length of a list. Nothing is made ready for it.
    fn length<R: Read>(
        &mut self,
        source: &mut Source<R>,
        kind: Number,
        element: &Element,
    ) -> Result<u64, ScanError> {
        let value = self.next(source, kind, element)?;
        if value < 0.0 || value.fract() != 0.0 {
            return Err(ScanError::broken(
                self.at,
                format!("a list of {value} numbers"),
                "a length is zero or more",
            ));
        }
        Ok(value as u64)
    }

    fn corners<R: Read>(
        &mut self,
        source: &mut Source<R>,
        kind: Number,
        length: u64,
        element: &Element,
    ) -> Result<(), ScanError> {
        if length > MOST_CORNERS as u64 {
            return Err(ScanError::broken(
                self.at,
                format!("a face of {length} corners"),
                format!("a face has {MOST_CORNERS} or fewer"),
            ));
        }
        for _ in 0..length {
            let value = self.next(source, kind, element)?;
            if !(value >= 0.0 && value < f64::from(u32::MAX) && value.fract() == 0.0) {
                return Err(ScanError::broken(
                    self.at,
                    format!("a face names point {value}"),
                    "points are counted from 0",
                ));
            }
            self.face.push(value as u32);
        }
        Ok(())
    }

    fn coordinate(&self, value: f64, i: u64) -> Result<f64, ScanError> {
        if is_coordinate(value) {
            return Ok(value);
        }
        Err(ScanError::broken(
            self.at,
            format!("a coordinate of point {i} is {value}"),
            "coordinates are finite numbers",
        ))
    }
}

fn ended(at: At, element: &Element) -> ScanError {
    ScanError::broken(
        at,
        format!(
            "the head says {} of element {}, and the file ends before the last",
            element.claimed, element.name
        ),
        "the file was cut short or its count is wrong: write it again",
    )
}
