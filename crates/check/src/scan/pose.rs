//! Where a scan stands in the frame of the body: a turn and a shift.

use geom::math::sin_cos;
use geom::{Point3, Vector3};
use nalgebra::{Matrix3, Matrix6, SMatrix, SVector, Vector6};

/// A turn about the origin and then a shift (mm).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pose {
    /// The turn.
    pub turn: Matrix3<f64>,
    /// The shift (mm).
    pub shift: Vector3,
}

impl Pose {
    /// Neither turn nor shift.
    pub fn still() -> Self {
        Self {
            turn: Matrix3::identity(),
            shift: Vector3::zeros(),
        }
    }

    /// A turn about an axis through a point by the length of `turn` (rad), then a shift (mm).
    pub fn about(centre: Point3, turn: Vector3, shift: Vector3) -> Self {
        let turn = turn_by(turn);
        Self {
            turn,
            shift: centre.coords - turn * centre.coords + shift,
        }
    }

    /// Where a point comes to.
    pub fn point(&self, point: &Point3) -> Point3 {
        Point3::from(self.turn * point.coords + self.shift)
    }

    /// Where a direction comes to.
    pub fn direction(&self, direction: &Vector3) -> Vector3 {
        self.turn * direction
    }

    /// First the other, then this.
    pub fn after(&self, first: &Self) -> Self {
        Self {
            turn: self.turn * first.turn,
            shift: self.turn * first.shift + self.shift,
        }
    }

    /// The way back.
    pub fn inverse(&self) -> Self {
        let turn = self.turn.transpose();
        Self {
            turn,
            shift: -(turn * self.shift),
        }
    }

    /// The turn made exactly square again, after many small ones.
    pub(super) fn squared(&self) -> Self {
        let x = self.turn.column(0).normalize();
        let y = self.turn.column(1) - x * x.dot(&self.turn.column(1));
        let y = y.normalize();
        Self {
            turn: Matrix3::from_columns(&[x, y, x.cross(&y)]),
            shift: self.shift,
        }
    }

    /// The turn as a vector along its axis (rad), below half a circle.
    pub fn turn_vector(&self) -> Vector3 {
        let r = &self.turn;
        let sine = Vector3::new(
            r[(2, 1)] - r[(1, 2)],
            r[(0, 2)] - r[(2, 0)],
            r[(1, 0)] - r[(0, 1)],
        ) / 2.0;
        let cosine = (r.trace() - 1.0) / 2.0;
        let angle = geom::math::atan2(sine.norm(), cosine);
        match sine.try_normalize(1e-12) {
            Some(axis) => axis * angle,
            None => Vector3::zeros(),
        }
    }
}

/// The turn about an axis by the length of the vector (rad); Rodrigues' formula.
pub(super) fn turn_by(vector: Vector3) -> Matrix3<f64> {
    let angle = vector.norm();
    let Some(axis) = vector.try_normalize(1e-300) else {
        return Matrix3::identity();
    };
    let (s, c) = sin_cos(angle);
    let cross = axis.cross_matrix();
    Matrix3::identity() + cross * s + cross * cross * (1.0 - c)
}

/// Sum of what points say about `N` small unknowns by how far they lie off their planes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Normals<const N: usize> {
    pub(super) matrix: SMatrix<f64, N, N>,
    pub(super) side: SVector<f64, N>,
    /// Sum of weights and of weighted squares.
    pub(super) weight: f64,
    pub(super) square: f64,
}

impl<const N: usize> Normals<N> {
    pub(super) fn zero() -> Self {
        Self {
            matrix: SMatrix::zeros(),
            side: SVector::zeros(),
            weight: 0.0,
            square: 0.0,
        }
    }

    /// A point whose distance `off` changes by `row` with the unknowns.
    pub(super) fn add(&mut self, row: &SVector<f64, N>, off: f64, weight: f64) {
        self.matrix.ger(weight, row, row, 1.0);
        self.side.axpy(-weight * off, row, 1.0);
        self.weight += weight;
        self.square += weight * off * off;
    }
}

/// How the distance of a point from a plane changes with a turn about `centre` and a shift of the point.
pub(super) fn row(point: &Point3, centre: &Point3, normal: &Vector3) -> SVector<f64, 6> {
    let arm = (point - centre).cross(normal);
    SVector::from([arm.x, arm.y, arm.z, normal.x, normal.y, normal.z])
}

/// Multiplies what a pose has of turns, and leaves its shifts.
pub(super) fn turns_times(factor: f64) -> Matrix6<f64> {
    Matrix6::from_diagonal(&Vector6::from([factor, factor, factor, 1.0, 1.0, 1.0]))
}

/// Greatest standard uncertainty of the place of a point that turns about `centre`, in any direction (mm).
pub(super) fn spread_at(covariance: &Matrix6<f64>, centre: &Point3, point: &Point3) -> f64 {
    let arm = (point - centre).cross_matrix();
    let mut jacobian = SMatrix::<f64, 3, 6>::zeros();
    jacobian.fixed_view_mut::<3, 3>(0, 0).copy_from(&-arm);
    jacobian
        .fixed_view_mut::<3, 3>(0, 3)
        .copy_from(&Matrix3::identity());
    let own = jacobian * covariance * jacobian.transpose();
    let eigen = own.symmetric_eigenvalues();
    eigen.max().max(0.0).sqrt()
}
