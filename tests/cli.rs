//! Drives the program itself: its commands, its exit codes, its JSON, its files.
#![expect(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test that cannot go on should stop there"
)]

use std::path::Path;
use std::process::{Command, Output};

use serde_json::Value;

const EXAMPLE: &str = "demo-data/bottling-room.plan.ron";

/// The program in the repository's folder, without a display.
fn program() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_aislewright"));
    for display in ["DISPLAY", "WAYLAND_DISPLAY", "WAYLAND_SOCKET"] {
        command.env_remove(display);
    }
    command
}

fn run(arguments: &[&str]) -> Output {
    program()
        .args(arguments)
        .output()
        .expect("the program starts")
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("the output is text")
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).expect("messages are text")
}

#[test]
fn check_lists_findings_and_answers_1_while_one_must_be_fixed() {
    let output = run(&["check", EXAMPLE]);
    let text = out(&output);
    assert_eq!(output.status.code(), Some(1), "{text}");
    assert!(text.contains("51  printers placed"), "{text}");
    assert!(text.contains("Door D1 swings into R5"), "{text}");
    assert!(text.contains("mend: move R5 1' 0\" east"), "{text}");
    assert!(
        text.contains("licensed electricians"),
        "the caution stands once: {text}"
    );
}

#[test]
fn check_answers_0_where_nothing_must_be_fixed() {
    let folder = tempfile::tempdir().unwrap();
    let plan = folder.path().join("empty.plan.ron");
    let text = r#"(
  format: 1,
  head: (name: "Empty room"),
  room: (
    outline: Corners([("0in", "0in"), ("12ft", "0in"), ("12ft", "20ft"), ("0in", "20ft")]),
    ceiling: "9ft", wall: "6in",
  ),
  phases: [(name: "All")],
)
"#;
    write(&plan, text);
    let output = run(&["check", plan.to_str().unwrap()]);
    assert_eq!(
        output.status.code(),
        Some(0),
        "{}{}",
        out(&output),
        err(&output)
    );
}

#[test]
fn json_has_the_documented_fields() {
    let output = run(&["check", EXAMPLE, "--json", "--phase", "2"]);
    let report: Value = serde_json::from_str(&out(&output)).expect("standard output is JSON");
    assert_eq!(report["plan"], "Bottling room");
    assert_eq!(report["phase"], 2);
    assert_eq!(report["printers"], 28);
    let limits: Vec<&str> = report["headroom"]
        .as_array()
        .unwrap()
        .iter()
        .map(|c| c["limit"].as_str().unwrap())
        .collect();
    assert_eq!(
        limits,
        ["floor", "slots", "circuits", "supply", "ups", "cooling"]
    );
    assert!(
        report["headroom"][0]["allows"].is_null(),
        "the floor is not searched yet"
    );
    let findings = report["findings"].as_array().unwrap();
    for finding in findings {
        for field in [
            "check", "severity", "standing", "accepted", "items", "measured", "limit", "unit",
            "source", "at_mm", "text", "mend",
        ] {
            assert!(
                finding.get(field).is_some(),
                "{field} is missing in {finding}"
            );
        }
        assert!(
            ["must_fix", "caution", "note"].contains(&finding["severity"].as_str().unwrap()),
            "{finding}"
        );
        assert!(
            ["met", "broken", "unknown"].contains(&finding["standing"].as_str().unwrap()),
            "{finding}"
        );
    }
    let swing = findings
        .iter()
        .find(|f| f["check"] == "door-swing" && f["standing"] == "broken")
        .expect("the door swings into R5");
    assert_eq!(swing["items"], serde_json::json!(["R5", "D1"]));
    assert_eq!(swing["mend"], "move R5 1' 0\" east");
    // The opening's near edge lies 88 in from the corner; the leaf of 36 in hangs 16 in up the wall and sweeps a quarter
    // disc over R5, whose end stands 24 in from the wall and whose back corner lies at 26 in: 10 in deep = 254 mm.
    assert_eq!(swing["measured"], 254.0);
}

#[test]
fn a_phase_is_named_by_number_or_name() {
    let by_name = run(&["check", EXAMPLE, "--phase", "first twelve"]);
    assert!(
        out(&by_name).contains("12  printers placed"),
        "{}",
        out(&by_name)
    );
    let wrong = run(&["check", EXAMPLE, "--phase", "9"]);
    assert_eq!(wrong.status.code(), Some(2));
    assert!(
        err(&wrong).contains("There is no phase \"9\" in this plan; it has 1 (First twelve)"),
        "{}",
        err(&wrong)
    );
}

#[test]
fn a_broken_plan_answers_2_with_place_and_nearest_word() {
    let folder = tempfile::tempdir().unwrap();
    let good = std::fs::read_to_string(EXAMPLE).unwrap();
    let cases = [
        (
            good.replacen("ceiling:", "celing:", 1),
            "did you mean `ceiling`?",
        ),
        (
            good.replacen("\"9ft\"", "\"9 elephants\"", 1),
            "9 elephants",
        ),
        (good.replacen("format: 1", "format: 7", 1), "newer version"),
        (
            good.replacen("slot: \"R1.1.1\"", "slot: \"R77.1.1\"", 1),
            "there is no rack R77",
        ),
        (
            good.replacen("circuit: \"C01\"", "circuit: \"C99\"", 1),
            "there is no circuit C99",
        ),
    ];
    for (k, (text, expected)) in cases.iter().enumerate() {
        let plan = folder.path().join(format!("broken-{k}.plan.ron"));
        write(&plan, text);
        let output = run(&["check", plan.to_str().unwrap()]);
        assert_eq!(
            output.status.code(),
            Some(2),
            "{expected}: {}",
            out(&output)
        );
        assert!(
            err(&output).contains(expected),
            "{expected} is not in: {}",
            err(&output)
        );
        assert_eq!(
            &std::fs::read_to_string(&plan).unwrap(),
            text,
            "the file is untouched"
        );
    }
    let missing = run(&["check", "no/such/plan.ron"]);
    assert_eq!(missing.status.code(), Some(2));
    assert!(
        err(&missing).contains("no/such/plan.ron cannot be read"),
        "{}",
        err(&missing)
    );
}

#[test]
fn a_sheet_is_written_once_and_replaced_only_when_told() {
    let folder = tempfile::tempdir().unwrap();
    let sheet = folder.path().join("floor.svg");
    let name = sheet.to_str().unwrap();
    let first = run(&["sheet", EXAMPLE, "-o", name]);
    assert_eq!(first.status.code(), Some(0), "{}", err(&first));
    let drawn = std::fs::read_to_string(&sheet).unwrap();
    assert!(
        drawn.starts_with("<svg") || drawn.starts_with("<?xml"),
        "it is an SVG"
    );
    let again = run(&["sheet", EXAMPLE, "-o", name]);
    assert_eq!(again.status.code(), Some(2), "an existing file is kept");
    let replaced = run(&["sheet", EXAMPLE, "-o", name, "--replace", "--phase", "1"]);
    assert_eq!(replaced.status.code(), Some(0), "{}", err(&replaced));
    assert_ne!(
        std::fs::read_to_string(&sheet).unwrap(),
        drawn,
        "phase 1 is another sheet"
    );
    let pdf = run(&["sheet", EXAMPLE, "-o", "floor.pdf"]);
    assert_eq!(pdf.status.code(), Some(2));
    assert!(err(&pdf).contains("ends in .svg"), "{}", err(&pdf));
}

#[test]
fn explain_says_what_why_how_and_what_is_not_seen() {
    let output = run(&["explain", "service-strip"]);
    let text = out(&output);
    assert_eq!(output.status.code(), Some(0));
    for words in [
        "What:",
        "Why:",
        "How:",
        "Not seen:",
        "Limit `aisle` in US practice: 3' 0\"",
        "OSHA 1910.36(g)(2)",
    ] {
        assert!(text.contains(words), "{words} is not in: {text}");
    }
    let wrong = run(&["explain", "service-stripe"]);
    assert_eq!(wrong.status.code(), Some(2));
    assert!(
        err(&wrong).contains("did you mean \"service-strip\"?"),
        "{}",
        err(&wrong)
    );
    assert_eq!(
        out(&run(&["explain"])).lines().count(),
        30,
        "all checks are listed"
    );
}

#[test]
fn without_a_display_the_demo_runs_and_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let output = program().current_dir(folder.path()).output().unwrap();
    let text = out(&output);
    assert_eq!(output.status.code(), Some(0), "{text}{}", err(&output));
    let first = text.lines().next().unwrap_or_default();
    assert!(first.starts_with("No window: "), "{first}");
    let made = folder.path().join("aislewright-demo");
    assert!(
        made.join("bottling-room-sheet.svg").is_file(),
        "the sheet is there"
    );
    if cfg!(feature = "editor") {
        let png = std::fs::read(made.join("editor.png")).unwrap();
        assert_eq!(png.get(..4), Some(&b"\x89PNG"[..]), "the picture is there");
    } else {
        assert!(text.contains("this build has no window"), "{text}");
    }
}

#[test]
fn a_closed_pipe_is_no_error() {
    let mut child = program()
        .args(["check", EXAMPLE, "--json"])
        .stdout(std::process::Stdio::piped())
        .stderr(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let status = child.wait().unwrap();
    assert!(matches!(status.code(), Some(0 | 1)), "{status}");
}

#[test]
fn wrong_words_answer_2() {
    assert_eq!(run(&["chekc", "a", "b"]).status.code(), Some(2));
    assert_eq!(run(&["--help"]).status.code(), Some(0));
}

#[expect(clippy::disallowed_methods, reason = "a test makes its own files")]
fn write(path: &Path, text: &str) {
    std::fs::write(path, text).unwrap();
}
