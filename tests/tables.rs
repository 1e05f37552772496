//! Sweeps over the tables that the program reads itself from: checks, limits, kinds, the README's table.

use std::collections::BTreeSet;

use aislewright::checks::{CHECKS, Check};
use aislewright::cli::check_table;
use aislewright::plan::Library;
use aislewright::units::Practice;

#[test]
fn every_check_is_whole_and_stands_in_the_file_of_its_name() {
    let mut ids = BTreeSet::new();
    for check in CHECKS {
        assert!(
            ids.insert(check.id),
            "{} stands twice in the table",
            check.id
        );
        let file = format!("src/checks/{}.rs", check.id.replace('-', "_"));
        let text = std::fs::read_to_string(&file).unwrap_or_default();
        assert!(
            text.contains(&format!("id: \"{}\"", check.id)),
            "{file} does not hold the check {}",
            check.id
        );
        for (what, words) in [
            ("what it computes", check.what),
            ("why", check.why),
            ("how", check.how),
            ("what it does not see", check.blind),
        ] {
            assert!(words.len() > 20, "{}: {what} is not said", check.id);
        }
    }
}

#[test]
fn every_limit_that_a_check_names_exists_and_says_where_it_comes_from() {
    let library = Library::builtin().expect("the built-in data can be read");
    for practice in [Practice::Us, Practice::Metric] {
        let rows = library.profiles.of(practice).rows(practice);
        for row in &rows {
            assert!(!row.source.is_empty(), "{} has no source", row.id);
        }
        for check in CHECKS {
            for id in check.limits {
                assert!(
                    rows.iter().any(|r| r.id == *id),
                    "{} names the limit {id}",
                    check.id
                );
            }
        }
    }
}

#[test]
fn the_stock_list_offers_what_the_trade_needs() {
    let stock = Library::builtin()
        .expect("the built-in data can be read")
        .stock;
    assert!(stock.printers.len() >= 3, "at least three printers");
    assert!(
        stock.printers.values().any(|p| p.enclosed),
        "one of them enclosed"
    );
    assert!(stock.racks.len() >= 4, "at least four racks");
    assert!(stock.boards.len() >= 2, "at least two boards");
    assert!(stock.ups.len() >= 2, "at least two UPS");
    assert!(stock.cooling.len() >= 2, "at least two cooling units");
}

/// Common practice, no source: a rack 24 in deep, 72 in wide and 72 in high takes three desktop printers on each of three
/// levels.
#[test]
fn a_full_rack_takes_nine_desktop_printers() {
    let stock = Library::builtin()
        .expect("the built-in data can be read")
        .stock;
    let rack = stock
        .racks
        .values()
        .find(|r| r.name.starts_with("Full rack"))
        .expect("the full rack is in stock");
    let inches = |l: aislewright::units::Length| l.inches();
    assert!((inches(rack.width) - 72.0).abs() < 1e-9, "72 in wide");
    assert!((inches(rack.depth) - 24.0).abs() < 1e-9, "24 in deep");
    assert!((inches(rack.height) - 72.0).abs() < 1e-9, "72 in high");
    let slots: Vec<u8> = rack.levels.iter().map(|l| l.slots).collect();
    assert_eq!(slots, [3, 3, 3], "three on each of three levels");
}

#[test]
fn the_readme_holds_the_table_of_checks() {
    let readme = std::fs::read_to_string("README.md").expect("there is a README");
    if std::env::var_os("UPDATE_README").is_some() {
        let begin = readme
            .find("<!-- checks -->")
            .expect("the README marks where the table begins");
        let end = readme
            .find("<!-- /checks -->")
            .expect("the README marks where the table ends");
        let new = format!(
            "{}<!-- checks -->\n{}{}",
            &readme[..begin],
            check_table(),
            &readme[end..]
        );
        #[expect(
            clippy::disallowed_methods,
            reason = "a developer asked to renew the README"
        )]
        std::fs::write("README.md", new).expect("the README can be written");
        return;
    }
    assert!(
        readme.contains(&check_table()),
        "the README's table of checks is stale; renew it: UPDATE_README=1 cargo test --test tables"
    );
}

/// Wherever work can hurt someone, a check says who decides; so do its broken findings.
#[test]
fn checks_of_what_can_hurt_say_who_decides() {
    let hazards = [
        "way-out",
        "door-swing",
        "panel-space",
        "cooling",
        "shelf-load",
        "rack-stability",
        "floor-load",
        "lifting",
        "light",
        "circuits",
        "ups",
        "cords",
        "wet-zone",
        "air",
        "fire",
    ];
    let who = [
        "electrician",
        "local code",
        "engineer",
        "local rules",
        "fire authority",
    ];
    for id in hazards {
        let check = Check::of(id).unwrap();
        let says = who.iter().any(|word| check.caution.contains(word));
        assert!(says, "{id}: {}", check.caution);
        assert!(check.parts().any(|(_, words)| words == check.caution));
    }
}
