//! Building blocks of the panels in the editor's own look: section heads, cards, drawer entries, pills, tabs, buttons, fields.
//!
//! Each takes plain values and says what happened; none knows a plan or decides anything. Each has a name for screen readers,
//! works by keyboard and shows a ring when it has the keyboard. The context must have had [`theme::apply`].

use egui::{
    Color32, CornerRadius, CursorIcon, Id, Key, Painter, Rect, Response, RichText, Role, Sense,
    Stroke, StrokeKind, TextEdit, Ui, UiBuilder, Vec2, WidgetInfo, accesskit, pos2, vec2,
};

use super::help;
use super::theme::{self, Palette, Tone, corner, line, text};

/// Space between a card's edge and its content, in points.
const CARD_MARGIN: f32 = 8.0;
/// Width of a card's coloured bar.
const BAR: f32 = 6.0;
/// Side of the square in which a sign is drawn.
const SIGN: f32 = 11.0;
/// Height of pills and tabs: at least the 24 points that WCAG 2.2 asks of a target (success criterion 2.5.8).
const PILL_HEIGHT: f32 = 24.0;

/// What a card says at a glance: a sign by shape, with the colour that goes with it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sign {
    /// A cross: must be mended.
    Broken,
    /// An exclamation mark: look at it.
    Caution,
    /// A tick: met.
    Met,
    /// A tick in grey: seen and accepted.
    Accepted,
    /// A dot: good to know.
    Note,
    /// A question mark: data are missing.
    Unknown,
}

impl Sign {
    /// The colours of this sign.
    pub const fn tone(self, palette: &Palette) -> Tone {
        match self {
            Self::Broken => palette.broken,
            Self::Caution => palette.caution,
            Self::Met => palette.met,
            Self::Accepted | Self::Note => palette.note,
            Self::Unknown => palette.unknown,
        }
    }

    /// The word that stands for the sign where there is no picture.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Broken => "Must fix",
            Self::Caution => "Caution",
            Self::Met => "Met",
            Self::Accepted => "Accepted",
            Self::Note => "Note",
            Self::Unknown => "Not known",
        }
    }

    /// Draws the sign in the middle of `rect`.
    pub fn paint(self, painter: &Painter, rect: Rect, colour: Color32) {
        let stroke = Stroke::new(2.2, colour);
        let at = |x: f32, y: f32| rect.center() + vec2(x, y) * SIGN / 2.0;
        match self {
            Self::Broken => {
                painter.line_segment([at(-0.8, -0.8), at(0.8, 0.8)], stroke);
                painter.line_segment([at(-0.8, 0.8), at(0.8, -0.8)], stroke);
            }
            Self::Caution => {
                painter.line_segment([at(0.0, -1.0), at(0.0, 0.3)], stroke);
                painter.circle_filled(at(0.0, 0.85), 1.4, colour);
            }
            Self::Met | Self::Accepted => {
                painter.line(vec![at(-0.9, 0.1), at(-0.25, 0.75), at(0.9, -0.75)], stroke);
            }
            Self::Note => {
                painter.circle_filled(rect.center(), 2.6, colour);
            }
            Self::Unknown => {
                painter.text(
                    rect.center(),
                    egui::Align2::CENTER_CENTER,
                    "?",
                    theme::bold(text::SECTION),
                    colour,
                );
            }
        }
    }
}

/// The head of a panel, with an optional second text beside it (empty for none).
pub fn section(ui: &mut Ui, title: &str, beside: &str) -> Response {
    let palette = theme::palette(ui);
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 10.0;
        let head = ui.label(
            RichText::new(title)
                .font(theme::bold(text::SECTION))
                .color(palette.ink),
        );
        head.widget_info(|| WidgetInfo::labeled(Role::Heading, true, title));
        if !beside.is_empty() {
            let words = RichText::new(beside)
                .size(text::LABEL)
                .color(palette.ink_weak);
            ui.label(words);
        }
        head
    })
    .inner
}

/// A length on the screen, cut off far beyond its edges.
#[expect(
    clippy::cast_possible_truncation,
    reason = "bounded just before; the screen has no finer places"
)]
pub fn on_screen(points: f64) -> f32 {
    points.max(-1e5).min(1e5) as f32
}

/// Slanting strokes over an area, so far apart in points; the painter cuts them off at its edges.
pub fn slanting(painter: &Painter, area: Rect, gap: f32, stroke: Stroke) {
    let mut x = area.left() - area.height();
    while x < area.right() {
        let (from, to) = (pos2(x, area.bottom()), pos2(x + area.height(), area.top()));
        painter.line_segment([from, to], stroke);
        x += gap.max(1.0);
    }
}

/// The dashed outline of a rectangle, with dashes and gaps of these lengths.
pub fn dashed(painter: &Painter, rect: Rect, stroke: Stroke, (dash, gap): (f32, f32)) {
    let corners = [
        rect.left_top(),
        rect.right_top(),
        rect.right_bottom(),
        rect.left_bottom(),
        rect.left_top(),
    ];
    painter.extend(egui::Shape::dashed_line(&corners, stroke, dash, gap));
}

/// A few words of help, weaker than what they explain.
pub fn hint(ui: &mut Ui, words: &str) {
    ui.add(egui::Label::new(RichText::new(words).size(text::LABEL).weak()).wrap());
}

/// A share of a whole, between 0 and 1.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a share of 1 on the screen needs no more than f32"
)]
pub fn share(part: f64, whole: f64) -> f32 {
    (part / whole).max(0.0).min(1.0) as f32
}

/// A button that mends or shows something, as at the foot of a card.
pub fn action(ui: &mut Ui, label: &str) -> Response {
    action_named(ui, label, label)
}

/// The same with a fuller name for screen readers, for a short label that stands more than once on a panel.
pub fn action_named(ui: &mut Ui, label: &str, name: &str) -> Response {
    let words = RichText::new(label).size(text::LABEL);
    action_button(ui, egui::Button::new(words), name)
}

/// The same for a label that may be longer than the row it begins: it goes on in a second line.
pub fn action_folding(ui: &mut Ui, label: &str, name: &str) -> Response {
    let words = RichText::new(label).size(text::LABEL);
    action_button(ui, egui::Button::new(words).wrap(), name)
}

fn action_button(ui: &mut Ui, button: egui::Button<'_>, name: &str) -> Response {
    let tone = theme::palette(ui).action;
    ui.scope(|ui| {
        let widgets = &mut ui.visuals_mut().widgets;
        for (look, width) in [
            (&mut widgets.inactive, line::EDGE),
            (&mut widgets.hovered, line::EDGE),
            (&mut widgets.active, line::FOCUS),
        ] {
            look.bg_stroke = Stroke::new(width, tone.line);
            look.fg_stroke.color = tone.text;
        }
        widgets.inactive.weak_bg_fill = Color32::TRANSPARENT;
        widgets.hovered.weak_bg_fill = tone.wash;
        let button = ui.add(button);
        button.widget_info(|| WidgetInfo::labeled(Role::Button, ui.is_enabled(), name));
        button
    })
    .inner
}

/// A button that is on or off, round at its ends. The caller keeps the state and turns it when the response was clicked.
pub fn pill(ui: &mut Ui, label: &str, on: bool) -> Response {
    let palette = theme::palette(ui);
    let (fill, ink) = if on {
        (palette.pill_on, palette.pill_on_text)
    } else {
        (palette.field, palette.ink)
    };
    let look = Shape {
        fill,
        ink,
        edge: palette.ink,
        focus: palette.selection.line,
        radius: 12,
        least_width: 54.0,
    };
    let response = label_button(ui, label, &look);
    response.widget_info(|| WidgetInfo::selected(Role::Button, ui.is_enabled(), on, label));
    response
}

/// A row of tabs on the dark frame; gives the number of the tab that was clicked. The arrow keys move the keyboard along the
/// row, Enter or the space bar chooses.
pub fn tabs<L: AsRef<str>>(ui: &mut Ui, labels: &[L], chosen: usize) -> Option<usize> {
    let palette = theme::palette(ui);
    let row = ui.horizontal(|ui| {
        let mut clicked = None;
        for (number, label) in labels.iter().enumerate() {
            let on = number == chosen;
            let (fill, ink) = if on {
                (palette.tab, palette.tab_text)
            } else {
                (palette.frame, palette.frame_text)
            };
            let look = Shape {
                fill,
                ink,
                edge: palette.frame_edge,
                focus: palette.frame_focus,
                radius: corner::CONTROL,
                least_width: 80.0,
            };
            let response = label_button(ui, label.as_ref(), &look);
            response.widget_info(|| {
                WidgetInfo::selected(Role::Tab, ui.is_enabled(), on, label.as_ref())
            });
            if response.clicked() {
                clicked = Some(number);
            }
        }
        clicked
    });
    row.response.widget_info(|| WidgetInfo::new(Role::TabList));
    row.inner
}

/// Looks of a painted button.
struct Shape {
    fill: Color32,
    ink: Color32,
    edge: Color32,
    focus: Color32,
    radius: u8,
    least_width: f32,
}

/// A painted button with a centred label; the caller gives it its name and role.
fn label_button(ui: &mut Ui, label: &str, look: &Shape) -> Response {
    let galley = ui
        .painter()
        .layout_no_wrap(label.to_owned(), theme::plain(text::BODY), look.ink);
    let size = vec2((galley.size().x + 20.0).max(look.least_width), PILL_HEIGHT);
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    if ui.is_rect_visible(rect) {
        let width = if response.hovered() {
            line::MEASURE
        } else {
            line::EDGE
        };
        let edge = Stroke::new(width, look.edge);
        ui.painter().rect(
            rect,
            CornerRadius::same(look.radius),
            look.fill,
            edge,
            StrokeKind::Inside,
        );
        ui.painter()
            .galley(rect.center() - galley.size() / 2.0, galley, look.ink);
        focus_ring(ui, &response, look.radius, look.focus);
    }
    response
}

/// The ring around what has the keyboard, just outside its edge.
pub(super) fn focus_ring(ui: &Ui, response: &Response, radius: u8, colour: Color32) {
    if response.has_focus() {
        let rect = response.rect.expand(1.0);
        let ring = Stroke::new(line::FOCUS, colour);
        ui.painter().rect_stroke(
            rect,
            CornerRadius::same(radius.saturating_add(2)),
            ring,
            StrokeKind::Outside,
        );
    }
}

/// One thing that can be dragged out of the drawer.
#[derive(Clone, Copy, Debug)]
pub struct Entry<'a> {
    title: &'a str,
    subtitle: &'a str,
    selected: bool,
}

impl<'a> Entry<'a> {
    /// An entry with its name and a second line (empty for none).
    pub const fn new(title: &'a str, subtitle: &'a str) -> Self {
        Self {
            title,
            subtitle,
            selected: false,
        }
    }

    /// Marks the entry as the one being placed.
    pub const fn selected(mut self, selected: bool) -> Self {
        self.selected = selected;
        self
    }

    /// A card with a picture of `size` points above the words; `paint` gets the rectangle to draw in. The response senses
    /// clicks and drags.
    pub fn card(self, ui: &mut Ui, size: Vec2, paint: impl FnOnce(&Painter, Rect)) -> Response {
        let palette = theme::palette(ui);
        let (title, subtitle) = self.words(ui, palette, theme::bold(text::BODY));
        let width = ui.available_width();
        let height = CARD_MARGIN * 2.0 + size.y + 5.0 + title.size().y + 1.0 + subtitle.size().y;
        let (rect, response) = ui.allocate_exact_size(vec2(width, height), Sense::click_and_drag());
        let response = self.named(response);
        if ui.is_rect_visible(rect) {
            self.paint_ground(ui, &response, palette);
            let inner = rect.shrink2(vec2(CARD_MARGIN + 3.0, CARD_MARGIN));
            let picture = Rect::from_min_size(inner.min, vec2(size.x.min(inner.width()), size.y));
            paint(
                &ui.painter()
                    .with_clip_rect(picture.expand(1.0).intersect(ui.clip_rect())),
                picture,
            );
            let title_at = pos2(inner.left(), picture.bottom() + 5.0);
            let below = title_at + vec2(0.0, title.size().y + 1.0);
            ui.painter().galley(title_at, title, palette.ink);
            ui.painter().galley(below, subtitle, palette.ink_weak);
        }
        response
    }

    /// A plain row with a hairline below, for things that need no picture. The response senses clicks and drags.
    pub fn row(self, ui: &mut Ui) -> Response {
        let palette = theme::palette(ui);
        let (title, subtitle) = self.words(ui, palette, theme::plain(text::BODY));
        let lines = title.size().y
            + if self.subtitle.is_empty() {
                0.0
            } else {
                subtitle.size().y + 1.0
            };
        let size = vec2(ui.available_width(), (lines + 8.0).max(PILL_HEIGHT));
        let (rect, response) = ui.allocate_exact_size(size, Sense::click_and_drag());
        let response = self.named(response);
        if ui.is_rect_visible(rect) {
            if response.hovered() || response.has_focus() || self.selected {
                self.paint_ground(ui, &response, palette);
            } else {
                ui.painter().hline(
                    rect.x_range(),
                    rect.bottom(),
                    Stroke::new(line::HAIR, palette.edge),
                );
            }
            let at = pos2(rect.left() + CARD_MARGIN, rect.center().y - lines / 2.0);
            let below = at + vec2(0.0, title.size().y + 1.0);
            ui.painter().galley(at, title, palette.ink);
            ui.painter().galley(below, subtitle, palette.ink_weak);
        }
        response
    }

    fn words(
        &self,
        ui: &Ui,
        palette: &Palette,
        font: egui::FontId,
    ) -> (std::sync::Arc<egui::Galley>, std::sync::Arc<egui::Galley>) {
        let width = (ui.available_width() - 2.0 * (CARD_MARGIN + 3.0)).max(20.0);
        let title = ui
            .painter()
            .layout(self.title.to_owned(), font, palette.ink, width);
        let subtitle = ui.painter().layout(
            self.subtitle.to_owned(),
            theme::plain(text::SMALL),
            palette.ink_weak,
            width,
        );
        (title, subtitle)
    }

    fn named(&self, response: Response) -> Response {
        let name = if self.subtitle.is_empty() {
            self.title.to_owned()
        } else {
            format!("{}, {}", self.title, self.subtitle)
        };
        response.widget_info(|| {
            WidgetInfo::selected(Role::Button, response.enabled(), self.selected, &name)
        });
        response.on_hover_cursor(CursorIcon::Grab)
    }

    fn paint_ground(&self, ui: &Ui, response: &Response, palette: &Palette) {
        let fill = if response.hovered() {
            palette.card_hover
        } else {
            palette.card
        };
        let edge = if self.selected {
            Stroke::new(line::SELECTION, palette.selection.line)
        } else {
            Stroke::new(line::EDGE, palette.edge)
        };
        ui.painter().rect(
            response.rect,
            CornerRadius::same(corner::CARD),
            fill,
            edge,
            StrokeKind::Inside,
        );
        focus_ring(ui, response, corner::CARD, palette.selection.line);
    }
}

/// A card with a sign: one finding of the punch list.
#[derive(Clone, Copy, Debug)]
pub struct Card<'a> {
    sign: Sign,
    title: &'a str,
    line: &'a str,
    source: &'a str,
    small: &'a str,
    selected: bool,
}

/// What happened to a card.
#[derive(Clone, Debug)]
pub struct CardResponse<R> {
    /// The card itself (not one of its buttons) was clicked, or chosen by keyboard.
    pub clicked: bool,
    /// The word at the head of the small line was clicked, or chosen by keyboard.
    pub asked: bool,
    /// The pointer is over the card, or its title has the keyboard.
    pub pointed_at: bool,
    /// Where the card is.
    pub rect: Rect,
    /// What the closure for the buttons gave.
    pub inner: R,
}

impl<'a> Card<'a> {
    /// A card with its sign and title.
    pub const fn new(sign: Sign, title: &'a str) -> Self {
        Self {
            sign,
            title,
            line: "",
            source: "",
            small: "",
            selected: false,
        }
    }

    /// The line below the title, such as the measured value.
    pub const fn line(mut self, line: &'a str) -> Self {
        self.line = line;
        self
    }

    /// The word at the head of the small line, a link to what there is to read about it.
    pub const fn source(mut self, source: &'a str) -> Self {
        self.source = source;
        self
    }

    /// The small line, such as the rule and its source.
    pub const fn small(mut self, small: &'a str) -> Self {
        self.small = small;
        self
    }

    /// Marks the card whose place is shown on the floor.
    pub const fn selected(mut self, selected: bool) -> Self {
        self.selected = selected;
        self
    }

    /// The card's whole name for screen readers: sign, title and what stands below it.
    pub fn name(&self) -> String {
        let mut name = format!("{}: {}", self.sign.word(), self.title);
        for more in [self.line, self.source, self.small]
            .into_iter()
            .filter(|more| !more.is_empty())
        {
            name.push_str(". ");
            name.push_str(more);
        }
        name
    }

    /// Shows the card as wide as there is room; `buttons` fills a wrapping row at its foot.
    pub fn ui<R>(self, ui: &mut Ui, buttons: impl FnOnce(&mut Ui) -> R) -> CardResponse<R> {
        let palette = theme::palette(ui);
        // The ground is drawn below words whose height is known only afterwards, so its place in the order is kept free.
        let ground = ui.painter().add(egui::Shape::Noop);
        // Clickable anywhere, yet no stop of the Tab key: the title is that.
        let builder = UiBuilder::new().sense(Sense::CLICK | Sense::HOVER);
        let shown = ui.scope_builder(builder, |ui| {
            egui::Frame::new()
                .inner_margin(egui::Margin {
                    left: 38,
                    right: 10,
                    top: 8,
                    bottom: 8,
                })
                .show(ui, |ui| {
                    ui.set_min_width(ui.available_width());
                    ui.spacing_mut().item_spacing.y = 3.0;
                    self.words(ui, palette, buttons)
                })
                .inner
        });
        let (title, asked, inner) = shown.inner;
        let area = shown.response;
        let pointed_at = area.contains_pointer() || title.has_focus();
        self.paint_ground(ui, ground, area.rect, pointed_at, palette);
        focus_ring(ui, &title, 2, palette.selection.line);
        CardResponse {
            clicked: area.clicked() || title.clicked(),
            asked,
            pointed_at,
            rect: area.rect,
            inner,
        }
    }

    fn words<R>(
        &self,
        ui: &mut Ui,
        palette: &Palette,
        buttons: impl FnOnce(&mut Ui) -> R,
    ) -> (Response, bool, R) {
        let words = RichText::new(self.title)
            .font(theme::bold(text::BODY))
            .color(palette.ink);
        let title = ui.add(egui::Label::new(words).wrap().sense(Sense::click()));
        title.widget_info(|| {
            WidgetInfo::selected(Role::Button, title.enabled(), self.selected, self.name())
        });
        if !self.line.is_empty() {
            ui.label(RichText::new(self.line).color(palette.ink));
        }
        let asked = self.small_line(ui, palette);
        (title, asked, row_of_buttons(ui, buttons))
    }

    /// The small line; true where its first word was chosen.
    fn small_line(&self, ui: &mut Ui, palette: &Palette) -> bool {
        let small = |words: &str| RichText::new(words).size(text::SMALL);
        let weak = |words: &str| small(words).color(palette.ink_weak);
        if self.source.is_empty() {
            if !self.small.is_empty() {
                ui.label(weak(self.small));
            }
            return false;
        }
        let line = |ui: &mut Ui| {
            ui.spacing_mut().item_spacing.x = 0.0;
            let source = small(self.source).color(palette.action.text).underline();
            let link = ui.add(egui::Label::new(source).sense(Sense::click()));
            link.widget_info(|| {
                let name = format!("About {}", self.source);
                WidgetInfo::labeled(Role::Link, true, name)
            });
            focus_ring(ui, &link, 2, palette.selection.line);
            if !self.small.is_empty() {
                ui.label(weak(&format!(" · {}", self.small)));
            }
            link.on_hover_cursor(CursorIcon::PointingHand).clicked()
        };
        ui.scope(|ui| {
            // As high as its letters, not as a button.
            ui.spacing_mut().interact_size.y = 0.0;
            ui.horizontal_wrapped(line).inner
        })
        .inner
    }

    fn paint_ground(
        &self,
        ui: &Ui,
        place: egui::layers::ShapeIdx,
        rect: Rect,
        pointed_at: bool,
        palette: &Palette,
    ) {
        let tone = self.sign.tone(palette);
        let fill = if pointed_at {
            palette.card_hover
        } else {
            palette.card
        };
        let edge = if self.selected {
            Stroke::new(line::FOCUS, palette.selection.line)
        } else {
            Stroke::new(line::EDGE, palette.edge)
        };
        let radius = CornerRadius::same(corner::CARD);
        let bar = Rect::from_min_max(rect.min, pos2(rect.left() + BAR, rect.bottom()));
        let bar_radius = CornerRadius {
            ne: 0,
            se: 0,
            ..radius
        };
        let bar_edge = Stroke::new(line::EDGE, tone.line);
        let shapes = vec![
            egui::epaint::RectShape::new(rect, radius, fill, edge, StrokeKind::Inside).into(),
            egui::epaint::RectShape::new(bar, bar_radius, tone.fill, bar_edge, StrokeKind::Inside)
                .into(),
        ];
        ui.painter().set(place, egui::Shape::Vec(shapes));
        let sign = Rect::from_center_size(
            pos2(rect.left() + 23.0, rect.top() + 16.0),
            Vec2::splat(SIGN),
        );
        self.sign.paint(ui.painter(), sign, tone.text);
    }
}

/// A wrapping row that takes no height where nothing is put into it.
fn row_of_buttons<R>(ui: &mut Ui, buttons: impl FnOnce(&mut Ui) -> R) -> R {
    ui.scope(|ui| {
        let height = std::mem::take(&mut ui.spacing_mut().interact_size.y);
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().interact_size.y = height;
            buttons(ui)
        })
        .inner
    })
    .inner
}

/// What a person did to a field in this frame.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FieldEvent {
    /// Nothing that ends the edit.
    None,
    /// Enter was pressed, or the field was left with a changed draft: here is the draft.
    Committed(String),
    /// Escape was pressed, or the field was left as it was found: throw the draft away.
    Abandoned,
}

/// A labelled text field over a draft that the caller keeps, with an error line below.
#[derive(Clone, Copy, Debug)]
pub struct Field<'a> {
    label: &'a str,
    hint: &'a str,
    error: &'a str,
    help: &'a str,
    label_width: f32,
}

impl<'a> Field<'a> {
    /// A field with its label, which is its accessible name too; no two fields of one `ui` may have the same label.
    pub const fn new(label: &'a str) -> Self {
        Self {
            label,
            hint: "",
            error: "",
            help: "",
            label_width: 112.0,
        }
    }

    /// Text shown while the draft is empty.
    pub const fn hint(mut self, hint: &'a str) -> Self {
        self.hint = hint;
        self
    }

    /// What the figure is and where it comes from, shown beside the field while it is pointed at or has the keyboard.
    pub const fn help(mut self, help: &'a str) -> Self {
        self.help = help;
        self
    }

    /// What is wrong with the draft, shown below the field (empty for nothing).
    pub const fn error(mut self, error: &'a str) -> Self {
        self.error = error;
        self
    }

    /// Points kept for the label; 0 hides the label from the eye and leaves it to screen readers.
    pub const fn label_width(mut self, points: f32) -> Self {
        self.label_width = points;
        self
    }

    /// Shows the field as wide as there is room.
    pub fn ui(self, ui: &mut Ui, draft: &mut String) -> FieldEvent {
        let palette = theme::palette(ui);
        let id = ui.make_persistent_id(("field", self.label));
        let shown = ui.horizontal(|ui| {
            let label = (self.label_width > 0.0).then(|| self.show_label(ui, palette));
            let edit = self.show_edit(ui, id, draft, palette);
            match label {
                Some(label) => edit.labelled_by(label.id),
                None => edit.accessible_name(self.label),
            }
        });
        if !self.error.is_empty() {
            self.show_error(ui, id, palette);
        }
        let response = help::beside(shown.inner, shown.response.rect, self.help);
        event(ui, &response, draft, true)
    }

    /// Shows it with room for several lines, in which Enter breaks a line; its label is for screen readers alone.
    pub fn lines(self, ui: &mut Ui, draft: &mut String) -> FieldEvent {
        let palette = theme::palette(ui);
        let id = ui.make_persistent_id(("lines", self.label));
        let edit = TextEdit::multiline(draft)
            .id(id)
            .desired_rows(4)
            .desired_width(f32::INFINITY);
        let edit = ui.add(edit).accessible_name(self.label);
        if !self.error.is_empty() {
            self.label_width(0.0).show_error(ui, id, palette);
        }
        event(ui, &help::behind(edit, self.help), draft, false)
    }

    fn show_label(&self, ui: &mut Ui, palette: &Palette) -> Response {
        let words = RichText::new(self.label)
            .size(text::BODY - 0.5)
            .color(palette.ink_weak);
        let height = ui.spacing().interact_size.y;
        let layout = egui::Layout::left_to_right(egui::Align::Center);
        ui.allocate_ui_with_layout(vec2(self.label_width, height), layout, |ui| {
            ui.set_min_width(self.label_width);
            ui.label(words)
        })
        .inner
    }

    fn show_edit(&self, ui: &mut Ui, id: Id, draft: &mut String, palette: &Palette) -> Response {
        if !self.error.is_empty() {
            let widgets = &mut ui.visuals_mut().widgets;
            widgets.inactive.bg_stroke = Stroke::new(line::MEASURE, palette.broken.line);
            widgets.hovered.bg_stroke = widgets.inactive.bg_stroke;
        }
        let hint = RichText::new(self.hint).color(palette.ink_weak);
        ui.add(
            TextEdit::singleline(draft)
                .id(id)
                .hint_text(hint)
                .align(egui::Align2::LEFT_CENTER)
                .desired_width(f32::INFINITY),
        )
    }

    fn show_error(&self, ui: &mut Ui, field: Id, palette: &Palette) {
        ui.horizontal(|ui| {
            ui.add_space(if self.label_width > 0.0 {
                self.label_width + ui.spacing().item_spacing.x
            } else {
                0.0
            });
            let (sign, _) = ui.allocate_exact_size(Vec2::splat(SIGN), Sense::hover());
            Sign::Broken.paint(ui.painter(), sign.shrink(1.0), palette.broken.text);
            ui.add(
                egui::Label::new(
                    RichText::new(self.error)
                        .size(text::SMALL)
                        .color(palette.broken.text),
                )
                .wrap(),
            );
        });
        ui.ctx().accesskit_node_builder(field, |node| {
            node.set_invalid(accesskit::Invalid::True);
            node.set_description(self.error);
        });
    }
}

/// Reads the end of an edit from the field's focus. The draft as it was when the keyboard arrived is kept beside the field;
/// taking it out also makes the end count once, since egui says for two frames that the focus was lost.
fn event(ui: &Ui, field: &Response, draft: &str, enter_ends: bool) -> FieldEvent {
    let before = field.id.with("before");
    if field.gained_focus() {
        ui.data_mut(|data| data.insert_temp(before, draft.to_owned()));
    }
    if !field.lost_focus() {
        return FieldEvent::None;
    }
    let Some(found) = ui.data_mut(|data| data.remove_temp::<String>(before)) else {
        return FieldEvent::None;
    };
    let (enter, escape) = ui.input(|input| {
        (
            input.key_pressed(Key::Enter),
            input.key_pressed(Key::Escape),
        )
    });
    if escape || (found == draft && !(enter && enter_ends)) {
        FieldEvent::Abandoned
    } else {
        FieldEvent::Committed(draft.to_owned())
    }
}
