//! The program: hands the commands what they need from outside and turns how they ended into an exit code.

use std::io::Write as _;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::process::ExitCode;

use aislewright::cli::{self, World};

fn main() -> ExitCode {
    let mut world = World {
        out: &mut std::io::stdout().lock(),
        err: &mut std::io::stderr(),
        today: today(),
        open_window: OPEN_WINDOW,
        draw_window: DRAW_WINDOW,
    };
    // A mistake of ours ends with a sentence and the code for "could not be done"; the panic hook has said where.
    let ended = catch_unwind(AssertUnwindSafe(|| {
        cli::run(std::env::args_os(), &mut world)
    }));
    if let Ok(ending) = ended {
        return ExitCode::from(ending.code());
    }
    // Standard error may be gone; the exit code still says it.
    let _ = writeln!(
        std::io::stderr(),
        "Aislewright made a mistake and stopped. No file was left half written; unsaved work is offered at the next start."
    );
    ExitCode::from(cli::Ending::BadInput.code())
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
