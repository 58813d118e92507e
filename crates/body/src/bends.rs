//! The bends of a formed plate: where they run on the flat, and what each is bent over.

use crate::{Face, Plate, Purpose, Region};
use develop::{Alloy, BendTool, DevelopError, Forming, Loft, Patch, Temper, tool_for};
use geom::FlatPoint;

/// Radii of neighbouring patches within this share are one bend.
const SAME_RADIUS: f64 = 1e-6;

/// Turns below this are no bend (rad): a hundredth of a degree.
const LEAST_TURN: f64 = 1.7e-4;

/// Half-etched places below this share of the plate do not decide what it is bent over: chosen, not sourced.
const SMALL_SHARE: f64 = 0.05;

/// Points at which each curve of a place's border is looked at.
const BORDER_POINTS: usize = 8;

/// A bend of a plate.
#[derive(Clone, Debug)]
pub struct Bend {
    /// From 1, in the order of travel of the section.
    pub number: usize,
    /// Ruling coordinates of the loft where it begins and ends.
    pub rulings: (f64, f64),
    /// Finished radius on the inside of the bend, at the front and rear ends of its rulings (mm).
    pub inside: (f64, f64),
    /// Angle bent through (rad).
    pub angle: f64,
    /// The face that comes to lie on the inside of the bend.
    pub towards: Face,
    /// Whether it is a fold along a half-etched groove.
    pub is_fold: bool,
    /// What to bend over: for the plain metal first, then for places of other thickness that it crosses.
    pub tools: Vec<ToolAt>,
}

/// The tool of a bend in metal of one thickness.
#[derive(Clone, Debug)]
pub struct ToolAt {
    /// Thickness of the metal that bends (mm).
    pub thickness: f64,
    /// What has that thickness: nothing for the plain metal, else the purpose of the place.
    pub place: Option<Purpose>,
    /// At the front and rear ends of the rulings.
    pub ends: [Result<BendTool, DevelopError>; 2],
}

impl Bend {
    /// Ends on the flat of the ruling at which it begins, of the one in its middle, and of the last.
    pub fn lines(&self, loft: &Loft) -> [(FlatPoint, FlatPoint); 3] {
        let (from, to) = self.rulings;
        [from, (from + to) / 2.0, to].map(|w| {
            let ruling = loft.ruling(w);
            (
                ruling.flat,
                ruling.flat + ruling.flat_direction * ruling.length,
            )
        })
    }

    /// Whether it turns so far that it is rolled rather than bent over an edge.
    pub fn is_rolled(&self) -> bool {
        !self.is_fold && self.angle > geom::math::FRAC_PI_2 * 1.5
    }
}

/// The bends of a plate in the order of travel; none for a plate that stays flat or whose metal is in no table.
pub fn bends(plate: &Plate) -> Vec<Bend> {
    let (Forming::Rolled(loft), Some(metal)) = (&plate.forming, metal_of(plate)) else {
        return Vec::new();
    };
    let mut found: Vec<Bend> = Vec::new();
    let mut last: Option<(usize, (f64, f64), f64)> = None;
    for (i, patch) in loft.patches().iter().enumerate() {
        let (Some(radii), turn) = (patch.radii(), patch.turn()) else {
            continue;
        };
        if turn.abs() < LEAST_TURN {
            continue;
        }
        let goes_on = last.is_some_and(|(before, own, sign)| {
            before + 1 == i && sign == turn.signum() && same(own.0, radii.0) && same(own.1, radii.1)
        });
        last = Some((i, radii, turn.signum()));
        match found.last_mut() {
            Some(bend) if goes_on => {
                bend.rulings.1 = i as f64 + 1.0;
                bend.angle += turn.abs();
            }
            _ => found.push(begun(plate, patch, i, radii, found.len() + 1)),
        }
    }
    for bend in &mut found {
        bend.tools = tools(plate, loft, bend, metal);
    }
    found
}

/// Alloy and temper of a plate, if they are in the table.
fn metal_of(plate: &Plate) -> Option<(&'static Alloy, &'static Temper)> {
    let (alloy, temper) = plate.sheet.metal.split_once(' ')?;
    let alloy = Alloy::named(alloy)?;
    Some((alloy, alloy.temper(temper)?))
}

fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= SAME_RADIUS * a.abs().max(b.abs())
}

fn begun(plate: &Plate, patch: &Patch, at: usize, radii: (f64, f64), number: usize) -> Bend {
    let half = plate.sheet.thickness() / 2.0;
    let inside = |radius: f64| (radius - half).max(0.0);
    Bend {
        number,
        rulings: (at as f64, at as f64 + 1.0),
        inside: (inside(radii.0), inside(radii.1)),
        angle: patch.turn().abs(),
        // The outside lies on the left of travel.
        towards: if patch.turn() < 0.0 {
            Face::Inside
        } else {
            Face::Outside
        },
        is_fold: false,
        tools: Vec::new(),
    }
}

fn tools(
    plate: &Plate,
    loft: &Loft,
    bend: &mut Bend,
    (alloy, temper): (&Alloy, &Temper),
) -> Vec<ToolAt> {
    let crossed: Vec<&Region> = plate
        .regions
        .iter()
        .filter(|region| region.purpose != Purpose::Mark && crosses(plate, loft, region, bend))
        .collect();
    let plain = plate.sheet.thickness();
    let angle = bend.angle;
    let at = |thickness: f64, place, inside: [f64; 2]| ToolAt {
        thickness,
        place,
        ends: inside.map(|radius| tool_for(radius, angle, thickness, alloy, temper)),
    };
    // A groove bends alone: its web of thickness h to the radius t − h at which the walls meet.
    if let Some(fold) = crossed.iter().find(|own| own.purpose == Purpose::Fold) {
        bend.is_fold = true;
        let web = fold.z_high - fold.z_low;
        return vec![at(web, Some(Purpose::Fold), [plain - web; 2])];
    }
    let ends = [bend.inside.0, bend.inside.1];
    let mut tools = vec![at(plain, None, ends)];
    for region in crossed {
        let own = region.z_high - region.z_low;
        let known = tools.iter().any(|tool| same(tool.thickness, own));
        if !known && own > 0.0 {
            // What is etched from the inside of the bend, or stands proud there, moves its inner face.
            let moved = match bend.towards {
                Face::Inside => plate.sheet.z_low - region.z_low,
                Face::Outside => region.z_high - plate.sheet.z_high,
            };
            tools.push(at(
                own,
                Some(region.purpose),
                ends.map(|radius| (radius - moved).max(0.0)),
            ));
        }
    }
    tools
}

/// Whether a place lies on the bent metal.
fn crosses(plate: &Plate, loft: &Loft, region: &Region, bend: &Bend) -> bool {
    let mut low = f64::INFINITY;
    let mut high = f64::NEG_INFINITY;
    for curve in &region.boundary {
        for i in 0..=BORDER_POINTS {
            if let Ok(point) = plate.flat_point(curve, i as f64 / BORDER_POINTS as f64) {
                let w = loft.locate(point).w;
                low = low.min(w);
                high = high.max(w);
            }
        }
    }
    // A ring that shows where a fitting goes is bridged by the plain metal round it.
    let is_small = region.purpose == Purpose::HalfEtch
        && plate
            .enclosed(&region.boundary)
            .is_ok_and(|own| own.flat_area < SMALL_SHARE * plate.flat_area().unwrap_or(0.0));
    // A shared border is no crossing.
    !is_small && low < bend.rulings.1 - 1e-6 && high > bend.rulings.0 + 1e-6
}
