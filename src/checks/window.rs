//! Window: what stands above the sill before it takes its light, its air and, for a way out, its use.

use super::again::Run;
use super::{Check, Finding, Severity, Standing, anything};
use crate::geometry::TOLERANCE_MM;
use crate::layout::{Heights, Layout, Opening, Part, Solid};
use crate::units::Length;

pub(super) const CHECK: Check = Check {
    id: "window",
    title: "Windows stay free",
    worst: Severity::MustFix,
    what: "Nothing stands above the sill before a window; before a window that serves as a way out nothing stands at all.",
    why: "A window behind a rack gives no light, cannot be opened or cleaned, and is no way out.",
    how: "Every body that comes within the aisle's depth of the glass over the window's width, and how far it rises above the sill.",
    blind: "Blinds, reveals, and how the window opens.",
    caution: "The local code says which windows count as a way out.",
    in_fill: true,
    limits: &["aisle"],
    run: Run::Whole(run),
    concerns: anything,
};

fn run(layout: &Layout) -> Vec<Finding> {
    layout
        .parts()
        .filter_map(|part| part.opening.as_ref().map(|o| (part.as_ref(), o)))
        .flat_map(|(part, opening)| judged(layout, part, opening))
        .collect()
}

fn judged(layout: &Layout, part: &Part, opening: &Opening) -> Vec<Finding> {
    let Some(floor) = opening.floor_before(layout.limits().aisle.value) else {
        return Vec::new();
    };
    let severity = if opening.way_out {
        Severity::MustFix
    } else {
        Severity::Caution
    };
    let forbidden = Heights {
        low: if opening.way_out {
            0.0
        } else {
            opening.heights.low
        },
        high: opening.heights.high,
    };
    let mut findings: Vec<Finding> = layout
        .solids()
        .filter(|(_, s)| s.heights.overlap(forbidden) && s.shape.overlaps(&floor))
        .map(|(other, solid)| {
            before(layout, part, opening, (other, solid), severity).marking(&floor)
        })
        .collect();
    if findings.is_empty() {
        let text = format!("Window {} is free.", part.id);
        findings.push(
            Finding::new(CHECK.id, severity, Standing::Met, vec![part.id], text)
                .figure(Some(0.0), Some(0.0), "mm", "the window's own sill")
                .at(part.spot, opening.heights.low),
        );
    }
    findings
}

fn before(
    layout: &Layout,
    part: &Part,
    opening: &Opening,
    (other, solid): (&Part, &Solid),
    severity: Severity,
) -> Finding {
    let practice = layout.plan().practice();
    let above = solid.heights.high - opening.heights.low;
    let text = if above > TOLERANCE_MM {
        format!(
            "{} rises {} above the sill of window {}.",
            other.id,
            Length::from_mm(above).shown(practice),
            part.id
        )
    } else {
        format!(
            "{} stands before window {}, which is a way out.",
            other.id, part.id
        )
    };
    let source = if opening.way_out {
        layout.limits().aisle.source_words()
    } else {
        "the window's own sill".to_owned()
    };
    Finding::new(
        CHECK.id,
        severity,
        Standing::Broken,
        vec![other.id, part.id],
        text,
    )
    .figure(Some(above.max(0.0)), Some(0.0), "mm", &source)
    .at(part.spot, opening.heights.low)
}
