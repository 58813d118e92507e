//! Empty files to write readings into.

use body::{Instrument, MeasuringPoint, Model};

/// An empty table of readings, a row a place, with what should be found beside it.
pub fn empty_readings_csv(model: &Model, points: &[MeasuringPoint]) -> String {
    let mut text = format!(
        "# {}, {} scale: readings of the finished model. Two or three of each place say how well they repeat.\n\
         # A row without a reading is left out. unit: mm or in. instrument: {}.\n\
         # error: within which a reading lies of the true length, if the maker says. Columns after it are for you to read.\n\
         id,reading,reading_2,reading_3,unit,instrument,error,place,model_mm,plus_minus_mm,full_size\n",
        comment(&model.title),
        model.scale.word(),
        instruments(),
    );
    for point in points {
        let full_size = point.full_size(model.scale.mm_per_foot()).words();
        let row = format!(
            "{},,,,mm,{},,{},{:.2},{:.2},{}\n",
            point.id,
            point.instrument.word(),
            quoted(&point.title),
            point.mm(),
            point.tolerance,
            quoted(&full_size),
        );
        text.push_str(&row);
    }
    text
}

/// An empty list of readings as TOML, a key a place, with what should be found beside it.
pub fn empty_readings_toml(model: &Model, points: &[MeasuringPoint]) -> String {
    let mut text = format!(
        "# {}, {} scale: readings of the finished model. Two or three of each place say how well they repeat.\n\
         # Write them between the brackets: [225.1, 225.15]; a place without a reading is left out.\n\
         # Taken otherwise:  {{ readings = [8.86], unit = \"in\", instrument = \"rule\", error = 0.02 }}\n\n\
         unit = \"mm\"\n\n\
         # Within which your own instruments are right, if their makers say:\n\
         # [instruments]\n",
        comment(&model.title),
        model.scale.word(),
    );
    for instrument in Instrument::ALL {
        let row = format!(
            "# {} = {}\n",
            instrument.word(),
            instrument.limit_of_error()
        );
        text.push_str(&row);
    }
    text.push_str("\n[readings]\n");
    let longest = points.iter().map(|own| own.id.len()).max().unwrap_or(0);
    for point in points {
        let row = format!(
            "{:longest$} = [] # {:.2} ± {:.2}, {}: {}\n",
            point.id,
            point.mm(),
            point.tolerance,
            point.instrument.word(),
            comment(&point.title),
        );
        text.push_str(&row);
    }
    text
}

fn instruments() -> String {
    let words: Vec<&str> = Instrument::ALL.iter().map(|own| own.word()).collect();
    words.join(", ")
}

/// Words that stay on the line of a comment.
fn comment(text: &str) -> String {
    text.chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect()
}

/// A field of the table, between quotes where it needs them.
fn quoted(text: &str) -> String {
    let text = comment(text);
    if text.contains([',', ';', '"']) {
        return format!("\"{}\"", text.replace('"', "\"\""));
    }
    text
}
