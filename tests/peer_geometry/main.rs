//! The geometry of the checks `fits`, `service-strip`, `door-swing`, `window` and `panel-space` against a peer: the crate
//! `geo`, whose predicates, distances, hulls and overlays of polygons have nothing in common with our own.
//!
//! Random scenes from fixed seeds: rooms of right angles, turned, with a tongue of wall or an oblique one; racks, columns,
//! beams, UPS, radiators, doors, windows and panels at any angle and height. In each a pair is planted that touches within
//! 1 mm, overlaps or is free. The peer works out from the stored numbers (its own corners, its own heights) what each
//! check should measure: how deep bodies stand in each other and behind walls, the gap behind a rack, the margin left, the
//! free depth before a face, what of a body lies in the floor that a leaf sweeps, the depth and width before a panel, what
//! rises above a sill.
//!
//! Values agree within 0.002 mm, within 0.008 mm where an arc takes part; standings agree unless a value lies within
//! 0.003 mm (0.008 mm at an arc) of the 0.01 mm by which shapes must overlap. Heights are compared in whole steps.
#![expect(
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test that cannot go on should stop there"
)]

#[path = "../common/mod.rs"]
mod common;
mod peer;
mod plane;
mod scenes;

use std::collections::BTreeMap;

use aislewright::checks::{Check, Finding, Standing};
use aislewright::layout::Layout;
use aislewright::plan::PhaseNo;

use common::library;
use peer::{Expect, Expected, Scene};
use plane::depth_outside;
use scenes::{Class, Pair, Planted, scene};

const SCENES: u64 = 3300;
const CHECKS: [&str; 5] = [
    "fits",
    "service-strip",
    "door-swing",
    "window",
    "panel-space",
];

/// What was compared, to see that it was much.
#[derive(Default)]
struct Tally {
    /// Scenes by planted pair and class.
    scenes: BTreeMap<(Pair, Class), u32>,
    /// Findings by check, what they are about, and how the peer says they stand.
    findings: BTreeMap<(&'static str, &'static str, Expected), u32>,
    /// The largest disagreement of measured values by check, in millimetres.
    apart_mm: BTreeMap<&'static str, f64>,
}

fn standing_of(finding: &Finding) -> Expected {
    match finding.standing {
        Standing::Met => Expected::Met,
        Standing::Broken => Expected::Broken,
        Standing::Unknown => Expected::Unknown,
    }
}

/// True where a finding is the one expected: the same facet and the same marks, others than the first in any order.
fn is_that(finding: &Finding, expect: &Expect) -> bool {
    // A face and a panel name what stands in the way too; the peer names only them.
    let named = match expect.check {
        "service-strip" => finding.items.first() == expect.items.first(),
        "panel-space" => finding.items.last() == expect.items.first(),
        _ => finding.items == expect.items,
    };
    finding.check == expect.check && finding.facet == expect.facet && named
}

/// Where the two disagree, a line each.
fn compare(found: &[Finding], expected: &[Expect], tally: &mut Tally) -> Vec<String> {
    let unknown = found
        .iter()
        .filter(|finding| !expected.iter().any(|e| is_that(finding, e)))
        .map(|finding| format!("the peer knows nothing of {}", told(finding)));
    let mut faults: Vec<String> = unknown.collect();
    for expect in expected {
        let key = (expect.check, expect.about, expect.standing);
        *tally.findings.entry(key).or_default() += 1;
        if expect.standing == Expected::Either {
            continue;
        }
        let Some(finding) = found.iter().find(|f| is_that(f, expect)) else {
            faults.push(format!("not found: {expect:?}"));
            continue;
        };
        if standing_of(finding) != expect.standing {
            faults.push(format!("{}, but {expect:?}", told(finding)));
        } else if let (Some(ours), Some(theirs)) = (finding.measured, expect.measured) {
            let off = (ours - theirs).abs();
            if off > expect.within_mm {
                faults.push(format!("off by {off}: {}, but {expect:?}", told(finding)));
            }
            let most = tally.apart_mm.entry(expect.check).or_default();
            *most = most.max(off);
        } else if expect.measured.is_some() {
            faults.push(format!("no measure: {}", told(finding)));
        }
    }
    faults
}

fn told(finding: &Finding) -> String {
    format!(
        "{} {:?} {:?} ({})",
        finding.key(),
        finding.standing,
        finding.measured,
        finding.text
    )
}

/// The walls as one polygon: whatever reaches out of the floor is told by some finding, and what does not by none.
fn compare_with_the_floor(found: &[Finding], scene: &Scene) -> Vec<String> {
    let judged = scene.placed().filter_map(|body| {
        let out = depth_outside(&body.shape, scene.floor());
        let told = found.iter().any(|f| {
            let of_room = f.facet == "outside" || f.facet.starts_with("wall ");
            f.check == "fits" && f.items == [body.id] && of_room && f.limit.is_none_or(|l| l <= 0.0)
        });
        let wrong = (out > 0.1 && !told) || (out < 0.005 && told);
        wrong.then(|| format!("{} stands {out} out of the room; told: {told}", body.id))
    });
    judged.collect()
}

fn assert_planted(name: &str, planted: &Planted) {
    let gap = planted.gap_mm;
    // Places are stored in steps of 1/320 mm.
    let right = match planted.class {
        Class::Touching => gap.abs() <= 1.0,
        Class::Overlapping => (-300.0..-4.9).contains(&gap),
        Class::Free => gap > 4.9,
    };
    assert!(
        right,
        "{name}: {:?} {:?} by {gap}",
        planted.pair, planted.class
    );
}

#[test]
fn the_checks_measure_what_the_peer_measures() {
    let mut tally = Tally::default();
    let mut faults: Vec<String> = Vec::new();
    for seed in 0..SCENES {
        let planted = scene(seed);
        let name = format!("scene {seed}, {:?} {:?}", planted.pair, planted.class);
        let layout = Layout::of(library(), &planted.plan, PhaseNo(1));
        let found: Vec<Finding> = CHECKS
            .iter()
            .filter_map(|id| Check::of(id))
            .flat_map(|check| check.findings(&layout))
            .collect();
        let peer = Scene::of(&planted.plan);
        assert_planted(&name, &planted);
        let wrong = compare(&found, &peer.expected(), &mut tally);
        let wrong = wrong
            .into_iter()
            .chain(compare_with_the_floor(&found, &peer));
        faults.extend(wrong.map(|fault| format!("{name}: {fault}")));
        *tally
            .scenes
            .entry((planted.pair, planted.class))
            .or_default() += 1;
    }
    println!("{:#?}\n{:#?}", tally.findings, tally.apart_mm);
    assert!(
        faults.is_empty(),
        "{} disagreements, such as {:#?}",
        faults.len(),
        &faults[..faults.len().min(20)]
    );
    assert_enough(&tally);
}

/// That all that should be compared was, often.
fn assert_enough(tally: &Tally) {
    for pair in Pair::ALL {
        for class in [Class::Touching, Class::Overlapping, Class::Free] {
            let n = tally.scenes.get(&(pair, class)).copied().unwrap_or(0);
            assert!(n >= 100, "{pair:?} {class:?}: {n} scenes");
        }
    }
    let count = |check, about, standing| {
        let n = tally.findings.get(&(check, about, standing));
        n.copied().unwrap_or(0)
    };
    let both = [Expected::Met, Expected::Broken];
    let broken = [Expected::Broken];
    let met = [Expected::Met];
    let wanted: [(&str, &str, &[Expected]); 14] = [
        ("fits", "margin", &met),
        ("fits", "inside wall", &broken),
        ("fits", "gap to wall", &broken),
        ("fits", "gap to a thing", &broken),
        ("fits", "two bodies", &broken),
        ("fits", "ceiling", &broken),
        ("fits", "outside", &broken),
        ("service-strip", "depth", &both),
        ("door-swing", "swing", &both),
        ("door-swing", "swing at wall", &broken),
        ("door-swing", "clear width", &both),
        ("window", "above the sill", &both),
        ("panel-space", "depth", &broken),
        ("panel-space", "width", &both),
    ];
    for (check, about, standings) in wanted {
        let open = count(check, about, Expected::Either);
        for standing in standings {
            let n = count(check, about, *standing);
            assert!(n >= 40, "{check}, {about}: {n} {standing:?}");
            assert!(
                open <= 20 + n / 2,
                "{check}, {about}: {open} open, {n} {standing:?}"
            );
        }
    }
}
