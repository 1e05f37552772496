//! Rack stability: the height of the top loaded level against the depth, and whether the rack is anchored.

use super::again::{Each, Run};
use super::{Check, Finding, Severity, Standing, anything};
use crate::layout::{Layout, Part};
use crate::plan::Limit;
use crate::units::ToOne;

pub(super) const CHECK: Check = Check {
    id: "rack-stability",
    title: "Racks do not tip",
    worst: Severity::Caution,
    what: "The height of the top loaded level of every rack by its depth, and whether the plan says that it is fixed.",
    why: "A tall narrow rack tips when somebody leans on it or pulls a machine out, and takes its neighbours with it.",
    how: "From the floor to the top of the uppermost board with printers or stores, by the rack's outside depth. The maker's instructions and a licensed engineer decide how it is fixed.",
    blind: "What the floor or wall holds, heavy machines above light ones, earthquakes, and carts that run into posts.",
    caution: "The maker's instructions and a licensed engineer decide how a rack is fixed.",
    in_fill: false,
    limits: &["rack-fix", "rack-slender", "rack-tall"],
    run: Run::Each(Each::of_racks(|layout, part| {
        on_rack(layout, part).into_iter().collect()
    })),
    concerns: anything,
};

fn on_rack(layout: &Layout, part: &Part) -> Option<Finding> {
    let load = layout.rack_load(part)?;
    let top = load.loaded().map(|l| l.top).max()?;
    let depth = load.kind.depth;
    let ratio = top.mm() / depth.mm().max(1.0);
    let limits = layout.limits();
    let anchored = layout.plan().rack(part.id)?.anchored;
    let over = |limit: &Limit<ToOne>| ratio > limit.value.value() + 1e-9;
    let (standing, limit, words) = match anchored {
        _ if over(&limits.rack_tall) => (
            Standing::Broken,
            &limits.rack_tall,
            "it needs ties overhead or anchors that an engineer has worked out",
        ),
        Some(true) if over(&limits.rack_slender) => (
            Standing::Met,
            &limits.rack_tall,
            "it is anchored; see that its anchors are made to hold it against tipping",
        ),
        Some(true) => (Standing::Met, &limits.rack_slender, "it is anchored"),
        _ if over(&limits.rack_slender) => (
            Standing::Broken,
            &limits.rack_slender,
            "it needs anchors that hold it against tipping, and the plan names none",
        ),
        Some(false) if over(&limits.rack_fix) => (
            Standing::Broken,
            &limits.rack_fix,
            "it stands free; fix it to the wall or the floor",
        ),
        None if over(&limits.rack_fix) => (
            Standing::Unknown,
            &limits.rack_fix,
            "whether it is anchored is not entered",
        ),
        _ => (Standing::Met, &limits.rack_fix, "it stands by itself"),
    };
    let shown = |length: crate::units::Length| length.shown(layout.plan().practice());
    let text = format!(
        "The top loaded level of {} is at {}, {ratio:.2} times its depth of {}; {words}.",
        part.id,
        shown(top),
        shown(depth)
    );
    let measured = Some(ratio);
    Some(
        Finding::new(CHECK.id, Severity::Caution, standing, vec![part.id], text)
            .figure(
                measured,
                Some(limit.value.value()),
                "1",
                &limit.source_words(),
            )
            .at(part.spot, top.mm()),
    )
}
