//! Readings as a table: one row a line, so that every fault has its line and column.

use super::number::decimal;
use super::readings::{MAX_READING_ROWS, Reader, Reading, ReadingUnit};
use std::ops::Range;

/// What the first row looks like.
const HEAD: &str =
    "the first row names the columns:  id,reading  and perhaps  reading_2, unit, instrument, error";

/// Columns for people, which the empty table has and which say nothing that is not known.
const FOR_PEOPLE: [&str; 4] = ["place", "model_mm", "plus_minus_mm", "full_size"];

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Column {
    Id,
    Reading,
    Unit,
    Instrument,
    Error,
    ForPeople,
}

/// A field of a row: its text without quotes, and where it stands.
#[derive(Clone, Debug)]
struct Field {
    text: String,
    span: Range<usize>,
}

/// Reads the table.
pub(super) fn read(reader: &mut Reader<'_>) {
    let text = reader.text;
    let mut table: Option<(char, Vec<Column>)> = None;
    let mut rows = 0;
    for span in lines(text) {
        let line = &text[span.clone()];
        let is_first = table.is_none();
        if line.trim().is_empty() || line.trim_start().starts_with('#') {
            continue;
        }
        // Some spreadsheets say on a line of its own what stands between the columns.
        if is_first && line.trim().to_ascii_lowercase().starts_with("sep=") {
            continue;
        }
        let separator = table.as_ref().map_or_else(|| separator(line), |own| own.0);
        let Some(fields) = fields(reader, &span, separator) else {
            continue;
        };
        let Some((_, columns)) = &table else {
            match columns(reader, &fields, span.clone()) {
                Some(columns) => table = Some((separator, columns)),
                None => return,
            }
            continue;
        };
        rows += 1;
        if rows > MAX_READING_ROWS {
            reader.wrong(
                "",
                span,
                format!("the table has more than {MAX_READING_ROWS} rows"),
                "a few readings of each place are enough",
            );
            return;
        }
        let columns = columns.clone();
        row(reader, &columns, &fields, separator);
    }
    if table.is_none() {
        reader.wrong("", 0..0, "the table has no first row", HEAD);
    }
}

/// Spans of the lines, however they end, without a byte-order mark.
fn lines(text: &str) -> Vec<Range<usize>> {
    let mut start = if text.starts_with('\u{FEFF}') { 3 } else { 0 };
    let mut lines = Vec::new();
    let bytes = text.as_bytes();
    let mut i = start;
    while i < bytes.len() {
        let ends = match bytes[i] {
            b'\r' if bytes.get(i + 1) == Some(&b'\n') => 2,
            b'\r' | b'\n' => 1,
            _ => 0,
        };
        if ends > 0 {
            lines.push(start..i);
            start = i + ends;
        }
        i += ends.max(1);
    }
    lines.push(start..bytes.len());
    lines
}

/// What stands between the columns: a semicolon, a tabulator or a comma.
fn separator(line: &str) -> char {
    [';', '\t']
        .into_iter()
        .find(|own| line.contains(*own))
        .unwrap_or(',')
}

/// The fields of a line; a quote doubled within quotes is one.
fn fields(reader: &mut Reader<'_>, line: &Range<usize>, separator: char) -> Option<Vec<Field>> {
    let text = &reader.text[line.clone()];
    let mut fields = Vec::new();
    let mut chars = text.char_indices().peekable();
    let mut own = String::new();
    let (mut start, mut quoted, mut was_quoted) = (0, None, false);
    while let Some((i, c)) = chars.next() {
        if let Some(_open) = quoted {
            if c != '"' {
                own.push(c);
            } else if chars.next_if(|(_, next)| *next == '"').is_some() {
                own.push('"');
            } else {
                quoted = None;
            }
        } else if c == '"' && own.trim().is_empty() && !was_quoted {
            own.clear();
            (quoted, was_quoted) = (Some(i), true);
        } else if c == separator {
            fields.push(field(&own, line.start + start..line.start + i));
            own.clear();
            (start, was_quoted) = (i + c.len_utf8(), false);
        } else {
            own.push(c);
        }
    }
    if let Some(open) = quoted {
        let span = line.start + open..line.end;
        reader.wrong(
            "",
            span,
            "these quotes are not closed on their line",
            "a row is one line; close the quotes, or leave them out",
        );
        return None;
    }
    fields.push(field(&own, line.start + start..line.end));
    Some(fields)
}

fn field(text: &str, span: Range<usize>) -> Field {
    Field {
        text: text.trim().to_owned(),
        span,
    }
}

/// What each column of the first row holds.
fn columns(reader: &mut Reader<'_>, fields: &[Field], line: Range<usize>) -> Option<Vec<Column>> {
    let mut columns = Vec::new();
    let mut is_right = true;
    for own in fields {
        let word = own.text.to_ascii_lowercase().replace(' ', "_");
        let number = word.strip_prefix("reading_").map(str::as_bytes);
        let is_numbered =
            number.is_some_and(|own| !own.is_empty() && own.iter().all(u8::is_ascii_digit));
        let column = match word.as_str() {
            "id" => Column::Id,
            "reading" => Column::Reading,
            _ if is_numbered => Column::Reading,
            "unit" => Column::Unit,
            "instrument" => Column::Instrument,
            "error" => Column::Error,
            // A column without a name may hold nothing.
            "" => Column::ForPeople,
            word if FOR_PEOPLE.contains(&word) => Column::ForPeople,
            _ => {
                let shown: String = own.text.chars().take(40).collect();
                reader.wrong(
                    "",
                    own.span.clone(),
                    format!("there is no column {shown:?}"),
                    HEAD,
                );
                is_right = false;
                continue;
            }
        };
        let is_one = matches!(
            column,
            Column::Id | Column::Unit | Column::Instrument | Column::Error
        );
        if is_one && columns.contains(&column) {
            reader.wrong(
                "",
                own.span.clone(),
                format!("the column {} stands twice", own.text),
                HEAD,
            );
            is_right = false;
        }
        columns.push(column);
    }
    for (column, word) in [(Column::Id, "id"), (Column::Reading, "reading")] {
        if is_right && !columns.contains(&column) {
            let message = format!("the table has no column {word}");
            reader.wrong("", line.clone(), message, HEAD);
            is_right = false;
        }
    }
    is_right.then_some(columns)
}

/// Takes in the readings of a row.
fn row(reader: &mut Reader<'_>, columns: &[Column], fields: &[Field], separator: char) {
    if let Some(over) = fields[columns.len().min(fields.len())..]
        .iter()
        .find(|own| !own.text.is_empty())
    {
        reader.wrong(
            "",
            over.span.clone(),
            format!("the row has more fields than the {} columns", columns.len()),
            "decimal commas need semicolons between the columns",
        );
        return;
    }
    let of = |wanted: Column| {
        let all = columns.iter().zip(fields);
        all.filter(move |(column, own)| **column == wanted && !own.text.is_empty())
            .map(|(_, own)| own)
    };
    let readings: Vec<&Field> = of(Column::Reading).collect();
    let Some(id) = of(Column::Id).next() else {
        if let Some(own) = readings.first() {
            reader.wrong(
                "",
                own.span.clone(),
                "this reading is of no place",
                "name the place under id",
            );
        }
        return;
    };
    // Looked at on rows without a reading too: a name misspelt there is one misspelt later.
    if !reader.knows(&id.text, id.span.clone()) {
        return;
    }
    let path = id.text.as_str();
    let mut unit = ReadingUnit::Millimetre;
    if let Some(own) = of(Column::Unit).next() {
        match ReadingUnit::named(&own.text) {
            Some(named) => unit = named,
            None => {
                let shown: String = own.text.chars().take(40).collect();
                return reader.wrong(
                    path,
                    own.span.clone(),
                    format!("{shown:?} is no unit that is read here"),
                    "mm or in is wanted; decimal commas need semicolons between the columns",
                );
            }
        }
    }
    let mut instrument = None;
    if let Some(own) = of(Column::Instrument).next() {
        instrument = reader.instrument(path, &own.text, own.span.clone());
        if instrument.is_none() {
            return;
        }
    }
    let comma = separator != ',';
    let mut limit = None;
    if let Some(own) = of(Column::Error).next() {
        let text = own.text.trim_start_matches('±').trim_start();
        match decimal(text, comma) {
            Ok(number) => limit = reader.limit(path, number * unit.mm(), own.span.clone()),
            Err(help) => {
                let message = format!("{text:?} is no limit of error");
                return reader.wrong(path, own.span.clone(), message, help);
            }
        }
        if limit.is_none() {
            return;
        }
    }
    for own in readings {
        let number = match decimal(&own.text, comma) {
            Ok(number) => number,
            Err(help) => {
                let shown: String = own.text.chars().take(40).collect();
                let message = format!("{shown:?} is no reading");
                reader.wrong(path, own.span.clone(), message, help);
                continue;
            }
        };
        let reading = Reading {
            mm: number * unit.mm(),
            instrument,
            limit,
            line: body::line_and_column(reader.text, own.span.start).0,
        };
        if !reader.take(path, reading, own.span.clone()) {
            return;
        }
    }
}
