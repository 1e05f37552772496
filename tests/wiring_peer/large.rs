//! Random problems as large as a whole room. Knows neither the program's answers nor the peer's.

use std::collections::BTreeMap;

use aislewright::wiring::problem::{Amps, Circuit, Load, Offer, Outlet, Problem, Reach};

use super::dice::Dice;

/// How large a room is.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Size {
    /// Loads in all.
    pub(crate) loads: u32,
    /// Their different draws; all different where `None`.
    pub(crate) kinds: Option<u32>,
    /// Circuits that exist, each with two outlets of four receptacles and something on it.
    pub(crate) circuits: u32,
    /// Circuits that may be added.
    pub(crate) most: Option<u32>,
}

/// Loads of a whole room: 0.8 to 3.4 A running and up to twice that at the peak, on circuits of 16 A for long and 20 A.
pub(crate) fn large(seed: u64, size: Size) -> Problem {
    let mut dice = Dice(seed);
    let kinds: Vec<Amps> = (0..size.kinds.unwrap_or(0))
        .map(|_| draw(&mut dice))
        .collect();
    let circuits: Vec<Circuit> = (0..size.circuits)
        .map(|k| Circuit {
            limit: Amps::new(16_000, 20_000),
            taken: Amps::new(dice.roll(0, 4000), dice.roll(4000, 6000)),
            class: 0,
            leg: Some(u8::from(k % 2 == 1)),
        })
        .collect();
    let outlets = 2 * size.circuits;
    let loads = (0..size.loads)
        .map(|k| Load {
            draw: match u32::try_from(kinds.len()) {
                Ok(n @ 1..) => kinds[dice.roll(0, n - 1) as usize],
                _ => draw(&mut dice),
            },
            class: 0,
            reach: near(&mut dice, k * outlets / size.loads, outlets),
            pinned: None,
            new_allowed: true,
        })
        .collect();
    let offer = Offer {
        limit: Amps::new(16_000, 20_000),
        receptacles: 8,
        most: size.most,
    };
    Problem {
        circuits,
        outlets: (0..outlets as usize)
            .map(|k| Outlet {
                circuit: k / 2,
                receptacles: 4,
            })
            .collect(),
        loads,
        offers: BTreeMap::from([(0, offer)]),
        legs: 2,
        fill_percent: 80,
    }
}

fn draw(dice: &mut Dice) -> Amps {
    let running = dice.roll(800, 3400);
    Amps::new(running, running * dice.roll(130, 200) / 100)
}

/// Racks stand along the walls, and so do the outlets: a cord reaches the nearest few.
fn near(dice: &mut Dice, at: u32, outlets: u32) -> Vec<Reach> {
    (0..outlets)
        .filter(|o| o.abs_diff(at) <= 3)
        .map(|o| Reach {
            outlet: o as usize,
            cord_mm: 500 + 900 * o.abs_diff(at) + dice.roll(0, 400),
        })
        .collect()
}
