//! `demo`: the built-in example, checked in the terminal and drawn into a folder.

use std::path::Path;

use super::{Ending, Judged, Trouble, World, fill, sheet, text, write_file};
use crate::fill::NOT_JUDGED;
use crate::storage::disk::{Disk as _, RealDisk};
use crate::storage::save::Expected;

pub(super) fn run(folder: &Path, world: &mut World<'_>) -> Result<Ending, Trouble> {
    let judged = Judged::example()?;
    text::headroom(&judged, world.out)?;
    text::findings(&judged, world.out)?;
    RealDisk.create_folders(folder).map_err(|e| {
        Trouble::Words(format!(
            "{} cannot be made: {e}. Give another folder: aislewright demo FOLDER",
            folder.display()
        ))
    })?;
    writeln!(world.out)?;
    let (empty, seconds) =
        fill::searched(&Judged::example_in(Some("1"))?, false, fill::STEPS, None)?;
    writeln!(
        world.out,
        "  Were the room empty: {} printers in {seconds:.1} s; {}. {} ({NOT_JUDGED})",
        empty.printers,
        empty.words(),
        empty.against(judged.layout.plan().head().hoped_for, false)
    )?;
    let (answer, seconds) = fill::searched(&judged, false, fill::STEPS, None)?;
    fill::told(&judged, &answer, seconds, world)?;
    writeln!(world.out)?;
    let drawing = folder.join("bottling-room-sheet.svg");
    let svg = sheet::floor_sheet(&judged, Some(&answer), &world.today)?;
    write_file(&drawing, svg.as_bytes(), Expected::Anything)?;
    writeln!(
        world.out,
        "  The sheet for the contractor: {}",
        drawing.display()
    )?;
    match world.draw_window {
        None => writeln!(
            world.out,
            "  No picture of the editor: this build has no window."
        )?,
        Some(draw) => {
            let plan = judged.layout.plan().as_ref().clone();
            let png = draw(&judged.library, plan, judged.layout.phase()).map_err(Trouble::Words)?;
            let picture = folder.join("editor.png");
            write_file(&picture, &png, Expected::Anything)?;
            writeln!(
                world.out,
                "  A picture of the editor: {}",
                picture.display()
            )?;
        }
    }
    Ok(Ending::Done)
}
