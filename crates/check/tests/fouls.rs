//! Fouls that are put into sound engines must be found and named; the sound engines keep quiet.

#![allow(clippy::unwrap_used, reason = "a test may fail by panic")]

use body::{Body, Curve, Model, Overrides, Scale, Severity, WheelStandard};
use check::running::{Balance, Clearances, Course, Profile, Running, Vehicle};
use develop::Forming;
use geom::{FlatPoint, Point2, Segment, Vector2, math};

fn text(name: &str) -> String {
    let path = format!(
        "{}/../../demo-models/{name}.toml",
        env!("CARGO_MANIFEST_DIR")
    );
    std::fs::read_to_string(path).unwrap()
}

/// The text with one thing in it changed; it must be there once.
fn changed(text: &str, from: &str, to: &str) -> String {
    assert_eq!(text.matches(from).count(), 1, "{from}");
    text.replace(from, to)
}

fn built(text: &str, wheels: WheelStandard) -> (Model, Body) {
    let overrides = Overrides {
        scale: Some(wheels.scale()),
        wheels: Some(wheels),
        variant: None,
    };
    let model = Model::read("test", text.as_bytes(), &overrides).unwrap();
    let body = body::build(&model).unwrap();
    (model, body)
}

fn vehicle(text: &str, wheels: WheelStandard) -> Vehicle {
    let (model, body) = built(text, wheels);
    Vehicle::of(&model, &body).unwrap()
}

fn on_curve(engine: &Vehicle, tender: Option<&Vehicle>, radius: f64) -> Clearances {
    let running = Running { engine, tender };
    running.over(Course::Curve { radius }).unwrap()
}

fn errors(found: &Clearances) -> Vec<(&'static str, String)> {
    let own = found.findings.iter();
    own.filter(|own| own.severity == Severity::Error)
        .map(|own| (own.rule, own.path.clone()))
        .collect()
}

const P4: WheelStandard = WheelStandard::P4;

/// Class E with its tender on the least radius that it is meant for: margins, and no foul. A splasher 1 mm
/// lower is met by its wheel; a drawbar 4 mm shorter lets the beams meet, and the shortfall is told.
#[test]
fn a_splasher_too_low_and_a_drawbar_too_short() {
    let (engine, tender) = (text("class-e"), text("tender-t"));
    let own = vehicle(&engine, P4);
    let behind = vehicle(&tender, P4);
    let sound = on_curve(&own, Some(&behind), 1067.0);
    assert_eq!(errors(&sound), []);
    let least = sound.engine[0].distance;
    assert!((0.0..0.3).contains(&least), "{least}");

    // 3 in of the full size are 1 mm.
    let low = changed(
        &engine,
        "axle = 3\nradius = \"3ft 4 1/2in\"",
        "axle = 3\nradius = \"3ft 1 1/2in\"",
    );
    let found = on_curve(&vehicle(&low, P4), Some(&behind), 1067.0);
    let wrong = errors(&found);
    assert!(
        wrong
            .iter()
            .any(|(rule, path)| *rule == "wheel-touches" && path.starts_with("splasher-3")),
        "{wrong:?}"
    );
    assert!(
        wrong.iter().all(|(_, path)| path.starts_with("splasher-3")),
        "{wrong:?}"
    );

    // The scale gap is 5 mm, of which this curve's corners close 1.2.
    let closing = {
        let coupled = sound.passage.coupled.as_ref().unwrap();
        own.chassis.drawbars[1].unwrap().gap - coupled.gap.least
    };
    let mut short = own.clone();
    let bar = short.chassis.drawbars[1].as_mut().unwrap();
    bar.gap -= 4.0;
    let found = on_curve(&short, Some(&behind), 1067.0);
    let finding = found
        .findings
        .iter()
        .find(|own| own.rule == "tender-near-engine")
        .unwrap();
    assert_eq!(finding.severity, Severity::Error);
    // Nearer to each other, the two turn less by what they stand nearer over the radius.
    let turn = 4.0 / 1067.0 * behind.chassis.half_beams[0];
    let wanted = 1.0 - (closing - turn);
    assert!(
        (finding.found - wanted).abs() < 0.01,
        "{} and {wanted}",
        finding.found
    );
    // On a flatter curve the same drawbar is short of air only, and on a still flatter one it does.
    let flat = on_curve(&short, Some(&behind), 4000.0);
    assert_eq!(errors(&flat), []);
}

/// The sides of a pony truck set apart by so much more, and its arm made as much wider (mm).
fn widened(body: &mut Body, by: f64) {
    for plate in &mut body.plates {
        if let Some(hand) = plate.id.strip_prefix("pony-1-side-") {
            let out = if hand == "left" { by / 2.0 } else { -by / 2.0 };
            match &mut plate.forming {
                Forming::Flat(placement) => placement.origin.y += out,
                Forming::Rolled(_) => panic!("the side of a truck is flat"),
            }
        }
        if plate.id == "pony-1-stretcher" {
            for edge in &mut plate.outline {
                let Curve::Flat(Segment::Line { start, end }) = &mut edge.curve else {
                    panic!("{} is straight", edge.name)
                };
                for point in [start, end] {
                    point.y += by / 2.0 * point.y.signum();
                }
            }
        }
    }
}

/// A pony truck swung out on a curve beside the frame that its arm passes, from the drawing: a taper of the arm, a pivot, and
/// the hollow of the frame over the wheel.
struct Swung {
    body: Body,
    /// x of the first and of the last axle in the frames, of the pony's axle and of its pivot (mm).
    first: f64,
    last: f64,
    axle: f64,
    pivot: f64,
}

impl Swung {
    /// Angle that the arm swings by on a radius (rad): its axle lies on the circle of the track and on that of the arm.
    fn swing(&self, radius: f64) -> f64 {
        let middle = (self.first + self.last) / 2.0;
        let half = (self.last - self.first) / 2.0;
        // From the middle of the curve, square to that of the wheelbase, to the pivot.
        let aside = (radius * radius - half * half).sqrt();
        let back = self.pivot - middle;
        let arm = self.pivot - self.axle;
        let apart = back * back + aside * aside;
        // The law of cosines at the pivot, between the way to the middle of the curve and the arm.
        let corner = math::acos((apart + arm * arm - radius * radius) / (2.0 * arm * apart.sqrt()));
        let straight = math::acos(back / apart.sqrt());
        (straight - corner).abs()
    }

    /// Least distance from the arm's taper to the lower edge of the frame's inside (mm), and how far the taper is from where
    /// that edge is as high as the arm (mm, negative beyond it).
    fn distances(&self, radius: f64) -> (f64, f64) {
        let line = |name: &str| {
            let arm = self.body.plate("pony-1-stretcher").unwrap();
            let edge = arm.outline.iter().find(|own| own.name == name).unwrap();
            match &edge.curve {
                Curve::Flat(Segment::Line { start, end }) => (*start, *end),
                _ => panic!("{name} is straight"),
            }
        };
        let frame = self.body.plate("frame-left").unwrap();
        let Forming::Flat(placement) = &frame.forming else {
            panic!("a frame is flat")
        };
        let arc = frame
            .outline
            .iter()
            .find_map(|own| match &own.curve {
                Curve::Flat(Segment::Arc(arc)) if own.name == "truck" => Some(*arc),
                _ => None,
            })
            .unwrap();
        // The frames stand 15.5 mm over their outsides at this standard.
        let inside = 15.5 / 2.0 - (frame.sheet.z_high - frame.sheet.z_low);
        let Forming::Flat(arm) = &self.body.plate("pony-1-stretcher").unwrap().forming else {
            panic!("an arm is flat")
        };
        let top = arm.origin.z + self.body.plate("pony-1-stretcher").unwrap().sheet.z_high;
        let (sin, cos) = math::sin_cos(self.swing(radius));
        let turned = |own: Point2| {
            let from = own - Point2::new(self.pivot, 0.0);
            // The front swings towards positive y.
            Point2::new(
                self.pivot + cos * from.x + sin * from.y,
                cos * from.y - sin * from.x,
            )
        };
        let (rear, front) = line("taper-left");
        let (rear, front) = (turned(rear), turned(front));
        let along: Vector2 = (front - rear).normalize();
        let out = Vector2::new(along.y, -along.x);
        let middle = placement.point(FlatPoint::new(arc.centre.x, arc.centre.y), 0.0);
        let off = |x: f64| (Point2::new(x, inside) - rear).dot(&out);
        let nearest = (0..20_000)
            .map(|i| f64::from(i) / 20_000.0 * math::FRAC_PI_2)
            .map(|angle| {
                let (sin, cos) = math::sin_cos(angle);
                let (x, z) = (middle.x + arc.radius * cos, middle.z + arc.radius * sin);
                math::hypot(off(x), (z - top).max(0.0))
            })
            .fold(f64::INFINITY, f64::min);
        let level = middle.x + (arc.radius * arc.radius - (top - middle.z).powi(2)).sqrt();
        (nearest, off(level))
    }
}

/// A pony's frame that is wider meets the engine's frame as it swings: how near it comes is what plane geometry says, at the
/// radius that it says, and the foul names the truck and the frame. On the straight nothing is met.
#[test]
fn a_pony_frame_too_wide() {
    let text = text("class-m");
    let near = |found: &Clearances| -> f64 {
        let own = found
            .engine
            .iter()
            .find(|own| own.mover == "pony-1-stretcher" && own.part.starts_with("frame-"));
        own.unwrap().distance
    };
    let mut drawn = 0.0;
    for by in [0.0, 2.0, 5.0] {
        let (model, mut body) = built(&text, P4);
        widened(&mut body, by);
        let own = Vehicle::of(&model, &body).unwrap();
        let xs: Vec<f64> = own.chassis.rigid().map(|axle| axle.x).collect();
        let swung = Swung {
            first: xs[0],
            last: xs[xs.len() - 1],
            axle: own.chassis.axles[0].x,
            pivot: own.chassis.trucks[0].pivot,
            body,
        };
        for radius in [1067.0, 900.0] {
            let found = near(&on_curve(&own, None, radius));
            let wanted = swung.distances(radius).0;
            assert!(
                (found - wanted).abs() < 0.02,
                "{by} wider on {radius}: {found} and {wanted}"
            );
        }
        let at_least = near(&on_curve(&own, None, 1067.0));
        if by == 0.0 {
            drawn = at_least;
            continue;
        }
        // The taper, 4.017 along and 5.285 across, was moved across by half of that.
        let put_in = by / 2.0 * 4.017 / math::hypot(4.017, 5.285);
        assert!(
            (drawn - at_least - put_in).abs() < 0.06 * put_in,
            "{by}: {drawn} to {at_least}, put in {put_in}"
        );
        if by < 5.0 {
            continue;
        }
        // On the radius on which the arm's edge is as far out as the frame's, and not on a flatter one.
        let (mut sharp, mut flat) = (600.0, 1067.0);
        while flat - sharp > 0.1 {
            let middle = (sharp + flat) / 2.0;
            if swung.distances(middle).1 > 0.0 {
                flat = middle;
            } else {
                sharp = middle;
            }
        }
        let touches = |radius: f64| {
            let wrong = errors(&on_curve(&own, None, radius));
            assert!(
                wrong
                    .iter()
                    .all(|(rule, path)| *rule == "truck-touches" && path.starts_with("frame-")),
                "{radius}: {wrong:?}"
            );
            !wrong.is_empty()
        };
        assert!(touches(flat * 0.99) && !touches(flat * 1.01), "{flat}");
        let found = on_curve(&own, None, flat * 0.99);
        let foul = found
            .findings
            .iter()
            .find(|own| own.rule == "truck-touches")
            .unwrap();
        assert!(
            foul.sentence.contains("pony-1-stretcher"),
            "{}",
            foul.sentence
        );
        assert_eq!(errors(&on_curve(&own, None, 1e5)), []);
        // Between the two it is told that there is too little air.
        let found = on_curve(&own, None, flat * 1.01);
        assert!(found.findings.iter().any(|own| own.rule == "truck-near"));
    }
}

/// The least radius of an engine with a pony truck: what stops it a little sharper, and nothing a little flatter.
#[test]
fn the_least_radius_of_an_engine_with_a_pony() {
    let own = vehicle(&text("class-m"), P4);
    assert_eq!(errors(&on_curve(&own, None, 1067.0)), []);
    let running = Running {
        engine: &own,
        tender: None,
    };
    let (least, stops) = running
        .least_radius(|radius| Course::Curve { radius }, |_| false)
        .unwrap()
        .unwrap();
    assert!(least < 1067.0, "{least}");
    assert!(!stops.is_empty());
    // What stops it on a sharper curve is still there a little sharper, and gone a little flatter.
    assert!(!errors(&on_curve(&own, None, least * 0.98)).is_empty());
    assert_eq!(errors(&on_curve(&own, None, least * 1.01)), []);
}

/// On the wheels of the usual 4 mm standard, narrow between their backs, what fouls is found and named.
#[test]
fn narrow_wheels_foul_the_firebox_of_class_b() {
    let own = vehicle(&text("class-b"), WheelStandard::Oo);
    let wrong = errors(&on_curve(&own, None, 4000.0));
    assert!(
        wrong
            .iter()
            .any(|(rule, path)| *rule == "wheel-touches" && path.starts_with("firebox")),
        "{wrong:?}"
    );
}

/// The buffer beams of class S, 8 in too wide, stand out of the gauge of the line by what they were widened
/// less the margin that they had.
#[test]
fn a_beam_too_wide_for_the_line() {
    let sound = text("class-s");
    let gauge = |text: &str| {
        let (model, body) = built(text, P4);
        let own = Vehicle::of(&model, &body).unwrap();
        let profile = Profile::loading(&model.loading_gauge).unwrap();
        own.envelope.margins(&profile)
    };
    let margins = gauge(&sound);
    assert!(margins[0].margin > 0.0, "{:?}", margins[0]);
    let beam = margins
        .iter()
        .find(|own| own.part == "buffer-beam-front")
        .unwrap();
    let foot = Scale::Four.mm_per_foot();
    let wider = changed(
        &sound,
        "bottom = \"2ft 10in\"\nwidth = \"8ft 0in\"",
        "bottom = \"2ft 10in\"\nwidth = \"8ft 8in\"",
    );
    let found = gauge(&wider);
    let worst = found
        .iter()
        .find(|own| own.part == "buffer-beam-front")
        .unwrap();
    let wanted = beam.margin - 4.0 / 12.0 * foot;
    assert!(
        (worst.margin - wanted).abs() < 0.01,
        "{} and {wanted}",
        worst.margin
    );
}

/// Target masses of the demo engines (g, calculated by the cube of the scale), and the moments of what lies in
/// the model about its axles.
#[test]
fn weights_and_axle_loads_balance() {
    for (name, four) in [("class-e", 108.0), ("tender-t", 83.0), ("class-s", 73.0)] {
        let (model, body) = built(&text(name), P4);
        assert_eq!(model.scale, Scale::Four);
        let own = Balance::of(&model, &body).unwrap();
        let wanted = own.wanted.unwrap();
        assert!((wanted - four).abs() < 0.6, "{name}: {wanted}");
        let chassis = body::Chassis::of(&model);
        for (mass, x, pick) in [
            (own.grams, own.centre.x, 1),
            (own.ballasted.0, own.ballasted.1, 2),
        ] {
            let load = |axle: &(usize, f64, f64)| if pick == 1 { axle.1 } else { axle.2 };
            let sum: f64 = own.axles.iter().map(load).sum();
            let moment: f64 = own
                .axles
                .iter()
                .map(|axle| load(axle) * chassis.axle(axle.0).unwrap().x)
                .sum();
            assert!((sum - mass).abs() < 1e-6 && (moment - mass * x).abs() < 1e-4);
        }
        // All that is missing finds room.
        assert!((own.ballasted.0 - wanted).abs() < 1e-6, "{name}");
        let room: f64 = own.ballast.iter().map(|space| space.room).sum();
        assert!(room > wanted - own.grams);
        // A saddle tank engine's largest space is its tank.
        if name == "class-s" {
            let largest = own
                .ballast
                .iter()
                .max_by(|a, b| a.room.total_cmp(&b.room))
                .unwrap();
            assert_eq!(largest.space, "saddle-tank");
        }
    }
}

/// A motor that fits in class S with its margin, and the same one 3 mm wider, which the frames stop.
#[test]
fn a_motor_too_wide_for_the_frames() {
    let with = |width: &str| {
        let motor = format!(
            "\n[motor]\naxle = 2\nlength = \"16mm\"\nwidth = \"{width}\"\nheight = \"10mm\"\nbehind = \"0mm\"\nabove = \"0mm\"\n"
        );
        vehicle(&(text("class-s") + &motor), P4)
    };
    let fits = with("9mm");
    let fit = fits.motor.as_ref().unwrap();
    // The frames stand 15.5 mm over their outsides at this standard, a sheet thick each.
    let frame = fit
        .nearest
        .iter()
        .find(|own| own.part.starts_with("frame-"))
        .unwrap();
    let (_, body) = built(&text("class-s"), P4);
    let sheet = &body.plate("frame-left").unwrap().sheet;
    let inside = 15.5 / 2.0 - (sheet.z_high - sheet.z_low);
    assert!(
        (frame.distance - (inside - 4.5)).abs() < 0.01,
        "{} and {}",
        frame.distance,
        inside - 4.5
    );
    let wide = with("16mm");
    let rules: Vec<&str> = wide
        .motor
        .as_ref()
        .unwrap()
        .findings
        .iter()
        .map(|own| own.rule)
        .collect();
    assert!(rules.contains(&"motor-touches"), "{rules:?}");
}
