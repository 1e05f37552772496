//! The air of cooling units over the printers of racks: which of them may stand in the fastest, and how fast it is.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use super::{Fastest, Heights, Jet, Layout, Part, PlacedPrinter};
use crate::plan::Id;

/// The fastest air by unit and printer.
type Known = BTreeMap<(Id, Id), Option<Fastest>>;

/// The air that was asked for: two checks ask for the same. It belongs to one layout, which never
/// changes, so nothing in it goes stale.
#[derive(Clone, Debug, Default)]
pub(super) struct Air(Arc<Mutex<Known>>);

/// A printer before an outlet.
#[derive(Clone, Copy, Debug)]
pub struct Exposed<'a> {
    /// Which.
    pub printer: &'a PlacedPrinter,
    /// The air over it is nowhere faster than that, in m/s.
    pub at_most: f64,
}

fn heights(printer: &PlacedPrinter) -> Heights {
    Heights {
        low: printer.low,
        high: printer.high,
    }
}

impl Layout {
    /// The printers of a rack that do not stand wholly behind an outlet.
    pub fn exposed<'a>(&self, rack: &'a Part, jet: &Jet) -> Vec<Exposed<'a>> {
        let printers = rack.slots().iter().filter_map(|s| s.printer.as_ref());
        printers
            .filter_map(|printer| {
                let at_most = jet.at_most_over(&printer.footprint.convex(), heights(printer))?;
                Some(Exposed { printer, at_most })
            })
            .collect()
    }

    /// The fastest air of a unit over a printer.
    pub fn air_over(&self, unit: Id, jet: &Jet, printer: &PlacedPrinter) -> Option<Fastest> {
        let mut known = self.air.0.lock().unwrap_or_else(PoisonError::into_inner);
        let find = || jet.fastest_over(&printer.footprint.convex(), heights(printer));
        *known.entry((unit, printer.id)).or_insert_with(find)
    }
}
