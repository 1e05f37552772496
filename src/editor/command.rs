//! The commands with their texts and keys: one table that menu, toolbar and keyboard share.

use egui::{Key, KeyboardShortcut, Modifiers};

use super::action::Command;
use super::shown::Shown;
use crate::layout::arrange::{Along, Side};
use crate::plan::PhaseNo;

/// How a command is offered.
#[derive(Clone, Copy, Debug)]
pub struct Offer {
    /// The command.
    pub command: Command,
    /// What the menu says.
    pub text: &'static str,
    /// The keys, if it has any.
    pub keys: Option<KeyboardShortcut>,
}

const fn with(command: Command, text: &'static str, modifiers: Modifiers, key: Key) -> Offer {
    Offer {
        command,
        text,
        keys: Some(KeyboardShortcut::new(modifiers, key)),
    }
}

const SHIFTED: Modifiers = Modifiers::COMMAND.plus(Modifiers::SHIFT);

/// What concerns the file.
pub const PLAN: [Offer; 7] = [
    with(Command::New, "New plan…", Modifiers::COMMAND, Key::N),
    with(Command::Open, "Open…", Modifiers::COMMAND, Key::O),
    with(Command::Save, "Save", Modifiers::COMMAND, Key::S),
    with(Command::SaveAs, "Save as…", SHIFTED, Key::S),
    with(
        Command::ExportSheet,
        "Export the floor sheet…",
        Modifiers::COMMAND,
        Key::E,
    ),
    with(
        Command::ExportCards,
        "Print cards and labels…",
        SHIFTED,
        Key::E,
    ),
    with(Command::Quit, "Quit", Modifiers::COMMAND, Key::Q),
];

/// What concerns the things in the plan.
pub const CHANGE: [Offer; 14] = [
    with(
        Command::Room,
        "The room and its walls",
        Modifiers::NONE,
        Key::F6,
    ),
    with(
        Command::Picture,
        "Picture to trace",
        Modifiers::SHIFT,
        Key::F6,
    ),
    with(Command::Undo, "Undo", Modifiers::COMMAND, Key::Z),
    with(Command::Redo, "Redo", SHIFTED, Key::Z),
    with(Command::Duplicate, "Duplicate", Modifiers::COMMAND, Key::D),
    with(Command::Delete, "Take away", Modifiers::NONE, Key::Delete),
    with(Command::TurnLeft, "Turn left", Modifiers::COMMAND, Key::L),
    with(Command::TurnRight, "Turn right", Modifiers::COMMAND, Key::R),
    with(
        Command::SelectAll,
        "Select everything",
        Modifiers::COMMAND,
        Key::A,
    ),
    with(
        Command::SelectNone,
        "Select nothing",
        Modifiers::NONE,
        Key::Escape,
    ),
    with(Command::AddPhase, "Add a phase", SHIFTED, Key::N),
    with(Command::Note, "Write a note", Modifiers::NONE, Key::F2),
    with(
        Command::KeepDimension,
        "Keep as a dimension",
        Modifiers::SHIFT,
        Key::F4,
    ),
    with(Command::Fill, "Fill the floor", Modifiers::NONE, Key::F9),
];

/// What puts several things in order at once.
pub const ARRANGE: [Offer; 11] = [
    with(
        Command::LineUp(Side::Left),
        "Line up left ends",
        SHIFTED,
        Key::ArrowLeft,
    ),
    with(
        Command::LineUp(Side::Right),
        "Line up right ends",
        SHIFTED,
        Key::ArrowRight,
    ),
    with(
        Command::LineUp(Side::Upper),
        "Line up upper ends",
        SHIFTED,
        Key::ArrowUp,
    ),
    with(
        Command::LineUp(Side::Lower),
        "Line up lower ends",
        SHIFTED,
        Key::ArrowDown,
    ),
    with(
        Command::Spread(Along::Across),
        "Equal gaps across",
        SHIFTED,
        Key::H,
    ),
    with(Command::Spread(Along::Up), "Equal gaps up", SHIFTED, Key::U),
    with(Command::ToWall, "Turn to the wall", SHIFTED, Key::R),
    with(
        Command::MirrorAcross,
        "Mirror across the aisle",
        Modifiers::COMMAND,
        Key::M,
    ),
    with(
        Command::OneBeside,
        "One more beside it",
        Modifiers::COMMAND,
        Key::B,
    ),
    with(
        Command::FromPhase,
        "Move from this phase on",
        SHIFTED,
        Key::P,
    ),
    with(Command::Lock, "Pin or unpin", Modifiers::COMMAND, Key::K),
];

/// What concerns the view.
pub const VIEW: [Offer; 15] = [
    with(Command::Measure, "Measure", Modifiers::NONE, Key::F4),
    with(Command::Keys, "Keys", Modifiers::NONE, Key::F1),
    with(
        Command::Checks,
        "What the checks do",
        Modifiers::SHIFT,
        Key::F1,
    ),
    with(
        Command::Schedule,
        "Panel schedule",
        Modifiers::NONE,
        Key::F5,
    ),
    with(Command::BadDays, "Bad days", Modifiers::SHIFT, Key::F5),
    with(Command::Steps, "Steps taken", Modifiers::NONE, Key::F7),
    with(
        Command::Find,
        "Find a mark or kind",
        Modifiers::COMMAND,
        Key::F,
    ),
    with(
        Command::ZoomToFit,
        "Show the whole room",
        Modifiers::NONE,
        Key::Home,
    ),
    with(Command::ZoomIn, "Floor bigger", Modifiers::ALT, Key::Plus),
    with(
        Command::ZoomOut,
        "Floor smaller",
        Modifiers::ALT,
        Key::Minus,
    ),
    with(
        Command::Larger,
        "Everything larger",
        Modifiers::COMMAND,
        Key::Plus,
    ),
    with(
        Command::Lesser,
        "Everything smaller",
        Modifiers::COMMAND,
        Key::Minus,
    ),
    with(
        Command::UsualSize,
        "Everything at 100 %",
        Modifiers::COMMAND,
        Key::Num0,
    ),
    with(
        Command::NextFinding,
        "Next finding",
        Modifiers::NONE,
        Key::F8,
    ),
    with(
        Command::SwitchTheme,
        "Light or dark",
        Modifiers::COMMAND,
        Key::T,
    ),
];

/// Every offer.
pub fn all() -> impl Iterator<Item = &'static Offer> {
    PLAN.iter().chain(&CHANGE).chain(&ARRANGE).chain(&VIEW)
}

/// True for the commands that open, save or leave a plan.
pub fn concerns_the_file(command: Command) -> bool {
    PLAN.iter().any(|offer| offer.command == command)
}

/// True where a command's keys mean nothing to a field that has the keyboard: those of the file, function keys, and how large
/// everything is shown.
pub fn works_while_typing(offer: &Offer) -> bool {
    let sizes = [
        Command::Larger,
        Command::Lesser,
        Command::UsualSize,
        Command::SwitchTheme,
        Command::Find,
    ];
    let function_key = offer.keys.is_some_and(|keys| {
        let number = keys.logical_key.name().strip_prefix('F');
        number.is_some_and(|n| n.parse::<u8>().is_ok())
    });
    concerns_the_file(offer.command) || function_key || sizes.contains(&offer.command)
}

impl Offer {
    /// The keys in words, as a menu shows them.
    pub fn keys_words(&self) -> String {
        self.keys.map_or_else(String::new, |keys| {
            keys.format(&egui::ModifierNames::NAMES, false)
        })
    }

    /// What the menu says now: undo and redo name their step.
    pub fn words(&self, shown: &Shown<'_>) -> String {
        match (self.command, shown.undo, shown.redo) {
            (Command::Undo, Some(step), _) | (Command::Redo, _, Some(step)) => {
                format!("{}: {step}", self.text)
            }
            _ => self.text.to_owned(),
        }
    }

    /// True where it can be carried out now.
    pub fn enabled(&self, shown: &Shown<'_>) -> bool {
        match self.command {
            Command::Undo => shown.undo.is_some() && !shown.read_only,
            Command::Redo => shown.redo.is_some() && !shown.read_only,
            Command::AddPhase | Command::Note => !shown.read_only,
            Command::Duplicate
            | Command::Delete
            | Command::TurnLeft
            | Command::TurnRight
            | Command::ToWall
            | Command::MirrorAcross
            | Command::OneBeside
            | Command::Lock => !shown.selection.is_empty() && !shown.read_only,
            Command::KeepDimension => shown.measures && !shown.read_only,
            Command::FromPhase => {
                !shown.selection.is_empty() && !shown.read_only && shown.phase() > PhaseNo(1)
            }
            Command::LineUp(_) => shown.selection.len() > 1 && !shown.read_only,
            Command::Spread(_) => shown.selection.len() > 2 && !shown.read_only,
            Command::New
            | Command::Open
            | Command::Save
            | Command::SaveAs
            | Command::ExportSheet
            | Command::ExportCards
            | Command::Quit
            | Command::SelectAll
            | Command::SelectNone
            | Command::ZoomToFit
            | Command::ZoomIn
            | Command::ZoomOut
            | Command::SwitchTheme
            | Command::NextFinding
            | Command::Find
            | Command::Steps
            | Command::Room
            | Command::Picture
            | Command::Larger
            | Command::Lesser
            | Command::UsualSize
            | Command::Measure
            | Command::Keys
            | Command::Checks
            | Command::Schedule
            | Command::BadDays
            | Command::Fill => true,
        }
    }
}
