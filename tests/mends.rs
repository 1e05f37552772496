//! Mends against a brute scan: whenever some slide of at most 600 mm removes a finding and adds no must-fix, one is
//! offered; and whatever is offered does just that.

#![expect(clippy::panic, reason = "a test that cannot go on should stop there")]

mod common;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use aislewright::checks::{Finding, Findings, SLIDE_MOST_MM, mend_for};
use aislewright::geometry::Point;
use aislewright::layout::Layout;
use aislewright::plan::{Edit, Head, Id, Item, Outline, Plan, Room, TapeWalk};
use aislewright::units::{Length, Practice};
use common::{edited, example, judged, library, small_room};

const SLIDABLE: [&str; 6] = [
    "fits",
    "service-strip",
    "door-swing",
    "panel-space",
    "keep-out",
    "wet-zone",
];

/// The rooms that are tried, and the scan's step.
const ROOMS: u64 = 150;
const STEP_MM: f64 = 10.0;

fn mm(n: i32) -> Length {
    Length::from_mm_whole(n)
}

fn slid(plan: &Plan, id: Id, by: Point) -> Arc<Plan> {
    edited(
        plan,
        &Edit::Move(vec![id], (Length::from_mm(by.x), Length::from_mm(by.y))),
    )
}

/// True for what a person may slide: it stands or hangs by itself, is no part of the building, no camera and not
/// pinned.
fn slides(plan: &Plan, id: Id) -> bool {
    plan.items().get(id).is_some_and(|item| {
        let kept = matches!(
            item,
            Item::Column(_) | Item::Overhead(_) | Item::Zone(_) | Item::Camera(_)
        ) || item.presence().pinned;
        item.pose().is_some() && !kept
    })
}

/// The directions a thing may slide in: those of the walls and its own, both ways, each once.
fn directions(layout: &Layout, id: Id) -> Vec<Point> {
    let mut ways: Vec<Point> = Vec::new();
    let own = layout
        .part(id)
        .and_then(|p| p.solid.as_ref())
        .map(|s| s.oblong.across());
    let all = layout.walls().map(|w| w.along).chain(own);
    for way in all.flat_map(|d| [d, -d, d.perp(), -d.perp()]) {
        if ways.iter().all(|known| known.distance(way) > 1e-9) {
            ways.push(way);
        }
    }
    ways
}

/// What is judged after each slide of the room's racks, worked out when first asked for.
struct Scan<'a> {
    layout: &'a Layout,
    after: BTreeMap<(Id, usize, u8), BTreeSet<String>>,
}

impl Scan<'_> {
    /// The findings that must be mended after the thing was really moved by `k` steps of 10 mm.
    fn after(&mut self, id: Id, (way, direction): (usize, Point), k: u8) -> &BTreeSet<String> {
        let layout = self.layout;
        self.after.entry((id, way, k)).or_insert_with(|| {
            let by = direction * (f64::from(k) * STEP_MM);
            judged(&slid(layout.plan(), id, by), 1).1.stops()
        })
    }

    /// The shortest slide below `most_mm` that mends the finding, tried one by one.
    fn shortest(
        &mut self,
        finding: &Finding,
        before: &BTreeSet<String>,
        most_mm: f64,
    ) -> Option<f64> {
        let plan = Arc::clone(self.layout.plan());
        let movable = finding.items.iter().filter(|id| slides(&plan, **id));
        let key = finding.key();
        let mut most = (1..=60_u8)
            .take_while(|k| f64::from(*k) * STEP_MM <= most_mm)
            .count();
        let mut best = None;
        for id in movable {
            for direction in directions(self.layout, *id).into_iter().enumerate() {
                let mends = (1..=60_u8).take(most).find(|k| {
                    let after = self.after(*id, direction, *k);
                    !after.contains(&key) && after.is_subset(before)
                });
                if let Some(k) = mends {
                    most = usize::from(k) - 1;
                    best = Some(f64::from(k) * STEP_MM);
                }
            }
        }
        best
    }
}

fn stops(findings: &Findings) -> Vec<Finding> {
    findings
        .iter()
        .filter(|f| f.stops() && SLIDABLE.contains(&f.check))
        .cloned()
        .collect()
}

/// How many findings were looked at, how many mends offered, and how many of those by a whole step.
#[derive(Clone, Copy, Default)]
struct Count {
    looked_at: usize,
    offered: usize,
    whole: usize,
}

/// What a person measures off: a whole 1/8 in or millimetre (common practice, no source).
fn measured_off_mm(practice: Practice) -> f64 {
    match practice {
        Practice::Us => 25.4 / 8.0,
        Practice::Metric => 1.0,
    }
}

/// Every other room in US practice, where whole inches and millimetres do not meet.
fn room_in_practice(seed: u64) -> Arc<Plan> {
    let plan = small_room(seed);
    let mut head = plan.head().clone();
    if seed.is_multiple_of(2) {
        head.practice = Practice::Us;
    } else {
        head.practice = Practice::Metric;
    }
    edited(&plan, &Edit::SetHead(Box::new(head)))
}

/// Holds every mend of one room against the scan.
fn hold_against_the_scan(seed: u64) -> Count {
    let library = library();
    let plan = room_in_practice(seed);
    let step = measured_off_mm(plan.practice());
    let (layout, findings) = judged(&plan, 1);
    let before = findings.stops();
    let mut scan = Scan {
        layout: &layout,
        after: BTreeMap::new(),
    };
    let mut count = Count::default();
    for finding in stops(&findings) {
        count.looked_at += 1;
        let mend = mend_for(library, &layout, &findings, &finding);
        let Some(mend) = mend else {
            let shortest = scan.shortest(&finding, &before, SLIDE_MOST_MM);
            assert_eq!(shortest, None, "room {seed}: no mend for {finding:?}");
            continue;
        };
        count.offered += 1;
        let (words, Edit::Move(ids, (x, y))) = (&mend.words, &mend.edit) else {
            panic!("a mend is a move: {mend:?}");
        };
        assert!(
            ids.len() == 1
                && ids
                    .iter()
                    .all(|id| finding.items.contains(id) && slides(&plan, *id)),
            "room {seed}: {words} moves what should stay for {finding:?}"
        );
        let length = x.mm().hypot(y.mm());
        assert!(
            length <= SLIDE_MOST_MM + 0.01,
            "room {seed}: {words} is too long"
        );
        // What is offered may be rounded up to the next 1/8 in or mm; no slide shorter than that may do.
        let shorter = scan.shortest(&finding, &before, length - step - 0.01);
        assert_eq!(
            shorter, None,
            "room {seed}: {words}, though so many mm would do for {finding:?}"
        );
        let (_, after) = judged(&edited(&plan, &mend.edit), 1);
        let after = after.stops();
        assert!(
            !after.contains(&finding.key()),
            "room {seed}: {words} does not mend {finding:?}"
        );
        assert!(
            after.is_subset(&before),
            "room {seed}: {words} adds a must-fix"
        );
        if (length / step - (length / step).round()).abs() * step < 0.01 {
            count.whole += 1;
            continue;
        }
        // Where it is no whole step, the next one would not do.
        let next = (length / step).ceil() * step;
        let by = Point::new(x.mm(), y.mm()) * (next / length);
        let [id] = ids.as_slice() else {
            unreachable!("one thing is moved")
        };
        let rounded = judged(&slid(&plan, *id, by), 1).1.stops();
        assert!(
            next > SLIDE_MOST_MM || rounded.contains(&finding.key()) || !rounded.is_subset(&before),
            "room {seed}: {words}, though {next} mm would do too"
        );
    }
    count
}

/// Many rooms, shared between two threads.
#[test]
fn a_mend_is_offered_whenever_a_scan_finds_one_and_does_what_it_says() {
    let share = |odd: u64| {
        let mut sum = Count::default();
        for seed in 0..ROOMS / 2 {
            let count = hold_against_the_scan(seed * 2 + odd);
            sum.looked_at += count.looked_at;
            sum.offered += count.offered;
            sum.whole += count.whole;
        }
        sum
    };
    let (even, odd) = std::thread::scope(|scope| {
        let other = scope.spawn(|| share(1));
        (share(0), other.join())
    });
    let odd = odd.unwrap_or_else(|cause| std::panic::resume_unwind(cause));
    let (looked_at, offered) = (even.looked_at + odd.looked_at, even.offered + odd.offered);
    assert!(
        looked_at > 400 && offered > 100,
        "too few to mean much: {offered} of {looked_at}"
    );
    let whole = even.whole + odd.whole;
    assert!(
        whole * 10 > offered * 9,
        "{whole} of {offered} by a whole step"
    );
}

/// A room of 5 by 4 m by tape, whose corners come to lie between the millimetres as the walk does not close; a rack that stands in
/// its east wall.
#[test]
fn in_a_room_by_tape_a_mend_is_by_a_whole_step() {
    let walk = TapeWalk::parse(
        "5000.4 l, 4000 l, 4999.7 l, 4000.9 l",
        Some(Practice::Metric),
    );
    let room = Room {
        outline: Outline::TapeWalk(walk.expect("it is a walk")),
        ..Room::rectangle(mm(5000), mm(4000), mm(2700), mm(150))
    };
    for (practice, unit) in [(Practice::Metric, "mm"), (Practice::Us, "\"")] {
        let head = Head {
            practice,
            ..Head::default()
        };
        let plan = Plan::new(head, room.clone());
        let rack = common::rack_at("short-48", 4123, 1500, 0.0);
        let plan = common::put(&plan, "R1", rack);
        let (layout, findings) = judged(&plan, 1);
        let finding = stops(&findings)
            .into_iter()
            .find(|f| f.check == "fits")
            .expect("the rack stands in the wall");
        let mend = mend_for(library(), &layout, &findings, &finding).expect("a slide mends it");
        let Edit::Move(_, (x, y)) = &mend.edit else {
            panic!("a mend is a move: {mend:?}");
        };
        let steps = x.mm().hypot(y.mm()) / measured_off_mm(practice);
        assert!((steps - steps.round()).abs() < 0.01, "{}", mend.words);
        assert!(mend.words.contains(unit), "{}", mend.words);
    }
}

#[test]
fn mends_never_go_round_in_a_ring() {
    let library = library();
    let mut made = 0;
    for seed in 1000..1050 {
        let mut plan = small_room(seed);
        let most = judged(&plan, 1).1.stops().len();
        for step in 0.. {
            let (layout, findings) = judged(&plan, 1);
            let before = findings.stops();
            let mend = stops(&findings)
                .iter()
                .find_map(|f| mend_for(library, &layout, &findings, f));
            let Some(mend) = mend else {
                break;
            };
            assert!(step < most, "room {seed}: more mends than findings");
            made += 1;
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
    assert!(made > 60, "too few to mean much: {made}");
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
    let mend = mend_for(library(), &layout, &findings, finding).expect("a slide mends it");
    assert_eq!(mend.words, "move R5 1' 0\" east");
    let zero = Length::ZERO;
    assert_eq!(
        mend.edit,
        Edit::Move(vec![common::id("R5")], (Length::from_inches(12), zero))
    );
}
