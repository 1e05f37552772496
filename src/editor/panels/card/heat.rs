//! Heat on the card of the plan: what the owner says of the room, and the sum as bars against what the cooling units take; and the
//! figures of a window's glass. Adds nothing up itself.

use egui::{Align2, Rect, Role, Sense, Stroke, StrokeKind, Ui, WidgetInfo, pos2, vec2};

use super::form::{Form, put};
use crate::editor::figure::read_maybe;
use crate::editor::theme::{self, Palette, line, palette, text};
use crate::editor::widgets;
use crate::handbook::heat;
use crate::layout::{HeatBalance, HeatTerm};
use crate::plan::{Beyond, Edit, Glass, Heat, Id, Item, OutdoorAir, Side, Window};
use crate::units::{
    Celsius, CubicMetresPerHour, Irradiance, PerHour, Practice, Ratio, UValue, Watts, capital,
};

/// So many walls have fields here; rooms with more are rare, and theirs can be written in the file.
const WALLS_SHOWN: u16 = 40;

/// Height of a row of the bars, in points.
const ROW: f32 = 17.0;
/// Width of the names before the bars, in points.
const NAMES: f32 = 96.0;
/// Width of the figures behind the bars, in points.
const FIGURES: f32 = 64.0;

/// A share that may be left empty; a bare number above 1 means per cent, as no share here is more than the whole.
pub(super) fn percent(typed: &str) -> Result<Option<Ratio>, String> {
    let share = read_maybe(typed, "%", Ratio::parse)?;
    let bare = !typed.contains('%');
    match share {
        Some(share) if bare && share.value() > 1.0 => {
            read_maybe(&format!("{typed}%"), "", Ratio::parse)
        }
        _ => Ok(share),
    }
}

/// A U value, or the resistance that US trade prints on insulation: "R 13".
fn u_value(typed: &str) -> Result<Option<UValue>, String> {
    let resistance = typed
        .strip_prefix(['R', 'r'])
        .and_then(|rest| rest.trim_start_matches('-').trim().parse::<f64>().ok());
    match resistance {
        Some(r) => heat::transmittance(r)
            .map(|u| u * heat::W_M2K_PER_BTU_H_FT2_F)
            .and_then(|u| UValue::new((u * 1e4).round() / 1e4).ok())
            .map(Some)
            .ok_or_else(|| "an R value is more than nought, such as R 13".to_owned()),
        None => read_maybe(typed, "W/m2K", UValue::parse),
    }
}

/// Shows the bars and the fields.
pub(super) fn heat_of_room(form: &mut Form<'_, '_>) {
    form.ui.add_space(4.0);
    form.ui.weak("Heat");
    bars(form);
    let said = form.shown.plan.heat().clone();
    inside(form, &said);
    climate(form, &said);
    ceiling(form, &said);
    walls(form, &said);
}

/// The edit that changes what is said.
fn saying(said: &Heat, change: impl FnOnce(&mut Heat)) -> Edit {
    let mut heat = said.clone();
    change(&mut heat);
    Edit::SetHeat(Box::new(heat))
}

fn shown<T>(value: Option<T>, words: impl FnOnce(T) -> String) -> String {
    value.map(words).unwrap_or_default()
}

/// What gives off heat inside.
fn inside(form: &mut Form<'_, '_>, said: &Heat) {
    form.text("printing", shown(said.duty, Ratio::shown), |typed| {
        let duty = percent(typed)?;
        if duty.is_some_and(|share| share.value() > 1.0) {
            return Err("a printer prints at most all the time: 100%".to_owned());
        }
        Ok(saying(said, |h| h.duty = duty))
    });
    form.text(
        "people at work",
        shown(said.people, |n| n.to_string()),
        |typed| {
            let people =
                match typed {
                    "" => None,
                    _ => Some(typed.parse().map_err(|_no_number| {
                        format!("{typed:?} is no whole number from 0 to 255")
                    })?),
                };
            Ok(saying(said, |h| h.people = people))
        },
    );
    form.text("lights", shown(said.lights, Watts::shown), |typed| {
        let watts = read_maybe(typed, "W", Watts::parse)?;
        Ok(saying(said, |h| h.lights = watts))
    });
    form.text(
        "other machines",
        shown(said.machines, Watts::shown),
        |typed| {
            let watts = read_maybe(typed, "W", Watts::parse)?;
            Ok(saying(said, |h| h.machines = watts))
        },
    );
}

/// Temperatures, and air from outdoors.
fn climate(form: &mut Form<'_, '_>, said: &Heat) {
    let practice = form.shown.practice();
    let (unit, degrees): (_, fn(Celsius) -> String) = match practice {
        Practice::Us => ("F", |c| {
            format!("{} °F", (c.value() * 18.0 + 320.0).round() / 10.0)
        }),
        Practice::Metric => ("C", Celsius::shown),
    };
    form.text("held indoors", shown(said.indoors, degrees), |typed| {
        let t = read_maybe(typed, unit, Celsius::parse)?;
        Ok(saying(said, |h| h.indoors = t))
    });
    form.text("hottest outdoors", shown(said.outdoors, degrees), |typed| {
        let t = read_maybe(typed, unit, Celsius::parse)?;
        Ok(saying(said, |h| h.outdoors = t))
    });
    let air = shown(said.outdoor_air, |air| match air {
        OutdoorAir::Changes(rate) => rate.shown(),
        OutdoorAir::Flow(flow) => flow.shown(),
    });
    form.text("air from outdoors", air, |typed| {
        let air = match read_maybe(typed, "", CubicMetresPerHour::parse) {
            Ok(flow) => flow.map(OutdoorAir::Flow),
            Err(_no_flow) => read_maybe(typed, "", PerHour::parse)?.map(OutdoorAir::Changes),
        };
        Ok(saying(said, |h| h.outdoor_air = air))
    });
}

/// What may lie beyond, by name.
fn beyonds() -> [(Option<Beyond>, String); 3] {
    [
        (None, "unknown"),
        (Some(Beyond::Outdoors), "outdoors"),
        (Some(Beyond::AsWarm), "a room as warm"),
    ]
    .map(|(beyond, words)| (beyond, words.to_owned()))
}

fn ceiling(form: &mut Form<'_, '_>, said: &Heat) {
    let side = said.ceiling;
    let with = |side: Side| saying(said, |h| h.ceiling = side);
    one_side(form, ("above the ceiling", "U of the ceiling"), side, with);
}

fn walls(form: &mut Form<'_, '_>, said: &Heat) {
    let room = form.shown.plan.room();
    let walls = u16::try_from(room.walls()).unwrap_or(u16::MAX);
    for k in 0..walls.min(WALLS_SHOWN) {
        let name = room.wall_name(usize::from(k));
        let (beyond, u) = (format!("beyond the {name}"), format!("U of the {name}"));
        let side = said.wall(usize::from(k));
        let with = |side: Side| Edit::SetHeat(Box::new(said.with_wall(k, side)));
        one_side(form, (&beyond, &u), side, with);
    }
    if walls > WALLS_SHOWN {
        let words = format!(
            "The other {} walls are said in the file.",
            walls - WALLS_SHOWN
        );
        widgets::hint(form.ui, &words);
    }
}

/// What lies beyond a wall or the ceiling; its U value where that is the open air.
fn one_side(
    form: &mut Form<'_, '_>,
    (beyond, u): (&str, &str),
    side: Side,
    with: impl Fn(Side) -> Edit,
) {
    form.choice(beyond, &side.beyond, &beyonds(), |beyond| {
        Some(with(Side { beyond, ..side }))
    });
    if side.beyond == Some(Beyond::Outdoors) {
        form.text(u, shown(side.u, UValue::shown), |typed| {
            Ok(with(Side {
                u: u_value(typed)?,
                ..side
            }))
        });
    }
}

/// The figures of a window's glass.
pub(super) fn glass(form: &mut Form<'_, '_>, id: Id, window: &Window) {
    let glass = window.glass;
    let with = |glass: Glass| {
        put(
            id,
            Item::Window(Window {
                glass,
                ..window.clone()
            }),
        )
    };
    form.text("U of the glass", shown(glass.u, UValue::shown), |typed| {
        Ok(with(Glass {
            u: u_value(typed)?,
            ..glass
        }))
    });
    form.text(
        "sun let in",
        shown(glass.sun_share, Ratio::shown),
        |typed| {
            let sun_share = percent(typed)?;
            Ok(with(Glass { sun_share, ..glass }))
        },
    );
    form.text("sun on it", shown(glass.sun, Irradiance::shown), |typed| {
        let sun = read_maybe(typed, "W/m2", Irradiance::parse)?;
        Ok(with(Glass { sun, ..glass }))
    });
}

/// The sum as bars: each term begins where the one before ended, so that their order and their ends tell them apart without
/// colour; below them the sum, and what the units take.
fn bars(form: &mut Form<'_, '_>) {
    let heat = form.shown.layout.heat();
    let takes = heat.sensible_w();
    let sum = heat.known_w();
    let mut highest: f64 = 0.0;
    heat.terms.iter().fold(0.0, |at, term| {
        highest = highest.max(at + term.watts);
        at + term.watts
    });
    let scale = highest.max(sum).max(takes.unwrap_or(0.0)).max(1.0);
    let chart = Chart {
        colours: palette(form.ui),
        scale,
        takes,
    };
    let mut at = 0.0;
    for term in &heat.terms {
        chart.term(form.ui, term, at);
        at += term.watts;
    }
    chart.together(form.ui, &heat);
    chart.units(form.ui, &heat);
    for finding in form.shown.findings.of_check("cooling") {
        widgets::hint(form.ui, &finding.text);
    }
}

/// How the bars are drawn.
struct Chart {
    colours: &'static Palette,
    /// Watts of the whole width.
    scale: f64,
    /// What all units take.
    takes: Option<f64>,
}

impl Chart {
    /// A row with its name before and its figure behind; answers with the place of the bar.
    fn row(&self, ui: &mut Ui, name: &str, figure: &str, says: &str) -> Rect {
        let width = ui.available_width();
        let (rect, response) = ui.allocate_exact_size(vec2(width, ROW), Sense::hover());
        let spoken = format!("{name}: {figure}, {says}");
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &spoken));
        response.on_hover_text(says);
        let small = || theme::plain(text::SMALL);
        let (left, right) = (rect.left_center(), rect.right_center());
        let painter = ui.painter();
        painter.text(
            left,
            Align2::LEFT_CENTER,
            name,
            small(),
            self.colours.ink_weak,
        );
        painter.text(
            right,
            Align2::RIGHT_CENTER,
            figure,
            small(),
            self.colours.ink,
        );
        let (from, to) = (
            rect.left() + NAMES,
            (rect.right() - FIGURES).max(rect.left() + NAMES + 8.0),
        );
        Rect::from_min_max(pos2(from, rect.top() + 2.0), pos2(to, rect.bottom() - 2.0))
    }

    /// The part of a row from some watts to others.
    fn part(&self, row: Rect, from_w: f64, to_w: f64) -> Rect {
        let x = |w: f64| row.left() + row.width() * widgets::share(w, self.scale);
        let (a, b) = (x(from_w.min(to_w)), x(from_w.max(to_w)));
        Rect::from_min_max(pos2(a, row.top()), pos2(b.max(a + 1.0), row.bottom()))
    }

    /// The line that no bar should pass: what the units take.
    fn limit(&self, ui: &Ui, row: Rect) {
        if let Some(takes) = self.takes {
            let x = self.part(row, takes, takes).left();
            let ends = [pos2(x, row.top() - 2.0), pos2(x, row.bottom() + 2.0)];
            ui.painter()
                .line_segment(ends, Stroke::new(line::MEASURE, self.colours.ink));
        }
    }

    fn bar(&self, ui: &Ui, rect: Rect) {
        let tone = self.colours.measure;
        ui.painter().rect_filled(rect, 0.0, tone.fill);
        let edge = Stroke::new(line::EDGE, tone.line);
        ui.painter()
            .rect_stroke(rect, 0.0, edge, StrokeKind::Inside);
    }

    fn term(&self, ui: &mut Ui, term: &HeatTerm, at: f64) {
        let known = format!("{:.0} W", term.watts);
        let name = capital(term.source.word());
        let unknown = !term.missing.is_empty();
        let (figure, says) = if unknown {
            let figure = if term.watts > 0.0 {
                format!("{known} + ?")
            } else {
                "?".to_owned()
            };
            (figure, format!("unknown: {}", term.missing.join(", ")))
        } else {
            (known, term.from.clone())
        };
        let row = self.row(ui, &name, &figure, &says);
        if term.watts.abs() > f64::EPSILON {
            self.bar(ui, self.part(row, at, at + term.watts));
        }
        if unknown {
            let end = self.part(row, at, at + term.watts).right();
            let room = Rect::from_min_max(
                pos2(end, row.top()),
                pos2((end + 18.0).min(row.right()), row.bottom()),
            );
            let edge = Stroke::new(line::EDGE, self.colours.unknown.line);
            widgets::dashed(ui.painter(), room, edge, (3.0, 3.0));
        }
        self.limit(ui, row);
    }

    /// The sum; what is more than the units take is hatched.
    fn together(&self, ui: &mut Ui, heat: &HeatBalance) {
        let sum = heat.known_w();
        let missing = heat.missing();
        let (figure, says) = if missing.is_empty() {
            (format!("{sum:.0} W"), "all terms added up".to_owned())
        } else {
            let says = format!("what is known; unknown: {}", missing.join(", "));
            (format!("{sum:.0} W + ?"), says)
        };
        let row = self.row(ui, "Together", &figure, &says);
        let bar = self.part(row, 0.0, sum.max(0.0));
        self.bar(ui, bar);
        if let Some(takes) = self.takes.filter(|takes| sum > *takes) {
            let over = self.part(row, takes, sum);
            let stroke = Stroke::new(line::HATCH, self.colours.broken.line);
            widgets::slanting(ui.painter(), over, 6.0, stroke);
        }
        self.limit(ui, row);
    }

    /// What the units take.
    fn units(&self, ui: &mut Ui, heat: &HeatBalance) {
        let from: Vec<&str> = heat.units.iter().map(|u| u.from.as_str()).collect();
        let name = match heat.units.as_slice() {
            [] => {
                widgets::hint(ui, "No cooling unit stands here in this phase.");
                return;
            }
            [unit] => format!("{} takes", unit.id),
            more => format!("{} units take", more.len()),
        };
        let missing = heat.missing_of_units();
        let (figure, says) = match self.takes {
            Some(takes) => (format!("{takes:.0} W"), from.join("; ")),
            None => ("?".to_owned(), format!("unknown: {}", missing.join(", "))),
        };
        let row = self.row(ui, &name, &figure, &says);
        if let Some(takes) = self.takes {
            let bar = self.part(row, 0.0, takes);
            let edge = Stroke::new(line::EDGE, self.colours.met.line);
            widgets::slanting(
                ui.painter(),
                bar,
                5.0,
                Stroke::new(line::HAIR, self.colours.met.line),
            );
            ui.painter().rect_stroke(bar, 0.0, edge, StrokeKind::Inside);
            self.limit(ui, row);
        }
    }
}
