//! Cards of what is only written on the floor: dimensions and notes.

use super::form::{Form, put};
use crate::editor::floor::end_words;
use crate::editor::widgets;
use crate::geometry::Point;
use crate::plan::{Dimension, Edit, End, Id, Item, Note, NoteText, Spot};
use crate::units::Length;

/// What it measures, what its ends are fastened to, how far its line stands off.
pub(super) fn dimension(form: &mut Form<'_, '_>, id: Id, dimension: &Dimension) {
    let shown = form.shown;
    let ends = shown
        .layout
        .part(id)
        .and_then(|p| p.dimension)
        .map(|d| d.ends);
    let measured = ends.map_or_else(
        || "not both ends are there in this phase".to_owned(),
        |(from, to)| Length::from_mm(from.distance(to)).shown(shown.practice()),
    );
    widgets::hint(form.ui, &format!("It measures {measured}."));
    let with = |change: &dyn Fn(&mut Dimension)| {
        let mut dimension = dimension.clone();
        change(&mut dimension);
        put(id, Item::Dimension(dimension))
    };
    end(
        form,
        "first end",
        (dimension.from, ends.map(|e| e.0)),
        |end| with(&|d| d.from = end),
    );
    end(
        form,
        "second end",
        (dimension.to, ends.map(|e| e.1)),
        |end| with(&|d| d.to = end),
    );
    form.length("line stands off", dimension.offset, |offset| {
        with(&|d| d.offset = offset)
    });
}

/// What an end is fastened to: another place on the same thing, or nothing; of a free one where it is.
fn end(
    form: &mut Form<'_, '_>,
    label: &str,
    (end, at): (End, Option<Point>),
    make: impl Fn(End) -> Edit,
) {
    let room = form.shown.plan.room();
    let mut choices: Vec<(End, String)> = vec![(end, end_words(room, end))];
    if let (Some(at), false) = (at, matches!(end, End::Point(..))) {
        let free = End::Point(Length::from_mm(at.x), Length::from_mm(at.y));
        choices.push((free, end_words(room, free)));
    }
    if let Some(thing) = end.thing() {
        let others = Spot::ALL.map(|spot| End::Of(thing, spot)).into_iter();
        let others = others.filter(|other| *other != end);
        choices.extend(others.map(|other| (other, end_words(room, other))));
    }
    form.choice(label, &end, &choices, |chosen| Some(make(chosen)));
    point(form, label.trim_end_matches(" end"), end, make);
}

/// Where a free end is, from the walls of the box round the room.
fn point(form: &mut Form<'_, '_>, label: &str, end: End, make: impl Fn(End) -> Edit) {
    let End::Point(x, y) = end else {
        return;
    };
    let low = form.shown.layout.room().bounds().low;
    let (left, below) = (Length::from_mm(low.x), Length::from_mm(low.y));
    form.length(&format!("{label}, from west"), x - left, |to| {
        make(End::Point(to + left, y))
    });
    form.length(&format!("{label}, from south"), y - below, |to| {
        make(End::Point(x, to + below))
    });
}

/// What it says, where it stands and what it points at.
pub(super) fn note(form: &mut Form<'_, '_>, id: Id, note: &Note) {
    let shown = form.shown;
    let with = |change: &dyn Fn(&mut Note)| {
        let mut note = note.clone();
        change(&mut note);
        let record = crate::plan::Record::Item(Box::new(Item::Note(note)));
        Edit::Several(
            format!("Change note {id}"),
            vec![Edit::Put(vec![(id, record)])],
        )
    };
    form.lines("what it says", note.text.as_str(), |typed| {
        let text = NoteText::new(typed).map_err(|e| e.to_string())?;
        Ok(with(&|n| n.text = text.clone()))
    });
    let low = shown.layout.room().bounds().low;
    let (left, below) = (Length::from_mm(low.x), Length::from_mm(low.y));
    form.length("from west wall", note.at.0 - left, |to| {
        with(&|n| n.at.0 = to + left)
    });
    form.length("from south wall", note.at.1 - below, |to| {
        with(&|n| n.at.1 = to + below)
    });
    let room = shown.plan.room();
    let mut choices: Vec<(Option<End>, String)> = vec![(None, "nothing".to_owned())];
    choices.extend(note.pointer.map(|end| (Some(end), end_words(room, end))));
    let step = Length::from_inches(24);
    let beside = End::Point(note.at.0 - step, note.at.1);
    choices.push((Some(beside), "a point of the floor".to_owned()));
    let things = shown.layout.parts().filter(|p| !p.kind.is_written());
    choices.extend(things.filter_map(|part| {
        let end = Some(End::Of(part.id, Spot::Middle)).filter(|end| note.pointer != Some(*end))?;
        Some((Some(end), format!("{} {}", part.kind.word(), part.id)))
    }));
    form.choice("points at", &note.pointer, &choices, |pointer| {
        Some(with(&|n| n.pointer = pointer))
    });
    if let Some(end) = note.pointer {
        point(form, "pointer", end, |end| with(&|n| n.pointer = Some(end)));
    }
}
