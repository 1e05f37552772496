//! The example plan: without faults, in canonical form, and what the design of the product says of it.
#![expect(
    clippy::expect_used,
    reason = "a test that cannot go on should stop there"
)]

use aislewright::cli::EXAMPLE;
use aislewright::plan::{ItemKind, Library, PhaseNo};
use aislewright::storage::{self, Opened};

const PATH: &str = "demo-data/bottling-room.plan.ron";

fn example() -> Opened {
    let library = Library::builtin().expect("the built-in data can be read");
    storage::plan_of(&library, "bottling-room.plan.ron", EXAMPLE.as_bytes())
        .expect("the example can be read")
}

#[test]
fn it_has_no_faults_and_stands_in_canonical_form() {
    let opened = example();
    assert!(opened.faults.is_empty(), "{:?}", opened.faults);
    let text = storage::text_of(&opened.plan).expect("it can be written");
    if std::env::var_os("UPDATE_EXAMPLE").is_some() {
        #[expect(
            clippy::disallowed_methods,
            reason = "a developer asked to renew the example"
        )]
        std::fs::write(PATH, &text).expect("the example can be written");
        return;
    }
    assert_eq!(
        EXAMPLE, text,
        "{PATH} is not as the program writes it; renew it: UPDATE_EXAMPLE=1 cargo test --test example_plan"
    );
}

#[test]
fn it_is_the_bottling_room_in_three_phases() {
    let plan = example().plan;
    assert_eq!(plan.phases().len(), 3, "three phases");
    let count = |phase: u8| {
        plan.printers()
            .iter()
            .filter(|(_, p)| p.presence.holds_in(PhaseNo(phase)))
            .count()
    };
    assert_eq!(
        [count(1), count(2), count(3)],
        [12, 28, 51],
        "printers by phase"
    );
    assert_eq!(
        plan.head().hoped_for,
        Some(90),
        "a count that the room does not reach"
    );
    for kind in ItemKind::ALL {
        // The bottling room is bare: what the building itself brings is shown by other plans.
        // So is what a person writes on the floor.
        if matches!(
            kind,
            ItemKind::Fitting(_)
                | ItemKind::Overhead(_)
                | ItemKind::Light
                | ItemKind::Camera
                | ItemKind::Furniture(_)
        ) || kind.is_written()
        {
            continue;
        }
        assert!(
            plan.items().iter().any(|(_, i)| i.kind() == kind),
            "the example shows a {}",
            kind.word()
        );
    }
}
