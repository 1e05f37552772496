//! The sheet, looked at from outside: an independent XML reader for the SVG, an independent renderer for the sizes of its
//! texts, and lengths measured on paper.

mod lengths;
mod lettering;
mod rooms;
mod safe;
mod schedules;
