//! The rows of the punch list: which findings stand in it, in what order, those of one cause together, and how high each was when
//! it was last laid out. Made anew only where what they rest on changed. Draws nothing.

use std::collections::{BTreeMap, BTreeSet};
use std::hash::{DefaultHasher, Hash as _, Hasher as _};
use std::mem;
use std::sync::Arc;

use crate::checks::{CHECKS, Finding, Findings, Severity, Standing};
use crate::editor::shown::Shown;
use crate::plan::Plan;

/// How near two places or two lengths are that count as one, in millimetres: ten times what ways out are measured within.
const ALIKE_MM: f64 = 1.0;

/// Where a finding stands among those of its cause.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Place {
    /// It has a cause of its own, or causes are not told apart.
    Alone,
    /// Before others of its cause, which are folded away or not.
    Lead {
        /// How many stand behind it.
        more: usize,
        /// They are unfolded.
        open: bool,
        /// Number of its cause.
        cause: usize,
    },
    /// Behind the first of its cause.
    Behind,
}

impl Place {
    /// What of it is seen: inset or not, how many stand behind it, unfolded or not.
    fn shape(&self) -> Shape {
        match self {
            Self::Alone => (false, 0, false),
            Self::Lead { more, open, .. } => (false, *more, *open),
            Self::Behind => (true, 0, false),
        }
    }
}

/// One card of the list.
#[derive(Clone, Debug)]
pub(super) struct Row {
    pub(super) finding: Arc<Finding>,
    pub(super) place: Place,
    /// Stands for all that is written on its card: rows of one look are equally high.
    pub(super) look: u64,
}

/// What the rows rest on besides the mends, which only grow while the plan stays.
#[derive(Clone, Debug)]
pub(super) struct Basis {
    plan: Arc<Plan>,
    findings: Arc<Findings>,
    mends: usize,
    read_only: bool,
    /// Keys of findings whose rows are unfolded.
    unfolded: BTreeSet<String>,
    /// The key of the finding whose acceptance is being written.
    accepting: Option<String>,
    show_met: bool,
}

impl Basis {
    pub(super) fn of(
        shown: &Shown<'_>,
        unfolded: &BTreeSet<String>,
        accepting: Option<&String>,
        show_met: bool,
    ) -> Self {
        Self {
            plan: Arc::clone(shown.plan),
            findings: Arc::clone(shown.findings),
            mends: shown.mends.len(),
            read_only: shown.read_only,
            unfolded: unfolded.clone(),
            accepting: accepting.cloned(),
            show_met,
        }
    }

    /// True where a finding that both have looks the same.
    fn shows_alike(&self, other: &Self) -> bool {
        self.mends == other.mends
            && self.read_only == other.read_only
            && self.accepting == other.accepting
            && self.plan.practice() == other.plan.practice()
            && self.plan.accepted() == other.plan.accepted()
    }

    /// True where the rows are the same; plans and findings are told apart by pointer.
    fn same(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.plan, &other.plan)
            && Arc::ptr_eq(&self.findings, &other.findings)
            && self.mends == other.mends
            && self.read_only == other.read_only
            && self.unfolded == other.unfolded
            && self.accepting == other.accepting
            && self.show_met == other.show_met
    }
}

/// The rows of one version of the plan.
#[derive(Debug, Default)]
pub(super) struct Rows {
    basis: Option<Basis>,
    /// What is open, then what is accepted.
    pub(super) open: Vec<Row>,
    /// What is met, where that is shown.
    pub(super) met: Vec<Row>,
    /// The findings of every cause that has more than one.
    pub(super) causes: Vec<Vec<Arc<Finding>>>,
    /// True where nothing is open.
    pub(super) nothing_open: bool,
    /// What the list holds, in words.
    pub(super) counts: String,
    heights: BTreeMap<u64, f32>,
    /// Width of the list and pixels a point, which the heights are for.
    measured_at: (f32, f32),
}

impl Rows {
    /// Brings the rows up to what is shown now.
    pub(super) fn follow(&mut self, shown: &Shown<'_>, basis: Basis) {
        if self.basis.as_ref().is_some_and(|b| b.same(&basis)) {
            return;
        }
        let accepted_is_empty = shown.plan.accepted().is_empty();
        let accepted = |f: &Finding| !accepted_is_empty && f.accepted(shown.plan).is_some();
        let open = sorted(shown, |f| f.standing != Standing::Met && !accepted(f));
        let seen = sorted(shown, accepted);
        self.counts = counts(&open, seen.len());
        self.nothing_open = open.is_empty();
        let alike = self.basis.as_ref().is_some_and(|b| b.shows_alike(&basis));
        // They keep the findings alive by whose addresses they are known.
        let before = (mem::take(&mut self.open), mem::take(&mut self.met));
        let known = before.0.iter().chain(&before.1).filter(|_| alike);
        let making = Making {
            shown,
            basis: &basis,
            known: known
                .map(|row| ((Arc::as_ptr(&row.finding), row.place.shape()), row.look))
                .collect(),
        };
        self.causes.clear();
        for cause in causes(shown, open) {
            self.add_cause(&making, cause);
        }
        self.open.extend(seen.into_iter().map(|f| making.alone(f)));
        if basis.show_met {
            let met = sorted(shown, |f| f.standing == Standing::Met);
            self.met.extend(met.into_iter().map(|f| making.alone(f)));
        }
        self.keep_heights();
        self.basis = Some(basis);
    }

    fn add_cause(&mut self, making: &Making<'_>, cause: Vec<Arc<Finding>>) {
        let (Some(first), more) = (cause.first(), cause.len().saturating_sub(1)) else {
            return;
        };
        if more == 0 {
            self.open.push(making.alone(Arc::clone(first)));
            return;
        }
        let unfolded = &making.basis.unfolded;
        let open = !unfolded.is_empty() && cause.iter().any(|f| unfolded.contains(&f.key()));
        let place = Place::Lead {
            more,
            open,
            cause: self.causes.len(),
        };
        self.open.push(making.row(Arc::clone(first), place));
        if open {
            let behind = cause.iter().skip(1);
            self.open
                .extend(behind.map(|f| making.row(Arc::clone(f), Place::Behind)));
        }
        self.causes.push(cause);
    }

    /// Forgets the heights of what the list no longer holds.
    fn keep_heights(&mut self) {
        let heights = &self.heights;
        let rows = self.open.iter().chain(&self.met);
        let kept = rows.filter_map(|row| Some((row.look, *heights.get(&row.look)?)));
        self.heights = kept.collect();
    }

    /// Forgets all heights where the list has another width, or letters another size.
    pub(super) fn measure_at(&mut self, width: f32, pixels_per_point: f32) {
        let at = (width, pixels_per_point);
        if self.measured_at != at {
            self.measured_at = at;
            self.heights.clear();
        }
    }

    /// How high a row of that look was when it was last laid out, in points.
    pub(super) fn height(&self, look: u64) -> Option<f32> {
        self.heights.get(&look).copied()
    }

    /// Remembers how high a row of that look is.
    pub(super) fn set_height(&mut self, look: u64, height: f32) {
        self.heights.insert(look, height);
    }
}

/// What rows are made from.
struct Making<'a> {
    shown: &'a Shown<'a>,
    basis: &'a Basis,
    /// The looks of rows that were there already, where nothing else changed how they look.
    known: BTreeMap<(*const Finding, Shape), u64>,
}

/// What of a place is seen.
type Shape = (bool, usize, bool);

impl Making<'_> {
    fn alone(&self, finding: Arc<Finding>) -> Row {
        self.row(finding, Place::Alone)
    }

    fn row(&self, finding: Arc<Finding>, place: Place) -> Row {
        let known = self.known.get(&(Arc::as_ptr(&finding), place.shape()));
        Row {
            look: known
                .copied()
                .unwrap_or_else(|| self.look(&finding, &place)),
            finding,
            place,
        }
    }

    fn look(&self, finding: &Finding, place: &Place) -> u64 {
        let (shown, basis) = (self.shown, self.basis);
        let mut look = DefaultHasher::new();
        (finding.check, &finding.text, &finding.source).hash(&mut look);
        (finding.severity as u8, finding.standing as u8, finding.unit).hash(&mut look);
        let figures = [finding.measured, finding.limit].map(|f| f.map(f64::to_bits));
        (figures, shown.practice(), place.shape()).hash(&mut look);
        if finding.may_be_mended() && !shown.mends.is_empty() {
            let mend = shown.mends.get(&finding.key());
            mend.map(|mend| &mend.words).hash(&mut look);
        }
        if !shown.plan.accepted().is_empty() {
            let reason = finding.accepted(shown.plan);
            reason.map(ToString::to_string).hash(&mut look);
        }
        let writing = basis.accepting.is_some() && basis.accepting == Some(finding.key());
        (writing, shown.read_only).hash(&mut look);
        look.finish()
    }
}

/// The findings that pass, worst first: must fix, cautions, notes, unknown.
fn sorted(shown: &Shown<'_>, pass: impl Fn(&Finding) -> bool) -> Vec<Arc<Finding>> {
    let all = CHECKS.iter().flat_map(|c| shown.findings.of_check(c.id));
    let mut list: Vec<Arc<Finding>> = all.filter(|f| pass(f)).cloned().collect();
    list.sort_by_key(|f| (f.standing == Standing::Unknown, f.severity));
    list
}

/// What two findings of one cause have alike, and the millimetre of the room, from left to right, that they are found at.
type Bottleneck = (&'static str, Standing, Severity, i64);

/// The findings with those of one cause together, in the place of the first. One that can be mended leads the others.
fn causes(shown: &Shown<'_>, open: Vec<Arc<Finding>>) -> Vec<Vec<Arc<Finding>>> {
    let mut causes: Vec<Vec<Arc<Finding>>> = Vec::new();
    // Those that others may join: near each other also means in one millimetre or in two that touch.
    let mut joinable: BTreeMap<Bottleneck, Vec<usize>> = BTreeMap::new();
    for finding in open {
        let Some(x) = bottleneck_x(&finding) else {
            causes.push(vec![finding]);
            continue;
        };
        let at = |x: i64| (finding.check, finding.standing, finding.severity, x);
        let near = joinable.range(at(x - 1)..=at(x + 1)).flat_map(|(_, c)| c);
        let known = near
            .copied()
            .filter(|k| {
                let first = causes.get(*k).and_then(|cause| cause.first());
                first.is_some_and(|first| same_cause(first, &finding))
            })
            .min();
        if let Some(cause) = known.and_then(|k| causes.get_mut(k)) {
            cause.push(finding);
        } else {
            joinable.entry(at(x)).or_default().push(causes.len());
            causes.push(vec![finding]);
        }
    }
    for cause in causes.iter_mut().filter(|cause| cause.len() > 1) {
        cause.sort_by_cached_key(|f| !shown.mends.contains_key(&f.key()));
    }
    causes
}

/// The millimetre, from left to right, in which a finding lies that may share its cause with others.
#[expect(
    clippy::cast_possible_truncation,
    reason = "rooms are far smaller than 2^53 mm; what is not a number or beyond is brought to an end of the scale"
)]
fn bottleneck_x(finding: &Finding) -> Option<i64> {
    let whole = finding.unit == "mm" && finding.limit.is_some() && finding.measured.is_some();
    let at = finding.at.filter(|_| whole)?;
    Some((at.point.x / ALIKE_MM).floor().max(-1e12).min(1e12) as i64)
}

/// True where two findings are about the same bottleneck: one check finds the same figure at the same place, against the
/// same limit.
fn same_cause(a: &Finding, b: &Finding) -> bool {
    let alike =
        |a: Option<f64>, b: Option<f64>| a.zip(b).is_some_and(|(a, b)| (a - b).abs() <= ALIKE_MM);
    let one_place = a.at.zip(b.at).is_some_and(|(a, b)| {
        a.point.distance(b.point) <= ALIKE_MM && (a.height - b.height).abs() <= ALIKE_MM
    });
    (a.check, a.standing, a.severity, a.unit) == (b.check, b.standing, b.severity, b.unit)
        && a.unit == "mm"
        && one_place
        && alike(a.limit, b.limit)
        && alike(a.measured, b.measured)
}

fn counts(open: &[Arc<Finding>], accepted: usize) -> String {
    let count = |severity, standing| {
        open.iter()
            .filter(|f| f.severity == severity && f.standing == standing)
            .count()
    };
    let plural =
        |n: usize, one: &str, many: &str| format!("{n} {}", if n == 1 { one } else { many });
    let mut words = vec![
        format!("{} must fix", count(Severity::MustFix, Standing::Broken)),
        plural(
            count(Severity::Caution, Standing::Broken),
            "caution",
            "cautions",
        ),
        plural(count(Severity::Note, Standing::Broken), "note", "notes"),
    ];
    let unknown = open
        .iter()
        .filter(|f| f.standing == Standing::Unknown)
        .count();
    if unknown > 0 {
        words.push(format!("{unknown} unknown"));
    }
    if accepted > 0 {
        words.push(format!("{accepted} accepted"));
    }
    words.join(" · ")
}
