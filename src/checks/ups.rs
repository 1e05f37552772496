//! UPS: watts and volt-amperes of what hangs on each, and its receptacles.

use super::again::{Each, Run, never};
use super::circuits::verdict;
use super::{Check, Finding, Severity, Standing, anything};
use crate::layout::{Layout, Part, Total, UpsLoad};
use crate::plan::{Id, Item, ItemKind, Ups};
use crate::stock::UpsKind;
use crate::units::{VoltAmps, Watts};

pub(super) const CHECK: Check = Check {
    id: "ups",
    title: "UPS carry what hangs on them",
    worst: Severity::MustFix,
    what: "Running watts and volt-amperes against the usual margin of a UPS, peak watts and volt-amperes against its full rating, plugs against receptacles; that it is plugged in at all.",
    why: "An overloaded UPS drops its load at the very moment it is needed.",
    how: "Both ratings bind: the sum of watts and the sum of volt-amperes of the printers plugged into it.",
    blind: "How long the battery lasts (see the bad days) and how old it is. A UPS can only be plugged into an outlet: a file in which one hangs on another is refused.",
    caution: "A licensed electrician and the maker's sheet decide.",
    in_fill: false,
    limits: &["ups-share"],
    run: Run::Each(EACH),
    concerns: anything,
};

/// A UPS is judged by what hangs on it and by where it stands.
const EACH: Each = Each {
    is: |part| part.kind == ItemKind::Ups,
    judge: |layout, part| about(layout, part).unwrap_or_default(),
    touched: never,
    by_power: true,
};

fn about(layout: &Layout, part: &Part) -> Option<Vec<Finding>> {
    let Some(Item::Ups(ups)) = layout.plan().items().get(part.id) else {
        return None;
    };
    let load = layout.power().supplies.get(&part.id)?;
    let kind = layout.stock().ups.get(&ups.kind)?;
    Some(on_ups(layout, part, ups, (kind, load)))
}

fn on_ups(
    layout: &Layout,
    part: &Part,
    ups: &Ups,
    (kind, load): (&UpsKind, &UpsLoad),
) -> Vec<Finding> {
    let share = &layout.limits().ups_share;
    let margin = share.value.value();
    let full = "rating of the UPS";
    let near = share.source_words();
    let watts = kind.watts.map(Watts::value);
    let va = kind.volt_amperes.map(VoltAmps::value);
    let l = &load.load;
    let mut findings = vec![
        power(
            part,
            ("running", "W"),
            &l.running_w,
            watts.map(|w| w * margin),
            &near,
        ),
        power(
            part,
            ("running", "VA"),
            &l.running_va,
            va.map(|v| v * margin),
            &near,
        ),
        power(part, ("at the peak", "W"), &l.peak_w, watts, full),
        power(part, ("at the peak", "VA"), &l.peak_va, va, full),
    ];
    let plugs = load.printers.len();
    let has = usize::from(kind.receptacles);
    if plugs > has {
        let text = format!("{} has {has} receptacles and {plugs} plugs.", part.id);
        findings.push(
            finding(part.id, Standing::Broken, text)
                .facet("receptacles")
                .figure(Some(plugs as f64), Some(has as f64), "1", full)
                .at(part.spot, part.spot_height),
        );
    }
    // An outlet of a later phase is nothing to plug into yet.
    let there = |outlet: &Id| layout.power().outlets.contains_key(outlet);
    if !ups.outlet.as_ref().is_some_and(there) && plugs > 0 {
        let into = ups.outlet.map_or("nothing".to_owned(), |outlet| {
            format!("{outlet}, which is not there in this phase")
        });
        let text = format!(
            "{} is plugged into {into}, and {plugs} printers hang on it.",
            part.id
        );
        findings.push(
            finding(part.id, Standing::Broken, text)
                .facet("plugged in")
                .figure(Some(plugs as f64), Some(0.0), "1", "a UPS needs an outlet")
                .at(part.spot, part.spot_height),
        );
    }
    findings
}

fn power(
    part: &Part,
    (when, unit): (&str, &'static str),
    total: &Total,
    allowed: Option<f64>,
    source: &str,
) -> Finding {
    let Some(allowed) = allowed else {
        let text = format!("The rating of {} in {unit} is not entered.", part.id);
        return finding(part.id, Standing::Unknown, text)
            .facet(format!("{when} {unit}"))
            .figure(None, None, unit, source)
            .at(part.spot, part.spot_height);
    };
    let (standing, missing) = verdict(total, allowed);
    let text = format!(
        "{} carries {:.0} {unit} {when}{missing}; {allowed:.0} {unit} may hang on it.",
        part.id, total.known
    );
    let measured = (standing != Standing::Unknown).then_some(total.known);
    finding(part.id, standing, text)
        .facet(format!("{when} {unit}"))
        .figure(measured, Some(allowed), unit, source)
        .at(part.spot, part.spot_height)
}

fn finding(id: Id, standing: Standing, text: String) -> Finding {
    Finding::new(CHECK.id, Severity::MustFix, standing, vec![id], text)
}
