//! Trial plates and sections, and files for the other kernel.

#![allow(dead_code, reason = "each test program uses a part")]

use body::{Curve, Edge, Hole, Plate, Sheet};
use develop::{BendRule, Forming, Loft, LoftFrame, Trace};
use geom::math::{FRAC_PI_2, acos, asin, sin, sin_cos};
use geom::{Chain, FlatPoint, Point2, Vector2};
use solid::{ExactMeasures, exact_measures, plate_step, riveted_measures, riveted_step};
use std::path::PathBuf;

/// Model millimetres for an inch of the engine, and the sheet used (mm).
pub(crate) const SCALES: [(&str, f64, f64); 2] =
    [("4mm", 4.0 / 12.0, 0.25), ("7mm", 7.0 / 12.0, 0.45)];

pub(crate) fn plate(
    id: &str,
    thickness: f64,
    forming: Forming,
    outline: Vec<Curve>,
    holes: Vec<Hole>,
) -> Plate {
    let outline = outline
        .into_iter()
        .enumerate()
        .map(|(i, curve)| Edge {
            name: format!("edge-{i}"),
            curve,
        })
        .collect();
    Plate {
        id: id.to_owned(),
        assembly: "boiler",
        title: format!("Trial {id}"),
        sheet: Sheet::plain("brass half-hard", thickness),
        forming,
        outline,
        holes,
        regions: Vec::new(),
        rivets: Vec::new(),
        marks: Vec::new(),
        points: Vec::new(),
    }
}

pub(crate) fn hole(feature: &str, boundary: Vec<Curve>) -> Hole {
    Hole {
        feature: feature.to_owned(),
        centre: FlatPoint::origin(),
        diameter: None,
        boundary,
    }
}

pub(crate) fn bore(feature: &str, drill: f64, along: f64, through: Point2, radius: f64) -> Hole {
    let (s, c) = sin_cos(drill);
    let trace = Trace::bore(Vector2::new(s, c), along, through, radius);
    hole(feature, vec![Curve::Surface(trace)])
}

pub(crate) fn whole_outline(loft: &Loft) -> Vec<Curve> {
    let end = loft.w_end();
    [
        Trace::Ruling {
            w: 0.0,
            from: 0.0,
            to: 1.0,
        },
        Trace::Section {
            v: 1.0,
            from: 0.0,
            to: end,
        },
        Trace::Ruling {
            w: end,
            from: 1.0,
            to: 0.0,
        },
        Trace::Section {
            v: 0.0,
            from: end,
            to: 0.0,
        },
    ]
    .into_iter()
    .map(Curve::Surface)
    .collect()
}

pub(crate) fn rolled(id: &str, thickness: f64, loft: Loft, holes: Vec<Hole>) -> Plate {
    let outline = whole_outline(&loft);
    plate(
        id,
        thickness,
        Forming::Rolled(Box::new(loft)),
        outline,
        holes,
    )
}

/// Offsets a drawn outside section to mid-sheet; travel has the outside on its left.
pub(crate) fn mid_sheet(outside: &Chain, thickness: f64) -> Chain {
    outside.offset(-thickness / 2.0).unwrap()
}

pub(crate) struct Belpaire {
    pub(crate) crown_top: f64,
    pub(crate) crown_radius: f64,
    pub(crate) half_width: f64,
    pub(crate) shoulder: f64,
    pub(crate) waist_from: f64,
    pub(crate) convex: f64,
    pub(crate) concave: f64,
    pub(crate) bottom_half_width: f64,
    pub(crate) foot: f64,
}

impl Belpaire {
    pub(crate) fn whole(&self, scale: f64) -> Chain {
        let x = self.half_width - self.shoulder;
        let reach = self.crown_radius - self.shoulder;
        let alpha = asin(x / reach);
        let shoulder_z = self.crown_top - self.crown_radius + (reach * reach - x * x).sqrt();
        let shift = self.half_width - self.bottom_half_width;
        let theta = acos(1.0 - shift / (self.convex + self.concave));
        let drop = (self.convex + self.concave) * sin(theta);
        let right = Chain::starting(Point2::new(0.0, self.crown_top * scale), 0.0)
            .arc(self.crown_radius * scale, -alpha)
            .arc(self.shoulder * scale, -(FRAC_PI_2 - alpha))
            .line((shoulder_z - self.waist_from) * scale)
            .arc(self.convex * scale, -theta)
            .arc(self.concave * scale, theta)
            .line((self.waist_from - drop - self.foot) * scale)
            .finish();
        right.mirrored_in_y_axis().reversed().joined(&right)
    }
}

pub(crate) fn class_b(top: f64) -> Belpaire {
    Belpaire {
        crown_top: top,
        crown_radius: 144.0,
        half_width: 29.5,
        shoulder: 6.0,
        waist_from: 76.0,
        convex: 18.0,
        concave: 18.0,
        bottom_half_width: 24.0,
        foot: 50.0,
    }
}

pub(crate) fn class_m(top: f64, half_width: f64) -> Belpaire {
    Belpaire {
        crown_top: top,
        crown_radius: 240.0,
        half_width,
        shoulder: 8.0,
        waist_from: 92.0,
        convex: 24.0,
        concave: 18.0,
        bottom_half_width: 24.0,
        foot: 56.0,
    }
}

pub(crate) fn wrapper(front: &Chain, rear: &Chain, length: f64, thickness: f64) -> Loft {
    let (front, rear) = (mid_sheet(front, thickness), mid_sheet(rear, thickness));
    let frame = LoftFrame::along_engine(100.0);
    Loft::between(frame, &front, &rear, length, thickness, BendRule::default()).unwrap()
}

/// Every entity is defined once and every reference has its entity.
#[track_caller]
pub(crate) fn assert_sound_file(id: &str, text: &str) {
    assert!(text.starts_with("ISO-10303-21;\nHEADER;\n") && text.ends_with("END-ISO-10303-21;\n"));
    assert_eq!(
        text.matches("MANIFOLD_SOLID_BREP(").count(),
        1,
        "{id}: solids"
    );
    assert_eq!(text.matches("CLOSED_SHELL(").count(), 1, "{id}: shells");
    assert!(
        !text.contains("NaN") && !text.contains("inf"),
        "{id}: not a number"
    );
    let mut defined = std::collections::BTreeSet::new();
    let mut used = std::collections::BTreeSet::new();
    for line in text.lines() {
        let mut numbers = line.split('#').skip(1).map(|part| {
            let digits = part.bytes().take_while(u8::is_ascii_digit).count();
            part[..digits].parse::<usize>().unwrap()
        });
        if line.starts_with('#') {
            let own = numbers.next().unwrap();
            assert!(defined.insert(own), "{id}: #{own} is defined twice");
        }
        used.extend(numbers);
    }
    let missing: Vec<_> = used.difference(&defined).collect();
    assert!(missing.is_empty(), "{id}: undefined {missing:?}");
}

/// Solids written for `tests/conformance/step_check.py`, with the figures expected of each.
pub(crate) struct Files {
    folder: PathBuf,
    list: Vec<String>,
}

impl Files {
    pub(crate) fn to(folder: &str) -> Self {
        let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(folder);
        std::fs::create_dir_all(&folder).unwrap();
        Self {
            folder,
            list: Vec::new(),
        }
    }

    /// Makes a plate's solid and writes it.
    #[track_caller]
    pub(crate) fn add(&mut self, plate: &Plate) -> ExactMeasures {
        let id = &plate.id;
        let text = plate_step(plate).unwrap_or_else(|e| panic!("{id}: {e}"));
        self.keep(id, &text, exact_measures(plate).unwrap())
    }

    fn keep(&mut self, id: &str, text: &str, measures: ExactMeasures) -> ExactMeasures {
        assert_sound_file(id, text);
        let ExactMeasures {
            volume,
            area,
            low,
            high,
        } = measures;
        std::fs::write(self.folder.join(format!("{id}.step")), text).unwrap();
        self.list.push(format!(
            "  {{\"file\": \"{id}.step\", \"name\": \"{id}\", \"volume_mm3\": {volume:?}, \"area_mm2\": {area:?}, \
             \"low_mm\": [{:?}, {:?}, {:?}], \"high_mm\": [{:?}, {:?}, {:?}], \"relative_tolerance\": 1e-6}}",
            low.x, low.y, low.z, high.x, high.y, high.z
        ));
        measures
    }

    /// Makes and writes the solid of a plate with its rivet heads on.
    pub(crate) fn add_riveted(&mut self, plate: &Plate) -> ExactMeasures {
        let id = &plate.id;
        let text = riveted_step(plate).unwrap_or_else(|e| panic!("{id}: {e}"));
        self.keep(id, &text, riveted_measures(plate).unwrap())
    }

    pub(crate) fn finish(self) {
        let list = format!("[\n{}\n]\n", self.list.join(",\n"));
        std::fs::write(self.folder.join("expected.json"), list).unwrap();
    }
}
