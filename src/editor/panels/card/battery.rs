//! How long a UPS kind lasts, on its card: the maker's runtimes and the battery. Works out no time from them.

use super::form::{Form, allowed};
use super::heat::percent;
use crate::editor::figure::read;
use crate::editor::widgets;
use crate::plan::{Edit, OwnKind};
use crate::stock::{Battery, KindId, Runtime, UpsKind};
use crate::units::{AmpHours, Minutes, Ratio, Volts, Watts, hours_shown};

/// What a battery begins with beside its voltage and capacity: the usual time of its rating, and the upper end of the exponents
/// of absorbed glass mat, which never promises too long a time.
const RATED_OVER: Minutes = Minutes::fixed(20.0 * 60.0);
const EXPONENT: Ratio = Ratio::fixed(1.2);

/// Shows the runtimes, a row for each and one for the next, and the battery.
pub(super) fn battery(form: &mut Form<'_, '_>, id: &KindId, kind: &UpsKind) {
    form.ui.add_space(4.0);
    form.ui.weak("How long it lasts");
    widgets::hint(
        form.ui,
        "From the maker's table, one load a row, as 300 W, 12 min. An emptied row goes.",
    );
    runtimes(form, id, kind);
    let now = kind.battery;
    let words = now.map(|b| format!("{}, {}", b.volts.shown(), b.capacity.shown()));
    form.text("battery", words.unwrap_or_default(), |typed| {
        let battery = string(typed, now)?;
        changed(form.shown, id, kind, |k| k.battery = battery)
    });
    if let Some(now) = now {
        details(form, (id, kind), now);
    }
}

/// The step that changes the kind, or what the audit says against it.
fn changed(
    shown: &crate::editor::shown::Shown<'_>,
    id: &KindId,
    kind: &UpsKind,
    change: impl FnOnce(&mut UpsKind),
) -> Result<Edit, String> {
    let mut kind = kind.clone();
    change(&mut kind);
    let edit = Edit::PutKind(id.clone(), Box::new(OwnKind::Ups(kind)));
    allowed(shown, &format!("kinds › ups › {id}"), edit)
}

fn runtimes(form: &mut Form<'_, '_>, id: &KindId, kind: &UpsKind) {
    let shown = form.shown;
    let rows = (kind.runtimes.len() + 1).min(Runtime::MOST);
    for row in 0..rows {
        let now = kind.runtimes.get(row);
        let words = now.map(|r| format!("{}, {}", r.load.shown(), r.lasts.shown()));
        let label = format!("runtime {}", row + 1);
        form.text(&label, words.unwrap_or_default(), |typed| {
            let point = runtime(typed)?;
            changed(shown, id, kind, |k| {
                k.runtimes = k
                    .runtimes
                    .iter()
                    .enumerate()
                    .filter_map(|(k, r)| (k != row).then_some(*r))
                    .chain(point)
                    .collect();
                k.runtimes
                    .sort_by(|a, b| a.load.value().total_cmp(&b.load.value()));
            })
        });
    }
}

/// What else is known of a battery.
fn details(form: &mut Form<'_, '_>, (id, kind): (&KindId, &UpsKind), now: Battery) {
    let shown = form.shown;
    let with = |battery: Battery| changed(shown, id, kind, |k| k.battery = Some(battery));
    form.text("rated over", hours_shown(now.rated_over), |typed| {
        let rated_over = read(typed, "h", Minutes::parse)?;
        with(Battery { rated_over, ..now })
    });
    let exponent = now.exponent.value().to_string();
    form.text("exponent", exponent, |typed| {
        let exponent = read(typed, "", Ratio::parse)?;
        with(Battery { exponent, ..now })
    });
    let shares = |share: Option<Ratio>| share.map(Ratio::shown).unwrap_or_default();
    form.text("on battery", shares(now.efficiency), |typed| {
        let efficiency = percent(typed)?;
        with(Battery { efficiency, ..now })
    });
    form.text("left at its age", shares(now.left), |typed| {
        let left = percent(typed)?;
        with(Battery { left, ..now })
    });
}

/// A runtime as it is typed, "300 W, 12 min"; none where nothing is.
fn runtime(typed: &str) -> Result<Option<Runtime>, String> {
    if typed.is_empty() {
        return Ok(None);
    }
    let (load, lasts) = parts(typed)
        .ok_or_else(|| format!("{typed:?} is no load and time; write them as 300 W, 12 min"))?;
    Ok(Some(Runtime {
        load: read(load, "W", Watts::parse)?,
        lasts: read(lasts, "min", Minutes::parse)?,
    }))
}

/// A battery by the voltage and capacity typed, "24 V, 9 Ah"; the rest as it is now. None where nothing is typed.
fn string(typed: &str, now: Option<Battery>) -> Result<Option<Battery>, String> {
    if typed.is_empty() {
        return Ok(None);
    }
    let (volts, capacity) = parts(typed)
        .ok_or_else(|| format!("{typed:?} is no voltage and capacity; write them as 24 V, 9 Ah"))?;
    let (volts, capacity) = (
        read(volts, "V", Volts::parse)?,
        read(capacity, "Ah", AmpHours::parse)?,
    );
    Ok(Some(now.map_or(
        Battery {
            volts,
            capacity,
            rated_over: RATED_OVER,
            exponent: EXPONENT,
            efficiency: None,
            left: None,
        },
        |now| Battery {
            volts,
            capacity,
            ..now
        },
    )))
}

/// Two figures typed one behind the other: parted behind the unit of the first, or at a comma where that has none.
fn parts(typed: &str) -> Option<(&str, &str)> {
    let after = |from: usize, of: fn(char) -> bool| {
        let rest = typed.get(from..)?;
        rest.find(of).map(|k| from + k)
    };
    let unit = after(0, char::is_alphabetic);
    let Some(end) = unit.and_then(|unit| after(unit, |c| !c.is_alphabetic())) else {
        return typed.split_once(',').map(|(a, b)| (a.trim(), b.trim()));
    };
    let (first, second) = typed.split_at_checked(end)?;
    let second = second.trim_start_matches([',', ';', ' ']);
    Some((first.trim(), second))
}
