//! Supply: what all circuits draw together against panel, feeder and service, and the places in the panel.

use super::again::{Before, Run, Turn};
use super::{Check, Finding, Severity, Standing, anything};
use crate::layout::{Layout, LegLoad, Part, SupplyLoad};
use crate::plan::{Id, ItemKind, Limit, Panel};
use crate::units::{Amps, Ratio};

pub(super) const CHECK: Check = Check {
    id: "supply",
    title: "Panel, feeder and service carry the circuits",
    worst: Severity::MustFix,
    what: "The amperes of all circuits of the phase together, leg by leg, against the panel's main breaker, the feeder and the service, each within the share that the room may use; new circuits against the free places in the panel.",
    why: "A full panel or a small feeder ends a build-out, and a larger one takes the landlord, the utility and weeks.",
    how: "Amperes of circuits on one leg are added; of circuits whose leg nobody said, at least what an even spread gives and at most all on the fullest leg. Running amperes against the share for long loads, peak amperes against the rating. A new breaker takes one place a pole.",
    blind: "What else hangs on the same service, demand factors of the code, harmonic currents in a shared neutral, and that currents of three phases add up to less than their sum where a circuit lies between two legs.",
    caution: "A licensed electrician, the landlord and the local code decide.",
    in_fill: false,
    limits: &["continuous-share", "breaker-share"],
    run: Run::Unless(run, may_alter),
    concerns: anything,
};

/// A rating that the circuits are held against.
struct Rated<'a> {
    /// What it is, as in "the feeder".
    what: &'static str,
    rating: Amps,
    share: Ratio,
    /// The panel, where it is that.
    panel: Option<&'a Part>,
}

fn run(layout: &Layout) -> Vec<Finding> {
    if layout.power().circuits.is_empty() {
        return Vec::new();
    }
    let supply = layout.plan().supply();
    let share = supply.share.unwrap_or(Ratio::fixed(1.0));
    let whole = [
        ("the feeder", supply.feeder),
        ("the service", supply.service),
    ];
    let mut rated: Vec<Rated<'_>> = whole
        .into_iter()
        .filter_map(|(what, rating)| {
            Some(Rated {
                what,
                rating: rating?,
                share,
                panel: None,
            })
        })
        .collect();
    for (part, panel) in layout.panels() {
        rated.extend(panel.main.map(|rating| Rated {
            what: "the main breaker",
            rating,
            share: Ratio::fixed(1.0),
            panel: Some(part),
        }));
    }
    let mut findings: Vec<Finding> = rated.iter().flat_map(|r| judged(layout, r)).collect();
    if rated.is_empty() {
        findings.push(unrated(layout));
    }
    findings.extend(
        layout
            .panels()
            .filter_map(|(part, panel)| places(layout, part, panel)),
    );
    findings
}

/// False where a change leaves who hangs on what and the panels as they were.
fn may_alter(turn: &Turn<'_>, _: &Before) -> bool {
    !turn.hangs_as_before() || turn.moved_parts().any(|part| part.kind == ItemKind::Panel)
}

/// The panels as marks, so that a finding about all of them has a place.
fn marks(layout: &Layout, panel: Option<&Part>) -> Vec<Id> {
    panel.map_or_else(
        || layout.panels().map(|(part, _)| part.id).collect(),
        |part| vec![part.id],
    )
}

fn judged(layout: &Layout, rated: &Rated<'_>) -> [Finding; 2] {
    let drawn: SupplyLoad = layout.drawn_from(rated.panel.map(|p| p.id));
    let limits = layout.limits();
    let judge = |when: &'static str, load: &LegLoad, share: &Limit<Ratio>| {
        let allowed = rated.rating.value() * rated.share.value() * share.value.value();
        let (standing, verdict) = standing(load, allowed);
        let agreed = if rated.share.value() < 1.0 {
            format!(", {} of it agreed for this room", rated.share.shown())
        } else {
            String::new()
        };
        let text = format!(
            "{} circuits draw {} on the fullest leg {when} from {}{}{verdict}; {allowed:.1} A of its {}{agreed} may be taken so.",
            drawn.circuits,
            range(load),
            rated.what,
            rated
                .panel
                .map_or(String::new(), |p| format!(" of {}", p.id)),
            rated.rating.shown(),
        );
        let measured = (standing != Standing::Unknown).then(|| load.at_least());
        let source = share.source_words();
        let finding = Finding::new(
            CHECK.id,
            Severity::MustFix,
            standing,
            marks(layout, rated.panel),
            text,
        )
        .facet(format!("{} {when}", rated.what))
        .figure(measured, Some(allowed), "A", &source);
        placed(layout, rated.panel, finding)
    };
    [
        judge("running", &drawn.running, &limits.continuous_share),
        judge("at the peak", &drawn.peak, &limits.breaker_share),
    ]
}

/// Amperes in words: one figure, or a range where legs are unknown.
fn range(load: &LegLoad) -> String {
    let (low, high) = (load.at_least(), load.at_most());
    if high - low > 0.05 {
        format!("{low:.1} to {high:.1} A")
    } else {
        format!("{low:.1} A")
    }
}

/// Broken where even the best spread over the legs is too much; unknown where a figure is missing, or the worst spread is.
fn standing(load: &LegLoad, allowed: f64) -> (Standing, String) {
    let over = |amperes: f64| amperes > allowed + 1e-9;
    if over(load.at_least()) {
        (Standing::Broken, String::new())
    } else if !load.missing.is_empty() {
        let text = format!(", with {} figures missing", load.missing.len());
        (Standing::Unknown, text)
    } else if over(load.at_most()) {
        let text = ", as circuits are spread over the legs, which nobody said".to_owned();
        (Standing::Unknown, text)
    } else {
        (Standing::Met, String::new())
    }
}

fn placed(layout: &Layout, panel: Option<&Part>, finding: Finding) -> Finding {
    let first = layout.panels().next().map(|(part, _)| part);
    match panel.or(first) {
        Some(part) => finding.at(part.spot, part.spot_height),
        None => finding,
    }
}

fn unrated(layout: &Layout) -> Finding {
    let text = "What the supply gives is not entered: ask the landlord for the rating of service and feeder, and which share this room may use.";
    let finding = Finding::new(
        CHECK.id,
        Severity::MustFix,
        Standing::Unknown,
        marks(layout, None),
        text.to_owned(),
    )
    .facet("rating")
    .figure(None, None, "A", "the ratings as entered");
    placed(layout, None, finding)
}

/// New circuits against the free places of their panel.
fn places(layout: &Layout, part: &Part, panel: &Panel) -> Option<Finding> {
    let places = layout.places_in(part.id);
    if places.taken == 0 {
        return None;
    }
    let (standing, words) = match panel.free.map(u32::from) {
        None => (
            Standing::Unknown,
            "how many are free is not entered".to_owned(),
        ),
        Some(free) => {
            let all = free + places.given;
            let standing = if places.taken > all {
                Standing::Broken
            } else {
                Standing::Met
            };
            (standing, format!("{all} are free"))
        }
    };
    let text = format!(
        "New circuits take {} places in {}, and {words}.",
        places.taken, part.id
    );
    let free = panel.free.map(|f| f64::from(f) + f64::from(places.given));
    Some(
        Finding::new(CHECK.id, Severity::MustFix, standing, vec![part.id], text)
            .facet("places")
            .figure(
                Some(f64::from(places.taken)),
                free,
                "1",
                "free places of the panel as entered",
            )
            .at(part.spot, part.spot_height),
    )
}
