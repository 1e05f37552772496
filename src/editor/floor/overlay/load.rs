//! The overlay of loads: what each rack weighs and presses on the floor, the darker hatched the more. Decides nothing.

use egui::Stroke;

use crate::editor::floor::paint::Brush;
use crate::editor::theme::line;
use crate::plan::ItemKind;
use crate::units::{floor_load_shown, mass_shown};

/// Gaps of the hatch in points: under half of the rating, up to it, over it.
pub(super) const GAPS: [f32; 3] = [14.0, 8.0, 4.0];

/// From this width on a rack takes both figures, in points.
const WIDE: f32 = 110.0;

pub(super) fn paint(brush: &Brush<'_>) {
    let layout = brush.shown.layout;
    let practice = brush.shown.practice();
    let rating = layout.plan().head().floor_rating;
    for part in layout.of_kind(ItemKind::Rack) {
        let (Some(footing), Some(solid)) = (layout.footing(part), &part.solid) else {
            continue;
        };
        let share = rating.map(|rating| footing.patch_kpa / rating.value().max(1e-6));
        let gap = match share {
            Some(share) if share > 1.0 => GAPS.last(),
            Some(share) if share > 0.5 => GAPS.get(1),
            Some(_) => GAPS.first(),
            None => None,
        };
        if let Some(gap) = gap {
            let stroke = Stroke::new(line::EDGE, brush.colours.ink);
            brush.hatch(&solid.shape, stroke, *gap);
        }
        let about = if footing.missing.is_empty() {
            ""
        } else {
            "at least "
        };
        let pressed = floor_load_shown(footing.patch_kpa, practice);
        let across = brush.camera.points(solid.shape.bounds().size().x);
        let words = if across < WIDE {
            format!("{about}{pressed}")
        } else {
            format!(
                "{about}{}, {pressed}",
                mass_shown(footing.mass_kg, practice)
            )
        };
        brush.plate(brush.at(solid.oblong.centre()), &words, brush.colours.ink);
    }
}
