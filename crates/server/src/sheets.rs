//! Sheets for the builder, made on demand.

use std::collections::BTreeMap;

use body::{Order, SheetPaper};
use export::{ArrangementViews, AssemblyPicture, PicturePart, SectionView, SheetSource};
use geom::Vector3;
use rayon::prelude::*;
use solid::{LineView, Mesh, ViewFrame};

use crate::workshop::in_order;
use crate::{WorkError, Workshop};

/// A sheet that a model has.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetEntry {
    /// Its name: `forming-boiler-wrapper`, `parts`.
    pub id: String,
    /// Its name in words.
    pub title: String,
    /// Endings of its files, the PDF first if it has one.
    pub endings: &'static [&'static str],
}

/// What the names of forming sheets begin with.
const FORMING: &str = "forming-";

/// Sheets that every model has.
const USUAL: [(&str, &str, &[&str]); 6] = [
    ("assembly", "Order of assembly", &["pdf"]),
    ("arrangement", "General arrangement", &["pdf", "svg", "dxf"]),
    (
        "sections",
        "Rear elevation and sections",
        &["pdf", "svg", "dxf"],
    ),
    ("parts", "List of parts", &["pdf", "csv"]),
    ("measuring", "Measuring sheet", &["pdf"]),
    ("readings", "Empty list of readings", &["csv", "toml"]),
];

/// A part by its name, its mesh, and how far it is moved (mm).
type MovedPart<'m> = (&'m str, &'m Mesh, Vector3);

/// From where pictures drawn apart are seen: before, to one side and above.
const EYE: [f64; 3] = [-1.0, -0.9, 0.8];

impl Workshop {
    /// The sheets of the model.
    pub fn sheets(&self) -> Vec<SheetEntry> {
        let entry = |id: String, title: String, endings| SheetEntry { id, title, endings };
        let mut list = Vec::new();
        for plate in export::formed_plates(self.body()) {
            let title = format!("Forming: {}", plate.title);
            list.push(entry(format!("{FORMING}{}", plate.id), title, &["pdf"]));
        }
        for (id, title, endings) in USUAL {
            list.push(entry(id.to_owned(), title.to_owned(), endings));
        }
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
        let no_sheet = || WorkError::NoSheet { id: id.to_owned() };
        let known = self
            .sheets()
            .iter()
            .any(|own| own.id == id && own.endings.contains(&ending));
        if !known {
            return Err(no_sheet());
        }
        let order = Order::of(self.body());
        let source = SheetSource {
            model: self.model(),
            body: self.body(),
            order: &order,
        };
        let usual = self.model().sheets;
        let own_paper = paper.unwrap_or(usual.paper);
        let drawing_paper = paper.unwrap_or(usual.drawing_paper);
        if let Some(plate) = id.strip_prefix(FORMING) {
            let flat = self.flat(plate)?;
            let plate = self.plate(plate)?;
            return Ok(export::forming_pdf(source, plate, &flat, own_paper)?);
        }
        match id {
            "measuring" => Ok(export::measuring_pdf(source, own_paper)?),
            "readings" => {
                let (model, points) = (self.model(), self.measuring_points());
                let text = if ending == "toml" {
                    check::built::empty_readings_toml(model, &points)
                } else {
                    check::built::empty_readings_csv(model, &points)
                };
                Ok(text.into_bytes())
            }
            "parts" => {
                let places = self.fret_places()?;
                let place = |id: &str| places.get(id).copied();
                if ending == "csv" {
                    return Ok(export::parts_csv(source, &place).into_bytes());
                }
                Ok(export::parts_pdf(source, &place, own_paper)?)
            }
            "assembly" => {
                let places = self.fret_places()?;
                let place = |id: &str| places.get(id).copied();
                let pictures = self.assembly_pictures(&order)?;
                Ok(export::assembly_pdf(source, &pictures, &place, own_paper)?)
            }
            "arrangement" | "sections" => {
                let views = self.arrangement_views()?;
                let sheet = if id == "sections" {
                    export::sections_sheet(source, views, drawing_paper)
                } else {
                    export::arrangement_sheet(source, views, drawing_paper)
                };
                Ok(match ending {
                    "svg" => sheet.svg().into_bytes(),
                    "dxf" => sheet.dxf(),
                    _ => sheet.pdf()?,
                })
            }
            _ => Err(no_sheet()),
        }
    }

    /// All files of all sheets, by name.
    ///
    /// # Errors
    ///
    /// Those of [`Workshop::sheet`].
    pub fn all_sheets(
        &self,
        paper: Option<SheetPaper>,
    ) -> Result<Vec<(String, Vec<u8>)>, WorkError> {
        // What several sheets show is made before them. Made by one of them it would be made in parallel too, and
        // a thread that helps there can take up another sheet, which waits for what its own thread is making.
        self.fret()?;
        self.arrangement_views()?;
        let wanted: Vec<(String, &str)> = self
            .sheets()
            .into_iter()
            .flat_map(|sheet| {
                let id = sheet.id;
                sheet.endings.iter().map(move |own| (id.clone(), *own))
            })
            .collect();
        in_order(&wanted, |(id, ending)| {
            Ok::<_, WorkError>((format!("{id}.{ending}"), self.sheet(id, ending, paper)?))
        })
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

    /// The views of the general arrangement, without their cache.
    pub(crate) fn draw_arrangement(&self) -> Result<ArrangementViews, WorkError> {
        let meshes = self.meshes(false)?;
        let plates = meshes.plates.iter().map(|own| &own.mesh);
        let solids: Vec<(&Mesh, Vector3)> = plates
            .chain(meshes.fittings.iter().map(|own| &**own))
            .map(|mesh| (mesh, Vector3::zeros()))
            .collect();
        let places = body::section_places(self.model());
        let mut wanted = vec![
            (ViewFrame::side(), None),
            (ViewFrame::front(), None),
            (ViewFrame::plan(), None),
            (ViewFrame::rear(), None),
        ];
        let front = ViewFrame::front();
        for (_, x) in &places {
            wanted.push((front, Some(front.depth(Vector3::x() * *x))));
        }
        let mut views: Vec<LineView> = wanted
            .par_iter()
            .map(|(frame, cut)| solid::line_view(&solids, frame, *cut))
            .collect();
        let sections = views.split_off(4);
        let letters = 'A'..='Z';
        let sections = places.iter().zip(sections).zip(letters);
        let sections = sections.map(|(((place, x), view), letter)| SectionView {
            letter,
            place: (*place).to_owned(),
            x: *x,
            view,
        });
        let [side, front, plan, rear] = <[LineView; 4]>::try_from(views)
            .expect("four views were asked for beside the sections");
        Ok(ArrangementViews {
            side,
            front,
            plan,
            rear,
            sections: sections.collect(),
        })
    }

    /// The engine drawn apart, then each sub-assembly by itself.
    fn assembly_pictures(&self, order: &Order) -> Result<Vec<AssemblyPicture>, WorkError> {
        let meshes = self.meshes(false)?;
        let body = self.body();
        let frame = ViewFrame::from(Vector3::from(EYE));
        let apart: BTreeMap<String, Vector3> = solid::draw_apart(body, order)
            .into_iter()
            .map(|own| (own.id, own.by))
            .collect();
        let by = |id: &str| apart.get(id).copied().unwrap_or_else(Vector3::zeros);
        let plates = body.plates.iter().zip(&meshes.plates);
        let plates: Vec<(&str, &str, &Mesh)> = plates
            .map(|(plate, mesh)| (plate.id.as_str(), plate.assembly, &mesh.mesh))
            .collect();
        let fittings = body.fittings.iter().zip(&meshes.fittings);
        let fittings = fittings.map(|(own, mesh)| (own.id.as_str(), own.assembly, &**mesh));
        let all: Vec<(&str, &str, &Mesh)> = plates.iter().copied().chain(fittings).collect();
        let mut wanted: Vec<(Option<String>, Vec<MovedPart<'_>>)> = vec![(
            None,
            all.iter()
                .map(|(id, _, mesh)| (*id, *mesh, by(id)))
                .collect(),
        )];
        for assembly in &body.assemblies {
            let own = plates.iter().filter(|plate| plate.1 == assembly.id);
            let mut own: Vec<_> = own.map(|(id, _, mesh)| (*id, *mesh, by(id))).collect();
            // What is put in place first stands still.
            let step = |id: &str| order.step_of(id).map_or(usize::MAX, |own| own.0);
            let Some(still) = own
                .iter()
                .min_by_key(|part| step(part.0))
                .map(|part| part.2)
            else {
                continue;
            };
            for part in &mut own {
                part.2 -= still;
            }
            wanted.push((Some(assembly.id.to_owned()), own));
        }
        let pictures = wanted.par_iter().map(|(assembly, parts)| {
            let solids: Vec<(&Mesh, Vector3)> =
                parts.iter().map(|(_, mesh, by)| (*mesh, *by)).collect();
            let lines = solid::line_views_apart(&solids, &frame);
            let parts = parts.iter().zip(lines);
            AssemblyPicture {
                assembly: assembly.clone(),
                parts: parts
                    .map(|((id, ..), lines)| PicturePart {
                        id: (*id).to_owned(),
                        lines,
                    })
                    .collect(),
            }
        });
        Ok(pictures.collect())
    }
}
