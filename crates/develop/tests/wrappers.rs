//! Wrappers between unequal sections, against a second method and against closed forms.

use develop::{BendRule, Forming, Loft, LoftFrame, SurfacePoint, Trace};
use geom::math::{FRAC_PI_2, PI, TAU, acos, asin, cos, sin};
use geom::{Chain, Placement, Point2, Point3, Vector2};

/// A Belpaire section in inches: crown, shoulder, side, convex and concave waist, tail to `foot`.
struct Belpaire {
    crown_top: f64,
    crown_radius: f64,
    half_width: f64,
    shoulder: f64,
    waist_from: f64,
    convex: f64,
    concave: f64,
    bottom_half_width: f64,
    foot: f64,
}

impl Belpaire {
    /// Left half from the crown centre down.
    fn half(&self) -> Chain {
        let x = self.half_width - self.shoulder;
        let reach = self.crown_radius - self.shoulder;
        let alpha = asin(x / reach);
        let shoulder_z = self.crown_top - self.crown_radius + (reach * reach - x * x).sqrt();
        let theta = acos(1.0 - (self.half_width - self.bottom_half_width) / (self.convex + self.concave));
        let drop = (self.convex + self.concave) * sin(theta);
        Chain::starting(Point2::new(0.0, self.crown_top), 0.0)
            .arc(self.crown_radius, -alpha)
            .arc(self.shoulder, -(FRAC_PI_2 - alpha))
            .line(shoulder_z - self.waist_from)
            .arc(self.convex, -theta)
            .arc(self.concave, theta)
            .line(self.waist_from - drop - self.foot)
            .finish()
    }

    fn whole(&self) -> Chain {
        let left = self.half();
        left.mirrored_in_y_axis().reversed().joined(&left)
    }
}

const CLASS_B: fn(f64) -> Belpaire = |top| Belpaire {
    crown_top: top,
    crown_radius: 144.0,
    half_width: 29.5,
    shoulder: 6.0,
    waist_from: 76.0,
    convex: 18.0,
    concave: 18.0,
    bottom_half_width: 24.0,
    foot: 50.0,
};

const CLASS_M: fn(f64, f64) -> Belpaire = |top, half_width| Belpaire {
    crown_top: top,
    crown_radius: 240.0,
    half_width,
    shoulder: 8.0,
    waist_from: 92.0,
    convex: 24.0,
    concave: 18.0,
    bottom_half_width: 24.0,
    foot: 56.0,
};

fn wrapper(front: &Chain, rear: &Chain, length: f64) -> Loft {
    Loft::between(LoftFrame::along_engine(0.0), front, rear, length, 1e-9, BendRule::Din6935).unwrap()
}

#[track_caller]
fn close(got: f64, want: f64, tolerance: f64, what: &str) {
    assert!((got - want).abs() <= tolerance, "{what}: got {got}, want {want}");
}

/// Corners of both demo wrappers, as a hand computation gives them to four places (inches).
#[test]
fn corners_of_the_belpaire_wrappers() {
    let b = wrapper(&CLASS_B(120.0).whole(), &CLASS_B(118.5).whole(), 66.0);
    let m = wrapper(&CLASS_M(138.0, 35.0).whole(), &CLASS_M(133.0, 30.0).whole(), 90.0);
    for (loft, crown, front, rear) in [
        (&b, 66.017, (1.6141, 96.0443), (67.5970, 94.5447)),
        (&m, 90.139, (9.4624, 114.2804), (98.7732, 103.1639)),
    ] {
        let at = |w, v| loft.flat(SurfacePoint { w, v });
        close(at(loft.datum(), 1.0).x, crown, 5e-4, "crown centre");
        for (v, want) in [(0.0, front), (1.0, rear)] {
            let corner = at(loft.w_end(), v);
            close(corner.x, want.0, 5e-5, "corner x");
            close(corner.y, want.1, 5e-5, "corner y");
            let other = at(0.0, v);
            close(other.x, corner.x, 1e-9, "mirrored corner x");
            close(other.y, -corner.y, 1e-9, "mirrored corner y");
        }
    }
}
