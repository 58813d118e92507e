//! Reads SVG: shapes, paths, groups and copies, with y turned to run up.
//!
//! Nothing outside the file is looked up, no script is run, and a file that declares entities of its
//! own is refused.

use crate::ArtworkError;
use crate::affine::Affine;
use crate::collected::{Collected, Standing};
use crate::drawn::{Artwork, DrawingUnit, MAX_CURVES};
use crate::role::{Pen, Role};
use crate::side_file::SideFile;
use crate::svg_frame::{Frame, frame_of, nested_frame, own_transform};
use crate::svg_path::{Shape, path_of};
use crate::svg_shapes::{place_of_text, shape_of};
use crate::svg_style::{Classes, Style};
use crate::xml_depth::too_much;
use roxmltree::{Document, Node, ParsingOptions};
use std::collections::HashMap;

/// The most elements, texts and comments of an SVG.
const MAX_NODES: u32 = 3_000_000;

/// The deepest nesting of groups and copies; drawings nest a dozen deep.
const MAX_NESTING: usize = 64;

/// The deepest nesting of elements of any kind.
const MAX_ELEMENTS_DEEP: usize = 256;

/// Reads an SVG with what its side file says of it.
///
/// # Errors
///
/// [`ArtworkError::Svg`] for what is no SVG, a broken path or transform, entities, copies of
/// themselves, too deep nesting; and the limits of any drawing.
pub(crate) fn read_svg(bytes: &[u8], side: &SideFile) -> Result<Artwork, ArtworkError> {
    let text = std::str::from_utf8(bytes).map_err(|cause| ArtworkError::Svg {
        line: line_of(bytes, cause.valid_up_to()),
        column: 1,
        what: "this is no UTF-8 text; save the drawing as UTF-8".to_owned(),
    })?;
    let text = without_plain_doctype(text);
    if let Some((place, what)) = too_much(&text, MAX_ELEMENTS_DEEP) {
        return Err(ArtworkError::Svg {
            line: line_of(bytes, place),
            column: 1,
            what,
        });
    }
    let options = ParsingOptions {
        allow_dtd: false,
        nodes_limit: MAX_NODES,
        ..ParsingOptions::default()
    };
    let document = Document::parse_with_options(&text, options).map_err(xml_error)?;
    let root = document.root_element();
    if root.tag_name().name() != "svg" {
        return Err(at(
            root,
            format!(
                "an svg element is wanted here, not {}",
                root.tag_name().name()
            ),
        ));
    }
    let frame = frame_of(root)?;
    let (units, unit_mm) = match side.unit {
        Some((name, mm)) => (DrawingUnit::Stated(name), mm / frame.user_mm),
        None => (frame.unit, 1.0),
    };
    let scale = side.model_mm(unit_mm);
    let hand = if side.from_rear { -1.0 } else { 1.0 };
    let mut reader = Reader {
        side,
        ids: ids(&document),
        classes: Classes::of(&document),
        within: Vec::new(),
        copies: 0,
        collected: Collected::default(),
    };
    let sheet = Affine::scaling(hand * scale, -scale).after(&frame.map);
    let outer = Inherited {
        map: sheet,
        group: Group::default(),
        style: Style::default(),
        depth: 0,
    };
    reader.children(root, &outer.inside(root, &reader))?;
    Ok(Artwork {
        units,
        scale_to_mm: scale * frame.user_mm,
        ..reader.collected.into_artwork(side)
    })
}

/// An error at the place of an element.
pub(crate) fn at(node: Node<'_, '_>, what: impl Into<String>) -> ArtworkError {
    let place = node.document().text_pos_at(node.range().start);
    ArtworkError::Svg {
        line: place.row,
        column: place.col,
        what: what.into(),
    }
}

fn xml_error(error: roxmltree::Error) -> ArtworkError {
    let place = error.pos();
    let what = match error {
        roxmltree::Error::DtdDetected => {
            "a document type with declarations of its own is not read; save the drawing as plain SVG".to_owned()
        }
        roxmltree::Error::NodesLimitReached => format!("the drawing has more than {MAX_NODES} elements and texts"),
        other => format!("this is no sound XML: {other}"),
    };
    ArtworkError::Svg {
        line: place.row,
        column: place.col,
        what,
    }
}

fn line_of(bytes: &[u8], end: usize) -> u32 {
    let lines = bytes[..end].iter().filter(|&&b| b == b'\n').count();
    u32::try_from(lines).unwrap_or(u32::MAX).saturating_add(1)
}

/// The text with a document type that declares nothing blanked out, so that places stay right.
fn without_plain_doctype(text: &str) -> std::borrow::Cow<'_, str> {
    // It stands before the first element; comments before it are left to the XML library.
    let Some(start) = text.find("<!DOCTYPE") else {
        return text.into();
    };
    let Some(length) = text[start..].find(['>', '[']) else {
        return text.into();
    };
    let end = start + length;
    let first_element = text
        .match_indices('<')
        .find(|(i, _)| text[i + 1..].starts_with(|c: char| c.is_ascii_alphabetic()));
    if text.as_bytes()[end] == b'[' || first_element.is_some_and(|(i, _)| i < start) {
        return text.into();
    }
    let blank: String = text[start..=end]
        .chars()
        .map(|c| if c == '\n' { '\n' } else { ' ' })
        .collect();
    [&text[..start], &blank, &text[end + 1..]].concat().into()
}

fn ids<'a, 'input>(document: &'a Document<'input>) -> HashMap<&'a str, Node<'a, 'input>> {
    let mut ids = HashMap::new();
    for node in document.descendants().filter(Node::is_element) {
        if let Some(id) = node.attribute("id") {
            ids.entry(id).or_insert(node);
        }
    }
    ids
}

/// What names the layer of an element: the group round it.
#[derive(Clone, Debug, Default)]
struct Group {
    /// The plate that a file written here says it draws.
    plate: Option<String>,
    /// Label of the nearest group that has one.
    label: Option<String>,
    /// Id of the outermost group that has one.
    id: Option<String>,
}

impl Group {
    fn inside(&self, node: Node<'_, '_>) -> Self {
        let mut own = self.clone();
        if let Some(plate) = node.attribute("data-plate") {
            own.plate = Some(plate.to_owned());
        }
        if node.tag_name().name() == "g" {
            // Drawing programs keep the name of a layer in an attribute of a namespace of their own.
            let label = node.attributes().find(|a| a.name() == "label");
            if let Some(label) = label.map(|a| a.value().trim()).filter(|l| !l.is_empty()) {
                own.label = Some(label.to_owned());
            }
            if own.id.is_none() {
                own.id = node.attribute("id").map(str::to_owned);
            }
        }
        own
    }

    fn layer(&self) -> Option<&str> {
        self.label.as_deref().or(self.id.as_deref())
    }
}

/// What an element takes from those round it.
#[derive(Clone, Debug)]
struct Inherited {
    map: Affine,
    group: Group,
    style: Style,
    depth: usize,
}

impl Inherited {
    fn inside(&self, node: Node<'_, '_>, reader: &Reader<'_, '_>) -> Self {
        Self {
            map: self.map,
            group: self.group.inside(node),
            style: self.style.inside(node, &reader.classes),
            depth: self.depth + 1,
        }
    }
}

struct Reader<'a, 'input> {
    side: &'a SideFile,
    ids: HashMap<&'a str, Node<'a, 'input>>,
    classes: Classes,
    /// Elements that are being copied, outermost first.
    within: Vec<Node<'a, 'input>>,
    copies: usize,
    collected: Collected,
}

impl<'a, 'input> Reader<'a, 'input> {
    fn children(&mut self, node: Node<'a, 'input>, outer: &Inherited) -> Result<(), ArtworkError> {
        if outer.depth > MAX_NESTING {
            return Err(at(
                node,
                format!("groups and copies are nested deeper than {MAX_NESTING}"),
            ));
        }
        for child in node.children().filter(Node::is_element) {
            self.element(child, outer)?;
        }
        Ok(())
    }

    fn element(&mut self, node: Node<'a, 'input>, outer: &Inherited) -> Result<(), ArtworkError> {
        let mut own = outer.inside(node, self);
        own.map = own.map.after(&own_transform(node)?);
        let kind = node.tag_name().name();
        if own.style.hidden && !matches!(kind, "defs" | "symbol") {
            self.collected
                .leave(&format!("hidden {kind}"), own.group.layer().unwrap_or("0"));
            return Ok(());
        }
        match kind {
            "g" | "a" | "switch" => self.children(node, &own),
            "svg" => {
                own.map = own.map.after(&nested_frame(node, None)?);
                self.children(node, &own)
            }
            "use" => self.copy(node, &own),
            "text" => self.text(node, &own),
            "path" => self.shape(node, &own, path_of(node)?),
            "rect" | "circle" | "ellipse" | "line" | "polyline" | "polygon" => {
                let shape = shape_of(node)?;
                self.shape(node, &own, shape)
            }
            // These are drawn only where something asks for them, or are not drawn at all.
            "defs" | "symbol" | "title" | "desc" | "metadata" | "style" | "clipPath" | "mask"
            | "marker" | "pattern" | "linearGradient" | "radialGradient" | "filter" | "view" => {
                Ok(())
            }
            other => {
                // Elements of other namespaces are notes of the program that wrote the file.
                if node
                    .tag_name()
                    .namespace()
                    .is_none_or(|n| n.ends_with("/svg"))
                {
                    self.collected
                        .leave(other, own.group.layer().unwrap_or("0"));
                }
                Ok(())
            }
        }
    }

    /// Layer and role of an element.
    fn standing(&self, node: Node<'_, '_>, own: &Inherited) -> (String, Role) {
        let class = node.attribute("class").unwrap_or_default();
        let first = class.split_whitespace().next().unwrap_or_default();
        let layer = own
            .group
            .layer()
            .unwrap_or(if first.is_empty() { "0" } else { first });
        let known = match Role::of_name(layer) {
            Role::Unknown => role_of_class(class),
            role => role,
        };
        let pen = Pen {
            colour: own.style.colour(),
            line_type: own.style.dashes.clone(),
        };
        let role = self.side.mapping.role(layer, &pen, known);
        // A plate's own name is worth more than the name of its layer.
        let layer = own.group.plate.as_deref().unwrap_or(layer);
        (layer.to_owned(), role)
    }

    fn shape(
        &mut self,
        node: Node<'_, '_>,
        own: &Inherited,
        shapes: Vec<Shape>,
    ) -> Result<(), ArtworkError> {
        let (layer, role) = self.standing(node, own);
        let at = Standing {
            map: &own.map,
            layer: &layer,
            role,
        };
        for shape in shapes {
            match shape {
                Shape::Segment(segment) => self.collected.draw(at, &segment)?,
                Shape::Ellipse(arc) => self.collected.ellipse(at, &arc)?,
                Shape::Spline(spline) => self.collected.spline(at, &spline)?,
            }
        }
        Ok(())
    }

    fn text(&mut self, node: Node<'_, '_>, own: &Inherited) -> Result<(), ArtworkError> {
        let (layer, role) = self.standing(node, own);
        let words: Vec<&str> = node
            .descendants()
            .filter(Node::is_text)
            .filter_map(|n| n.text())
            .flat_map(str::split_whitespace)
            .take(100)
            .collect();
        let at = Standing {
            map: &own.map,
            layer: &layer,
            role,
        };
        self.collected
            .label(at, words.join(" "), place_of_text(node)?)
    }

    fn copy(&mut self, node: Node<'a, 'input>, own: &Inherited) -> Result<(), ArtworkError> {
        let layer = own.group.layer().unwrap_or("0").to_owned();
        let href = node
            .attribute("href")
            .or_else(|| {
                node.attributes()
                    .find(|a| a.name() == "href")
                    .map(|a| a.value())
            })
            .unwrap_or_default();
        let Some(&target) = href.strip_prefix('#').and_then(|id| self.ids.get(id)) else {
            self.collected
                .leave("use of what is not in the file", &layer);
            return Ok(());
        };
        // A group that holds its own copy would never end.
        if self.within.contains(&target) || node.ancestors().any(|n| n == target) {
            return Err(at(node, format!("{href} is copied within itself")));
        }
        self.copies += 1;
        if self.copies > MAX_CURVES {
            return Err(ArtworkError::TooMany { limit: MAX_CURVES });
        }
        let mut inner = own.clone();
        inner.map = inner.map.after(&Frame::of_copy(node)?);
        self.within.push(target);
        let done = if matches!(target.tag_name().name(), "symbol" | "svg") {
            inner = inner.inside(target, self);
            inner.map = inner
                .map
                .after(&own_transform(target)?)
                .after(&nested_frame(target, Some(node))?);
            self.children(target, &inner)
        } else if inner.depth > MAX_NESTING {
            Err(at(
                node,
                format!("groups and copies are nested deeper than {MAX_NESTING}"),
            ))
        } else {
            self.element(target, &inner)
        };
        self.within.pop();
        done
    }
}

/// The role that classes of files written here tell.
fn role_of_class(class: &str) -> Role {
    let words: Vec<&str> = class.split_whitespace().collect();
    let Some(first) = words.first() else {
        return Role::Unknown;
    };
    if *first == "region" {
        let face = if words.contains(&"inside") {
            "inside"
        } else {
            "outside"
        };
        return Role::of_name(&format!("region-{face}"));
    }
    Role::of_name(first)
}
