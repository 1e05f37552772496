//! The ceilings of the example, against pencil sums.

mod common;

use aislewright::fill::Headroom;
use aislewright::plan::{Head, Plan, Room};
use aislewright::units::Length;
use common::{example, judged};
use std::sync::Arc;

fn allows(plan: &Arc<Plan>, phase: u8, limit: &str) -> Option<u32> {
    let (layout, _) = judged(plan, phase);
    Headroom::of(&layout).ceiling(limit).and_then(|c| c.allows)
}

#[test]
fn each_limit_alone_allows_so_many() {
    let plan = example();
    // Two full racks of nine slots in phase 1.
    assert_eq!(allows(&plan, 1, "slots"), Some(18));
    // A 20 A circuit at 120 V: running 0.8 * 2400 / (120 / 0.95) = 15.2, at the peak 2400 / (300 / 0.95) = 7.6: 7 a
    // circuit. Two circuits in phase 1, nine in phase 3.
    assert_eq!(allows(&plan, 1, "circuits"), Some(14));
    assert_eq!(allows(&plan, 3, "circuits"), Some(63));
    // A UPS of 900 W: 0.8 * 900 / 120 = 6, 900 / 300 = 3 at the peak, 5 receptacles: 3. Four in phase 1, 17 in phase 3.
    assert_eq!(allows(&plan, 1, "ups"), Some(12));
    assert_eq!(allows(&plan, 3, "ups"), Some(51));
}

#[test]
fn what_is_not_judged_or_not_entered_is_unknown() {
    let plan = example();
    for limit in ["floor", "supply", "cooling"] {
        assert_eq!(allows(&plan, 3, limit), None, "{limit}");
    }
    let room = Room::rectangle(
        Length::from_feet(12),
        Length::from_feet(20),
        Length::from_feet(9),
        Length::from_inches(6),
    );
    let empty = Arc::new(Plan::new(Head::default(), room));
    for limit in ["circuits", "ups"] {
        assert_eq!(allows(&empty, 1, limit), None, "nobody entered a {limit}");
    }
    assert_eq!(allows(&empty, 1, "slots"), Some(0), "no rack, no slot");
}
