//! The sheet: one phase of a plan as a scaled drawing that a contractor can build from.
//!
//! [`compose`] turns a layout into [`Mark`]s in millimetres on paper; [`export`] writes them. Exporters decide nothing, and
//! nothing here judges the plan: the findings come in ready. The date comes in too, so that the same plan gives the same
//! bytes.

mod compose;
mod export;
mod lettering;
mod model;
mod pages;

pub use compose::{Made, floor_sheet};
pub use export::{ExportError, svg};
pub use lettering::{CAPITAL_SHARE, LEAST_LETTERING_MM, broken, shortened, width_mm};
pub use model::{Anchor, Dash, Fill, Ink, Mark, Pen, Sheet, Text, Weight};
pub use pages::{LABEL_MM, Page, cards_and_labels, cards_and_labels_as_svg};
