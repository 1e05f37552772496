//! Contrast of every colour on the grounds it stands on, by the formula of WCAG 2.2 (W3C Recommendation, 2023): relative
//! luminance and contrast ratio as defined in its glossary, 4.5 to 1 for text (1.4.3 at level AA; none of ours counts as large),
//! 3 to 1 for marks and for the edges of controls (1.4.11).

use aislewright::editor::theme::{self, Palette, Tone};
use egui::{Color32, Theme};

/// WCAG 2.2 glossary, "relative luminance"; the threshold is 0.04045, as corrected there.
fn luminance(colour: Color32) -> f64 {
    let linear = |channel: u8| {
        let share = f64::from(channel) / 255.0;
        if share <= 0.04045 {
            share / 12.92
        } else {
            ((share + 0.055) / 1.055).powf(2.4)
        }
    };
    0.2126 * linear(colour.r()) + 0.7152 * linear(colour.g()) + 0.0722 * linear(colour.b())
}

/// WCAG 2.2 glossary, "contrast ratio".
fn contrast(a: Color32, b: Color32) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

struct Pair {
    name: &'static str,
    mark: Color32,
    ground: Color32,
    least: f64,
}

fn text(name: &'static str, mark: Color32, ground: Color32) -> Pair {
    Pair {
        name,
        mark,
        ground,
        least: 4.5,
    }
}

fn mark(name: &'static str, mark: Color32, ground: Color32) -> Pair {
    Pair {
        name,
        mark,
        ground,
        least: 3.0,
    }
}

fn tones(p: &Palette) -> [(&'static str, Tone); 12] {
    [
        ("selection", p.selection),
        ("measure", p.measure),
        ("action", p.action),
        ("broken", p.broken),
        ("caution", p.caution),
        ("note", p.note),
        ("met", p.met),
        ("unknown", p.unknown),
        ("way", p.way),
        ("zone_keep_out", p.zone_keep_out),
        ("zone_jet", p.zone_jet),
        ("zone_wet", p.zone_wet),
    ]
}

/// Grounds that ordinary text, tones and fields stand on.
fn grounds(p: &Palette) -> [Color32; 6] {
    [
        p.paper,
        p.elevation,
        p.drawer,
        p.card,
        p.card_hover,
        p.field,
    ]
}

fn on_frame(p: &Palette) -> Vec<Pair> {
    let words = [
        ("frame_strong", p.frame_strong),
        ("frame_text", p.frame_text),
        ("frame_weak", p.frame_weak),
        ("frame_met", p.frame_met),
        ("frame_caution", p.frame_caution),
        ("frame_broken", p.frame_broken),
        ("flag_unknown", p.flag_unknown),
    ];
    let marks = [
        ("frame_edge", p.frame_edge),
        ("frame_focus", p.frame_focus),
        ("tape", p.tape),
        ("tape_placed", p.tape_placed),
        ("true_maximum", p.true_maximum),
        ("tab", p.tab),
        ("flag pole", p.flag_text),
    ];
    let mut pairs: Vec<Pair> = words
        .map(|(name, colour)| text(name, colour, p.frame))
        .into();
    pairs.extend(marks.map(|(name, colour)| mark(name, colour, p.frame)));
    pairs.extend([
        text("frame_strong on a pressed control", p.frame_strong, p.flag),
        text("tab_text", p.tab_text, p.tab),
        text("tape_text", p.tape_text, p.tape),
        text("tape_text, placed", p.tape_text, p.tape_placed),
        text("true_maximum_text", p.true_maximum_text, p.true_maximum),
        text("flag_text", p.flag_text, p.flag),
    ]);
    pairs
}

fn on_panels_and_paper(p: &Palette) -> Vec<Pair> {
    let mut pairs = vec![text("pill_on_text", p.pill_on_text, p.pill_on)];
    for ground in grounds(p) {
        pairs.extend([
            text("ink", p.ink, ground),
            text("ink_weak", p.ink_weak, ground),
            mark("pill_on", p.pill_on, ground),
            mark("field_edge", p.field_edge, ground),
            mark("body_edge", p.body_edge, ground),
        ]);
        for (name, tone) in tones(p) {
            pairs.extend([text(name, tone.text, ground), mark(name, tone.line, ground)]);
            pairs.push(text(name, tone.text, ground.blend(tone.wash)));
        }
    }
    pairs
}

fn on_bodies(p: &Palette) -> Vec<Pair> {
    let mut pairs = vec![
        mark("wall_hatch on paper", p.wall_hatch, p.paper),
        mark("wall_hatch on wall", p.wall_hatch, p.wall),
        mark("strip", p.strip, p.paper),
        mark("board", p.body_edge, p.board),
        mark("rule", p.tape_text, p.rule),
    ];
    for ground in [p.paper, p.rack_body, p.low_body] {
        pairs.extend(p.wires.map(|colour| mark("wires", colour, ground)));
    }
    for body in [p.rack_body, p.low_body, p.printer] {
        pairs.extend([
            text("ink on a body", p.ink, body),
            text("ink on a dragged body", p.ink, body.blend(p.ghost)),
            mark("body_edge", p.body_edge, body),
            mark("selection", p.selection.line, body),
            mark("broken", p.broken.line, body),
        ]);
    }
    pairs.push(text("ink in a swing", p.ink, p.paper.blend(p.swing)));
    pairs
}

fn faults(theme: Theme) -> Vec<String> {
    let p = Palette::of(theme);
    let pairs: Vec<Pair> = [on_frame(p), on_panels_and_paper(p), on_bodies(p)]
        .into_iter()
        .flatten()
        .collect();
    let told = |pair: &Pair, ratio: f64| {
        format!(
            "{theme:?} {}: {:?} on {:?} is {ratio:.2}, needs {}",
            pair.name, pair.mark, pair.ground, pair.least
        )
    };
    pairs
        .iter()
        .map(|pair| (pair, contrast(pair.mark, pair.ground)))
        .filter(|(pair, ratio)| *ratio < pair.least)
        .map(|(pair, ratio)| told(pair, ratio))
        .collect()
}

/// Checks the formula itself: black on white is 21 to 1 (WCAG 2.2, "contrast ratio", gives the range 1 to 21), and 118,118,118
/// is the darkest grey known to fail no longer on white at 4.5 (W3C, Understanding 1.4.3, names #767676).
#[test]
fn the_formula_gives_the_published_ratios() {
    assert!(
        (contrast(Color32::BLACK, Color32::WHITE) - 21.0).abs() < 1e-9,
        "black on white"
    );
    assert!(
        (contrast(Color32::WHITE, Color32::WHITE) - 1.0).abs() < 1e-9,
        "white on white"
    );
    let passes = |grey: u8| contrast(Color32::from_gray(grey), Color32::WHITE) >= 4.5;
    assert!(
        passes(0x76) && !passes(0x77),
        "the lightest grey that may stand on white"
    );
}

#[test]
fn every_text_and_mark_can_be_told_from_its_ground() {
    let faults: Vec<String> = [Theme::Light, Theme::Dark]
        .into_iter()
        .flat_map(faults)
        .collect();
    assert!(
        faults.is_empty(),
        "{} of low contrast:\n{}",
        faults.len(),
        faults.join("\n")
    );
}

/// The egui styles hold no colours of their own that the roles above do not cover.
#[test]
fn egui_draws_with_the_same_roles() {
    let ctx = egui::Context::default();
    theme::apply(&ctx);
    for theme in [Theme::Light, Theme::Dark] {
        let (p, visuals) = (Palette::of(theme), ctx.style_of(theme).visuals.clone());
        assert_eq!(visuals.panel_fill, p.drawer, "{theme:?} panels");
        assert_eq!(visuals.text_color(), p.ink, "{theme:?} text");
        assert_eq!(
            visuals.weak_text_color(),
            p.ink_weak,
            "{theme:?} second text"
        );
        assert_eq!(
            visuals.widgets.active.bg_stroke.color, p.selection.line,
            "{theme:?} the ring of the keyboard focus"
        );
        let selected = contrast(visuals.selection.stroke.color, visuals.selection.bg_fill);
        assert!(selected >= 4.5, "{theme:?} selected text: {selected:.2}");
        assert_eq!(visuals.dark_mode, theme == Theme::Dark, "{theme:?}");
    }
}

/// The hues of the palette for colour-blind readers (Okabe and Ito, 2008), as published: orange 230,159,0; sky blue 86,180,233;
/// bluish green 0,158,115; yellow 240,228,66; blue 0,114,178; vermilion 213,94,0; reddish purple 204,121,167.
#[test]
fn fills_come_from_the_published_palette() {
    let p = Palette::of(Theme::Light);
    assert_eq!(p.caution.fill, Color32::from_rgb(230, 159, 0), "orange");
    assert_eq!(p.zone_jet.fill, Color32::from_rgb(86, 180, 233), "sky blue");
    assert_eq!(p.met.fill, Color32::from_rgb(0, 158, 115), "bluish green");
    assert_eq!(p.rule, Color32::from_rgb(240, 228, 66), "yellow");
    assert_eq!(p.selection.line, Color32::from_rgb(0, 114, 178), "blue");
    assert_eq!(p.broken.fill, Color32::from_rgb(213, 94, 0), "vermilion");
    assert_eq!(
        p.way.fill,
        Color32::from_rgb(204, 121, 167),
        "reddish purple"
    );
}
