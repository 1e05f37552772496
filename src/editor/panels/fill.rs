//! The panel that counts what the floor holds: what is asked, how far the search has come, and what was found, to be taken
//! or dropped. Searches nothing itself.

use std::collections::BTreeSet;

use egui::{Checkbox, Key, Label, RichText, Role, ScrollArea, Stroke, Ui, WidgetInfo};

use crate::editor::action::{Action, Actions, Command, FillAction};
use crate::editor::command;
use crate::editor::filling::Proposal;
use crate::editor::help;
use crate::editor::panels::fill_walls;
use crate::editor::shown::Shown;
use crate::editor::theme::{self, line, palette, text};
use crate::editor::widgets::{self, Field, FieldEvent};
use crate::fill::{Answer, NOT_JUDGED, Placement, StoppedBy, may_all_go, may_go};
use crate::geometry::Point;
use crate::plan::{Item, ItemKind};
use crate::stock::{KindId, RackKind};
use crate::units::Length;

/// The panel's own state.
#[derive(Debug, Default)]
pub struct FillView {
    open: bool,
    /// True in the first frame after it was opened: the keyboard goes to it.
    fresh: bool,
    /// The rack kinds that are not to be used.
    without: BTreeSet<KindId>,
    /// Neither cooling nor power is to bound the count.
    floor_only: bool,
    /// What is typed over the part of the floor, side by side: the value it began from, the draft, what was wrong.
    sides: [(String, String, String); 4],
}

impl FillView {
    /// True while the panel is on show.
    pub fn is_open(&self) -> bool {
        self.open
    }

    /// Opens or closes the panel.
    pub fn show(&mut self, open: bool) {
        self.fresh = open;
        self.open = open;
    }
}

/// The button of the command in the bar of menus.
pub fn command_ui(ui: &mut Ui, actions: &mut Actions) {
    let keys = command::all()
        .find(|offer| offer.command == Command::Fill)
        .map(command::Offer::keys_words)
        .unwrap_or_default();
    // Outlined, unlike the menus beside it: it acts at once.
    let edge = Stroke::new(line::EDGE, palette(ui).frame_edge);
    ui.spacing_mut().button_padding.x = 10.0;
    let button = ui.add(egui::Button::new("Fill").stroke(edge));
    button.widget_info(|| {
        WidgetInfo::labeled(Role::Button, true, "Fill: count what the floor holds")
    });
    let tip = format!("Count what the floor holds ({keys})");
    if button.on_hover_text(tip).clicked() {
        actions.command(Command::Fill);
    }
}

/// Shows the panel.
pub fn fill_ui(ui: &mut Ui, shown: &Shown<'_>, view: &mut FillView, actions: &mut Actions) {
    ui.spacing_mut().item_spacing.y = 5.0;
    ui.add_space(8.0);
    // Not taken from the floor, which leaves its drag by the same key.
    if shown.filling.is_marking() && ui.input(|i| i.key_pressed(Key::Escape)) {
        actions.ask(Action::Fill(FillAction::Mark(false)));
    }
    ui.horizontal(|ui| {
        widgets::section(ui, "Fill", &phase_name(shown));
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            let back = widgets::action_named(ui, "Stock", "Back to the stock drawer");
            if std::mem::take(&mut view.fresh) {
                back.request_focus();
            }
            if back.clicked() {
                actions.command(Command::Fill);
            }
        });
    });
    ScrollArea::vertical()
        .auto_shrink([false, false])
        .show(ui, |ui| {
            egui::Frame::new()
                .inner_margin(egui::Margin {
                    left: 8,
                    right: 10,
                    top: 0,
                    bottom: 8,
                })
                .show(ui, |ui| body(ui, shown, view, actions));
        });
}

/// The phase on show as its tab names it.
fn phase_name(shown: &Shown<'_>) -> String {
    let phase = shown.phase();
    let named = shown
        .plan
        .phases()
        .get(usize::from(phase.0.saturating_sub(1)));
    named.map_or_else(
        || format!("phase {phase}"),
        |p| format!("{phase} {}", p.name),
    )
}

fn body(ui: &mut Ui, shown: &Shown<'_>, view: &mut FillView, actions: &mut Actions) {
    let filling = shown.filling;
    if let Some(phase) = filling.phase().filter(|phase| *phase != shown.phase()) {
        plain(ui, &format!("This search is for phase {phase}."));
        if widgets::action(ui, &format!("Show phase {phase}")).clicked() {
            actions.ask(Action::Phase(phase));
        }
        run_buttons(ui, shown, view, actions);
        return;
    }
    progress(ui, shown);
    run_buttons(ui, shown, view, actions);
    if let Some(proposal) = filling.proposal() {
        found(ui, shown, proposal, actions);
        ui.add_space(4.0);
        egui::CollapsingHeader::new("What is asked")
            .default_open(false)
            .show(ui, |ui| question(ui, shown, view, actions));
        if filling.running().is_none() {
            fill_walls::walls_ui(ui, shown, actions);
        }
    } else if filling.running().is_none() {
        question(ui, shown, view, actions);
    }
}

/// How far the search has come: count, claim, bound, time.
fn progress(ui: &mut Ui, shown: &Shown<'_>) {
    let filling = shown.filling;
    let running = filling.running();
    if let Some(why) = filling.trouble() {
        let words = RichText::new(why).color(palette(ui).broken.text);
        ui.add(Label::new(words).wrap());
        if filling.proposal().is_none() {
            return;
        }
    }
    let Some(proposal) = filling.proposal() else {
        match (running, shown.known()) {
            (Some(time), _) => {
                let time = seconds(time.as_secs());
                plain(ui, &format!("Searching for {time}. Nothing found yet."));
            }
            (None, Some(answer)) => {
                count(ui, answer);
                small(ui, NOT_JUDGED);
                plain(
                    ui,
                    "Known of this phase. Start to see it on the floor again.",
                );
            }
            (None, None) => plain(
                ui,
                "No search yet: Fill counts what this floor truly holds.",
            ),
        }
        return;
    };
    let answer = &proposal.answer;
    count(ui, answer);
    let time = running.or(proposal.took).unwrap_or_default();
    let state = if running.is_some() {
        "searching"
    } else {
        stopped(answer.stopped_by)
    };
    let (pinned, added, bound) = (answer.pinned, answer.added, answer.bound);
    plain(ui, &format!("{pinned} stay, {added} added · bound {bound}"));
    plain(ui, &format!("{} · {state}", seconds(time.as_secs())));
    if let Some(words) = goes(shown, proposal) {
        plain(ui, &words);
    }
    small(ui, NOT_JUDGED);
    let placed = shown.headroom.placed;
    if let Some(more) = placed.checked_sub(answer.bound).filter(|more| *more > 0) {
        plain(
            ui,
            &format!(
                "{placed} are placed now, {more} more than can stand here with these checks met."
            ),
        );
    }
    if proposal.ask.part.is_some() {
        plain(ui, "In the part marked; the rest of the floor as it is.");
    } else {
        let hoped_for = shown.headroom.hoped_for;
        plain(ui, &answer.against(hoped_for, running.is_some()));
    }
}

/// Which racks make room for what was found.
fn goes(shown: &Shown<'_>, proposal: &Proposal) -> Option<String> {
    if proposal.ask.phase != shown.phase() || proposal.answer.placements.is_empty() {
        return None;
    }
    let loose = may_all_go(shown.layout, proposal.ask.part);
    let marks: Vec<String> = loose.map(|rack| rack.id.to_string()).collect();
    let few = marks.get(..4).unwrap_or(&marks).join(", ");
    let more = match marks.len().saturating_sub(4) {
        0 => String::new(),
        n => format!(" and {n} more"),
    };
    (!marks.is_empty()).then(|| format!("{few}{more} make room for them; pin what must stay."))
}

/// The count, and what may be said of it.
fn count(ui: &mut Ui, answer: &Answer) {
    let colours = palette(ui);
    let words = format!("{} printers", answer.printers);
    let words = RichText::new(words).font(theme::bold(text::COUNT));
    ui.label(words.color(colours.ink));
    let (sign, tone) = if answer.is_proved() {
        (widgets::Sign::Met, colours.met)
    } else {
        (widgets::Sign::Note, colours.note)
    };
    ui.horizontal(|ui| {
        let (icon, _) = ui.allocate_exact_size(egui::vec2(12.0, 14.0), egui::Sense::hover());
        sign.paint(ui.painter(), icon, tone.text);
        ui.add(Label::new(RichText::new(answer.words()).color(tone.text)).wrap());
    });
}

/// Start, stop, take, drop.
fn run_buttons(ui: &mut Ui, shown: &Shown<'_>, view: &FillView, actions: &mut Actions) {
    let filling = shown.filling;
    let proposal = filling.proposal();
    ui.horizontal(|ui| {
        if filling.running().is_some() {
            if widgets::action(ui, "Stop").clicked() {
                actions.ask(Action::Fill(FillAction::Stop));
            }
        } else {
            let kinds = chosen_kinds(shown, view);
            let any = kinds.as_ref().is_none_or(|some| !some.is_empty());
            let label = if filling.proposal_in(shown.phase()).is_some() {
                "Start again"
            } else {
                "Start"
            };
            let start = ui.add_enabled_ui(any, |ui| widgets::action(ui, label));
            if start.inner.clicked() {
                actions.ask(Action::Fill(FillAction::Start(kinds, view.floor_only)));
            }
        }
        if proposal.is_some() && widgets::action(ui, "Discard").clicked() {
            actions.ask(Action::Fill(FillAction::Drop));
        }
    });
    let may_take = |p: &&Proposal| {
        let here = p.ask.phase == shown.phase() && !p.answer.placements.is_empty();
        here && !shown.read_only
    };
    if let Some(proposal) = proposal.filter(may_take) {
        ui.horizontal(|ui| take_buttons(ui, proposal, actions));
    }
}

fn take_buttons(ui: &mut Ui, proposal: &Proposal, actions: &mut Actions) {
    if widgets::action(ui, "Place all").clicked() {
        actions.ask(Action::Fill(FillAction::TakeAll));
    }
    let n = proposal.chosen.len();
    let chosen = ui.add_enabled_ui(n > 0, |ui| {
        let label = format!("Place chosen ({n})");
        widgets::action_named(ui, &label, &format!("Place the {n} chosen"))
    });
    if chosen.inner.clicked() {
        actions.ask(Action::Fill(FillAction::TakeChosen));
    }
}

/// What was found, one line a thing, and what it rests on.
fn found(ui: &mut Ui, shown: &Shown<'_>, proposal: &Proposal, actions: &mut Actions) {
    ui.add_space(4.0);
    if proposal.answer.placements.is_empty() {
        plain(
            ui,
            if proposal.answer.is_proved() {
                "There is room for no more racks beside what stays."
            } else {
                "No racks to add were found yet."
            },
        );
    } else {
        heading(ui, "Found, with printers");
        small(
            ui,
            "Dashed on the floor: click there or tick here to choose.",
        );
    }
    for (number, placement) in proposal.answer.placements.iter().enumerate() {
        let mut on = proposal.chosen.contains(&number);
        let name = placement_name(shown, placement);
        let tick = ui.add(Checkbox::new(&mut on, row(shown, number, placement)));
        let spoken = format!("Choose {}: {name}", number + 1);
        tick.widget_info(|| WidgetInfo::selected(Role::CheckBox, true, on, &spoken));
        if tick.clicked() {
            actions.ask(Action::Fill(FillAction::Choose(number)));
        }
    }
    let answer = &proposal.answer;
    sentences(ui, "Assumptions", false, &answer.assumptions);
    sentences(
        ui,
        "Broken by what stays, set aside",
        true,
        &answer.set_aside,
    );
}

/// Sentences under a head that unfolds; nothing where there are none.
fn sentences(ui: &mut Ui, head: &str, open: bool, all: &[String]) {
    if all.is_empty() {
        return;
    }
    egui::CollapsingHeader::new(format!("{head} ({})", all.len()))
        .id_salt(head)
        .default_open(open)
        .show(ui, |ui| {
            for sentence in all {
                small(ui, &format!("· {sentence}"));
            }
        });
}

/// A line of the list, short enough for one row.
fn row(shown: &Shown<'_>, number: usize, placement: &Placement) -> String {
    let n = number + 1;
    match &placement.must {
        Some(thing) => format!("{n} · {thing}"),
        None => format!(
            "{n} · {} · {}",
            kind_name(shown, placement),
            placement.printers
        ),
    }
}

fn kind_name<'a>(shown: &'a Shown<'_>, placement: &'a Placement) -> &'a str {
    let kind = shown.layout.stock().racks.get(&placement.kind);
    kind.map_or(placement.kind.as_str(), |k| k.name.as_str())
}

/// What a placement is, for names: the kind and its printers, or the thing that must also fit.
pub fn placement_name(shown: &Shown<'_>, placement: &Placement) -> String {
    if let Some(thing) = &placement.must {
        return thing.clone();
    }
    let kind = kind_name(shown, placement);
    format!("{kind}, {} printers", placement.printers)
}

/// What is asked: the racks, the floor, what stays.
fn question(ui: &mut Ui, shown: &Shown<'_>, view: &mut FillView, actions: &mut Actions) {
    heading(ui, "Racks to choose from");
    let practice = shown.practice();
    ui.spacing_mut().item_spacing.y = 0.0;
    for (id, kind) in holding(shown) {
        let mut on = !view.without.contains(id);
        let slots = slots(kind);
        let tick = ui.checkbox(&mut on, &kind.name);
        let size = format!(
            "{} × {} · {slots} printers",
            kind.width.shown(practice),
            kind.depth.shown(practice)
        );
        let name = format!("Use {}, {size}", kind.name);
        tick.widget_info(|| WidgetInfo::selected(Role::CheckBox, true, on, &name));
        if tick.changed() {
            if on {
                view.without.remove(id);
            } else {
                view.without.insert(id.clone());
            }
        }
        let margin = egui::Margin {
            left: 21,
            bottom: 3,
            ..egui::Margin::ZERO
        };
        let words = RichText::new(size).size(text::SMALL).weak();
        egui::Frame::new()
            .inner_margin(margin)
            .show(ui, |ui| ui.label(words));
    }
    ui.spacing_mut().item_spacing.y = 5.0;
    let floor_only = ui.checkbox(&mut view.floor_only, "Count the floor only");
    help::behind(
        floor_only,
        "Ticked: neither cooling nor circuits nor supply bound the count. Otherwise it stops at what those drawn carry, where their figures are no guess.",
    );
    if chosen_kinds(shown, view).is_some_and(|some| some.is_empty()) {
        small(ui, "Tick at least one rack to start.");
    }
    ui.add_space(4.0);
    heading(ui, "Floor");
    floor(ui, shown, view, actions);
    ui.add_space(4.0);
    heading(ui, "What stays");
    small(ui, &staying(shown));
    small(
        ui,
        "To keep a rack where it is, select it and tick “Pinned in its place” on its card.",
    );
}

/// The whole room, or a part: dragged on the floor, or typed.
fn floor(ui: &mut Ui, shown: &Shown<'_>, view: &mut FillView, actions: &mut Actions) {
    let filling = shown.filling;
    let marked = filling.part();
    let marking = filling.is_marking();
    ui.horizontal(|ui| {
        let whole = marked.is_none() && !marking;
        if widgets::pill(ui, "Whole room", whole).clicked() {
            actions.ask(Action::Fill(FillAction::Part(None)));
        }
        if widgets::pill(ui, "A part", !whole).clicked() {
            actions.ask(Action::Fill(FillAction::Mark(true)));
        }
    });
    if marking {
        small(
            ui,
            "Drag over the floor to mark the part, or type its sides. Esc leaves it.",
        );
    }
    if marking || marked.is_some() {
        sides(ui, shown, view, actions);
    }
}

/// The part's place and size as typed numbers, from the datum corner.
fn sides(ui: &mut Ui, shown: &Shown<'_>, view: &mut FillView, actions: &mut Actions) {
    let bounds = shown.layout.room().bounds();
    let (a, b) = shown.filling.part().unwrap_or((bounds.low, bounds.high));
    let (low, high) = (a.min(b), a.max(b));
    let from = low - bounds.low;
    let size = high - low;
    let practice = shown.practice();
    let rows = [
        ("part from west", from.x),
        ("part from south", from.y),
        ("part width", size.x),
        ("part depth", size.y),
    ];
    for (k, (label, mm)) in rows.into_iter().enumerate() {
        let Some((began, draft, error)) = view.sides.get_mut(k) else {
            continue;
        };
        let now = Length::from_mm(mm).shown(practice);
        if *began != now {
            began.clone_from(&now);
            draft.clone_from(&now);
            error.clear();
        }
        match Field::new(label).error(error).ui(ui, draft) {
            FieldEvent::None => {}
            FieldEvent::Abandoned => {
                *draft = now;
                error.clear();
            }
            FieldEvent::Committed(typed) => match Length::parse(typed.trim(), Some(practice)) {
                Ok(length) => {
                    error.clear();
                    began.clear();
                    let part = with_side(k, length.mm(), from, size);
                    let part = (part.0 + bounds.low, part.1 + bounds.low);
                    actions.ask(Action::Fill(FillAction::Part(Some(part))));
                }
                Err(why) => *error = why.to_string(),
            },
        }
    }
}

/// The corners of the part with one of its four figures changed.
fn with_side(which: usize, mm: f64, from: Point, size: Point) -> (Point, Point) {
    let (mut from, mut size) = (from, size);
    match which {
        0 => from.x = mm,
        1 => from.y = mm,
        2 => size.x = mm.max(1.0),
        _ => size.y = mm.max(1.0),
    }
    (from, from + size)
}

/// The rack kinds that hold printers.
fn holding<'a>(shown: &'a Shown<'_>) -> impl Iterator<Item = (&'a KindId, &'a RackKind)> {
    let racks = shown.layout.stock().racks.iter();
    racks.filter(|(_, kind)| slots(kind) > 0)
}

fn slots(kind: &RackKind) -> u32 {
    kind.levels.iter().map(|level| u32::from(level.slots)).sum()
}

/// The ticked kinds; `None` where all are.
fn chosen_kinds(shown: &Shown<'_>, view: &FillView) -> Option<BTreeSet<KindId>> {
    let all: BTreeSet<KindId> = holding(shown).map(|(id, _)| id.clone()).collect();
    let ticked: BTreeSet<KindId> = all.difference(&view.without).cloned().collect();
    (ticked.len() < all.len()).then_some(ticked)
}

/// What stays and what makes room, by count.
fn staying(shown: &Shown<'_>) -> String {
    let floor = shown.filling.part();
    let (mut pinned, mut stay, mut go) = (0, 0, 0);
    for part in shown.layout.of_kind(ItemKind::Rack) {
        let presence = shown.plan.items().get(part.id).map(Item::presence);
        if presence.is_some_and(|p| p.pinned) {
            pinned += 1;
        } else if may_go(shown.layout, floor, part) {
            go += 1;
        } else {
            stay += 1;
        }
    }
    let racks = |n: u32| format!("{n} {}", if n == 1 { "rack" } else { "racks" });
    let other = if floor.is_some() {
        "of earlier phases or beyond the part"
    } else {
        "of earlier phases"
    };
    format!(
        "Everything fixed, {} pinned and {} {other} stay. {} of this phase may be put elsewhere.",
        racks(pinned),
        racks(stay),
        racks(go)
    )
}

/// Why the search is over, in a few words.
fn stopped(by: StoppedBy) -> &'static str {
    match by {
        StoppedBy::Proof => "proof reached",
        StoppedBy::Steps => "steps used up",
        StoppedBy::Seconds => "time used up",
        StoppedBy::Cancelled => "stopped",
        StoppedBy::Memory => "memory used up",
        StoppedBy::Running => "ended",
    }
}

fn seconds(n: u64) -> String {
    if n < 60 {
        format!("{n} s")
    } else {
        format!("{} min {} s", n / 60, n % 60)
    }
}

fn heading(ui: &mut Ui, words: &str) {
    let colour = palette(ui).ink;
    ui.label(
        RichText::new(words)
            .font(theme::bold(text::BODY))
            .color(colour),
    );
}

fn plain(ui: &mut Ui, words: &str) {
    ui.add(Label::new(words).wrap());
}

fn small(ui: &mut Ui, words: &str) {
    if !words.is_empty() {
        ui.add(Label::new(RichText::new(words).size(text::SMALL).weak()).wrap());
    }
}
