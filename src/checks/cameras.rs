//! Cameras: which printers each of them sees, and which none does.

use std::collections::BTreeMap;

use super::again::{Before, Run, Turn};
use super::finding::counted;
use super::{Check, Finding, Severity, Standing, anything};
use crate::layout::{Layout, Part, Unseen};
use crate::plan::{Id, ItemKind};

pub(super) const CHECK: Check = Check {
    id: "cameras",
    title: "Cameras see the printers",
    worst: Severity::Note,
    what: "Which printers each camera sees, and which none does.",
    why: "A failed print that nobody sees runs on, wastes its spool and may clog the machine. A camera is no fire alarm and takes no one's place.",
    how: "A straight line from the lens to the middle of the printer's front at half its height: in range, inside the picture across and up and down, from before the front, and past walls, other racks and all other bodies as they stand with their heights. A printer's own rack hides it with its closed sides alone.",
    blind: "Posts and boards of its own rack, glare, darkness, reflections, how sharp the picture is; whole racks count as solid though one may see through them. Where cameras may watch people is for the local law.",
    caution: "",
    in_fill: false,
    limits: &[],
    run: Run::Unless(run, may_alter),
    concerns: anything,
};

/// The most marks that a sentence names.
const NAMED_MOST: usize = 6;

const SOURCE: &str = "angles and range as entered for the camera";

/// Where there is no camera before and after, nothing is seen otherwise.
fn may_alter(turn: &Turn<'_>, _: &Before) -> bool {
    let watched = |layout: &Layout| layout.of_kind(ItemKind::Camera).next().is_some();
    watched(turn.old) || watched(turn.new)
}

fn run(layout: &Layout) -> Vec<Finding> {
    let mut unseen: BTreeMap<Id, Option<(Id, Unseen)>> =
        layout.printers().map(|(_, p)| (p.id, None)).collect();
    let mut seen_by_any: Vec<Id> = Vec::new();
    let mut found = Vec::new();
    let mut cameras = 0_usize;
    for part in layout.of_kind(ItemKind::Camera) {
        let view = match layout.view_of(part) {
            Some(Ok(view)) => view,
            Some(Err(missing)) => {
                found.push(unknown(part, &missing));
                continue;
            }
            None => continue,
        };
        cameras += 1;
        let mut seen = Vec::new();
        for (slot, printer) in layout.printers() {
            match layout.looks_at(&view, slot.name.rack, printer) {
                Ok(()) => seen.push(printer.id),
                Err(why) => {
                    let reason = unseen.entry(printer.id).or_default();
                    // The reason that came furthest tells most: in range and in the picture, yet hidden.
                    if reason.is_none_or(|(_, known)| known < why) {
                        *reason = Some((part.id, why));
                    }
                }
            }
        }
        found.push(about_one(layout, part, &seen));
        seen_by_any.extend(seen);
    }
    for id in &seen_by_any {
        unseen.remove(id);
    }
    let known = found.len() == cameras;
    if cameras > 0 && known && layout.printers().next().is_some() {
        found.push(about_all(layout, &unseen));
    }
    found
}

fn unknown(part: &Part, missing: &[&str]) -> Finding {
    let text = format!(
        "What {} sees is unknown without {}.",
        part.id,
        missing.join(" and ")
    );
    Finding::new(
        CHECK.id,
        Severity::Note,
        Standing::Unknown,
        vec![part.id],
        text,
    )
    .figure(None, None, "1", SOURCE)
    .at(part.spot, part.spot_height)
}

fn about_one(layout: &Layout, part: &Part, seen: &[Id]) -> Finding {
    let all = layout.printers().count();
    let (standing, text) = if seen.is_empty() {
        (Standing::Broken, format!("{} sees no printer.", part.id))
    } else {
        let text = format!(
            "{} sees {} of {all} printers: {}.",
            part.id,
            seen.len(),
            named(seen)
        );
        (Standing::Met, text)
    };
    Finding::new(CHECK.id, Severity::Note, standing, vec![part.id], text)
        .figure(Some(counted(seen.len())), None, "1", SOURCE)
        .at(part.spot, part.spot_height)
}

fn about_all(layout: &Layout, unseen: &BTreeMap<Id, Option<(Id, Unseen)>>) -> Finding {
    let ids: Vec<Id> = unseen.keys().copied().collect();
    let (standing, text) = if unseen.is_empty() {
        let text = "Every printer is seen by a camera.".to_owned();
        (Standing::Met, text)
    } else {
        // The reason that came furthest tells most here too.
        let reasons = unseen.iter().filter_map(|(id, why)| Some((id, (*why)?)));
        let why = reasons.rev().max_by_key(|(_, (_, why))| *why);
        let why = why.map_or_else(String::new, |(id, (camera, why))| {
            format!(" {id} is {} for {camera}.", why.words())
        });
        let text = format!(
            "No camera sees {} of {} printers: {}.{why}",
            ids.len(),
            layout.printers().count(),
            named(&ids)
        );
        (Standing::Broken, text)
    };
    let finding = Finding::new(CHECK.id, Severity::Note, standing, ids.clone(), text)
        .facet("unseen")
        .named_by_none()
        .figure(Some(counted(ids.len())), Some(0.0), "1", SOURCE);
    let first = layout.printers().find(|(_, p)| unseen.contains_key(&p.id));
    match first {
        Some((_, p)) => finding.at(p.footprint.centre(), (p.low + p.high) * 0.5),
        None => finding,
    }
}

/// The first few marks, and how many more there are.
fn named(ids: &[Id]) -> String {
    let few: Vec<String> = ids.iter().take(NAMED_MOST).map(Id::to_string).collect();
    match ids.len().saturating_sub(NAMED_MOST) {
        0 => few.join(", "),
        more => format!("{} and {more} more", few.join(", ")),
    }
}
