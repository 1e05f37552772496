//! The data sheet figures of kinds, editable for one plan: a figure that is changed makes the kind the plan's own.

use crate::editor::panels::card::form::Form;
use crate::plan::{Edit, OwnKind};
use crate::stock::{CoolingKind, FigureOrigin, KindId, PrinterKind, UpsKind};
use crate::units::{CubicMetresPerHour, Kelvins, Ratio, VoltAmps, Watts};

/// A figure that may be missing, with its unit: text to value.
macro_rules! figure {
    ($form:expr, $label:expr, $kind:expr, $id:expr, $own:ident, $field:ident: $type:ty, $unit:expr) => {{
        let (kind, id) = ($kind, $id);
        let value = kind.$field.map(|v| v.shown()).unwrap_or_default();
        $form.text($label, value, |typed| {
            let mut kind = kind.clone();
            kind.$field = if typed.is_empty() {
                None
            } else {
                let with_unit = format!("{typed} {}", $unit);
                let read = <$type>::parse(typed)
                    .or_else(|error| <$type>::parse(&with_unit).map_err(|_second| error));
                Some(read.map_err(|e| e.to_string())?)
            };
            Ok(Edit::PutKind(id.clone(), Box::new(OwnKind::$own(kind))))
        });
    }};
}

/// Power and cord of a printer kind.
pub(super) fn printer(form: &mut Form<'_, '_>, id: &KindId, kind: &PrinterKind) {
    form.ui.add_space(4.0);
    form.ui.weak(format!(
        "Figures of {} ({})",
        kind.name,
        kind.figures.words()
    ));
    figure!(form, "running", kind, id, Printer, running: Watts, "W");
    figure!(form, "peak", kind, id, Printer, peak: Watts, "W");
    figure!(form, "standby", kind, id, Printer, standby: Watts, "W");
    figure!(form, "power factor", kind, id, Printer, power_factor: Ratio, "");
    let own = |change: &dyn Fn(&mut PrinterKind)| {
        let mut kind = kind.clone();
        change(&mut kind);
        Edit::PutKind(id.clone(), Box::new(OwnKind::Printer(kind)))
    };
    let origins = [
        FigureOrigin::DataSheet,
        FigureOrigin::Meter,
        FigureOrigin::Guess,
    ]
    .map(|o| (o, o.words().to_owned()));
    form.choice("figures from", &kind.figures, &origins, |origin| {
        Some(own(&|k| k.figures = origin))
    });
    form.maybe_length("mains cord", kind.cord, |cord| own(&|k| k.cord = cord));
    form.length("envelope width", kind.width, |v| own(&|k| k.width = v));
    form.length("envelope depth", kind.depth, |v| own(&|k| k.depth = v));
    form.length("envelope height", kind.height, |v| own(&|k| k.height = v));
}

/// Rating of a UPS kind.
pub(super) fn ups(form: &mut Form<'_, '_>, id: &KindId, kind: &UpsKind) {
    form.ui.add_space(4.0);
    form.ui.weak(format!("Figures of {}", kind.name));
    figure!(form, "rated watts", kind, id, Ups, watts: Watts, "W");
    figure!(form, "rated volt-amperes", kind, id, Ups, volt_amperes: VoltAmps, "VA");
    figure!(form, "efficiency", kind, id, Ups, efficiency: Ratio, "");
    figure!(form, "recharge", kind, id, Ups, recharge: Watts, "W");
    let own = |change: &dyn Fn(&mut UpsKind)| {
        let mut kind = kind.clone();
        change(&mut kind);
        Edit::PutKind(id.clone(), Box::new(OwnKind::Ups(kind)))
    };
    form.number("receptacles", kind.receptacles, |n| {
        own(&|k| k.receptacles = n)
    });
    form.maybe_length("mains cord", kind.cord, |cord| own(&|k| k.cord = cord));
}

/// Air of a cooling kind.
pub(super) fn cooling(form: &mut Form<'_, '_>, id: &KindId, kind: &CoolingKind) {
    form.ui.add_space(4.0);
    form.ui.weak(format!("Figures of {}", kind.name));
    figure!(form, "top air flow", kind, id, Cooling, top_flow: CubicMetresPerHour, "m3/h");
    figure!(form, "colder than room", kind, id, Cooling, supply_below_room: Kelvins, "K");
    let own = |change: &dyn Fn(&mut CoolingKind)| {
        let mut kind = kind.clone();
        change(&mut kind);
        Edit::PutKind(id.clone(), Box::new(OwnKind::Cooling(kind)))
    };
    form.text("vane, down", kind.vane_down.shown(), |typed| {
        let angle = crate::units::Angle::parse(typed).map_err(|e| e.to_string())?;
        Ok(own(&|k| k.vane_down = angle))
    });
    form.length("outlet width", kind.outlet_width, |v| {
        own(&|k| k.outlet_width = v)
    });
    form.length("outlet height", kind.outlet_height, |v| {
        own(&|k| k.outlet_height = v)
    });
}
