//! Findings that are let pass for a reason, in a file beside the model.

use crate::Occasion;
use body::{Finding, FindingPlace, ModelError, Problem, Severity, line_and_column};
use serde::Serialize;
use std::ops::Range;
use toml::de::{DeTable, DeValue};
use utoipa::ToSchema;

/// The most bytes that a file of waivers may have.
pub const MAX_WAIVER_BYTES: usize = 256 * 1024;

/// One finding, or those of one plate, that is let pass.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct Waiver {
    /// The rule's word.
    pub rule: String,
    /// The finding's path, or the plate that it is about.
    pub path: String,
    /// Why it is let pass.
    pub reason: String,
    /// The last day on which it holds, `2027-03-31`; always, if there is none.
    pub until: Option<String>,
    /// Line of the file.
    pub line: usize,
}

/// A finding that is let pass.
#[derive(Clone, Debug, PartialEq)]
pub struct Waived {
    /// The finding.
    pub finding: Finding,
    /// What lets it pass.
    pub waiver: Waiver,
}

/// Findings sorted by waivers.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Judgement {
    /// Those that stand.
    pub left: Vec<Finding>,
    /// Those that are let pass.
    pub waived: Vec<Waived>,
}

impl Judgement {
    /// Those that stand and are about waivers that let nothing pass.
    pub fn waiver_notes(&self) -> impl Iterator<Item = &Finding> {
        let about = |own: &&Finding| [IDLE, OVER].contains(&own.rule);
        self.left.iter().filter(about)
    }
}

/// Rules that waivers themselves may break.
const IDLE: &str = "waiver-idle";
const OVER: &str = "waiver-over";

/// What a file of waivers says.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Waivers {
    /// Name of the file, for messages.
    pub file: String,
    /// Its waivers in order.
    pub waivers: Vec<Waiver>,
}

impl Waivers {
    /// Name of the file of waivers of a model: `class-b.waivers.toml` of `class-b.toml`.
    pub fn name_of(model_file: &str) -> String {
        let stem = model_file.strip_suffix(".toml").unwrap_or(model_file);
        format!("{stem}.waivers.toml")
    }

    /// Reads a file of waivers; `file` is what messages call it.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with it, each with line and column.
    pub fn read(file: &str, bytes: &[u8]) -> Result<Self, ModelError> {
        let text = ModelError::text_of(
            file,
            bytes,
            MAX_WAIVER_BYTES,
            "a file of waivers holds a few words for each",
        )?;
        let mut reading = Reading {
            text,
            problems: Vec::new(),
            waivers: Vec::new(),
        };
        match DeTable::parse(text) {
            Ok(root) => reading.root(root.get_ref()),
            Err(error) => reading.put_down(
                "",
                error.span().unwrap_or(0..0),
                format!("this is not TOML: {}", error.message().trim()),
                USUAL,
            ),
        }
        if reading.problems.is_empty() {
            return Ok(Self {
                file: file.to_owned(),
                waivers: reading.waivers,
            });
        }
        Err(ModelError::in_text(file, text, reading.problems))
    }

    /// Sorts the findings of one occasion: those that a waiver lets pass on the day `today` (`2026-11-25`), and the others.
    ///
    /// Notes never count and are not waived. A waiver of a rule of this occasion that lets nothing pass, and one whose day is
    /// over, is itself a note among those that are left.
    pub fn judge(&self, findings: Vec<Finding>, occasion: Occasion, today: &str) -> Judgement {
        let mut judgement = Judgement::default();
        let mut used = vec![false; self.waivers.len()];
        for finding in findings {
            match self.fitting(&finding, today) {
                Some(i) => {
                    used[i] = true;
                    judgement.waived.push(Waived {
                        finding,
                        waiver: self.waivers[i].clone(),
                    });
                }
                None => judgement.left.push(finding),
            }
        }
        for (waiver, used) in self.waivers.iter().zip(used) {
            if !used && occasion.has_looked_for(&waiver.rule) {
                judgement.left.push(self.idle(waiver, today));
            }
        }
        judgement
    }

    /// Whether a waiver lets a finding pass on the day `today`.
    pub fn let_pass(&self, finding: &Finding, today: &str) -> bool {
        self.fitting(finding, today).is_some()
    }

    fn fitting(&self, finding: &Finding, today: &str) -> Option<usize> {
        let fits = |own: &Waiver| own.lets_pass(finding) && own.holds_on(today);
        self.waivers
            .iter()
            .position(fits)
            .filter(|_| finding.counts())
    }

    fn idle(&self, waiver: &Waiver, today: &str) -> Finding {
        let (rule, sentence) = match &waiver.until {
            Some(until) if !waiver.holds_on(today) => (
                OVER,
                format!(
                    "line {} of {}: the waiver of {} at {} held until {until}",
                    waiver.line, self.file, waiver.rule, waiver.path
                ),
            ),
            _ => (
                IDLE,
                format!(
                    "line {} of {}: nothing was found of {} at {}, so the waiver can go",
                    waiver.line, self.file, waiver.rule, waiver.path
                ),
            ),
        };
        Finding {
            path: waiver.path.clone(),
            rule,
            severity: Severity::Note,
            found: 0.0,
            limit: 0.0,
            at: FindingPlace::default(),
            sentence,
        }
    }
}

impl Waiver {
    fn lets_pass(&self, finding: &Finding) -> bool {
        self.rule == finding.rule
            && (self.path == finding.path || finding.at.plate.as_ref() == Some(&self.path))
    }

    /// Days are written so that they compare as texts.
    fn holds_on(&self, today: &str) -> bool {
        self.until.as_deref().is_none_or(|until| today <= until)
    }
}

/// What a waiver looks like.
const USUAL: &str =
    "a waiver is  [[waive]]  with  rule, path, reason  and perhaps  until = \"2027-03-31\"";

struct Reading<'t> {
    text: &'t str,
    problems: Vec<Problem>,
    waivers: Vec<Waiver>,
}

impl Reading<'_> {
    fn put_down(&mut self, path: &str, span: Range<usize>, message: String, help: &str) {
        let (line, column) = line_and_column(self.text, span.start);
        self.problems.push(Problem {
            path: path.to_owned(),
            line,
            column,
            span,
            message,
            help: help.to_owned(),
        });
    }

    fn root(&mut self, root: &DeTable<'_>) {
        for (key, value) in root {
            let name = key.get_ref().as_ref();
            let (DeValue::Array(all), "waive") = (value.get_ref(), name) else {
                self.put_down(
                    name,
                    key.span(),
                    format!("there is no key {name} here"),
                    USUAL,
                );
                continue;
            };
            for own in all {
                match own.get_ref() {
                    DeValue::Table(table) => self.waiver(table, own.span()),
                    _ => self.put_down(name, own.span(), "this is no waiver".to_owned(), USUAL),
                }
            }
        }
    }

    fn waiver(&mut self, table: &DeTable<'_>, span: Range<usize>) {
        let [mut rule, mut path, mut reason, mut until] = [const { None::<String> }; 4];
        for (key, value) in table {
            let name = key.get_ref().as_ref();
            let place = match name {
                "rule" => &mut rule,
                "path" => &mut path,
                "reason" => &mut reason,
                "until" => &mut until,
                _ => {
                    self.put_down(
                        name,
                        key.span(),
                        format!("a waiver has no key {name}"),
                        USUAL,
                    );
                    continue;
                }
            };
            match value.get_ref() {
                DeValue::String(text) => *place = Some(text.as_ref().to_owned()),
                _ => {
                    self.put_down(name, value.span(), format!("{name} is a text"), USUAL);
                    continue;
                }
            }
            self.look_at(name, value.span(), &rule, &until);
        }
        let missing: Vec<&str> = [("rule", &rule), ("path", &path), ("reason", &reason)]
            .into_iter()
            .filter(|(_, value)| value.as_ref().is_none_or(|text| text.trim().is_empty()))
            .map(|(name, _)| name)
            .collect();
        if let (Some(rule), Some(path), Some(reason), true) =
            (rule, path, reason, missing.is_empty())
        {
            let (line, _) = line_and_column(self.text, span.start);
            self.waivers.push(Waiver {
                rule,
                path,
                reason,
                until,
                line,
            });
        } else if !missing.is_empty() {
            let message = format!("this waiver lacks {}", missing.join(" and "));
            self.put_down("waive", span, message, USUAL);
        }
    }

    /// A rule that there is, and a day that is one.
    fn look_at(
        &mut self,
        name: &str,
        span: Range<usize>,
        rule: &Option<String>,
        until: &Option<String>,
    ) {
        if let ("rule", Some(rule)) = (name, rule)
            && crate::RULES.iter().all(|own| own.word != rule)
        {
            let message = format!("there is no rule {rule}");
            self.put_down(
                name,
                span,
                message,
                "the words of rules are those that findings show",
            );
        } else if let ("until", Some(until)) = (name, until)
            && !is_day(until)
        {
            self.put_down(
                name,
                span,
                format!("{until} is no day"),
                "a day is written year, month, day: \"2027-03-31\"",
            );
        }
    }
}

fn is_day(text: &str) -> bool {
    let parts: Vec<&str> = text.split('-').collect();
    let number = |text: &str, width: usize| {
        (text.len() == width)
            .then(|| text.parse::<u32>().ok())
            .flatten()
    };
    let [year, month, day] = parts[..] else {
        return false;
    };
    number(year, 4).is_some()
        && number(month, 2).is_some_and(|month| (1..=12).contains(&month))
        && number(day, 2).is_some_and(|day| (1..=31).contains(&day))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn finding(rule: &'static str, path: &str, plate: &str) -> Finding {
        Finding {
            path: path.to_owned(),
            rule,
            severity: Severity::Error,
            found: 1.0,
            limit: 0.0,
            at: FindingPlace {
                plate: Some(plate.to_owned()),
                ..FindingPlace::default()
            },
            sentence: String::new(),
        }
    }

    const FILE: &str = "[[waive]]\nrule = \"outline\"\npath = \"cab-front\"\nreason = \"filed by hand\"\n\n\
        [[waive]]\nrule = \"fit\"\npath = \"a~b\"\nreason = \"eased\"\nuntil = \"2026-12-31\"\n";

    #[test]
    fn waived_findings_are_taken_out_and_idle_waivers_are_notes() {
        let waivers = Waivers::read("x.waivers.toml", FILE.as_bytes()).unwrap();
        let findings = vec![
            finding("outline", "cab-front/top", "cab-front"),
            finding("outline", "cab-back/top", "cab-back"),
        ];
        let judged = waivers.judge(findings, Occasion::Artwork, "2026-11-25");
        assert_eq!(judged.waived.len(), 1);
        assert_eq!(judged.waived[0].waiver.reason, "filed by hand");
        let rules: Vec<&str> = judged.left.iter().map(|own| own.rule).collect();
        assert_eq!(rules, ["outline", "waiver-idle"]);
        // Without the drawing nobody knows whether it breaks the rule of the first.
        let alone = waivers.judge(Vec::new(), Occasion::Body, "2026-11-25");
        let paths: Vec<&str> = alone.left.iter().map(|own| own.path.as_str()).collect();
        assert_eq!(paths, ["a~b"]);
        let fits = vec![finding("fit", "a~b", "a")];
        assert_eq!(
            waivers
                .judge(fits.clone(), Occasion::Body, "2026-12-31")
                .waived
                .len(),
            1
        );
        let late = waivers.judge(fits, Occasion::Body, "2027-01-01");
        assert!(late.waived.is_empty());
        assert!(
            late.left
                .iter()
                .any(|own| own.rule == "waiver-over" && !own.counts())
        );
    }

    #[test]
    fn what_is_wrong_is_said_with_its_place() {
        let text = "[[waive]]\nrule = \"outlin\"\npath = \"a\"\nreason = \"b\"\nuntil = \"soon\"\n[[waive]]\nrule = \"fit\"\n[other]\n";
        let error = Waivers::read("x", text.as_bytes()).unwrap_err();
        let places: Vec<(usize, &str)> = error
            .problems
            .iter()
            .map(|own| (own.line, own.path.as_str()))
            .collect();
        assert_eq!(
            places,
            [(2, "rule"), (5, "until"), (6, "waive"), (8, "other")]
        );
    }
}
