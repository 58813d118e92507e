//! The model file: one locomotive, its full-size dimensions, its scale and its metal.

mod field;
mod input;
mod length;
mod metal;
mod problem;
mod reader;
mod scale;
pub(crate) mod specs;
mod tree;
mod variant;

pub use field::{Field, FieldKind, Opening};
pub use input::{InputLength, InputOrigin};
pub use length::{Dimension, PrototypeLength, parse_dimension};
pub use metal::Metal;
pub use problem::{ModelError, Problem, line_and_column};
pub use reader::DefaultUsed;
pub use scale::{Scale, WheelDimensions, WheelStandard};
pub use specs::OwnPlate;
pub use specs::{
    AllowanceBy, FretSpec, GaugePoint, Load, Motor, PrintSpec, RearFilm, Rolling, SheetPaper,
    SheetsSpec, WeightSpec,
};
pub use variant::{Variant, is_variant_name};

use crate::BodyError;
use reader::Reader;
use specs::*;

/// Largest model file that is read (bytes).
pub const MODEL_FILE_LIMIT: usize = 1 << 20;

/// What the command line or a request sets instead of the file.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Overrides {
    /// Scale, if not the file's own.
    pub scale: Option<Scale>,
    /// Wheel standard, if not the file's own.
    pub wheels: Option<WheelStandard>,
    /// Variant that is laid over the file, if any.
    pub variant: Option<String>,
}

/// A model file that has been read: every dimension in millimetres at one scale.
#[derive(Clone, Debug)]
pub struct Model {
    /// Name of the class: `Class B 0-6-2T`.
    pub title: String,
    /// The railway that ran it.
    pub railway: String,
    /// Scale it is built in.
    pub scale: Scale,
    /// Wheels it runs on.
    pub wheels: WheelStandard,
    /// Metal and clearances at that scale.
    pub metal: Metal,
    /// Defaults used, with their sources, in the order in which they were asked for.
    pub defaults: Vec<DefaultUsed>,
    /// Lengths that the model is made from, in the order in which they were asked for.
    pub inputs: Vec<InputLength>,
    /// The variant that was chosen.
    pub variant: Option<String>,
    /// The variants that the file offers, by name.
    pub variants: Vec<Variant>,
    /// How plates are laid out on sheets to be etched.
    pub fret: FretSpec,
    /// Paper of the sheets for the builder.
    pub sheets: SheetsSpec,
    /// How formers and jigs are printed.
    pub print: PrintSpec,
    /// Corners of the right half of the loading gauge from the rail up; none if the file gives none.
    pub loading_gauge: Vec<GaugePoint>,
    /// What the engine weighs beside its plates, and what drives it.
    pub weight: WeightSpec,
    pub(crate) boiler: Option<BoilerSpec>,
    pub(crate) chimney: Option<ChimneySpec>,
    pub(crate) dome: Option<DomeSpec>,
    pub(crate) safety_valves: Option<SafetyValveSpec>,
    pub(crate) handrails: Option<HandrailSpec>,
    pub(crate) smokebox: Option<SmokeboxSpec>,
    pub(crate) firebox: Option<FireboxSpec>,
    pub(crate) footplate: FootplateSpec,
    pub(crate) buffers: BufferSpec,
    pub(crate) side_tanks: Option<TankSpec>,
    pub(crate) cab: Option<CabSpec>,
    pub(crate) bunker: Option<BunkerSpec>,
    pub(crate) saddle_tank: Option<SaddleTankSpec>,
    pub(crate) pannier_tanks: Option<PannierTankSpec>,
    pub(crate) tender_tank: Option<TenderTankSpec>,
    pub(crate) coal_rails: Option<CoalRailSpec>,
    pub(crate) running: RunningSpec,
    pub(crate) cylinders: Option<CylinderSpec>,
    pub(crate) splashers: Vec<SplasherSpec>,
    pub(crate) steps: Vec<StepSpec>,
    pub(crate) sandboxes: Vec<SandboxSpec>,
    pub(crate) rivets: RivetSpec,
    /// Plates that are drawn by hand and adopted.
    pub own_plates: Vec<OwnPlate>,
    pub(crate) measures: Vec<MeasureSpec>,
    file: String,
    text: String,
}

impl Model {
    /// Reads a model file.
    ///
    /// `file` is its name for messages.
    ///
    /// # Errors
    ///
    /// A [`ModelError`] that names everything wrong with the file, each with line and column; also
    /// what is wrong with variants that are not chosen.
    pub fn read(file: &str, bytes: &[u8], overrides: &Overrides) -> Result<Self, ModelError> {
        variant::with_others(Self::read_one(file, bytes, overrides), overrides, |other| {
            Self::read_one(file, bytes, other)
        })
    }

    /// The keys that a model file has or may have, also of one that cannot be built: what stands there, what may,
    /// and where to write it. Sub-assemblies that the file leaves out have none.
    ///
    /// # Errors
    ///
    /// A [`ModelError`] if the file is no TOML.
    pub fn fields(
        file: &str,
        bytes: &[u8],
        overrides: &Overrides,
    ) -> Result<Vec<Field>, ModelError> {
        let text = text_of(file, bytes)?;
        let mut reader = Self::reader(file, text)?;
        Self::take(&mut reader, file, text, overrides);
        Ok(reader.fields())
    }

    fn reader<'t>(file: &str, text: &'t str) -> Result<Reader<'t>, ModelError> {
        Reader::parse(text).map_err(|problem| ModelError {
            file: file.to_owned(),
            text: text.to_owned(),
            problems: vec![problem],
        })
    }

    /// Reads the file with the chosen variant, or without any.
    fn read_one(file: &str, bytes: &[u8], overrides: &Overrides) -> Result<Self, ModelError> {
        let text = text_of(file, bytes)?;
        let mut reader = Self::reader(file, text)?;
        let model = Self::take(&mut reader, file, text, overrides);
        let (problems, defaults) = reader.finish();
        if problems.is_empty() {
            let inputs = reader.inputs();
            Ok(Self {
                defaults,
                inputs,
                ..model
            })
        } else {
            Err(model.error(problems))
        }
    }

    /// Takes everything from a reader that a model is made of; nothing is built from it while the reader has problems.
    fn take(reader: &mut Reader<'_>, file: &str, text: &str, overrides: &Overrides) -> Self {
        reader.choose(overrides.variant.as_deref());
        let (scale, wheels) = read_scale(reader, overrides);
        let reader = &*reader;
        let boiler = part(reader, "boiler", BoilerSpec::read);
        // A firebox without a boiler is refused below.
        let throat = boiler.as_ref().map_or((f64::NAN, f64::NAN), |b| {
            (b.radius(b.end()), b.axis_height(b.end()))
        });
        let metal = Metal::read(reader);
        let model = Self {
            title: reader.text_or("title", "Locomotive", "the file names none"),
            railway: reader.text_or("railway", "", "the file names none"),
            scale,
            wheels,
            fret: FretSpec::read(reader, &metal),
            sheets: SheetsSpec::read(reader),
            print: PrintSpec::read(reader),
            loading_gauge: GaugePoint::read_all(reader),
            weight: WeightSpec::read(reader),
            metal: metal.clone(),
            boiler,
            chimney: part(reader, "chimney", ChimneySpec::read),
            dome: part(reader, "dome", DomeSpec::read),
            safety_valves: part(reader, "safety_valves", SafetyValveSpec::read),
            handrails: part(reader, "handrails", HandrailSpec::read),
            smokebox: part(reader, "smokebox", SmokeboxSpec::read),
            firebox: part(reader, "firebox", FireboxSpec::read)
                .map(|firebox| firebox.behind(throat.0, throat.1)),
            footplate: FootplateSpec::read(reader),
            buffers: BufferSpec::read(reader),
            side_tanks: part(reader, "side_tanks", TankSpec::read),
            cab: part(reader, "cab", CabSpec::read),
            bunker: part(reader, "bunker", BunkerSpec::read),
            saddle_tank: part(reader, "saddle_tank", SaddleTankSpec::read),
            pannier_tanks: part(reader, "pannier_tanks", PannierTankSpec::read),
            tender_tank: part(reader, "tender_tank", TenderTankSpec::read),
            coal_rails: part(reader, "coal_rails", CoalRailSpec::read),
            running: RunningSpec::read(reader, wheels),
            cylinders: part(reader, "cylinders", CylinderSpec::read),
            splashers: SplasherSpec::read_all(reader),
            steps: StepSpec::read_all(reader),
            sandboxes: SandboxSpec::read_all(reader),
            rivets: RivetSpec::read(reader, &metal),
            own_plates: OwnPlate::read_all(reader),
            measures: MeasureSpec::read_all(reader),
            defaults: Vec::new(),
            inputs: Vec::new(),
            variant: overrides.variant.clone(),
            variants: reader.variants(),
            file: file.to_owned(),
            text: text.to_owned(),
        };
        refuse_lonely_parts(reader);
        model
    }

    /// The `[boiler]` of a model that has one.
    pub(crate) fn boiler(&self) -> &BoilerSpec {
        needed(&self.boiler)
    }

    /// The `[smokebox]` of a model that has one.
    pub(crate) fn smokebox(&self) -> &SmokeboxSpec {
        needed(&self.smokebox)
    }

    /// The `[firebox]` of a model that has one.
    pub(crate) fn firebox(&self) -> &FireboxSpec {
        needed(&self.firebox)
    }

    /// The `[cab]` of a model that has one.
    pub(crate) fn cab(&self) -> &CabSpec {
        needed(&self.cab)
    }

    /// The `[side_tanks]` of a model that has one.
    pub(crate) fn side_tanks(&self) -> &TankSpec {
        needed(&self.side_tanks)
    }

    /// The `[bunker]` of a model that has one.
    pub(crate) fn bunker(&self) -> &BunkerSpec {
        needed(&self.bunker)
    }

    /// The `[saddle_tank]` of a model that has one.
    pub(crate) fn saddle_tank(&self) -> &SaddleTankSpec {
        needed(&self.saddle_tank)
    }

    /// The `[pannier_tanks]` of a model that has them.
    pub(crate) fn pannier_tanks(&self) -> &PannierTankSpec {
        needed(&self.pannier_tanks)
    }

    /// The `[tender_tank]` of a model that has one.
    pub(crate) fn tender_tank(&self) -> &TenderTankSpec {
        needed(&self.tender_tank)
    }

    /// The `[coal_rails]` of a model that has them.
    pub(crate) fn coal_rails(&self) -> &CoalRailSpec {
        needed(&self.coal_rails)
    }

    /// Where the side tanks end: at their own place or at the cab front (mm).
    pub(crate) fn tanks_end(&self) -> f64 {
        self.side_tanks().to.unwrap_or_else(|| self.cab().front)
    }

    /// Where the bunker begins: at its own place or at the cab's back (mm).
    pub(crate) fn bunker_front(&self) -> f64 {
        self.bunker().from.unwrap_or_else(|| self.cab().back)
    }

    /// Width over the bunker's sides: its own or the cab's (mm).
    pub(crate) fn bunker_over(&self) -> f64 {
        self.bunker().over.unwrap_or_else(|| self.cab().over)
    }

    /// The `[safety_valves]` of a model that has one.
    pub(crate) fn safety_valves(&self) -> &SafetyValveSpec {
        needed(&self.safety_valves)
    }

    /// Puts an error of building at its place in the file.
    pub fn locate(&self, error: &BodyError) -> ModelError {
        let path = error.path().unwrap_or_default();
        let message = match error {
            BodyError::Shape { sentence, .. } => sentence.clone(),
            BodyError::Develop { cause, .. } => cause.to_string(),
            other => other.to_string(),
        };
        let help = error.help().unwrap_or_default().to_owned();
        let problem = Reader::parse(&self.text).map_or_else(
            |problem| problem,
            |mut reader| {
                reader.choose(self.variant.as_deref());
                reader.problem_at(path, message, help)
            },
        );
        self.error(vec![problem])
    }

    /// The file as one that cannot be built.
    fn error(&self, problems: Vec<Problem>) -> ModelError {
        ModelError {
            file: self.file.clone(),
            text: self.text.clone(),
            problems,
        }
    }
}

/// What a sub-assembly stands on or is measured from.
const NEEDS: [(&str, &str); 8] = [
    ("smokebox", "boiler"),
    ("firebox", "boiler"),
    ("dome", "boiler"),
    ("handrails", "boiler"),
    ("chimney", "smokebox"),
    ("safety_valves", "boiler"),
    ("saddle_tank", "boiler"),
    ("pannier_tanks", "boiler"),
];

/// Reads a sub-assembly that the file may leave out.
fn part<T>(reader: &Reader<'_>, name: &str, read: fn(&Reader<'_>) -> T) -> Option<T> {
    reader.has(name).then(|| read(reader))
}

fn refuse_lonely_parts(reader: &Reader<'_>) {
    for (part, needed) in NEEDS {
        if reader.has(part) && !reader.has(needed) {
            reader.problem(
                part,
                format!("[{part}] stands alone: the file has no [{needed}]"),
                format!("add [{needed}], from which [{part}] is measured, or leave [{part}] out"),
            );
        }
    }
}

/// A sub-assembly that is being built, or that one needs which is being built.
fn needed<T>(part: &Option<T>) -> &T {
    part.as_ref()
        .expect("absent parts are not built, and a file that lacks a needed one is refused")
}

fn text_of<'b>(file: &str, bytes: &'b [u8]) -> Result<&'b str, ModelError> {
    let holds = "a model file holds the dimensions of one engine or tender";
    let text = ModelError::text_of(file, bytes, MODEL_FILE_LIMIT, holds)?;
    if text.trim().is_empty() {
        return Err(ModelError::whole_file(
            file,
            "the file is empty",
            "`platework new NAME` writes a model file to start from",
        ));
    }
    Ok(text)
}

/// Scale and wheels: the override, else the file's own, else the usual.
fn read_scale(reader: &mut Reader<'_>, overrides: &Overrides) -> (Scale, WheelStandard) {
    let scales = Scale::ALL.map(Scale::word);
    let own = reader.word("scale", &scales, Scale::named);
    reader.own_scale = own.unwrap_or(Scale::Seven);
    if own.is_none() && overrides.scale.is_none() && overrides.wheels.is_none() {
        reader.word_default("scale", reader.own_scale.word(), "chosen, not sourced");
    }
    let all = WheelStandard::ALL.map(WheelStandard::word);
    let own_wheels = reader.word("wheels", &all, WheelStandard::named);
    reader.scale = overrides
        .scale
        .or(overrides.wheels.map(WheelStandard::scale))
        .unwrap_or(reader.own_scale);
    if let Some(wheels) = overrides.wheels {
        if wheels.scale() != reader.scale {
            reader.problem(
                "wheels",
                format!(
                    "{} wheels are not made for {}",
                    wheels.word(),
                    reader.scale.word()
                ),
                format!("choose among {}", wheels_of(reader.scale)),
            );
        }
        return (reader.scale, wheels);
    }
    let wheels = match own_wheels {
        Some(wheels) if wheels.scale() == reader.scale => wheels,
        Some(wheels) if reader.scale == reader.own_scale => {
            reader.problem(
                "wheels",
                format!(
                    "{} wheels are not made for {}",
                    wheels.word(),
                    reader.scale.word()
                ),
                format!("choose among {}", wheels_of(reader.scale)),
            );
            wheels
        }
        // The file names none, or those of the other scale.
        _ => {
            let usual = reader.scale.usual_wheels();
            reader.word_default("wheels", usual.word(), "the usual ones of the scale");
            usual
        }
    };
    (reader.scale, wheels)
}

fn wheels_of(scale: Scale) -> String {
    let words: Vec<&str> = WheelStandard::ALL
        .into_iter()
        .filter(|wheels| wheels.scale() == scale)
        .map(WheelStandard::word)
        .collect();
    words.join(", ")
}
