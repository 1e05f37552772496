//! Tape walks as people type and paste them, and turns.
#![expect(
    clippy::unwrap_used,
    reason = "helpers of tests: a surprise here is a failed test"
)]

use aislewright::plan::{Leg, Room, TapeWalk, WalkTextFault};
use aislewright::units::{Length, Practice, Turn, TurnError};
use proptest::prelude::*;

fn legs(text: &str) -> Vec<Leg> {
    TapeWalk::parse(text, None).unwrap().legs().to_vec()
}

fn leg(mm: f64, turn: Turn) -> Leg {
    Leg {
        length: Length::from_mm(mm),
        turn: Some(turn),
    }
}

fn refused(text: &str) -> String {
    TapeWalk::parse(text, None).unwrap_err().to_string()
}

/// The inch is 25.4 mm exactly: 12 ft 6 in are 3810 mm, 6 ft 2 1/2 in are 1892.3 mm.
#[test]
fn walls_are_read_in_many_forms() {
    for text in [
        "12ft 6in left",
        "12' 6\" L",
        "12'6\"l",
        "150 in LEFT",
        "3810 mm left 90",
        "3.81 m left 90°",
        "381cm lt",
        "  3810mm\tleft by 90 degrees  # the long wall",
    ] {
        assert_eq!(legs(text), [leg(3810.0, Turn::LEFT)], "{text}");
    }
    assert_eq!(legs("3810 mm R"), [leg(3810.0, Turn::RIGHT)]);
    assert_eq!(legs("2.4 m right 45"), [leg(2400.0, Turn::left_by(-45.0))]);
    assert_eq!(legs("6' 2-1/2\" left"), [leg(1892.3, Turn::LEFT)]);
    assert_eq!(legs("2,4 m r 22,5"), [leg(2400.0, Turn::left_by(-22.5))]);
    for straight in ["1m straight", "1 m straight on", "1m Ahead"] {
        assert_eq!(legs(straight), [leg(1000.0, Turn::STRAIGHT)], "{straight}");
    }
}

#[test]
fn walls_stand_apart_by_lines_commas_and_semicolons() {
    let expected = [
        leg(4000.0, Turn::LEFT),
        leg(3000.0, Turn::RIGHT),
        leg(2000.0, Turn::LEFT),
    ];
    for text in [
        "4 m left\n3 m right\n2 m left",
        "4 m left, 3 m right; 2 m left",
        "4 m left,3 m right,2 m left,",
        "# my room\n\n4 m left ; ; 3 m right # the niche\r\n2 m left\n# done",
        "4 m, left\n3 m, right\n2 m, left",
        "4 m\nleft\n3 m; right, 2 m\n\nleft",
    ] {
        assert_eq!(legs(text), expected, "{text}");
    }
    let open = legs("4 m left, 3 m");
    assert_eq!(open[1].turn, None, "the last wall may go without a turn");
}

#[test]
fn a_bare_number_is_what_the_practice_says() {
    let bare = |practice| TapeWalk::parse("150 left", practice).map(|w| w.legs()[0].length);
    assert_eq!(
        bare(Some(Practice::Us)),
        Ok(Length::from_mm(3810.0)),
        "inches"
    );
    assert_eq!(
        bare(Some(Practice::Metric)),
        Ok(Length::from_mm(150.0)),
        "millimetres"
    );
    assert!(
        matches!(bare(None).unwrap_err().what, WalkTextFault::Length(_)),
        "refused"
    );
}

#[test]
fn a_refused_line_says_where_and_what_would_do() {
    let said = [
        (
            "",
            "line 1, column 1: there is no wall here; write one a line, such as 12ft 6in left",
        ),
        ("# nothing\n\n", "line 1, column 1: there is no wall here"),
        (
            "12ft left\n  9ft port\n",
            "line 2, column 7: `port` is not understood; write a length and a turn",
        ),
        (
            "12ft left, x right",
            "line 1, column 12: `x` is not understood",
        ),
        (
            "12ft left 400",
            "line 1, column 6: `400` is no angle to turn by",
        ),
        (
            "12ft left -45",
            "line 1, column 6: `-45` is no angle to turn by",
        ),
        ("12ft left 0", "line 1, column 6: `0` is no angle"),
        (
            "12ft straight up",
            "line 1, column 6: `up` is no angle to turn by",
        ),
        (
            "12ft left left",
            "line 1, column 6: `left` is no angle to turn by",
        ),
        (
            "left",
            "line 1, column 1: a turn stands here without a wall before it",
        ),
        (
            "4 m left\nright",
            "line 2, column 1: a turn stands here without a wall before it",
        ),
        (
            "4 m left\n3 m\n2 m left",
            "line 2, column 1: wall 2 has no turn at its end; write left, right",
        ),
        (
            "0 mm left",
            "line 1, column 1: a wall is longer than nothing",
        ),
        (
            "4 m left; -3 m left",
            "line 1, column 11: a wall is longer than nothing",
        ),
        (
            "5ft 13in left",
            "line 1, column 1: inches beside feet go from 0 to 11 63/64; did you mean 6' 1\"?",
        ),
        (
            "9 left",
            "line 1, column 1: in a file a length needs its unit",
        ),
        (
            "1,880 mm left",
            "line 1, column 1: `1,880` can be read in two ways",
        ),
        ("2 km left", "line 1, column 3: `km` is not understood"),
        ("2000 m left", "line 1, column 1: a length goes up to 1 km"),
        ("é 4 m left", "line 1, column 1: `é` is not understood"),
        ("4 m left, é", "line 1, column 11: `é` is not understood"),
    ];
    for (text, message) in said {
        let found = refused(text);
        assert!(found.starts_with(message), "{text:?}: {found}");
    }
    let many = "1 m left\n".repeat(Room::CORNERS_MOST + 1);
    assert_eq!(
        refused(&many),
        "line 2001, column 1: a room has at most 2000 walls"
    );
}

#[test]
fn a_walk_is_written_as_it_would_be_typed() {
    let text = "12ft 6in left\n1880.3mm right 45deg\n2ft straight\n7ft 1/2in right\n3ft\n";
    let walk = TapeWalk::parse(text, None).unwrap();
    assert_eq!(walk.text(Practice::Us), text);
    assert_eq!(
        walk.text(Practice::Metric),
        "3810mm left\n1880.3mm right 45deg\n609.6mm straight\n2146.3mm right\n914.4mm\n"
    );
}

#[test]
fn a_turn_has_one_form_and_one_sign() {
    for (typed, written, degrees) in [
        ("left", "left", 90.0),
        ("L 90", "left", 90.0),
        ("R", "right", -90.0),
        ("right 45.5", "right 45.5deg", -45.5),
        ("left 180", "left 180deg", 180.0),
        ("right 180", "left 180deg", 180.0),
        ("straight", "straight", 0.0),
        ("right 0.001", "right 0.001deg", -0.001),
    ] {
        let turn = Turn::parse(typed).unwrap();
        assert_eq!(turn.file_text(), written, "{typed}");
        assert!((turn.degrees() - degrees).abs() < 1e-12, "{typed}");
    }
    assert_eq!(
        Turn::left_by(270.0),
        Turn::RIGHT,
        "three quarters left is a quarter right"
    );
    assert_eq!(Turn::LEFT.then(Turn::RIGHT), Turn::STRAIGHT);
    assert_eq!(
        (Turn::STRAIGHT.shown(), Turn::left_by(-30.0).shown()),
        ("straight on".to_owned(), "right 30°".to_owned())
    );
    assert_eq!(Turn::parse(" "), Err(TurnError::Empty));
    assert!(
        matches!(Turn::parse("90"), Err(TurnError::NotUnderstood { .. })),
        "which side?"
    );
    assert!(
        matches!(Turn::parse("left 0.0001"), Err(TurnError::Angle { .. })),
        "below a step"
    );
}

proptest! {
    #[test]
    fn what_is_written_reads_back_the_same(
        raw in prop::collection::vec((1..32_000_000_i64, -179_999..=180_000_i32), 1..20),
        last_open in any::<bool>(),
    ) {
        let mut legs: Vec<Leg> = raw
            .iter()
            .map(|(units, turn)| Leg {
                length: Length::from_units(*units),
                turn: Some(Turn::left_by(f64::from(*turn) / 1000.0)),
            })
            .collect();
        if last_open && let Some(last) = legs.last_mut() {
            last.turn = None;
        }
        let walk = TapeWalk::new(legs);
        for practice in [Practice::Us, Practice::Metric] {
            let text = walk.text(practice);
            prop_assert_eq!(TapeWalk::parse(&text, None).unwrap(), walk.clone());
            // Behind commas or semicolons on one line it is the same walk.
            for mark in [", ", ";"] {
                let line = text.trim_end().replace('\n', mark);
                prop_assert_eq!(TapeWalk::parse(&line, None).unwrap(), walk.clone());
            }
        }
    }

    #[test]
    fn no_text_does_harm(text in "\\PC{0,60}", soup in "[0-9'\"./,; \\-#\nLRlrmftinéstraghvo°]{0,80}") {
        for text in [text, soup] {
            for bare in [None, Some(Practice::Us)] {
                match TapeWalk::parse(&text, bare) {
                    Ok(walk) => {
                        let again = TapeWalk::parse(&walk.text(Practice::Metric), None).unwrap();
                        prop_assert_eq!(again, walk);
                    }
                    Err(error) => {
                        let line = text.lines().nth(error.line - 1).unwrap_or("");
                        prop_assert!(error.column <= line.chars().count() + 1, "{} in {:?}", error, text);
                    }
                }
            }
        }
    }
}
