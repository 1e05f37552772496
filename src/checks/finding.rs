//! A finding: what one check measured at one place, held against its limit.

use crate::geometry::{Convex, Point};
use crate::plan::{AcceptKey, Edit, Id, Label, Limit, Plan};
use crate::units::{Length, MetresPerSecond};

/// A number of things as a figure.
pub(super) fn counted(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap_or(u32::MAX))
}

/// How much a broken finding weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// The plan cannot be built like this.
    MustFix,
    /// Somebody has to decide; it may be accepted with a reason.
    Caution,
    /// Good to know.
    Note,
}

impl Severity {
    /// The word on screen and in tables.
    pub fn words(self) -> &'static str {
        match self {
            Self::MustFix => "must fix",
            Self::Caution => "caution",
            Self::Note => "note",
        }
    }

    /// The word in JSON.
    pub fn key(self) -> &'static str {
        match self {
            Self::MustFix => "must_fix",
            Self::Caution => "caution",
            Self::Note => "note",
        }
    }
}

/// How the measured value stands to the limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standing {
    /// Over the limit.
    Broken,
    /// A figure is missing, so nobody can say.
    Unknown,
    /// Within the limit.
    Met,
}

impl Standing {
    /// The word on screen, in tables and in JSON.
    pub fn word(self) -> &'static str {
        match self {
            Self::Broken => "broken",
            Self::Unknown => "unknown",
            Self::Met => "met",
        }
    }
}

/// A place to point at: a point of the floor and a height above it in millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// In the plan.
    pub point: Point,
    /// Above the floor.
    pub height: f64,
}

/// The smallest change that removes a finding and adds no must-fix.
#[derive(Clone, Debug, PartialEq)]
pub struct Mend {
    /// What to do, such as "move R3 4 in west".
    pub words: String,
    /// The same as an edit.
    pub edit: Edit,
}

/// What one check measured at one place.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Id of the check.
    pub check: &'static str,
    /// Which of several measures on the same things this is, such as `running` or `wall 2`; empty where there is one.
    pub facet: String,
    /// How much it weighs when broken.
    pub severity: Severity,
    /// How it stands.
    pub standing: Standing,
    /// What it is about; what could be moved comes first.
    pub items: Vec<Id>,
    /// How many of the items, from the first on, are part of its name; the rest may change while it stays the same.
    pub named_by: usize,
    /// The measured value, where there is one.
    pub measured: Option<f64>,
    /// The limit it is held against.
    pub limit: Option<f64>,
    /// Unit of both: `mm`, `m/s`, `A`, `W`, `VA`, `kg`, `MPa`, `kPa`, `Hz`, `lx`, `L/s`, `d`, or `1` for counts and ratios.
    pub unit: &'static str,
    /// Where the limit comes from.
    pub source: String,
    /// Where it is.
    pub at: Option<Place>,
    /// The floor to mark.
    pub region: Option<Convex>,
    /// What is the matter, in one sentence.
    pub text: String,
}

impl Finding {
    /// A finding of a check that is yet to be given its figures.
    pub(super) fn new(
        check: &'static str,
        severity: Severity,
        standing: Standing,
        items: Vec<Id>,
        text: String,
    ) -> Self {
        Self {
            check,
            facet: String::new(),
            severity,
            standing,
            items,
            named_by: 6,
            measured: None,
            limit: None,
            unit: "1",
            source: String::new(),
            at: None,
            region: None,
            text,
        }
    }

    /// With a length in millimetres held against a limit.
    pub(super) fn length(mut self, measured_mm: f64, limit: &Limit<Length>) -> Self {
        self.measured = Some(measured_mm);
        self.limit = Some(limit.value.mm());
        self.unit = "mm";
        self.source = limit.source_words();
        self
    }

    /// With an air speed held against a limit.
    pub(super) fn speed(mut self, measured_m_s: f64, limit: &Limit<MetresPerSecond>) -> Self {
        self.measured = Some(measured_m_s);
        self.limit = Some(limit.value.value());
        self.unit = "m/s";
        self.source = limit.source_words();
        self
    }

    /// With any figure, limit and unit.
    pub(super) fn figure(
        mut self,
        measured: Option<f64>,
        limit: Option<f64>,
        unit: &'static str,
        source: &str,
    ) -> Self {
        self.measured = measured;
        self.limit = limit;
        self.unit = unit;
        source.clone_into(&mut self.source);
        self
    }

    /// Named as one of several measures on the same things.
    pub(super) fn facet(mut self, facet: impl Into<String>) -> Self {
        self.facet = facet.into();
        self
    }

    /// Recognised by its first item alone, whatever else it names.
    pub(super) fn named_by_first(mut self) -> Self {
        self.named_by = 1;
        self
    }

    /// Recognised by its facet alone: there is one such finding, whatever it names.
    pub(super) fn named_by_none(mut self) -> Self {
        self.named_by = 0;
        self
    }

    /// With the place to point at.
    pub(super) fn at(mut self, point: Point, height_mm: f64) -> Self {
        self.at = Some(Place {
            point,
            height: height_mm,
        });
        self
    }

    /// With the floor to mark.
    pub(super) fn marking(mut self, region: &Convex) -> Self {
        self.region = Some(region.clone());
        self
    }

    /// Who decides where what it is about could hurt someone; empty where it could not, or where all is met.
    pub fn caution(&self) -> &'static str {
        let open = self.standing != Standing::Met;
        let check = super::Check::of(self.check).filter(|_| open);
        check.map_or("", |check| check.caution)
    }

    /// True for a broken must-fix.
    pub fn stops(&self) -> bool {
        self.severity == Severity::MustFix && self.standing == Standing::Broken
    }

    /// True for what a mend is looked for: a broken must-fix, or a draught.
    pub fn may_be_mended(&self) -> bool {
        self.stops() || (self.check == super::throw::CHECK.id && self.standing == Standing::Broken)
    }

    /// The name under which it is accepted and recognised again: the check, the measure and the first marks.
    pub fn key(&self) -> String {
        let facet = Some(&self.facet).filter(|f| !f.is_empty());
        let marks = self
            .items
            .iter()
            .take(self.named_by)
            .map(ToString::to_string);
        let words: Vec<String> = std::iter::once(self.check.to_owned())
            .chain(facet.cloned())
            .chain(marks)
            .collect();
        words.join(" ")
    }

    /// The key as the plan keeps it.
    pub fn accept_key(&self) -> AcceptKey {
        AcceptKey(Label::new(&self.key()).unwrap_or_default())
    }

    /// The reason with which it was accepted; a must-fix never is.
    pub fn accepted<'a>(&self, plan: &'a Plan) -> Option<&'a Label> {
        if self.severity == Severity::MustFix || self.standing == Standing::Met {
            return None;
        }
        plan.accepted().get(&self.accept_key())
    }
}
