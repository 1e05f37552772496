//! Looks in one place: every colour, line width and text size of the editor, named by what it stands for.
//!
//! Nothing else in the editor names a hue. Marks come from the palette for colour-blind readers of M. Okabe and K. Ito ("Color
//! Universal Design", 2008); text in colour uses a darkened (on dark ground, a lightened) form. Contrast follows WCAG 2.2 level
//! AA: text 4.5 to 1 (success criterion 1.4.3), marks and the edges of controls 3 to 1 (1.4.11). Meaning never rests on colour
//! alone: every tone goes with a sign, a hatch or a word. Knows no plan and draws nothing.

use std::collections::BTreeMap;
use std::sync::Arc;

use egui::style::{ScrollStyle, WidgetVisuals};
use egui::{
    Color32, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, Margin, Shadow, Stroke,
    Style, TextStyle, Theme, Visuals, vec2,
};

/// Widths of lines, in points.
pub mod line {
    /// Hairlines: rows of a list, the grid.
    pub const HAIR: f32 = 0.7;
    /// Edges of cards, fields, buttons and flags; dimension lines.
    pub const EDGE: f32 = 1.0;
    /// Edges of things inside a body, such as a printer on a board.
    pub const PART: f32 = 0.9;
    /// Outlines of walls, racks and other bodies.
    pub const BODY: f32 = 1.6;
    /// Lines that measure, jets and swings.
    pub const MEASURE: f32 = 1.4;
    /// Ways and reach arcs.
    pub const WAY: f32 = 2.0;
    /// Hatch strokes over something broken.
    pub const HATCH: f32 = 2.4;
    /// The outline of what is selected, and the mark of the true maximum.
    pub const SELECTION: f32 = 3.0;
    /// The ring around what has the keyboard.
    pub const FOCUS: f32 = 2.0;
}

/// Sizes of text, in points.
pub mod text {
    /// The count of printers.
    pub const COUNT: f32 = 26.0;
    /// The plan's name.
    pub const TITLE: f32 = 20.0;
    /// Heads of panels.
    pub const SECTION: f32 = 15.0;
    /// Reading text, fields, buttons.
    pub const BODY: f32 = 12.5;
    /// Labels on the floor, buttons in cards.
    pub const LABEL: f32 = 11.5;
    /// Second lines, sources.
    pub const SMALL: f32 = 11.0;
    /// The smallest text there is.
    pub const TINY: f32 = 10.5;
}

/// Radii of corners, in points.
pub mod corner {
    /// Cards.
    pub const CARD: u8 = 5;
    /// Buttons and fields.
    pub const CONTROL: u8 = 4;
    /// Flags on the tape.
    pub const FLAG: u8 = 2;
}

/// One meaning in its four strengths.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Tone {
    /// For areas, such as the bar of a card; always has an edge in `line`, which carries the contrast.
    pub fill: Color32,
    /// For lines and edges: at least 3 to 1 on paper, elevation, drawer and card.
    pub line: Color32,
    /// For words and signs: at least 4.5 to 1 on the same grounds.
    pub text: Color32,
    /// See-through, for laying over the floor.
    pub wash: Color32,
}

/// Every colour of one theme, by role. Text roles end in the ground they stand on, or stand on paper, elevation, drawer and card.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Palette {
    /// The dark frame: top bar and bottom bar.
    pub frame: Color32,
    /// Main text on the frame.
    pub frame_strong: Color32,
    /// Ordinary text on the frame.
    pub frame_text: Color32,
    /// Second text on the frame.
    pub frame_weak: Color32,
    /// Edges of controls on the frame.
    pub frame_edge: Color32,
    /// Good news on the frame.
    pub frame_met: Color32,
    /// A caution on the frame.
    pub frame_caution: Color32,
    /// Something broken, on the frame.
    pub frame_broken: Color32,
    /// The ring of the keyboard focus on the frame.
    pub frame_focus: Color32,
    /// A chosen tab on the frame.
    pub tab: Color32,
    /// Text on a chosen tab.
    pub tab_text: Color32,

    /// The tape of printer counts.
    pub tape: Color32,
    /// The part of the tape that is placed.
    pub tape_placed: Color32,
    /// Ticks and numbers on the tape, placed or not.
    pub tape_text: Color32,
    /// The mark of the true maximum; its line has an edge in `tape_text` where it crosses the tape.
    pub true_maximum: Color32,
    /// Text on the mark of the true maximum.
    pub true_maximum_text: Color32,
    /// A flag that says what limits the count.
    pub flag: Color32,
    /// Text on such a flag, and its pole.
    pub flag_text: Color32,
    /// Dashed edge and text of a flag whose number is not known.
    pub flag_unknown: Color32,

    /// The floor plan's ground.
    pub paper: Color32,
    /// Lines of the grid: decoration, kept faint on purpose.
    pub grid: Color32,
    /// The elevation's ground.
    pub elevation: Color32,
    /// Side panels.
    pub drawer: Color32,
    /// Cards on the side panels.
    pub card: Color32,
    /// A card or row under the pointer.
    pub card_hover: Color32,
    /// Edges of cards and rows: decoration.
    pub edge: Color32,
    /// Inside of fields and of pills that are off.
    pub field: Color32,
    /// Edges of fields, buttons and scroll handles.
    pub field_edge: Color32,
    /// Ordinary text and outlines.
    pub ink: Color32,
    /// Second text.
    pub ink_weak: Color32,
    /// A pill that is on.
    pub pill_on: Color32,
    /// Text on a pill that is on.
    pub pill_on_text: Color32,

    /// Wall ground.
    pub wall: Color32,
    /// Wall hatch and outline.
    pub wall_hatch: Color32,
    /// A full rack's body.
    pub rack_body: Color32,
    /// A low rack's, spool rack's or bench's body.
    pub low_body: Color32,
    /// Outlines of bodies and of what stands in them.
    pub body_edge: Color32,
    /// A printer, and other machines.
    pub printer: Color32,
    /// Boards and shelves.
    pub board: Color32,
    /// Dots of a working strip.
    pub strip: Color32,
    /// Inside of a door's swing.
    pub swing: Color32,
    /// A body while it is dragged.
    pub ghost: Color32,
    /// A rule laid along a dragged body; has an edge in `body_edge`.
    pub rule: Color32,

    /// What is selected, and what has the keyboard.
    pub selection: Tone,
    /// Lengths being measured.
    pub measure: Tone,
    /// Buttons that mend something, links.
    pub action: Tone,
    /// A broken check.
    pub broken: Tone,
    /// A caution.
    pub caution: Tone,
    /// Something to know, or accepted.
    pub note: Tone,
    /// A check that is met.
    pub met: Tone,
    /// Not known for want of data.
    pub unknown: Tone,
    /// Ways to walk and ways out.
    pub way: Tone,
    /// A floor area to keep clear.
    pub zone_keep_out: Tone,
    /// Air thrown by a cooling unit.
    pub zone_jet: Tone,
    /// A floor that gets wet.
    pub zone_wet: Tone,
    /// Cables and cords, by turns; each circuit has its number and its dashes besides.
    pub wires: [Color32; 3],
}

impl Palette {
    /// The palette of an egui theme.
    pub const fn of(theme: Theme) -> &'static Self {
        match theme {
            Theme::Light => &LIGHT,
            Theme::Dark => &DARK,
        }
    }
}

/// The palette in force where `ui` draws.
pub fn palette(ui: &egui::Ui) -> &'static Palette {
    Palette::of(if ui.visuals().dark_mode {
        Theme::Dark
    } else {
        Theme::Light
    })
}

/// Ordinary letters of a size in points.
pub const fn plain(size: f32) -> FontId {
    FontId::new(size, FontFamily::Proportional)
}

/// Bold letters of a size in points. The context must have had [`apply`] before its first frame.
pub fn bold(size: f32) -> FontId {
    FontId::new(size, FontFamily::Name(BOLD.into()))
}

/// Sets the fonts and both themes of a context; call it once, before the first frame.
pub fn apply(ctx: &egui::Context) {
    ctx.set_fonts(fonts());
    for theme in [Theme::Light, Theme::Dark] {
        ctx.style_mut_of(theme, |style| set_style(style, theme, Palette::of(theme)));
    }
}

/// Makes what `ui` draws from here on fit the dark frame, whichever theme is in force.
pub fn on_frame(ui: &mut egui::Ui) {
    let palette = palette(ui);
    let visuals = ui.visuals_mut();
    visuals.weak_text_color = Some(palette.frame_weak);
    visuals.widgets.noninteractive.fg_stroke.color = palette.frame_text;
    let edge = Stroke::new(line::EDGE, palette.frame_edge);
    let focus = Stroke::new(line::FOCUS, palette.frame_focus);
    let look = |fill, stroke| widget(fill, stroke, palette.frame_strong);
    visuals.widgets.inactive = look(palette.frame, edge);
    visuals.widgets.hovered = look(palette.flag, edge);
    visuals.widgets.active = look(palette.flag, focus);
    visuals.widgets.open = look(palette.flag, edge);
}

const BOLD: &str = "bold";

const fn hex(rgb: u32) -> Color32 {
    let [_, r, g, b] = rgb.to_be_bytes();
    Color32::from_rgb(r, g, b)
}

/// A see-through colour; `alpha` out of 255.
const fn wash(rgb: u32, alpha: u32) -> Color32 {
    let [_, r, g, b] = rgb.to_be_bytes();
    Color32::from_rgba_premultiplied(
        under(r, alpha),
        under(g, alpha),
        under(b, alpha),
        under(255, alpha),
    )
}

/// A channel premultiplied by an alpha out of 255, rounded.
const fn under(channel: u8, alpha: u32) -> u8 {
    let [.., low] = ((channel as u32 * alpha + 127) / 255).to_be_bytes();
    low
}

const fn tone(fill: u32, line: u32, text: u32) -> Tone {
    Tone {
        fill: hex(fill),
        line: hex(line),
        text: hex(text),
        wash: wash(fill, 40),
    }
}

const INK: u32 = 0x0020_262B;

const LIGHT: Palette = Palette {
    frame: hex(INK),
    frame_strong: hex(0x00FF_FFFF),
    frame_text: hex(0x00E6_E8EA),
    frame_weak: hex(0x00B9_BDC1),
    frame_edge: hex(0x008C_9297),
    frame_met: hex(0x009B_E0C6),
    frame_caution: hex(0x00F3_C778),
    frame_broken: hex(0x00FF_B48A),
    frame_focus: hex(0x0056_B4E9),
    tab: hex(0x00FF_FFFF),
    tab_text: hex(INK),

    tape: hex(0x00F0_E9D2),
    tape_placed: hex(0x0024_A981),
    tape_text: hex(INK),
    true_maximum: hex(0x00E6_9F00),
    true_maximum_text: hex(INK),
    flag: hex(0x004A_5157),
    flag_text: hex(0x00FF_FFFF),
    flag_unknown: hex(0x00B9_BDC1),

    paper: hex(0x00F7_F4EC),
    grid: hex(0x00E4_DECF),
    elevation: hex(0x00F1_EDE2),
    drawer: hex(0x00EC_E7DB),
    card: hex(0x00FB_F9F3),
    card_hover: hex(0x00FF_FFFF),
    edge: hex(0x00C9_C1B0),
    field: hex(0x00FF_FFFF),
    field_edge: hex(0x0082_7B6C),
    ink: hex(INK),
    ink_weak: hex(0x0066_6259),
    pill_on: hex(INK),
    pill_on_text: hex(0x00FF_FFFF),

    wall: hex(0x00D8_D2C4),
    wall_hatch: hex(0x003A_4046),
    rack_body: hex(0x00E7_EFEA),
    low_body: hex(0x00EF_EBDD),
    body_edge: hex(INK),
    printer: hex(0x00FF_FFFF),
    board: hex(0x00B9_8E5A),
    strip: hex(0x007C_776D),
    swing: wash(0x00FF_FFFF, 191),
    ghost: wash(0x0056_B4E9, 90),
    rule: hex(0x00F0_E442),

    selection: tone(0x0056_B4E9, 0x0000_72B2, 0x0000_6199),
    measure: tone(0x0056_B4E9, 0x0000_72B2, 0x0000_6199),
    action: tone(0x0056_B4E9, 0x0000_72B2, 0x0000_6199),
    broken: tone(0x00D5_5E00, 0x00CF_5B00, 0x0092_3B00),
    caution: tone(0x00E6_9F00, 0x00A3_6C00, 0x0082_5400),
    note: tone(0x0078_7368, 0x006B_675E, 0x0058_544C),
    met: tone(0x0000_9E73, 0x0000_8560, 0x0000_664B),
    unknown: tone(0x00A8_A294, 0x006B_675E, 0x0058_544C),
    way: tone(0x00CC_79A7, 0x00B0_5D8B, 0x008A_3F66),
    zone_keep_out: tone(0x00D5_5E00, 0x00CF_5B00, 0x0092_3B00),
    zone_jet: tone(0x0056_B4E9, 0x0000_72B2, 0x0000_6199),
    zone_wet: tone(0x0056_B4E9, 0x0000_72B2, 0x0000_6199),
    wires: [hex(0x0000_72B2), hex(0x00B0_5D8B), hex(0x0000_8560)],
};

const DARK: Palette = Palette {
    paper: hex(0x0012_1619),
    grid: hex(0x0023_292E),
    elevation: hex(0x0016_1B1F),
    drawer: hex(0x001A_1F24),
    card: hex(0x0025_2C32),
    card_hover: hex(0x002D_353C),
    edge: hex(0x003E_474F),
    field: hex(0x0014_181B),
    field_edge: hex(0x0080_888F),
    ink: hex(0x00E6_E8EA),
    ink_weak: hex(0x00AB_B1B6),
    pill_on: hex(0x00E6_E8EA),
    pill_on_text: hex(INK),

    wall: hex(0x0032_393F),
    wall_hatch: hex(0x0091_999F),
    rack_body: hex(0x0022_302C),
    low_body: hex(0x002E_2B22),
    body_edge: hex(0x00D3_D7DA),
    printer: hex(0x0038_4148),
    board: hex(0x006E_5230),
    strip: hex(0x007E_868C),
    swing: wash(0x00FF_FFFF, 20),
    ghost: wash(0x0056_B4E9, 90),
    rule: hex(0x00F0_E442),

    selection: tone(0x0000_72B2, 0x0056_B4E9, 0x0083_C8F0),
    measure: tone(0x0000_72B2, 0x0056_B4E9, 0x0083_C8F0),
    action: tone(0x0000_72B2, 0x0056_B4E9, 0x0083_C8F0),
    broken: tone(0x00D5_5E00, 0x00F0_7A22, 0x00FF_A871),
    caution: tone(0x00E6_9F00, 0x00E6_9F00, 0x00F3_C778),
    note: tone(0x0080_888F, 0x00AB_B1B6, 0x00C4_C9CD),
    met: tone(0x0000_9E73, 0x0023_B98D, 0x0083_DCBE),
    unknown: tone(0x0060_686E, 0x00AB_B1B6, 0x00C4_C9CD),
    way: tone(0x00CC_79A7, 0x00CC_79A7, 0x00E8_AFCF),
    zone_keep_out: tone(0x00D5_5E00, 0x00F0_7A22, 0x00FF_A871),
    zone_jet: tone(0x0056_B4E9, 0x0056_B4E9, 0x0083_C8F0),
    zone_wet: tone(0x0056_B4E9, 0x0056_B4E9, 0x0083_C8F0),
    wires: [hex(0x0056_B4E9), hex(0x00CC_79A7), hex(0x0023_B98D)],
    ..LIGHT
};

/// The bundled faces first, egui's own behind them for signs they lack.
fn fonts() -> FontDefinitions {
    let mut fonts = FontDefinitions::default();
    let faces: [(&str, &'static [u8]); 2] = [
        ("plain", include_bytes!("../../assets/fonts/DejaVuSans.ttf")),
        (
            BOLD,
            include_bytes!("../../assets/fonts/DejaVuSans-Bold.ttf"),
        ),
    ];
    for (name, bytes) in faces {
        fonts
            .font_data
            .insert(name.to_owned(), Arc::new(FontData::from_static(bytes)));
    }
    let spare = fonts
        .families
        .get(&FontFamily::Proportional)
        .cloned()
        .unwrap_or_default();
    let behind = |name: &str| {
        std::iter::once(name.to_owned())
            .chain(spare.iter().cloned())
            .collect::<Vec<_>>()
    };
    fonts
        .families
        .insert(FontFamily::Proportional, behind("plain"));
    fonts
        .families
        .insert(FontFamily::Name(BOLD.into()), behind(BOLD));
    fonts
}

fn set_style(style: &mut Style, theme: Theme, palette: &Palette) {
    style.text_styles = BTreeMap::from([
        (TextStyle::Heading, bold(text::SECTION)),
        (TextStyle::Body, plain(text::BODY)),
        (TextStyle::Button, plain(text::BODY)),
        (TextStyle::Small, plain(text::SMALL)),
        (TextStyle::Monospace, FontId::monospace(text::BODY)),
    ]);
    let spacing = &mut style.spacing;
    spacing.item_spacing = vec2(6.0, 5.0);
    spacing.button_padding = vec2(9.0, 3.0);
    spacing.interact_size = vec2(24.0, 24.0);
    spacing.menu_margin = Margin::same(6);
    spacing.window_margin = Margin::same(14);
    spacing.icon_width = 15.0;
    spacing.icon_width_inner = 9.0;
    spacing.scroll = ScrollStyle {
        bar_width: 8.0,
        foreground_color: true,
        ..ScrollStyle::thin()
    };
    style.interaction.selectable_labels = false;
    style.animation_time = 0.08;
    style.visuals = visuals(theme, palette);
}

fn visuals(theme: Theme, palette: &Palette) -> Visuals {
    let mut visuals = theme.default_visuals();
    let edge = Stroke::new(line::EDGE, palette.field_edge);
    let focus = Stroke::new(line::FOCUS, palette.selection.line);
    let widgets = &mut visuals.widgets;
    widgets.noninteractive = widget(
        palette.drawer,
        Stroke::new(line::EDGE, palette.edge),
        palette.ink,
    );
    widgets.inactive = widget(palette.field, edge, palette.ink);
    widgets.hovered = widget(
        palette.card_hover,
        Stroke::new(line::EDGE, palette.ink),
        palette.ink,
    );
    widgets.active = widget(palette.card_hover, focus, palette.ink);
    widgets.open = widget(palette.card_hover, edge, palette.ink);

    visuals.weak_text_color = Some(palette.ink_weak);
    visuals.selection.bg_fill = selected_ground(palette);
    visuals.selection.stroke = Stroke::new(line::FOCUS, palette.selection.text);
    visuals.hyperlink_color = palette.action.text;
    visuals.warn_fg_color = palette.caution.text;
    visuals.error_fg_color = palette.broken.text;
    visuals.faint_bg_color = palette.elevation;
    visuals.extreme_bg_color = palette.field;
    visuals.code_bg_color = palette.elevation;
    visuals.panel_fill = palette.drawer;
    visuals.window_fill = palette.card;
    visuals.window_stroke = Stroke::new(line::EDGE, palette.field_edge);
    visuals.window_corner_radius = CornerRadius::same(corner::CARD);
    visuals.menu_corner_radius = CornerRadius::same(corner::CARD);
    visuals.popup_shadow = Shadow {
        offset: [0, 2],
        blur: 8,
        spread: 0,
        color: wash(0, 60),
    };
    visuals.window_shadow = Shadow {
        offset: [0, 4],
        blur: 16,
        spread: 0,
        color: wash(0, 80),
    };
    visuals
}

/// The ground behind selected text: the selection's wash laid on a field.
fn selected_ground(palette: &Palette) -> Color32 {
    palette.field.blend(palette.selection.wash)
}

fn widget(fill: Color32, edge: Stroke, text: Color32) -> WidgetVisuals {
    WidgetVisuals {
        bg_fill: fill,
        weak_bg_fill: fill,
        bg_stroke: edge,
        corner_radius: CornerRadius::same(corner::CONTROL),
        fg_stroke: Stroke::new(line::MEASURE, text),
        expansion: 0.0,
    }
}
