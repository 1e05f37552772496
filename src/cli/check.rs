//! `check`: the findings of a plan in one phase, as a table or as JSON.

use std::path::Path;

use serde::Serialize;

use super::{Ending, Judged, Trouble, World, text};
use crate::checks::{Finding, mend_for};

/// The JSON of `check`. Fields may be added, never renamed.
#[derive(Debug, Serialize)]
struct Report<'a> {
    plan: &'a str,
    phase: u8,
    printers: u32,
    slots: u32,
    headroom: Vec<CeilingRow>,
    findings: Vec<FindingRow<'a>>,
}

#[derive(Debug, Serialize)]
struct CeilingRow {
    limit: &'static str,
    allows: Option<u32>,
}

#[derive(Debug, Serialize)]
struct FindingRow<'a> {
    check: &'static str,
    severity: &'static str,
    standing: &'static str,
    accepted: Option<&'a str>,
    items: Vec<String>,
    measured: Option<f64>,
    limit: Option<f64>,
    unit: &'static str,
    source: &'a str,
    at_mm: Option<[f64; 3]>,
    text: &'a str,
    caution: Option<&'static str>,
    mend: Option<String>,
}

pub(super) fn run(
    plan: &Path,
    phase: Option<&str>,
    json: bool,
    world: &mut World<'_>,
) -> Result<Ending, Trouble> {
    let judged = Judged::open(plan, phase)?;
    if json {
        let report = serde_json::to_string_pretty(&report(&judged))
            .map_err(|e| Trouble::Words(format!("the report cannot be written as JSON: {e}")))?;
        writeln!(world.out, "{report}")?;
    } else {
        text::headroom(&judged, world.out)?;
        text::findings(&judged, world.out)?;
    }
    Ok(if judged.broken() {
        Ending::Broken
    } else {
        Ending::Done
    })
}

fn report(judged: &Judged) -> Report<'_> {
    Report {
        plan: judged.layout.plan().head().name.as_str(),
        phase: judged.layout.phase().0,
        printers: judged.headroom.placed,
        slots: judged.headroom.slots,
        headroom: judged
            .headroom
            .ceilings
            .iter()
            .map(|c| CeilingRow {
                limit: c.limit,
                allows: c.allows,
            })
            .collect(),
        findings: judged.findings.iter().map(|f| row(judged, f)).collect(),
    }
}

fn row<'a>(judged: &'a Judged, finding: &'a Finding) -> FindingRow<'a> {
    FindingRow {
        check: finding.check,
        severity: finding.severity.key(),
        standing: finding.standing.word(),
        accepted: finding
            .accepted(judged.layout.plan())
            .map(crate::plan::Label::as_str),
        items: finding.items.iter().map(ToString::to_string).collect(),
        measured: finding.measured.map(tidy),
        limit: finding.limit.map(tidy),
        unit: finding.unit,
        source: &finding.source,
        at_mm: finding
            .at
            .map(|at| [tidy(at.point.x), tidy(at.point.y), tidy(at.height)]),
        text: &finding.text,
        caution: Some(finding.caution()).filter(|words| !words.is_empty()),
        mend: mend_for(&judged.library, &judged.layout, &judged.findings, finding).map(|m| m.words),
    }
}

/// To a ten-thousandth, so that the last bits of a sum do not show.
fn tidy(value: f64) -> f64 {
    (value * 1e4).round() / 1e4
}
