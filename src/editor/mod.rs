//! The editor: what egui draws and what a person does with it. Holds view state only; the document is changed through
//! edits in one place, `app`.

pub mod action;
pub mod app;
pub mod command;
pub mod derived;
mod dialogs;
mod errand;
mod figure;
mod files;
pub mod filling;
pub mod floor;
mod help;
mod keeper;
pub mod panels;
pub mod picture;
pub mod pictures;
pub mod settings;
pub mod shown;
pub mod theme;
pub mod tolerance;
pub mod tracing;
pub mod widgets;
pub mod window;

use std::path::Path;
use std::sync::Arc;
use std::time::SystemTime;

use crate::plan::{Library, PhaseNo, Plan, Session};
use crate::storage::{self, disk::RealDisk};
use app::{Editor, Setting};

/// Opens the window on a plan, or on the built-in example with the question for a new plan before it. Says why where no
/// window can be opened.
pub fn open_window(plan: Option<&Path>, example: &str, today: &str) -> Result<(), String> {
    window::can_open()?;
    let library = Library::builtin().map_err(|e| e.to_string())?;
    let opened =
        storage::plan_of(&library, "the example", example.as_bytes()).map_err(|e| e.to_string())?;
    let folders = directories::ProjectDirs::from("", "", "Aislewright");
    let settings = folders.as_ref().map(|d| d.config_dir().to_path_buf());
    let setting = Setting {
        disk: Arc::new(RealDisk),
        state: folders.map(|d| d.data_local_dir().join("unsaved")),
        today: today.to_owned(),
    };
    let path = plan.map(Path::to_path_buf);
    window::run("Aislewright", move |cc| {
        theme::apply(&cc.egui_ctx);
        let mut editor =
            Editor::new(library, setting, Session::opened(opened.plan)).with_settings(settings);
        cc.egui_ctx.set_theme(editor.theme());
        editor.look_for_unsaved_work();
        match path {
            Some(path) => editor.open(&path),
            None => editor.ask_how_to_begin(),
        }
        Box::new(editor)
    })
    .map_err(|e| e.to_string())
}

/// Draws the window with a plan in it, without a display, as PNG bytes.
pub fn draw_window(library: &Library, plan: Plan, phase: PhaseNo) -> Result<Vec<u8>, String> {
    let setting = Setting {
        disk: Arc::new(RealDisk),
        state: None,
        today: String::new(),
    };
    let mut editor = Editor::new(library.clone(), setting, Session::opened(plan));
    editor.show_phase(phase);
    let size = egui::vec2(1600.0, 1000.0);
    let drawn = picture::picture(size, 1.0, 6, |ui| {
        editor.ui(ui);
        editor.settle();
    })
    .map_err(|e| e.to_string())?;
    picture::png(&drawn).map_err(|e| e.to_string())
}

/// The time, for what is kept for a number of days.
#[expect(
    clippy::disallowed_methods,
    reason = "the editor is where the clock is looked at"
)]
fn now() -> SystemTime {
    SystemTime::now()
}
