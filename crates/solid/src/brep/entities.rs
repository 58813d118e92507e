//! A solid as entities of an exchange file (ISO 10303-21, geometry and topology of ISO 10303-42).
//!
//! Lines, circles, planes, cylinders and cones are written as such, so that another program knows a round hole for one; what is
//! none of them is a B-spline.

use super::elementary::{Circle, Turned, plane_between};
use super::shell::{ClosedShell, ShellFace};
use super::space_curve::SpaceCurve;
use super::step::{StepSolid, step_string};
use super::surfaces::FaceSurface;
use geom::{Point3, Vector3};
use std::fmt::{self, Arguments, Display, Write as _};

/// The solid inside a closed shell as entities numbered from `first`, which is the solid itself, called `name`.
///
/// # Errors
///
/// What could not be done.
pub(super) fn solid_entities(
    shell: &ClosedShell,
    name: &str,
    first: usize,
) -> Result<StepSolid, &'static str> {
    let mut writer = Writer {
        // Enough for most plates.
        text: String::with_capacity(700 * shell.edges.len()),
        // The solid and its shell, which refer to all others, come first.
        next: first + 2,
    };
    let vertices: Vec<usize> = shell
        .vertices
        .iter()
        .map(|vertex| {
            let point = writer.point(vertex);
            writer.add(format_args!("VERTEX_POINT('',#{point})"))
        })
        .collect();
    let mut edges = Vec::with_capacity(shell.edges.len());
    for edge in &shell.edges {
        let curve = writer.curve(&edge.curve);
        let (start, end) = (vertices[edge.start], vertices[edge.end]);
        edges.push(writer.add(format_args!("EDGE_CURVE('',#{start},#{end},#{curve},.T.)")));
    }
    let faces = shell.faces.iter().map(|face| writer.face(face, &edges));
    let faces = faces.collect::<Result<Vec<usize>, _>>()?;
    let mut entities = String::with_capacity(writer.text.len() + 8 * faces.len() + 200);
    let (name, shell) = (step_string(name), first + 1);
    let head = format_args!(
        "#{first} = MANIFOLD_SOLID_BREP({name},#{shell});\n#{shell} = CLOSED_SHELL('',{});\n",
        refs(&faces)
    );
    entities.write_fmt(head).expect(IN_MEMORY);
    entities.push_str(&writer.text);
    Ok(StepSolid {
        entities,
        solid: first,
        next: writer.next,
    })
}

const IN_MEMORY: &str = "writing to memory cannot fail";

struct Writer {
    text: String,
    next: usize,
}

impl Writer {
    /// Adds an entity and gives its number.
    fn add(&mut self, entity: Arguments<'_>) -> usize {
        let number = self.next;
        self.next += 1;
        writeln!(self.text, "#{number} = {entity};").expect(IN_MEMORY);
        number
    }

    fn point(&mut self, point: &Point3) -> usize {
        let own = reals(point.coords.as_slice());
        self.add(format_args!("CARTESIAN_POINT('',{own})"))
    }

    fn points<'p>(&mut self, points: impl IntoIterator<Item = &'p Point3>) -> Vec<usize> {
        points.into_iter().map(|point| self.point(point)).collect()
    }

    fn direction(&mut self, direction: &Vector3) -> usize {
        let own = reals(direction.as_slice());
        self.add(format_args!("DIRECTION('',{own})"))
    }

    /// A frame by its origin, its z and its x.
    fn frame(&mut self, origin: &Point3, z: &Vector3, x: &Vector3) -> usize {
        let (origin, z, x) = (self.point(origin), self.direction(z), self.direction(x));
        self.add(format_args!("AXIS2_PLACEMENT_3D('',#{origin},#{z},#{x})"))
    }

    fn curve(&mut self, curve: &SpaceCurve) -> usize {
        match curve {
            SpaceCurve::Line(start, end) => {
                let point = self.point(start);
                let direction = self.direction(&(end - start).normalize());
                let vector = self.add(format_args!("VECTOR('',#{direction},1.0)"));
                self.add(format_args!("LINE('',#{point},#{vector})"))
            }
            SpaceCurve::Arc { poles, weight } => match Circle::of(poles, *weight) {
                Some(own) => {
                    // Angles count from the far side, so that no arc runs over their beginning.
                    let frame = self.frame(&own.centre, &own.axis, &-own.middle);
                    let radius = Real(own.radius);
                    self.add(format_args!("CIRCLE('',#{frame},{radius})"))
                }
                None => {
                    let poles = self.points(poles);
                    self.add(format_args!(
                        "(BOUNDED_CURVE() B_SPLINE_CURVE(2,{},.UNSPECIFIED.,.F.,.F.) \
                         B_SPLINE_CURVE_WITH_KNOTS((3,3),(0.0,1.0),.UNSPECIFIED.) CURVE() \
                         GEOMETRIC_REPRESENTATION_ITEM() RATIONAL_B_SPLINE_CURVE({}) REPRESENTATION_ITEM(''))",
                        refs(&poles),
                        reals(&[1.0, *weight, 1.0])
                    ))
                }
            },
            SpaceCurve::Spline(spline) => {
                let poles = self.points(&spline.poles);
                let knots = Knots::of(&spline.knots);
                self.add(format_args!(
                    "B_SPLINE_CURVE_WITH_KNOTS('',{},{},.UNSPECIFIED.,.F.,.F.,{},{},.UNSPECIFIED.)",
                    spline.degree,
                    refs(&poles),
                    knots.times(),
                    knots.values()
                ))
            }
        }
    }

    fn face(&mut self, face: &ShellFace, edges: &[usize]) -> Result<usize, &'static str> {
        let (surface, is_turned_over) = self.surface(&face.surface)?;
        let mut bounds = Vec::with_capacity(face.loops.len());
        let as_they_stand = Flag(face.as_surface);
        for own in &face.loops {
            let mut sides = Vec::with_capacity(own.len());
            for &(edge, forward) in own {
                let (edge, forward) = (edges[edge], Flag(forward));
                sides.push(self.add(format_args!("ORIENTED_EDGE('',*,*,#{edge},{forward})")));
            }
            let around = self.add(format_args!("EDGE_LOOP('',{})", refs(&sides)));
            bounds.push(self.add(format_args!("FACE_BOUND('',#{around},{as_they_stand})")));
        }
        let same_sense = Flag(face.as_surface != is_turned_over);
        Ok(self.add(format_args!(
            "ADVANCED_FACE('',{},#{surface},{same_sense})",
            refs(&bounds)
        )))
    }

    /// A surface, and whether its normal as it is written points against that of the [`FaceSurface`].
    fn surface(&mut self, surface: &FaceSurface) -> Result<(usize, bool), &'static str> {
        match surface {
            FaceSurface::Plane([corner, along, across]) => {
                let x = (along - corner).normalize();
                let z = x.cross(&(across - corner)).normalize();
                Ok((self.plane(corner, &z, &x), false))
            }
            FaceSurface::Rows { rows, knots } => {
                if let [first, last] = rows.as_slice()
                    && let Some(own) = Turned::between(first, last)
                {
                    return Ok((self.turned(&own), !own.looks_out));
                }
                let rows: Vec<Row> = rows.iter().map(Row::of).collect();
                if let [first, last] = rows.as_slice()
                    && let Some((z, x)) = plane_between(&first.poles, &last.poles)
                {
                    return Ok((self.plane(&first.poles[0], &z, &x), false));
                }
                Ok((self.spline_surface(&rows, knots)?, false))
            }
            FaceSurface::Dome {
                rim,
                shoulders,
                crown,
                weight,
            } => {
                let (rim, mut over) = (Row::of(rim), Row::of(shoulders));
                let mut top = rim.clone();
                top.poles.fill(*crown);
                over.weights.iter_mut().for_each(|own| *own *= weight);
                let knots = [0.0, 0.0, 0.0, 1.0, 1.0, 1.0];
                Ok((self.spline_surface(&[rim, over, top], &knots)?, false))
            }
        }
    }

    fn plane(&mut self, origin: &Point3, z: &Vector3, x: &Vector3) -> usize {
        let frame = self.frame(origin, z, x);
        self.add(format_args!("PLANE('',#{frame})"))
    }

    fn turned(&mut self, own: &Turned) -> usize {
        // As with a circle.
        let frame = self.frame(&own.centre, &own.axis, &-own.middle);
        let (radius, half_angle) = (Real(own.radius), Real(own.half_angle));
        if own.half_angle == 0.0 {
            self.add(format_args!("CYLINDRICAL_SURFACE('',#{frame},{radius})"))
        } else {
            self.add(format_args!(
                "CONICAL_SURFACE('',#{frame},{radius},{half_angle})"
            ))
        }
    }

    /// Rows of poles blended by a B-spline across them.
    fn spline_surface(&mut self, rows: &[Row], across: &[f64]) -> Result<usize, &'static str> {
        let along = rows.first().ok_or("making a surface")?;
        let is_like = |row: &Row| row.knots == along.knots && row.poles.len() == along.poles.len();
        if !rows.iter().all(is_like) || across.len() < rows.len() + 2 {
            return Err("joining unlike curves");
        }
        let degrees = format!("{},{}", along.degree, across.len() - rows.len() - 1);
        // One list for each pole along the rows, of the poles across them.
        let columns = 0..along.poles.len();
        let poles: Vec<Vec<usize>> = columns
            .clone()
            .map(|i| self.points(rows.iter().map(|row| &row.poles[i])))
            .collect();
        let poles = List(poles.iter().map(|own| refs(own)));
        let (own, other) = (Knots::of(&along.knots), Knots::of(across));
        let knots = format_args!(
            "{},{},{},{},.UNSPECIFIED.",
            own.times(),
            other.times(),
            own.values(),
            other.values()
        );
        let mut weights = rows.iter().flat_map(|row| &row.weights);
        if weights.all(|weight| *weight == 1.0) {
            return Ok(self.add(format_args!(
                "B_SPLINE_SURFACE_WITH_KNOTS('',{degrees},{poles},.UNSPECIFIED.,.F.,.F.,.F.,{knots})"
            )));
        }
        let weights: Vec<Vec<f64>> = columns
            .map(|i| rows.iter().map(|row| row.weights[i]).collect())
            .collect();
        Ok(self.add(format_args!(
            "(BOUNDED_SURFACE() B_SPLINE_SURFACE({degrees},{poles},.UNSPECIFIED.,.F.,.F.,.F.) \
             B_SPLINE_SURFACE_WITH_KNOTS({knots}) GEOMETRIC_REPRESENTATION_ITEM() \
             RATIONAL_B_SPLINE_SURFACE({}) REPRESENTATION_ITEM('') SURFACE())",
            List(weights.iter().map(|own| reals(own)))
        )))
    }
}

/// A curve as a row of poles with weights.
#[derive(Clone)]
struct Row {
    degree: usize,
    knots: Vec<f64>,
    poles: Vec<Point3>,
    weights: Vec<f64>,
}

impl Row {
    fn of(curve: &SpaceCurve) -> Self {
        let (degree, knots, poles, weights) = match curve {
            SpaceCurve::Line(start, end) => (1, vec![0.0, 0.0, 1.0, 1.0], vec![*start, *end], None),
            SpaceCurve::Arc { poles, weight } => {
                let knots = vec![0.0, 0.0, 0.0, 1.0, 1.0, 1.0];
                (2, knots, poles.to_vec(), Some(vec![1.0, *weight, 1.0]))
            }
            SpaceCurve::Spline(own) => (own.degree, own.knots.clone(), own.poles.clone(), None),
        };
        Self {
            degree,
            knots,
            weights: weights.unwrap_or_else(|| vec![1.0; poles.len()]),
            poles,
        }
    }
}

/// Knots, each with how many times it stands.
struct Knots(Vec<(usize, f64)>);

impl Knots {
    fn of(knots: &[f64]) -> Self {
        let same = knots.chunk_by(|a, b| a == b);
        Self(same.map(|own| (own.len(), own[0])).collect())
    }

    fn times(&self) -> impl Display + '_ {
        List(self.0.iter().map(|own| own.0))
    }

    fn values(&self) -> impl Display + '_ {
        List(self.0.iter().map(|own| Real(own.1)))
    }
}

/// `(one,two)`.
struct List<I>(I);

impl<I: Iterator<Item: Display> + Clone> Display for List<I> {
    fn fmt(&self, text: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, item) in self.0.clone().enumerate() {
            text.write_char(if i == 0 { '(' } else { ',' })?;
            item.fmt(text)?;
        }
        text.write_char(')')
    }
}

fn refs(numbers: &[usize]) -> impl Display + '_ {
    List(numbers.iter().map(|number| Ref(*number)))
}

fn reals(values: &[f64]) -> impl Display + '_ {
    List(values.iter().map(|value| Real(*value)))
}

struct Ref(usize);

impl Display for Ref {
    fn fmt(&self, text: &mut fmt::Formatter<'_>) -> fmt::Result {
        text.write_char('#')?;
        self.0.fmt(text)
    }
}

/// A number as few digits tell it from all others, with the point and the capital E that the exchange file asks for (clause 6.4.2).
struct Real(f64);

impl Display for Real {
    fn fmt(&self, text: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut digits = zmij::Buffer::new();
        // No negative zero.
        let digits = digits.format_finite(self.0 + 0.0);
        let Some((mantissa, exponent)) = digits.split_once('e') else {
            return text.write_str(digits);
        };
        text.write_str(mantissa)?;
        text.write_str(if mantissa.contains('.') { "E" } else { ".E" })?;
        text.write_str(exponent)
    }
}

struct Flag(bool);

impl Display for Flag {
    fn fmt(&self, text: &mut fmt::Formatter<'_>) -> fmt::Result {
        text.write_str(if self.0 { ".T." } else { ".F." })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_reals_of_the_exchange_file() {
        let written = |value: f64| Real(value).to_string();
        assert_eq!(written(-0.0), "0.0");
        assert_eq!(written(12.0), "12.0");
        assert_eq!(written(-0.1), "-0.1");
        for value in [
            1e-7,
            1.5e-9,
            -2e300,
            f64::MIN_POSITIVE,
            123_456.789,
            1.0 / 3.0,
        ] {
            let text = written(value);
            assert_eq!(text.parse::<f64>().unwrap(), value, "{text}");
            let (mantissa, exponent) = text.split_once('E').unwrap_or((&text, "0"));
            assert!(mantissa.contains('.') && !text.contains('e'), "{text}");
            assert!(exponent.parse::<i32>().is_ok(), "{text}");
        }
    }

    #[test]
    fn knots_are_told_once() {
        let knots = Knots::of(&[0.0, 0.0, 0.5, 1.0, 1.0]);
        assert_eq!(knots.times().to_string(), "(2,1,2)");
        assert_eq!(knots.values().to_string(), "(0.0,0.5,1.0)");
    }
}
