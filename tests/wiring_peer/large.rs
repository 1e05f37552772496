//! Random problems as large as a whole room. Knows neither the program's answers nor the peer's.

use std::collections::BTreeMap;

use aislewright::wiring::problem::{Amps, Circuit, Load, Offer, Outlet, Problem, Reach};

use super::dice::Dice;

/// Loads of a whole room: `kinds` sizes, or all of them different where `None`; ten circuits exist, each with
/// two outlets of four receptacles and some load.
pub(crate) fn large(seed: u64, loads: u32, kinds: Option<u32>) -> Problem {
    let mut dice = Dice(seed);
    let draw = |dice: &mut Dice| {
        let running = dice.roll(900, 4200);
        Amps::new(running, running * dice.roll(130, 200) / 100)
    };
    let sizes: Vec<Amps> = (0..kinds.unwrap_or(0)).map(|_| draw(&mut dice)).collect();
    let circuits: Vec<Circuit> = (0..10)
        .map(|k| Circuit {
            limit: Amps::new(16_000, 20_000),
            taken: Amps::new(dice.roll(0, 4000), dice.roll(4000, 6000)),
            class: 0,
            leg: Some(k % 2),
        })
        .collect();
    let outlets: Vec<Outlet> = (0..20)
        .map(|k| Outlet {
            circuit: k / 2,
            receptacles: 4,
        })
        .collect();
    let loads = (0..loads)
        .map(|k| {
            let draw = if sizes.is_empty() {
                draw(&mut dice)
            } else {
                let most = u32::try_from(sizes.len()).unwrap_or(1) - 1;
                sizes[dice.roll(0, most) as usize]
            };
            // Racks stand along the walls, and so do the outlets: a cord reaches the nearest few.
            let near = k * 20 / loads;
            let reach = (0..20)
                .filter(|o| o + 3 >= near && near + 3 >= *o)
                .map(|o| Reach {
                    outlet: o as usize,
                    cord_mm: 500 + 900 * o.abs_diff(near) + dice.roll(0, 400),
                })
                .collect();
            Load {
                draw,
                class: 0,
                reach,
                pinned: None,
                new_allowed: true,
            }
        })
        .collect();
    let offer = Offer {
        limit: Amps::new(16_000, 20_000),
        receptacles: 8,
        most: None,
    };
    Problem {
        circuits,
        outlets,
        loads,
        offers: BTreeMap::from([(0, offer)]),
        legs: 2,
        fill_percent: 80,
    }
}
