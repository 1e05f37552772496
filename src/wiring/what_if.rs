//! What if: a phase with the higher voltage, with one more circuit, with another UPS at every rack. Each is tried on a changed copy of the
//! plan, laid out and wired anew; the plan stays as it is until somebody takes the answer over. Guesses nothing; what is broken is judged by
//! whoever asks.

mod change;

use std::collections::BTreeSet;
use std::sync::Arc;

use self::change::{HigherVoltage, MoreSupplies};
use super::ask::{Asked, free_places};
use super::day_card::printers;
use super::outage::{Failure, bad_day};
use super::wire::{Wired, wired};
use crate::layout::Layout;
use crate::plan::{Edit, Id, Library, Plan};
use crate::stock::Stock;
use crate::units::Watts;

/// Said where a change is refused.
const NOT_WHOLE: &str = "The changed plan would not be a whole one; nothing can be said.";

/// What is asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Question {
    /// Supplies that take any voltage hang on circuits of the higher one.
    HigherVoltage,
    /// One circuit more.
    OneCircuit,
    /// Another UPS at every rack.
    MoreSupplies,
}

impl Question {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::HigherVoltage, Self::OneCircuit, Self::MoreSupplies];

    /// The question in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::HigherVoltage => "The higher voltage for supplies that take any",
            Self::OneCircuit => "One more circuit",
            Self::MoreSupplies => "Another UPS at every rack",
        }
    }

    /// Its name in reports.
    pub fn id(self) -> &'static str {
        match self {
            Self::HigherVoltage => "higher-voltage",
            Self::OneCircuit => "one-circuit",
            Self::MoreSupplies => "more-ups",
        }
    }
}

/// The figures of a phase once it is wired.
#[derive(Clone, Debug, PartialEq)]
pub struct Figures {
    /// Printers of the phase.
    pub printers: usize,
    /// Those with power.
    pub powered: usize,
    /// Those on a UPS.
    pub on_ups: usize,
    /// Circuits that something hangs on.
    pub circuits: usize,
    /// Amperes on the fullest leg while everything runs; what is on no known leg is spread.
    pub running_a: f64,
    /// The same while everything heats at once.
    pub peak_a: f64,
    /// Difference between the fullest leg and the emptiest while running, A; `None` where there is one leg, or a leg is not known.
    pub unbalance_a: Option<f64>,
    /// The circuit nearest to a limit of its breaker, and how far that is used.
    pub fullest_circuit: Option<(Id, f64)>,
    /// UPS of the phase.
    pub supplies: usize,
    /// The UPS nearest to its rated watts while its printers run, and how far they are used.
    pub fullest_ups: Option<(Id, f64)>,
    /// Minutes until the first battery with printers on it is empty; `None` where one is not known.
    pub ride_min: Option<f64>,
    /// What is broken and must be fixed.
    pub stops: BTreeSet<String>,
}

/// What would be.
#[derive(Clone, Debug)]
pub struct Answer {
    /// What was asked.
    pub question: Question,
    /// The phase wired as it is; none where the question has no sense here.
    pub before: Option<Figures>,
    /// The phase wired with the change.
    pub after: Option<Figures>,
    /// The answer in sentences.
    pub words: Vec<String>,
    /// The change with its wiring as one step, where it may be taken over.
    pub edit: Option<Edit>,
}

impl Answer {
    fn without_figures(question: Question, words: String) -> Self {
        Self {
            question,
            before: None,
            after: None,
            words: vec![words],
            edit: None,
        }
    }
}

/// Who asks, and about what.
#[expect(
    missing_debug_implementations,
    reason = "holds functions, which have nothing to show"
)]
pub struct Asking<'a> {
    /// Stock and limits.
    pub library: &'a Library,
    /// The phase.
    pub layout: &'a Layout,
    /// What is broken in a layout and must be fixed.
    pub stops: &'a dyn Fn(&Layout) -> BTreeSet<String>,
    /// Most steps of each search.
    pub steps: u64,
    /// True where the searches are to end with the best they have.
    pub stop: &'a dyn Fn() -> bool,
}

/// A plan wired.
struct Tried {
    figures: Figures,
    wired: Wired,
    layout: Layout,
    /// The same with the wiring taken over.
    done: Layout,
    /// The wiring as an edit.
    edit: Option<Edit>,
}

impl Asking<'_> {
    /// The answer to a question.
    pub fn answer(&self, question: Question) -> Answer {
        match question {
            Question::HigherVoltage => self.higher_voltage(),
            Question::OneCircuit => self.one_circuit(),
            Question::MoreSupplies => self.more_supplies(),
        }
    }

    fn stock(&self) -> &Stock {
        &self.library.stock
    }

    /// A plan laid out, what was asked of it changed, and wired.
    fn tried(&self, plan: &Arc<Plan>, ask: impl FnOnce(&Layout) -> Asked) -> Option<Tried> {
        let layout = self.layout.step(self.library, plan);
        let wired = wired(&layout, ask(&layout), false, self.steps, self.stop);
        let edit = wired.edit(&layout);
        let after = match &edit {
            None => Arc::clone(plan),
            Some(edit) => Arc::new(plan.edited(self.stock(), edit).ok()?),
        };
        let done = layout.step(self.library, &after);
        Some(Tried {
            figures: self.figures(&done),
            wired,
            layout,
            done,
            edit,
        })
    }

    fn figures(&self, layout: &Layout) -> Figures {
        let power = layout.power();
        let printers = layout.printers().count();
        let drawn = layout.drawn_from(None);
        let busy = |load: &&crate::layout::CircuitLoad| {
            !load.printers.is_empty() || !load.supplies.is_empty() || !load.others.is_empty()
        };
        Figures {
            printers,
            powered: printers - power.unpowered.len(),
            on_ups: power.supplies.values().map(|ups| ups.printers.len()).sum(),
            circuits: power.circuits.values().filter(busy).count(),
            running_a: drawn.running.at_least(),
            peak_a: drawn.peak.at_least(),
            unbalance_a: drawn.running.unbalance(),
            fullest_circuit: fullest_circuit(layout),
            supplies: power.supplies.len(),
            fullest_ups: fullest_ups(layout),
            ride_min: bad_day(layout, Failure::Supply).shortest(),
            stops: (self.stops)(layout),
        }
    }

    fn higher_voltage(&self) -> Answer {
        let question = Question::HigherVoltage;
        let plan = self.layout.plan();
        let system = plan.head().system;
        let Some(volts) = system.higher_volts() else {
            let words = format!(
                "A supply of {} has no higher voltage for one machine: there is nothing to gain.",
                system.words()
            );
            return Answer::without_figures(question, words);
        };
        let change = HigherVoltage::of(self.layout, volts);
        if change.is_none() {
            return Answer::without_figures(question, change.why_none(self.layout));
        }
        let Some(before) = self.tried(plan, Asked::of) else {
            return Answer::without_figures(question, NOT_WHOLE.to_owned());
        };
        // The way that powers most, then the one with fewer circuits.
        let worth = |tried: &Tried| {
            let figures = &tried.figures;
            (figures.powered, std::cmp::Reverse(figures.circuits))
        };
        let tried = change.ways().into_iter().filter_map(|way| {
            let plan = way.edited(self.layout, self.stock())?;
            let tried = self.tried(&plan, |layout| way.asked(layout))?;
            let gains = way.is_for_present_circuits() || worth(&tried) > worth(&before);
            gains.then_some((way, tried))
        });
        let Some((way, after)) = tried.max_by_key(|(_, tried)| worth(tried)) else {
            let words = format!(
                "Nothing is gained: circuits of {volts:.0} V for the printers that wait would power no more of them and be no fewer."
            );
            return Answer::without_figures(question, words);
        };
        let allowed = plan.supply().higher_voltage;
        let mut words = way.words(self.layout);
        if !allowed {
            words.push("Nobody has allowed it yet: the owner ticks that on the plan's card under Supply, and an electrician decides.".to_owned());
        }
        answered(question, (Some(before), Some(after)), words, |tried| {
            allowed.then(|| {
                let name = format!("Higher voltage in phase {}", self.layout.phase());
                several(name, way.edit(self.layout), tried.edit.clone())
            })
        })
    }

    fn one_circuit(&self) -> Answer {
        let question = Question::OneCircuit;
        let plan = self.layout.plan();
        let asked = Asked::of(self.layout);
        let before = self.tried(plan, |layout| Asked::of(layout).adding_at_most(None));
        // One class at a time; the one that powers most, then the better balanced.
        let after = asked
            .problem
            .offers
            .keys()
            .filter_map(|class| {
                self.tried(plan, |layout| {
                    Asked::of(layout).adding_at_most(Some(*class))
                })
            })
            .max_by(|a, b| {
                let of = |tried: &Tried| tried.figures.powered;
                let even = |tried: &Tried| -tried.figures.unbalance_a.unwrap_or(f64::INFINITY);
                of(a).cmp(&of(b)).then(even(a).total_cmp(&even(b)))
            });
        let Some(tried) = &after else {
            let words = "No printer is here to hang on it.".to_owned();
            return Answer::without_figures(question, words);
        };
        let added = tried.wired.outcome.added.len();
        let mut words = Vec::new();
        if added == 0 {
            words.push(self.why_no_circuit(tried));
        } else {
            let new = tried.wired.lines(&tried.layout);
            let new = new.iter().filter(|line| !line.existing);
            words.extend(new.map(|line| {
                format!(
                    "{}: {} at {}, for {}.",
                    line.id,
                    line.breaker.shown(),
                    line.volts.shown(),
                    printers(line.printers.len())
                )
            }));
        }
        words.extend(binds_next(tried));
        let name = format!("One more circuit in phase {}", self.layout.phase());
        answered(question, (before, after), words, |tried| {
            let edit = tried.edit.clone().filter(|_| added > 0)?;
            Some(several(name, Vec::new(), Some(edit)))
        })
    }

    /// Why one more circuit would power nothing more.
    fn why_no_circuit(&self, tried: &Tried) -> String {
        if tried.wired.unpowered().is_empty() {
            return "Every printer can have power on the circuits there are: one more would power none.".to_owned();
        }
        match free_places(self.layout) {
            Some(0) => "The panel has no place free for it.".to_owned(),
            _ => "It would power no printer more: something else keeps them without.".to_owned(),
        }
    }

    fn more_supplies(&self) -> Answer {
        let question = Question::MoreSupplies;
        let plan = self.layout.plan();
        let change = match MoreSupplies::of(self.layout) {
            Ok(change) => change,
            Err(why) => return Answer::without_figures(question, why),
        };
        let before = self.tried(plan, Asked::of);
        let after = change
            .edited(self.layout, self.stock())
            .and_then(|plan| self.tried(&plan, Asked::of));
        let mut words = change.words(self.layout);
        if let (Some(before), Some(after)) = (&before, &after) {
            words.push(change.at_racks(&before.done, &after.done));
        }
        answered(question, (before, after), words, |tried| {
            let name = format!("Another UPS at every rack of phase {}", self.layout.phase());
            Some(several(name, change.edit(), tried.edit.clone()))
        })
    }
}

/// Before and after in words.
fn answered(
    question: Question,
    (before, after): (Option<Tried>, Option<Tried>),
    mut words: Vec<String>,
    edit: impl FnOnce(&Tried) -> Option<Edit>,
) -> Answer {
    let (Some(before), Some(after)) = (before, after) else {
        return Answer::without_figures(question, NOT_WHOLE.to_owned());
    };
    let told = compared(&before.figures, &after.figures);
    if told.is_empty() {
        words.push("Nothing changes.".to_owned());
    }
    words.extend(told);
    let fewer = after.figures.powered < before.figures.powered;
    if fewer {
        words.extend(
            without(&after)
                .into_iter()
                .map(|w| format!("Without power: {w}.")),
        );
        words.push(
            "It is not offered to be taken over, as fewer printers would have power.".to_owned(),
        );
    }
    let edit = edit(&after).filter(|_| !fewer);
    if edit.is_some() {
        words.push(
            "Before and after are told with the phase wired anew; taking it over wires it so."
                .to_owned(),
        );
    }
    Answer {
        question,
        before: Some(before.figures),
        after: Some(after.figures),
        words,
        edit,
    }
}

/// A change and its wiring as one step.
fn several(name: String, change: Vec<Edit>, wiring: Option<Edit>) -> Edit {
    // A step holds no list of steps.
    let flat = |edit: Edit| {
        if let Edit::Several(_, edits) = edit {
            edits
        } else {
            vec![edit]
        }
    };
    let edits = change.into_iter().chain(wiring).flat_map(flat);
    Edit::Several(name, edits.collect())
}

/// The circuit whose running or peak current is nearest to what its breaker may carry; circuits with a figure missing are left out.
fn fullest_circuit(layout: &Layout) -> Option<(Id, f64)> {
    let rows = super::schedule::schedule(layout);
    let shares = rows.iter().filter_map(|row| {
        let share = row.running_share?.max(row.peak_share?);
        Some((row.id, share))
    });
    shares.max_by(|a, b| a.1.total_cmp(&b.1))
}

/// The UPS whose rated watts are used most.
fn fullest_ups(layout: &Layout) -> Option<(Id, f64)> {
    let shares = layout.power().supplies.iter().filter_map(|(id, ups)| {
        let rated = layout.ups_kind(*id)?.watts.map(Watts::value)?;
        let running = ups.load.running_w.whole()?;
        (rated > 0.0).then(|| (*id, running / rated))
    });
    shares.max_by(|a, b| a.1.total_cmp(&b.1))
}

/// What keeps more printers from power after the change, or is nearest to its limit.
fn binds_next(tried: &Tried) -> Vec<String> {
    if !tried.wired.unpowered().is_empty() {
        return without(tried)
            .into_iter()
            .map(|words| format!("Next binds: {words}."))
            .collect();
    }
    let circuit = tried.figures.fullest_circuit;
    circuit
        .map(|(id, share)| {
            format!(
                "Next binds {id}, at {:.0} % of what its breaker may carry.",
                share * 100.0
            )
        })
        .into_iter()
        .collect()
}

/// What stays without power after the change and why, in words.
fn without(tried: &Tried) -> Vec<String> {
    let mut said = tried.wired.without(&tried.layout);
    said.extend(tried.wired.out_of_reach());
    said
}

/// What differs, before and after.
fn compared(before: &Figures, after: &Figures) -> Vec<String> {
    let mut told = Vec::new();
    let mut counts = |what: &str, was: usize, is: usize, of: &str| {
        if was != is {
            told.push(format!("{what}: {was} → {is}{of}."));
        }
    };
    let of = format!(" of {}", after.printers);
    counts("Printers with power", before.powered, after.powered, &of);
    counts("Printers on a UPS", before.on_ups, after.on_ups, &of);
    counts("Circuits in use", before.circuits, after.circuits, "");
    counts("UPS", before.supplies, after.supplies, "");
    let mut figures = |what: &str, was: Option<f64>, is: Option<f64>, unit: &str| {
        let shown =
            |v: Option<f64>| v.map_or_else(|| "not known".to_owned(), |v| format!("{v:.1}"));
        let (was, is) = (shown(was), shown(is));
        if was != is {
            told.push(format!("{what}: {was} → {is} {unit}."));
        }
    };
    let leg = (before.running_a, after.running_a);
    figures("Fullest leg, running", Some(leg.0), Some(leg.1), "A");
    let leg = (before.peak_a, after.peak_a);
    figures("Fullest leg, all heating", Some(leg.0), Some(leg.1), "A");
    figures(
        "Difference of the legs",
        before.unbalance_a,
        after.unbalance_a,
        "A",
    );
    figures(
        "First battery empty after",
        before.ride_min,
        after.ride_min,
        "min",
    );
    let share = |one: Option<(Id, f64)>| {
        one.map_or_else(
            || "not known".to_owned(),
            |(id, share)| format!("{id} {:.0} %", share * 100.0),
        )
    };
    let mut shares = |what: &str, was, is| {
        let (was, is) = (share(was), share(is));
        if was != is {
            told.push(format!("{what}: {was} → {is}."));
        }
    };
    shares(
        "Circuit nearest to its limit",
        before.fullest_circuit,
        after.fullest_circuit,
    );
    shares(
        "UPS nearest to its rated watts",
        before.fullest_ups,
        after.fullest_ups,
    );
    told.extend(findings(
        "No longer broken",
        before.stops.difference(&after.stops),
    ));
    told.extend(findings(
        "Broken by it",
        after.stops.difference(&before.stops),
    ));
    told
}

/// The names of findings, a few of them.
fn findings<'a>(what: &str, names: impl Iterator<Item = &'a String>) -> Option<String> {
    let names: Vec<&str> = names.map(String::as_str).collect();
    let more = match names.len().saturating_sub(4) {
        0 => String::new(),
        n => format!(" and {n} more"),
    };
    let few: Vec<&str> = names.iter().copied().take(4).collect();
    (!names.is_empty()).then(|| format!("{what}: {}{more}.", few.join(", ")))
}
