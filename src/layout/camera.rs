//! What cameras see: the view of each, and whether a printer's front is in it. Measures; judges nothing.

use glam::DVec3;

use super::{Heights, Layout, Part, PlacedPrinter};
use crate::geometry::{Bounds, Convex, Oblong, Point, Sight, TOLERANCE_MM, cut_of};
use crate::plan::{Id, Item};

/// The view of a camera.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// Its lens on the floor, the way it looks there, half of the angle it sees across, and how far it sees.
    pub sight: Sight,
    /// Its lens above the floor.
    pub height: f64,
    /// How far below the level it looks, in radians.
    pub tilt: f64,
    /// Half of the angle that it sees from top to bottom, in radians.
    pub half_up: f64,
}

/// Why a camera does not see a printer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Unseen {
    /// It stands further off than a print can be judged.
    TooFar,
    /// It is beside, above or below the picture.
    OutsidePicture,
    /// The camera looks at its back or side.
    FromBehind,
    /// A wall or that thing stands before it.
    Hidden(Option<Id>),
}

impl Unseen {
    /// The reason in words.
    pub fn words(self) -> String {
        match self {
            Self::TooFar => "too far off".to_owned(),
            Self::OutsidePicture => "outside its picture".to_owned(),
            Self::FromBehind => "seen from behind".to_owned(),
            Self::Hidden(Some(id)) => format!("hidden by {id}"),
            Self::Hidden(None) => "hidden by a wall".to_owned(),
        }
    }
}

impl Layout {
    /// The view of a camera; else what is missing of its figures, in words. `None` for what is no camera.
    pub fn view_of(&self, part: &Part) -> Option<Result<View, Vec<&'static str>>> {
        let Item::Camera(camera) = self.plan.items().get(part.id)? else {
            return None;
        };
        let kind = self.stock.cameras.get(&camera.kind)?;
        let (Some(across), Some(up), Some(range)) = (kind.view_across, kind.view_up, kind.range)
        else {
            let figures = [
                (kind.view_across.is_none(), "the angle it sees across"),
                (kind.view_up.is_none(), "the angle it sees up and down"),
                (kind.range.is_none(), "how far it sees"),
            ];
            let missing = figures.into_iter().filter(|(gone, _)| *gone);
            return Some(Err(missing.map(|(_, words)| words).collect()));
        };
        let (sin, cos) = camera.at.turn.sin_cos();
        Some(Ok(View {
            sight: Sight {
                from: part.spot,
                looking: Point::new(sin, -cos),
                half_angle: across.radians() * 0.5,
                range: range.mm(),
            },
            height: camera.height.mm(),
            tilt: camera.tilt.radians(),
            half_up: up.radians() * 0.5,
        }))
    }

    /// Whether a camera sees the front of a printer: the middle of its front side, in the picture, near enough, with nothing
    /// before it. Of the printer's own rack only closed sides hide it.
    pub fn looks_at(&self, view: &View, rack: Id, printer: &PlacedPrinter) -> Result<(), Unseen> {
        let front = front_of(&printer.footprint);
        let (eye, height) = (view.sight.from, (printer.low + printer.high) * 0.5);
        let ray = lift(front, height) - lift(eye, view.height);
        if ray.length() > view.sight.range + TOLERANCE_MM {
            return Err(Unseen::TooFar);
        }
        if !view.frames(ray) {
            return Err(Unseen::OutsidePicture);
        }
        if (eye - front).dot(-printer.footprint.up()) <= TOLERANCE_MM {
            return Err(Unseen::FromBehind);
        }
        self.hidden_by(view, (front, height), rack)
            .map_or(Ok(()), Err)
    }

    /// What stands between a camera and a place.
    fn hidden_by(&self, view: &View, (to, height): (Point, f64), rack: Id) -> Option<Unseen> {
        let eye = view.sight.from;
        let box_round = Bounds::of(&[eye, to])?;
        let hides = |solid: &super::Solid| {
            solid
                .shape
                .crossed_by(eye, to)
                .is_some_and(|(from, until)| {
                    let at = |share: f64| view.height + (height - view.height) * share;
                    let (a, b) = (at(from), at(until));
                    let line = Heights {
                        low: a.min(b),
                        high: a.max(b),
                    };
                    line.low < solid.heights.high && solid.heights.low < line.high
                })
        };
        let body = self
            .solids_near(&box_round, TOLERANCE_MM)
            .find(|(part, solid)| part.id != rack && hides(solid));
        if let Some((part, _)) = body {
            return Some(Unseen::Hidden(Some(part.id)));
        }
        if self.behind_sheet(view, (to, height), rack) {
            return Some(Unseen::Hidden(Some(rack)));
        }
        (!self.room.holds_line(eye, to)).then_some(Unseen::Hidden(None))
    }

    /// Whether a closed side of a rack stands between a camera and a place in it.
    fn behind_sheet(&self, view: &View, (to, height): (Point, f64), rack: Id) -> bool {
        let parts = self.part(rack).and_then(|part| part.rack.as_ref());
        parts.is_some_and(|rack| {
            let sheets = rack.closed.iter().flat_map(Convex::sides);
            sheets
                .filter_map(|sheet| cut_of((view.sight.from, to), sheet))
                .any(|share| view.height + (height - view.height) * share < rack.height)
        })
    }

    /// The ground that a camera sees at the height of its lens: what reaches that high stands before it.
    pub fn seen_ground(&self, view: &View) -> Vec<Point> {
        let as_high =
            |s: &super::Solid| s.heights.low < view.height && view.height < s.heights.high;
        let bodies = self.solids().filter(|(_, solid)| as_high(solid));
        let lines: Vec<(Point, Point)> = bodies
            .flat_map(|(_, solid)| solid.shape.sides().collect::<Vec<_>>())
            .chain(self.room.sides())
            .collect();
        view.sight.outline(&lines)
    }
}

impl View {
    /// True where a ray from the lens falls into the picture.
    fn frames(&self, ray: DVec3) -> bool {
        let (sin, cos) = self.tilt.sin_cos();
        let looking = lift(self.sight.looking * cos, -sin);
        let across = lift(self.sight.looking.perp(), 0.0);
        let up = looking.cross(across);
        let ahead = ray.dot(looking);
        let within = |off: f64, half: f64| off.abs().atan2(ahead) <= half + 1e-9;
        within(ray.dot(across), self.sight.half_angle) && within(ray.dot(up), self.half_up)
    }
}

/// The middle of the front side of a printer: unturned it looks down the sheet.
fn front_of(footprint: &Oblong) -> Point {
    footprint.at(0.0, -footprint.depth() * 0.5)
}

fn lift(p: Point, height: f64) -> DVec3 {
    DVec3::new(p.x, p.y, height)
}
