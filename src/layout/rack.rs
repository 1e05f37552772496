//! A rack as it stands: its outline, the gap behind, the strips before its faces, its levels and slots.

use super::part::{Ground, Heights};
use crate::geometry::{Convex, Corridor, Oblong, Point, TOLERANCE_MM};
use crate::plan::{Id, Printer, Rack, SlotRef};
use crate::stock::{
    Face, KindId, LevelKind, PadKind, PrinterKind, Prints, RackKind, Stock, Stores,
};
use crate::units::Length;

/// The floor before an access face that must stay free.
#[derive(Clone, Debug, PartialEq)]
pub struct Strip {
    /// The side of the rack.
    pub face: Face,
    /// The band ahead of the face.
    pub corridor: Corridor,
    /// The band cut off at the aisle's depth, as a rectangle and as a shape.
    pub oblong: Oblong,
    /// The same as a convex shape.
    pub shape: Convex,
}

impl Strip {
    /// The strip before one face of a body.
    pub fn before(body: &Oblong, face: Face, aisle: Length) -> Self {
        let (w, d) = (body.width() * 0.5, body.depth() * 0.5);
        let (origin, forward, half_width) = match face {
            Face::Front => (body.at(0.0, -d), -body.up(), w),
            Face::Back => (body.at(0.0, d), body.up(), w),
            Face::Left => (body.at(-w, 0.0), -body.across(), d),
            Face::Right => (body.at(w, 0.0), body.across(), d),
        };
        let corridor = Corridor {
            origin,
            forward,
            half_width,
        };
        let oblong = corridor.strip(aisle.mm());
        Self {
            face,
            corridor,
            shape: oblong.convex(),
            oblong,
        }
    }
}

/// A level of a rack as it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Level {
    /// Number from below, the lowest being 1.
    pub number: u8,
    /// Top of the board above the floor.
    pub top: Length,
    /// Underside of what is above, and the opening's height; `None` where it is open up to the ceiling.
    pub opening: Option<Length>,
    /// Printers side by side that it takes.
    pub slots: u8,
    /// Clear width between the posts.
    pub clear_width: Length,
    /// Depth of the board.
    pub depth: Length,
    /// Thickness of the board.
    pub board: Length,
    /// How much the pads under its printers lift them; nothing without any.
    pub lift: Length,
    /// What it is for where it has no printers.
    pub stores: Stores,
}

impl Level {
    /// The levels of a rack of that kind whose boards are given, lowest first.
    pub fn all_of(stock: &Stock, kind: &RackKind, given: &[LevelKind]) -> Vec<Self> {
        let board = |level: &LevelKind| {
            let own = level.board.as_ref().unwrap_or(&kind.board);
            let usual = || stock.boards.get(own).map_or(Length::ZERO, |b| b.thickness);
            level.thickness.unwrap_or_else(usual)
        };
        let lift = |level: &LevelKind| {
            let under = level.pad.as_ref().filter(|_| level.slots > 0);
            let pad = under.and_then(|pad| stock.pads.get(pad));
            pad.map_or(Length::ZERO, PadKind::lift)
        };
        let above = given
            .iter()
            .skip(1)
            .map(|next| Some(next.height - board(next)))
            .chain(std::iter::once(None));
        (1..=u8::MAX)
            .zip(given.iter().zip(above))
            .map(|(number, (level, next))| Self {
                number,
                top: level.height,
                opening: next.map(|underside| underside - level.height),
                slots: level.slots,
                clear_width: kind.clear_width,
                depth: kind.depth,
                board: board(level),
                lift: lift(level),
                stores: level.stores,
            })
            .collect()
    }

    /// True for a level that spools and boxes are kept on.
    pub fn keeps_spools(&self) -> bool {
        self.slots == 0 && self.stores == Stores::Spools
    }

    /// Height of the opening, the uppermost one up to the ceiling.
    pub fn opening_under(&self, ceiling: Length) -> Length {
        self.opening.unwrap_or(ceiling - self.top)
    }

    /// Where its printers stand: on the board, or on the pads that lie on it.
    pub fn stands(&self) -> Length {
        self.top + self.lift
    }

    /// The heights that a printer of that kind takes on this level, with all that it needs in use.
    pub fn heights_of(&self, printer: &PrinterKind) -> Heights {
        Heights {
            low: self.stands().mm(),
            high: (self.stands() + printer.height).mm(),
        }
    }

    /// Width of one place.
    pub fn share(&self) -> Length {
        Length::from_mm(self.clear_width.mm() / f64::from(self.slots.max(1)))
    }

    /// True where a printer of that kind goes into the opening by its height and depth.
    fn takes(&self, printer: &PrinterKind, ceiling: Length) -> bool {
        let needs = self.lift + printer.height;
        !over(needs, self.opening_under(ceiling)) && !over(printer.depth, self.depth)
    }

    /// True where a printer of that kind goes into one place of this level.
    pub fn place_takes(&self, printer: &PrinterKind, ceiling: Length) -> bool {
        self.takes(printer, ceiling) && !over(printer.width, self.share())
    }

    /// Printers of that kind which stand on this level side by side, at most one for each of its slots. Where they are
    /// fewer than the slots, the board has to be shared out anew among them.
    pub fn holds(&self, printer: &PrinterKind, ceiling: Length) -> u8 {
        (0..=self.slots)
            .rev()
            .find(|n| !over(printer.width * i32::from(*n), self.clear_width))
            .filter(|_| self.takes(printer, ceiling))
            .unwrap_or(0)
    }
}

/// Printers of that width that stand side by side between the posts with a gap between each two.
pub fn side_by_side(width: Length, gap: Length, clear: Length) -> u8 {
    (1..=40_u8)
        .take_while(|n| !over(width * i32::from(*n) + gap * (i32::from(*n) - 1), clear))
        .last()
        .unwrap_or(0)
}

/// True where what needs `needs` does not go into `has`.
pub fn over(needs: Length, has: Length) -> bool {
    needs.mm() > has.mm() + TOLERANCE_MM
}

/// The place of one printer, with the printer that stands there in this phase.
#[derive(Clone, Debug, PartialEq)]
pub struct Slot {
    /// Its name.
    pub name: SlotRef,
    /// The middle of the place, in the plan.
    pub middle: Point,
    /// The printer that stands there.
    pub printer: Option<PlacedPrinter>,
}

/// A printer in its slot.
#[derive(Clone, Debug, PartialEq)]
pub struct PlacedPrinter {
    /// The printer's mark.
    pub id: Id,
    /// Its kind.
    pub kind: KindId,
    /// Its envelope in use, in the plan.
    pub footprint: Oblong,
    /// What is printed on it, as it or its kind says.
    pub prints: Option<Prints>,
    /// Its lowest and highest point above the floor.
    pub low: f64,
    /// See [`PlacedPrinter::low`].
    pub high: f64,
}

/// A rack as it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct RackParts {
    /// The outline.
    pub body: Oblong,
    /// The outline with the gap behind the back, which walls and fixed things must leave free.
    pub with_gap: Convex,
    /// Height of posts or of the highest printer, whichever is more.
    pub height: f64,
    /// The levels, lowest first.
    pub levels: Vec<Level>,
    /// The slots: level by level, left to right as seen from the front.
    pub slots: Vec<Slot>,
    /// The outline round all of its printers, and the heights they take together; `None` where it holds none.
    pub machines: Option<(Convex, Heights)>,
    /// The sides that are closed, as lines.
    pub closed: Vec<Convex>,
}

impl RackParts {
    /// The band behind the back, as wide as the rack.
    pub fn behind(&self) -> Corridor {
        Corridor {
            origin: self.body.at(0.0, self.body.depth() * 0.5),
            forward: self.body.up(),
            half_width: self.body.width() * 0.5,
        }
    }

    pub(super) fn of(
        ground: Ground<'_>,
        id: Id,
        rack: &Rack,
        printers: &[(Id, &Printer)],
    ) -> Option<Self> {
        let kind = ground.stock.racks.get(&rack.kind)?;
        let body = rack.at.oblong(kind.width, kind.depth);
        let levels = Level::all_of(ground.stock, kind, rack.levels(kind));
        let slots: Vec<Slot> = levels
            .iter()
            .flat_map(|level| (1..=level.slots).map(move |place| (level, place)))
            .map(|(level, place)| slot(ground, &body, id, level, place, printers))
            .collect();
        let highest_printer = slots
            .iter()
            .filter_map(|s| s.printer.as_ref().map(|p| p.high))
            .fold(0.0, f64::max);
        Some(Self {
            machines: machines(&slots),
            closed: kind.closed.iter().map(|f| side(&body, *f)).collect(),
            with_gap: body
                .grown(0.0, 0.0, 0.0, ground.limits.back_gap.value.mm())
                .convex(),
            height: kind.height.mm().max(highest_printer),
            levels,
            slots,
            body,
        })
    }
}

/// The outline round the printers in some slots, and the heights they take together.
fn machines(slots: &[Slot]) -> Option<(Convex, Heights)> {
    let printers = || slots.iter().filter_map(|s| s.printer.as_ref());
    let corners: Vec<Point> = printers().flat_map(|p| p.footprint.corners()).collect();
    let heights = Heights {
        low: printers().map(|p| p.low).fold(f64::INFINITY, f64::min),
        high: printers().map(|p| p.high).fold(0.0, f64::max),
    };
    Some((Convex::hull(&corners)?, heights))
}

/// One side of a rack, from end to end.
fn side(body: &Oblong, face: Face) -> Convex {
    let (w, d) = (body.width() * 0.5, body.depth() * 0.5);
    let (from, to) = match face {
        Face::Front => ((-w, -d), (w, -d)),
        Face::Back => ((-w, d), (w, d)),
        Face::Left => ((-w, -d), (-w, d)),
        Face::Right => ((w, -d), (w, d)),
    };
    Convex::line(body.at(from.0, from.1), body.at(to.0, to.1))
}

fn slot(
    ground: Ground<'_>,
    body: &Oblong,
    rack: Id,
    level: &Level,
    place: u8,
    printers: &[(Id, &Printer)],
) -> Slot {
    let name = SlotRef {
        rack,
        level: level.number,
        place,
    };
    let pitch = level.clear_width.mm() / f64::from(level.slots.max(1));
    let x = (f64::from(place) - 0.5) * pitch - level.clear_width.mm() * 0.5;
    let printer = printers
        .iter()
        .find(|(_, p)| p.slot == name)
        .and_then(|(id, p)| {
            let kind = ground.stock.printers.get(&p.kind)?;
            Some(standing(body, x, level, (*id, p), kind))
        });
    Slot {
        name,
        middle: body.at(x, 0.0),
        printer,
    }
}

fn standing(
    body: &Oblong,
    x_mm: f64,
    level: &Level,
    (id, printer): (Id, &Printer),
    kind: &PrinterKind,
) -> PlacedPrinter {
    let across = body.across();
    let heights = level.heights_of(kind);
    PlacedPrinter {
        id,
        kind: printer.kind.clone(),
        prints: printer.prints.or(kind.prints),
        footprint: Oblong::new(
            body.at(x_mm, 0.0),
            kind.width.mm(),
            kind.depth.mm(),
            (across.y, across.x),
        ),
        low: heights.low,
        high: heights.high,
    }
}
