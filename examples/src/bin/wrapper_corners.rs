//! Develops the firebox wrapper of a model file and prints the corners of its flat.
//!
//! `cargo run -p platework-examples --bin wrapper_corners -- demo-models/class-b.toml`

use body::{Model, Overrides, Scale};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let file = std::env::args()
        .nth(1)
        .unwrap_or_else(|| "demo-models/class-b.toml".to_owned());
    let bytes = std::fs::read(&file)?;
    for scale in Scale::ALL {
        let overrides = Overrides {
            scale: Some(scale),
            wheels: None,
            ..Overrides::default()
        };
        let body = body::build(&Model::read(&file, &bytes, &overrides)?)?;
        let Some(wrapper) = body.plate("firebox-wrapper") else {
            continue;
        };
        println!(
            "{} {}, t {:.2} mm",
            scale.word(),
            wrapper.title,
            wrapper.sheet.thickness()
        );
        for name in [
            "front-crown",
            "front-left-foot",
            "rear-crown",
            "rear-left-foot",
        ] {
            let point = wrapper.point(name)?;
            println!("  {name:16} {:8.3} {:8.3} mm", point.x, point.y);
        }
        // A flat drawn as a trapezium misses this: the front edge runs back towards the feet.
        let bow = wrapper.point("front-left-foot")?.x - wrapper.point("front-crown")?.x;
        println!("  the front edge bows back {bow:.3} mm at the feet");
    }
    Ok(())
}
