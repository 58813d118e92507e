//! The report of a test build as a page that stands by itself and can be printed.

use crate::test_build_picture::Picture;
use artwork::FlatDrawing;
use body::{Body, Finding, Severity};
use check::{ArtworkReport, DrawnFlat, Fault, Judgement, PlateAsDrawn, TestBuild};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// What the page says first.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TestBuildHead {
    /// The engine's title.
    pub title: String,
    /// Scale of the model: `7mm`.
    pub scale: String,
    /// Wheel standard: `fine`.
    pub wheels: String,
    /// The variant of the model file, if one was chosen.
    pub variant: Option<String>,
    /// Name of the drawing.
    pub drawing: String,
}

/// Findings that have pictures; the others are told in words alone.
const PICTURES: usize = 80;

/// Ink on white; grey for what is meant, rust for what is drawn.
const STYLE: &str = "body{font:15px/1.45 Georgia,'Liberation Serif',serif;color:#1d1d1b;background:#fff;max-width:62rem;margin:2rem auto;padding:0 1rem}\
h1{font-size:1.5rem;font-weight:normal;margin:0}h2{font-size:1.05rem;border-bottom:1px solid #1d1d1b;margin:2.2rem 0 .6rem;padding-bottom:.2rem}\
.verdict{margin:1rem 0;padding:.7rem 1rem;border:2px solid #1d1d1b;border-left-width:.8rem;font-size:1.08rem}.sound{border-color:#3d5a45}.unsound{border-color:#8a2b12}\
p.small,ul.small,td,th,figcaption{font-size:.84rem}ul.small{margin:.2rem 0 .4rem;padding-left:1.2rem}.quiet{color:#6d6a63}table{border-collapse:collapse;width:100%}td,th{text-align:left;padding:.18rem .6rem .18rem 0;border-bottom:1px solid #d9d6cf;vertical-align:top}\
td.n,th.n{text-align:right;font-variant-numeric:tabular-nums}tr.error td:first-child,.word-error{color:#8a2b12;font-weight:bold}tr.warning td:first-child,.word-warning{color:#7a5a00;font-weight:bold}\
article{border-bottom:1px solid #d9d6cf;padding:.8rem 0;break-inside:avoid}article p{margin:.2rem 0}figure{display:inline-block;margin:.5rem 1rem 0 0;vertical-align:top}\
svg{border:1px solid #d9d6cf;background:#fff;overflow:hidden}path{fill:none;stroke-linejoin:round}.meant{fill:#eceae4;fill-rule:evenodd;stroke:#8d8a82;stroke-width:.8}.meant-etch{stroke:#c4c0b6;stroke-width:.6}\
.drawn{stroke:#9c3412;stroke-width:1.1}.drawn-etch{stroke:#c98a6d;stroke-width:.6}.ring{fill:none;stroke:#1d1d1b;stroke-width:1.6}.scale{stroke:#1d1d1b;stroke-width:2}svg text{font:9px sans-serif;fill:#1d1d1b}\
@media print{body{margin:0;max-width:none}h2{break-after:avoid}}";

/// The page: verdict first, then what would go wrong, worst first and with pictures, then every measure.
pub fn test_build_html(
    head: &TestBuildHead,
    body: &Body,
    report: &ArtworkReport,
    build: &TestBuild,
    judged: &Judgement,
) -> String {
    let page = Page {
        body,
        drawn: report
            .per_plate
            .iter()
            .map(|own| (own.plate.as_str(), &own.laid))
            .collect(),
    };
    let mut out = String::new();
    page.head(&mut out, head, build);
    page.faults(&mut out, &build.faults);
    waived(&mut out, judged);
    plates(&mut out, build, &judged.left);
    measures(&mut out, build);
    notes(&mut out, &judged.left, build);
    out.push_str(
        "<p class=\"small\">Etched edges cut; solder, flux and etchants can hurt. Follow the maker's data sheet and \
         the rules that hold where you work.</p>\n</body>\n</html>\n",
    );
    out
}

struct Page<'a> {
    body: &'a Body,
    drawn: BTreeMap<&'a str, &'a DrawnFlat>,
}

impl Page<'_> {
    fn head(&self, out: &mut String, head: &TestBuildHead, build: &TestBuild) {
        let variant = head.variant.as_ref();
        let variant = variant.map_or_else(String::new, |name| format!(", variant {}", plain(name)));
        let title = plain(&head.title);
        let _ = write!(
            out,
            "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" \
             content=\"width=device-width\">\n<title>Test build: {title}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n\
             <h1>{title}: the test build</h1>\n<p class=\"small\">Drawing {}; {}, {} wheels{variant}. Grey is what the \
             model asks for, rust what was drawn.</p>\n<p class=\"verdict {}\">{}</p>\n",
            plain(&head.drawing),
            plain(&head.scale),
            plain(&head.wheels),
            if build.fit_to_etch {
                "sound"
            } else {
                "unsound"
            },
            plain(&build.verdict),
        );
    }

    fn faults(&self, out: &mut String, faults: &[Fault]) {
        if faults.is_empty() {
            return;
        }
        out.push_str("<h2>What would go wrong, the worst first</h2>\n");
        let mut flats: BTreeMap<&str, FlatDrawing> = BTreeMap::new();
        for (i, fault) in faults.iter().enumerate() {
            let finding = &fault.cause;
            let word = fault.severity().word();
            let _ = write!(
                out,
                "<article>\n<p><b>{}</b> <span class=\"word-{word}\">{word}</span> {}</p>\n<p class=\"small\">{}</p>\n",
                i + 1,
                plain(&finding.sentence),
                particulars(finding),
            );
            if i < PICTURES {
                self.pictures(out, finding, &mut flats);
            }
            follows(out, &fault.follows);
            out.push_str("</article>\n");
        }
    }

    fn pictures<'s>(
        &'s self,
        out: &mut String,
        finding: &Finding,
        flats: &mut BTreeMap<&'s str, FlatDrawing>,
    ) {
        let (Some(id), Some(at)) = (&finding.at.plate, finding.at.flat) else {
            return;
        };
        let (Some(plate), Some(drawn)) = (self.body.plate(id), self.drawn.get(id.as_str())) else {
            return;
        };
        if !flats.contains_key(plate.id.as_str()) {
            // A plate without a flat was told of already.
            let Ok(flat) = FlatDrawing::of(plate) else {
                return;
            };
            flats.insert(&plate.id, flat);
        }
        let picture = Picture {
            flat: &flats[plate.id.as_str()],
            drawn,
            at,
            off: (finding.found - finding.limit).abs(),
        };
        let _ = writeln!(
            out,
            "<figure>{}<figcaption>{}</figcaption></figure><figure>{}<figcaption>the place</figcaption></figure>",
            picture.whole(),
            plain(&plate.title),
            picture.close(),
        );
    }
}

/// Rule, path and measures of a finding; without millimetres where it has none.
fn particulars(finding: &Finding) -> String {
    let measures = if finding.found == 0.0 && finding.limit == 0.0 {
        String::new()
    } else {
        format!(
            "; found {:.3} mm, limit {:.3} mm",
            unsigned_zero(finding.found),
            unsigned_zero(finding.limit)
        )
    };
    format!(
        "{} at {}{measures}{}",
        finding.rule,
        plain(&finding.path),
        place(finding)
    )
}

/// What is gone when the cause is put right.
fn follows(out: &mut String, follows: &[Finding]) {
    if follows.is_empty() {
        return;
    }
    out.push_str("<p class=\"small\">From this follows:</p>\n<ul class=\"small\">\n");
    for own in follows {
        let _ = writeln!(
            out,
            "<li>{} <span class=\"quiet\">({} at {})</span></li>",
            plain(&own.sentence),
            own.rule,
            plain(&own.path)
        );
    }
    out.push_str("</ul>\n");
}

fn place(finding: &Finding) -> String {
    let flat = finding.at.flat;
    let flat = flat.map_or_else(String::new, |p| {
        format!("; at ({:.2}, {:.2}) of the flat", p.x, p.y)
    });
    let body = finding.at.body;
    let body = body.map_or_else(String::new, |p| {
        let [x, y, z] = [p.x, p.y.abs(), p.z].map(|own| crate::rounded(own, 1));
        let side = match (y > 0.0, p.y > 0.0) {
            (false, _) => "on the centre line".to_owned(),
            (true, true) => format!("{y:.1} mm to the left"),
            (true, false) => format!("{y:.1} mm to the right"),
        };
        format!(", {x:.1} mm back, {side}, {z:.1} mm above rail")
    });
    flat + &body
}

fn waived(out: &mut String, judged: &Judgement) {
    if judged.waived.is_empty() {
        return;
    }
    out.push_str("<h2>Let pass</h2>\n<table><tr><th>rule</th><th>where</th><th>what</th><th>why it is let pass</th><th>until</th></tr>\n");
    for own in &judged.waived {
        let _ = writeln!(
            out,
            "<tr><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td></tr>",
            own.finding.rule,
            plain(&own.finding.path),
            plain(&own.finding.sentence),
            plain(&own.waiver.reason),
            own.waiver.until.as_deref().map_or_else(String::new, plain),
        );
    }
    out.push_str("</table>\n");
}

fn plates(out: &mut String, build: &TestBuild, left: &[Finding]) {
    let faulty = |id: &String| {
        left.iter()
            .any(|own| own.counts() && own.at.plate.as_ref() == Some(id))
    };
    out.push_str(
        "<h2>The drawn plates</h2>\n<table><tr><th>plate</th><th class=\"n\">outline off by mm</th>\
         <th class=\"n\">openings off by mm</th><th class=\"n\">measured at it and its joints</th><th class=\"n\">of them outside limits</th></tr>\n",
    );
    let mut lines: Vec<&PlateAsDrawn> = build.plates.iter().collect();
    lines.sort_by_key(|own| own.out_of_limits == 0 && !faulty(&own.plate));
    for own in lines {
        let out_of_limits = own.out_of_limits > 0 || faulty(&own.plate);
        let class = if out_of_limits { "error" } else { "good" };
        let _ = writeln!(
            out,
            "<tr class=\"{class}\"><td>{}</td><td class=\"n\">{:.3}</td><td class=\"n\">{:.3}</td><td class=\"n\">{}</td><td class=\"n\">{}</td></tr>",
            plain(&own.plate),
            own.outline_off_mm,
            own.openings_off_mm,
            own.measures,
            own.out_of_limits
        );
    }
    out.push_str("</table>\n");
}

fn measures(out: &mut String, build: &TestBuild) {
    out.push_str(
        "<h2>Every measure</h2>\n<table><tr><th>joint or feature</th><th>measure</th><th class=\"n\">drawn mm</th>\
         <th class=\"n\">should be</th><th class=\"n\">difference</th><th class=\"n\">allowed</th></tr>\n",
    );
    for own in &build.measures {
        let [low, high] = own.allowed_mm;
        let _ = writeln!(
            out,
            "<tr class=\"{}\"><td>{}</td><td>{}</td><td class=\"n\">{:.3}</td><td class=\"n\">{:.3}</td><td class=\"n\">{:+.3}</td><td class=\"n\">{low:.3} to {high:.3}</td></tr>",
            own.verdict,
            plain(&own.path),
            own.what,
            unsigned_zero(own.drawn_mm),
            unsigned_zero(own.should_be_mm),
            unsigned_zero(own.difference_mm),
        );
    }
    out.push_str("</table>\n");
}

/// To the thousandth, without a sign on nothing.
fn unsigned_zero(value: f64) -> f64 {
    crate::rounded(value, 3)
}

fn notes(out: &mut String, findings: &[Finding], build: &TestBuild) {
    let notes: Vec<&Finding> = findings
        .iter()
        .filter(|own| own.severity == Severity::Note)
        .collect();
    if notes.is_empty() && build.not_measured.is_empty() {
        return;
    }
    out.push_str("<h2>Worth knowing</h2>\n<ul>\n");
    for own in notes {
        let _ = writeln!(out, "<li>{}</li>", plain(&own.sentence));
    }
    for own in &build.not_measured {
        let _ = writeln!(
            out,
            "<li>not measured: {}: {}</li>",
            plain(&own.joint),
            plain(&own.reason)
        );
    }
    out.push_str("</ul>\n");
}

/// A text without anything that a page would take for its own.
fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            _ => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_drawing_cannot_write_into_the_page() {
        assert_eq!(plain("<b>\"&"), "&lt;b&gt;&quot;&amp;");
    }
}
