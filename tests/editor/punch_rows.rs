//! Only the findings near what is in view are laid out, and nobody can tell: the same is seen and reached as where all are, which
//! is so while a screen reader reads along.

use aislewright::editor::app::Editor;
use aislewright::editor::picture::Raster;
use aislewright::editor::theme;
use aislewright::plan::Library;
use egui::{
    Color32, Context, Event, Id, Key, Modifiers, MouseWheelSource, MouseWheelUnit, Pos2, RawInput,
    Rect, TouchPhase, Vec2, pos2, vec2,
};
use image::RgbaImage;

use super::harness::editor_over;

#[path = "../common/hall.rs"]
mod hall;

const SIZE: Vec2 = vec2(1280.0, 800.0);

/// A window that is drawn without a screen.
struct Screen {
    ctx: Context,
    editor: Editor,
    raster: Raster,
    at: f64,
    /// Shapes of the last frame, in view or not.
    shapes: usize,
}

impl Screen {
    /// The hall with a rack selected; read out by a screen reader or not.
    fn over_hall(read: bool) -> Self {
        let library = Library::builtin().unwrap();
        let plan = hall::hall(&library, 60, 3);
        let mut editor = editor_over(plan.as_ref().clone(), None);
        editor.select(hall::middle_rack(60));
        let ctx = Context::default();
        theme::apply(&ctx);
        if read {
            ctx.enable_accesskit();
        }
        let mut screen = Self {
            ctx,
            editor,
            raster: Raster::default(),
            at: 0.0,
            shapes: 0,
        };
        screen.frame(Vec::new());
        screen.editor.settle();
        screen.frames(3, &[]);
        screen
    }

    fn frame(&mut self, events: Vec<Event>) -> RgbaImage {
        self.at += 0.1;
        let input = RawInput {
            screen_rect: Some(Rect::from_min_size(Pos2::ZERO, SIZE)),
            time: Some(self.at),
            events,
            ..RawInput::default()
        };
        let mut output = self.ctx.run_ui(input, |ui| self.editor.ui(ui));
        self.raster.apply(&mut output.textures_delta);
        self.shapes = output.shapes.len();
        let primitives = self.ctx.tessellate(output.shapes, 1.0);
        let drawn = self
            .raster
            .draw(&primitives, [1280, 800], 1.0, Color32::BLACK);
        drawn.unwrap()
    }

    /// The events in one frame and then so many frames without; the last of them.
    fn frames(&mut self, count: usize, events: &[Event]) -> RgbaImage {
        self.frame(events.to_vec());
        for _ in 1..count {
            self.frame(Vec::new());
        }
        self.frame(Vec::new())
    }

    /// What has the keyboard after each press of Tab, until it comes round again.
    fn stops(&mut self) -> Vec<Id> {
        let mut stops = Vec::new();
        for _ in 0..2_000 {
            let tab = |pressed| Event::Key {
                key: Key::Tab,
                physical_key: None,
                pressed,
                repeat: false,
                modifiers: Modifiers::NONE,
            };
            self.frames(1, &[tab(true), tab(false)]);
            let now = self.ctx.memory(egui::Memory::focused);
            if now.is_some() && stops.first() == now.as_ref() {
                return stops;
            }
            stops.extend(now);
        }
        panic!("the keyboard never came round");
    }
}

/// Over the list, by so many points.
fn wheel(by: f32) -> [Event; 2] {
    [
        Event::PointerMoved(pos2(1150.0, 650.0)),
        Event::MouseWheel {
            unit: MouseWheelUnit::Point,
            delta: vec2(0.0, by),
            phase: TouchPhase::Move,
            source: MouseWheelSource::Wheel,
            modifiers: Modifiers::NONE,
        },
    ]
}

#[test]
fn what_is_out_of_view_is_not_laid_out_and_nothing_looks_different() {
    let mut whole = Screen::over_hall(true);
    let mut near = Screen::over_hall(false);
    let mut seen = Vec::new();
    for by in [0.0, -130.0, -700.0, 311.0, -100_000.0, 420.0] {
        let pictures = [&mut whole, &mut near].map(|screen| screen.frames(12, &wheel(by)));
        let [a, b] = &pictures;
        assert_eq!(a.dimensions(), b.dimensions(), "one size");
        let differ = a.pixels().zip(b.pixels()).filter(|(a, b)| a != b).count();
        assert_eq!(differ, 0, "pixels after scrolling by {by}");
        assert!(!seen.contains(b), "scrolling by {by} shows something else");
        seen.extend(pictures.into_iter().take(1));
    }
    assert!(
        near.shapes + 50 < whole.shapes,
        "{} shapes near what is in view, {} in all",
        near.shapes,
        whole.shapes
    );
}

#[test]
fn tab_goes_through_the_whole_list() {
    let whole = Screen::over_hall(true).stops();
    let near = Screen::over_hall(false).stops();
    assert!(whole.len() > 60, "{} stops", whole.len());
    assert_eq!(near, whole);
}
