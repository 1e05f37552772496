//! Moving things from a phase on: with any racks of the example chosen, what moves is there once in every phase, and nothing
//! before that phase changes.

use std::sync::Arc;

use aislewright::cli::EXAMPLE;
use aislewright::layout::Layout;
use aislewright::plan::Item;
use aislewright::plan::{Id, Library, PhaseNo, Plan, UpsPlace};
use aislewright::storage;
use aislewright::units::Length;

fn there(plan: &Plan, phase: u8) -> (usize, usize) {
    let phase = PhaseNo(phase);
    let printers = plan.printers().iter();
    let items = plan.items().iter();
    (
        printers.filter(|(_, p)| p.presence.holds_in(phase)).count(),
        items.filter(|(_, i)| i.presence().holds_in(phase)).count(),
    )
}

/// Every printer stands in a rack that is there, and every UPS at the foot of one.
fn holds_together(plan: &Plan, phase: u8) {
    let phase = PhaseNo(phase);
    let is_there = |id: Id| {
        plan.items()
            .get(id)
            .is_some_and(|i| i.presence().holds_in(phase))
    };
    for (id, printer) in plan.printers().iter() {
        if printer.presence.holds_in(phase) {
            assert!(is_there(printer.slot.rack), "{id} in phase {phase}");
            assert!(printer.power.is_none_or(is_there), "{id} is plugged in");
        }
    }
    for (id, item) in plan.items().iter() {
        if let Item::Ups(ups) = item
            && let UpsPlace::OnRack(rack) = ups.stands
            && is_there(id)
        {
            assert!(is_there(rack), "{id} in phase {phase}");
        }
    }
}

#[test]
fn what_moves_in_a_phase_is_there_once_with_all_that_stands_in_it() {
    let library = Library::builtin().unwrap();
    let plan = storage::plan_of(&library, "example", EXAMPLE.as_bytes())
        .unwrap()
        .plan;
    let racks: Vec<Id> = plan
        .items()
        .iter()
        .map(|(id, _)| id)
        .filter(|id| plan.rack(*id).is_some())
        .collect();
    let mut moved = 0;
    for mask in 1_u32..1 << racks.len() {
        let chosen: Vec<Id> = (0..)
            .zip(&racks)
            .filter(|(k, _)| mask >> k & 1 == 1)
            .map(|(_, id)| *id)
            .collect();
        for phase in 2..=3 {
            let by = (Length::from_inches(6), Length::ZERO);
            let Some((edit, now)) = plan.relocated(&chosen, PhaseNo(phase), by) else {
                continue;
            };
            let after = plan.edited(&library.stock, &edit).unwrap();
            for n in 1..=3 {
                assert_eq!(there(&after, n), there(&plan, n), "phase {n}");
                holds_together(&after, n);
            }
            for id in now {
                let item = after.items().get(id).unwrap();
                assert_eq!(item.presence().arrives, PhaseNo(phase));
                moved += 1;
            }
            let shown = |plan: &Plan| {
                let layout = Layout::of(&library, &Arc::new(plan.clone()), PhaseNo(phase - 1));
                layout.parts().map(|p| (p.id, p.spot)).collect::<Vec<_>>()
            };
            assert_eq!(shown(&after), shown(&plan), "the phase before");
        }
    }
    assert!(moved > 500, "{moved}");
}
