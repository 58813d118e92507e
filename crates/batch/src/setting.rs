//! A key of a model file set to a value.

use body::{
    Dimension, Field, FieldKind, Model, ModelError, Overrides, Scale, WheelStandard,
    parse_dimension,
};
use serde::Serialize;
use server::nearest;

use crate::{ModelSource, SweepError};

/// A key and the value that is set at it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Setting {
    /// The key: `boiler.pitch`.
    pub key: String,
    /// The value as the model file writes it, without quotes.
    pub value: String,
}

/// Keys that are no text in the file but how it is read: another scale has wheels of its own.
const READINGS: [&str; 3] = ["scale", "wheels", "variant"];

impl Setting {
    /// Whether it says how the file is read, and leaves its text.
    pub(crate) fn is_reading(&self) -> bool {
        READINGS.contains(&self.key.as_str())
    }

    /// Whether the value of one of [`READINGS`] is one that the file can be read with.
    pub(crate) fn check_reading(&self, source: &ModelSource) -> Result<(), SweepError> {
        match self.key.as_str() {
            "scale" => self.check_word(source, &Scale::ALL.map(Scale::word)),
            "wheels" => self.check_word(source, &WheelStandard::ALL.map(WheelStandard::word)),
            _ if self.value.is_empty() => Ok(()),
            _ => {
                // A file that cannot be read has a row that says why.
                let model = Model::read(&source.file(), &source.bytes, &Overrides::default());
                let Ok(model) = model else { return Ok(()) };
                let names: Vec<&str> = model.variants.iter().map(|own| own.name.as_str()).collect();
                if names.is_empty() {
                    return Err(self.refused(
                        source,
                        "the file has no variants",
                        "[variants.NAME] in the file makes one",
                    ));
                }
                self.check_word(source, &names)
            }
        }
    }

    fn check_word(&self, source: &ModelSource, words: &[&str]) -> Result<(), SweepError> {
        if words.contains(&self.value.as_str()) {
            return Ok(());
        }
        let wanted = format!("one of {} is wanted", words.join(", "));
        Err(self.refused(source, "this word is not known here", wanted))
    }

    fn refused(
        &self,
        source: &ModelSource,
        why: impl Into<String>,
        wanted: impl Into<String>,
    ) -> SweepError {
        SweepError::Value {
            file: source.file(),
            key: self.key.clone(),
            value: self.value.clone(),
            why: why.into(),
            wanted: wanted.into(),
        }
    }

    /// Whether the key is one of those that the file can have, read in this way, and the value one of its kind.
    pub(crate) fn check_value(
        &self,
        source: &ModelSource,
        overrides: &Overrides,
        fields: &[Field],
    ) -> Result<(), SweepError> {
        let Some(field) = fields.iter().find(|own| own.path == self.key) else {
            let names = fields.iter().map(|own| own.path.as_str());
            let when = [
                overrides.scale.map(|own| format!("scale={}", own.word())),
                overrides.wheels.map(|own| format!("wheels={}", own.word())),
                overrides
                    .variant
                    .as_ref()
                    .map(|own| format!("variant={own}")),
            ];
            let when: Vec<String> = when.into_iter().flatten().collect();
            return Err(SweepError::Key {
                file: source.file(),
                key: self.key.clone(),
                when: match when.len() {
                    0 => String::new(),
                    _ => format!(" with {}", when.join(" and ")),
                },
                near: nearest(&self.key, READINGS.into_iter().chain(names)),
            });
        };
        match &field.kind {
            FieldKind::Word(words) => {
                let words: Vec<&str> = words.iter().map(String::as_str).collect();
                self.check_word(source, &words)
            }
            kind => match wrong(kind, &self.value) {
                Some((why, wanted)) => Err(self.refused(source, why, wanted)),
                None => Ok(()),
            },
        }
    }
}

/// Why a value cannot stand at a key of a kind, whatever else the file says, and what would be right.
fn wrong(kind: &FieldKind, value: &str) -> Option<(String, String)> {
    match *kind {
        FieldKind::Length { zero } => {
            let wanted = "write feet and inches of the full-size engine like 4ft 8 1/2in, or 12.4mm on the model";
            let figure = match parse_dimension(value) {
                Ok(Dimension::FullSize(length)) => length.in_inches(),
                Ok(Dimension::Model(mm)) => mm,
                Err(why) => return Some((format!("this is no length: {why}"), wanted.to_owned())),
            };
            let fits = figure > 0.0 || (zero && figure == 0.0);
            let least = if zero { "zero or above" } else { "above zero" };
            (!fits).then(|| {
                (
                    "this cannot be".to_owned(),
                    format!("a length {least} is wanted"),
                )
            })
        }
        FieldKind::ModelLength { least, most } => {
            let fits = matches!(parse_dimension(value), Ok(Dimension::Model(mm)) if (least..=most).contains(&mm));
            (!fits).then(|| {
                (
                    "this cannot be".to_owned(),
                    format!("{least}mm to {most}mm of the model is wanted"),
                )
            })
        }
        FieldKind::Number { least, most } => {
            let fits = value
                .parse()
                .is_ok_and(|n: f64| (least..=most).contains(&n));
            (!fits).then(|| {
                (
                    "this cannot be".to_owned(),
                    format!("a plain number from {least} to {most} is wanted"),
                )
            })
        }
        FieldKind::Word(_) | FieldKind::Text => None,
    }
}

/// How a file is read under settings.
///
/// # Errors
///
/// A [`ModelError`] for a scale or wheels that there are not.
pub(crate) fn overrides_of(
    source: &ModelSource,
    settings: &[Setting],
) -> Result<Overrides, ModelError> {
    let mut overrides = Overrides::default();
    for own in settings {
        let value = own.value.as_str();
        let unknown = || {
            refusal(
                source,
                &own.key,
                format!("{value} is not known here"),
                "docs/model-file.md lists the words",
            )
        };
        match own.key.as_str() {
            "scale" => overrides.scale = Some(Scale::named(value).ok_or_else(unknown)?),
            "wheels" => overrides.wheels = Some(WheelStandard::named(value).ok_or_else(unknown)?),
            "variant" if !value.is_empty() => overrides.variant = Some(value.to_owned()),
            _ => {}
        }
    }
    Ok(overrides)
}

/// A file that cannot be built because of what is set at a key.
fn refusal(
    source: &ModelSource,
    key: &str,
    message: impl Into<String>,
    help: impl Into<String>,
) -> ModelError {
    let mut error = ModelError::whole_file(&source.file(), message, help);
    for problem in &mut error.problems {
        problem.path = key.to_owned();
    }
    error
}

/// The text of a model file with the settings written into it, where its own value stands or would stand.
///
/// # Errors
///
/// A [`ModelError`] for a key that the file cannot have under the settings before it, or leaves no room for.
pub(crate) fn written(source: &ModelSource, settings: &[Setting]) -> Result<Vec<u8>, ModelError> {
    let overrides = overrides_of(source, settings)?;
    let mut bytes = source.bytes.clone();
    for own in settings.iter().filter(|own| !own.is_reading()) {
        let fields = Model::fields(&source.file(), &bytes, &overrides)?;
        let field = fields.into_iter().find(|field| field.path == own.key);
        let Some(field) = field else {
            return Err(refusal(
                source,
                &own.key,
                "the file can have no such key with the settings before it",
                "docs/model-file.md says what belongs to what",
            ));
        };
        let number = own.value.parse::<f64>().ok();
        let value = match (&field.kind, number.filter(|number| number.is_finite())) {
            (FieldKind::Number { .. }, Some(number)) => number.to_string(),
            // A text of JSON is one of TOML.
            _ => serde_json::Value::from(own.value.as_str()).to_string(),
        };
        let (at, new) = match (field.span, field.opening) {
            (Some(span), _) => (span, value),
            (None, Some(opening)) => (
                opening.at..opening.at,
                format!("{}{value}{}", opening.before, opening.after),
            ),
            (None, None) => {
                let help = format!("write {} into the file once", own.key);
                let message = "the file leaves no room for this key";
                return Err(refusal(source, &own.key, message, help));
            }
        };
        bytes.splice(at, new.into_bytes());
    }
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use std::path::PathBuf;

    use super::*;

    const CLASS_B: &str = include_str!("../../../demo-models/class-b.toml");

    fn source(text: &str) -> ModelSource {
        ModelSource {
            path: PathBuf::from("class-b.toml"),
            bytes: text.as_bytes().to_vec(),
        }
    }

    fn settings(of: &[(&str, &str)]) -> Vec<Setting> {
        let own = |(key, value): &(&str, &str)| Setting {
            key: (*key).to_owned(),
            value: (*value).to_owned(),
        };
        of.iter().map(own).collect()
    }

    /// What is set is what the model is read with, whether the file had the key or not; the rest stays.
    #[test]
    fn settings_are_what_the_model_is_read_with() {
        let source = source(CLASS_B);
        let set = settings(&[
            ("boiler.pitch", "7ft 3in"),
            ("axles[1].x", "13ft 1in"),
            ("boiler.band_width", "1 3/4in"),
            ("firebox.backhead_slope_deg", "7.5"),
            ("cab.roof.top", "12ft 3in"),
            ("wheels", "p4"),
        ]);
        let text = written(&source, &set).unwrap();
        let model =
            Model::read("class-b.toml", &text, &overrides_of(&source, &set).unwrap()).unwrap();
        let before = Model::read(
            "class-b.toml",
            &source.bytes,
            &overrides_of(&source, &set).unwrap(),
        )
        .unwrap();
        assert_eq!(model.wheels, WheelStandard::named("p4").unwrap());
        let inches = |model: &Model, path: &str| {
            let own = model.inputs.iter().find(|own| own.path == path).unwrap();
            own.full_size.unwrap().in_inches()
        };
        assert_eq!(inches(&model, "boiler.pitch"), 87.0);
        assert_eq!(inches(&model, "axles[1].x"), 157.0);
        assert_eq!(inches(&model, "boiler.band_width"), 1.75);
        assert_eq!(inches(&model, "cab.roof.top"), 147.0);
        assert!(
            String::from_utf8(text)
                .unwrap()
                .contains("backhead_slope_deg = 7.5")
        );
        let others = |model: &Model| -> Vec<(String, String)> {
            let all = model
                .inputs
                .iter()
                .filter(|own| set.iter().all(|s| s.key != own.path));
            all.map(|own| (own.path.clone(), format!("{:?}", own.origin)))
                .collect()
        };
        assert_eq!(others(&model), others(&before));
    }

    #[test]
    fn a_variant_is_set_where_it_gives_the_value() {
        let source = source(&format!(
            "{CLASS_B}\n[variants.late.boiler]\npitch = \"7ft 6in\"\n"
        ));
        let set = settings(&[("variant", "late"), ("boiler.pitch", "7ft 7in")]);
        let text = String::from_utf8(written(&source, &set).unwrap()).unwrap();
        assert!(text.contains("pitch = \"7ft 5in\"") && text.ends_with("pitch = \"7ft 7in\"\n"));
    }

    fn check(own: &Setting, source: &ModelSource) -> Result<(), SweepError> {
        if own.is_reading() {
            return own.check_reading(source);
        }
        let overrides = Overrides::default();
        let fields = Model::fields("class-b.toml", &source.bytes, &overrides).unwrap();
        own.check_value(source, &overrides, &fields)
    }

    #[test]
    fn wrong_keys_and_values_are_told_with_what_would_be_right() {
        let source = source(CLASS_B);
        for (key, value, says, help) in [
            (
                "boiler.pich",
                "7ft",
                "no key \"boiler.pich\"",
                "boiler.pitch",
            ),
            ("weels", "p4", "no key \"weels\"", "wheels"),
            ("metal.4mm.boiler", "0.2mm", "no key", "metal.7mm.boiler"),
            ("boiler.pitch", "7", "no unit", "feet and inches"),
            ("boiler.pitch", "-7ft", "cannot be", "above zero"),
            ("boiler.taper", "steep", "not known", "flat-bottom"),
            ("metal.7mm.boiler", "1in", "cannot be", "of the model"),
            ("metal.7mm.boiler", "90mm", "cannot be", "of the model"),
            (
                "firebox.backhead_slope_deg",
                "21",
                "cannot be",
                "from 0 to 20",
            ),
            (
                "firebox.backhead_slope_deg",
                "1in",
                "cannot be",
                "from 0 to 20",
            ),
            ("wheels", "p5", "not known", "p4"),
            ("scale", "4", "not known", "4mm"),
            ("variant", "late", "no variants", "[variants.NAME]"),
        ] {
            let own = &settings(&[(key, value)])[0];
            let error = check(own, &source).unwrap_err();
            let (said, right) = (error.to_string(), error.help().unwrap_or_default());
            assert!(said.contains(says), "{key}={value}: {said}");
            assert!(right.contains(help), "{key}={value}: {right}");
        }
        for (key, value) in [
            ("boiler.pitch", "7ft1in"),
            ("firebox.backhead_slope_deg", "3"),
            ("wheels", "p4"),
        ] {
            check(&settings(&[(key, value)])[0], &source).unwrap();
        }
    }
}
