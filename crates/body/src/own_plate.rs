//! A drawn shape adopted as a plate of the body.

use crate::fit::hole_joint;
use crate::measuring::refuse_unknown_places;
use crate::upright::{FlatPlateOf, cut};
use crate::{
    Assembly, Body, BodyError, Face, Model, ModelError, OwnPlate, Purpose, Region, flat_curves,
};
use geom::{BodyPoint, Outline, Point2, Vector2};

/// What is drawn of an own plate, seen from outside.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct OwnShape {
    /// Openings right through.
    pub holes: Vec<Outline>,
    /// Places etched to half the thickness, and the face that the etch is on.
    pub half_etched: Vec<(Face, Outline)>,
}

/// The sub-assembly that own plates belong to.
const OWN: Assembly = Assembly {
    id: "own-plates",
    title: "Own plates",
};

/// A hole farther than this from the one it is joined to was not drawn for it (mm).
const JOIN_REACH_MM: f64 = 5.0;

impl Body {
    /// Adopts a drawn shape as a plate, joins its holes, and measures the joints anew.
    ///
    /// # Errors
    ///
    /// A [`ModelError`] at the key that is wrong: a name that another plate has, a hole that is not there.
    pub fn adopt(
        &mut self,
        model: &Model,
        own: &OwnPlate,
        outline: &Outline,
        shape: &OwnShape,
    ) -> Result<(), ModelError> {
        self.take_in(model, own, outline, shape)
            .map_err(|error| model.locate(&error))?;
        self.measure_joints(&model.metal, model.scale);
        // Measures at own plates can be placed with the last of them.
        if model.own_plates.last() == Some(own) {
            refuse_unknown_places(model, self, true).map_err(|error| model.locate(&error))?;
        }
        Ok(())
    }

    fn take_in(
        &mut self,
        model: &Model,
        own: &OwnPlate,
        outline: &Outline,
        shape: &OwnShape,
    ) -> Result<(), BodyError> {
        let wrong = |key: &str, sentence: String, help: &str| BodyError::Shape {
            path: format!("{}.{key}", own.key),
            sentence,
            help: help.to_owned(),
        };
        if self.plate(&own.id).is_some() {
            let sentence = format!("the body has a plate {} already", own.id);
            return Err(wrong("id", sentence, "give this one another name"));
        }
        let laid = Laid::of(outline, own.turned);
        let outline = laid.outline(outline);
        let sides: Vec<String> = (1..=outline.segments().len())
            .map(|i| format!("side-{i}"))
            .collect();
        let sides: Vec<&str> = sides.iter().map(String::as_str).collect();
        let sheet = model.metal.sheet(&own.part);
        let depth = model.metal.process.half_etch_depth.at(sheet.thickness());
        let [x, y, z] = own.middle;
        let mut plate = FlatPlateOf {
            id: own.id.clone(),
            assembly: OWN.id,
            title: title_of(&own.id),
            sheet,
            outside_origin: BodyPoint::new(x, y, z),
            facing: own.facing,
            outline: &outline,
            sides: &sides,
        }
        .plate();
        for (i, hole) in shape.holes.iter().enumerate() {
            cut(
                &mut plate,
                &format!("hole-{}", i + 1),
                &laid.outline(hole),
                None,
            );
        }
        for (i, (face, place)) in shape.half_etched.iter().enumerate() {
            let (low, high) = (plate.sheet.z_low, plate.sheet.z_high);
            let (z_low, z_high) = match face {
                Face::Outside => (low, high - depth),
                Face::Inside => (low + depth, high),
            };
            plate.regions.push(Region {
                name: format!("half-etch-{}", i + 1),
                purpose: Purpose::HalfEtch,
                face: *face,
                z_low,
                z_high,
                boundary: flat_curves(&laid.outline(place)),
            });
        }
        let mut joints = Vec::new();
        for (i, join) in own.joins.iter().enumerate() {
            let key = format!("joins[{i}]");
            let help = "a join names a hole of another plate, like  footplate/fixing-front";
            let target = join.split_once('/').and_then(|(id, feature)| {
                let other = self.plate(id)?;
                Some((other, other.hole(feature)?))
            });
            let Some((other, hole)) = target else {
                return Err(wrong(&key, format!("the body has no hole {join}"), help));
            };
            let place = other.forming.place(hole.centre).point;
            let nearest = plate
                .holes
                .iter()
                .map(|hole| {
                    (
                        hole,
                        (plate.forming.place(hole.centre).point - place).norm(),
                    )
                })
                .min_by(|a, b| a.1.total_cmp(&b.1));
            match nearest {
                Some((mine, off)) if off <= JOIN_REACH_MM => {
                    joints.push(hole_joint((&plate, &mine.feature), (other, &hole.feature)));
                }
                _ => {
                    let sentence = format!("{} has no hole near {join}", own.id);
                    return Err(wrong(
                        &key,
                        sentence,
                        "draw one over it, or mend the place of the plate",
                    ));
                }
            }
        }
        self.plates.push(plate);
        self.joints.extend(joints);
        if self.assemblies.iter().all(|own| own.id != OWN.id) {
            self.assemblies.push(OWN);
        }
        Ok(())
    }
}

/// How a drawing lies on the flat: its middle at the origin, turned.
struct Laid {
    middle: Vector2,
    turn: (f64, f64),
}

impl Laid {
    fn of(outline: &Outline, turned: f64) -> Self {
        let (low, high) = outline.bounds();
        Self {
            middle: (low.coords + high.coords) / 2.0,
            turn: geom::math::sin_cos(turned),
        }
    }

    fn point(&self, p: Point2) -> Point2 {
        let (s, c) = self.turn;
        let own = p.coords - self.middle;
        Point2::new(c * own.x - s * own.y, s * own.x + c * own.y)
    }

    /// The outline laid, anticlockwise.
    fn outline(&self, outline: &Outline) -> Outline {
        let laid = outline.vertices().into_iter().map(|mut vertex| {
            vertex.point = self.point(vertex.point);
            vertex
        });
        let laid = Outline::from_vertices(&laid.collect::<Vec<_>>());
        if laid.area() < 0.0 {
            laid.reversed()
        } else {
            laid
        }
    }
}

/// `brake-bracket` as `Brake bracket`.
fn title_of(id: &str) -> String {
    let words = id.replace('-', " ");
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}
