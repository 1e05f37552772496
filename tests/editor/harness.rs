//! What all tests of the editor share: the theme, the renderer, and a few verbs.

use aislewright::editor::picture::Raster;
use aislewright::editor::theme;
use egui::{Theme, Vec2};
use egui_kittest::{Harness, HarnessBuilder, TestRenderer};

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
    ) -> Result<image::RgbaImage, String> {
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
