//! The rulings of a loft at which a mesh is creased.

use develop::{DevelopError, Loft, Place, Ruling, SurfacePoint};
use geom::FlatPoint;
use geom::math::acos;

use super::options::SNAP_MM;

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

/// Off its ruling by less than this, a place is found (mm): the rounding of coordinates of 100 mm.
const CLOSE_MM: f64 = 1e-13;

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
    /// Stations of a loft for skins that lie up to `reach` (mm) from mid-sheet; `error_of` gives the
    /// chord error allowed in a bend of a radius (mm).
    pub(super) fn of(loft: &'a Loft, error_of: impl Fn(f64) -> f64, reach: f64) -> Self {
        let mut stations = Self {
            loft,
            first: Vec::new(),
            rulings: Vec::new(),
            w: Vec::new(),
            extents: Vec::new(),
            apexes: Vec::new(),
        };
        for (i, patch) in loft.patches().iter().enumerate() {
            let first = stations.w.len();
            stations.first.push(first);
            stations.push(i as f64);
            let Some(radii) = patch.radii() else { continue };
            let steps = steps_of(radii, patch.turn().abs(), &error_of, reach);
            for k in 1..steps {
                stations.push(i as f64 + k as f64 / steps as f64);
            }
            match stations.drawn_extent(first, i, reach) {
                Some(extent) => stations.extents[first + 1..].fill(extent),
                None => stations.truncate(first + 1),
            }
        }
        stations.first.push(stations.w.len());
        stations.push(loft.w_end());
        stations.find_apexes(0.0);
        stations.find_apexes(1.0);
        stations
    }

    fn push(&mut self, w: f64) {
        self.w.push(w);
        self.rulings.push(self.loft.ruling(w));
        self.extents.push((f64::NEG_INFINITY, f64::INFINITY));
    }

    fn truncate(&mut self, count: usize) {
        self.w.truncate(count);
        self.rulings.truncate(count);
        self.extents.truncate(count);
    }

    /// The fractions between which the rulings of a patch, from station `first` on, stand apart on
    /// both skins; `None` if nowhere.
    ///
    /// Towards an apex the bend becomes tighter than half the thickness and the inner skin would
    /// turn over; there the rulings are left out and the tip is drawn as one fan.
    fn drawn_extent(&self, first: usize, patch: usize, reach: f64) -> Option<(f64, f64)> {
        let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
        let end = self.loft.ruling((patch + 1) as f64);
        for k in first..self.w.len() {
            let next = self.rulings.get(k + 1).unwrap_or(&end);
            let [here, there] =
                [&self.rulings[k], next].map(|r| self.loft.formed_on(r, 0.5).normal);
            // The skin towards the centre of the bend loses its height times the angle.
            let [front, rear] = [0.0, 1.0].map(|v| self.off(k, end_point(next, v)).0.abs());
            let mut least = 2.0 * SNAP_MM + reach * (there - here).norm();
            // A bend that is too tight from end to end keeps its rulings all the same: it may be the
            // web of a fold, where the metal does not reach as far as elsewhere.
            if front.max(rear) < least {
                least = 2.0 * SNAP_MM;
            }
            let limit = (least - front) / (rear - front);
            match (front >= least, rear >= least) {
                (true, true) => {}
                (true, false) => high = high.min(limit),
                (false, true) => low = low.max(limit),
                (false, false) => return None,
            }
        }
        (low < high).then_some((low, high))
    }

    /// Groups neighbouring patches whose rulings end in one point at the fraction `v`.
    ///
    /// The point takes the normal that the section itself has there, so that the sheet beside the
    /// cones is right and only their tips are not.
    fn find_apexes(&mut self, v: f64) {
        let patches = self.loft.patches();
        let radius = |i: usize| {
            let radii = patches.get(i)?.radii()?;
            Some(if v == 0.0 { radii.0 } else { radii.1 })
        };
        let mut i = 0;
        while i < patches.len() {
            let start = i;
            while radius(i).is_some_and(|radius| radius < SNAP_MM) {
                i += 1;
            }
            if i == start {
                i += 1;
                continue;
            }
            // Where the section bends on, its tangent is that of the border it bends on from.
            let bends = |k: usize| radius(k).is_some();
            let before = start > 0 && bends(start - 1);
            let home = self.first[if !before && bends(i) { i } else { start }];
            self.apexes.push(Apex {
                point: end_point(&self.rulings[home], v),
                home,
                v,
                borders: (start..=i).map(|k| self.first[k]).collect(),
            });
        }
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
    /// As [`Loft::locate`], but quicker: the stations leave a narrow strip to search.
    ///
    /// # Errors
    ///
    /// [`DevelopError::OffThePlate`] for a point beyond the first or last ruling.
    pub(super) fn locate(&self, point: FlatPoint) -> Result<SurfacePoint, DevelopError> {
        let last = self.w.len() - 1;
        let off = |station: usize| self.off(station, point).0;
        // Outwards from the datum to the first station beyond the point: on the flat of a wide cone
        // a station further on has swung by more than half a turn and would name the wrong side.
        let home = self.before(self.loft.datum());
        let low = if off(home) < 0.0 {
            (0..home).rev().find(|&k| off(k) >= 0.0).unwrap_or(0)
        } else {
            (home..last).find(|&k| off(k + 1) < 0.0).unwrap_or(last - 1)
        };
        let high = low + 1;
        let ends = [low, high].map(|station| (self.w[station], self.off(station, point)));
        for (station, (w, (off, v))) in [low, high].into_iter().zip(ends) {
            let beyond = (station == 0 && off <= 0.0) || (station == last && off >= 0.0);
            if beyond && off.abs() <= SNAP_MM {
                return Ok(SurfacePoint { w, v });
            }
            if beyond {
                return Err(DevelopError::OffThePlate {
                    along_mm: v * self.loft.axial_length(),
                    across_mm: off,
                });
            }
        }
        let [(from, (off_from, _)), (to, (off_to, _))] = ends;
        if off_from == 0.0 {
            return Ok(SurfacePoint {
                w: from,
                v: ends[0].1.1,
            });
        }
        Ok(self.between((from, off_from), (to, off_to), point))
    }

    /// The place between two coordinates of the loft, given how far the point is off their rulings.
    ///
    /// Secants from end to end: the rulings of a strip turn so little that three reach the rounding.
    fn between(&self, low: (f64, f64), high: (f64, f64), point: FlatPoint) -> SurfacePoint {
        let (mut before, mut here) = (low, high);
        let mut best = (f64::INFINITY, SurfacePoint { w: low.0, v: 0.0 });
        for _ in 0..12 {
            let w = here.0 - here.1 * (here.0 - before.0) / (here.1 - before.1);
            if !(low.0..=high.0).contains(&w) {
                break;
            }
            let ruling = self.loft.ruling(w);
            let from = point - ruling.flat;
            let off = ruling.flat_direction.perp(&from);
            if off.abs() >= best.0 {
                break;
            }
            let v = ruling.flat_direction.dot(&from) / ruling.length;
            best = (off.abs(), SurfacePoint { w, v });
            (before, here) = (here, (w, off));
            if off.abs() < CLOSE_MM {
                return best.1;
            }
        }
        if best.0 < 1e-9 {
            best.1
        } else {
            self.loft.locate(point)
        }
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
fn steps_of(radii: (f64, f64), turn: f64, error_of: impl Fn(f64) -> f64, reach: f64) -> usize {
    let greatest = radii.0.max(radii.1);
    let skin = greatest + reach;
    let step = 2.0 * acos((1.0 - error_of(greatest) / skin).max(0.5));
    ((turn / step).ceil() as usize).max(1)
}
