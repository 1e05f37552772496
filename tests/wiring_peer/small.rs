//! Small random problems of wiring. Knows neither the program's answers nor the peer's.

use std::collections::BTreeMap;

use aislewright::wiring::problem::{Amps, Circuit, Load, Offer, Outlet, Problem, Reach};

use super::dice::Dice;

/// True in so many of a hundred cases.
fn chance(dice: &mut Dice, percent: u32) -> bool {
    dice.roll(1, 100) <= percent
}

/// A small problem with everything in it: circuits partly loaded, outlets out of reach, receptacles in use, two classes,
/// pinned loads, and added circuits without limit, with one, or none.
pub(crate) fn small(seed: u64) -> Problem {
    let mut dice = Dice(seed);
    let classes = u32::from(chance(&mut dice, 20));
    let busy = u32::from(chance(&mut dice, 60));
    let circuits: Vec<Circuit> = (0..dice.roll(0, 3))
        .map(|_| {
            let running = dice.roll(8, 16) * 1000;
            Circuit {
                limit: Amps::new(running, running * 5 / 4),
                taken: Amps::new(busy * dice.roll(0, 6) * 1000, busy * dice.roll(0, 8) * 1000),
                class: u8::try_from(dice.roll(0, classes)).unwrap_or(0),
                leg: Some(u8::try_from(dice.roll(0, 1)).unwrap_or(0)),
            }
        })
        .collect();
    let mut outlets = Vec::new();
    for circuit in 0..circuits.len() {
        for _ in 0..dice.roll(1, 3) {
            outlets.push(Outlet {
                circuit,
                receptacles: dice.roll(0, 3),
            });
        }
    }
    let count = dice.roll(3, 9);
    let small_loads = chance(&mut dice, 50);
    let loads = (0..count)
        .map(|_| {
            let running = if small_loads {
                dice.roll(10, 60)
            } else {
                dice.roll(30, 110)
            } * 100;
            let mut reach = Vec::new();
            for outlet in 0..outlets.len() {
                if chance(&mut dice, 70) {
                    let cord_mm = dice.roll(300, 6000);
                    reach.push(Reach { outlet, cord_mm });
                }
            }
            let pinned = reach
                .first()
                .filter(|_| chance(&mut dice, 15))
                .map(|r| r.outlet);
            Load {
                draw: Amps::new(running, running + dice.roll(0, 90) * 100),
                class: u8::try_from(dice.roll(0, classes)).unwrap_or(0),
                reach,
                pinned,
                new_allowed: chance(&mut dice, 85),
            }
        })
        .collect();
    let mut offers = BTreeMap::new();
    for class in 0..=classes {
        if chance(&mut dice, 80) {
            let running = dice.roll(10, 16) * 1000;
            let offer = Offer {
                limit: Amps::new(running, running * 5 / 4),
                receptacles: dice.roll(2, 6),
                most: [None, Some(1), Some(2), None][dice.roll(0, 3) as usize],
            };
            offers.insert(u8::try_from(class).unwrap_or(0), offer);
        }
    }
    Problem {
        circuits,
        outlets,
        loads,
        offers,
        legs: 2,
        fill_percent: 80,
    }
}
