//! Dimensions of each sub-assembly, read from the model file (all mm on the model).

use super::reader::{Reader, Sign};

const TRADE: &str = "common practice, no source";
const CHOSEN: &str = "chosen, not sourced";

/// Reads one table of the model file.
struct Table<'r, 't> {
    reader: &'r Reader<'t>,
    name: &'r str,
}

impl Table<'_, '_> {
    fn path(&self, key: &str) -> String {
        format!("{}.{key}", self.name)
    }

    /// A dimension that the file must have, above zero.
    fn need(&self, key: &str) -> f64 {
        self.reader.length(&self.path(key), Sign::Positive)
    }

    /// A place that the file must have, zero or above.
    fn place(&self, key: &str) -> f64 {
        self.reader.length(&self.path(key), Sign::NotNegative)
    }

    /// A dimension with a default given in full-size inches.
    fn inches(&self, key: &str, inches: f64, source: &str) -> f64 {
        let default = inches / 12.0 * self.reader.scale.mm_per_foot();
        self.reader
            .length_or(&self.path(key), Sign::Positive, default, source)
    }

    /// A dimension with a default on the model (mm).
    fn model(&self, key: &str, default: f64, source: &str) -> f64 {
        self.reader
            .length_or(&self.path(key), Sign::NotNegative, default, source)
    }
}

fn table<'r, 't>(reader: &'r Reader<'t>, name: &'r str) -> Table<'r, 't> {
    Table { reader, name }
}

/// `[boiler]`: a barrel tapering about a level axis.
#[derive(Clone, Debug)]
pub(crate) struct BoilerSpec {
    pub(crate) pitch: f64,
    pub(crate) from: f64,
    pub(crate) length: f64,
    pub(crate) front_diameter: f64,
    pub(crate) rear_diameter: f64,
    pub(crate) band_width: f64,
    pub(crate) band_inset: f64,
    pub(crate) band_pitch: f64,
    pub(crate) strip_width: f64,
    pub(crate) washouts: Vec<WashoutSpec>,
}

/// `[[boiler.washouts]]`: a pair of holes, left and right.
#[derive(Clone, Debug)]
pub(crate) struct WashoutSpec {
    pub(crate) x: f64,
    pub(crate) height: f64,
    pub(crate) diameter: f64,
}

impl BoilerSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "boiler");
        let washouts = (0..reader.count("boiler.washouts"))
            .map(|i| {
                let name = format!("boiler.washouts[{i}]");
                let t = table(reader, &name);
                WashoutSpec {
                    x: t.place("x"),
                    height: t.need("height"),
                    diameter: t.inches("diameter", 2.0, CHOSEN),
                }
            })
            .collect();
        Self {
            pitch: t.need("pitch"),
            from: t.place("from"),
            length: t.need("length"),
            front_diameter: t.need("front_diameter"),
            rear_diameter: t.need("rear_diameter"),
            band_width: t.inches("band_width", 2.0, TRADE),
            band_inset: t.inches("band_inset", 2.0, CHOSEN),
            band_pitch: t.inches("band_pitch", 36.0, TRADE),
            strip_width: t.model("joint_strip_width", reader.scale.pick(4.5, 7.0), TRADE),
            washouts,
        }
    }
}

/// `[chimney]`.
#[derive(Clone, Debug)]
pub(crate) struct ChimneySpec {
    pub(crate) x: f64,
    pub(crate) top: f64,
    pub(crate) waist_diameter: f64,
    pub(crate) cap_diameter: f64,
    pub(crate) base_diameter: f64,
    pub(crate) flare: f64,
    pub(crate) spigot: f64,
}

impl ChimneySpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "chimney");
        Self {
            x: t.place("x"),
            top: t.need("top"),
            waist_diameter: t.need("waist_diameter"),
            cap_diameter: t.need("cap_diameter"),
            base_diameter: t.need("base_diameter"),
            flare: t.inches("flare_radius", 5.0, CHOSEN),
            spigot: t.model("spigot", reader.scale.pick(3.0, 5.0), TRADE),
        }
    }
}

/// `[dome]`.
#[derive(Clone, Debug)]
pub(crate) struct DomeSpec {
    pub(crate) x: f64,
    pub(crate) top: f64,
    pub(crate) diameter: f64,
    pub(crate) skirt_diameter: f64,
    pub(crate) flare: f64,
    pub(crate) spigot: f64,
}

impl DomeSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "dome");
        Self {
            x: t.place("x"),
            top: t.need("top"),
            diameter: t.need("diameter"),
            skirt_diameter: t.need("skirt_diameter"),
            flare: t.inches("flare_radius", 4.0, CHOSEN),
            spigot: t.model("spigot", reader.scale.pick(3.0, 5.0), TRADE),
        }
    }
}

/// `[safety_valves]`.
#[derive(Clone, Debug)]
pub(crate) struct SafetyValveSpec {
    pub(crate) x: f64,
    pub(crate) top: f64,
    pub(crate) diameter: f64,
}

impl SafetyValveSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "safety_valves");
        Self {
            x: t.place("x"),
            top: t.need("top"),
            diameter: t.inches("diameter", 14.0, CHOSEN),
        }
    }
}

/// `[handrails]`: rails along smokebox and boiler, level, one each side.
#[derive(Clone, Debug)]
pub(crate) struct HandrailSpec {
    pub(crate) height: f64,
    pub(crate) pillars: Vec<f64>,
    pub(crate) pillar_hole: f64,
}

impl HandrailSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "handrails");
        let pillars = (0..reader.count("handrails.pillars"))
            .map(|i| reader.length(&format!("handrails.pillars[{i}]"), Sign::NotNegative))
            .collect();
        Self {
            height: t.need("height"),
            pillars,
            pillar_hole: t.model("pillar_hole", reader.scale.pick(0.5, 0.9), TRADE),
        }
    }
}

/// `[smokebox]`: built up, its sides run by a reverse curve down to the footplate.
#[derive(Clone, Debug)]
pub(crate) struct SmokeboxSpec {
    pub(crate) front: f64,
    pub(crate) length: f64,
    pub(crate) diameter: f64,
    pub(crate) waist_half_width: f64,
    pub(crate) reverse_radius: f64,
    pub(crate) door_diameter: f64,
}

impl SmokeboxSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "smokebox");
        Self {
            front: t.place("front"),
            length: t.need("length"),
            diameter: t.need("diameter"),
            waist_half_width: t.need("waist_half_width"),
            reverse_radius: t.need("reverse_radius"),
            door_diameter: t.need("door_diameter"),
        }
    }
}

/// One end of a Belpaire firebox.
#[derive(Clone, Debug)]
pub(crate) struct FireboxEnd {
    pub(crate) crown: f64,
    pub(crate) half_width: f64,
}

/// `[firebox]`: Belpaire, waisted between the frames.
#[derive(Clone, Debug)]
pub(crate) struct FireboxSpec {
    pub(crate) length: f64,
    pub(crate) front: FireboxEnd,
    pub(crate) rear: FireboxEnd,
    pub(crate) crown_radius: f64,
    pub(crate) shoulder_radius: f64,
    pub(crate) waist_from: f64,
    pub(crate) convex_radius: f64,
    pub(crate) concave_radius: f64,
    pub(crate) bottom_half_width: f64,
    pub(crate) studding: f64,
}

impl FireboxSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "firebox");
        let end = |name: &str| {
            let t = table(reader, name);
            FireboxEnd {
                crown: t.need("crown"),
                half_width: t.need("half_width"),
            }
        };
        Self {
            length: t.need("length"),
            front: end("firebox.front"),
            rear: end("firebox.rear"),
            crown_radius: t.need("crown_radius"),
            shoulder_radius: t.need("shoulder_radius"),
            waist_from: t.need("waist_from"),
            convex_radius: t.need("waist_convex_radius"),
            concave_radius: t.need("waist_concave_radius"),
            bottom_half_width: t.need("bottom_half_width"),
            studding: t.model("studding_hole", reader.scale.pick(2.1, 3.5), TRADE),
        }
    }
}

/// `[footplate]`, its valances and beams.
#[derive(Clone, Debug)]
pub(crate) struct FootplateSpec {
    pub(crate) length: f64,
    pub(crate) top: f64,
    pub(crate) width: f64,
    pub(crate) valance_depth: f64,
    pub(crate) valance_inset: f64,
    pub(crate) beam_bottom: f64,
    pub(crate) beam_width: f64,
}

impl FootplateSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "footplate");
        let valance = table(reader, "footplate.valances");
        let beam = table(reader, "buffer_beams");
        Self {
            length: t.need("length"),
            top: t.need("top"),
            width: t.need("width"),
            valance_depth: valance.inches("depth", 8.0, TRADE),
            valance_inset: valance.inches("set_in", 2.0, TRADE),
            beam_bottom: beam.need("bottom"),
            beam_width: beam.need("width"),
        }
    }
}

/// `[buffers]`.
#[derive(Clone, Debug)]
pub(crate) struct BufferSpec {
    pub(crate) height: f64,
    pub(crate) centres: f64,
    pub(crate) projection: f64,
    pub(crate) head: f64,
}

impl BufferSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "buffers");
        const MEMORY: &str = "British practice of the 20th century, from memory";
        Self {
            height: t.inches("height", 41.0, MEMORY),
            centres: t.inches("centres", 68.5, MEMORY),
            projection: t.inches("projection", 21.0, CHOSEN),
            head: t.inches("head", 15.0, MEMORY),
        }
    }
}

/// `[side_tanks]`.
#[derive(Clone, Debug)]
pub(crate) struct TankSpec {
    pub(crate) from: f64,
    pub(crate) top: f64,
    pub(crate) over: f64,
    pub(crate) inner: f64,
    pub(crate) top_recess: f64,
    pub(crate) baffles: f64,
}

impl TankSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "side_tanks");
        Self {
            from: t.place("from"),
            top: t.need("top"),
            over: t.need("over"),
            inner: t.need("inner"),
            top_recess: t.inches("top_recess", 1.0, CHOSEN),
            baffles: t.inches("baffle_pitch", 42.0, TRADE),
        }
    }
}

/// `[cab]`.
#[derive(Clone, Debug)]
pub(crate) struct CabSpec {
    pub(crate) front: f64,
    pub(crate) back: f64,
    pub(crate) over: f64,
    pub(crate) roof_top: f64,
    pub(crate) roof_centre_radius: f64,
    pub(crate) roof_corner_radius: f64,
    pub(crate) roof_half_width: f64,
    pub(crate) roof_overhang: f64,
    pub(crate) cut_out: CutOutSpec,
    pub(crate) window_diameter: f64,
    pub(crate) window_height: f64,
    pub(crate) window_offset: f64,
    pub(crate) box_clearance: f64,
}

/// `[cab.cut_out]`: the opening in a cab side.
#[derive(Clone, Debug)]
pub(crate) struct CutOutSpec {
    pub(crate) from: f64,
    pub(crate) to: f64,
    pub(crate) bottom: f64,
    pub(crate) top: f64,
    pub(crate) radius: f64,
}

impl CabSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "cab");
        let roof = table(reader, "cab.roof");
        let cut = table(reader, "cab.cut_out");
        let window = table(reader, "cab.windows");
        Self {
            front: t.place("front"),
            back: t.need("back"),
            over: t.need("over"),
            roof_top: roof.need("top"),
            roof_centre_radius: roof.need("centre_radius"),
            roof_corner_radius: roof.need("corner_radius"),
            roof_half_width: roof.need("half_width"),
            roof_overhang: roof.inches("overhang", 3.0, CHOSEN),
            cut_out: CutOutSpec {
                from: cut.place("from"),
                to: cut.need("to"),
                bottom: cut.need("bottom"),
                top: cut.need("top"),
                radius: cut.need("radius"),
            },
            window_diameter: window.need("diameter"),
            window_height: window.need("height"),
            window_offset: window.need("offset"),
            box_clearance: t.model("firebox_clearance", reader.scale.pick(0.05, 0.1), TRADE),
        }
    }
}

/// `[bunker]`.
#[derive(Clone, Debug)]
pub(crate) struct BunkerSpec {
    pub(crate) back: f64,
    pub(crate) top: f64,
    pub(crate) corner_radius: f64,
    pub(crate) flare_radius: f64,
    pub(crate) flare_angle: f64,
}

impl BunkerSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "bunker");
        Self {
            back: t.need("back"),
            top: t.need("top"),
            corner_radius: t.need("corner_radius"),
            flare_radius: t.need("flare_radius"),
            flare_angle: reader
                .number_or("bunker.flare_angle_deg", 5.0..=90.0, 45.0, CHOSEN)
                .to_radians(),
        }
    }
}

/// `[[axles]]`.
#[derive(Clone, Debug)]
pub(crate) struct AxleSpec {
    pub(crate) x: f64,
    pub(crate) diameter: f64,
}

/// `[[axles]]` and `[frames]`.
#[derive(Clone, Debug)]
pub(crate) struct RunningSpec {
    pub(crate) axles: Vec<AxleSpec>,
    pub(crate) frame_thickness: f64,
    pub(crate) frame_top: f64,
    pub(crate) frame_bottom: f64,
}

impl RunningSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let axles: Vec<AxleSpec> = (0..reader.count("axles"))
            .map(|i| {
                let name = format!("axles[{i}]");
                let t = table(reader, &name);
                AxleSpec {
                    x: t.place("x"),
                    diameter: t.need("diameter"),
                }
            })
            .collect();
        if axles.is_empty() {
            reader.problem(
                "axles",
                "the engine has no axles",
                "add  [[axles]]  with  x  and  diameter  for each, from the front",
            );
        }
        let t = table(reader, "frames");
        Self {
            axles,
            frame_thickness: t.inches("thickness", 1.0, TRADE),
            frame_top: t.inches("top", 48.0, CHOSEN),
            frame_bottom: t.inches("bottom", 15.0, CHOSEN),
        }
    }
}

/// `[rivets]`: sizes and pitches of the platework.
#[derive(Clone, Debug)]
pub(crate) struct RivetSpec {
    pub(crate) platework: RivetRowSpec,
    pub(crate) smokebox: RivetRowSpec,
    pub(crate) beams: RivetRowSpec,
    pub(crate) edge: f64,
    pub(crate) ring_rows: f64,
}

/// Shank diameter and pitch of a row (mm).
#[derive(Clone, Copy, Debug)]
pub(crate) struct RivetRowSpec {
    pub(crate) shank: f64,
    pub(crate) pitch: f64,
}

impl RivetRowSpec {
    /// Head of a snap rivet: 1.75 shanks wide (common practice, no source).
    pub(crate) fn head_diameter(&self) -> f64 {
        1.75 * self.shank
    }

    /// Height of the head: 0.65 shanks (old British practice, from memory).
    pub(crate) fn head_height(&self) -> f64 {
        0.65 * self.shank
    }
}

impl RivetSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let row = |name: &str, shank: f64, pitch: f64| {
            let t = table(reader, name);
            RivetRowSpec {
                shank: t.inches("shank", shank, TRADE),
                pitch: t.inches("pitch", pitch, TRADE),
            }
        };
        let t = table(reader, "rivets");
        Self {
            platework: row("rivets.platework", 0.5, 2.0),
            smokebox: row("rivets.smokebox", 0.625, 2.5),
            beams: row("rivets.beams", 0.75, 3.5),
            edge: t.inches("edge_distance", 1.25, TRADE),
            ring_rows: t.inches("ring_rows_apart", 1.875, TRADE),
        }
    }
}
