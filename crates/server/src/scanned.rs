//! Files of a scan that was held against the body.

use body::Order;
use check::scan::ScanReport;
use export::{ScannedMesh, SectionMarks, SheetSource};
use geom::Point2;
use solid::ViewFrame;

use crate::{WorkError, Workshop};

/// What lies so near to a cutting plane is shown in it (mm).
const SLICE_MM: f64 = 0.3;

/// Points of a section that are shown: more make the sheet slow and are one blot.
const MOST_MARKS: usize = 4000;

impl Workshop {
    /// The body in the colours of its deviations from a scan.
    ///
    /// # Errors
    ///
    /// [`WorkError::Solid`] or [`WorkError::Export`] as for the preview.
    pub fn scan_glb(&self, report: &ScanReport) -> Result<Vec<u8>, WorkError> {
        let meshes = self.meshes(true)?;
        let plates = self.body().plates.iter().zip(&meshes.plates);
        let plates = plates.map(|(own, mesh)| ScannedMesh {
            id: &own.id,
            assembly: own.assembly,
            mesh: &mesh.mesh,
        });
        let fittings = self.body().fittings.iter().zip(&meshes.fittings);
        let fittings = fittings.map(|(own, mesh)| ScannedMesh {
            id: &own.id,
            assembly: own.assembly,
            mesh,
        });
        let all: Vec<ScannedMesh<'_>> = plates.chain(fittings).collect();
        Ok(export::scan_glb(report, &all)?)
    }

    /// The sections of the general arrangement with what was scanned at each, for printing.
    ///
    /// # Errors
    ///
    /// As for the sheets.
    pub fn scan_sections_pdf(&self, report: &ScanReport) -> Result<Vec<u8>, WorkError> {
        let views = self.arrangement_views()?;
        let frame = ViewFrame::front();
        let marks: Vec<SectionMarks> = views
            .sections
            .iter()
            .map(|section| {
                let near = report
                    .places
                    .all()
                    .filter(|(point, _, _)| (point.x - section.x).abs() < SLICE_MM);
                let all: Vec<(Point2, f64)> = near
                    .map(|(point, _, off)| (frame.flat(point.coords), off))
                    .collect();
                let step = all.len().div_ceil(MOST_MARKS).max(1);
                all.into_iter().step_by(step).collect()
            })
            .collect();
        let order = Order::of(self.body());
        let source = SheetSource {
            model: self.model(),
            body: self.body(),
            order: &order,
        };
        let paper = self.model().sheets.drawing_paper;
        let sheet = export::scanned_sections_sheet(source, views, &marks, paper);
        Ok(sheet.pdf()?)
    }
}
