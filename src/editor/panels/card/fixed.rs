//! Cards of small fixed things and of furniture, and the measure along a wall that everything fixed to one has.

use super::form::{Form, put};
use crate::editor::figure::whole_maybe;
use crate::plan::{Fitting, Furniture, FurnitureUse, Id, Item, Overhead, WallEnd, WallPlace};
use crate::units::Length;

/// The distance along the wall, from the end that a person chose.
pub(super) fn along(form: &mut Form<'_, '_>, id: Id, item: &Item, at: WallPlace) {
    let room = form.shown.plan.room();
    let wall = usize::from(at.wall);
    let ends =
        [WallEnd::First, WallEnd::Last].map(|e| (e, format!("{} end", room.end_name(wall, e))));
    form.choice("measured from", &at.kept_from, &ends, |kept_from| {
        Some(put(id, item.with_wall_place(WallPlace { kept_from, ..at })))
    });
    let beyond =
        room.wall_length(wall).unwrap_or(Length::ZERO) - item.wall_width(form.shown.layout.stock());
    let shown = match at.kept_from {
        WallEnd::First => at.along,
        WallEnd::Last => beyond - at.along,
    };
    form.length("from its corner", shown, |typed| {
        let along = match at.kept_from {
            WallEnd::First => typed,
            WallEnd::Last => beyond - typed,
        };
        put(id, item.with_wall_place(WallPlace { along, ..at }))
    });
}

pub(super) fn fitting(form: &mut Form<'_, '_>, id: Id, fitting: &Fitting) {
    let with = |change: &dyn Fn(&mut Fitting)| {
        let mut fitting = fitting.clone();
        change(&mut fitting);
        put(id, Item::Fitting(fitting))
    };
    form.length("above the floor", fitting.bottom, |v| {
        with(&|f| f.bottom = v)
    });
    form.length("width", fitting.width, |v| with(&|f| f.width = v));
    form.length("height", fitting.height, |v| with(&|f| f.height = v));
    form.length("out from the wall", fitting.depth, |v| {
        with(&|f| f.depth = v)
    });
}

pub(super) fn overhead(form: &mut Form<'_, '_>, id: Id, overhead: &Overhead) {
    let with = |change: &dyn Fn(&mut Overhead)| {
        let mut overhead = overhead.clone();
        change(&mut overhead);
        put(id, Item::Overhead(overhead))
    };
    form.length("lower edge at", overhead.bottom, |v| {
        with(&|o| o.bottom = v)
    });
    form.length("width", overhead.width, |v| with(&|o| o.width = v));
    form.length("depth", overhead.depth, |v| with(&|o| o.depth = v));
}

pub(super) fn furniture(form: &mut Form<'_, '_>, id: Id, furniture: &Furniture) {
    let with = |change: &dyn Fn(&mut Furniture)| {
        let mut furniture = furniture.clone();
        change(&mut furniture);
        put(id, Item::Furniture(furniture))
    };
    form.length("width", furniture.width, |v| with(&|f| f.width = v));
    form.length("depth", furniture.depth, |v| with(&|f| f.depth = v));
    form.length("height", furniture.height, |v| with(&|f| f.height = v));
    form.faces("worked at from", &furniture.faces, |faces| {
        Some(with(&|f| f.faces.clone_from(&faces)))
    });
    if furniture.purpose == FurnitureUse::SpoolStore {
        let spools = furniture.spools.map(|n| n.to_string());
        form.text("takes spools", spools.unwrap_or_default(), |typed| {
            let spools = whole_maybe(typed)?;
            Ok(with(&|f| f.spools = spools))
        });
    }
}
