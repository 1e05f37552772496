//! Rooms entered wall by wall: their corners, their files, slips of the pen, diagonals, and walls a little shorter.

#![expect(
    clippy::unwrap_used,
    reason = "helpers of tests: a surprise here is a failed test"
)]

mod common;

use std::borrow::Cow;

use aislewright::checks::Standing;
use aislewright::geometry::Point;
use aislewright::plan::{
    Basis, Diagonal, Edit, Head, Leg, Measured, Mend, Outline, Plan, Room, Slip, SlipKind, TapeWalk,
};
use aislewright::storage;
use aislewright::units::{Length, Practice, Turn};
use common::{example, judged, library};
use proptest::prelude::*;

fn mm(mm: i32) -> Length {
    Length::from_mm_whole(mm)
}

fn walk(text: &str) -> TapeWalk {
    TapeWalk::parse(text, None).unwrap()
}

fn room(walk: TapeWalk) -> Room {
    Room {
        outline: Outline::TapeWalk(walk),
        tape_tolerance: Some(mm(3)),
        ..Room::rectangle(mm(1000), mm(1000), mm(2700), mm(100))
    }
}

fn slips_of(room: &Room) -> Vec<Slip> {
    room.slips(&room.survey())
}

fn walked(text: &str) -> Room {
    room(walk(text))
}

fn corners(room: &Room) -> Vec<(f64, f64)> {
    room.corners()
        .iter()
        .map(|(x, y)| (x.mm(), y.mm()))
        .collect()
}

/// An L of 6 by 5 m whose upper right quarter of 2 by 2 m is missing.
const L_LEFT: &str =
    "6000mm left, 3000mm left, 2000mm right, 2000mm left, 4000mm left, 5000mm left";

#[test]
fn a_walk_to_the_left_and_one_to_the_right_give_the_same_room() {
    let left = walked(L_LEFT);
    let expected = [
        (0.0, 0.0),
        (6000.0, 0.0),
        (6000.0, 3000.0),
        (4000.0, 3000.0),
        (4000.0, 5000.0),
        (0.0, 5000.0),
    ];
    assert_eq!(corners(&left), expected, "anticlockwise from the origin");
    let right = walked("5000mm R; 4000mm R; 2000mm L; 2000mm R; 3000mm R; 6000mm");
    assert_eq!(
        corners(&right),
        expected,
        "walked the other way, the last turn left out"
    );
    assert_eq!(
        right.survey().basis,
        Basis::Square,
        "all turns are quarters"
    );
    let walk = right.tape_walk().unwrap();
    assert!(!walk.goes_left(), "it turns right");
    // The first leg is the wall up the left side, from the last corner back to the first.
    assert_eq!(walk.wall_of_leg(0), 5, "the last wall of the room");
    assert_eq!(walk.wall_of_leg(5), 0, "the bottom");
    assert_eq!(
        (0..6).map(|k| walk.corner_of_leg(k)).collect::<Vec<_>>(),
        [0, 5, 4, 3, 2, 1]
    );
    for k in 0..6 {
        let length = walk.legs()[k].length.mm();
        let (a, b) = right.polygon().unwrap().side(walk.wall_of_leg(k)).unwrap();
        assert!(
            (a.distance(b) - length).abs() < 1e-9,
            "leg {k} is as long as its wall"
        );
    }
}

/// 12 mm too much along x, shared over the 12 012 mm of walls along x.
#[test]
fn a_square_walk_gives_way_in_its_lengths_and_stays_square() {
    let open =
        walked("6012mm left, 3000mm left, 2000mm right, 2000mm left, 4000mm left, 5000mm left");
    let closure = open.tape_walk().unwrap().closure();
    assert!(
        (closure.dx_mm - 12.0).abs() < 1e-9 && closure.dy_mm.abs() < 1e-9,
        "{closure:?}"
    );
    let perimeter = 22_012.0;
    assert!(
        (closure.one_in().unwrap() - perimeter / 12.0).abs() < 1e-9,
        "{closure:?}"
    );
    let found = corners(&open);
    let share = 12.0 / 12_012.0;
    let x = [
        0.0,
        6012.0 * (1.0 - share),
        6012.0 * (1.0 - share),
        4000.0 * (1.0 + share),
    ];
    for (corner, x) in found.iter().zip(x) {
        assert!((corner.0 - x).abs() < 0.002, "{corner:?} against {x}");
    }
    for (k, (a, b)) in open.polygon().unwrap().sides().enumerate() {
        let off = (b - a).x.abs().min((b - a).y.abs());
        assert!(off.total_cmp(&0.0).is_eq(), "wall {k} is square");
    }
    assert!(
        open.survey().is_open(),
        "12 mm is more than the tape explains"
    );
    assert_eq!(
        open.closing_limit(),
        Length::from_mm(3.0 * 6.0_f64.sqrt()),
        "3 mm times root 6"
    );
}

/// The international foot.
const FOOT_MM: f64 = 304.8;

/// The closed traverse of Purdue University's ASM 215 "Surveying", "Traverse calculations", walked as a room: lengths in feet and the
/// turns between its azimuths of 26 10', 104 35', 195 30', 358 18' and 306 54'. The distances between the corners are those between
/// the coordinates that the page balances by the compass rule (north and east, rounded to 0.01 ft).
#[test]
fn a_walk_that_is_not_square_is_shared_out_by_the_compass_rule() {
    let azimuths = [26.0 + 10.0 / 60.0, 104.0 + 35.0 / 60.0, 195.5, 358.3, 306.9];
    let published = [
        Point::new(10_000.00, 10_000.00),
        Point::new(10_255.96, 10_125.66),
        Point::new(10_102.44, 10_716.31),
        Point::new(9_408.37, 10_523.62),
        Point::new(9_611.34, 10_517.55),
    ];
    let legs = [285.10, 610.45, 720.48, 203.00, 647.02]
        .iter()
        .enumerate()
        .map(|(k, feet)| Leg {
            length: Length::from_mm(feet * FOOT_MM),
            turn: Some(Turn::left_by(azimuths[k] - azimuths[(k + 1) % 5])),
        });
    let found = room(TapeWalk::new(legs.collect()));
    assert_eq!(found.survey().basis, Basis::CompassRule, "odd turns");
    let walk = found.tape_walk().unwrap();
    assert!(!walk.goes_left(), "azimuths grow to the right");
    assert!(
        (walk.closure().one_in().unwrap() - 2771.0).abs() < 40.0,
        "1 in 2771"
    );
    assert!(
        walk.angular_misclosure_deg().unwrap().abs() < 0.003,
        "azimuths close"
    );
    let at = |leg: usize| Point::from(corners(&found)[walk.corner_of_leg(leg)]) / FOOT_MM;
    for (a, b) in (0..5).flat_map(|a| (a + 1..5).map(move |b| (a, b))) {
        let (here, there) = (at(a).distance(at(b)), published[a].distance(published[b]));
        assert!(
            (here - there).abs() < 0.02,
            "{a} to {b}: {here} and {there}"
        );
    }
    let up = corners(&found)[walk.corner_of_leg(1)].0;
    assert!(
        up.total_cmp(&0.0).is_eq(),
        "the first wall goes straight up the sheet"
    );
}

#[test]
fn corners_follow_diagonals_that_were_changed_after_the_first_question() {
    let mut changed = walked("4000mm left, 3000mm left, 4000mm left, 3000mm left");
    assert_eq!(
        corners(&changed)[2],
        (4000.0, 3000.0),
        "square without diagonals"
    );
    assert!(
        matches!(changed.corners(), Cow::Borrowed(_)),
        "kept, not made again"
    );
    changed.diagonals = vec![
        Diagonal {
            from: 0,
            to: 2,
            length: mm(5100),
        },
        Diagonal {
            from: 1,
            to: 3,
            length: mm(4898),
        },
    ];
    let leaning = corners(&changed);
    assert!(leaning[2].0 > 4050.0, "it leans to the right: {leaning:?}");
    assert_eq!(leaning, corners(&changed.clone()), "a copy says the same");
    changed.diagonals.clear();
    assert_eq!(corners(&changed)[2], (4000.0, 3000.0), "square again");
}

// ------------------------------------------------------------------------------------------------------------------- diagonals

/// A room out of square with sides known: 4000, 3000, 4000 and 3000 mm, leaning by 5 degrees. Its diagonals follow from the law
/// of cosines; the corners must follow from the diagonals.
#[test]
fn diagonals_find_the_lean_of_a_parallelogram() {
    let lean = 85.0_f64.to_radians();
    let across = |sign: f64| {
        (4000.0_f64.powi(2) + 3000.0_f64.powi(2) + sign * 2.0 * 4000.0 * 3000.0 * lean.cos()).sqrt()
    };
    let mut leaning = walked("4000mm left, 3000mm left, 4000mm left, 3000mm left");
    leaning.diagonals = vec![
        Diagonal {
            from: 0,
            to: 2,
            length: Length::from_mm(across(1.0)),
        },
        Diagonal {
            from: 1,
            to: 3,
            length: Length::from_mm(across(-1.0)),
        },
    ];
    let found = corners(&leaning);
    let top = Point::new(3000.0 * lean.cos(), 3000.0 * lean.sin());
    for ((x, y), p) in found.iter().zip([
        Point::ZERO,
        Point::new(4000.0, 0.0),
        Point::new(4000.0, 0.0) + top,
        top,
    ]) {
        // Turns called square pull a little: 5 degrees are two and a half of their deviations.
        assert!(p.distance(Point::new(*x, *y)) < 0.3, "{x}, {y} against {p}");
    }
    let survey = leaning.survey();
    assert_eq!(survey.basis, Basis::Diagonals, "square does not hold");
    assert!(
        survey.shape_fixed && survey.diagonals_missing == 0,
        "two diagonals are one more than it takes"
    );
    assert!(
        survey.measurements.iter().all(|m| !m.is_suspect()),
        "all agree: {survey:?}"
    );
    assert!(
        survey.sentences(&leaning, Practice::Metric).is_empty(),
        "nothing to say"
    );
}

/// The same lean read by one diagonal: a quadrilateral of four sides and one diagonal is two triangles, so nothing is left over to
/// check it, and the corners are those of the triangles.
#[test]
fn one_diagonal_is_taken_without_being_checked() {
    let mut leaning = walked("4000mm left, 3000mm left, 4000mm left, 3000mm left");
    leaning.diagonals = vec![Diagonal {
        from: 0,
        to: 2,
        length: mm(5100),
    }];
    let survey = leaning.survey();
    assert_eq!(survey.basis, Basis::Diagonals, "100 mm off square");
    let found = corners(&leaning);
    let long = Point::from(found[2]).length();
    assert!((long - 5100.0).abs() < 1.0, "{long}");
    let diagonal = survey.measurements.last().unwrap();
    assert_eq!(diagonal.what, Measured::Diagonal(0), "diagonals come last");
    assert!(
        !diagonal.is_checked(),
        "only loose turns speak for or against it: {diagonal:?}"
    );
}

#[test]
fn a_square_room_that_its_diagonals_confirm_stays_square() {
    let mut square = walked(L_LEFT);
    // Corner 1 to corner 3 of the L: 6000 by 3000 mm; 2 mm more is within the tolerance of 3 mm.
    square.diagonals = vec![Diagonal {
        from: 0,
        to: 2,
        length: Length::from_mm(6710.2),
    }];
    let survey = square.survey();
    assert_eq!(survey.basis, Basis::Square, "confirmed");
    assert_eq!(corners(&square)[2], (6000.0, 3000.0), "not moved");
    assert_eq!(
        survey.diagonals_missing, 2,
        "six corners take three diagonals"
    );
    assert!(!survey.shape_fixed, "one is given");
    let said = survey.sentences(&square, Practice::Metric);
    assert!(
        said.iter().any(|s| s.starts_with("too few measurements")),
        "{said:?}"
    );
}

/// A pentagon with all five diagonals, each in turn read 100 mm too long: that one is named, though the error spreads over all.
#[test]
fn a_misread_diagonal_of_a_braced_room_is_named() {
    // A pentagon leaves five diagonals for two that are needed.
    let truth = [
        Point::ZERO,
        Point::new(5000.0, 0.0),
        Point::new(5400.0, 3000.0),
        Point::new(2600.0, 4700.0),
        Point::new(-300.0, 3100.0),
    ];
    let n = truth.len();
    let heading = |k: usize| {
        let v = truth[(k + 1) % n] - truth[k % n];
        v.y.atan2(v.x).to_degrees()
    };
    let legs = (0..n)
        .map(|k| Leg {
            length: Length::from_mm(truth[k].distance(truth[(k + 1) % n])),
            turn: Some(Turn::left_by((heading(k + 1) - heading(k)).round())),
        })
        .collect();
    let pairs = [(0, 2), (0, 3), (1, 3), (1, 4), (2, 4)];
    for wrong in 0..pairs.len() {
        let mut braced = room(TapeWalk::new(Clone::clone(&legs)));
        braced.diagonals = pairs
            .iter()
            .enumerate()
            .map(|(k, (from, to))| {
                let off = if k == wrong { 100.0 } else { 0.0 };
                let mm = truth[usize::from(*from)].distance(truth[usize::from(*to)]) + off;
                Diagonal {
                    from: *from,
                    to: *to,
                    length: Length::from_mm(mm),
                }
            })
            .collect();
        let survey = braced.survey();
        let worst = survey.measurements[survey.worst.unwrap()];
        assert_eq!(worst.what, Measured::Diagonal(wrong), "{survey:?}");
        assert!(
            worst.is_suspect() && worst.residual < 0.0,
            "it was read too long: {worst:?}"
        );
        let said = survey.sentences(&braced, Practice::Metric);
        let (from, to) = pairs[wrong];
        let name = format!("the diagonal from corner {} to corner {}", from + 1, to + 1);
        assert!(
            said[0].starts_with(&name) && said[0].contains("shorter than measured"),
            "{said:?}"
        );
    }
}

#[test]
fn diagonals_of_entered_corners_are_compared_and_move_nothing() {
    let mut entered = Room::rectangle(mm(4000), mm(3000), mm(2700), mm(100));
    entered.diagonals = vec![
        Diagonal {
            from: 0,
            to: 2,
            length: mm(5000),
        },
        Diagonal {
            from: 1,
            to: 3,
            length: mm(5040),
        },
    ];
    let survey = entered.survey();
    assert_eq!(survey.basis, Basis::Entered, "corners as entered");
    let off: Vec<f64> = survey.measurements.iter().map(|m| m.residual).collect();
    assert!(
        off[0].abs() < 1e-9 && (off[1] + 40.0).abs() < 1e-9,
        "{off:?}"
    );
    assert_eq!(
        survey.sentences(&entered, Practice::Metric),
        [
            "the diagonal from corner 2 to corner 4 comes out 40 mm shorter than measured; measure it again"
        ]
    );
    assert_eq!(corners(&entered)[2], (4000.0, 3000.0), "not moved");
}

// ----------------------------------------------------------------------------------------------------------------------- slips

#[test]
fn a_wall_a_foot_short_is_found_and_said() {
    let open = walked("26ft 4in left\n12ft 3in left\n26ft 4in left\n11ft 3in left");
    let slips = slips_of(&open);
    let said: Vec<String> = slips.iter().map(|s| s.sentence(Practice::Us)).collect();
    assert_eq!(
        said[..2],
        [
            "wall 2 would be 11' 3\" instead of 12' 3\"",
            "wall 4 would be 12' 3\" instead of 11' 3\"",
        ],
        "{said:?}"
    );
    assert_eq!(slips[1].kind, SlipKind::RoundAmount, "a foot");
    let mended = slips[1].mended(open.tape_walk().unwrap());
    assert!(mended.closure().length_mm < 1e-9, "it closes");
    assert_eq!(slips_of(&room(mended)), [], "nothing is left to find");
}

/// 26' 4" by 12' 3": the diagonals are 8026.4 mm and 3733.8 mm at right angles, 8852.3 mm. They say which of two walls it is.
#[test]
fn diagonals_decide_between_two_walls() {
    let text = "26ft 4in left\n12ft 3in left\n26ft 4in left\n11ft 3in left";
    let across = Length::from_mm(8026.4_f64.hypot(3733.8));
    let diagonal = |from, to| Diagonal {
        from,
        to,
        length: across,
    };
    for diagonals in [vec![diagonal(0, 2)], vec![diagonal(0, 2), diagonal(1, 3)]] {
        let open = Room {
            diagonals,
            ..walked(text)
        };
        let survey = open.survey();
        assert!(survey.is_open(), "a foot is missing: {survey:?}");
        let slips = slips_of(&open);
        assert_eq!(
            slips[0].sentence(Practice::Us),
            "wall 4 would be 12' 3\" instead of 11' 3\""
        );
        if survey.lengths_checked {
            let said = survey.sentences(&open, Practice::Us);
            assert!(
                said[0].starts_with("one of these is wrong") && said[0].contains("wall 4"),
                "six lengths for five unknowns tell that, not which: {said:?}"
            );
        }
    }
}

#[test]
fn a_turn_to_the_wrong_side_is_found_and_said() {
    let open =
        walked("6000mm left, 3000mm left, 2000mm left, 2000mm left, 4000mm left, 5000mm left");
    assert!(open.survey().is_open(), "the third turn goes right");
    let slips = slips_of(&open);
    let said: Vec<String> = slips.iter().map(|s| s.sentence(Practice::Metric)).collect();
    assert_eq!(
        said,
        ["the turn after wall 3 would be right instead of left"]
    );
    assert_eq!(slips[0].kind, SlipKind::OtherSide);
    let sentences = open.survey().sentences(&open, Practice::Metric);
    assert!(
        sentences[1].contains("add up to 540° instead of 360°"),
        "{sentences:?}"
    );
}

#[test]
fn a_walk_that_closes_has_no_slips() {
    assert_eq!(slips_of(&walked(L_LEFT)), []);
    assert!(!walked(L_LEFT).survey().is_open(), "it closes");
    // The last turn only matters to the sum of angles.
    let last_wrong = walked("4000mm left, 3000mm left, 4000mm left, 3000mm right");
    let slips = slips_of(&last_wrong);
    assert_eq!(slips.len(), 1, "{slips:?}");
    assert_eq!((slips[0].leg, slips[0].mend), (3, Mend::Turn(Turn::LEFT)));
}

/// Columns of different heights side by side on a straight wall: a walk of square turns that closes and does not cross itself.
fn skyline(columns: &[(i32, i32)]) -> TapeWalk {
    let n = columns.len();
    let leg = |length: i32, turn| Leg {
        length: mm(length),
        turn: Some(turn),
    };
    let width = columns.iter().map(|c| c.0).sum();
    let mut legs = vec![leg(width, Turn::LEFT), leg(columns[n - 1].1, Turn::LEFT)];
    for k in (0..n).rev() {
        let down = k > 0 && columns[k - 1].1 < columns[k].1;
        let turn = if k == 0 || down {
            Turn::LEFT
        } else {
            Turn::RIGHT
        };
        legs.push(leg(columns[k].0, turn));
        if k > 0 {
            let step = (columns[k].1 - columns[k - 1].1).abs();
            legs.push(leg(step, turn.mirrored()));
        }
    }
    legs.push(leg(columns[0].1, Turn::LEFT));
    TapeWalk::new(legs)
}

/// Widths and heights in whole 10 mm, neighbours at least 300 mm apart in height.
fn columns() -> impl Strategy<Value = Vec<(i32, i32)>> {
    prop::collection::vec((120..500_i32, 200..400_i32), 1..6).prop_map(|raw| {
        raw.iter()
            .enumerate()
            .map(|(k, (w, h))| (w * 10, h * 10 + i32::try_from(k % 2).unwrap() * 2500))
            .collect()
    })
}

fn planted_is_listed(
    truth: &TapeWalk,
    wrong: &TapeWalk,
    leg: usize,
    mend: Mend,
) -> Result<(), TestCaseError> {
    let open = room(wrong.clone());
    prop_assert!(open.survey().is_open(), "the mistake shows");
    let slips = slips_of(&open);
    let found = slips.iter().find(|s| s.leg == leg && s.mend == mend);
    prop_assert!(
        found.is_some(),
        "wall {} {:?} is not among {:?}",
        leg + 1,
        mend,
        slips
    );
    prop_assert_eq!(&found.unwrap().mended(wrong), truth);
    let mut remaining: Vec<Length> = slips.iter().map(|s| s.remaining).collect();
    for r in &mut remaining {
        *r = Length::from_mm(r.mm().round());
    }
    prop_assert!(remaining.is_sorted(), "the best come first");
    Ok(())
}

proptest! {
    #[test]
    fn a_planted_round_mistake_is_listed(
        columns in columns(),
        which in 0..100_usize,
        amount in 0..6_usize,
        more in any::<bool>(),
    ) {
        let truth = skyline(&columns);
        prop_assert!(truth.closure().length_mm < 1e-6, "the walk closes");
        let k = which % truth.legs().len();
        let by = [
            Length::from_inches(1), Length::from_inches(10), Length::from_feet(1),
            Length::from_feet(10), mm(100), mm(1000),
        ][amount];
        let leg = truth.legs()[k];
        let length = if more { leg.length + by } else { leg.length - by };
        prop_assume!(length > Length::ZERO);
        let wrong = truth.with_leg(k, Leg { length, ..leg });
        planted_is_listed(&truth, &wrong, k, Mend::Length(leg.length))?;
    }

    #[test]
    fn two_swapped_digits_are_listed(columns in columns(), which in 0..100_usize) {
        let truth = skyline(&columns);
        let k = which % truth.legs().len();
        let leg = truth.legs()[k];
        let digits = format!("{:.0}", leg.length.mm());
        let mut swapped: Vec<char> = digits.chars().collect();
        swapped.swap(0, 1);
        prop_assume!(swapped[0] != '0' && swapped[0] != swapped[1]);
        let length: i32 = swapped.iter().collect::<String>().parse().unwrap();
        let wrong = truth.with_leg(k, Leg { length: mm(length), ..leg });
        planted_is_listed(&truth, &wrong, k, Mend::Length(leg.length))?;
    }

    #[test]
    fn a_turn_to_the_wrong_side_is_listed(columns in columns(), which in 0..100_usize) {
        let truth = skyline(&columns);
        let k = which % truth.legs().len();
        let leg = truth.legs()[k];
        let turn = leg.turn.map(Turn::mirrored);
        let wrong = truth.with_leg(k, Leg { turn, ..leg });
        planted_is_listed(&truth, &wrong, k, Mend::Turn(leg.turn.unwrap()))?;
    }

    #[test]
    fn a_forgotten_quarter_is_listed(columns in columns(), which in 0..100_usize) {
        let truth = skyline(&columns);
        let k = which % truth.legs().len();
        let leg = truth.legs()[k];
        let wrong = truth.with_leg(k, Leg { turn: Some(Turn::STRAIGHT), ..leg });
        planted_is_listed(&truth, &wrong, k, Mend::Turn(leg.turn.unwrap()))?;
    }

    #[test]
    fn any_walk_is_looked_at_without_harm(
        legs in prop::collection::vec((0..40_000_i32, prop::option::of(-180.0..180.0_f64)), 0..12),
        diagonals in prop::collection::vec((0..14_u16, 0..14_u16, 0..40_000_i32), 0..4),
    ) {
        let legs = legs.into_iter().map(|(length, turn)| Leg {
            length: mm(length),
            turn: turn.map(Turn::left_by),
        });
        let mut any = room(TapeWalk::new(legs.collect()));
        any.diagonals = diagonals
            .into_iter()
            .map(|(from, to, length)| Diagonal { from, to, length: mm(length) })
            .collect();
        prop_assert_eq!(any.corners().len(), any.walls());
        let survey = any.survey();
        for practice in [Practice::Us, Practice::Metric] {
            for slip in slips_of(&any) {
                prop_assert!(slip.sentence(practice).contains(" would be "), "{:?}", slip);
            }
            let _: Vec<String> = survey.sentences(&any, practice);
        }
        let plan = Plan::new(Head::default(), any);
        let _: Vec<_> = plan.audit(&library().stock);
        let text = storage::text_of(&plan).unwrap();
        let again = storage::plan_of(library(), "again", text.as_bytes()).unwrap();
        prop_assert_eq!(again.plan.room().corners(), plan.room().corners());
        prop_assert_eq!(again.plan, plan);
    }
}

// ----------------------------------------------------------------------------------------------------------------------- files

const FILE: &str = r#"(
  format: 1,
  head: (name: "Walk", practice: Metric, system: Split120x240, hoped_for: None, leading: None),
  room: (
    outline: TapeWalk([
      (length: "6000mm", turn: "left"),
      (length: "3000mm", turn: "left 87.5deg"),
      (length: "2000mm", turn: "right 85deg"),
      (length: "2000mm", turn: "left"),
      (length: "4000mm", turn: "left"),
      (length: "5000mm"),
    ]),
    ceiling: "2700mm",
    wall: "100mm",
    tape_tolerance: "3mm",
    diagonals: [(from: 0, to: 2, length: "6708mm")],
  ),
  phases: [
    (name: "Phase 1"),
  ],
)
"#;

fn plan_of(text: &str) -> Result<storage::Opened, String> {
    storage::plan_of(library(), "walk.plan.ron", text.as_bytes()).map_err(|e| e.to_string())
}

#[test]
fn a_walk_is_written_one_way_and_read_back() {
    let opened = plan_of(FILE).unwrap();
    assert_eq!(opened.faults, [], "{:?}", opened.faults);
    let text = storage::text_of(&opened.plan).unwrap();
    assert_eq!(
        text.replace("head: (name: \"\", ", "head: ("),
        FILE.to_owned(),
        "{text}"
    );
    let typed = FILE
        .replace("\"left 87.5deg\"", "\"L 87.5°\"")
        .replace("\"right 85deg\"", "\"R by 85\"")
        .replace("6000mm", "6 m");
    assert_eq!(
        plan_of(&typed).unwrap().plan,
        opened.plan,
        "typed forms are the same"
    );
}

#[test]
fn what_is_wrong_in_a_walk_is_refused_with_its_place() {
    let message = |from: &str, to: &str| plan_of(&FILE.replace(from, to)).unwrap_err();
    let turn = message("\"right 85deg\"", "\"starboard\"");
    assert!(turn.contains("walk.plan.ron:8:"), "{turn}");
    assert!(
        turn.contains("`starboard` is not understood as a turn; write left, right"),
        "{turn}"
    );
    let angle = message("\"right 85deg\"", "\"right 300\"");
    assert!(angle.contains("`300` is no angle to turn by"), "{angle}");
    let field = message("turn: \"left 87.5deg\"", "trun: \"left\"");
    assert!(field.contains("trun") && field.contains("turn"), "{field}");
    let bare = message("length: \"6000mm\"", "length: \"6000\"");
    assert!(bare.contains("needs its unit"), "{bare}");
    let both = message("outline: TapeWalk", "outline: Both");
    assert!(
        both.contains("TapeWalk") && both.contains("Corners"),
        "{both}"
    );
}

#[test]
fn faults_of_a_walk_are_listed_and_the_plan_opens() {
    let faults = |from: &str, to: &str| -> Vec<String> {
        let opened = plan_of(&FILE.replace(from, to)).unwrap();
        opened.faults.iter().map(ToString::to_string).collect()
    };
    let said = |found: &[String], word: &str| {
        assert!(found.iter().any(|f| f.contains(word)), "{word}: {found:?}");
    };
    said(
        &faults(
            "(length: \"2000mm\", turn: \"left\")",
            "(length: \"2000mm\")",
        ),
        "room › outline: the turn after wall 4 of the walk is missing",
    );
    said(
        &faults("(length: \"5000mm\")", "(length: \"0mm\")"),
        "wall 6 of the walk must be 1 mm to 100 m",
    );
    said(
        &faults("turn: \"left 87.5deg\"", "turn: \"left 180deg\""),
        "after wall 2 the walk turns back on itself",
    );
    said(
        &faults("to: 2", "to: 1"),
        "room › diagonals › 0: corners 0 and 1 are no two ends",
    );
    said(
        &faults("to: 2", "to: 9"),
        "there is no corner 9; the last is 5",
    );
    said(&faults("6708mm", "0mm"), "a diagonal is 1 mm to 150 m");
    let two = "(length: \"2000mm\", turn: \"left\"), (length: \"2000mm\", turn: \"left\")";
    let start = FILE.find("      (length").unwrap();
    let end = FILE.find("    ]),").unwrap();
    let short = format!("{}{two}{}", &FILE[..start], &FILE[end..]);
    said(
        &plan_of(&short)
            .unwrap()
            .faults
            .iter()
            .map(ToString::to_string)
            .collect::<Vec<_>>(),
        "a room has 3 to 2000 corners; this one has 2",
    );
    // 4 m across the bottom and back inside it: the walls cross though the walk closes.
    let crossing = "(length: \"4000mm\", turn: \"left\"), (length: \"3000mm\", turn: \"left\"), (length: \"2000mm\", turn: \"left\"), (length: \"4000mm\", turn: \"right\"), (length: \"2000mm\", turn: \"right\"), (length: \"1000mm\", turn: \"left\")";
    let crossing = format!("{}{crossing}{}", &FILE[..start], &FILE[end..]);
    said(
        &plan_of(&crossing)
            .unwrap()
            .faults
            .iter()
            .map(ToString::to_string)
            .collect::<Vec<_>>(),
        "cross or touch",
    );
}

#[test]
fn a_walk_that_does_not_close_is_kept_as_entered_and_can_be_mended() {
    let twelve = FILE.replace("(length: \"5000mm\")", "(length: \"5300mm\")");
    let opened = plan_of(&twelve).unwrap();
    assert_eq!(
        opened.faults,
        [],
        "300 mm in 22 m is no fault of the document"
    );
    let room = opened.plan.room();
    assert_eq!(
        room.tape_walk().unwrap().legs()[5].length,
        mm(5300),
        "as entered"
    );
    assert!(room.survey().is_open(), "but it does not close");
    let polygon = room.polygon().unwrap();
    assert!(
        polygon.area() > 0.0 && polygon.crossing().is_none(),
        "its corners make a room"
    );
    // A walk whose walls cross opens too, and an edit that mends it is taken.
    let gross = plan_of(&FILE.replace("turn: \"right 85deg\"", "turn: \"left 85deg\"")).unwrap();
    assert!(!gross.faults.is_empty(), "no walk round a room");
    let walk = gross.plan.room().tape_walk().unwrap();
    let leg = Leg {
        turn: Some(Turn::left_by(-85.0)),
        ..walk.legs()[2]
    };
    let mended = Room {
        outline: Outline::TapeWalk(walk.with_leg(2, leg)),
        ..gross.plan.room().clone()
    };
    let edit = Edit::SetRoom(Box::new(mended));
    assert!(gross.plan.edited(&library().stock, &edit).is_ok(), "mended");
}

proptest! {
    #[test]
    fn no_change_of_the_file_does_harm(at in 0..600_usize, cut in 0..8_usize, put in "[a-zA-Z0-9\"(),: .\\-°\\[\\]]{0,6}") {
        let mut text: Vec<char> = FILE.chars().collect();
        let start = at.min(text.len());
        let end = (start + cut).min(text.len());
        text.splice(start..end, put.chars());
        let text: String = text.into_iter().collect();
        if let Ok(opened) = plan_of(&text) {
            let room = opened.plan.room();
            prop_assert_eq!(room.corners().len(), room.walls());
            let written = storage::text_of(&opened.plan).unwrap();
            prop_assert_eq!(plan_of(&written).unwrap().plan, opened.plan);
        }
    }
}

/// The example room walked with a tape has the same findings as its corners.
#[test]
fn a_walk_and_its_corners_are_the_same_room_to_every_check() {
    let entered = example();
    let text = "26ft 4in left\n11ft 8in left\n26ft 4in left\n11ft 8in left";
    let room = Room {
        outline: Outline::TapeWalk(walk(text)),
        ..entered.room().clone()
    };
    let walked = entered
        .edited(&library().stock, &Edit::SetRoom(Box::new(room)))
        .unwrap();
    assert_eq!(walked.room().corners(), entered.room().corners());
    for phase in 1..=3 {
        let (_, a) = judged(&entered, phase);
        let (_, b) = judged(&std::sync::Arc::new(walked.clone()), phase);
        let of_walk = |f: &&aislewright::checks::Finding| f.check == "room-closes";
        assert_eq!(b.iter().filter(of_walk).count(), 1, "the walk is judged");
        assert!(
            a.iter().eq(b.iter().filter(|f| !of_walk(f))),
            "phase {phase}"
        );
    }
}

// ------------------------------------------------------------------------------------------------------------ a little shorter

#[test]
fn a_shorter_wall_takes_its_opposite_with_it() {
    let rectangle = Room::rectangle(mm(4000), mm(3000), mm(2700), mm(100));
    let by = mm(10);
    for (k, expected) in [
        (
            0,
            [(0.0, 0.0), (3990.0, 0.0), (3990.0, 3000.0), (0.0, 3000.0)],
        ),
        (
            1,
            [(0.0, 0.0), (4000.0, 0.0), (4000.0, 2990.0), (0.0, 2990.0)],
        ),
        (
            2,
            [(0.0, 0.0), (3990.0, 0.0), (3990.0, 3000.0), (0.0, 3000.0)],
        ),
        (
            3,
            [(0.0, 0.0), (4000.0, 0.0), (4000.0, 2990.0), (0.0, 2990.0)],
        ),
    ] {
        assert_eq!(
            corners(&rectangle.wall_shortened(k, by).unwrap()),
            expected,
            "wall {k}"
        );
    }
    assert_eq!(rectangle.wall_shortened(4, by), None, "there is no wall 4");
    assert_eq!(
        rectangle.wall_shortened(0, mm(4000)),
        None,
        "nothing would be left"
    );
}

#[test]
fn a_shorter_wall_of_an_l_takes_the_wall_it_faces_most() {
    let l = walked(L_LEFT);
    let by = mm(25);
    let shortened = |k: usize| corners(&l.wall_shortened(k, by).unwrap());
    // The bottom faces 4 m of the top and 2 m of the ledge: the top gives way, and all between moves.
    assert_eq!(
        shortened(0),
        [
            (0.0, 0.0),
            (5975.0, 0.0),
            (5975.0, 3000.0),
            (3975.0, 3000.0),
            (3975.0, 5000.0),
            (0.0, 5000.0)
        ]
    );
    // The ledge faces the bottom: the left part keeps its width, and the first corner its place.
    assert_eq!(
        shortened(2),
        [
            (0.0, 0.0),
            (5975.0, 0.0),
            (5975.0, 3000.0),
            (4000.0, 3000.0),
            (4000.0, 5000.0),
            (0.0, 5000.0)
        ]
    );
    // The step beside the ledge faces the left wall.
    assert_eq!(
        shortened(3),
        [
            (0.0, 0.0),
            (6000.0, 0.0),
            (6000.0, 3000.0),
            (4000.0, 3000.0),
            (4000.0, 4975.0),
            (0.0, 4975.0)
        ]
    );
}

/// A niche 1 m wide and 0.4 m deep in the top wall of a room 4 by 3 m.
const NICHE: &str =
    "4 m left, 3 m left, 1.5 m right, 0.4 m left, 1 m left, 0.4 m right, 1.5 m left, 3 m left";

#[test]
fn a_niche_gets_narrower_with_the_room_and_shallower_by_itself() {
    let niche = walked(NICHE);
    assert_eq!(niche.survey().closure.unwrap().one_in(), None, "it closes");
    let narrower = niche.wall_shortened(4, mm(20)).unwrap();
    let polygon = narrower.polygon().unwrap();
    let lengths: Vec<f64> = polygon.sides().map(|(a, b)| a.distance(b)).collect();
    assert_eq!(
        lengths,
        [3980.0, 3000.0, 1500.0, 400.0, 980.0, 400.0, 1500.0, 3000.0]
    );
    let shallower = niche.wall_shortened(3, mm(20)).unwrap();
    let polygon = shallower.polygon().unwrap();
    let lengths: Vec<f64> = polygon.sides().map(|(a, b)| a.distance(b)).collect();
    assert_eq!(
        lengths,
        [4000.0, 3000.0, 1500.0, 380.0, 1000.0, 380.0, 1500.0, 3000.0]
    );
}

proptest! {
    #[test]
    fn a_room_with_a_shorter_wall_is_a_smaller_room(columns in columns(), which in 0..100_usize, by in 1..60_i32) {
        let whole = room(skyline(&columns));
        let k = which % whole.walls();
        let before = whole.polygon().unwrap();
        let shorter = whole.wall_shortened(k, mm(by)).unwrap();
        let after = shorter.polygon().unwrap();
        let length = |p: &aislewright::geometry::Polygon| {
            let (a, b) = p.side(k).unwrap();
            a.distance(b)
        };
        prop_assert!((length(&before) - length(&after) - f64::from(by)).abs() < 1e-9, "wall {} is shorter by {}", k, by);
        prop_assert!(after.area() < before.area(), "the floor is smaller");
        prop_assert_eq!(after.crossing(), None);
        let changed = before.sides().zip(after.sides()).filter(|(s, t)| (s.0.distance(s.1) - t.0.distance(t.1)).abs() > 1e-9).count();
        prop_assert_eq!(changed, 2, "the wall and its opposite, no other");
    }
}

#[test]
fn slips_are_capped() {
    let leg = Leg {
        length: mm(300),
        turn: Some(Turn::STRAIGHT),
    };
    let mut legs = vec![leg; 300];
    legs.push(Leg {
        length: mm(500),
        turn: None,
    });
    let slips: Vec<Slip> = TapeWalk::new(legs).slips(mm(1_000_000));
    assert_eq!(slips.len(), Slip::MOST);
}

/// Random lengths, turns and diagonals that contradict each other as much as they can, at the most corners that are adjusted.
#[test]
fn diagonals_of_a_hopeless_room_are_left_out() {
    for seed in 0..5 {
        let mut dice = common::Dice::new(seed);
        let legs = (0..50).map(|_| Leg {
            length: mm(dice.between(1, 9000)),
            turn: Some(Turn::left_by(f64::from(dice.between(-179, 179)))),
        });
        let mut hopeless = room(TapeWalk::new(legs.collect()));
        let plain = corners(&hopeless);
        hopeless.diagonals = (0..Diagonal::MOST)
            .map(|_| Diagonal {
                from: u16::try_from(dice.between(0, 24)).unwrap(),
                to: u16::try_from(dice.between(26, 49)).unwrap(),
                length: mm(dice.between(1, 90_000)),
            })
            .collect();
        let survey = hopeless.survey();
        assert!(
            matches!(survey.basis, Basis::Contradicted(_)),
            "{:?}",
            survey.basis
        );
        assert_eq!(corners(&hopeless), plain, "the compass rule alone");
        let said = survey.sentences(&hopeless, Practice::Metric);
        assert!(said.len() < 8, "few words: {said:?}");
        assert!(
            said.iter()
                .any(|s| s.starts_with("the diagonals are left out")),
            "{said:?}"
        );
    }
}

// ----------------------------------------------------------------------------------------------------------------------- check

fn found(room: Room) -> Vec<(String, Standing, String)> {
    let head = Head {
        practice: Practice::Metric,
        ..Head::default()
    };
    let plan = std::sync::Arc::new(Plan::new(head, room));
    let (_, findings) = judged(&plan, 1);
    findings
        .iter()
        .filter(|f| f.check == "room-closes")
        .map(|f| (f.key(), f.standing, f.text.clone()))
        .collect()
}

/// Tolerance 3 mm and four walls: 6 mm are met, 7 mm are not.
#[test]
fn a_walk_is_met_at_the_limit_and_broken_a_millimetre_beyond() {
    let four = |last: i32| walked(&format!("4000mm left, 3000mm left, 4000mm left, {last}mm"));
    let met = found(four(3006));
    assert_eq!(
        (met[0].0.as_str(), met[0].1),
        ("room-closes walk", Standing::Met),
        "{met:?}"
    );
    let broken = found(four(3007));
    assert_eq!(broken[0].1, Standing::Broken, "{broken:?}");
    assert!(
        broken[0]
            .2
            .starts_with("The walk ends 7 mm from where it began, 1 in 2001 of its 14007 mm"),
        "{broken:?}"
    );
    let metre = found(four(4000));
    assert!(
        metre[0]
            .2
            .ends_with("; to close it, wall 2 would be 4000 mm instead of 3000 mm."),
        "{metre:?}"
    );
    assert_eq!(
        found(Room::rectangle(mm(4000), mm(3000), mm(2700), mm(100))),
        [],
        "nothing was measured twice"
    );
}

#[test]
fn a_diagonal_is_met_at_the_tolerance_and_broken_a_millimetre_beyond() {
    let entered = |length: i32| Room {
        diagonals: vec![Diagonal {
            from: 0,
            to: 2,
            length: mm(length),
        }],
        tape_tolerance: Some(mm(3)),
        ..Room::rectangle(mm(4000), mm(3000), mm(2700), mm(100))
    };
    assert_eq!(found(entered(5003))[0].1, Standing::Met);
    let broken = found(entered(5004));
    assert_eq!(broken[0].0, "room-closes diagonals");
    assert_eq!((broken.len(), broken[0].1), (1, Standing::Broken));
    assert!(broken[0].2.contains("only to 4 mm"), "{broken:?}");
}
