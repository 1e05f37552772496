//! Light: the illuminance of the room on average, and how many lights are linked in one run.

use super::again::{Before, Run, Turn};
use super::finding::counted;
use super::{Check, Finding, Severity, Standing, anything};
use crate::handbook::light;
use crate::layout::{Layout, Part, Run as Linked};
use crate::plan::{Id, ItemKind};
use crate::units::{Lumens, Lux, Ratio};

pub(super) const CHECK: Check = Check {
    id: "light",
    title: "Light to work by",
    worst: Severity::Caution,
    what: "The illuminance of the room on average, and the lights linked in one run against the most that their maker allows.",
    why: "A poor first layer is seen in good light only. A run of too many lights overheats its first cord; a licensed electrician wires the first light, and the local code and the maker's sheet decide.",
    how: "The lumen method: lumens of all lights, times the share that reaches the working plane, times the share left between cleanings, over the floor. The room index in the sentence helps to look the first share up for the fixture.",
    blind: "Shade of racks in the aisles, daylight, bright and dark places: it is an average over an empty room. Lamps on benches and in machines.",
    caution: "A licensed electrician wires lights, and their maker says how many hang on one feed.",
    in_fill: false,
    limits: &["light-task", "light-use", "light-upkeep"],
    run: Run::Unless(run, may_alter),
    concerns: anything,
};

/// Height of the plane that is worked at, in millimetres: common practice, no source.
const PLANE_MM: f64 = 850.0;

/// False where no light comes, goes or moves, and no printer comes or goes.
fn may_alter(turn: &Turn<'_>, _: &Before) -> bool {
    !turn.hangs_as_before() || turn.moved_parts().any(|part| part.kind == ItemKind::Light)
}

fn run(layout: &Layout) -> Vec<Finding> {
    let lights: Vec<&Part> = layout.of_kind(ItemKind::Light).map(AsRef::as_ref).collect();
    if lights.is_empty() && layout.printers().next().is_none() {
        return Vec::new();
    }
    let runs = layout.light_runs();
    let linked = runs
        .iter()
        .filter(|run| run.lights.len() > 1 || run.absent.is_some());
    std::iter::once(average(layout, &lights))
        .chain(linked.map(|run| in_one_run(layout, run)))
        .collect()
}

fn note(standing: Standing, items: Vec<Id>, text: String) -> Finding {
    Finding::new(CHECK.id, Severity::Note, standing, items, text)
}

fn average(layout: &Layout, lights: &[&Part]) -> Finding {
    let limits = layout.limits();
    let task = &limits.light_task;
    let about = |standing, measured, text| {
        let items = lights.iter().map(|part| part.id).collect();
        let finding = note(standing, items, text)
            .facet("average")
            .named_by_none()
            .figure(
                measured,
                Some(task.value.value()),
                "lx",
                &task.source_words(),
            );
        match lights.first() {
            Some(part) => finding.at(part.spot, part.spot_height),
            None => finding,
        }
    };
    if lights.is_empty() {
        let text = "No light is drawn, so how bright the room is is unknown.".to_owned();
        return about(Standing::Unknown, None, text);
    }
    let kinds = || lights.iter().filter_map(|part| layout.light_kind(part));
    let dark = kinds().find(|kind| kind.lumens.is_none());
    if let Some(kind) = dark {
        let text = format!(
            "How much light {} gives is not entered, so how bright the room is is unknown.",
            kind.name
        );
        return about(Standing::Unknown, None, text);
    }
    let lumens: f64 = kinds().filter_map(|k| k.lumens).map(Lumens::value).sum();
    let area = layout.room().area() / 1e6;
    let (in_use, upkeep) = (
        limits.light_use.value.value(),
        limits.light_upkeep.value.value(),
    );
    let lux = light::average_lux(lumens, area, in_use, upkeep).unwrap_or(0.0);
    let met = lux >= task.value.value() - 0.05;
    let (standing, more) = if met {
        (Standing::Met, String::new())
    } else {
        let each = kinds()
            .filter_map(|k| k.lumens)
            .map(Lumens::value)
            .fold(0.0, f64::max);
        let lacking = task.value.value() - lux;
        let more = light::lights_needed(lacking, area, each, (in_use, upkeep));
        let words = more.map_or_else(String::new, |n| {
            format!(" It takes {:.0} more of the brightest of them.", n.ceil())
        });
        (Standing::Broken, words)
    };
    let text = format!(
        "{} give {} on average over the empty floor{}; the task asks for {}.{more}",
        match lights.len() {
            1 => "One light would".to_owned(),
            n => format!("{n} lights would"),
        },
        shown(lux),
        index(layout, lights),
        task.value.shown()
    );
    about(standing, Some(lux), text)
}

fn shown(lux: f64) -> String {
    Lux::new(lux.round()).map_or_else(|_out_of_range| format!("{lux:.0} lx"), Lux::shown)
}

/// The room index in words, where the lights hang above the working plane.
fn index(layout: &Layout, lights: &[&Part]) -> String {
    let size = layout.room().bounds().size() / 1e3;
    let lowest = lights.iter().filter_map(|part| part.solid.as_ref());
    let lowest = lowest.map(|s| s.heights.low).fold(f64::INFINITY, f64::min);
    let above = (lowest - PLANE_MM) / 1e3;
    light::room_index(size.x, size.y, above).map_or_else(String::new, |k| {
        let share = layout.limits().light_use.value;
        format!(" (room index {k:.1}, {} of it used)", Ratio::shown(share))
    })
}

fn in_one_run(layout: &Layout, run: &Linked) -> Finding {
    let count = run.lights.len();
    let feed = run.lights.first().copied();
    let first = feed.map_or_else(String::new, |id| id.to_string());
    let (standing, text) = match run.most {
        Some(most) if run.is_over() => {
            let more = count.div_ceil(usize::from(most.max(1))) - 1;
            let text = format!(
                "{count} lights are linked in the run from {first}; their maker allows {most}. At least {more} more {} needed.",
                if more == 1 { "feed is" } else { "feeds are" }
            );
            (Standing::Broken, text)
        }
        _ if run.absent.is_some() => {
            let from = run.absent.map_or_else(String::new, |id| id.to_string());
            let text = format!(
                "{first} is linked to {from}, which is not there in this phase; what feeds it is unknown."
            );
            (Standing::Unknown, text)
        }
        Some(most) if !run.unsaid => (
            Standing::Met,
            format!("{count} of at most {most} lights are linked in the run from {first}."),
        ),
        _ => (
            Standing::Unknown,
            format!(
                "{count} lights are linked in the run from {first}; how many their maker allows is not entered."
            ),
        ),
    };
    let measured = counted(count);
    let finding = Finding::new(
        CHECK.id,
        Severity::Caution,
        standing,
        run.lights.clone(),
        text,
    )
    .facet("run")
    .named_by_first()
    .figure(
        Some(measured),
        run.most.map(f64::from),
        "1",
        "the light's maker, as entered",
    );
    match feed.and_then(|id| layout.part(id)) {
        Some(part) => finding.at(part.spot, part.spot_height),
        None => finding,
    }
}
