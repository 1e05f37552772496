//! Way out: how wide a way leads from the way out to every access face, and where it is narrowest.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::again::Run;
use super::{Check, Finding, Severity, Standing};
use crate::geometry::{Convex, Floor, Neck, Obstacle, Place, Point, Widest};
use crate::layout::{Heights, Layout, Part, Solid, Strip};
use crate::plan::{Change, Id, Item, ItemKind};
use crate::stock::Face;
use crate::units::Length;

pub(super) const CHECK: Check = Check {
    id: "way-out",
    title: "A way out from every face",
    worst: Severity::MustFix,
    what: "A way as wide as the aisle leads from a door that is a way out to every access face.",
    why: "Whoever works at a rack must get out in an emergency, and the cart must get there every day.",
    how: "The greatest square, its sides along the room's longest wall, that slides without turning from inside the door over the free floor, up to the headroom, to the floor before the face; within 0.1 mm, and looked for up to twice the aisle. It may touch walls and bodies.",
    blind: "Dead ends, the length of the way, the way to an extinguisher, windows as ways out, the door's own clear width (see `door-swing`), and what nobody drew; ask what the local code wants.",
    limits: &["aisle", "headroom"],
    caution: "The local code and the fire authority decide about ways out; this measures them and approves nothing.",
    in_fill: true,
    run: Run::Helped(run, run_again),
    concerns: bodies_or_ground,
};

/// Printers and circuits take no floor of their own.
fn bodies_or_ground(change: &Change) -> bool {
    change.ground || !change.items.is_empty()
}

/// The floor as the walker sees it.
struct Walk<'a> {
    layout: &'a Layout,
    floor: Floor,
    bodies: Vec<&'a Part>,
    doors: Vec<&'a Part>,
    starts: Vec<Place>,
}

/// The access faces that a way as wide as the aisle leads to, as (rack, face).
pub(crate) fn reached_faces(layout: &Layout) -> BTreeSet<(Id, Face)> {
    let faces = faces(layout);
    let walk = Walk::of(layout);
    let goals: Vec<Place> = faces.iter().map(|(_, s)| Place::In(s.oblong)).collect();
    let aisle = layout.limits().aisle.value.mm();
    faces
        .iter()
        .zip(walk.floor.reach(aisle, &walk.starts, &goals))
        .filter_map(|((part, strip), reached)| reached.then_some((part.id, strip.face)))
        .collect()
}

fn faces(layout: &Layout) -> Vec<(&Part, &Strip)> {
    layout
        .parts()
        .flat_map(|part| {
            part.strips()
                .iter()
                .map(move |strip| (part.as_ref(), strip))
        })
        .collect()
}

fn run(layout: &Layout) -> Vec<Finding> {
    judged(layout, None)
}

/// The same as [`run`], sooner where the way is as wide as it was.
fn run_again(layout: &Layout, before: &[Arc<Finding>]) -> Vec<Finding> {
    let open = before.iter().find(|f| f.standing == Standing::Met);
    judged(layout, open.and_then(|f| f.measured))
}

fn judged(layout: &Layout, guess_mm: Option<f64>) -> Vec<Finding> {
    let faces = faces(layout);
    if faces.is_empty() {
        return Vec::new();
    }
    let walk = Walk::of(layout);
    if walk.starts.is_empty() {
        return vec![no_way_out(layout, &faces)];
    }
    let aisle = layout.limits().aisle.value.mm();
    let goals: Vec<Place> = faces.iter().map(|(_, s)| Place::In(s.oblong)).collect();
    let reached = walk.floor.reach(aisle, &walk.starts, &goals);
    let (held, held_goals): (Vec<_>, Vec<_>) = faces
        .iter()
        .zip(goals.iter().copied())
        .zip(&reached)
        .filter_map(|(held, reached)| (!reached).then_some(held))
        .unzip();
    if held.is_empty() {
        let widest = walk
            .floor
            .widest_to_all(&walk.starts, &goals, 2.0 * aisle, guess_mm)
            // An aisle below the least that is asked about.
            .unwrap_or(Widest {
                side_mm: aisle,
                neck: Neck::None,
                at: None,
            });
        return vec![walk.open(&widest)];
    }
    let widest = walk.floor.widest(&walk.starts, &held_goals, aisle);
    held.into_iter()
        .zip(widest)
        .map(|((part, strip), widest)| walk.narrow(part, strip, widest.as_ref()))
        .collect()
}

/// Nothing is marked as the way out.
fn no_way_out(layout: &Layout, faces: &[(&Part, &Strip)]) -> Finding {
    let doors: Vec<&Part> = layout.of_kind(ItemKind::Door).map(AsRef::as_ref).collect();
    let (missing, about): (_, Vec<&Part>) = if doors.is_empty() {
        (
            "The plan has no door",
            faces.iter().map(|(p, _)| *p).collect(),
        )
    } else {
        ("No door is marked as a way out", doors)
    };
    let spot = about.first().map(|p| p.spot);
    let mut items: Vec<Id> = about.iter().map(|p| p.id).collect();
    items.dedup();
    let text = format!("{missing}, so how wide the way out is from the racks is unknown.");
    let limit = &layout.limits().aisle;
    let finding = Finding::new(CHECK.id, Severity::MustFix, Standing::Unknown, items, text).figure(
        None,
        Some(limit.value.mm()),
        "mm",
        &limit.source_words(),
    );
    match spot {
        Some(spot) => finding.at(spot, 0.0),
        None => finding,
    }
}

impl<'a> Walk<'a> {
    fn of(layout: &'a Layout) -> Self {
        let people = Heights {
            low: 0.0,
            high: layout.limits().headroom.value.mm(),
        };
        let standing: Vec<(&Part, &Solid)> = layout
            .solids()
            .filter(|(_, s)| s.heights.overlap(people))
            .map(|(p, s)| (p.as_ref(), s))
            .collect();
        let shapes: Vec<Convex> = standing.iter().map(|(_, s)| s.shape.clone()).collect();
        let doors: Vec<(&Part, Place)> = layout
            .of_kind(ItemKind::Door)
            .filter(|part| {
                let item = layout.plan().items().get(part.id);
                matches!(item, Some(Item::Door(door)) if door.way_out)
            })
            .filter_map(|part| {
                let (near, far) = part.doorway.as_ref()?.opening;
                Some((part.as_ref(), Place::Against(near, far)))
            })
            .collect();
        let (doors, starts) = doors.into_iter().unzip();
        Self {
            layout,
            floor: Floor::new(layout.room(), &shapes, layout.main_direction()),
            bodies: standing.into_iter().map(|(p, _)| p).collect(),
            doors,
            starts,
        }
    }

    /// Every face is reached: how wide the way is at its narrowest.
    fn open(&self, widest: &Widest) -> Finding {
        let practice = self.layout.plan().practice();
        let limit = &self.layout.limits().aisle;
        let least = if widest.neck == Neck::None {
            "at least "
        } else {
            ""
        };
        let text = format!(
            "A cart of {least}{} comes from {} to every face; the aisle needs {}.{}",
            self.shown(widest.side_mm),
            self.doors_named(),
            limit.value.shown(practice),
            self.narrowest(widest),
        );
        let items = self.doors.iter().map(|d| d.id).collect();
        let at = widest.at.or(self.doors.first().map(|d| d.spot));
        self.finding(Standing::Met, items, text, widest.side_mm, at)
    }

    /// A face that no cart as wide as the aisle comes to.
    fn narrow(&self, part: &Part, strip: &Strip, widest: Option<&Widest>) -> Finding {
        let practice = self.layout.plan().practice();
        let needs = self.layout.limits().aisle.value.shown(practice);
        let doors = self.doors_named();
        let face = format!("{:?}", strip.face).to_lowercase();
        let goal = if part.strips().len() > 1 {
            format!("the {face} of {}", part.id)
        } else {
            part.id.to_string()
        };
        let text = match widest {
            None => format!(
                "No way leads from {doors} to {goal}, however narrow; the aisle needs {needs}."
            ),
            Some(w) => format!(
                "From {doors} a cart of {} at most comes to {goal}; the aisle needs {needs}.{}",
                self.shown(w.side_mm),
                self.narrowest(w)
            ),
        };
        let neck = widest.map_or(Neck::None, |w| w.neck);
        let mut items = vec![part.id];
        for id in self.bodies_at(neck) {
            if !items.contains(&id) {
                items.push(id);
            }
        }
        let at = widest.and_then(|w| w.at).unwrap_or(strip.oblong.centre());
        let side_mm = widest.map_or(0.0, |w| w.side_mm);
        self.finding(Standing::Broken, items, text, side_mm, Some(at))
            .facet(face)
            .named_by_first()
            .marking(&strip.shape)
    }

    fn finding(
        &self,
        standing: Standing,
        items: Vec<Id>,
        text: String,
        side_mm: f64,
        at: Option<Point>,
    ) -> Finding {
        let finding = Finding::new(CHECK.id, Severity::MustFix, standing, items, text)
            .length(side_mm, &self.layout.limits().aisle);
        match at {
            Some(point) => finding.at(point, 0.0),
            None => finding,
        }
    }

    /// The sentence that names the narrowest place, with a blank before it.
    fn narrowest(&self, widest: &Widest) -> String {
        match widest.neck {
            Neck::None => String::new(),
            Neck::Start(beside) => {
                let beside = self.beside(beside);
                format!(" The narrowest place is at {}{beside}.", self.doors_named())
            }
            Neck::Goal(beside) => {
                let beside = self.beside(beside);
                format!(" The narrowest place is before the face itself{beside}.")
            }
            Neck::Between(a, b) => {
                let (a, b) = (self.named(a), self.named(b));
                format!(" The narrowest place is between {a} and {b}.")
            }
        }
    }

    fn named(&self, obstacle: Obstacle) -> String {
        match obstacle {
            Obstacle::Side(k) => format!("the {}", self.layout.plan().room().wall_name(k)),
            Obstacle::Body(k) => self
                .bodies
                .get(k)
                .map_or_else(String::new, |part| part.id.to_string()),
        }
    }

    fn beside(&self, obstacle: Option<Obstacle>) -> String {
        obstacle.map_or_else(String::new, |o| format!(", beside {}", self.named(o)))
    }

    /// The bodies that make the narrowest place.
    fn bodies_at(&self, neck: Neck) -> Vec<Id> {
        let obstacles = match neck {
            Neck::None => [None, None],
            Neck::Start(one) | Neck::Goal(one) => [one, None],
            Neck::Between(a, b) => [Some(a), Some(b)],
        };
        obstacles
            .into_iter()
            .flatten()
            .filter_map(|obstacle| match obstacle {
                Obstacle::Body(k) => self.bodies.get(k).map(|part| part.id),
                Obstacle::Side(_) => None,
            })
            .collect()
    }

    /// "door D1" or "doors D1 and D2".
    fn doors_named(&self) -> String {
        let marks: Vec<String> = self.doors.iter().map(|d| d.id.to_string()).collect();
        match marks.as_slice() {
            [] => String::new(),
            [one] => format!("door {one}"),
            [rest @ .., last] => format!("doors {} and {last}", rest.join(", ")),
        }
    }

    fn shown(&self, mm: f64) -> String {
        Length::from_mm(mm).shown(self.layout.plan().practice())
    }
}
