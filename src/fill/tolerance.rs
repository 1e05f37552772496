//! What the tape's tolerance costs: each wall a little shorter than measured, the room filled anew, the difference counted.
//! Lists what is to be searched and reads the answers; whoever asks searches, and may stop between two rooms.

use std::sync::Arc;

use super::answer::{Answer, Claim, StoppedBy};
use crate::plan::{Edit, Library, Plan, Record, Room, UNSTATED_TOLERANCE, WallPlace};
use crate::units::{Length, Practice};

/// The room with one wall shorter by the tape's tolerance, to be filled.
#[derive(Clone, Debug)]
pub struct Shorter {
    /// The walls, by their places in [`Room::corners`], that make the room so when they are shorter: a wall and the one that
    /// faces it make the same room.
    pub walls: Vec<usize>,
    /// The plan with that room, or why there is none.
    pub plan: Result<Arc<Plan>, String>,
}

/// What a wall that is shorter than measured costs.
#[derive(Clone, Debug, PartialEq)]
pub struct WallCost {
    /// The wall's number for people, the first being 1 (see [`Room::wall_number`]).
    pub wall: usize,
    /// Its length as measured.
    pub length: Length,
    /// By how much it is shorter.
    pub shorter: Length,
    /// What that costs.
    pub cost: Cost,
}

/// A cost in printers, or why it is not known.
#[derive(Clone, Debug, PartialEq)]
pub enum Cost {
    /// The room holds so many printers fewer.
    Printers {
        /// How many.
        lost: u32,
        /// How far both counts are proved: the weaker of the two.
        claim: Claim,
    },
    /// It was not worked out, and why.
    Unknown(String),
}

/// How far the tape may be wrong, and whether the plan says so.
pub fn tape_tolerance(room: &Room) -> (Length, bool) {
    let stated = room.tape_tolerance;
    (stated.unwrap_or(UNSTATED_TOLERANCE), stated.is_some())
}

/// The rooms to fill, one for each wall, those that are alike once. None where the tape is taken to be exact.
pub fn shorter_rooms(library: &Library, plan: &Plan) -> Vec<Shorter> {
    let (by, _) = tape_tolerance(plan.room());
    let mut seen: Vec<(Option<Room>, Shorter)> = Vec::new();
    if by <= Length::ZERO {
        return Vec::new();
    }
    for k in 0..plan.room().walls() {
        let room = plan.room().wall_shortened(k, by);
        let same = |other: &&mut (Option<Room>, Shorter)| room.is_some() && other.0 == room;
        if let Some((_, other)) = seen.iter_mut().find(same) {
            other.walls.push(k);
            continue;
        }
        let shorter = room.as_ref().map_or_else(
            || Err("a wall so much shorter would leave no room".to_owned()),
            |room| with_room(library, plan, room),
        );
        seen.push((
            room,
            Shorter {
                walls: vec![k],
                plan: shorter,
            },
        ));
    }
    seen.into_iter().map(|(_, shorter)| shorter).collect()
}

/// The plan with that room; what hangs at the end of a wall that is shorter now slides back along it.
fn with_room(library: &Library, plan: &Plan, room: &Room) -> Result<Arc<Plan>, String> {
    let stock = library.stock_of(plan);
    let outline = room.polygon().ok_or("the room has no outline")?;
    let slid = plan.items().iter().filter_map(|(id, item)| {
        let at = item.wall_place()?;
        let (a, b) = outline.side(usize::from(at.wall))?;
        let width = item.wall_width(&stock);
        let most = a.distance(b) - width.mm();
        (at.along.mm() > most).then(|| {
            let along = Length::from_mm(most.max(0.0));
            let item = item.with_wall_place(WallPlace { along, ..at });
            (id, Record::Item(Box::new(item)))
        })
    });
    let edit = Edit::Several(
        "Shorten a wall".to_owned(),
        vec![
            Edit::SetRoom(Box::new(room.clone())),
            Edit::Put(slid.collect()),
        ],
    );
    plan.edited(&library.stock, &edit)
        .map(Arc::new)
        .map_err(|refused| refused.to_string())
}

impl Shorter {
    /// What the walls cost, given how many printers the room as measured holds and what was found of the shorter one.
    pub fn costs(
        &self,
        plan: &Plan,
        whole: &Answer,
        found: &Result<Answer, String>,
    ) -> Vec<WallCost> {
        let cost = match found {
            Ok(answer) if broken_off(answer.stopped_by) => {
                Cost::Unknown("the search was broken off".to_owned())
            }
            Ok(answer) => Cost::Printers {
                // A shorter wall never makes room: what looks like more was only not found before.
                lost: whole.printers.saturating_sub(answer.printers),
                claim: weaker(whole.claim, answer.claim),
            },
            Err(why) => Cost::Unknown(why.clone()),
        };
        let room = plan.room();
        let (shorter, _) = tape_tolerance(room);
        self.walls
            .iter()
            .map(|k| WallCost {
                wall: room.wall_number(*k),
                length: measured(room, *k),
                shorter,
                cost: cost.clone(),
            })
            .collect()
    }
}

/// True where the search ended before it knew what it would have known.
fn broken_off(by: StoppedBy) -> bool {
    match by {
        StoppedBy::Seconds | StoppedBy::Cancelled | StoppedBy::Running => true,
        StoppedBy::Proof | StoppedBy::Steps | StoppedBy::Memory => false,
    }
}

fn weaker(a: Claim, b: Claim) -> Claim {
    match (a, b) {
        (Claim::Proved, Claim::Proved) => Claim::Proved,
        (Claim::Found, _) | (_, Claim::Found) => Claim::Found,
        (Claim::ProvedOnLattice, _) | (_, Claim::ProvedOnLattice) => Claim::ProvedOnLattice,
    }
}

/// A wall as it was measured: the leg of a walk, or between two corners.
fn measured(room: &Room, k: usize) -> Length {
    let leg = room
        .tape_walk()
        .and_then(|walk| walk.legs().get(walk.wall_of_leg(k)));
    leg.map(|leg| leg.length)
        .or_else(|| room.wall_length(k))
        .unwrap_or_default()
}

impl WallCost {
    /// Printers lost, where that is known.
    pub fn lost(&self) -> Option<u32> {
        match self.cost {
            Cost::Printers { lost, .. } => Some(lost),
            Cost::Unknown(_) => None,
        }
    }

    /// In a sentence without its full stop, such as `wall 3 (26' 4"): 1/4" less costs 3 printers; measure it again before buying`.
    pub fn words(&self, practice: Practice) -> String {
        let head = format!(
            "wall {} ({}): {} less",
            self.wall,
            self.length.shown(practice),
            self.shorter.shown(practice)
        );
        match &self.cost {
            Cost::Unknown(why) => format!("{head} was not worked out: {why}"),
            Cost::Printers { lost, claim } => {
                let proof = match claim {
                    Claim::Found => " (found, not proved)",
                    Claim::Proved | Claim::ProvedOnLattice => "",
                };
                match lost {
                    0 => format!("{head} costs none{proof}"),
                    1 => format!("{head} costs 1 printer{proof}; measure it again before buying"),
                    n => {
                        format!("{head} costs {n} printers{proof}; measure it again before buying")
                    }
                }
            }
        }
    }
}
