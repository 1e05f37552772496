//! The packing core alone (no strips, no aisle, no way out) on published instances of the pallet loading problem:
//! identical rectangles with quarter turns in a rectangle.
//!
//! The instances circulate in the pallet loading literature (Birgin, Morabito, Lins, Nelissen, Martins and Dell); the optima
//! were proved by the mixed-integer programme in `tests/peers`, see the head of `tests/data/pallet_packing.ron`.
#![expect(clippy::print_stdout, reason = "what is open is of interest")]

use aislewright::fill::problem::{Faces, PackKind, Problem};
use aislewright::fill::{Claim, Effort, MOST_BYTES, solve};
use serde::Deserialize;

#[derive(Clone, Debug, Deserialize)]
#[expect(dead_code, reason = "the data say more than the test asks")]
struct Pallet {
    length: i64,
    width: i64,
    long: i64,
    short: i64,
    most: u32,
    found_here: u32,
    proved_here: bool,
    peer_seconds: f64,
}

fn problem(p: &Pallet) -> Problem {
    Problem {
        width: p.length,
        depth: p.width,
        aisle: 0,
        gap: 0,
        kinds: vec![PackKind {
            width: p.long,
            depth: p.short,
            printers: 1,
            faces: Faces::default(),
            plugs: false,
            exactly: None,
        }],
        floor: None,
        blocks: Vec::new(),
        starts: Vec::new(),
        reach: Vec::new(),
        way_out: false,
    }
}

#[test]
fn pallets_hold_what_was_proved_and_never_more() {
    let pallets: Vec<Pallet> = ron::from_str(include_str!("data/pallet_packing.ron"))
        .expect("the committed values are well-formed");
    assert!(pallets.len() >= 20, "only {} instances", pallets.len());
    let effort = Effort {
        steps: 5_000_000,
        bytes: MOST_BYTES,
    };
    let mut proved = 0;
    for p in &pallets {
        let answer = solve(&problem(p), true, effort, &mut |_| true, &|| None);
        let name = format!("{} {} {} {}", p.length, p.width, p.long, p.short);
        println!(
            "{name}: {} at most {} ({:?}), proved {}, {} steps",
            answer.printers, answer.bound, answer.claim, p.most, answer.steps
        );
        assert!(
            answer.printers <= p.most,
            "{name}: found {} of {}",
            answer.printers,
            p.most
        );
        assert!(
            answer.bound >= p.most,
            "{name}: bound {} under {}",
            answer.bound,
            p.most
        );
        if answer.claim == Claim::Proved {
            assert_eq!(answer.printers, p.most, "{name}");
            proved += 1;
        }
    }
    println!("{proved} proved");
    assert!(proved >= 12, "only {proved} proved");
}
