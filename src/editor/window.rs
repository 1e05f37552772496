//! Opens the one window, and says in plain words why it cannot.
//!
//! Knows the window system, not the editor: what is drawn comes in as an `eframe::App`.

use std::any::Any;
use std::ffi::OsString;
use std::fmt;
use std::panic::{self, AssertUnwindSafe, PanicHookInfo};

/// Variables of which one must be set for a window to open: X11, then Wayland by name, then Wayland by an open socket.
const DISPLAYS: [&str; 3] = ["DISPLAY", "WAYLAND_DISPLAY", "WAYLAND_SOCKET"];

/// Libraries that are looked up while the window opens. Found by leaving them out one by one on a bare Debian 12 with X11; the
/// Wayland line is from the crates' documentation.
const PACKAGES: &str = "sudo apt-get install -y --no-install-recommends libx11-6 libx11-xcb1 libxcursor1 libxi6 libxkbcommon-x11-0 libgl1";
const WAYLAND_PACKAGES: &str = "libwayland-client0 libwayland-egl1 libegl1 libxkbcommon0";

/// Why the window did not open, or closed by itself.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum WindowError {
    /// No window system is reachable from here.
    NoDisplay,
    /// A library is missing; holds the system's own words.
    MissingLibrary(String),
    /// A window system is named in the environment, and does not answer; holds its own words.
    NoAnswer(String),
    /// No OpenGL that can draw; holds the system's own words.
    NoGraphics(String),
    /// The window system said no; holds its own words.
    Refused(String),
}

impl fmt::Display for WindowError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoDisplay => write!(
                f,
                "There is no screen to open a window on: none of {} is set. Start the editor from a desktop session; \
                 the commands that need no window work here.",
                DISPLAYS.join(", ")
            ),
            Self::MissingLibrary(why) => write!(
                f,
                "A library that opens windows is missing ({why}). On Debian and Ubuntu install it with\n  {PACKAGES}\n\
                 and under Wayland also {WAYLAND_PACKAGES}."
            ),
            Self::NoAnswer(why) => write!(
                f,
                "The screen named by {} does not answer ({why}). Start the editor from a terminal of the desktop session, \
                 and over ssh with X forwarding (ssh -X).",
                DISPLAYS.join(" or ")
            ),
            Self::NoGraphics(why) => write!(
                f,
                "No OpenGL was found to draw with ({why}). On Debian and Ubuntu install it with\n  {PACKAGES}\n\
                 which also draws without a graphics card."
            ),
            Self::Refused(why) => write!(f, "The window could not be opened: {why}"),
        }
    }
}

impl std::error::Error for WindowError {}

/// Looks whether a window system is named in the environment; the message says what to do.
pub fn can_open() -> Result<(), String> {
    display_named(|name| std::env::var_os(name)).map_err(|error| error.to_string())
}

/// Opens the window and stays until it is closed.
///
/// # Panics
///
/// A panic of the app itself goes through; only those of the window system's missing libraries become errors.
pub fn run(
    title: &str,
    app: impl FnOnce(&eframe::CreationContext<'_>) -> Box<dyn eframe::App> + 'static,
) -> Result<(), WindowError> {
    display_named(|name| std::env::var_os(name))?;
    quiet_about_libraries();
    let open = || eframe::run_native(title, options(title), Box::new(move |cc| Ok(app(cc))));
    match panic::catch_unwind(AssertUnwindSafe(open)) {
        Ok(outcome) => outcome.map_err(|error| explain(&error)),
        Err(payload) => match missing_library(payload.as_ref()) {
            Some(why) => Err(WindowError::MissingLibrary(why)),
            None => panic::resume_unwind(payload),
        },
    }
}

fn display_named(lookup: impl Fn(&str) -> Option<OsString>) -> Result<(), WindowError> {
    let named = DISPLAYS
        .iter()
        .any(|name| lookup(name).is_some_and(|value| !value.is_empty()));
    if named {
        Ok(())
    } else {
        Err(WindowError::NoDisplay)
    }
}

fn options(title: &str) -> eframe::NativeOptions {
    eframe::NativeOptions {
        viewport: egui::ViewportBuilder::default()
            .with_title(title)
            .with_inner_size([1280.0, 800.0])
            .with_min_inner_size([520.0, 300.0]),
        renderer: eframe::Renderer::Glow,
        ..eframe::NativeOptions::default()
    }
}

/// Sorts an error by its text: the window libraries' own types are not part of eframe's public face.
fn explain(error: &eframe::Error) -> WindowError {
    sorted(&error.to_string(), &format!("{error:?}"))
}

/// `shown` is the error's text for people, `inner` its form for developers, which alone names the cause of some.
fn sorted(shown: &str, inner: &str) -> WindowError {
    let says = |words: &[&str]| {
        words
            .iter()
            .any(|word| shown.contains(word) || inner.contains(word))
    };
    let why = without_source_place(shown);
    if says(&["LibraryOpenError", "NoWaylandLib", "could not be loaded"]) {
        WindowError::MissingLibrary(why)
    } else if says(&[
        "Failed to open connection",
        "NoCompositor",
        "XOpenDisplayFailed",
    ]) {
        WindowError::NoAnswer(why)
    } else if says(&["NoGlutinConfigs", "Glutin", "OpenGL"]) {
        WindowError::NoGraphics(why)
    } else {
        WindowError::Refused(why)
    }
}

/// Cuts `os error at FILE:LINE:` off: a place in a library's source tells a user nothing.
fn without_source_place(shown: &str) -> String {
    let cut = shown
        .split_once("os error at ")
        .and_then(|(_, rest)| rest.split_once(": "));
    cut.map_or(shown, |(_, words)| words).to_owned()
}

/// The words of a panic that a missing library caused.
fn missing_library(payload: &(dyn Any + Send)) -> Option<String> {
    let words = payload
        .downcast_ref::<String>()
        .map(String::as_str)
        .or_else(|| payload.downcast_ref::<&str>().copied())?;
    words
        .contains("could not be loaded")
        .then(|| words.to_owned())
}

/// Keeps the report of such a panic off the terminal, since [`run`] tells the same in plain words; every other one is shown.
fn quiet_about_libraries() {
    let usual = panic::take_hook();
    panic::set_hook(Box::new(move |info: &PanicHookInfo<'_>| {
        if missing_library(info.payload()).is_none() {
            usual(info);
        }
    }));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn any_of_the_three_variables_will_do() {
        for name in DISPLAYS {
            assert_eq!(
                display_named(|asked| (asked == name).then(|| OsString::from("x"))),
                Ok(()),
                "{name}"
            );
        }
        assert_eq!(
            display_named(|_| None),
            Err(WindowError::NoDisplay),
            "nothing set"
        );
        assert_eq!(
            display_named(|_| Some(OsString::new())),
            Err(WindowError::NoDisplay),
            "set, but empty"
        );
    }

    #[test]
    fn a_missing_library_is_told_from_a_fault_of_ours() {
        let theirs = panic::catch_unwind(|| {
            panic!("Library libxkbcommon-x11.so could not be loaded: {}", 1)
        })
        .unwrap_err();
        let words = missing_library(theirs.as_ref());
        assert_eq!(
            words.as_deref(),
            Some("Library libxkbcommon-x11.so could not be loaded: 1"),
            "theirs"
        );
        let ours = panic::catch_unwind(|| panic!("index out of bounds")).unwrap_err();
        assert_eq!(missing_library(ours.as_ref()), None, "ours");
    }

    /// Texts as winit 0.30 and eframe 0.37 gave them with a library hidden, or with a display that does not exist.
    #[test]
    fn errors_are_sorted_by_cause() {
        let library = sorted(
            "winit EventLoopError: the requested operation is not supported",
            "XNotSupported(LibraryOpenError)",
        );
        assert!(
            matches!(library, WindowError::MissingLibrary(_)),
            "{library}"
        );
        let silent = "winit EventLoopError: os error at /src/linux/mod.rs:788: Failed to open connection to X server";
        let words = "Failed to open connection to X server".to_owned();
        assert_eq!(
            sorted(silent, "WinitEventLoop(Os(..))"),
            WindowError::NoAnswer(words),
            "without the place in the source"
        );
        let graphics = sorted("Found no glutin configs", "NoGlutinConfigs(..)");
        assert!(matches!(graphics, WindowError::NoGraphics(_)), "{graphics}");
        assert_eq!(
            sorted("other", "Other"),
            WindowError::Refused("other".to_owned()),
            "anything else is told as it is"
        );
    }

    #[test]
    fn every_message_says_what_to_do() {
        let library = WindowError::MissingLibrary("libX11".to_owned()).to_string();
        assert!(
            library.contains("apt-get install") && library.contains("libxkbcommon-x11-0"),
            "{library}"
        );
        assert!(
            WindowError::NoGraphics(String::new())
                .to_string()
                .contains("libgl1"),
            "the package with OpenGL"
        );
        assert!(
            WindowError::NoDisplay
                .to_string()
                .contains("WAYLAND_DISPLAY"),
            "what was looked for"
        );
    }
}
