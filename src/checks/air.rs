//! Air: what comes in from outdoors, and what to ask about fumes.

use super::again::Run;
use super::{Check, Finding, Severity, Standing, anything};
use crate::handbook::heat::outdoor_air_wanted_l_s;
use crate::layout::Layout;
use crate::plan::Question;
use crate::units::{air_flow_shown, area_shown};

pub(super) const CHECK: Check = Check {
    id: "air",
    title: "Air to breathe",
    worst: Severity::Caution,
    what: "The outdoor air of the room against what is asked of laboratories, and what to ask the landlord and the makers.",
    why: "Melting plastic gives off fumes and very fine dust; some irritate, and some plastics ask for exhaust. NIOSH, Approaches to Safe 3D Printing, puts exhaust, enclosure and fewer people before masks; a person licensed in ventilation and the local rules decide.",
    how: "No rate is published for rooms of printers: the one for laboratories, 5 L/s a person and 0.9 L/s a square metre (ASHRAE 62.1, table 6-1), stands in for it.",
    blind: "What the plastics give off, draughts, where the air is taken from, filters and their age.",
    caution: "A person licensed in ventilation and the local rules decide.",
    in_fill: false,
    limits: &[],
    run: Run::Whole(run),
    concerns: anything,
};

const SOURCE: &str = "ASHRAE 62.1 table 6-1, laboratories, in the place of a rate for printers that nobody published";

fn run(layout: &Layout) -> Vec<Finding> {
    if layout.printers().next().is_none() {
        return Vec::new();
    }
    let questions = [Question::Duct, Question::Emissions];
    vec![
        outdoors(layout),
        super::asked::finding(layout, CHECK.id, &questions, ""),
    ]
}

fn outdoors(layout: &Layout) -> Finding {
    let said = layout.plan().heat();
    let practice = layout.plan().practice();
    let flow = |l_s: f64| air_flow_shown(l_s, practice);
    let area = layout.room().area() / 1e6;
    let people = said.people.map(f64::from);
    let wanted = people.and_then(|people| outdoor_air_wanted_l_s(people, area));
    let comes = layout.outdoor_air_l_s();
    let (standing, text) = match (comes, wanted) {
        (None, _) => (
            Standing::Unknown,
            "How much air comes in from outdoors is not entered.".to_owned(),
        ),
        (Some(comes), None) => (
            Standing::Unknown,
            format!(
                "{} come in from outdoors; how many people are at work is not entered.",
                flow(comes)
            ),
        ),
        (Some(comes), Some(wanted)) if comes >= wanted - 1e-6 => (
            Standing::Met,
            format!(
                "{} come in from outdoors; a laboratory would ask for {}.",
                flow(comes),
                flow(wanted)
            ),
        ),
        (Some(comes), Some(wanted)) => (
            Standing::Broken,
            format!(
                "Only {} come in from outdoors; a laboratory of {} would ask for {}. Ask whoever sizes the ventilation.",
                flow(comes),
                area_shown(area, practice),
                flow(wanted)
            ),
        ),
    };
    Finding::new(CHECK.id, Severity::Caution, standing, Vec::new(), text)
        .facet("outdoors")
        .figure(comes, wanted, "L/s", SOURCE)
        .at(layout.room().bounds().centre(), 0.0)
}
