//! A list of boxes that finds those near a box without asking each.

use super::Bounds;

/// A box wider than this many times the median is kept apart: one beam across a hall must not make every search walk it.
const LONG: f64 = 4.0;

/// Boxes in the order of their left sides. Whoever searches gets the places they had in the list that was given.
#[derive(Clone, Debug, Default)]
pub struct BoxList {
    /// By left side; none wider than `widest`.
    short: Vec<(Bounds, usize)>,
    widest: f64,
    long: Vec<(Bounds, usize)>,
}

impl BoxList {
    /// The list of some boxes.
    pub fn new(boxes: impl IntoIterator<Item = Bounds>) -> Self {
        let all: Vec<(Bounds, usize)> = boxes.into_iter().zip(0..).collect();
        let mut widths: Vec<f64> = all.iter().map(|(b, _)| b.size().x).collect();
        widths.sort_by(f64::total_cmp);
        let most = widths.get(widths.len() / 2).map_or(0.0, |m| m * LONG);
        let (mut short, long): (Vec<_>, Vec<_>) =
            all.into_iter().partition(|(b, _)| b.size().x <= most);
        short.sort_by(|(a, _), (b, _)| a.low.x.total_cmp(&b.low.x));
        let widest = short.iter().map(|(b, _)| b.size().x).fold(0.0, f64::max);
        Self {
            short,
            widest,
            long,
        }
    }

    /// The places of all boxes whose gap to the given one is at most `gap_mm`, in order.
    ///
    /// ```
    /// use aislewright::geometry::{Bounds, BoxList, Point};
    /// let at = |x: f64| Bounds::of(&[Point::new(x, 0.0), Point::new(x + 10.0, 10.0)]).unwrap();
    /// let list = BoxList::new([at(100.0), at(0.0), at(12.0)]);
    /// assert_eq!(list.near(&at(0.0), 2.0), [1, 2]);
    /// assert_eq!(list.near(&at(0.0), 1.9), [1]);
    /// ```
    pub fn near(&self, to: &Bounds, gap_mm: f64) -> Vec<usize> {
        // A hair more than asked, so that rounding passes over nothing.
        let reach = gap_mm + 1e-6;
        let from = to.low.x - reach - self.widest;
        let start = self.short.partition_point(|(b, _)| b.low.x < from);
        let within = self.short.iter().skip(start);
        let within = within.take_while(|(b, _)| b.low.x <= to.high.x + reach);
        let mut found: Vec<usize> = within
            .chain(&self.long)
            .filter(|(b, _)| b.gap(to) <= gap_mm)
            .map(|(_, place)| *place)
            .collect();
        found.sort_unstable();
        found
    }
}
