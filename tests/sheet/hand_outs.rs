//! The cards of bad days and the labels: on the right paper, readable, nothing over anything else, every thing with its label.

use std::sync::Arc;

use aislewright::layout::Layout;
use aislewright::plan::{Edit, Item, Library, OwnKind, PhaseNo, Plan};
use aislewright::sheet::{LABEL_MM, Page, Sheet, Text, Weight, cards_and_labels, svg};
use aislewright::stock::KindId;
use aislewright::storage;
use aislewright::units::Practice;

use crate::lettering::assert_readable;
use crate::rooms::{bottling, bottling_of, id, label};
use crate::safe::assert_inert;

fn read(text: &str) -> Arc<Plan> {
    let library = Library::builtin().unwrap();
    Arc::new(
        storage::plan_of(&library, "demo", text.as_bytes())
            .unwrap()
            .plan,
    )
}

fn pages(plan: &Arc<Plan>, phase: u8) -> (Layout, Vec<Page>) {
    let library = Library::builtin().unwrap();
    let layout = Layout::of(&library, plan, PhaseNo(phase));
    let pages = cards_and_labels(&layout, "2026-01-31");
    (layout, pages)
}

fn labels(pages: &[Page]) -> Vec<&Sheet> {
    let labels = pages.iter().filter(|p| p.file.starts_with("labels-"));
    labels.map(|p| &p.sheet).collect()
}

/// The large lines of all labels.
fn large(pages: &[Page]) -> Vec<String> {
    let texts = labels(pages).into_iter().flat_map(Sheet::texts);
    texts
        .filter(|t| t.weight == Weight::Bold)
        .map(|t| t.words.clone())
        .collect()
}

fn plans() -> Vec<(Arc<Plan>, u8)> {
    vec![
        (read(aislewright::cli::EXAMPLE), 3),
        (
            read(include_str!("../../demo-data/press-cellar.plan.ron")),
            3,
        ),
        (read(include_str!("../../demo-data/long-loft.plan.ron")), 2),
        (bottling("瓶詰め室 — 三階 🧪 ﷽"), 1),
        (
            bottling_of(
                "Abfüllraum mit einem sehr langen Namen, der auf keine Karte dieser Größe passen kann, auch nicht klein geschrieben",
                Practice::Metric,
            ),
            1,
        ),
        (unwieldy(), 1),
    ]
}

/// Printers and racks whose kinds have names without an end.
fn unwieldy() -> Arc<Plan> {
    let library = Library::builtin().unwrap();
    let mut plan = (*bottling("Bottling room")).clone();
    let long = "Donaudampfschifffahrtsgesellschaftskapitänsdrucker mit seitlicher Spule und Haube, zweite Bauart";
    let kind = KindId::new("open-220").unwrap();
    let mut printer = library.stock.printers[&kind].clone();
    long.clone_into(&mut printer.name);
    let edit = Edit::PutKind(kind, Box::new(OwnKind::Printer(printer)));
    plan = plan.edited(&library.stock, &edit).unwrap();
    let mut supply = plan.supply().clone();
    supply.loads = (0..12)
        .map(|k| aislewright::plan::OtherLoad {
            name: label(&format!("Absauganlage mit Nachlauf und Filter Nummer {k}")),
            circuit: Some(id("C01")),
            running: None,
            peak: None,
            power_factor: None,
            arrives: PhaseNo(1),
        })
        .collect();
    let plan = plan.edited(&library.stock, &Edit::SetSupply(Box::new(supply)));
    Arc::new(plan.unwrap())
}

#[test]
fn every_page_can_be_read_and_holds_nothing_that_runs() {
    for (plan, phase) in plans() {
        let (_, pages) = pages(&plan, phase);
        assert!(pages.len() >= 2, "cards and labels");
        for page in &pages {
            assert_readable(&page.sheet);
            assert_inert(&svg(&page.sheet).unwrap());
        }
    }
}

/// Sizes of ISO 216 and of ANSI/ASME Y14.1.
#[test]
fn the_paper_is_that_of_the_practice() {
    for (practice, size) in [
        (Practice::Metric, (210.0, 297.0)),
        (Practice::Us, (215.9, 279.4)),
    ] {
        let (_, pages) = pages(&bottling_of("Bottling room", practice), 1);
        for page in &pages {
            assert_eq!((page.sheet.width_mm, page.sheet.height_mm), size);
        }
    }
}

/// Labels of 60 by 25 mm in three columns and ten rows: the grid is 180 by 250 mm. Every text stands within one of them.
#[test]
fn every_text_stands_within_its_label() {
    assert_eq!(LABEL_MM, (60.0, 25.0));
    for (plan, phase) in plans() {
        let (_, pages) = pages(&plan, phase);
        for sheet in labels(&pages) {
            let (left, top) = corner(sheet);
            let texts = sheet.texts();
            // The first is the page's head.
            for text in texts.iter().skip(1) {
                assert_in_cell(text, (left, top));
            }
        }
    }
}

/// The upper left corner of the grid, from the cut marks: the places of the crosses nearest to the paper's edges.
fn corner(sheet: &Sheet) -> (f64, f64) {
    let left = (sheet.width_mm - 180.0) / 2.0;
    let text = svg(sheet).unwrap();
    let (_, marks) = text.split_once("id=\"labels\"").unwrap();
    let cross = format!("M{} ", (left * 1000.0_f64).round() / 1000.0);
    let at = marks
        .find(&cross)
        .unwrap_or_else(|| panic!("no cut mark at {left} mm"));
    let number = marks[at + cross.len()..]
        .split(|c: char| !(c.is_ascii_digit() || c == '.'))
        .next();
    // The first tick runs from 3.5 mm above the grid to 1 mm above it.
    (left, number.unwrap().parse::<f64>().unwrap() + 3.5)
}

fn assert_in_cell(text: &Text, (left, top): (f64, f64)) {
    let outline = text.outline();
    let (low, high) = (outline.bounds().low, outline.bounds().high);
    let column = ((low.x - left) / 60.0).floor();
    let row = ((low.y - top) / 25.0).floor();
    assert!(
        (0.0..3.0).contains(&column) && (0.0..10.0).contains(&row),
        "{text:?}"
    );
    assert!(
        high.x <= left + (column + 1.0) * 60.0 && high.y <= top + (row + 1.0) * 25.0,
        "{} runs out of its label",
        text.words
    );
}

#[test]
fn every_rack_slot_cord_and_breaker_has_its_label() {
    let (layout, pages) = pages(&read(aislewright::cli::EXAMPLE), 3);
    let all = large(&pages);
    let times = |words: &str| all.iter().filter(|w| *w == words).count();
    let plan = layout.plan();
    let mut expected = 0;
    let mut once = |words: &str, n: usize| {
        assert_eq!(times(words), n, "{words}");
        expected += n;
    };
    for (rack, item) in plan.items().iter() {
        if matches!(item, Item::Rack(_)) && layout.part(rack).is_some() {
            once(&rack.to_string(), 1);
        }
    }
    for (_, slot) in layout.slots() {
        once(&slot.name.to_string(), 1);
    }
    for circuit in layout.power().circuits.keys() {
        once(&circuit.to_string(), 1);
    }
    // A cord has two ends.
    for (_, placed) in layout.printers() {
        let to = plan.printers().get(placed.id).unwrap().power.unwrap();
        once(&format!("{} → {to}", placed.id), 2);
    }
    for ups in layout.power().supplies.keys() {
        let Some(Item::Ups(item)) = plan.items().get(*ups) else {
            panic!("{ups} is a UPS");
        };
        once(&format!("{ups} → {}", item.outlet.unwrap()), 2);
    }
    assert_eq!(all.len(), expected, "and no label besides");
}

#[test]
fn a_label_says_what_it_is_about() {
    let (_, pages) = pages(&read(aislewright::cli::EXAMPLE), 3);
    let said: Vec<String> = labels(&pages)
        .into_iter()
        .flat_map(Sheet::texts)
        .map(|t| t.words.clone())
        .collect();
    for words in [
        "P001",
        "this end: P001 in R1.1.1",
        "other end: U1 at R1",
        "this end: U1 at R1",
        "other end: O1 on C01",
        "20 A, 120 V, 1 pole, L1",
        "O1, O9, U1, U2, 6 printers",
    ] {
        assert!(said.iter().any(|s| s == words), "{words}");
    }
}

/// Cards stand in the order of the list, and no line of one is left out.
#[test]
fn every_line_of_every_card_is_on_a_page() {
    use aislewright::wiring::day_card::{CAUTION, day_cards};
    for (plan, phase) in plans() {
        let (layout, pages) = pages(&plan, phase);
        let cards = pages.iter().filter(|p| p.file.starts_with("bad-days-"));
        let texts: Vec<String> = cards
            .clone()
            .flat_map(|p| p.sheet.texts())
            .map(|t| t.words.clone())
            .collect();
        let joined = without_blanks(&texts.join(""));
        for card in day_cards(&layout) {
            for line in card.parts.iter().flat_map(|p| &p.lines) {
                // A line that goes on overleaf has the head of the next page between.
                let first: String = line.chars().take(40).collect();
                assert!(joined.contains(&without_blanks(&first)), "{line}");
            }
        }
        for page in cards {
            let texts: Vec<String> = page.sheet.texts().iter().map(|t| t.words.clone()).collect();
            let said = without_blanks(&texts.join(""));
            assert!(said.contains(&without_blanks(CAUTION)), "who decides");
        }
    }
}

fn without_blanks(words: &str) -> String {
    words.split_whitespace().collect()
}

#[test]
fn the_names_of_the_files_say_how_many_there_are() {
    let (_, pages) = pages(&bottling("Bottling room"), 1);
    let files: Vec<&str> = pages.iter().map(|p| p.file.as_str()).collect();
    assert!(files[0].starts_with("bad-days-1-of-"), "{files:?}");
    let mut sorted = files.clone();
    sorted.dedup();
    assert_eq!(sorted.len(), files.len(), "{files:?}");
}

/// A slot without a printer has a label too.
#[test]
fn an_empty_slot_says_so() {
    let (layout, pages) = pages(&bottling("Bottling room"), 1);
    let empty = layout
        .slots()
        .filter(|(_, slot)| slot.printer.is_none())
        .count();
    let said = labels(&pages)
        .into_iter()
        .flat_map(Sheet::texts)
        .filter(|t| t.words == "no printer in this phase")
        .count();
    assert!(empty > 0);
    assert_eq!(said, empty);
}
