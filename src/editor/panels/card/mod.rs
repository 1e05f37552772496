//! The card: every figure of the selected thing, typed with units. One card a kind of item.

mod battery;
mod blow;
mod circuit;
mod demand;
mod figures;
mod fixed;
mod form;
mod heat;
mod help;
mod hung;
mod level;
mod limits;
mod must_fit;
mod operator;
mod plan;
mod supply;
mod written;

use egui::{Frame, Margin, ScrollArea, Ui};

use crate::editor::action::{Actions, Command};
use crate::editor::figure::{read_maybe, whole_maybe};
use crate::editor::shown::Shown;
use crate::editor::widgets;
use crate::layout::Part;
use crate::plan::{
    Column, CoolingUnit, Door, Edit, Fan, Hinge, Id, Item, ItemKind, Outlet, Panel, PhaseNo, Plan,
    Pose, Presence, Printer, Rack, Receptacle, Record, SlotRef, SlotRefError, Swing, Ups, UpsPlace,
    Window, Zone, ZoneUse,
};
use crate::stock::{KindId, LevelKind, Prints};
use crate::units::{Amps, Angle, Length, Practice};
use form::{Drafts, Form, or_unknown, put};

/// The card's own state.
#[derive(Debug, Default)]
pub struct CardView {
    drafts: Drafts,
}

/// Shows the card of what is selected, or of the plan.
pub fn card_ui(ui: &mut Ui, shown: &Shown<'_>, view: &mut CardView, actions: &mut Actions) {
    ui.add_space(8.0);
    widgets::section(ui, &title(shown), "");
    view.drafts.show(shown.selection.lead());
    ScrollArea::vertical()
        .id_salt("card")
        .auto_shrink([false, false])
        .show(ui, |ui| {
            let margin = Margin {
                left: 10,
                right: 12,
                top: 0,
                bottom: 6,
            };
            Frame::new().inner_margin(margin).show(ui, |ui| {
                let mut form = Form {
                    ui,
                    shown,
                    drafts: &mut view.drafts,
                    subject: subject(shown),
                    actions,
                };
                fields(&mut form);
            });
        });
}

fn title(shown: &Shown<'_>) -> String {
    match (shown.selection.len(), shown.selection.lead()) {
        (0, _) | (_, None) => "The plan".to_owned(),
        (1, Some(id)) => match shown.plan.items().get(id) {
            Some(item) => {
                let kind = item.stock_kind().map_or(item.kind().word(), |kind| {
                    stock_name(shown, item, kind.as_str())
                });
                format!("{id} · {kind}")
            }
            None => match shown.plan.printers().get(id) {
                Some(printer) => {
                    let kind = shown.layout.stock().printers.get(&printer.kind);
                    format!("{id} · {}", kind.map_or("printer", |k| k.name.as_str()))
                }
                None => format!("{id} · circuit"),
            },
        },
        (n, Some(_)) => format!("{n} things selected"),
    }
}

/// What kind of thing the card is about, in a word.
fn subject(shown: &Shown<'_>) -> &'static str {
    let Some(id) = shown.selection.lead() else {
        return "plan";
    };
    if shown.plan.circuits().get(id).is_some() {
        return "circuit";
    }
    let item = shown.plan.items().get(id);
    item.map_or("printer", |item| item.kind().word())
}

fn stock_name<'a>(shown: &'a Shown<'_>, item: &Item, fallback: &'a str) -> &'a str {
    let stock = shown.layout.stock();
    let name = match item {
        Item::Rack(r) => stock.racks.get(&r.kind).map(|k| k.name.as_str()),
        Item::Ups(u) => stock.ups.get(&u.kind).map(|k| k.name.as_str()),
        Item::Cooling(c) => stock.cooling.get(&c.kind).map(|k| k.name.as_str()),
        Item::Light(l) => stock.lights.get(&l.kind).map(|k| k.name.as_str()),
        Item::Camera(c) => stock.cameras.get(&c.kind).map(|k| k.name.as_str()),
        Item::Door(_)
        | Item::Window(_)
        | Item::Column(_)
        | Item::Panel(_)
        | Item::Outlet(_)
        | Item::Fitting(_)
        | Item::Overhead(_)
        | Item::Furniture(_)
        | Item::Zone(_)
        | Item::Dimension(_)
        | Item::Note(_) => None,
    };
    name.unwrap_or(fallback)
}

fn fields(form: &mut Form<'_, '_>) {
    let shown = form.shown;
    let Some(id) = shown.selection.lead() else {
        plan::plan(form);
        return;
    };
    if shown.selection.len() > 1 {
        common_buttons(form);
        return;
    }
    if let Some(printer) = shown.plan.printers().get(id) {
        printer_card(form, id, printer);
        return;
    }
    if let Some(circuit) = shown.plan.circuits().get(id) {
        circuit::circuit_card(form, id, circuit);
        return;
    }
    let Some(item) = shown.plan.items().get(id) else {
        return;
    };
    if let Item::Rack(rack) = item {
        level::level(form, id, rack);
    }
    if let Some(part) = shown.layout.part(id) {
        position(form, id, item, part);
    }
    match item {
        Item::Door(d) => door(form, id, d),
        Item::Window(w) => window(form, id, w),
        Item::Column(c) => column(form, id, c),
        Item::Panel(p) => panel(form, id, p),
        Item::Outlet(o) => outlet(form, id, o),
        Item::Cooling(c) => cooling(form, id, c),
        Item::Fitting(f) => fixed::fitting(form, id, f),
        Item::Overhead(o) => fixed::overhead(form, id, o),
        Item::Light(l) => hung::light(form, id, l),
        Item::Camera(c) => hung::camera(form, id, c),
        Item::Furniture(f) => fixed::furniture(form, id, f),
        Item::Zone(z) => zone(form, id, z),
        Item::Rack(r) => rack(form, id, r),
        Item::Ups(u) => ups(form, id, u),
        Item::Dimension(d) => written::dimension(form, id, d),
        Item::Note(n) => written::note(form, id, n),
    }
    let with = |presence| {
        let mut item = item.clone();
        *item.presence_mut() = presence;
        put(id, item)
    };
    if item.kind().is_written() {
        // Nobody builds or moves it.
        form.comes_and_goes(item.presence(), &with);
        form.pinned(item.presence(), &with);
    } else {
        form.presence(item.presence(), with);
    }
    common_buttons(form);
}

fn common_buttons(form: &mut Form<'_, '_>) {
    if form.shown.read_only {
        return;
    }
    // Two rows: four buttons side by side do not fit beside the floor of a small window. What is fixed to a wall is neither
    // turned nor duplicated; what is only written is not turned.
    let shown = form.shown;
    let any = |what: &dyn Fn(&Item) -> bool| {
        let ids = shown.selection.iter();
        ids.filter_map(|id| shown.plan.items().get(id)).any(what)
    };
    let on_floor = any(&|item| item.pose().is_some() && !item.kind().is_written());
    let written = any(&|item| item.kind().is_written());
    let turns = [
        ("Turn left", Command::TurnLeft),
        ("Turn right", Command::TurnRight),
    ];
    let others = [
        ("Duplicate", Command::Duplicate),
        ("Take away", Command::Delete),
    ];
    let rows = if on_floor {
        vec![&turns[..], &others[..]]
    } else if written {
        vec![&others[..]]
    } else {
        vec![&others[1..]]
    };
    for row in rows {
        form.ui.horizontal(|ui| {
            for (label, command) in row {
                if widgets::action(ui, label).clicked() {
                    form.actions.command(*command);
                }
            }
        });
    }
}

/// Where a thing stands: from the walls of the box round the room for what stands on the floor, along its wall for what is
/// fixed to one.
fn position(form: &mut Form<'_, '_>, id: Id, item: &Item, part: &Part) {
    if let Some(at) = item.wall_place() {
        let room = form.shown.plan.room();
        let walls: Vec<(u16, String)> = (0..u16::try_from(room.walls()).unwrap_or(u16::MAX))
            .map(|k| (k, room.wall_name(usize::from(k))))
            .collect();
        form.choice("on", &at.wall, &walls, |wall| {
            Some(put(
                id,
                item.with_wall_place(crate::plan::WallPlace { wall, ..at }),
            ))
        });
        fixed::along(form, id, item, at);
        return;
    }
    let (Some(pose), Some(shape)) = (item.pose(), outline(part)) else {
        return;
    };
    let room = form.shown.layout.room().bounds().low;
    let (x, y) = (
        Length::from_mm(shape.x - room.x),
        Length::from_mm(shape.y - room.y),
    );
    form.length("from west wall", x, |to| {
        Edit::Move(vec![id], (to - x, Length::ZERO))
    });
    form.length("from south wall", y, |to| {
        Edit::Move(vec![id], (Length::ZERO, to - y))
    });
    form.text("turned", pose.turn.shown(), |typed| {
        let turn = Angle::parse(typed).map_err(|e| e.to_string())?;
        Ok(put(id, item.with_pose(Pose { turn, ..pose })))
    });
}

fn outline(part: &Part) -> Option<crate::geometry::Point> {
    let solid = part.solid.as_ref().map(|s| s.shape.bounds().low);
    solid.or_else(|| part.zone.as_ref().map(|z| z.shape.bounds().low))
}

fn rack(form: &mut Form<'_, '_>, id: Id, rack: &Rack) {
    let shown = form.shown;
    let Some(kind) = shown.layout.stock().racks.get(&rack.kind) else {
        return;
    };
    let practice = shown.practice();
    let kinds = named(&shown.layout.stock().racks, |k| &k.name);
    form.choice("kind", &rack.kind, &kinds, |kind| {
        // Levels and faces of its own were meant for the kind it was.
        Some(put(
            id,
            Item::Rack(Rack {
                kind,
                levels: Vec::new(),
                faces: Vec::new(),
                ..rack.clone()
            }),
        ))
    });
    let alike = shown.plan.items().iter();
    let alike = alike.filter(|(_, i)| matches!(i, Item::Rack(r) if r.kind == rack.kind));
    replace_all(form, alike.count(), &rack.kind, &kinds, |to| {
        let stock = shown.layout.stock();
        shown.plan.racks_replaced(stock, &rack.kind, to)
    });
    let levels: Vec<LevelKind> = rack.levels(kind).to_vec();
    let heights: Vec<String> = levels
        .iter()
        .map(|l| l.height.shown_exact(practice))
        .collect();
    let with = |levels: Vec<LevelKind>| {
        let rack = Rack {
            levels,
            ..rack.clone()
        };
        put(id, Item::Rack(rack))
    };
    form.text("levels at", heights.join(", "), |typed| {
        let heights = typed
            .split(',')
            .map(|t| Length::parse(t.trim(), Some(practice)).map_err(|e| e.to_string()))
            .collect::<Result<Vec<_>, _>>()?;
        let last = levels.last().map_or(0, |l| l.slots);
        let slots = levels
            .iter()
            .map(|l| l.slots)
            .chain(std::iter::repeat(last));
        Ok(with(
            heights
                .into_iter()
                .zip(slots)
                .enumerate()
                .map(|(k, (height, slots))| match levels.get(k) {
                    Some(level) => LevelKind {
                        height,
                        ..level.clone()
                    },
                    None => LevelKind::new(height, slots),
                })
                .collect(),
        ))
    });
    let slots: Vec<String> = levels.iter().map(|l| l.slots.to_string()).collect();
    form.text("printers a level", slots.join(", "), |typed| {
        let slots = typed
            .split(',')
            .map(|t| {
                t.trim()
                    .parse()
                    .map_err(|_no_number| format!("{t:?} is no whole number"))
            })
            .collect::<Result<Vec<u8>, _>>()?;
        if slots.len() != levels.len() {
            return Err(format!(
                "this rack has {} levels; give a number for each",
                levels.len()
            ));
        }
        Ok(with(
            levels
                .iter()
                .zip(slots)
                .map(|(l, slots)| LevelKind { slots, ..l.clone() })
                .collect(),
        ))
    });
    if shown.selection.level().is_none() {
        widgets::hint(
            form.ui,
            "Choose a level in the elevation to set it by itself.",
        );
    }
    form.faces("worked at from", rack.faces(kind), |faces| {
        // None at all would mean those of its kind.
        (!faces.is_empty()).then(|| {
            let rack = Rack {
                faces,
                ..rack.clone()
            };
            put(id, Item::Rack(rack))
        })
    });
    let fixed = [(None, "unknown"), (Some(true), "yes"), (Some(false), "no")]
        .map(|(v, words)| (v, words.to_owned()));
    form.choice("anchored", &rack.anchored, &fixed, |anchored| {
        let rack = Rack {
            anchored,
            ..rack.clone()
        };
        Some(put(id, Item::Rack(rack)))
    });
    rack_printers(form, id);
    figures::rack(form, &rack.kind, kind);
}

/// The kinds of one family with their names, for a choice.
fn named<K>(
    kinds: &std::collections::BTreeMap<KindId, K>,
    name: impl Fn(&K) -> &String,
) -> Vec<(KindId, String)> {
    kinds
        .iter()
        .map(|(id, kind)| (id.clone(), name(kind).clone()))
        .collect()
}

/// A choice that replaces a kind throughout the plan, where there is more than one of it.
fn replace_all(
    form: &mut Form<'_, '_>,
    count: usize,
    kind: &KindId,
    kinds: &[(KindId, String)],
    make: impl FnOnce(&KindId) -> Option<Edit>,
) {
    if count > 1 {
        let label = format!("all {count} alike");
        form.choice(&label, kind, kinds, |to| make(&to));
    }
}

/// Printers of a rack: fill its slots, empty them, plug them in.
fn rack_printers(form: &mut Form<'_, '_>, id: Id) {
    let shown = form.shown;
    let Some(part) = shown.layout.part(id) else {
        return;
    };
    let standing: Vec<Id> = part
        .slots()
        .iter()
        .filter_map(|s| s.printer.as_ref().map(|p| p.id))
        .collect();
    let empty: Vec<_> = part
        .slots()
        .iter()
        .filter(|s| s.printer.is_none())
        .map(|s| s.name)
        .collect();
    if !empty.is_empty() {
        let kinds: Vec<_> = shown
            .layout
            .stock()
            .printers
            .iter()
            .map(|(id, k)| (Some(id.clone()), format!("{} × {}", empty.len(), k.name)))
            .chain([(None, "choose a printer".to_owned())])
            .collect();
        form.choice("fill with", &None, &kinds, |kind| {
            let kind = kind?;
            let ids = shown.plan.fresh(Plan::PRINTER, empty.len());
            let records = ids.into_iter().zip(&empty).map(|(id, slot)| {
                let printer = Printer {
                    kind: kind.clone(),
                    slot: *slot,
                    power: None,
                    prints: None,
                    presence: Presence {
                        arrives: shown.phase(),
                        ..Presence::default()
                    },
                };
                (id, Record::Printer(printer))
            });
            Some(Edit::Several(
                format!("Fill {id}"),
                vec![Edit::Put(records.collect())],
            ))
        });
    }
    if standing.is_empty() {
        return;
    }
    let targets = power_targets(shown, "choose a UPS or outlet");
    form.choice("plug all into", &None, &targets, |to| {
        let records = standing.iter().filter_map(|p| {
            let printer = shown.plan.printers().get(*p)?;
            Some((
                *p,
                Record::Printer(Printer {
                    power: to,
                    ..printer.clone()
                }),
            ))
        });
        Some(Edit::Several(
            format!("Plug in {id}"),
            vec![Edit::Put(records.collect())],
        ))
    });
    if !shown.read_only && widgets::action(form.ui, "Take its printers out").clicked() {
        form.actions.edit(Edit::Remove(standing));
    }
}

/// The UPS and outlets of the phase, with a first line for none.
fn power_targets(shown: &Shown<'_>, none: &str) -> Vec<(Option<Id>, String)> {
    let targets = [ItemKind::Ups, ItemKind::Outlet]
        .into_iter()
        .flat_map(|kind| {
            shown
                .layout
                .of_kind(kind)
                .map(move |p| (Some(p.id), format!("{} {}", kind.word(), p.id)))
        });
    std::iter::once((None, none.to_owned()))
        .chain(targets)
        .collect()
}

fn printer_card(form: &mut Form<'_, '_>, id: Id, printer: &Printer) {
    let shown = form.shown;
    let with = |printer: Printer| Edit::Put(vec![(id, Record::Printer(printer))]);
    let kinds = named(&shown.layout.stock().printers, |k| &k.name);
    form.choice("kind", &printer.kind, &kinds, |kind| {
        Some(with(Printer {
            kind,
            ..printer.clone()
        }))
    });
    let alike = shown.plan.printers().iter();
    let alike = alike.filter(|(_, p)| p.kind == printer.kind);
    replace_all(form, alike.count(), &printer.kind, &kinds, |to| {
        let stock = shown.layout.stock();
        shown.plan.printers_replaced(stock, &printer.kind, to)
    });
    form.text("stands in", printer.slot.to_string(), |typed| {
        let slot: SlotRef = typed.parse().map_err(|e: SlotRefError| e.to_string())?;
        Ok(with(Printer {
            slot,
            ..printer.clone()
        }))
    });
    let targets = power_targets(shown, "nothing");
    form.choice("plugged into", &printer.power, &targets, |power| {
        Some(with(Printer {
            power,
            ..printer.clone()
        }))
    });
    let kind = shown.layout.stock().printers.get(&printer.kind);
    let of_kind = kind.and_then(|k| k.prints);
    let of_kind = of_kind.map_or("not said".to_owned(), |p| {
        format!("as its kind: {}", p.words())
    });
    let materials: Vec<_> = std::iter::once((None, of_kind))
        .chain(Prints::ALL.map(|p| (Some(p), p.words().to_owned())))
        .collect();
    form.choice("prints", &printer.prints, &materials, |prints| {
        Some(with(Printer {
            prints,
            ..printer.clone()
        }))
    });
    form.presence(&printer.presence, |presence| {
        with(Printer {
            presence,
            ..printer.clone()
        })
    });
    if let Some(kind) = shown.layout.stock().printers.get(&printer.kind) {
        figures::printer(form, &printer.kind, kind);
    }
    if !shown.read_only && widgets::action(form.ui, "Take away").clicked() {
        form.actions.command(Command::Delete);
    }
}

fn outlet(form: &mut Form<'_, '_>, id: Id, outlet: &Outlet) {
    let with = |outlet: Outlet| put(id, Item::Outlet(outlet));
    form.length("above the floor", outlet.height, |height| {
        with(Outlet {
            height,
            ..outlet.clone()
        })
    });
    form.number("receptacles", outlet.receptacles, |receptacles| {
        with(Outlet {
            receptacles,
            ..outlet.clone()
        })
    });
    let patterns = receptacles(form.shown.practice());
    form.choice("pattern", &outlet.receptacle, &patterns, |receptacle| {
        Some(with(Outlet {
            receptacle,
            ..outlet.clone()
        }))
    });
    let fresh = circuit::new_circuit(form);
    let mut circuits = circuit::choices(form.shown);
    if let Some((new, _)) = &fresh {
        circuits.push((Some(*new), format!("new circuit {new}")));
    }
    form.choice("circuit", &outlet.circuit, &circuits, |circuit| {
        let set = with(Outlet {
            circuit,
            ..outlet.clone()
        });
        match fresh {
            Some((new, made)) if circuit == Some(new) => {
                let add = Edit::Put(vec![(new, Record::Circuit(made))]);
                Some(Edit::Several(format!("Put {id} on {new}"), vec![add, set]))
            }
            _ => Some(set),
        }
    });
}

/// The patterns of receptacles, those of the practice first.
fn receptacles(practice: Practice) -> Vec<(Option<Receptacle>, String)> {
    let patterns = Receptacle::for_practice(practice).into_iter();
    or_unknown(patterns.map(|pattern| (pattern, pattern.words().to_owned())))
}

fn ups(form: &mut Form<'_, '_>, id: Id, ups: &Ups) {
    let shown = form.shown;
    let with = |ups: Ups| put(id, Item::Ups(ups));
    let kinds = named(&shown.layout.stock().ups, |k| &k.name);
    form.choice("kind", &ups.kind, &kinds, |kind| {
        Some(with(Ups {
            kind,
            ..ups.clone()
        }))
    });
    let racks = shown
        .layout
        .of_kind(ItemKind::Rack)
        .map(|p| (UpsPlace::OnRack(p.id), format!("at the foot of {}", p.id)));
    let floor = match ups.stands {
        UpsPlace::OnFloor(_) => (ups.stands, "on the floor".to_owned()),
        UpsPlace::OnRack(_) => (
            mid_floor(shown, ups),
            "in the middle of the floor".to_owned(),
        ),
    };
    let places: Vec<_> = std::iter::once(floor).chain(racks).collect();
    form.choice("stands", &ups.stands, &places, |stands| {
        Some(with(Ups {
            stands,
            ..ups.clone()
        }))
    });
    let outlets: Vec<_> = std::iter::once((None, "nothing".to_owned()))
        .chain(
            shown
                .layout
                .of_kind(ItemKind::Outlet)
                .map(|p| (Some(p.id), format!("outlet {}", p.id))),
        )
        .collect();
    form.choice("plugged into", &ups.outlet, &outlets, |outlet| {
        Some(with(Ups {
            outlet,
            ..ups.clone()
        }))
    });
    if let Some(kind) = shown.layout.stock().ups.get(&ups.kind) {
        figures::ups(form, &ups.kind, kind);
    }
}

/// The middle of the room, from where a UPS taken off its rack is moved on.
fn mid_floor(shown: &Shown<'_>, ups: &Ups) -> UpsPlace {
    let middle = shown.layout.room().bounds().centre();
    let kind = shown.layout.stock().ups.get(&ups.kind);
    let half = |side: fn(&crate::stock::UpsKind) -> Length| kind.map_or(Length::ZERO, side).half();
    UpsPlace::OnFloor(Pose {
        x: Length::from_mm(middle.x) - half(|k| k.width),
        y: Length::from_mm(middle.y) - half(|k| k.depth),
        ..Pose::default()
    })
}

fn cooling(form: &mut Form<'_, '_>, id: Id, unit: &CoolingUnit) {
    let kinds = named(&form.shown.layout.stock().cooling, |k| &k.name);
    form.choice("kind", &unit.kind, &kinds, |kind| {
        let mut unit = CoolingUnit {
            kind,
            ..unit.clone()
        };
        // A lower fan speed is one of the kind it was.
        unit.blow.fan = Fan::Top;
        Some(put(id, Item::Cooling(unit)))
    });
    form.length("above the floor", unit.bottom, |bottom| {
        put(
            id,
            Item::Cooling(CoolingUnit {
                bottom,
                ..unit.clone()
            }),
        )
    });
    if let Some(kind) = form.shown.layout.stock().cooling.get(&unit.kind) {
        blow::blow(form, id, unit, kind);
        figures::cooling(form, &unit.kind, kind);
    }
}

fn door(form: &mut Form<'_, '_>, id: Id, door: &Door) {
    let with = |door: Door| put(id, Item::Door(door));
    form.length("width", door.width, |width| {
        with(Door {
            width,
            ..door.clone()
        })
    });
    form.length("height", door.height, |height| {
        with(Door {
            height,
            ..door.clone()
        })
    });
    form.maybe_length("clear width", door.clear, |clear| {
        with(Door {
            clear,
            ..door.clone()
        })
    });
    let hinges = [
        (Hinge::Near, "nearer the wall's corner".to_owned()),
        (Hinge::Far, "at the far end".to_owned()),
    ];
    form.choice("hangs", &door.hinge, &hinges, |hinge| {
        Some(with(Door {
            hinge,
            ..door.clone()
        }))
    });
    let swings = [
        (Swing::In, "into the room".to_owned()),
        (Swing::Out, "out of the room".to_owned()),
        (Swing::None, "along the wall, or no leaf".to_owned()),
    ];
    form.choice("opens", &door.swing, &swings, |swing| {
        Some(with(Door {
            swing,
            ..door.clone()
        }))
    });
    form.tick("Way out", door.way_out, |way_out| {
        with(Door {
            way_out,
            ..door.clone()
        })
    });
}

fn window(form: &mut Form<'_, '_>, id: Id, window: &Window) {
    let with = |window: Window| put(id, Item::Window(window));
    form.length("width", window.width, |width| {
        with(Window {
            width,
            ..window.clone()
        })
    });
    form.length("sill", window.sill, |sill| {
        with(Window {
            sill,
            ..window.clone()
        })
    });
    form.length("head", window.head, |head| {
        with(Window {
            head,
            ..window.clone()
        })
    });
    form.tick("Opens", window.opens, |opens| {
        with(Window {
            opens,
            ..window.clone()
        })
    });
    form.tick("Way out", window.way_out, |way_out| {
        with(Window {
            way_out,
            ..window.clone()
        })
    });
    heat::glass(form, id, window);
}

fn column(form: &mut Form<'_, '_>, id: Id, column: &Column) {
    let with = |column: Column| put(id, Item::Column(column));
    form.length("width", column.width, |width| {
        with(Column {
            width,
            ..column.clone()
        })
    });
    form.length("depth", column.depth, |depth| {
        with(Column {
            depth,
            ..column.clone()
        })
    });
}

fn panel(form: &mut Form<'_, '_>, id: Id, panel: &Panel) {
    let with = |panel: Panel| put(id, Item::Panel(panel));
    form.length("width", panel.width, |width| {
        with(Panel {
            width,
            ..panel.clone()
        })
    });
    form.length("depth", panel.depth, |depth| {
        with(Panel {
            depth,
            ..panel.clone()
        })
    });
    form.length("above the floor", panel.bottom, |bottom| {
        with(Panel {
            bottom,
            ..panel.clone()
        })
    });
    form.length("height", panel.height, |height| {
        with(Panel {
            height,
            ..panel.clone()
        })
    });
    let main = panel.main.map(Amps::shown).unwrap_or_default();
    form.text("main breaker", main, |typed| {
        let main = read_maybe(typed, "A", Amps::parse)?;
        Ok(with(Panel {
            main,
            ..panel.clone()
        }))
    });
    let free = panel.free.map(|n| n.to_string()).unwrap_or_default();
    form.text("free places", free, |typed| {
        let free = whole_maybe(typed)?;
        Ok(with(Panel {
            free,
            ..panel.clone()
        }))
    });
}

fn zone(form: &mut Form<'_, '_>, id: Id, zone: &Zone) {
    let with = |zone: Zone| put(id, Item::Zone(zone));
    let wet = match zone.purpose {
        ZoneUse::Wet { .. } => zone.purpose,
        ZoneUse::KeepClear => ZoneUse::Wet { dry_from: None },
    };
    let uses = [
        (ZoneUse::KeepClear, "keep clear".to_owned()),
        (wet, "wet".to_owned()),
    ];
    form.choice("use", &zone.purpose, &uses, |purpose| {
        Some(with(Zone {
            purpose,
            ..zone.clone()
        }))
    });
    form.length("width", zone.width, |width| {
        with(Zone {
            width,
            ..zone.clone()
        })
    });
    form.length("depth", zone.depth, |depth| {
        with(Zone {
            depth,
            ..zone.clone()
        })
    });
    form.length("from height", zone.low, |low| {
        with(Zone {
            low,
            ..zone.clone()
        })
    });
    form.maybe_length("up to height", zone.high, |high| {
        with(Zone {
            high,
            ..zone.clone()
        })
    });
    if let ZoneUse::Wet { dry_from } = zone.purpose {
        let phases = (1..=form.shown.plan.last_phase().0)
            .map(|n| (Some(PhaseNo(n)), format!("from phase {n} on")));
        let choices: Vec<_> = std::iter::once((None, "not yet promised".to_owned()))
            .chain(phases)
            .collect();
        form.choice("dry", &dry_from, &choices, |dry_from| {
            Some(with(Zone {
                purpose: ZoneUse::Wet { dry_from },
                ..zone.clone()
            }))
        });
    }
}
