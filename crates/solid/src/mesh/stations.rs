//! The rulings of a loft at which a mesh is creased.

use develop::{DevelopError, Loft, Place, Ruling, SurfacePoint};
use geom::FlatPoint;
use geom::math::acos;

use super::options::{SNAP_MM, sagitta_within};

/// Rulings close enough that the sheet between two of them is flat within the chord error.
///
/// A loft is ruled by cones and planes, and any two rulings of either lie in one plane: a triangle
/// between neighbouring rulings errs by the height of the arc between them and no more.
pub(super) struct Stations<'a> {
    pub(super) loft: &'a Loft,
    /// Number of the station at which each patch begins; one more for the end.
    first: Vec<usize>,
    pub(super) rulings: Vec<Ruling>,
    /// Coordinate of each station on the loft.
    pub(super) w: Vec<f64>,
    /// Fractions of each ruling between which it is drawn.
    pub(super) extents: Vec<(f64, f64)>,
    pub(super) apexes: Vec<Apex>,
}

/// A point in which all rulings of a cone end.
pub(super) struct Apex {
    pub(super) point: FlatPoint,
    /// Station whose normal the point takes.
    pub(super) home: usize,
    /// Fraction of the rulings at which they end: 0 or 1.
    pub(super) v: f64,
    /// Stations between patches that end here.
    pub(super) borders: Vec<usize>,
}

impl<'a> Stations<'a> {
    /// Stations of a loft for skins that lie up to `reach` (mm) from mid-sheet.
    pub(super) fn of(loft: &'a Loft, chord_error: f64, reach: f64) -> Self {
        let mut stations = Self {
            loft,
            first: Vec::new(),
            rulings: Vec::new(),
            w: Vec::new(),
            extents: Vec::new(),
            apexes: Vec::new(),
        };
        for (i, patch) in loft.patches().iter().enumerate() {
            stations.first.push(stations.w.len());
            stations.push(i as f64, (f64::NEG_INFINITY, f64::INFINITY));
            let Some(radii) = patch.radii() else { continue };
            let steps = steps_of(radii, patch.turn().abs(), chord_error, reach);
            let step = patch.turn().abs() / steps as f64;
            let Some(extent) = drawn_extent(radii, step, reach) else {
                continue;
            };
            for k in 1..steps {
                stations.push(i as f64 + k as f64 / steps as f64, extent);
            }
        }
        stations.first.push(stations.w.len());
        stations.push(loft.w_end(), (f64::NEG_INFINITY, f64::INFINITY));
        stations.find_apexes(0.0);
        stations.find_apexes(1.0);
        stations
    }

    fn push(&mut self, w: f64, extent: (f64, f64)) {
        self.w.push(w);
        self.rulings.push(self.loft.ruling(w));
        self.extents.push(extent);
    }

    /// Groups neighbouring patches whose rulings end in one point at the fraction `v`.
    fn find_apexes(&mut self, v: f64) {
        let patches = self.loft.patches();
        let ends = |i: usize| {
            patches[i]
                .radii()
                .is_some_and(|(front, rear)| (if v == 0.0 { front } else { rear }) < SNAP_MM)
        };
        let mut i = 0;
        while i < patches.len() {
            let start = i;
            while i < patches.len() && ends(i) {
                i += 1;
            }
            if i > start {
                let home = self.first[self.inflection(start, i)];
                self.apexes.push(Apex {
                    point: end_point(&self.rulings[home], v),
                    home,
                    v,
                    borders: (start..=i).map(|k| self.first[k]).collect(),
                });
            }
            i = i.max(start + 1);
        }
    }

    /// The patch border, from `start` to `end`, at which the section changes the way it turns.
    fn inflection(&self, start: usize, end: usize) -> usize {
        let patches = self.loft.patches();
        let turn = |i: usize| patches[i].turn();
        if let Some(k) = (start + 1..end).find(|&k| turn(k) * turn(k - 1) < 0.0) {
            return k;
        }
        let own = turn(start);
        let after = (end..patches.len()).map(turn).find(|t| *t != 0.0);
        if after.is_some_and(|t| t * own < 0.0) { end } else { start }
    }

    /// The station at or before a coordinate of the loft.
    pub(super) fn before(&self, w: f64) -> usize {
        let last = self.first.len() - 2;
        let patch = (w.floor().max(0.0) as usize).min(last);
        let (from, to) = (self.first[patch], self.first[patch + 1]);
        let share = (w - patch as f64) * (to - from) as f64;
        // The division above may round past a station on either side.
        let mut k = (from + share.max(0.0) as usize).min(to - 1);
        while k > from && self.w[k] > w {
            k -= 1;
        }
        while k + 1 < to && self.w[k + 1] <= w {
            k += 1;
        }
        k
    }

    /// Distance of a point of the flat to the left of a station's ruling (mm), and its fraction along it.
    pub(super) fn off(&self, station: usize, point: FlatPoint) -> (f64, f64) {
        let ruling = &self.rulings[station];
        let from = point - ruling.flat;
        let along = ruling.flat_direction.dot(&from) / ruling.length;
        (ruling.flat_direction.perp(&from), along)
    }

    /// True where a station's ruling is drawn at the fraction `v`.
    pub(super) fn is_drawn(&self, station: usize, v: f64) -> bool {
        let (low, high) = self.extents[station];
        (low..=high).contains(&v)
    }

    /// A place on a station's ruling.
    pub(super) fn place(&self, station: usize, v: f64) -> Place {
        self.loft.formed_on(&self.rulings[station], v)
    }

    /// The point of the flat at a fraction of a station's ruling.
    pub(super) fn flat(&self, station: usize, v: f64) -> FlatPoint {
        end_point(&self.rulings[station], v)
    }

    /// The surface place of a point of the flat.
    ///
    /// # Errors
    ///
    /// [`DevelopError::OffThePlate`] for a point beyond the first or last ruling.
    pub(super) fn locate(&self, point: FlatPoint) -> Result<SurfacePoint, DevelopError> {
        let at = self.loft.locate(point);
        if at.w > 0.0 && at.w < self.loft.w_end() {
            return Ok(at);
        }
        let station = if at.w > 0.0 { self.w.len() - 1 } else { 0 };
        let (off, along) = self.off(station, point);
        if off.abs() > SNAP_MM {
            return Err(DevelopError::OffThePlate {
                along_mm: along * self.loft.axial_length(),
                across_mm: off,
            });
        }
        Ok(at)
    }

    /// Greatest distance by which the normal at an apex moves the skins of the rulings that end there (mm).
    pub(super) fn apex_error(&self, reach: f64) -> f64 {
        let normal = |station: usize| self.place(station, 0.5).normal;
        self.apexes
            .iter()
            .flat_map(|apex| {
                let home = normal(apex.home);
                apex.borders
                    .iter()
                    .map(move |&border| reach * (1.0 - home.dot(&normal(border))))
            })
            .fold(0.0, f64::max)
    }
}

fn end_point(ruling: &Ruling, v: f64) -> FlatPoint {
    ruling.flat + ruling.flat_direction * (ruling.length * v)
}

/// Number of strips that keep a bend within the chord error on its outermost skin.
fn steps_of(radii: (f64, f64), turn: f64, chord_error: f64, reach: f64) -> usize {
    let greatest = radii.0.max(radii.1);
    let skin = greatest + reach;
    let error = sagitta_within(chord_error, greatest);
    let step = 2.0 * acos((1.0 - error / skin).max(0.5));
    ((turn / step).ceil() as usize).max(1)
}

/// The part of a bend in which neighbouring rulings stand apart on both skins; `None` if nowhere.
///
/// Towards an apex the bend becomes tighter than half the thickness and the inner skin would turn
/// over; there the rulings are left out and the tip is drawn as one fan.
fn drawn_extent((front, rear): (f64, f64), step: f64, reach: f64) -> Option<(f64, f64)> {
    let least = reach + 2.0 * SNAP_MM / step;
    match (front >= least, rear >= least) {
        (true, true) => Some((f64::NEG_INFINITY, f64::INFINITY)),
        (false, false) => None,
        (front_opens, _) => {
            let v = (least - front) / (rear - front);
            Some(if front_opens {
                (f64::NEG_INFINITY, v)
            } else {
                (v, f64::INFINITY)
            })
        }
    }
}
