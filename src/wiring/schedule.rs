//! The panel schedule of a phase: circuit by circuit what hangs on it, how far its limits are used, and what is lost along it; and the
//! balance of the legs. Figures and their words; `sheet` and `editor` draw them, `checks` judges.

use crate::layout::{CableRun, CircuitLoad, Drop, Layout, LegLoad, Total};
use crate::plan::{Circuit, Id, Presence};
use crate::units::{Practice, Watts};

/// Said with every schedule.
pub const CAUTION: &str =
    "For planning only: a licensed electrician and the local code decide what is built.";

/// One circuit.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Its mark.
    pub id: Id,
    /// The circuit.
    pub circuit: Circuit,
    /// Poles of its breaker.
    pub poles: u8,
    /// The legs it loads; none while nobody said.
    pub legs: Option<String>,
    /// Its outlets.
    pub outlets: Vec<Id>,
    /// The UPS on it.
    pub supplies: Vec<Id>,
    /// Printers on it, by UPS or straight.
    pub printers: usize,
    /// Names of the other loads on it.
    pub others: Vec<String>,
    /// Amperes running.
    pub running: Total,
    /// Amperes at the peak.
    pub peak: Total,
    /// Running amperes by what may be taken for hours.
    pub running_share: Option<f64>,
    /// Peak amperes by what may be taken for minutes.
    pub peak_share: Option<f64>,
    /// Its cable one way.
    pub run: Option<CableRun>,
    /// What is lost along it at the peak.
    pub drop_peak: Option<Drop>,
    /// What would be lost at the breaker's rating.
    pub drop_rated: Option<Drop>,
}

/// The headings of [`Row::cells`].
pub const HEADINGS: [&str; 13] = [
    "Circuit", "Breaker", "Poles", "Leg", "Outlets", "UPS", "Printers", "Run. A", "% cont.",
    "Peak A", "% brk.", "Cable", "Drop",
];

/// Every circuit of the layout's phase.
pub fn schedule(layout: &Layout) -> Vec<Row> {
    let circuits = layout.power().circuits.keys();
    circuits.filter_map(|id| row(layout, *id)).collect()
}

/// The circuits that were there before the layout's phase and are taken out in it.
pub fn taken_out(layout: &Layout) -> impl Iterator<Item = (Id, &Circuit)> {
    let circuits = layout.plan().circuits().iter();
    circuits.filter(|(_, circuit)| circuit.presence.leaves == Some(layout.phase()))
}

fn row(layout: &Layout, id: Id) -> Option<Row> {
    let system = layout.plan().head().system;
    let limits = layout.limits();
    let circuit = layout.plan().circuits().get(id)?.clone();
    let load = layout.power().circuits.get(&id)?;
    let breaker = circuit.breaker.value();
    let share = |total: &Total, most: f64| {
        let allowed = breaker * most;
        total.whole().filter(|_| allowed > 0.0).map(|a| a / allowed)
    };
    let names = load
        .others
        .iter()
        .filter_map(|k| layout.plan().supply().loads.get(*k));
    Some(Row {
        id,
        poles: circuit.poles(system),
        legs: circuit.legs(system).map(|legs| {
            let words: Vec<&str> = legs.iter().map(|leg| leg.words()).collect();
            words.join("+")
        }),
        outlets: load.outlets.clone(),
        supplies: load.supplies.clone(),
        printers: load.printers.len(),
        others: names.map(|other| other.name.to_string()).collect(),
        running_share: share(&load.running_a, limits.continuous_share.value.value()),
        peak_share: share(&load.peak_a, limits.breaker_share.value.value()),
        running: load.running_a.clone(),
        peak: load.peak_a.clone(),
        run: layout.cable_run(id),
        drop_peak: load.peak_a.whole().and_then(|a| layout.voltage_drop(id, a)),
        drop_rated: layout.voltage_drop(id, breaker),
        circuit,
    })
}

impl Row {
    /// When it is there, and whether the contractor builds it.
    pub fn presence(&self) -> &Presence {
        &self.circuit.presence
    }

    /// The cells under [`HEADINGS`]. "?" where a figure is not known.
    pub fn cells(&self, practice: Practice) -> [String; 13] {
        [
            self.id.to_string(),
            breaker_in_words(&self.circuit),
            self.poles.to_string(),
            self.legs_in_words(),
            marks(&self.outlets),
            marks(&self.supplies),
            self.loads_in_words(),
            amperes(&self.running),
            share_in_words(self.running_share),
            amperes(&self.peak),
            share_in_words(self.peak_share),
            format!(
                "{}, {}",
                self.conductor_in_words(),
                self.run_in_words(practice)
            ),
            self.drop_in_words(),
        ]
    }

    /// The legs it loads, as in "L1+L2".
    pub fn legs_in_words(&self) -> String {
        self.legs.clone().unwrap_or_else(unknown)
    }

    /// Printers and other loads, as in "6 + door heater".
    fn loads_in_words(&self) -> String {
        let printers = self.printers.to_string();
        std::iter::once(printers)
            .chain(self.others.iter().cloned())
            .collect::<Vec<String>>()
            .join(" + ")
    }

    /// The conductor of its cable, as in "12 AWG".
    pub fn conductor_in_words(&self) -> &'static str {
        self.circuit.built.conductor.map_or("?", |c| c.words())
    }

    /// How far its cable runs, as in "17' 6\" est.".
    pub fn run_in_words(&self, practice: Practice) -> String {
        self.run.map_or_else(unknown, |run| {
            let how = if run.measured { "" } else { " est." };
            format!("{}{how}", run.length_shown(practice))
        })
    }

    /// What is lost at the peak, and at the breaker's rating, in per cent: as in "0.7" and "1.2".
    pub fn drops_in_words(&self) -> [String; 2] {
        let figure =
            |drop: Option<Drop>| drop.map_or_else(unknown, |d| format!("{:.1}", d.percent));
        [figure(self.drop_peak), figure(self.drop_rated)]
    }

    /// The same in one cell, as in "0.7 / 1.2 %".
    fn drop_in_words(&self) -> String {
        if self.drop_peak.is_none() && self.drop_rated.is_none() {
            return unknown();
        }
        format!("{} %", self.drops_in_words().join(" / "))
    }
}

/// What all circuits draw together, in a sentence; none without a circuit.
pub fn drawn(layout: &Layout) -> Option<String> {
    let circuits = &layout.power().circuits;
    let sum = |pick: fn(&CircuitLoad) -> &Total| -> String {
        let known: f64 = circuits.values().map(|c| pick(c).known).sum();
        let missing: usize = circuits.values().map(|c| pick(c).missing.len()).sum();
        let words = Watts::new((known * 0.1).round() * 10.0)
            .map_or_else(|_| format!("{known:.0} W"), Watts::shown);
        if missing == 0 {
            words
        } else {
            format!("more than {words} ({missing} figures missing)")
        }
    };
    (!circuits.is_empty()).then(|| {
        format!(
            "On all circuits, UPS loss counted: running {}; printers on and idle, other loads not counted: {}; everything heating after an outage, recharge counted: {}. Supply {}.",
            sum(|c| &c.load.running_w),
            sum(|c| &c.load.standby_w),
            sum(|c| &c.load.peak_w),
            layout.plan().head().system.words()
        )
    })
}

/// How the legs are loaded, in sentences: amperes on each while running and at the peak, and the difference.
pub fn balance(layout: &Layout) -> Vec<String> {
    let drawn = layout.drawn_from(None);
    if drawn.circuits == 0 || drawn.running.legs.len() < 2 {
        return Vec::new();
    }
    [("Running", &drawn.running), ("At the peak", &drawn.peak)]
        .into_iter()
        .map(|(when, load)| format!("{when}: {}.", legs_in_words(load)))
        .collect()
}

fn legs_in_words(load: &LegLoad) -> String {
    let mut parts: Vec<String> = load
        .legs
        .iter()
        .zip(crate::plan::SupplyLeg::ALL)
        .map(|(amperes, leg)| format!("{} {amperes:.1} A", leg.words()))
        .collect();
    if load.anywhere > 0.0 {
        parts.push(format!("{:.1} A on legs that nobody said", load.anywhere));
    }
    if !load.missing.is_empty() {
        parts.push(format!("{} figures missing", load.missing.len()));
    }
    if let Some(difference) = load.unbalance() {
        parts.push(format!("difference {difference:.1} A"));
    }
    parts.join(", ")
}

fn unknown() -> String {
    "?".to_owned()
}

/// A breaker's curve and rating, as in "C 16 A".
pub fn breaker_in_words(circuit: &Circuit) -> String {
    let curve = circuit.built.curve.map_or("", |c| c.letter());
    format!("{curve} {}", circuit.breaker.shown())
        .trim()
        .to_owned()
}

/// How far a limit is used.
pub fn share_in_words(share: Option<f64>) -> String {
    share.map_or_else(unknown, |share| format!("{:.0} %", share * 100.0))
}

/// A sum to a tenth of an ampere; with a sign in front where a figure is missing.
pub fn amperes(total: &Total) -> String {
    if total.missing.is_empty() {
        format!("{:.1}", total.known)
    } else {
        format!("> {:.1} ?", total.known)
    }
}

/// Marks one after the other.
pub fn marks(ids: &[Id]) -> String {
    if ids.is_empty() {
        return "none".to_owned();
    }
    let all: Vec<String> = ids.iter().map(ToString::to_string).collect();
    all.join(" ")
}
