//! Reading of STL: facets with their corners, text or binary, their corners welded to points.

use super::error::{At, ScanError};
use super::scan_file::ScanFile;
use super::source::{Source, is_coordinate, number, shown, words};
use std::collections::HashMap;
use std::io::Read;

/// Bytes of a facet: normal, three corners, two bytes of nothing.
const FACET_BYTES: usize = 50;

/// Bytes before the first facet: 80 of words and the count.
const HEAD_BYTES: usize = 84;

/// Points by their coordinates: each facet of the file has corners of its own.
#[derive(Default)]
struct Welded {
    numbers: HashMap<[u64; 3], u32>,
}

impl Welded {
    fn point(&mut self, scan: &mut ScanFile, p: [f64; 3], at: At) -> Result<u32, ScanError> {
        // Adding zero turns −0 into 0.
        let key = p.map(|x| (x + 0.0).to_bits());
        if let Some(&number) = self.numbers.get(&key) {
            return Ok(number);
        }
        let number = scan.push_point(p, at)?;
        self.numbers.insert(key, number);
        Ok(number)
    }
}

/// Reads text or binary.
///
/// A file that begins with `solid` is a text only if a second word of the format follows soon: some binary
/// files begin so too.
pub(super) fn read<R: Read>(source: &mut Source<R>, scan: &mut ScanFile) -> Result<(), ScanError> {
    let head = source.ahead()?;
    let head = &head[..head.len().min(4096)];
    let is_text = head.starts_with(b"solid")
        && head[..head.len().min(HEAD_BYTES + FACET_BYTES)]
            .iter()
            .all(|byte| matches!(byte, b'\t' | b'\n' | b'\r' | b' '..=b'~' | 0x80..))
        && (contains(head, b"facet") || contains(head, b"endsolid"));
    if is_text {
        read_text(source, scan)
    } else {
        read_binary(source, scan)
    }
}

fn contains(text: &[u8], word: &[u8]) -> bool {
    text.windows(word.len()).any(|own| own == word)
}

fn read_binary<R: Read>(source: &mut Source<R>, scan: &mut ScanFile) -> Result<(), ScanError> {
    let mut head = [0; HEAD_BYTES];
    let got = source.fill(&mut head)?;
    if got < HEAD_BYTES {
        return Err(ScanError::broken(
            source.byte(),
            format!("the file ends after {got} bytes"),
            "a binary STL has 80 bytes of words, the count of its facets and 50 bytes for each",
        ));
    }
    let claimed = u32::from_le_bytes([head[80], head[81], head[82], head[83]]);
    let mut welded = Welded::default();
    let mut facets: u64 = 0;
    let mut facet = [0; FACET_BYTES];
    loop {
        let at = source.byte();
        let got = source.fill(&mut facet)?;
        if got == 0 {
            break;
        }
        if facets == u64::from(claimed) {
            return Err(ScanError::broken(
                at,
                format!("the head says {claimed} facets, and there is more after the last"),
                "the count in bytes 80 to 83 is that of the facets in the file",
            ));
        }
        if got < FACET_BYTES {
            return Err(cut_short(source.byte(), claimed, facets));
        }
        let mut corners = [0; 3];
        for (k, corner) in corners.iter_mut().enumerate() {
            let mut p = [0.0; 3];
            for (axis, x) in p.iter_mut().enumerate() {
                let from = 12 + 12 * k + 4 * axis;
                let bytes = [
                    facet[from],
                    facet[from + 1],
                    facet[from + 2],
                    facet[from + 3],
                ];
                let value = f64::from(f32::from_le_bytes(bytes));
                if !is_coordinate(value) {
                    let At::Byte(start) = at else {
                        unreachable!("the file is binary")
                    };
                    return Err(ScanError::broken(
                        At::Byte(start + from as u64),
                        format!("a coordinate of facet {} is {value}", facets + 1),
                        "coordinates are finite numbers",
                    ));
                }
                *x = value;
            }
            *corner = welded.point(scan, p, at)?;
        }
        scan.push_triangle(corners, at)?;
        facets += 1;
    }
    if facets < u64::from(claimed) {
        return Err(cut_short(source.byte(), claimed, facets));
    }
    Ok(())
}

fn cut_short(at: At, claimed: u32, facets: u64) -> ScanError {
    ScanError::broken(
        at,
        format!("the head says {claimed} facets, and the file ends after {facets}"),
        "the file was cut short or its count is wrong: write it again",
    )
}

/// A text is facets of three corners; all that is read are its `vertex` lines, and how they lie in loops.
fn read_text<R: Read>(source: &mut Source<R>, scan: &mut ScanFile) -> Result<(), ScanError> {
    let mut welded = Welded::default();
    let mut line = Vec::new();
    let mut corners: Vec<u32> = Vec::with_capacity(3);
    let mut is_open = false;
    let mut ended = false;
    while source.next_line(&mut line)? {
        let at = source.line();
        let mut words = words(&line);
        let Some(word) = words.next() else {
            continue;
        };
        match word.to_ascii_lowercase().as_slice() {
            b"vertex" => {
                let mut p = [0.0; 3];
                for (x, what) in p.iter_mut().zip(["x", "y", "z"]) {
                    *x = number(words.next(), at, what)?;
                }
                if !is_open || corners.len() == 3 {
                    return Err(ScanError::broken(
                        at,
                        "a corner that belongs to no loop of three",
                        "a facet is  outer loop , three vertex lines,  endloop",
                    ));
                }
                corners.push(welded.point(scan, p, at)?);
            }
            b"outer" => is_open = true,
            b"endloop" => {
                let &[a, b, c] = corners.as_slice() else {
                    return Err(ScanError::broken(
                        at,
                        format!("a facet of {} corners", corners.len()),
                        "a facet has three",
                    ));
                };
                scan.push_triangle([a, b, c], at)?;
                corners.clear();
                is_open = false;
            }
            b"endsolid" => ended = true,
            b"solid" => ended = false,
            b"facet" | b"endfacet" => {}
            other => {
                return Err(ScanError::broken(
                    at,
                    format!("{:?} is no word of an STL", shown(other)),
                    "lines begin with solid, facet, outer loop, vertex, endloop, endfacet or endsolid",
                ));
            }
        }
    }
    if !ended {
        return Err(ScanError::broken(
            source.line(),
            "the file ends without  endsolid",
            "it was cut short: write it again",
        ));
    }
    Ok(())
}
