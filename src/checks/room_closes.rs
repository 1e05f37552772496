//! Room closes: whether the tape's own measurements of the room agree with each other.

use super::again::Run;
use super::{Check, Finding, Severity, Standing};
use crate::layout::Layout;
use crate::plan::{Change, Measured, Room, Survey, UNSTATED_TOLERANCE};

pub(super) const CHECK: Check = Check {
    id: "room-closes",
    title: "The room's measurements agree",
    worst: Severity::Caution,
    what: "A room walked wall by wall with a tape comes back to where it began, and its diagonals fit.",
    why: "A wall written a foot wrong moves every rack along it, and shows only when the racks arrive.",
    how: "How far the walk misses its start against the tape's tolerance times the root of the number of walls; each diagonal against the corners that fit all measurements best.",
    blind: "Mistakes that cancel each other, walls that are not straight, and rooms whose corners were entered without diagonals.",
    caution: "",
    in_fill: false,
    limits: &[],
    run: Run::Whole(run),
    concerns: |change: &Change| change.ground,
};

fn run(layout: &Layout) -> Vec<Finding> {
    let room = layout.plan().room();
    if room.tape_walk().is_none() && room.diagonals.is_empty() {
        return Vec::new();
    }
    let survey = room.survey();
    let walk = room.tape_walk().map(|_| closes(layout, room, &survey));
    let diagonals = (!room.diagonals.is_empty()).then(|| fits(layout, room, &survey));
    walk.into_iter().chain(diagonals).collect()
}

fn closes(layout: &Layout, room: &Room, survey: &Survey) -> Finding {
    let practice = layout.plan().practice();
    let open = survey.is_open();
    let text = if open {
        let what = survey.sentences(room, practice).into_iter().next();
        let what = what.unwrap_or_else(|| "the walk round the room does not close".to_owned());
        let slip = room.slips(survey).first().map(|s| s.sentence(practice));
        let slip = slip.map_or_else(String::new, |s| format!("; to close it, {s}"));
        format!("{}{slip}.", crate::units::capital(&what))
    } else {
        "The walk round the room closes as well as the tape measures.".to_owned()
    };
    let standing = if open {
        Standing::Broken
    } else {
        Standing::Met
    };
    // Where lengths alone bear the shape, the turns were only looked at, and so is where they lead.
    let measured = (!survey.lengths_checked)
        .then_some(survey.closure)
        .flatten();
    Finding::new(CHECK.id, Severity::Caution, standing, Vec::new(), text)
        .facet("walk")
        .figure(
            measured.map(|c| c.length_mm),
            measured.map(|_| survey.closing_limit.mm()),
            "mm",
            "the tape's tolerance times the root of the number of walls (error of a series)",
        )
        .at(room.datum_corner(), 0.0)
}

fn fits(layout: &Layout, room: &Room, survey: &Survey) -> Finding {
    let practice = layout.plan().practice();
    let tolerance = room.tape_tolerance.unwrap_or(UNSTATED_TOLERANCE).mm();
    let worst = survey
        .measurements
        .iter()
        .filter(|m| matches!(m.what, Measured::Diagonal(_)))
        .map(|m| m.residual.abs())
        .fold(0.0, f64::max);
    let broken = worst > tolerance + crate::geometry::TOLERANCE_MM;
    let text = if broken {
        let shown = crate::units::Length::from_mm(worst).shown(practice);
        format!("A diagonal of the room fits the other measurements only to {shown}.")
    } else {
        "The diagonals fit the room.".to_owned()
    };
    let standing = if broken {
        Standing::Broken
    } else {
        Standing::Met
    };
    Finding::new(CHECK.id, Severity::Caution, standing, Vec::new(), text)
        .facet("diagonals")
        .figure(Some(worst), Some(tolerance), "mm", "the tape's tolerance")
        .at(room.datum_corner(), 0.0)
}
