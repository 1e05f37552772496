//! `explain`: what a check does, why, how it measures, its limits with their sources, and what it does not see.

use super::{Ending, Trouble, World};
use crate::checks::{CHECKS, Check};
use crate::plan::Library;
use crate::units::Practice;

pub(super) fn run(id: Option<&str>, world: &mut World<'_>) -> Result<Ending, Trouble> {
    let Some(id) = id else {
        for check in CHECKS {
            writeln!(world.out, "  {:<14} {}", check.id, check.title)?;
        }
        return Ok(Ending::Done);
    };
    let check = Check::of(id).ok_or_else(|| unknown(id))?;
    let library = Library::builtin().map_err(Trouble::Library)?;
    writeln!(
        world.out,
        "{}: {} ({})",
        check.id,
        check.title,
        check.worst.words()
    )?;
    for (heading, text) in check.parts() {
        writeln!(world.out, "\n{heading}: {text}")?;
    }
    for (practice, name) in [
        (Practice::Us, "US practice"),
        (Practice::Metric, "metric practice"),
    ] {
        for limit in library.profiles.of(practice).rows(practice) {
            if check.limits.contains(&limit.id) {
                writeln!(
                    world.out,
                    "\nLimit `{}` in {name}: {}. {}",
                    limit.id, limit.value, limit.says
                )?;
                writeln!(world.out, "  Source: {}.", limit.source)?;
            }
        }
    }
    Ok(Ending::Done)
}

fn unknown(id: &str) -> Trouble {
    let nearest = CHECKS
        .iter()
        .max_by(|a, b| strsim::jaro_winkler(a.id, id).total_cmp(&strsim::jaro_winkler(b.id, id)))
        .map_or("", |c| c.id);
    Trouble::Words(format!(
        "There is no check {:?}; did you mean {nearest:?}? `aislewright explain` lists them all.",
        id.chars().take(60).collect::<String>()
    ))
}
