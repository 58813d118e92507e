//! An exchange file in the making (ISO 10303-21, application protocol 214): parts, sub-assemblies, colours.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use super::step::{StepSolid, step_string};

/// What every file begins with: contexts, the origin with z up, millimetres.
const HEAD: [&str; 13] = [
    "APPLICATION_CONTEXT('core data for automotive mechanical design processes')",
    "APPLICATION_PROTOCOL_DEFINITION('international standard','automotive_design',2000,#1)",
    "PRODUCT_CONTEXT('',#1,'mechanical')",
    "PRODUCT_DEFINITION_CONTEXT('part definition',#1,'design')",
    "AXIS2_PLACEMENT_3D('',#6,#7,#8)",
    "CARTESIAN_POINT('',(0.0,0.0,0.0))",
    "DIRECTION('',(0.0,0.0,1.0))",
    "DIRECTION('',(1.0,0.0,0.0))",
    "(GEOMETRIC_REPRESENTATION_CONTEXT(3) GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT((#13)) \
     GLOBAL_UNIT_ASSIGNED_CONTEXT((#10,#11,#12)) REPRESENTATION_CONTEXT('','3D'))",
    "(LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.))",
    "(NAMED_UNIT(*) PLANE_ANGLE_UNIT() SI_UNIT($,.RADIAN.))",
    "(NAMED_UNIT(*) SI_UNIT($,.STERADIAN.) SOLID_ANGLE_UNIT())",
    "UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE(1.0E-6),#10,'distance_accuracy_value','')",
];
const PRODUCT_CONTEXT: usize = 3;
const DEFINITION_CONTEXT: usize = 4;
const ORIGIN: usize = 5;
const GEOMETRY: usize = 9;

/// A colour of a part: red, green and blue from 0 to 1, and its name.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StepColour {
    /// What the colour is called.
    pub name: &'static str,
    /// Red, green and blue, as a screen shows them.
    pub rgb: [f64; 3],
}

/// A part or sub-assembly of a file.
#[derive(Clone, Copy, Debug)]
pub struct StepPart {
    definition: usize,
    representation: usize,
}

/// An exchange file in the making. The same calls give the same bytes; the time stamp is therefore a fixed one.
#[derive(Clone, Debug)]
pub struct StepFile {
    text: String,
    next: usize,
    /// Presentation styles by the name of their colour.
    styles: BTreeMap<&'static str, usize>,
    styled: Vec<usize>,
    occurrences: usize,
}

impl Default for StepFile {
    fn default() -> Self {
        Self::new()
    }
}

impl StepFile {
    /// The number of the first entity that is not of the head.
    pub const FIRST: usize = HEAD.len() + 1;

    /// A file without parts.
    pub fn new() -> Self {
        let mut file = Self {
            text: String::new(),
            next: 1,
            styles: BTreeMap::new(),
            styled: Vec::new(),
            occurrences: 0,
        };
        for entity in HEAD {
            file.add(entity);
        }
        file
    }

    /// A part of one solid, in its place in the body.
    pub fn part(
        &mut self,
        id: &str,
        title: &str,
        solid: StepSolid,
        colour: Option<StepColour>,
    ) -> StepPart {
        let solid = solid.from(self.next);
        self.text.push_str(&solid.entities);
        self.next = solid.next;
        let representation = self.add(&format!(
            "ADVANCED_BREP_SHAPE_REPRESENTATION({},(#{ORIGIN},#{}),#{GEOMETRY})",
            step_string(id),
            solid.solid
        ));
        if let Some(colour) = colour {
            self.paint(solid.solid, colour);
        }
        self.product(id, title, representation)
    }

    /// A sub-assembly without parts as yet.
    pub fn assembly(&mut self, id: &str, title: &str) -> StepPart {
        let representation = self.add(&format!(
            "SHAPE_REPRESENTATION({},(#{ORIGIN}),#{GEOMETRY})",
            step_string(id)
        ));
        self.product(id, title, representation)
    }

    /// Puts a part into a sub-assembly, as it stands: all of them share the frame of the body.
    pub fn put(&mut self, part: StepPart, into: StepPart, name: &str) {
        self.occurrences += 1;
        let occurrence = self.add(&format!(
            "NEXT_ASSEMBLY_USAGE_OCCURRENCE('{}',{},'',#{},#{},$)",
            self.occurrences,
            step_string(name),
            into.definition,
            part.definition
        ));
        let shape = self.add(&format!("PRODUCT_DEFINITION_SHAPE('','',#{occurrence})"));
        let unmoved = self.add(&format!(
            "ITEM_DEFINED_TRANSFORMATION('','',#{ORIGIN},#{ORIGIN})"
        ));
        let relation = self.add(&format!(
            "(REPRESENTATION_RELATIONSHIP('','',#{},#{}) \
             REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION(#{unmoved}) SHAPE_REPRESENTATION_RELATIONSHIP())",
            part.representation, into.representation
        ));
        self.add(&format!(
            "CONTEXT_DEPENDENT_SHAPE_REPRESENTATION(#{relation},#{shape})"
        ));
    }

    /// The text of the file, with its name and title.
    pub fn finish(mut self, name: &str, title: &str) -> String {
        if !self.styled.is_empty() {
            let items: Vec<String> = self.styled.iter().map(|item| format!("#{item}")).collect();
            self.add(&format!(
                "MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',({}),#{GEOMETRY})",
                items.join(",")
            ));
        }
        format!(
            "ISO-10303-21;\n\
             HEADER;\n\
             FILE_DESCRIPTION(({}),'2;1');\n\
             FILE_NAME({},'2000-01-01T00:00:00',(''),(''),'Platework','Platework','');\n\
             FILE_SCHEMA(('AUTOMOTIVE_DESIGN {{ 1 0 10303 214 1 1 1 1 }}'));\n\
             ENDSEC;\n\
             DATA;\n\
             {}ENDSEC;\n\
             END-ISO-10303-21;\n",
            step_string(title),
            step_string(name),
            self.text
        )
    }

    fn add(&mut self, entity: &str) -> usize {
        let number = self.next;
        writeln!(self.text, "#{number} = {entity};").expect("writing to memory cannot fail");
        self.next += 1;
        number
    }

    fn product(&mut self, id: &str, title: &str, representation: usize) -> StepPart {
        let product = self.add(&format!(
            "PRODUCT({},{},'',(#{PRODUCT_CONTEXT}))",
            step_string(id),
            step_string(title)
        ));
        self.add(&format!(
            "PRODUCT_RELATED_PRODUCT_CATEGORY('part',$,(#{product}))"
        ));
        let formation = self.add(&format!("PRODUCT_DEFINITION_FORMATION('','',#{product})"));
        let definition = self.add(&format!(
            "PRODUCT_DEFINITION('design','',#{formation},#{DEFINITION_CONTEXT})"
        ));
        let shape = self.add(&format!("PRODUCT_DEFINITION_SHAPE('','',#{definition})"));
        self.add(&format!(
            "SHAPE_DEFINITION_REPRESENTATION(#{shape},#{representation})"
        ));
        StepPart {
            definition,
            representation,
        }
    }

    fn paint(&mut self, solid: usize, colour: StepColour) {
        let style = match self.styles.get(colour.name) {
            Some(style) => *style,
            None => {
                let style = self.style(colour);
                self.styles.insert(colour.name, style);
                style
            }
        };
        let item = self.add(&format!("STYLED_ITEM('color',(#{style}),#{solid})"));
        self.styled.push(item);
    }

    fn style(&mut self, colour: StepColour) -> usize {
        let [r, g, b] = colour.rgb;
        let chain = [
            "FILL_AREA_STYLE_COLOUR('',#)",
            "FILL_AREA_STYLE('',(#))",
            "SURFACE_STYLE_FILL_AREA(#)",
            "SURFACE_SIDE_STYLE('',(#))",
            "SURFACE_STYLE_USAGE(.BOTH.,#)",
            "PRESENTATION_STYLE_ASSIGNMENT((#))",
        ];
        let name = step_string(colour.name);
        let first = self.add(&format!("COLOUR_RGB({name},{r:.4},{g:.4},{b:.4})"));
        chain.iter().fold(first, |before, entity| {
            self.add(&entity.replace('#', &format!("#{before}")))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn entities_are_numbered_once_and_refer_to_what_there_is() {
        let mut file = StepFile::new();
        let engine = file.assembly("engine", "An engine");
        let solid = StepSolid {
            entities: "#20 = MANIFOLD_SOLID_BREP('', #21);\n#21 = CLOSED_SHELL('', ());\n".into(),
            solid: 20,
            next: 22,
        };
        let colour = StepColour {
            name: "brass",
            rgb: [0.8, 0.7, 0.4],
        };
        for id in ["one", "two"] {
            let part = file.part(id, id, solid.clone(), Some(colour));
            file.put(part, engine, id);
        }
        let text = file.finish("engine", "An engine");
        let mut defined = Vec::new();
        for line in text.lines().filter(|line| line.starts_with('#')) {
            let (number, entity) = line.split_once(" = ").unwrap();
            defined.push(number[1..].parse::<usize>().unwrap());
            assert!(entity.ends_with(';'));
        }
        assert_eq!(defined, (1..=defined.len()).collect::<Vec<_>>());
        for part in text.split('#').skip(1) {
            let digits: String = part.chars().take_while(char::is_ascii_digit).collect();
            assert!(digits.parse::<usize>().unwrap() <= defined.len());
        }
        assert_eq!(text.matches("COLOUR_RGB(").count(), 1);
        assert_eq!(text.matches("STYLED_ITEM(").count(), 2);
        assert_eq!(text.matches("NEXT_ASSEMBLY_USAGE_OCCURRENCE(").count(), 2);
    }
}
