//! A page as SVG, at true size in millimetres.

use crate::page::{CAPITAL, Item, Page, Rgb};
use crate::svg::{escaped, mm, path};
use geom::{Outline, Segment, math};
use std::fmt::Write as _;

/// The page as SVG. The same page gives the same text.
pub(crate) fn svg_of_page(title: &str, page: &Page) -> String {
    let mut out = String::new();
    // Writing to a String cannot fail.
    let _ = writeln!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" viewBox=\"0 {y} {w} {h}\" role=\"img\">",
        w = mm(page.width),
        h = mm(page.height),
        y = mm(-page.height)
    );
    let _ = writeln!(out, "<title>{}</title>", escaped(title));
    let mut windows = 0;
    for item in &page.items {
        write_item(&mut out, item, &mut windows);
    }
    out.push_str("</svg>\n");
    out
}

fn write_item(out: &mut String, item: &Item, windows: &mut usize) {
    let _ = match item {
        Item::Filled { loops, colour } => writeln!(
            out,
            "<path fill=\"{}\" fill-rule=\"evenodd\" d=\"{}\"/>",
            hex(*colour),
            paths(loops)
        ),
        Item::Drawn {
            loops,
            colour,
            width,
        } => writeln!(
            out,
            "<path fill=\"none\" stroke=\"{}\" stroke-width=\"{}\" d=\"{}\"/>",
            hex(*colour),
            mm(*width),
            paths(loops)
        ),
        Item::Runs {
            runs,
            colour,
            width,
            dashes,
        } => {
            let d: String = runs.iter().map(|run| open_path(run)).collect();
            let dashes: Vec<String> = dashes.iter().map(|own| mm(*own)).collect();
            let dashes = if dashes.is_empty() {
                String::new()
            } else {
                format!(" stroke-dasharray=\"{}\"", dashes.join(" "))
            };
            writeln!(
                out,
                "<path fill=\"none\" stroke=\"{}\" stroke-width=\"{}\" stroke-linejoin=\"round\"{dashes} d=\"{d}\"/>",
                hex(*colour),
                mm(*width),
            )
        }
        Item::Window { low, high, items } => {
            *windows += 1;
            let id = format!("window-{windows}");
            let _ = writeln!(
                out,
                "<clipPath id=\"{id}\"><path d=\"{}\"/></clipPath><g clip-path=\"url(#{id})\">",
                path(&Outline::rectangle(*low, *high))
            );
            for own in items {
                write_item(out, own, windows);
            }
            writeln!(out, "</g>")
        }
        Item::Words {
            text,
            at,
            height,
            colour,
        } => writeln!(
            out,
            "<text x=\"{}\" y=\"{}\" fill=\"{}\" font-family=\"DejaVu Sans, sans-serif\" font-size=\"{}\">{}</text>",
            mm(at.x),
            mm(-at.y),
            hex(*colour),
            mm(height / CAPITAL),
            escaped(text)
        ),
    };
}

fn hex((r, g, b): Rgb) -> String {
    format!("#{r:02x}{g:02x}{b:02x}")
}

fn paths(loops: &[Outline]) -> String {
    loops.iter().map(path).collect()
}

/// An open run of lines and arcs; y is turned down as everywhere in SVG.
fn open_path(run: &[Segment]) -> String {
    let Some(first) = run.first() else {
        return String::new();
    };
    let start = first.start();
    let mut d = format!("M{} {}", mm(start.x), mm(-start.y));
    for segment in run {
        match segment {
            Segment::Line { end, .. } => {
                let _ = write!(d, "L{} {}", mm(end.x), mm(-end.y));
            }
            Segment::Arc(arc) => {
                // Half circles at most: a whole one has no end to go to.
                let parts = (arc.sweep.abs() / math::PI).ceil().max(1.0) as usize;
                for i in 0..parts {
                    let part = segment.part(i as f64 / parts as f64, (i + 1) as f64 / parts as f64);
                    let end = part.end();
                    let to_right = i32::from(arc.sweep < 0.0);
                    let r = mm(arc.radius);
                    let _ = write!(d, "A{r} {r} 0 0 {to_right} {} {}", mm(end.x), mm(-end.y));
                }
            }
        }
    }
    d
}
