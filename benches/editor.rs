//! The editor's own work in a frame, in halls of 60, 600 and 6,000 printers: `cargo bench --bench editor`. The window is run
//! without a screen at 1280 x 800: at rest, and while the pointer drags a rack a point further each frame. Medians of building
//! the frame (what the plan becomes, what that is judged, what is drawn) and of cutting what is drawn into triangles.
#![expect(
    clippy::expect_used,
    clippy::print_stdout,
    reason = "a bench prints its table and stops where it cannot go on"
)]

#[path = "../tests/common/hall.rs"]
mod hall;

mod frames {
    use std::hint::black_box;
    use std::mem;
    use std::sync::Arc;
    use std::time::Instant;

    use aislewright::editor::app::{Editor, Setting};
    use aislewright::editor::theme;
    use aislewright::layout::Layout;
    use aislewright::plan::{Library, PhaseNo, Session};
    use aislewright::storage::disk::RealDisk;
    use egui::{Context, Event, Modifiers, PointerButton, Pos2, RawInput, Rect, Vec2, vec2};

    use super::hall;

    const SIZE: Vec2 = vec2(1280.0, 800.0);
    const FRAMES: usize = 60;

    /// An editor and the window it is shown in.
    struct Shown {
        ctx: Context,
        editor: Editor,
        at: f64,
    }

    /// Milliseconds of building a frame and of cutting it into triangles.
    type Taken = (f64, f64);

    #[expect(clippy::disallowed_methods, reason = "a bench measures time")]
    fn now() -> Instant {
        Instant::now()
    }

    fn since(started: Instant) -> f64 {
        started.elapsed().as_secs_f64() * 1000.0
    }

    impl Shown {
        fn frame(&mut self, events: Vec<Event>) -> Taken {
            self.at += 1.0 / 60.0;
            let input = RawInput {
                screen_rect: Some(Rect::from_min_size(Pos2::ZERO, SIZE)),
                time: Some(self.at),
                events,
                ..RawInput::default()
            };
            let started = now();
            let mut output = self.ctx.run_ui(input, |ui| self.editor.ui(ui));
            let built = since(started);
            // Nobody draws them here; egui minds where changes of textures are dropped unseen.
            drop(mem::take(&mut output.textures_delta.set));
            output.textures_delta.free.clear();
            let started = now();
            black_box(self.ctx.tessellate(mem::take(&mut output.shapes), 1.0));
            (built, since(started))
        }

        fn press(&mut self, pos: Pos2, pressed: bool) {
            self.frame(vec![
                Event::PointerMoved(pos),
                Event::PointerButton {
                    pos,
                    button: PointerButton::Primary,
                    pressed,
                    modifiers: Modifiers::NONE,
                },
            ]);
        }
    }

    fn medians(mut frames: Vec<Taken>) -> Taken {
        let middle = frames.len() / 2;
        frames.sort_by(|a, b| a.0.total_cmp(&b.0));
        let built = frames.get(middle).map_or(0.0, |f| f.0);
        frames.sort_by(|a, b| a.1.total_cmp(&b.1));
        (built, frames.get(middle).map_or(0.0, |f| f.1))
    }

    /// One row of the table for a hall of that many printers.
    pub(super) fn measure(printers: usize, per_row: usize) {
        let library = Library::builtin().expect("the built-in data can be read");
        let plan = hall::hall(&library, printers, per_row);
        let rack = hall::middle_rack(printers);
        let layout = Layout::of(&library, &plan, PhaseNo(1));
        // Beside its middle, where its UPS stands.
        let body = layout.part(rack).and_then(|part| part.solid.as_ref());
        let spot = body.map(|body| body.oblong.at(body.oblong.width() * 0.3, 0.0));
        let setting = Setting {
            disk: Arc::new(RealDisk),
            state: None,
            today: "2026-01-31".to_owned(),
        };
        let ctx = Context::default();
        theme::apply(&ctx);
        let mut shown = Shown {
            ctx,
            editor: Editor::new(library, setting, Session::opened(plan.as_ref().clone())),
            at: 0.0,
        };
        for _ in 0..3 {
            shown.frame(Vec::new());
        }
        shown.editor.settle();
        let rest = medians((0..FRAMES).map(|_| shown.frame(Vec::new())).collect());
        let camera = shown.editor.camera().expect("the floor was drawn");
        let from = camera.to_screen(spot.expect("the rack stands there"));
        shown.press(from, true);
        let drag = (0..FRAMES).map(|k| {
            let to = from + vec2(10.0 + k as f32, 0.0);
            shown.frame(vec![Event::PointerMoved(to)])
        });
        let drag = medians(drag.collect());
        let (a, b, c, d) = (rest.0, rest.1, drag.0, drag.1);
        shown.press(from + vec2(70.0, 0.0), false);
        let moved = shown.editor.session().undo_label().is_some();
        assert!(
            moved,
            "the pointer dragged the rack: {:?} {:?}",
            shown.editor.selection(),
            shown.editor.session().undo_label()
        );
        println!("| {printers} | {a:.2} | {b:.2} | {c:.2} | {d:.2} |");
    }
}

fn main() {
    let wanted: Vec<usize> = std::env::args()
        .skip(1)
        .filter_map(|a| a.parse().ok())
        .collect();
    println!("| printers | rest: build, ms | triangles, ms | drag: build, ms | triangles, ms |");
    println!("| --- | --- | --- | --- | --- |");
    for (printers, per_row) in [(60, 3), (600, 10), (6000, 30)] {
        if wanted.is_empty() || wanted.contains(&printers) {
            frames::measure(printers, per_row);
        }
    }
}
