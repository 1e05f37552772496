//! Shelf opening: every printer, with its spool and lid, must go into the opening it is put in.

use super::again::{Each, Run};
use super::{Check, Finding, Severity, Standing, anything};
use crate::layout::{Layout, Level, Part, PlacedPrinter, over};
use crate::plan::Id;
use crate::stock::PrinterKind;
use crate::units::Length;

pub(super) const CHECK: Check = Check {
    id: "shelf-opening",
    title: "Printers go into their openings",
    worst: Severity::MustFix,
    what: "The envelope in use of every printer, on its pad where it has one, against the height, clear width and depth of the opening it stands in.",
    why: "A printer whose spool, lid or bed hits the shelf above cannot run, and the racks are bought by then.",
    how: "Height from board to the underside of the next, or to the ceiling, against printer and pad, the pad at its full thickness until that was measured under a printer; the widths of all printers of a level against the clear width between the posts, each against its share of it; depth against the board.",
    blind: "Cross bars and braces of the rack, cables bent sharply, and how a printer is got in.",
    caution: "",
    in_fill: true,
    limits: &[],
    run: Run::Each(Each::of_racks(on_rack)),
    concerns: anything,
};

/// The ways in which a level can be too small.
#[derive(Clone, Copy)]
enum Measure {
    Height,
    Width,
    /// The width of one place.
    Share,
    Depth,
}

impl Measure {
    fn word(self) -> &'static str {
        match self {
            Self::Height => "high",
            Self::Width | Self::Share => "wide",
            Self::Depth => "deep",
        }
    }

    /// What is too small.
    fn of(self) -> &'static str {
        match self {
            Self::Height | Self::Width | Self::Depth => "the opening",
            Self::Share => "its place",
        }
    }

    /// Tells the findings of one level apart.
    fn facet(self) -> &'static str {
        match self {
            Self::Share => "place",
            Self::Height | Self::Width | Self::Depth => self.word(),
        }
    }
}

fn on_rack(layout: &Layout, part: &Part) -> Vec<Finding> {
    let levels = part.rack.iter().flat_map(|rack| &rack.levels);
    levels
        .flat_map(|level| on_level(layout, part, level))
        .collect()
}

/// The printers of one level: one finding for each way it is too small, else one for the tightest height.
fn on_level(layout: &Layout, part: &Part, level: &Level) -> Vec<Finding> {
    let printers: Vec<(&PlacedPrinter, &PrinterKind)> = part
        .slots()
        .iter()
        .filter(|s| s.name.level == level.number)
        .filter_map(|s| s.printer.as_ref())
        .filter_map(|p| Some((p, layout.stock().printers.get(&p.kind)?)))
        .collect();
    let Some(first) = printers.first() else {
        return Vec::new();
    };
    let tallest = printers
        .iter()
        .max_by_key(|(_, k)| k.height)
        .unwrap_or(first);
    let deepest = printers
        .iter()
        .max_by_key(|(_, k)| k.depth)
        .unwrap_or(first);
    let widest = printers
        .iter()
        .max_by_key(|(_, k)| k.width)
        .unwrap_or(first);
    let opening = level.opening_under(layout.plan().room().ceiling);
    let high = level.lift + tallest.1.height;
    let widths: Length = printers.iter().map(|(_, k)| k.width).sum();
    let share = level.share();
    let measures = [
        (Measure::Height, high, opening, vec![tallest.0.id]),
        (
            Measure::Width,
            widths,
            level.clear_width,
            printers.iter().map(|(p, _)| p.id).collect(),
        ),
        (Measure::Share, widest.1.width, share, vec![widest.0.id]),
        (
            Measure::Depth,
            deepest.1.depth,
            level.depth,
            vec![deepest.0.id],
        ),
    ];
    // Where all together are too wide, that says it already.
    let too_wide = over(widths, level.clear_width);
    let findings: Vec<Finding> = measures
        .iter()
        .filter(|(measure, ..)| !(too_wide && matches!(measure, Measure::Share)))
        .filter(|(_, needs, has, _)| over(*needs, *has))
        .map(|(measure, needs, has, who)| {
            broken(layout, part, level, (*measure, *needs, *has, who))
        })
        .collect();
    if findings.is_empty() {
        let unmeasured = printers.iter().find_map(|(p, k)| {
            let missing = k.measured.as_ref()?.missing();
            (!missing.is_empty()).then(|| (p.id, missing.join(", ")))
        });
        let met = met(layout, part, level, high, opening);
        return vec![unmeasured.map_or(met.clone(), |(id, missing)| unknown(met, id, &missing))];
    }
    findings
}

fn broken(
    layout: &Layout,
    part: &Part,
    level: &Level,
    (measure, needs, has, who): (Measure, Length, Length, &[Id]),
) -> Finding {
    let practice = layout.plan().practice();
    let names: Vec<String> = who.iter().map(ToString::to_string).collect();
    let needs_words = if who.len() > 1 {
        "need together"
    } else {
        "needs"
    };
    let text = format!(
        "{} on level {} of {} {needs_words} {}{}; {} is {} {}.",
        names.join(", "),
        level.number,
        part.id,
        needs.shown(practice),
        on_pad(layout, level, measure),
        measure.of(),
        has.shown(practice),
        measure.word()
    );
    let items = std::iter::once(part.id)
        .chain(who.iter().copied())
        .collect();
    Finding::new(CHECK.id, Severity::MustFix, Standing::Broken, items, text)
        .facet(format!("level {} {}", level.number, measure.facet()))
        .figure(Some(needs.mm()), Some(has.mm()), "mm", SOURCE)
        .at(part.spot, level.top.mm())
}

/// How much of the height is the pad's.
fn on_pad(layout: &Layout, level: &Level, measure: Measure) -> String {
    match measure {
        Measure::Height if level.lift > Length::ZERO => {
            let lift = level.lift.shown(layout.plan().practice());
            format!(" with {lift} of pad")
        }
        Measure::Height | Measure::Width | Measure::Share | Measure::Depth => String::new(),
    }
}

const SOURCE: &str = "the rack's own opening";

fn met(layout: &Layout, part: &Part, level: &Level, needs: Length, has: Length) -> Finding {
    let practice = layout.plan().practice();
    let text = format!(
        "The printers on level {} of {} have {} to spare in height.",
        level.number,
        part.id,
        (has - needs).shown(practice)
    );
    Finding::new(
        CHECK.id,
        Severity::MustFix,
        Standing::Met,
        vec![part.id],
        text,
    )
    .figure(Some(needs.mm()), Some(has.mm()), "mm", SOURCE)
    .at(part.spot, level.top.mm())
}

/// What would be met, but for what nobody measured of a printer.
fn unknown(met: Finding, printer: Id, missing: &str) -> Finding {
    let text = format!(
        "{} How much room {printer} needs is not all measured: {missing}.",
        met.text
    );
    Finding {
        standing: Standing::Unknown,
        text,
        ..met
    }
}
