//! Sheets for the builder, made on demand.

use std::collections::BTreeMap;

use body::{Order, SheetPaper};
use export::SheetSource;

use crate::{WorkError, Workshop};

/// A sheet that a model has.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetEntry {
    /// Its name: `forming-boiler-wrapper`, `parts`.
    pub id: String,
    /// Its name in words.
    pub title: String,
    /// Endings of its files, the PDF first.
    pub endings: &'static [&'static str],
}

/// What the names of forming sheets begin with.
const FORMING: &str = "forming-";

impl Workshop {
    /// The sheets of the model.
    pub fn sheets(&self) -> Vec<SheetEntry> {
        let entry = |id: String, title: String, endings| SheetEntry { id, title, endings };
        let mut list = Vec::new();
        for plate in export::formed_plates(self.body()) {
            let title = format!("Forming: {}", plate.title);
            list.push(entry(format!("{FORMING}{}", plate.id), title, &["pdf"]));
        }
        list.push(entry(
            "parts".to_owned(),
            "List of parts".to_owned(),
            &["pdf", "csv"],
        ));
        list.push(entry(
            "measuring".to_owned(),
            "Measuring sheet".to_owned(),
            &["pdf"],
        ));
        list
    }

    /// A file of a sheet, on the model's own paper unless another is asked for.
    ///
    /// # Errors
    ///
    /// [`WorkError::NoSheet`] for a name that is none; errors of what the sheet shows.
    pub fn sheet(
        &self,
        id: &str,
        ending: &str,
        paper: Option<SheetPaper>,
    ) -> Result<Vec<u8>, WorkError> {
        let order = Order::of(self.body());
        let source = SheetSource {
            model: self.model(),
            body: self.body(),
            order: &order,
        };
        let own = self.model().sheets;
        let paper_or = |usual: SheetPaper| paper.unwrap_or(usual);
        match (id, ending) {
            (id, "pdf") if id.starts_with(FORMING) => {
                let plate = &id[FORMING.len()..];
                let plate = export::formed_plates(self.body())
                    .into_iter()
                    .find(|own| own.id == plate)
                    .ok_or_else(|| self.no_sheet(id))?;
                let flat = self.flat(&plate.id)?;
                Ok(export::forming_pdf(
                    source,
                    plate,
                    &flat,
                    paper_or(own.paper),
                )?)
            }
            ("measuring", "pdf") => Ok(export::measuring_pdf(source, paper_or(own.paper))?),
            ("parts", "pdf" | "csv") => {
                let places = self.fret_places()?;
                let place = |id: &str| places.get(id).copied();
                if ending == "csv" {
                    return Ok(export::parts_csv(source, &place).into_bytes());
                }
                Ok(export::parts_pdf(source, &place, paper_or(own.paper))?)
            }
            _ => Err(self.no_sheet(id)),
        }
    }

    /// Sheet of the fret and number on it of each plate.
    fn fret_places(&self) -> Result<BTreeMap<String, (usize, usize)>, WorkError> {
        let fret = self.fret()?;
        let plates = fret.sheets.iter().flat_map(|sheet| {
            let own = sheet.plates.iter();
            own.map(|plate| (plate.drawing.plate.clone(), (sheet.number, plate.number)))
        });
        Ok(plates.collect())
    }

    fn no_sheet(&self, id: &str) -> WorkError {
        WorkError::NoSheet { id: id.to_owned() }
    }
}
