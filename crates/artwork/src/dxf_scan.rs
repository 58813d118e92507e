//! A look over the raw groups of a DXF: what the file is, whether it is whole, and what is in it.
//!
//! The reading library stops without a word at a blank line or an odd value, and drops kinds that
//! it does not know. So every group is looked at here first; only those that carry geometry or
//! text are handed on, and what was handed on is counted.

use crate::ArtworkError;
use crate::collected::Left;
use crate::role::Pen;
use std::collections::BTreeMap;

/// The most bytes that a drawing may have.
pub const MAX_ARTWORK_BYTES: usize = 64 * 1024 * 1024;

/// The greatest coordinate that is taken for a measure (drawing units): a kilometre in millimetres.
const GREATEST_NUMBER: f64 = 1e6;

/// Kinds of entity that are read.
const READ: [&str; 12] = [
    "LINE",
    "ARC",
    "CIRCLE",
    "ELLIPSE",
    "SPLINE",
    "LWPOLYLINE",
    "POLYLINE",
    "VERTEX",
    "SEQEND",
    "TEXT",
    "MTEXT",
    "INSERT",
];

/// What the look over the groups found.
#[derive(Debug, Default)]
pub(crate) struct Scan {
    /// The drawing cut down to what is read, as several DXF one after another.
    ///
    /// A block's name begins with its number in the file and `|`; a long block is several of one number.
    pub(crate) parts: Vec<Part>,
    /// Value of $INSUNITS.
    pub(crate) units: Option<i64>,
    /// Entities left out, by block name (upper case); the drawing itself is the empty name.
    pub(crate) left: BTreeMap<String, Left>,
    /// Colour and line type of each layer, by its name in capitals.
    pub(crate) layers: BTreeMap<String, Pen>,
    /// True if the bytes were no UTF-8 and were read as Windows code page 1252.
    pub(crate) code_page: bool,
}

/// A DXF of no more than [`MOST_OF_A_PART`] entities.
#[derive(Debug, Default)]
pub(crate) struct Part {
    /// Its text.
    pub(crate) dxf: String,
    /// Entities in it.
    pub(crate) count: usize,
    /// Vertices of polylines in it.
    pub(crate) vertices: usize,
}

impl Part {
    /// True if it holds blocks, false if what is drawn.
    pub(crate) fn is_of_blocks(&self) -> bool {
        self.dxf.starts_with("0\nSECTION\n2\nBLOCKS\n")
    }
}

/// The library needs a kilobyte and more for an entity, and looks through all layers for each.
const MOST_OF_A_PART: usize = 1000;

/// Looks over a DXF.
pub(crate) fn scan(bytes: &[u8]) -> Result<Scan, ArtworkError> {
    if bytes.len() > MAX_ARTWORK_BYTES {
        return Err(ArtworkError::TooLarge {
            bytes: bytes.len(),
            limit: MAX_ARTWORK_BYTES,
        });
    }
    if bytes.iter().all(u8::is_ascii_whitespace) {
        return Err(ArtworkError::Empty);
    }
    let head = &bytes[..bytes.len().min(32)];
    if head.windows(10).any(|window| window == b"Binary DXF") {
        return Err(ArtworkError::Binary);
    }
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let (text, code_page) = match std::str::from_utf8(bytes) {
        Ok(text) => (std::borrow::Cow::Borrowed(text), false),
        Err(_) => (
            std::borrow::Cow::Owned(bytes.iter().map(|&b| from_1252(b)).collect()),
            true,
        ),
    };
    let mut scanner = Scanner::default();
    scanner.scan.code_page = code_page;
    scanner.run(&text)?;
    Ok(scanner.scan)
}

/// Windows code page 1252; its five unused places give the control character of the same number.
fn from_1252(byte: u8) -> char {
    const UPPER: [char; 32] = [
        '€', '\u{81}', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', '\u{8d}', 'Ž',
        '\u{8f}', '\u{90}', '‘', '’', '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', '\u{9d}',
        'ž', 'Ÿ',
    ];
    match byte {
        0x80..=0x9f => UPPER[usize::from(byte - 0x80)],
        _ => char::from(byte),
    }
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Section {
    #[default]
    Between,
    Named,
    Header,
    Tables,
    Blocks,
    Entities,
    Other,
}

/// What an entity turned out to be.
#[derive(Debug, Default)]
struct Open {
    kind: String,
    layer: String,
    groups: String,
    paper: bool,
    /// Places of a spline's control points given so far: x, and z.
    places: (usize, usize),
}

#[derive(Debug, Default)]
struct Scanner {
    scan: Scan,
    /// The part that is being written.
    part: Part,
    /// Blocks so far.
    blocks: usize,
    /// Groups of the head of the block that is being read.
    block_head: String,
    section: Section,
    variable: String,
    open: Option<Open>,
    /// Upper-case name of the block, once it is read.
    block: String,
    /// Name and pen of the row of the layer table that is being read.
    layer_row: Option<(String, Pen)>,
    /// In a run of vertices or attributes: true for vertices.
    sequence: Option<bool>,
}

impl Scanner {
    fn run(&mut self, text: &str) -> Result<(), ArtworkError> {
        let mut lines = text.trim_end().lines().enumerate();
        let mut last = 0;
        let mut begun = false;
        while let Some((at, code_line)) = lines.next() {
            last = at + 1;
            let code: i32 = code_line.trim().parse().map_err(|_| ArtworkError::NotDxf {
                line: at + 1,
                expected: "a group code",
                found: start_of(code_line),
            })?;
            let Some((_, value)) = lines.next() else {
                break;
            };
            last = at + 2;
            if !begun && code != 999 {
                begun = true;
                if code != 0 || value.trim() != "SECTION" {
                    return Err(ArtworkError::NotDxf {
                        line: at + 2,
                        expected: "SECTION",
                        found: start_of(value),
                    });
                }
            }
            if code == 0 && value.trim() == "EOF" {
                if self.section != Section::Between {
                    break;
                }
                return Ok(());
            }
            self.group(code, value, at + 2)?;
        }
        Err(ArtworkError::Truncated {
            line: last,
            within: self.place(),
        })
    }

    fn place(&self) -> String {
        match (&self.open, self.section) {
            (Some(open), _) => format!("in a {} on layer {}", open.kind, open.layer),
            (None, Section::Between) => "between sections".to_owned(),
            (None, Section::Header) => "in the header".to_owned(),
            (None, _) => "within a section".to_owned(),
        }
    }

    fn group(&mut self, code: i32, value: &str, line: usize) -> Result<(), ArtworkError> {
        if code == 0 {
            self.begin(value.trim());
            return Ok(());
        }
        match self.section {
            Section::Named if code == 2 => self.name_section(value.trim()),
            Section::Header => match code {
                9 => value.trim().clone_into(&mut self.variable),
                70 if self.variable == "$INSUNITS" => self.scan.units = value.trim().parse().ok(),
                _ => {}
            },
            Section::Tables => self.table_field(code, value.trim()),
            Section::Blocks | Section::Entities => return self.field(code, value, line),
            _ => {}
        }
        Ok(())
    }

    fn name_section(&mut self, name: &str) {
        self.section = match name {
            "HEADER" => Section::Header,
            "TABLES" => Section::Tables,
            "BLOCKS" => Section::Blocks,
            "ENTITIES" => Section::Entities,
            _ => Section::Other,
        };
        self.begin_part();
    }

    /// Begins the text of a part with the section that is being read.
    fn begin_part(&mut self) {
        let name = match self.section {
            Section::Blocks => "BLOCKS",
            Section::Entities => "ENTITIES",
            _ => return,
        };
        self.part.dxf = format!("0\nSECTION\n2\n{name}\n");
    }

    /// Ends the text of a part and puts it by.
    fn end_part(&mut self) {
        let mut part = std::mem::take(&mut self.part);
        if !part.dxf.is_empty() {
            part.dxf.push_str("0\nENDSEC\n0\nEOF\n");
            self.scan.parts.push(part);
        }
    }

    /// Makes room in the part for one more entity.
    fn make_room(&mut self, for_block: bool) {
        if self.part.count < MOST_OF_A_PART {
            return;
        }
        let within = self.section == Section::Blocks && !for_block;
        if within {
            self.part.dxf.push_str("0\nENDBLK\n");
        }
        self.end_part();
        self.begin_part();
        if within {
            self.part
                .dxf
                .push_str(&format!("0\nBLOCK\n{}", self.block_head));
        }
    }

    fn table_field(&mut self, code: i32, value: &str) {
        let Some((name, pen)) = &mut self.layer_row else {
            return;
        };
        match code {
            2 => *name = value.to_uppercase(),
            // A negative number is the colour of a layer switched off.
            62 => value.trim_start_matches('-').clone_into(&mut pen.colour),
            6 => value.clone_into(&mut pen.line_type),
            _ => {}
        }
    }

    fn begin(&mut self, kind: &str) {
        self.finish();
        if let Some((name, pen)) = self.layer_row.take() {
            self.scan.layers.insert(name, pen);
        }
        match (kind, self.section) {
            ("LAYER", Section::Tables) => self.layer_row = Some(Default::default()),
            ("SECTION", _) => self.section = Section::Named,
            ("ENDSEC", section) => {
                if matches!(section, Section::Blocks | Section::Entities) {
                    self.end_part();
                }
                self.section = Section::Between;
            }
            ("ENDBLK", Section::Blocks) => {
                self.part.dxf.push_str("0\nENDBLK\n");
                self.block.clear();
            }
            (kind, Section::Blocks | Section::Entities) => {
                self.open = Some(Open {
                    kind: kind.to_owned(),
                    layer: "0".to_owned(),
                    ..Open::default()
                });
            }
            _ => {}
        }
    }

    fn field(&mut self, code: i32, value: &str, line: usize) -> Result<(), ArtworkError> {
        let Some(open) = &mut self.open else {
            return Ok(());
        };
        let value = value.trim_end_matches(['\r', '\n']);
        match code {
            8 => value.trim().clone_into(&mut open.layer),
            67 => open.paper = value.trim() == "1",
            2 if open.kind == "BLOCK" => self.block = value.trim().to_uppercase(),
            _ => {}
        }
        if !(is_read(&open.kind) || open.kind == "BLOCK") || !is_kept(&open.kind, code) {
            return Ok(());
        }
        let bad = |open: &Open| ArtworkError::BadNumber {
            line,
            code,
            found: start_of(value),
            kind: open.kind.clone(),
            layer: open.layer.clone(),
        };
        let written = match code {
            10..=59 | 210..=239 => {
                let number: f64 = value.trim().parse().map_err(|_| bad(open))?;
                if !(number.is_finite() && number.abs() <= GREATEST_NUMBER) {
                    return Err(bad(open));
                }
                value.trim().to_owned()
            }
            60..=79 => {
                let number: i16 = value.trim().parse().map_err(|_| bad(open))?;
                number.to_string()
            }
            2 if open.kind == "BLOCK" => {
                self.blocks += 1;
                format!("{}|{}", self.blocks, escaped(value))
            }
            _ => escaped(value),
        };
        match code {
            10 => open.places.0 += 1,
            30 => open.places.1 += 1,
            _ => {}
        }
        open.groups.push_str(&format!("{code}\n{written}\n"));
        Ok(())
    }

    /// Hands on or counts the entity that has just ended.
    fn finish(&mut self) {
        let Some(mut open) = self.open.take() else {
            return;
        };
        if open.kind == "SPLINE" && open.places.1 == 0 {
            // The library makes no points of a flat spline that leaves its heights out.
            open.groups.push_str(&"30\n0\n".repeat(open.places.0));
        }
        let kind = open.kind.as_str();
        let follows = matches!(kind, "VERTEX" | "SEQEND" | "ATTRIB");
        if !follows {
            self.sequence = match kind {
                "POLYLINE" if !open.paper => Some(true),
                _ => Some(false),
            };
        }
        let of_polyline = self.sequence == Some(true);
        let hand_on = match kind {
            "BLOCK" => true,
            "VERTEX" | "SEQEND" => of_polyline,
            _ => is_read(kind) && !open.paper,
        };
        if hand_on {
            if !follows {
                self.make_room(kind == "BLOCK");
            }
            match kind {
                "BLOCK" => self.block_head.clone_from(&open.groups),
                "SEQEND" => {}
                "VERTEX" => self.part.vertices += 1,
                _ => self.part.count += 1,
            }
            self.part
                .dxf
                .push_str(&format!("0\n{kind}\n{}", open.groups));
        } else if !matches!(kind, "VERTEX" | "SEQEND") {
            let kind = if open.paper {
                format!("{kind} in paper space")
            } else {
                open.kind
            };
            let left = self.scan.left.entry(self.block.clone()).or_default();
            *left.entry((kind, open.layer)).or_insert(0) += 1;
        }
    }
}

fn is_read(kind: &str) -> bool {
    READ.contains(&kind)
}

/// Groups that carry what is read; handles, attributes of other programs and the like are not handed on.
fn is_kept(kind: &str, code: i32) -> bool {
    match code {
        8 | 10 | 20 | 30 | 40 | 210 | 220 | 230 => true,
        6 | 62 => kind != "BLOCK",
        11 | 21 | 31 => matches!(kind, "LINE" | "ELLIPSE"),
        50 | 51 => matches!(kind, "ARC" | "INSERT"),
        41 if kind == "SPLINE" => true,
        41 | 42 if kind == "ELLIPSE" => true,
        41..=45 => matches!(kind, "INSERT" | "VERTEX" | "LWPOLYLINE"),
        70 | 71 => matches!(
            kind,
            "INSERT" | "VERTEX" | "LWPOLYLINE" | "POLYLINE" | "BLOCK" | "SPLINE"
        ),
        1 => matches!(kind, "TEXT" | "MTEXT"),
        3 => kind == "MTEXT",
        2 => matches!(kind, "INSERT" | "BLOCK"),
        _ => false,
    }
}

/// A text in ASCII, all else as the format's own escape, which the reading library undoes.
fn escaped(text: &str) -> String {
    text.chars()
        .map(|c| match u32::from(c) {
            0x20..=0x7e => c.to_string(),
            code @ 0x80..=0xffff => format!("\\U+{code:04X}"),
            _ => " ".to_owned(),
        })
        .collect()
}

/// The start of a line, fit to be printed.
fn start_of(line: &str) -> String {
    line.trim()
        .chars()
        .take(24)
        .map(|c| if c.is_control() { '·' } else { c })
        .collect()
}
