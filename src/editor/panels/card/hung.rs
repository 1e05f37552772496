//! Cards of what hangs over the floor and has a kind in stock: lights and cameras.

use super::form::{Form, put};
use super::{figures, named};
use crate::plan::{Camera, Id, Item, ItemKind, Light};
use crate::units::Angle;

pub(super) fn light(form: &mut Form<'_, '_>, id: Id, light: &Light) {
    let shown = form.shown;
    let with = |change: &dyn Fn(&mut Light)| {
        let mut light = light.clone();
        change(&mut light);
        put(id, Item::Light(light))
    };
    let kinds = named(&shown.layout.stock().lights, |k| &k.name);
    form.choice("kind", &light.kind, &kinds, |kind| {
        Some(with(&|l| l.kind = kind.clone()))
    });
    form.length("lower edge at", light.bottom, |v| with(&|l| l.bottom = v));
    let others = shown.layout.of_kind(ItemKind::Light);
    let others = others.filter(|part| part.id != id);
    let feeds: Vec<_> = std::iter::once((None, "a feed of its own".to_owned()))
        .chain(others.map(|part| (Some(part.id), format!("light {}", part.id))))
        .collect();
    form.choice("linked to", &light.linked_to, &feeds, |to| {
        Some(with(&|l| l.linked_to = to))
    });
    if let Some(kind) = shown.layout.stock().lights.get(&light.kind) {
        figures::light(form, &light.kind, kind);
    }
}

pub(super) fn camera(form: &mut Form<'_, '_>, id: Id, camera: &Camera) {
    let shown = form.shown;
    let with = |change: &dyn Fn(&mut Camera)| {
        let mut camera = camera.clone();
        change(&mut camera);
        put(id, Item::Camera(camera))
    };
    let kinds = named(&shown.layout.stock().cameras, |k| &k.name);
    form.choice("kind", &camera.kind, &kinds, |kind| {
        Some(with(&|c| c.kind = kind.clone()))
    });
    form.length("lens at", camera.height, |v| with(&|c| c.height = v));
    form.text("tilted down", camera.tilt.shown(), |typed| {
        let tilt = Angle::parse(typed).map_err(|e| e.to_string())?;
        Ok(with(&|c| c.tilt = tilt))
    });
    if let Some(kind) = shown.layout.stock().cameras.get(&camera.kind) {
        figures::camera(form, &camera.kind, kind);
    }
}
