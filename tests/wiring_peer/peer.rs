//! The same question as a mixed-integer programme for a general solver (`microlp`): one variable for each load at each
//! outlet and on each added circuit. Shares nothing with the program but the problem's own types.

use std::time::Duration;

use aislewright::wiring::problem::{Amps, Problem};
use microlp::{
    ComparisonOp, LinearExpr, OptimizationDirection, Solution, SolutionStatus, SolveOptions,
    SolveOutcome, Variable,
};

/// What the general solver found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Counts {
    /// Pinned loads with power.
    pub(crate) pinned: usize,
    /// All loads with power.
    pub(crate) powered: usize,
    /// Circuits added.
    pub(crate) added: usize,
    /// Whether the solver calls it optimal.
    pub(crate) proved: bool,
}

/// One variable: a load at an outlet, or on an added circuit.
struct Plug {
    load: usize,
    outlet: Option<usize>,
    added: Option<usize>,
    var: Variable,
}

struct Model {
    problem: microlp::Problem,
    plugs: Vec<Plug>,
    /// Added circuits with their class.
    added: Vec<(u8, Variable)>,
}

/// Solves it; at most so many circuits are added for each class. `None` where the solver found nothing in time or failed.
pub(crate) fn optimum(
    problem: &Problem,
    most_added: usize,
    limit: Option<Duration>,
) -> Option<Counts> {
    let model = model(problem, most_added);
    let mut options = SolveOptions::default();
    options.time_limit = limit;
    match model.problem.solve_with(options).ok()? {
        SolveOutcome::Solution(solution) => counted(problem, &model, &solution),
        SolveOutcome::Interrupted(_) => None,
    }
}

/// Pinned loads before loose ones before circuits, in one sum.
fn model(problem: &Problem, most_added: usize) -> Model {
    let mut milp = microlp::Problem::new(OptimizationDirection::Maximize);
    let unit = problem.loads.len() as f64 + 1.0;
    let mut plugs = Vec::new();
    let mut added = Vec::new();
    for (class, offer) in &problem.offers {
        let most = offer
            .most
            .map_or(most_added, |m| most_added.min(m as usize));
        for _ in 0..most {
            added.push((*class, milp.add_binary_var(-1.0)));
        }
    }
    for (load, l) in problem.loads.iter().enumerate() {
        let worth = if l.pinned.is_some() {
            unit * unit
        } else {
            unit
        };
        for reach in &l.reach {
            let outlet = reach.outlet;
            let circuit = problem.outlets[outlet].circuit;
            if problem.circuits[circuit].class == l.class
                && l.pinned.is_none_or(|pin| pin == outlet)
            {
                let var = milp.add_binary_var(worth);
                plugs.push(Plug {
                    load,
                    outlet: Some(outlet),
                    added: None,
                    var,
                });
            }
        }
        for (k, (class, _)) in added.iter().enumerate() {
            if *class == l.class && l.new_allowed && l.pinned.is_none() {
                let var = milp.add_binary_var(worth);
                plugs.push(Plug {
                    load,
                    outlet: None,
                    added: Some(k),
                    var,
                });
            }
        }
    }
    let mut model = Model {
        problem: milp,
        plugs,
        added,
    };
    constrain(problem, &mut model);
    model
}

fn constrain(problem: &Problem, model: &mut Model) {
    let Model {
        problem: milp,
        plugs,
        added,
    } = model;
    let sum = |chosen: &dyn Fn(&Plug) -> bool, weight: &dyn Fn(&Plug) -> f64| {
        let mut sum = LinearExpr::empty();
        for plug in plugs.iter().filter(|p| chosen(p)) {
            sum.add(plug.var, weight(plug));
        }
        sum
    };
    let currents: [fn(Amps) -> f64; 2] = [
        |a| f64::from(a.running_ma) / 100.0,
        |a| f64::from(a.peak_ma) / 100.0,
    ];
    for load in 0..problem.loads.len() {
        milp.add_constraint(sum(&|p| p.load == load, &|_| 1.0), ComparisonOp::Le, 1.0);
    }
    for (k, outlet) in problem.outlets.iter().enumerate() {
        let all = sum(&|p| p.outlet == Some(k), &|_| 1.0);
        milp.add_constraint(all, ComparisonOp::Le, f64::from(outlet.receptacles));
    }
    for (k, circuit) in problem.circuits.iter().enumerate() {
        for current in currents {
            let all = sum(
                &|p| p.outlet.is_some_and(|o| problem.outlets[o].circuit == k),
                &|p| current(problem.loads[p.load].draw),
            );
            let free = (current(circuit.limit) - current(circuit.taken)).max(0.0);
            milp.add_constraint(all, ComparisonOp::Le, free);
        }
    }
    for (k, (class, open)) in added.iter().enumerate() {
        let offer = &problem.offers[class];
        for current in currents {
            let mut all = sum(&|p| p.added == Some(k), &|p| {
                current(problem.loads[p.load].draw)
            });
            all.add(*open, -current(offer.limit));
            milp.add_constraint(all, ComparisonOp::Le, 0.0);
        }
        let mut all = sum(&|p| p.added == Some(k), &|_| 1.0);
        all.add(*open, -f64::from(offer.receptacles));
        milp.add_constraint(all, ComparisonOp::Le, 0.0);
        // Alike circuits are opened in order.
        if let Some((before, first)) = k.checked_sub(1).and_then(|b| added.get(b))
            && before == class
        {
            milp.add_constraint([(*open, 1.0), (*first, -1.0)], ComparisonOp::Le, 0.0);
        }
    }
}

/// The counts of a solution, each load counted once and every current held against its limit in whole numbers.
fn counted(problem: &Problem, model: &Model, solution: &Solution) -> Option<Counts> {
    let is_one = |var: Variable| solution.var_value(var) > 0.5;
    let chosen: Vec<&Plug> = model.plugs.iter().filter(|p| is_one(p.var)).collect();
    let mut running = vec![0_u64; problem.circuits.len()];
    let mut running_added = vec![0_u64; model.added.len()];
    for plug in &chosen {
        let draw = u64::from(problem.loads[plug.load].draw.running_ma);
        if let Some(outlet) = plug.outlet {
            running[problem.outlets[outlet].circuit] += draw;
        }
        if let Some(k) = plug.added {
            running_added[k] += draw;
        }
    }
    let holds = running
        .iter()
        .zip(&problem.circuits)
        .all(|(r, c)| *r <= u64::from(c.free().running_ma))
        && running_added
            .iter()
            .zip(&model.added)
            .all(|(r, (class, _))| *r <= u64::from(problem.offers[class].limit.running_ma));
    holds.then(|| Counts {
        pinned: chosen
            .iter()
            .filter(|p| problem.loads[p.load].pinned.is_some())
            .count(),
        powered: chosen.len(),
        added: model.added.iter().filter(|(_, v)| is_one(*v)).count(),
        proved: solution.status() == SolutionStatus::Optimal,
    })
}
