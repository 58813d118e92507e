//! Plates of one metal on sheets, with tags, numbers and both faces.

use super::curves::grown;
use super::faces::{EtchedFaces, plate_faces};
use super::findings::{changed, few_tags, finding, no_number, unheld};
use super::furniture::{Furniture, FurnitureRules};
use super::nesting::{EDGE_MM, SAFETY_MM, SheetRoom, TurnedShape};
use super::numbers::numbers;
use super::packing::{Item, SheetLimits, pack};
use super::placement::Placement;
use super::tags::{Tag, TagRules, tags_of};
use crate::{FlatDrawing, FlatHole, FlatRegion, tight_bends};
use body::{AllowanceBy, Body, Finding, FretSpec, JointKind, Plate, Purpose, Rolling, Severity};
use develop::EtchProcess;
use geom::{Outline, Vector2};

/// A plate to be laid out.
#[derive(Clone, Debug)]
pub struct FretPlate {
    /// Its number on the fret, from 1.
    pub number: usize,
    /// Its flat.
    pub drawing: FlatDrawing,
    /// True if its bends run along the flat's x, false if along its y; nothing for a flat plate.
    pub bends_along_x: Option<bool>,
    /// Edges that another plate covers on the finished model.
    pub hidden_edges: Vec<String>,
    /// Places of its flat that come to lie in tight bends.
    pub bends: Vec<Outline>,
    /// True for what is laid where the plates leave room, and left out where they leave none.
    pub on_waste: bool,
}

impl FretPlate {
    /// All plates of a body with their flats, numbered in the order of the body.
    ///
    /// `drawings` are the flats in the order of the body's plates.
    pub fn of(body: &Body, drawings: Vec<FlatDrawing>) -> Vec<Self> {
        let mut plates = Vec::with_capacity(drawings.len());
        for (i, (plate, drawing)) in body.plates.iter().zip(drawings).enumerate() {
            let edges = body
                .joints
                .iter()
                .filter(|joint| joint.kind == JointKind::Edge);
            let sides = edges.flat_map(|joint| [&joint.a, &joint.b]);
            let mut hidden: Vec<String> = sides
                .filter(|side| side.plate == plate.id)
                .map(|side| side.feature.clone())
                .collect();
            hidden.sort();
            hidden.dedup();
            plates.push(Self {
                number: i + 1,
                bends_along_x: bends_along_x(plate, &drawing),
                bends: tight_bends(plate),
                drawing,
                hidden_edges: hidden,
                on_waste: false,
            });
        }
        plates
    }

    /// Plain flat templates for the waste of any sheet no stouter than theirs, numbered after the `plates` of the body.
    pub fn on_waste(templates: Vec<FlatDrawing>, plates: usize) -> Vec<Self> {
        let numbered = templates.into_iter().enumerate();
        let laid = numbered.map(|(i, drawing)| Self {
            number: plates + i + 1,
            drawing,
            bends_along_x: None,
            hidden_edges: Vec::new(),
            bends: Vec::new(),
            on_waste: true,
        });
        laid.collect()
    }

    fn is_of(&self, metal: &str, thickness: f64) -> bool {
        self.drawing.metal == metal && self.drawing.thickness == thickness
    }

    /// A plain flat plate cut from another sheet.
    fn cut_from(&self, metal: &str, thickness: f64) -> Self {
        let mut cut = self.clone();
        cut.drawing.metal = metal.to_owned();
        cut.drawing.thickness = thickness;
        cut.drawing.plain = (-thickness / 2.0, thickness / 2.0);
        cut
    }
}

/// Rulings of rolled plates run along the flat's x; fold lines are looked at.
fn bends_along_x(plate: &Plate, drawing: &FlatDrawing) -> Option<bool> {
    if plate.forming.loft().is_some() {
        return Some(true);
    }
    let folds = drawing
        .regions
        .iter()
        .filter(|own| own.purpose == Purpose::Fold);
    let size = folds.map(|own| {
        let (low, high) = own.outline.bounds();
        (high.x - low.x, high.y - low.y)
    });
    size.reduce(|a, b| if b.0.max(b.1) > a.0.max(a.1) { b } else { a })
        .map(|(width, height)| width >= height)
}

/// A plate on its sheet.
#[derive(Clone, Debug)]
pub struct PlacedPlate {
    /// Its number on the fret.
    pub number: usize,
    /// From its flat to the sheet.
    pub placement: Placement,
    /// Its flat on the sheet, as the finished metal is.
    pub drawing: FlatDrawing,
    /// The far border of the line etched round it.
    pub moat: Outline,
    /// What holds it.
    pub tags: Vec<Tag>,
}

/// A sheet of metal with its plates (mm, origin at its lower left corner, seen from the front).
#[derive(Clone, Debug)]
pub struct FretSheet {
    /// Its number, from 1.
    pub number: usize,
    /// Alloy and temper.
    pub metal: String,
    /// Thickness (mm).
    pub thickness: f64,
    /// Width (mm), as much as the plates need.
    pub width: f64,
    /// Height (mm), as much as the plates need.
    pub height: f64,
    /// Its plates.
    pub plates: Vec<PlacedPlate>,
    /// Templates on its waste.
    pub templates: Vec<PlacedPlate>,
    /// What it carries beside them.
    pub furniture: Furniture,
    /// What is etched for the finished metal.
    pub nominal: EtchedFaces,
    /// What the films show: `nominal`, less the allowance if the designer applies it.
    pub films: EtchedFaces,
    /// Sideways growth of the etch at each edge in this sheet (mm).
    pub growth: f64,
    /// True if the films are less by the growth.
    pub allowance_applied: bool,
    /// Area that the plates take with the line and half the bar round each (mm²).
    pub room_area: f64,
}

/// All sheets of a model.
#[derive(Clone, Debug)]
pub struct Fret {
    /// The sheets, by metal and thickness.
    pub sheets: Vec<FretSheet>,
    /// Ids of the templates for which no sheet had room left.
    pub left_out: Vec<String>,
    /// What cannot be laid out, held or etched as meant.
    pub findings: Vec<Finding>,
}

/// Words for the sheets.
#[derive(Clone, Copy, Debug)]
pub struct FretTitle<'a> {
    /// The engine.
    pub engine: &'a str,
    /// Its scale, as it is written in model files.
    pub scale: &'a str,
}

impl FretSheet {
    /// Everything that is cut out of it: its plates, then its templates.
    pub fn pieces(&self) -> impl Iterator<Item = &PlacedPlate> {
        self.plates.iter().chain(&self.templates)
    }

    /// Area of the plates' metal (mm²).
    pub fn plate_area(&self) -> f64 {
        self.plates.iter().map(|plate| plate.drawing.area()).sum()
    }

    /// Share of the sheet that is plates.
    pub fn sheet_use(&self) -> f64 {
        self.plate_area() / (self.width * self.height)
    }

    /// Share of the sheet that plates, lines and bars take: no layout could need less of it.
    pub fn least_share(&self) -> f64 {
        self.room_area / (self.width * self.height)
    }

    /// A flat as the films of a designer who applies the allowance hold it: metal grown, etched places
    /// shrunk. As it is if the etcher applies it.
    pub fn film_drawing(&self, plate: &PlacedPlate) -> FlatDrawing {
        let mut drawing = plate.drawing.clone();
        if !self.allowance_applied {
            return drawing;
        }
        let growth = self.growth;
        let by = |outline: &Outline, distance: f64| grown(outline, distance);
        if let Some(outline) = by(&drawing.outline, growth) {
            drawing.bounds = outline.bounds();
            drawing.edges.clear();
            drawing.edge_of.clear();
            drawing.outline = outline;
        }
        let holes = std::mem::take(&mut drawing.holes);
        drawing.holes = holes
            .into_iter()
            .filter_map(|hole| {
                Some(FlatHole {
                    outline: by(&hole.outline, -growth)?,
                    round: hole.round.map(|radius| radius - growth),
                    ..hole
                })
            })
            .collect();
        let plain = drawing.plain;
        let regions = std::mem::take(&mut drawing.regions);
        drawing.regions = regions
            .into_iter()
            .filter_map(|region| {
                let proud = region.z_high > plain.1 || region.z_low < plain.0;
                Some(FlatRegion {
                    outline: by(&region.outline, if proud { growth } else { -growth })?,
                    ..region
                })
            })
            .collect();
        drawing
    }
}

/// Lays all plates out on sheets, one metal and thickness after another.
///
/// The same plates give the same sheets. A plate that fits no sheet is left out and named by a finding; what is
/// for the waste lies where the plates have left room for it.
pub fn lay_out(
    plates: &[FretPlate],
    spec: &FretSpec,
    process: &EtchProcess,
    title: FretTitle<'_>,
) -> Fret {
    let (mut for_waste, plates): (Vec<&FretPlate>, Vec<&FretPlate>) =
        plates.iter().partition(|own| own.on_waste);
    let mut kinds: Vec<(String, f64)> = Vec::new();
    for plate in &plates {
        let kind = (plate.drawing.metal.clone(), plate.drawing.thickness);
        if !kinds.contains(&kind) {
            kinds.push(kind);
        }
    }
    kinds.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut findings = Vec::new();
    let mut groups = Vec::new();
    for (metal, thickness) in kinds {
        let own: Vec<&FretPlate> = plates
            .iter()
            .copied()
            .filter(|own| own.is_of(&metal, thickness))
            .collect();
        let layout = Layout::new(spec, process, &metal, thickness);
        let sheets = layout.nested(&own, title, &mut findings);
        groups.extend(
            sheets
                .into_iter()
                .map(|sheet| (metal.clone(), thickness, sheet)),
        );
    }
    let count = groups.len();
    let sheets = groups
        .into_iter()
        .enumerate()
        .map(|(i, (metal, thickness, sheet))| {
            let layout = Layout::new(spec, process, &metal, thickness);
            layout.finished((i + 1, count), sheet, title, &mut for_waste, &mut findings)
        })
        .collect();
    Fret {
        sheets,
        left_out: for_waste
            .iter()
            .map(|own| own.drawing.plate.clone())
            .collect(),
        findings,
    }
}

struct Layout<'a> {
    spec: &'a FretSpec,
    process: &'a EtchProcess,
    metal: &'a str,
    thickness: f64,
    /// Width of the line round plates (mm).
    line: f64,
    bar: f64,
    tag_width: f64,
}

/// Metal between tooling holes and words (mm), chosen.
const HOLE_CLEAR_MM: f64 = 0.8;

/// A plate to be packed, with the far border of the line round it.
struct ToPack<'p> {
    plate: &'p FretPlate,
    moat: Outline,
}

/// A sheet as it is packed: its size, its free room, and its plates with their places and lines.
struct OpenSheet<'p> {
    size: (f64, f64),
    /// Lines of its words.
    lines: usize,
    room: SheetRoom,
    placed: Vec<(&'p FretPlate, Placement, Outline)>,
    area: f64,
}

impl<'a> Layout<'a> {
    fn new(spec: &'a FretSpec, process: &'a EtchProcess, metal: &'a str, thickness: f64) -> Self {
        Self {
            spec,
            process,
            metal,
            thickness,
            // What the etcher can open and leave goes before what was asked for.
            line: spec.line.max(process.least_slot.at(thickness)),
            bar: spec.bar.max(process.least_bar.at(thickness)),
            tag_width: spec.tag_width.max(process.least_bar.at(thickness)),
        }
    }

    fn furniture<'t>(&'t self, title: &'t [String]) -> FurnitureRules<'t> {
        FurnitureRules {
            spec: self.spec,
            thickness: self.thickness,
            half_etch: self.process.half_etch_depth.at(self.thickness),
            line: self.line,
            title,
        }
    }

    /// The line round a plate, and the room up to the middle of the bar beyond it.
    ///
    /// Slivers of waste narrower than a bar are etched away: the line's far border is the outline grown
    /// by line and half bar, shrunk again by the half bar.
    fn rooms(&self, outline: &Outline) -> Option<(Outline, Outline)> {
        let half = self.bar / 2.0;
        let room = grown(outline, self.line + half)?;
        let moat = grown(&room, -half)?;
        Some((moat, grown(outline, self.line + half + SAFETY_MM)?))
    }

    fn turns(&self, plate: &FretPlate, room: &Outline) -> Vec<TurnedShape> {
        // The sheet is rolled along its width.
        let allowed: &[u8] = match (self.spec.rolling, plate.bends_along_x) {
            (Rolling::Across, Some(true)) | (Rolling::Along, Some(false)) => &[1, 3],
            (Rolling::Across, Some(false)) | (Rolling::Along, Some(true)) => &[0, 2],
            _ => &[0, 1, 2, 3],
        };
        TurnedShape::of(room).map_or_else(Vec::new, |shape| {
            let turned = allowed.iter().map(|quarters| shape.turned(*quarters));
            turned.collect()
        })
    }

    /// Where words and test pieces end, and how large a sheet may be.
    fn limits(&self, title: &[String]) -> SheetLimits {
        let rules = self.furniture(title);
        SheetLimits {
            width: self.spec.sheet_width,
            height: self.spec.sheet_height,
            border: self.spec.border,
            furniture: Vector2::new(rules.least_right() + 1.5, rules.strip_height()),
        }
    }

    fn nested<'p>(
        &self,
        plates: &[&'p FretPlate],
        title: FretTitle<'_>,
        findings: &mut Vec<Finding>,
    ) -> Vec<OpenSheet<'p>> {
        let (mut to_pack, mut items) = (Vec::new(), Vec::new());
        for plate in plates {
            let Some((moat, room)) = self.rooms(&plate.drawing.outline) else {
                findings.push(unheld(plate, "no line can be etched round it"));
                continue;
            };
            items.push(Item {
                turns: self.turns(plate, &room),
                area: room.area(),
                pair: pair_name(&plate.drawing.plate),
            });
            to_pack.push(ToPack { plate, moat });
        }
        // Room for the words of any of up to ninety-nine sheets, in one line and in two.
        let limits = [1, 2].map(|lines| self.limits(&self.words(title, (88, 88), lines)));
        let packing = pack(&items, &limits);
        let (lines, limits) = (packing.kind + 1, limits[packing.kind]);
        for item in &packing.too_large {
            findings.push(self.too_large(to_pack[*item].plate));
        }
        let opened = packing.sheets.into_iter().map(|sheet| OpenSheet {
            size: sheet.size(&limits),
            lines,
            area: sheet.packed.iter().map(|own| items[own.item].area).sum(),
            placed: sheet
                .packed
                .iter()
                .map(|own| {
                    let ToPack { plate, moat } = &to_pack[own.item];
                    let shape = &items[own.item].turns[own.turn];
                    (*plate, shape.placement(own.corner), moat.clone())
                })
                .collect(),
            room: sheet.room,
        });
        opened.collect()
    }

    /// The words of a sheet, its number and how many there are, in one line or in two.
    fn words(
        &self,
        title: FretTitle<'_>,
        (number, count): (usize, usize),
        lines: usize,
    ) -> Vec<String> {
        let engine = format!("{}  {}", title.engine, title.scale);
        let metal = format!("{} {} mm", self.metal, self.thickness);
        let sheet = format!("sheet {number} of {count}  rev {}", self.spec.revision);
        if lines == 1 {
            vec![format!("{engine}  {metal}  {sheet}")]
        } else {
            vec![format!("{engine}  {sheet}"), metal]
        }
    }

    fn too_large(&self, plate: &FretPlate) -> Finding {
        let (low, high) = plate.drawing.bounds;
        let (spec, strip) = (self.spec, self.furniture(&[String::new()]).strip_height());
        let room = (
            spec.sheet_width - 2.0 * spec.border,
            spec.sheet_height - spec.border - strip,
        );
        finding(
            plate,
            "fret-plate-too-large",
            Severity::Error,
            ((high.x - low.x).max(high.y - low.y), room.0.max(room.1)),
            None,
            format!(
                "{} is {:.1} mm by {:.1} mm and fits no sheet: there is room for {:.1} mm by {:.1} mm, less the line round it",
                plate.drawing.plate,
                high.x - low.x,
                high.y - low.y,
                room.0,
                room.1
            ),
        )
    }

    fn finished(
        &self,
        (number, count): (usize, usize),
        mut open: OpenSheet<'_>,
        title: FretTitle<'_>,
        for_waste: &mut Vec<&FretPlate>,
        findings: &mut Vec<Finding>,
    ) -> FretSheet {
        let words = self.words(title, (number, count), open.lines);
        let rules = self.furniture(&words);
        let (width, height) = open.size;
        let mut plates = Vec::new();
        for (plate, placement, moat) in &open.placed {
            let placed = self.placed(plate, *placement, moat);
            if placed.tags.len() < 2 {
                findings.push(few_tags(plate, placed.tags.len()));
            }
            plates.push(placed);
        }
        plates.sort_by_key(|own| own.number);
        let mut furniture = rules.furniture(width, height);
        open.room.keep_to(Vector2::new(width, height), EDGE_MM);
        for (at, diameter) in &furniture.tooling_holes {
            let round = Outline::circle(*at, diameter / 2.0 + HOLE_CLEAR_MM);
            if let Some(shape) = TurnedShape::of(&round) {
                open.room.take(&shape, round.bounds().0.coords);
            }
        }
        let mut words = Vec::new();
        let without = numbers(&plates, 0, &mut words, &mut open.room, &rules);
        for i in without {
            let own = open
                .placed
                .iter()
                .find(|own| own.0.number == plates[i].number);
            findings.extend(own.map(|own| no_number(own.0)));
        }
        // After the numbers of the plates, so that no template stands where one would be read best.
        open.room
            .keep_to(Vector2::new(width, height), self.spec.border);
        let templates = self.laid_on_waste(for_waste, &mut open.room);
        open.room.keep_to(Vector2::new(width, height), EDGE_MM);
        let first = plates.len();
        plates.extend(templates);
        // A template without a number is told by the key plan.
        numbers(&plates, first, &mut words, &mut open.room, &rules);
        let templates = plates.split_off(first);
        furniture.words.extend(words);
        let sheet = FretSheet {
            number,
            metal: self.metal.to_owned(),
            thickness: self.thickness,
            width,
            height,
            plates,
            templates,
            furniture,
            nominal: EtchedFaces::default(),
            films: EtchedFaces::default(),
            growth: self.process.growth_per_edge.at(self.thickness),
            allowance_applied: self.spec.allowance_by == AllowanceBy::Designer,
            room_area: open.area,
        };
        self.etched(sheet, findings)
    }

    /// Lays what fits into the room that is left, and takes it from the list.
    fn laid_on_waste(
        &self,
        for_waste: &mut Vec<&FretPlate>,
        room: &mut SheetRoom,
    ) -> Vec<PlacedPlate> {
        let mut laid = Vec::new();
        for_waste.retain(|own| {
            // Holes and bars that stouter metal allows are sound in this one.
            if own.drawing.thickness < self.thickness {
                return true;
            }
            let own = own.cut_from(self.metal, self.thickness);
            let Some((moat, shape)) = self.rooms(&own.drawing.outline) else {
                return true;
            };
            let turns = self.turns(&own, &shape);
            let Some((turn, corner)) = room.lowest(&turns) else {
                return true;
            };
            room.take(&turns[turn], corner);
            laid.push(self.placed(&own, turns[turn].placement(corner), &moat));
            false
        });
        laid
    }

    fn placed(&self, plate: &FretPlate, placement: Placement, moat: &Outline) -> PlacedPlate {
        let drawing = placement.drawing(&plate.drawing);
        let moat = placement.outline(moat);
        let bends: Vec<Outline> = plate
            .bends
            .iter()
            .map(|own| placement.outline(own))
            .collect();
        let rules = TagRules {
            width: self.tag_width,
            spacing: self.spec.tag_spacing,
            line: self.line,
            hidden: &plate.hidden_edges,
            bends: &bends,
        };
        PlacedPlate {
            number: plate.number,
            placement,
            tags: tags_of(&drawing, &moat, &rules),
            drawing,
            moat,
        }
    }

    /// The sheet with both its faces, as meant and as the films show them.
    fn etched(&self, mut sheet: FretSheet, findings: &mut Vec<Finding>) -> FretSheet {
        let growth = if sheet.allowance_applied {
            sheet.growth
        } else {
            0.0
        };
        let mut nominal = EtchedFaces::default();
        let mut films = EtchedFaces::default();
        let mut take = |faces: EtchedFaces, plate: Option<&PlacedPlate>| {
            let (film, changes) = faces.with_allowance(growth);
            findings.extend(
                changes
                    .iter()
                    .map(|own| changed(own, plate, sheet.number, growth)),
            );
            nominal.extend(faces);
            films.extend(film);
        };
        for plate in sheet.pieces() {
            let faces = plate_faces(&plate.drawing, &plate.moat, &plate.tags);
            take(faces, Some(plate));
        }
        take(sheet.furniture.faces(), None);
        for word in &sheet.furniture.words {
            for (faces, allowance) in [(&mut nominal, 0.0), (&mut films, growth)] {
                let regions = word.regions(allowance);
                if word.mirrored {
                    faces.rear.extend(regions);
                } else {
                    faces.front.extend(regions);
                }
            }
        }
        sheet.nominal = nominal;
        sheet.films = films;
        sheet
    }
}

/// The name that left and right of a pair have in common.
fn pair_name(id: &str) -> String {
    let words = id
        .split('-')
        .filter(|word| !matches!(*word, "left" | "right"));
    words.collect::<Vec<_>>().join("-")
}
