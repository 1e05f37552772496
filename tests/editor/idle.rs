//! A window in which nothing happens asks for no frame.

use std::time::Duration;

use super::harness::{App, app};

/// How long the window would wait for its next frame by itself.
fn delay(app: &mut App) -> Duration {
    app.step();
    let windows = app.output().viewport_output.values();
    windows.map(|w| w.repaint_delay).min().unwrap()
}

#[test]
fn at_rest_no_frame_is_asked_for() {
    let mut app = app();
    for _ in 0..3 {
        assert_eq!(delay(&mut app), Duration::MAX, "it would draw for nothing");
    }
    // The same measure tells when one is.
    app.ctx.request_repaint();
    assert!(delay(&mut app) < Duration::MAX, "a frame was asked for");
}
