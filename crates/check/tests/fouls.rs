//! Fouls that are put into sound engines must be found and named; the sound engines keep quiet.

#![allow(clippy::unwrap_used, reason = "a test may fail by panic")]

use body::{Body, Model, Overrides, Scale, Severity, WheelStandard};
use check::running::{Balance, Clearances, Course, Profile, Running, Vehicle};

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

/// A pony's frame 4 mm wider meets the engine's frames as it swings, and not on the straight.
#[test]
fn a_pony_that_swings_into_the_frames() {
    let own = vehicle(&text("class-m"), P4);
    assert_eq!(errors(&on_curve(&own, None, 1067.0)), []);
    let running = Running {
        engine: &own,
        tender: None,
    };
    let (least, stops) = running
        .least_radius(|radius| Course::Curve { radius })
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
