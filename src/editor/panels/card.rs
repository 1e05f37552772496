//! s
use crate::editor::{action::Actions, shown::Shown};
#[derive(Debug, Default)]
pub struct CardView;
pub fn card_ui(ui: &mut egui::Ui, s: &Shown<'_>, _: &mut CardView, _: &mut Actions) {
    ui.label(format!("{:?}", s.selection.lead()));
}
