//! The field that finds things by mark or kind. It asks; what is found is worked out and selected elsewhere.

use egui::{Frame, Id, Key, Margin, RichText, Stroke, TextEdit, TextStyle, Ui};

use crate::editor::action::{Action, Actions};
use crate::editor::theme::palette;

/// What is typed, and whether the field is wanted.
#[derive(Debug, Default)]
pub struct FindView {
    words: String,
    wanted: bool,
}

impl FindView {
    /// Gives the field the keyboard at the next frame.
    pub fn focus(&mut self) {
        self.wanted = true;
    }
}

/// Shows the field; Enter goes to the next match, and on.
pub fn find_ui(ui: &mut Ui, view: &mut FindView, actions: &mut Actions) {
    let colours = palette(ui);
    let hint = RichText::new("Find R3, P017, outlet…").color(colours.frame_weak);
    let field = TextEdit::singleline(&mut view.words)
        .id(Id::unique("find a mark or kind"))
        .hint_text(hint)
        .text_color(colours.frame_strong)
        .background_color(colours.frame)
        .font(TextStyle::Small)
        .margin(Margin::ZERO)
        .align(egui::Align2::LEFT_CENTER)
        .desired_width(190.0)
        .char_limit(60);
    let frame = Frame::new()
        .stroke(Stroke::new(1.0, colours.frame_edge))
        .corner_radius(4)
        .inner_margin(Margin::symmetric(8, 1));
    let response = frame
        .show(ui, |ui| {
            // As high as the buttons beside it.
            ui.spacing_mut().interact_size.y -= 4.0;
            ui.add(field.frame(Frame::NONE))
        })
        .inner;
    response.widget_info(|| {
        let mut info =
            egui::WidgetInfo::labeled(egui::Role::TextInput, true, "Find a mark or kind");
        info.current_text_value = Some(view.words.clone());
        info
    });
    if std::mem::take(&mut view.wanted) {
        response.request_focus();
    }
    let entered = response.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
    if entered && !view.words.trim().is_empty() {
        actions.ask(Action::Find(view.words.trim().to_owned()));
        // The field keeps the keyboard, so that Enter goes on to the next match.
        response.request_focus();
    }
}
