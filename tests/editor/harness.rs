//! What all tests of the editor share: the theme, the renderer, the whole editor over the example, and a few verbs.

use std::path::PathBuf;
use std::sync::Arc;

use aislewright::cli::EXAMPLE;
use aislewright::editor::app::{Editor, Setting};
use aislewright::editor::picture::Raster;
use aislewright::editor::theme;
use aislewright::plan::{Library, Plan, Session};
use aislewright::storage;
use aislewright::storage::disk::RealDisk;
use egui::accesskit::Role;
use egui::{Key, Modifiers, Pos2, Theme, Vec2, vec2};
use egui_kittest::kittest::Queryable as _;
use egui_kittest::{Harness, HarnessBuilder, TestRenderer};
use image::RgbaImage;

/// The editor's own renderer in the place of a graphics card.
#[derive(Default)]
pub(crate) struct CpuRenderer(Raster);

impl TestRenderer for CpuRenderer {
    fn handle_delta(&mut self, delta: &mut egui::TexturesDelta) {
        self.0.apply(delta);
    }

    fn render(
        &mut self,
        ctx: &egui::Context,
        output: &egui::FullOutput,
    ) -> Result<RgbaImage, String> {
        let scale = output.pixels_per_point;
        let size = ctx.content_rect().size() * scale;
        let size_px = [whole(size.x)?, whole(size.y)?];
        let primitives = ctx.tessellate(output.shapes.clone(), scale);
        let ground = ctx.global_style().visuals.panel_fill;
        self.0
            .draw(&primitives, size_px, scale, ground)
            .map_err(|error| error.to_string())
    }
}

/// A side in whole pixels.
fn whole(side: f32) -> Result<u32, String> {
    format!("{:.0}", side.round())
        .parse()
        .map_err(|error| format!("{side} pixels: {error}"))
}

/// A harness of a fixed size with the editor's looks and renderer.
pub(crate) fn builder<S>(size: Vec2, theme: Theme) -> HarnessBuilder<S> {
    Harness::builder()
        .with_size(size)
        .with_theme(theme)
        .with_context_setup(theme::apply)
        .renderer(CpuRenderer::default())
}

/// The whole editor in its harness.
pub(crate) type App = Harness<'static, Editor>;

/// The example's plan.
pub(crate) fn example() -> Plan {
    let library = Library::builtin().unwrap();
    let opened = storage::plan_of(&library, "example", EXAMPLE.as_bytes()).unwrap();
    opened.plan
}

/// An editor over a plan, with unsaved work kept in `state`.
pub(crate) fn editor_over(plan: Plan, state: Option<PathBuf>) -> Editor {
    let setting = Setting {
        disk: Arc::new(RealDisk),
        state,
        today: "2026-01-31".to_owned(),
    };
    Editor::new(Library::builtin().unwrap(), setting, Session::opened(plan))
}

/// The editor in a window of that size, its first frame settled.
pub(crate) fn window(editor: Editor, size: Vec2, theme: Theme) -> App {
    let mut app = builder(size, theme)
        .with_max_steps(20)
        .build_ui_state(|ui, editor: &mut Editor| editor.ui(ui), editor);
    settle(&mut app);
    app
}

/// The example in a window of the usual size.
pub(crate) fn app() -> App {
    let editor = editor_over(example(), None);
    window(editor, vec2(1600.0, 1000.0), Theme::Light)
}

/// Runs until the mends that are worked out behind are there too.
pub(crate) fn settle(app: &mut App) {
    app.run();
    app.state_mut().settle();
    app.run();
}

/// Drags from one place to another, a frame for every event.
pub(crate) fn drag(app: &mut App, from: Pos2, to: Pos2) {
    app.hover_at(from);
    app.step();
    app.drag_at(from);
    app.step();
    for k in 1..=6_u8 {
        app.hover_at(from + (to - from) * (f32::from(k) / 6.0));
        app.step();
    }
    app.drop_at(to);
    settle(app);
}

/// The document.
pub(crate) fn plan(app: &App) -> &Plan {
    app.state().session().plan()
}

/// Clicks what has that label.
pub(crate) fn click(app: &mut App, label: &str) {
    app.get_by_label(label).click();
    settle(app);
}

/// Chooses in the list of that label.
pub(crate) fn choose(app: &mut App, label: &str, words: &str) {
    app.get_by_role_and_label(Role::ComboBox, label).click();
    settle(app);
    click(app, words);
}

/// Types into the field of that label, over what stands there, and presses Enter.
pub(crate) fn type_into(app: &mut App, label: &str, words: &str) {
    app.get_by_role_and_label(Role::TextInput, label).focus();
    app.run();
    app.key_press_modifiers(Modifiers::COMMAND, Key::A);
    app.run();
    app.key_press(Key::Backspace);
    app.run();
    app.get_by_role_and_label(Role::TextInput, label)
        .type_text(words);
    app.run();
    app.key_press(Key::Enter);
    settle(app);
}

/// Draws the window without the pointer, and keeps the picture under that name where `PICTURES` names a folder.
pub(crate) fn keep_picture(app: &mut App, name: &str) -> RgbaImage {
    app.remove_cursor();
    app.run();
    let picture = app.render().unwrap();
    if let Some(folder) = std::env::var_os("PICTURES") {
        picture.save(PathBuf::from(folder).join(name)).unwrap();
    }
    picture
}
