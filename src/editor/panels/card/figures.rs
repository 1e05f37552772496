//! The data sheet figures of kinds, editable for one plan: a figure that is changed makes the kind the plan's own.

use super::{battery, blow, heat};
use crate::editor::figure::{read_maybe, whole_maybe};
use crate::editor::panels::card::form::{Form, allowed, or_unknown};
use crate::editor::widgets::hint;
use crate::plan::{Edit, OwnKind};
use crate::stock::{
    CameraKind, CoolingKind, FigureOrigin, KindId, LightKind, PrinterKind, Prints, RackKind,
    Support, UpsKind,
};
use crate::units::{
    Amps, Angle, CubicMetresPerHour, Kelvins, Kilograms, Lumens, MetresPerSecond, Ratio, VoltAmps,
    Watts, leakage_shown,
};

/// A figure that may be missing, with its unit: text to value.
macro_rules! figure {
    ($form:expr, $label:expr, $kind:expr, $id:expr, $own:ident, $field:ident: $type:ty, $unit:expr) => {{
        let (kind, id) = ($kind, $id);
        let value = kind.$field.map(|v| v.shown()).unwrap_or_default();
        $form.text($label, value, |typed| {
            let mut kind = kind.clone();
            kind.$field = read_maybe(typed, $unit, <$type>::parse)?;
            Ok(Edit::PutKind(id.clone(), Box::new(OwnKind::$own(kind))))
        });
    }};
}

/// How power figures are come by.
const METERED: &str = "Read them from a plug-in meter over a whole print: running is the mean, peak the most, standby idle. Then choose metered.";

/// The current that leaks to earth, which a printer and a UPS alike may have.
fn leakage(
    form: &mut Form<'_, '_>,
    current: Option<Amps>,
    make: impl FnOnce(Option<Amps>) -> Edit,
) {
    let shown = current.map(leakage_shown).unwrap_or_default();
    form.text("leakage", shown, |typed| {
        read_maybe(typed, "mA", Amps::parse).map(make)
    });
}

/// Power, currents and cord of a printer kind.
pub(super) fn printer(form: &mut Form<'_, '_>, id: &KindId, kind: &PrinterKind) {
    form.ui.add_space(4.0);
    form.ui.weak(format!(
        "Figures of {} ({})",
        kind.name,
        kind.figures.words()
    ));
    hint(form.ui, METERED);
    figure!(form, "running", kind, id, Printer, running: Watts, "W");
    figure!(form, "peak", kind, id, Printer, peak: Watts, "W");
    figure!(form, "standby", kind, id, Printer, standby: Watts, "W");
    let factor = kind.power_factor.map(Ratio::shown).unwrap_or_default();
    let shown = form.shown;
    form.text("power factor", factor, |typed| {
        let mut kind = kind.clone();
        kind.power_factor = heat::percent(typed)?;
        let edit = Edit::PutKind(id.clone(), Box::new(OwnKind::Printer(kind)));
        allowed(shown, &format!("kinds › printers › {id}"), edit)
    });
    let own = |change: &dyn Fn(&mut PrinterKind)| {
        let mut kind = kind.clone();
        change(&mut kind);
        Edit::PutKind(id.clone(), Box::new(OwnKind::Printer(kind)))
    };
    let origins = FigureOrigin::ALL.map(|o| (o, o.words().to_owned()));
    form.choice("figures from", &kind.figures, &origins, |origin| {
        Some(own(&|k| k.figures = origin))
    });
    form.maybe_length("mains cord", kind.cord, |cord| own(&|k| k.cord = cord));
    leakage(form, kind.leakage, |current| own(&|k| k.leakage = current));
    figure!(form, "inrush", kind, id, Printer, inrush: Amps, "A");
    let ranges = [(true, "100 to 240 V"), (false, "its own voltage only")];
    let ranges = or_unknown(ranges.map(|(v, words)| (v, words.to_owned())).into_iter());
    form.choice("auto-ranging", &kind.auto_ranging, &ranges, |v| {
        Some(own(&|k| k.auto_ranging = v))
    });
    let materials: Vec<_> = std::iter::once((None, "not said".to_owned()))
        .chain(Prints::ALL.map(|p| (Some(p), p.words().to_owned())))
        .collect();
    form.choice("this kind prints", &kind.prints, &materials, |prints| {
        Some(own(&|k| k.prints = prints))
    });
    figure!(form, "bears air of", kind, id, Printer, draught: MetresPerSecond, "m/s");
    // An envelope that is typed is no longer the sum of what was measured.
    let envelope = |change: &dyn Fn(&mut PrinterKind)| {
        own(&|k| {
            k.measured = None;
            change(k);
        })
    };
    if let Some(measured) = &kind.measured {
        let missing = measured.missing();
        if !missing.is_empty() {
            let words = format!("Not measured yet: {}.", missing.join(", "));
            hint(form.ui, &words);
        }
    }
    form.length("envelope width", kind.width, |v| envelope(&|k| k.width = v));
    form.length("envelope depth", kind.depth, |v| envelope(&|k| k.depth = v));
    form.length("envelope height", kind.height, |v| {
        envelope(&|k| k.height = v)
    });
}

/// What a rack kind is, apart from its levels and faces, which each rack may have of its own.
pub(super) fn rack(form: &mut Form<'_, '_>, id: &KindId, kind: &RackKind) {
    form.ui.add_space(4.0);
    form.ui.weak(format!("Figures of {}", kind.name));
    let own = |change: &dyn Fn(&mut RackKind)| {
        let mut kind = kind.clone();
        change(&mut kind);
        Edit::PutKind(id.clone(), Box::new(OwnKind::Rack(kind)))
    };
    if form.shown.plan.kinds().racks.contains_key(id) {
        form.text("name in stock", kind.name.clone(), |typed| {
            if typed.is_empty() {
                return Err("a kind needs a name".to_owned());
            }
            Ok(own(&|k| typed.clone_into(&mut k.name)))
        });
    }
    let boards = form.shown.layout.stock().boards.iter();
    let boards: Vec<_> = boards.map(|(id, b)| (id.clone(), b.name.clone())).collect();
    form.choice("boards", &kind.board, &boards, |board| {
        Some(own(&|k| k.board = board.clone()))
    });
    form.length("posts high", kind.height, |v| own(&|k| k.height = v));
    form.length("between posts", kind.clear_width, |v| {
        own(&|k| k.clear_width = v)
    });
    figure!(form, "rated for", kind, id, Rack, rating: Kilograms, "kg");
    figure!(form, "a level rated for", kind, id, Rack, level_rating: Kilograms, "kg");
    figure!(form, "its own mass", kind, id, Rack, mass: Kilograms, "kg");
    form.choice("boards rest on", &kind.support, &supports(), |v| {
        Some(own(&|k| k.support = v))
    });
    let comes = [
        (None, "unknown"),
        (Some(true), "in parts"),
        (Some(false), "in one piece"),
    ]
    .map(|(v, words)| (v, words.to_owned()));
    form.choice("comes", &kind.in_parts, &comes, |v| {
        Some(own(&|k| k.in_parts = v))
    });
    form.faces("closed on", &kind.closed, |faces| {
        Some(own(&|k| k.closed.clone_from(&faces)))
    });
}

/// What boards may rest on.
fn supports() -> Vec<(Option<Support>, String)> {
    let bars = (1..=4).map(|n| {
        let words = match n {
            1 => "ends and a bar between".to_owned(),
            n => format!("ends and {n} bars between"),
        };
        (Some(Support::CrossBars(n)), words)
    });
    [(None, "unknown"), (Some(Support::Ends), "their two ends")]
        .map(|(v, words)| (v, words.to_owned()))
        .into_iter()
        .chain(bars)
        .chain(
            [
                (Some(Support::Panels), "a bar at each end of a place"),
                (Some(Support::Beams), "beams along front and back"),
            ]
            .map(|(v, words)| (v, words.to_owned())),
        )
        .collect()
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
    figure!(form, "its mass", kind, id, Ups, mass: Kilograms, "kg");
    leakage(form, kind.leakage, |current| own(&|k| k.leakage = current));
    battery::battery(form, id, kind);
}

/// Capacity and air of a cooling kind.
pub(super) fn cooling(form: &mut Form<'_, '_>, id: &KindId, kind: &CoolingKind) {
    form.ui.add_space(4.0);
    form.ui.weak(format!("Figures of {}", kind.name));
    figure!(form, "top air flow", kind, id, Cooling, top_flow: CubicMetresPerHour, "m3/h");
    form.text("lower speeds", blow::speeds_words(kind), |typed| {
        let speeds = blow::speeds(typed)?;
        let mut kind = kind.clone();
        kind.lower_speeds = speeds;
        Ok(Edit::PutKind(id.clone(), Box::new(OwnKind::Cooling(kind))))
    });
    figure!(form, "colder than room", kind, id, Cooling, supply_below_room: Kelvins, "K");
    let own = |change: &dyn Fn(&mut CoolingKind)| {
        let mut kind = kind.clone();
        change(&mut kind);
        Edit::PutKind(id.clone(), Box::new(OwnKind::Cooling(kind)))
    };
    figure!(form, "rated capacity", kind, id, Cooling, capacity: Watts, "W");
    let shown = |share: Option<Ratio>| share.map(Ratio::shown).unwrap_or_default();
    form.text("sensible share", shown(kind.sensible_share), |typed| {
        let share = heat::percent(typed)?;
        Ok(own(&|k| k.sensible_share = share))
    });
    form.text("left on hottest day", shown(kind.hot_day_share), |typed| {
        let share = heat::percent(typed)?;
        Ok(own(&|k| k.hot_day_share = share))
    });
    let origins = FigureOrigin::ALL.map(|o| (o, o.words().to_owned()));
    form.choice("figures from", &kind.figures, &origins, |origin| {
        Some(own(&|k| k.figures = origin))
    });
    form.text("vane, down", kind.vane_down.shown(), |typed| {
        let angle = Angle::parse(typed).map_err(|e| e.to_string())?;
        Ok(own(&|k| k.vane_down = angle))
    });
    form.length("outlet width", kind.outlet_width, |v| {
        own(&|k| k.outlet_width = v)
    });
    form.length("outlet height", kind.outlet_height, |v| {
        own(&|k| k.outlet_height = v)
    });
}

/// What a kind of light gives and draws.
pub(super) fn light(form: &mut Form<'_, '_>, id: &KindId, kind: &LightKind) {
    form.ui.add_space(4.0);
    form.ui.weak(format!("Figures of {}", kind.name));
    figure!(form, "light", kind, id, Light, lumens: Lumens, "lm");
    figure!(form, "draws", kind, id, Light, watts: Watts, "W");
    let most = kind.most_linked.map(|n| n.to_string());
    form.text("linked at most", most.unwrap_or_default(), |typed| {
        let mut kind = kind.clone();
        kind.most_linked = whole_maybe(typed)?;
        Ok(Edit::PutKind(id.clone(), Box::new(OwnKind::Light(kind))))
    });
}

/// What a kind of camera sees.
pub(super) fn camera(form: &mut Form<'_, '_>, id: &KindId, kind: &CameraKind) {
    form.ui.add_space(4.0);
    form.ui.weak(format!("Figures of {}", kind.name));
    figure!(form, "sees across", kind, id, Camera, view_across: Angle, "deg");
    figure!(form, "sees up and down", kind, id, Camera, view_up: Angle, "deg");
    form.maybe_length("sees as far as", kind.range, |range| {
        let mut kind = kind.clone();
        kind.range = range;
        Edit::PutKind(id.clone(), Box::new(OwnKind::Camera(kind)))
    });
}
