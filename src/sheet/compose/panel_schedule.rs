//! The panel schedule on the sheet: two lines a circuit, as its columns are too many for the width of a block, and the sentences under
//! it. The figures and their words are those of `wiring::schedule`.

use super::Subject;
use super::block::{Block, Heading};
use crate::fill::Headroom;
use crate::plan::{Circuit, Id};
use crate::wiring::schedule::{
    CAUTION, Row, amperes, balance, breaker_in_words, marks, schedule, share_in_words, taken_out,
};

/// Each heading stands over two lines.
const HEADINGS: [Heading; 10] = [
    ("Circuit\nstatus", 20.0),
    ("Panel\nvolts", 13.0),
    ("Breaker\npoles, leg", 21.0),
    ("Outlets", 19.0),
    ("UPS", 12.0),
    ("Printers\nothers", 17.5),
    ("Run. A\n% cont.", 16.4),
    ("Peak A\n% brk.", 16.4),
    ("Conductor\nrun", 26.0),
    ("Drop pk.\nbrk.", 18.6),
];

/// A figure of a circuit that is no more.
const NONE: &str = "–";

/// The circuits of the phase, and those that are taken out in it.
pub(super) fn circuits(subject: &Subject<'_>) -> Block {
    let there = schedule(subject.layout);
    let there = there.iter().map(|row| cells(subject, row));
    let gone = taken_out(subject.layout);
    let gone = gone.map(|(id, circuit)| cells_of_gone(subject, id, circuit));
    let rows: Vec<Vec<String>> = there.chain(gone).collect();
    Block::table("Panel schedule", "circuits", &HEADINGS, &rows)
}

fn cells(subject: &Subject<'_>, row: &Row) -> Vec<String> {
    let practice = subject.practice();
    let others = match row.others.len() {
        0 => String::new(),
        n => format!("\n+ {n} other"),
    };
    let [peak, rated] = row.drops_in_words();
    vec![
        format!("{}\n{}", row.id, subject.status_words(row.presence())),
        panel_and_volts(subject, &row.circuit),
        format!(
            "{}\n{}, {}",
            breaker_in_words(&row.circuit),
            row.poles,
            row.legs_in_words()
        ),
        marks(&row.outlets),
        marks(&row.supplies),
        format!("{}{others}", row.printers),
        format!(
            "{}\n{}",
            amperes(&row.running),
            share_in_words(row.running_share)
        ),
        format!("{}\n{}", amperes(&row.peak), share_in_words(row.peak_share)),
        format!(
            "{}\n{}",
            row.conductor_in_words(),
            row.run_in_words(practice)
        ),
        format!("{peak} %\n{rated} %"),
    ]
}

fn cells_of_gone(subject: &Subject<'_>, id: Id, circuit: &Circuit) -> Vec<String> {
    let mut cells = vec![
        format!("{id}\nremoved"),
        panel_and_volts(subject, circuit),
        breaker_in_words(circuit),
    ];
    cells.resize(HEADINGS.len(), NONE.to_owned());
    cells
}

fn panel_and_volts(subject: &Subject<'_>, circuit: &Circuit) -> String {
    let panel = subject.layout.panel_of(circuit);
    let panel = panel.map_or_else(|| "?".to_owned(), |p| p.to_string());
    format!("{panel}\n{}", circuit.volts.shown())
}

/// What is said under the schedule: the other loads by name, the balance of the legs, what the supply carries, and who decides.
pub(super) fn summary(subject: &Subject<'_>, headroom: &Headroom) -> Vec<String> {
    let rows = schedule(subject.layout);
    if rows.is_empty() {
        return Vec::new();
    }
    let others = rows.iter().flat_map(|row| {
        let names = row.others.iter();
        names.map(|name| format!("{name} on {}", row.id))
    });
    let others: Vec<String> = others.collect();
    let others = (!others.is_empty()).then(|| format!("Other loads: {}.", others.join(", ")));
    let mut texts: Vec<String> = others.into_iter().collect();
    texts.extend(balance(subject.layout));
    texts.extend(headroom.supply_in_words());
    texts.push(CAUTION.to_owned());
    texts
}
