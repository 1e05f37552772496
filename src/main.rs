//! The program: hands the commands what they need from outside and turns how they ended into an exit code.

use std::process::ExitCode;

use aislewright::cli::{self, World};

fn main() -> ExitCode {
    let mut world = World {
        out: &mut std::io::stdout().lock(),
        err: &mut std::io::stderr().lock(),
        today: today(),
        open_window: OPEN_WINDOW,
        draw_window: DRAW_WINDOW,
    };
    ExitCode::from(cli::run(std::env::args_os(), &mut world).code())
}

/// Today's date in the owner's time zone, as ISO 8601 writes it.
fn today() -> String {
    jiff::ZonedDateTime::now().date().to_string()
}

#[cfg(feature = "editor")]
const OPEN_WINDOW: Option<cli::OpenWindow> =
    Some(|plan| aislewright::editor::open_window(plan, cli::EXAMPLE, &today()));
#[cfg(feature = "editor")]
const DRAW_WINDOW: Option<cli::DrawWindow> = Some(aislewright::editor::draw_window);

#[cfg(not(feature = "editor"))]
const OPEN_WINDOW: Option<cli::OpenWindow> = None;
#[cfg(not(feature = "editor"))]
const DRAW_WINDOW: Option<cli::DrawWindow> = None;
