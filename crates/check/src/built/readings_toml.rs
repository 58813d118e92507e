//! Readings as TOML: a key a place.

use super::number::decimal;
use super::readings::{Reader, Reading, ReadingUnit};
use body::Instrument;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// What the file looks like.
const USUAL: &str = "readings stand under  [readings]  as  over-beams = [225.1, 225.15];  unit  and  [instruments]  may stand beside it";

/// What may be said of the readings of one place.
const OF_ONE: &str = "write a number, a list of numbers, or  { readings = [8.86], unit = \"in\", instrument = \"rule\", error = 0.02 }";

/// How the readings of a place are to be taken.
#[derive(Clone, Copy, Debug)]
struct Taken {
    unit: ReadingUnit,
    instrument: Option<Instrument>,
    limit: Option<f64>,
}

/// Reads the file.
pub(super) fn read(reader: &mut Reader<'_>) {
    let text = reader.text;
    let root = match DeTable::parse(text) {
        Ok(root) => root,
        Err(error) => {
            let span = error.span().unwrap_or(0..0);
            let message = format!("this is not TOML: {}", error.message().trim());
            return reader.wrong("", span, message, USUAL);
        }
    };
    let mut unit = ReadingUnit::Millimetre;
    let mut limits: Vec<(Instrument, f64)> = Vec::new();
    let table = root.get_ref();
    if let Some((_, own)) = table.iter().find(|(key, _)| key.get_ref() == "unit") {
        unit = unit_of(reader, "unit", own).unwrap_or(unit);
    }
    for (key, value) in table {
        match (key.get_ref().as_ref(), value.get_ref()) {
            ("unit" | "readings", _) => {}
            ("instruments", DeValue::Table(own)) => {
                limits = instruments(reader, own, unit);
            }
            (name, _) => {
                let message = format!("there is no table or key {name} here");
                reader.wrong(name, key.span(), message, USUAL);
            }
        }
    }
    let Some((key, value)) = table.iter().find(|(key, _)| key.get_ref() == "readings") else {
        if reader.is_right() {
            reader.wrong("", 0..0, "the file has no [readings]", USUAL);
        }
        return;
    };
    let DeValue::Table(own) = value.get_ref() else {
        return reader.wrong("readings", key.span(), "readings is a table", USUAL);
    };
    for (key, value) in own {
        let id = key.get_ref().as_ref();
        if reader.knows(id, key.span()) && !place(reader, id, value, unit, &limits) {
            return;
        }
    }
}

/// Limits of error of the builder's own instruments.
fn instruments(
    reader: &mut Reader<'_>,
    table: &DeTable<'_>,
    unit: ReadingUnit,
) -> Vec<(Instrument, f64)> {
    let mut limits = Vec::new();
    for (key, value) in table {
        let word = key.get_ref().as_ref();
        let Some(instrument) = reader.instrument("instruments", word, key.span()) else {
            continue;
        };
        let path = format!("instruments.{word}");
        let Some(number) = number(reader, &path, value) else {
            continue;
        };
        let limit = reader.limit(&path, number * unit.mm(), value.span());
        limits.extend(limit.map(|limit| (instrument, limit)));
    }
    limits
}

fn unit_of(
    reader: &mut Reader<'_>,
    path: &str,
    value: &Spanned<DeValue<'_>>,
) -> Option<ReadingUnit> {
    let named = match value.get_ref() {
        DeValue::String(text) => ReadingUnit::named(text),
        _ => None,
    };
    if named.is_none() {
        let message = "this is no unit that is read here";
        reader.wrong(path, value.span(), message, "\"mm\" or \"in\" is wanted");
    }
    named
}

/// Takes in the readings of a place; false if there are too many.
fn place(
    reader: &mut Reader<'_>,
    id: &str,
    value: &Spanned<DeValue<'_>>,
    unit: ReadingUnit,
    limits: &[(Instrument, f64)],
) -> bool {
    let mut taken = Taken {
        unit,
        instrument: None,
        limit: None,
    };
    let mut readings = Some(value);
    if let DeValue::Table(table) = value.get_ref() {
        readings = None;
        let mut limit = None;
        for (key, value) in table {
            match key.get_ref().as_ref() {
                "readings" => readings = Some(value),
                "unit" => match unit_of(reader, id, value) {
                    Some(unit) => taken.unit = unit,
                    None => return true,
                },
                "instrument" => {
                    let word = match value.get_ref() {
                        DeValue::String(text) => text.as_ref(),
                        _ => "",
                    };
                    taken.instrument = reader.instrument(id, word, value.span());
                    if taken.instrument.is_none() {
                        return true;
                    }
                }
                "error" => limit = Some(value),
                name => {
                    let message = format!("readings of a place have no {name}");
                    reader.wrong(id, key.span(), message, OF_ONE);
                    return true;
                }
            }
        }
        if let Some(value) = limit {
            let Some(number) = number(reader, id, value) else {
                return true;
            };
            taken.limit = reader.limit(id, number * taken.unit.mm(), value.span());
            if taken.limit.is_none() {
                return true;
            }
        }
    }
    let Some(readings) = readings else {
        reader.wrong(id, value.span(), "there are no readings here", OF_ONE);
        return true;
    };
    match readings.get_ref() {
        DeValue::Array(all) => all.iter().all(|own| one(reader, id, own, taken, limits)),
        _ => one(reader, id, readings, taken, limits),
    }
}

/// Takes in one reading; false if there are too many.
fn one(
    reader: &mut Reader<'_>,
    id: &str,
    value: &Spanned<DeValue<'_>>,
    taken: Taken,
    limits: &[(Instrument, f64)],
) -> bool {
    let Some(number) = number(reader, id, value) else {
        return true;
    };
    let span: Range<usize> = value.span();
    // The limit of the file's own instrument is looked up when it is known which one is usual for the place.
    let own = |instrument: Instrument| {
        let mut all = limits.iter();
        all.find(|(own, _)| *own == instrument)
            .map(|(_, limit)| *limit)
    };
    let instrument = taken.instrument.unwrap_or(reader.usual(id));
    let reading = Reading {
        mm: number * taken.unit.mm(),
        instrument: taken.instrument,
        limit: taken.limit.or_else(|| own(instrument)),
        line: body::line_and_column(reader.text, span.start).0,
    };
    reader.take(id, reading, span)
}

/// A decimal number.
fn number(reader: &mut Reader<'_>, path: &str, value: &Spanned<DeValue<'_>>) -> Option<f64> {
    let found = match value.get_ref() {
        DeValue::Integer(own) if own.radix() == 10 => {
            decimal(&own.as_str().replace('_', ""), false)
        }
        DeValue::Float(own) => decimal(&own.as_str().replace('_', ""), false),
        _ => Err(OF_ONE),
    };
    match found {
        Ok(number) => Some(number),
        Err(help) => {
            let shown: String = reader.text[value.span()].chars().take(40).collect();
            reader.wrong(path, value.span(), format!("{shown} is no reading"), help);
            None
        }
    }
}
