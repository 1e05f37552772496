//! Count, ceilings and findings as tables that a person can read in a terminal.

use std::io::{self, Write};

use super::Judged;
use crate::checks::{Finding, Severity, Standing, mend_for};

/// The caution that stands under every table, once.
pub(super) const CAUTION: &str =
    "Planning aid: licensed electricians, local codes, the landlord and the insurer decide.";

/// The count and the ceilings.
pub(super) fn headroom(judged: &Judged, out: &mut dyn Write) -> io::Result<()> {
    let plan = judged.layout.plan();
    let head = &judged.headroom;
    let phase = judged.layout.phase();
    let name = plan
        .phases()
        .get(usize::from(phase.0.saturating_sub(1)))
        .map_or("", |p| p.name.as_str());
    writeln!(out, "{}, phase {phase}: {name}", plan.head().name)?;
    writeln!(out)?;
    writeln!(out, "  {:>4}  printers placed", head.placed)?;
    if let Some(hoped) = head.hoped_for {
        writeln!(out, "  {hoped:>4}  hoped for")?;
    }
    let kind = head
        .leading
        .as_ref()
        .and_then(|id| judged.layout.stock().printers.get(id))
        .map_or("no printer kind yet", |k| k.name.as_str());
    writeln!(out)?;
    writeln!(out, "  Ceilings, each limit alone, counted in {kind}:")?;
    for ceiling in &head.ceilings {
        let allows = ceiling
            .allows
            .map_or_else(|| "?".to_owned(), |n| n.to_string());
        writeln!(out, "  {allows:>4}  {:<9} {}", ceiling.limit, ceiling.basis)?;
    }
    writeln!(out)
}

/// The open findings, worst first, and how many are met.
pub(super) fn findings(judged: &Judged, out: &mut dyn Write) -> io::Result<()> {
    let groups = [
        ("MUST FIX", Severity::MustFix, Standing::Broken),
        ("CAUTION", Severity::Caution, Standing::Broken),
        ("NOTE", Severity::Note, Standing::Broken),
    ];
    for (title, severity, standing) in groups {
        let listed: Vec<&Finding> = judged
            .findings
            .iter()
            .filter(|f| f.severity == severity && f.standing == standing)
            .collect();
        group(judged, title, &listed, out)?;
    }
    let unknown: Vec<&Finding> = judged
        .findings
        .iter()
        .filter(|f| f.standing == Standing::Unknown)
        .collect();
    group(judged, "UNKNOWN, a figure is missing", &unknown, out)?;
    let met = judged
        .findings
        .iter()
        .filter(|f| f.standing == Standing::Met)
        .count();
    writeln!(out, "  {met} findings are met.")?;
    writeln!(out, "  {CAUTION}")?;
    cautions(judged, out)
}

/// Who decides about the checks with something open, each once.
fn cautions(judged: &Judged, out: &mut dyn Write) -> io::Result<()> {
    let open = judged
        .findings
        .iter()
        .filter(|f| f.standing == Standing::Broken);
    let mut told: Vec<&str> = Vec::new();
    for finding in open {
        let caution = finding.caution();
        if caution.is_empty() || told.contains(&finding.check) {
            continue;
        }
        told.push(finding.check);
        writeln!(out, "    {:<14} {caution}", finding.check)?;
    }
    Ok(())
}

fn group(judged: &Judged, title: &str, listed: &[&Finding], out: &mut dyn Write) -> io::Result<()> {
    if listed.is_empty() {
        return Ok(());
    }
    writeln!(out, "  {title} ({})", listed.len())?;
    for finding in listed {
        writeln!(out, "    {:<14} {}", finding.check, finding.text)?;
        if let Some(reason) = finding.accepted(judged.layout.plan()) {
            writeln!(out, "    {:<14}   accepted: {reason}", "")?;
        }
        if let Some(mend) = mend_for(&judged.library, &judged.layout, &judged.findings, finding) {
            writeln!(out, "    {:<14}   mend: {}", "", mend.words)?;
        }
    }
    writeln!(out)
}
