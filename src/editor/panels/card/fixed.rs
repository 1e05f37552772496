//! Cards of small fixed things, and the measure along a wall that everything fixed to one has.

use super::form::{Form, put};
use crate::plan::{Fitting, Id, Item, Overhead, WallEnd, WallPlace};
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
