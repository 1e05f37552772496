//! Mends against a brute scan: whenever some slide of at most 600 mm removes a finding and adds no must-fix, one is
//! offered; and whatever is offered does just that.
mod common;

use std::collections::BTreeSet;
use std::sync::Arc;

use aislewright::checks::{Finding, Findings, SLIDE_MOST_MM, mend_for};
use aislewright::geometry::Point;
use aislewright::layout::Layout;
use aislewright::plan::{Edit, Id, Item, Plan};
use aislewright::units::Length;
use common::{edited, example, judged, library, small_room};

const SLIDABLE: [&str; 6] = [
    "fits",
    "service-strip",
    "door-swing",
    "panel-space",
    "keep-out",
    "wet-zone",
];

fn slid(plan: &Plan, id: Id, by: Point) -> Arc<Plan> {
    edited(
        plan,
        &Edit::Move(vec![id], (Length::from_mm(by.x), Length::from_mm(by.y))),
    )
}

/// The directions a thing may slide in: those of the walls and its own, both ways.
fn directions(layout: &Layout, id: Id) -> Vec<Point> {
    let own = layout
        .part(id)
        .and_then(|p| p.solid.as_ref())
        .map(|s| s.oblong.across());
    layout
        .walls()
        .map(|w| w.along)
        .chain(own)
        .flat_map(|d| [d, -d, d.perp(), -d.perp()])
        .collect()
}

/// The shortest slide in steps of 20 mm that mends the finding, tried one by one.
fn scanned(layout: &Layout, finding: &Finding, before: &BTreeSet<String>) -> Option<f64> {
    let movable = finding.items.iter().filter(
        |id| matches!(layout.plan().items().get(**id), Some(Item::Rack(r)) if !r.presence.pinned),
    );
    let mut best: Option<f64> = None;
    for id in movable {
        for direction in directions(layout, *id) {
            for k in 1..=30_u8 {
                let length = f64::from(k) * 20.0;
                if best.is_some_and(|b| length >= b) {
                    break;
                }
                let plan = slid(layout.plan(), *id, direction * length);
                let (_, findings) = judged(&plan, 1);
                let after = findings.stops();
                if !after.contains(&finding.key()) && after.is_subset(before) {
                    best = Some(length);
                }
            }
        }
    }
    best
}

fn stops(findings: &Findings) -> Vec<Finding> {
    findings
        .iter()
        .filter(|f| f.stops() && SLIDABLE.contains(&f.check))
        .cloned()
        .collect()
}

#[test]
fn a_mend_is_offered_whenever_a_scan_finds_one_and_does_what_it_says() {
    let library = library();
    let (mut offered, mut looked_at) = (0, 0);
    for seed in 0..60 {
        let plan = small_room(seed);
        let (layout, findings) = judged(&plan, 1);
        let before = findings.stops();
        for finding in stops(&findings) {
            looked_at += 1;
            let mend = mend_for(&library, &layout, &findings, &finding);
            let scan = scanned(&layout, &finding, &before);
            let Some(mend) = mend else {
                assert_eq!(scan, None, "room {seed}: no mend for {finding:?}");
                continue;
            };
            offered += 1;
            let Edit::Move(_, (x, y)) = &mend.edit else {
                panic!("a mend is a move: {mend:?}");
            };
            let length = x.mm().hypot(y.mm());
            assert!(
                length <= SLIDE_MOST_MM + 0.01,
                "room {seed}: {} is too long",
                mend.words
            );
            if let Some(scan) = scan {
                assert!(
                    length <= scan + 1.6,
                    "room {seed}: {} though {scan} mm would do",
                    mend.words
                );
            }
            let (_, after) = judged(&edited(&plan, &mend.edit), 1);
            let after = after.stops();
            assert!(
                !after.contains(&finding.key()),
                "room {seed}: {} does not mend it",
                mend.words
            );
            assert!(
                after.is_subset(&before),
                "room {seed}: {} adds a must-fix",
                mend.words
            );
        }
    }
    assert!(
        looked_at > 150 && offered > 40,
        "too few to mean much: {offered} of {looked_at}"
    );
}

#[test]
fn mends_never_go_round_in_a_ring() {
    let library = library();
    for seed in 100..130 {
        let mut plan = small_room(seed);
        for _ in 0..40 {
            let (layout, findings) = judged(&plan, 1);
            let before = findings.stops();
            let mend = stops(&findings)
                .iter()
                .find_map(|f| mend_for(&library, &layout, &findings, f));
            let Some(mend) = mend else {
                break;
            };
            plan = edited(&plan, &mend.edit);
            let (_, after) = judged(&plan, 1);
            let after = after.stops();
            assert!(
                after.is_subset(&before) && after.len() < before.len(),
                "room {seed}: {} left as many must-fix as before",
                mend.words
            );
        }
    }
}

#[test]
fn the_example_offers_the_mend_that_a_pencil_finds() {
    // The door's hinge stands 16 in up the west wall, its leaf is 36 in long; R5 ends 24 in from that wall and reaches from
    // 2 in to 26 in. Level with the hinge the leaf sweeps out to 36 in, so R5 must go 36 - 24 = 12 in east.
    let (layout, findings) = judged(&example(), 3);
    let finding = findings
        .of_check("door-swing")
        .iter()
        .find(|f| f.stops())
        .expect("the door swings into R5");
    let mend = mend_for(&library(), &layout, &findings, finding).expect("a slide mends it");
    assert_eq!(mend.words, "move R5 1' 0\" east");
    let zero = Length::ZERO;
    assert_eq!(
        mend.edit,
        Edit::Move(vec![common::id("R5")], (Length::from_inches(12), zero))
    );
}
