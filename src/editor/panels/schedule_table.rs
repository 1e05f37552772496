//! The table of the panel schedule: a row a circuit, a click selects it. Scrolls sideways where it is wider than its panel, the
//! circuits' marks staying in view.

use std::sync::Arc;

use egui::{
    Color32, Galley, Modifiers, Rect, Response, Role, ScrollArea, Sense, Stroke, StrokeKind, Ui,
    WidgetInfo, pos2, vec2,
};

use super::schedule_hang::{HangView, KEY};
use crate::checks::{Severity, Standing};
use crate::editor::action::{Action, Actions};
use crate::editor::help;
use crate::editor::shown::{Selection, Shown};
use crate::editor::theme::{self, Palette, Tone, line, palette, text};
use crate::editor::widgets::{self, Sign};
use crate::plan::Id;
use crate::wiring::schedule::{HEADINGS, Row};

/// How many columns: those of the schedule, and the status.
const COLUMNS: usize = HEADINGS.len() + 1;
/// Height of a row, in points: that of a target (WCAG 2.2, success criterion 2.5.8).
const ROW: f32 = 24.0;
/// Space at both sides of a cell.
const PAD: f32 = 5.0;
/// Space for the sign before the circuit's mark.
const SIGN: f32 = 16.0;
/// Width of a bar, and of the gap after it.
const BAR: (f32, f32) = (29.0, 5.0);

/// What each column holds.
const HELP: [&str; COLUMNS] = [
    "The circuit's mark. A cross or an exclamation mark before it: the check `circuits` has something against it.",
    "What the contractor does with it: existing stays, new is built, moved is taken from elsewhere, removed is taken out.",
    "Curve, where it is entered, and rating of its breaker.",
    "Poles of its breaker.",
    "The legs it loads. \"?\" until they are entered in its card.",
    "Its outlets.",
    "The UPS plugged into it.",
    "Printers on it, by a UPS or straight, and other loads.",
    "Amperes while everything on it runs, averaged over a print. \">\": a figure is missing.",
    "Running amperes by what its breaker may carry for hours on end.",
    "Amperes while every printer on it heats at once, as after an outage.",
    "Peak amperes by what its breaker may carry for minutes.",
    "Conductor, and how far it runs one way from the panel; \"est.\" where that is reckoned along the walls and not entered.",
    "Voltage lost along the cable: at the peak, and at the breaker's rating.",
];

/// One circuit as the table shows it.
#[derive(Debug)]
pub(super) struct Line {
    id: Id,
    cells: [String; COLUMNS],
    /// How far both limits are used, by column.
    shares: [(usize, Option<f64>); 2],
    sign: Option<Sign>,
    /// What the check has against it, worst first.
    against: Vec<String>,
}

/// The lines of the schedule's rows.
pub(super) fn lines(shown: &Shown<'_>, rows: Vec<Row>) -> Vec<Line> {
    rows.into_iter().map(|row| line_of(shown, &row)).collect()
}

fn line_of(shown: &Shown<'_>, row: &Row) -> Line {
    let [circuit, others @ ..] = row.cells(shown.practice());
    let mut cells: [String; COLUMNS] = Default::default();
    let status = row.presence().status.word().to_owned();
    let all = [circuit, status].into_iter().chain(others);
    for (cell, words) in cells.iter_mut().zip(all) {
        *cell = words;
    }
    // Worst first, as findings stand.
    let against: Vec<_> = shown
        .findings
        .iter()
        .filter(|f| f.check == "circuits" && f.items.first() == Some(&row.id))
        .filter(|f| f.standing == Standing::Broken && f.accepted(shown.plan).is_none())
        .collect();
    Line {
        id: row.id,
        cells,
        shares: [(9, row.running_share), (11, row.peak_share)],
        sign: against.first().map(|f| match f.severity {
            Severity::MustFix => Sign::Broken,
            Severity::Caution => Sign::Caution,
            Severity::Note => Sign::Note,
        }),
        against: against.iter().map(|f| f.text.clone()).collect(),
    }
}

impl Line {
    /// The whole row for who has it read out.
    fn name(&self) -> String {
        let cells = headings().zip(&self.cells);
        let mut parts: Vec<String> = cells
            .map(|(heading, cell)| format!("{heading} {cell}"))
            .collect();
        if let Some(sign) = self.sign {
            parts.push(format!("{}: {}", sign.word(), self.against.join(" ")));
        }
        parts.join(", ")
    }
}

/// The headings of all columns.
fn headings() -> impl Iterator<Item = &'static str> {
    let (first, others) = HEADINGS.split_at(1);
    first
        .iter()
        .copied()
        .chain(["Status"])
        .chain(others.iter().copied())
}

/// True for columns of figures, which end in line.
const fn ends_in_line(column: usize) -> bool {
    matches!(column, 3 | 8..=11)
}

/// Shows the table.
pub(super) fn table_ui(
    ui: &mut Ui,
    shown: &Shown<'_>,
    lines: &[Line],
    hang: &HangView,
    actions: &mut Actions,
) {
    let colours = palette(ui);
    let set =
        |words: &str, font, colour| ui.painter().layout_no_wrap(words.to_owned(), font, colour);
    let heads: Vec<Arc<Galley>> = headings()
        .map(|words| set(words, theme::bold(text::SMALL), colours.ink_weak))
        .collect();
    let rows: Vec<Vec<Arc<Galley>>> = lines
        .iter()
        .map(|line| {
            let cells = line.cells.iter();
            cells
                .map(|words| set(words, theme::plain(text::LABEL), Color32::PLACEHOLDER))
                .collect()
        })
        .collect();
    let widths = widths(&heads, &rows, ui.available_width());
    ScrollArea::horizontal()
        .id_salt("circuits")
        .auto_shrink([false, true])
        .show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = 0.0;
            let whole = widths.iter().sum();
            heads_ui(ui, &heads, &widths, whole);
            for (line, cells) in lines.iter().zip(&rows) {
                let selected = shown.selection.has(line.id);
                let response = row_ui(ui, line, cells, (&widths, whole), (selected, hang));
                if response.clicked() {
                    actions.ask(Action::Select(Selection::one(line.id)));
                }
                hang_ui(ui, line.id, &response, hang, actions);
            }
        });
}

/// What the row says to what is selected or dragged; hangs it where it is let go of or the key is pressed.
fn hang_ui(ui: &Ui, id: Id, row: &Response, hang: &HangView, actions: &mut Actions) {
    let Some(answer) = hang.answer(id) else {
        return;
    };
    let over = ui.input(|i| i.pointer.latest_pos());
    let aimed = hang.is_carrying()
        && over.is_some_and(|p| row.rect.contains(p) && ui.clip_rect().contains(p));
    if hang.is_carrying() || row.has_focus() {
        answer.paint(ui, row.rect, aimed);
    }
    let let_go = aimed && ui.input(|i| i.pointer.primary_released());
    let pressed = row.has_focus() && ui.input_mut(|i| i.consume_key(Modifiers::NONE, KEY));
    if let_go || pressed {
        hang.hang(id, actions);
    }
}

/// How wide each column is: as wide as its words ask for, and spread out where there is more room.
fn widths(heads: &[Arc<Galley>], rows: &[Vec<Arc<Galley>>], room: f32) -> Vec<f32> {
    let mut widths: Vec<f32> = (0_usize..)
        .zip(heads)
        .map(|(column, head)| {
            let (mark, bar) = match column {
                0 => (SIGN, 0.0),
                9 | 11 => (0.0, BAR.0 + BAR.1),
                _ => (0.0, 0.0),
            };
            let cells = rows.iter().filter_map(|cells| cells.get(column));
            let cells = cells.map(|cell| cell.size().x + bar);
            cells.fold(head.size().x, f32::max) + mark + 2.0 * PAD
        })
        .collect();
    let columns = widths.iter().fold(0.0, |sum: f32, _| sum + 1.0);
    let left: f32 = room - widths.iter().sum::<f32>();
    if left > 0.0 {
        // No more than a little, so that a row can still be followed by eye.
        let each = (left / columns).min(24.0);
        for width in &mut widths {
            *width += each;
        }
    }
    widths
}

fn heads_ui(ui: &mut Ui, heads: &[Arc<Galley>], widths: &[f32], whole: f32) {
    let colours = palette(ui);
    let (rect, _) = ui.allocate_exact_size(vec2(whole, ROW), Sense::hover());
    let mut left = rect.left();
    for (column, ((head, width), help)) in heads.iter().zip(widths).zip(HELP).enumerate() {
        let cell = Rect::from_min_size(pos2(left, rect.top()), vec2(*width, ROW));
        left += width;
        if column > 0 {
            place(ui, head, cell, column, colours.ink_weak);
        }
        let response = ui.interact(cell, ui.unique_id().with(("head", column)), Sense::hover());
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, head.text()));
        help::behind(response, help);
    }
    if let (Some(head), Some(width)) = (heads.first(), widths.first()) {
        let cell = at_left(ui, rect, *width);
        ui.painter().rect_filled(cell, 0.0, colours.drawer);
        place(ui, head, cell, 0, colours.ink_weak);
    }
    let edge = Stroke::new(line::EDGE, colours.field_edge);
    ui.painter().hline(rect.x_range(), rect.bottom(), edge);
}

/// Puts the words of a cell where they belong.
fn place(ui: &Ui, words: &Arc<Galley>, cell: Rect, column: usize, colour: Color32) {
    let y = cell.center().y - words.size().y / 2.0;
    let x = if ends_in_line(column) {
        cell.right() - PAD - words.size().x
    } else {
        cell.left() + PAD + if column == 0 { SIGN } else { 0.0 }
    };
    ui.painter().galley(pos2(x, y), Arc::clone(words), colour);
}

fn row_ui(
    ui: &mut Ui,
    line: &Line,
    cells: &[Arc<Galley>],
    (widths, whole): (&[f32], f32),
    (selected, hang): (bool, &HangView),
) -> Response {
    let colours = palette(ui);
    let (rect, response) = ui.allocate_exact_size(vec2(whole, ROW), Sense::click());
    response.widget_info(|| {
        let mut name = line.name();
        if let Some(answer) = hang.answer(line.id) {
            name = format!("{name}, H hangs {} here: {}", hang.name(), answer.words());
        }
        WidgetInfo::selected(Role::Button, ui.is_enabled(), selected, name)
    });
    if response.gained_focus() {
        response.scroll_to_me(None);
    }
    let response = help::behind(response, &line.against.join(" "));
    if !ui.is_rect_visible(rect) {
        return response;
    }
    let ground = if response.hovered() {
        colours.card_hover
    } else if selected {
        colours.card
    } else {
        colours.drawer
    };
    ui.painter().rect_filled(rect, 0.0, ground);
    let ink = if line.sign == Some(Sign::Broken) {
        colours.broken.text
    } else {
        colours.ink
    };
    let mut left = rect.left();
    for (column, (words, width)) in cells.iter().zip(widths).enumerate() {
        let cell = Rect::from_min_size(pos2(left, rect.top()), vec2(*width, ROW));
        left += width;
        if column > 0 {
            place(ui, words, cell, column, ink);
            if let Some((_, share)) = line.shares.iter().find(|(c, _)| *c == column) {
                bar(ui, cell, *share, colours);
            }
        }
    }
    mark(ui, line, (cells, widths), (rect, ground, ink), colours);
    let hair = Stroke::new(line::HAIR, colours.edge);
    ui.painter().hline(rect.x_range(), rect.bottom(), hair);
    let seen = rect.intersect(ui.clip_rect());
    if selected {
        let edge = Stroke::new(line::FOCUS, colours.selection.line);
        ui.painter()
            .rect_stroke(seen, 0.0, edge, StrokeKind::Inside);
    }
    widgets::focus_ring(ui, &response, 0, colours.selection.line);
    response
}

/// The first cell of a row, which stays in view while the others are scrolled.
fn at_left(ui: &Ui, row: Rect, width: f32) -> Rect {
    let left = row.left().max(ui.clip_rect().left());
    Rect::from_min_size(pos2(left, row.top()), vec2(width, ROW))
}

/// Sign and mark of the circuit, at the left end of what is in view.
fn mark(
    ui: &Ui,
    line: &Line,
    (cells, widths): (&[Arc<Galley>], &[f32]),
    (row, ground, ink): (Rect, Color32, Color32),
    colours: &Palette,
) {
    let (Some(words), Some(width)) = (cells.first(), widths.first()) else {
        return;
    };
    let cell = at_left(ui, row, *width);
    ui.painter().rect_filled(cell, 0.0, ground);
    place(ui, words, cell, 0, ink);
    if let Some(sign) = line.sign {
        let at = Rect::from_min_size(cell.min + vec2(PAD - 2.0, 0.0), vec2(SIGN, ROW));
        sign.paint(ui.painter(), at, sign.tone(colours).text);
    }
}

/// A bar as long as so much of its limit is used; one that is over it is full and has the colour of what is broken.
fn bar(ui: &Ui, cell: Rect, share: Option<f64>, colours: &Palette) {
    let from = cell.left() + PAD;
    let whole = Rect::from_min_size(pos2(from, cell.center().y - 4.0), vec2(BAR.0, 8.0));
    let edge = |colour| Stroke::new(line::EDGE, colour);
    if let Some(share) = share {
        let tone: Tone = if share > 1.0 + 1e-9 {
            colours.broken
        } else {
            colours.met
        };
        let mut used = whole;
        used.set_width(whole.width() * widgets::share(share, 1.0));
        ui.painter()
            .rect(used, 0.0, tone.fill, edge(tone.line), StrokeKind::Inside);
    }
    ui.painter()
        .rect_stroke(whole, 0.0, edge(colours.field_edge), StrokeKind::Inside);
}
