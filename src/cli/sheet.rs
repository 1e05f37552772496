//! `sheet`: the floor sheet of a plan in one phase.

use std::path::Path;

use super::{Ending, Judged, Trouble, World, fill, write_file};
use crate::fill::Answer;
use crate::sheet::{self, Made};
use crate::storage::save::Expected;

pub(super) fn run(
    plan: &Path,
    output: &Path,
    phase: Option<&str>,
    replace: bool,
    count: bool,
    world: &mut World<'_>,
) -> Result<Ending, Trouble> {
    let ending = output.extension().map(std::ffi::OsStr::to_ascii_lowercase);
    if ending.as_deref() != Some("svg".as_ref()) {
        return Err(Trouble::Words(format!(
            "{}: a sheet is written as .svg; give the file a name that ends in .svg. Nothing was written.",
            output.display()
        )));
    }
    let judged = Judged::open(plan, phase)?;
    let fullest = if count {
        Some(fill::searched(&judged, false, fill::STEPS, None)?.0)
    } else {
        None
    };
    let text = floor_sheet(&judged, fullest.as_ref(), &world.today)?;
    let expected = if replace {
        Expected::Anything
    } else {
        Expected::Nothing
    };
    write_file(output, text.as_bytes(), expected)?;
    writeln!(world.out, "Wrote {}.", output.display())?;
    Ok(Ending::Done)
}

/// The floor sheet as SVG text.
pub(super) fn floor_sheet(
    judged: &Judged,
    fullest: Option<&Answer>,
    today: &str,
) -> Result<String, Trouble> {
    let made = Made {
        date: today.to_owned(),
        ..Made::default()
    };
    let drawn = sheet::floor_sheet(
        &judged.layout,
        &judged.findings,
        &judged.headroom,
        fullest,
        &made,
    );
    sheet::svg(&drawn).map_err(|e| Trouble::Words(e.to_string()))
}
