//! Loads to circuits: which outlet or added circuit every plug goes to, so that as many as possible have power on the fewest
//! added circuits, with its proof.
//!
//! [`wire`] asks and answers in a plan's own words: `ask` makes the problem of a phase, `supplies` puts printers on the UPS of their rack, `boxes` finds where new
//! outlets hang. [`schedule`] is the panel schedule, [`rehang`] hangs things on another circuit, [`outage`] tells bad days, [`restart`] the way back, [`day_card`]
//! puts both in words; [`what_if`] tries changes.
//! Below lies the packing core, which knows no plan: [`problem`] says what is to be wired, `packing` makes one class of it small,
//! `fills` and `seats` say what one circuit may hold, `bound` and `prices` what no answer can beat, `greedy` finds answers quickly,
//! `fewest` searches for the best, `spread` moves loads about for the later aims, and [`solve`] puts the aims in order. Currents are those of the limits handed in: what the
//! limits must be is for the code and a licensed electrician.

mod ask;
mod bound;
mod boxes;
pub mod day_card;
mod fewest;
mod fills;
mod greedy;
mod meter;
pub mod outage;
mod outcome;
mod packing;
mod prices;
pub mod problem;
pub mod rehang;
pub mod restart;
pub mod schedule;
mod seats;
mod solve;
mod spread;
mod supplies;
pub mod what_if;
mod wire;

pub use ask::{Asked, Plug};
pub use boxes::{Boxes, NewBox};
pub use outcome::{Added, Claim, Outcome, Place, Spread, Why};
pub use solve::solve;
pub use wire::{Line, STEPS, WHO_DECIDES, Wired, wire, wire_also_behind};
