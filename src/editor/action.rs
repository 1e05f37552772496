//! What a person asks for, as data: filled while a frame is drawn, carried out once after it.

use std::collections::BTreeSet;
use std::path::PathBuf;

use crate::editor::floor::Gesture;
use crate::editor::shown::Selection;
use crate::geometry::Point;
use crate::layout::arrange::{Along, Side};
use crate::plan::{Edit, ItemKind, PhaseNo};
use crate::stock::KindId;
use crate::units::Length;

/// A command that menu, toolbar and keyboard share.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Command {
    /// Ask for a new plan's width, length and door.
    New,
    /// Open a plan.
    Open,
    /// Save the plan.
    Save,
    /// Save it under another name.
    SaveAs,
    /// Write the floor sheet.
    ExportSheet,
    /// Write the cards of bad days and the labels.
    ExportCards,
    /// Close the window, asking where work is unsaved.
    Quit,
    /// Take the last step back.
    Undo,
    /// Do it again.
    Redo,
    /// Copy what is selected beside itself.
    Duplicate,
    /// Take away what is selected.
    Delete,
    /// Turn what is selected a quarter to the left.
    TurnLeft,
    /// Turn what is selected a quarter to the right.
    TurnRight,
    /// Select everything in the phase on show.
    SelectAll,
    /// Select nothing.
    SelectNone,
    /// Fit the room into the floor view.
    ZoomToFit,
    /// Bigger.
    ZoomIn,
    /// Smaller.
    ZoomOut,
    /// The other theme.
    SwitchTheme,
    /// Go to the next open finding.
    NextFinding,
    /// Open or close the panel that counts what the floor holds.
    Fill,
    /// Line up what is selected with the one clicked last.
    LineUp(Side),
    /// Make the gaps between the things selected equal.
    Spread(Along),
    /// Turn the racks selected so that each has its back to the wall nearest to it.
    ToWall,
    /// Copy the racks selected to the other side of the aisle, looking back.
    MirrorAcross,
    /// One more like the rack selected, end to end with it.
    OneBeside,
    /// Let what is selected leave its place in the phase on show and stand there anew, to be moved from then on.
    FromPhase,
    /// One more phase at the end of the plan, shown at once.
    AddPhase,
    /// Lock what is selected in its place, or free it where all of it is locked.
    Lock,
    /// Show or leave the list of steps.
    Steps,
    /// Show or leave the room as it was measured.
    Room,
    /// Show or leave the picture to trace.
    Picture,
    /// Show everything larger by a step.
    Larger,
    /// Show everything smaller by a step.
    Lesser,
    /// Show everything at its usual size.
    UsualSize,
    /// Measure what is selected, or from point to point on the floor.
    Measure,
    /// Keep what is measured as dimensions.
    KeepDimension,
    /// Put a note on the floor, pointing at what is selected.
    Note,
    /// Show or leave the list of keys.
    Keys,
    /// Show or leave what there is to read about a check.
    Checks,
    /// Show or leave the panel schedule.
    Schedule,
    /// Show or leave the cards of bad days.
    BadDays,
    /// Go to the field that finds things by mark or kind.
    Find,
}

/// Something in the stock drawer that can be put on the floor.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum StockEntry {
    /// A rack, with printers of that kind in all its slots where one is named.
    Rack(KindId, Option<KindId>),
    /// A UPS.
    Ups(KindId),
    /// A cooling unit.
    Cooling(KindId),
    /// A light.
    Light(KindId),
    /// A camera.
    Camera(KindId),
    /// A thing without a kind in the stock list: door, window, column, panel, outlet.
    Fixture(ItemKind),
    /// A zone to keep clear.
    KeepClear,
    /// A wet zone.
    Wet,
}

/// What a person asks of the search for the fullest arrangement.
#[derive(Clone, Debug, PartialEq)]
pub enum FillAction {
    /// Search the phase on show with these rack kinds, all of them where `None`; where true, bounded by nothing but the floor.
    Start(Option<BTreeSet<KindId>>, bool),
    /// Stop searching and keep what was found.
    Stop,
    /// Put everything that was found into the plan.
    TakeAll,
    /// Put what was chosen of it into the plan.
    TakeChosen,
    /// Try each wall of the answer on show shorter by the tape's tolerance, or stop that.
    Walls(bool),
    /// Take the arrangement off the floor again.
    Drop,
    /// Choose the placement of that number, or leave it where it was chosen.
    Choose(usize),
    /// Begin to mark the part of the floor to fill by a drag, or leave that.
    Mark(bool),
    /// Fill that part of the floor, given by two corners; the whole room where `None`.
    Part(Option<(Point, Point)>),
}

/// What a person asks about the picture to trace, besides edits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TracingAction {
    /// Ask for its file.
    Choose,
}

/// What a person asks for.
#[derive(Clone, Debug, PartialEq)]
pub enum Action {
    /// Change the document.
    Edit(Edit),
    /// Carry out a command.
    Command(Command),
    /// Select these things.
    Select(Selection),
    /// Show the place of the finding of that key.
    Point(String),
    /// Show another phase.
    Phase(PhaseNo),
    /// Begin to place something from the stock drawer (it follows the pointer until dropped).
    Take(StockEntry),
    /// Put something from the stock drawer at a sensible free place at once (keyboard, double click).
    Put(StockEntry),
    /// A gesture on the floor ended; the number is how many millimetres a point of the screen took.
    Drop(Gesture, f64),
    /// The level in hand in the elevation was let go.
    LetGo,
    /// What was dragged in a wall's elevation was let go of.
    DropOnWall,
    /// Something about the search for the fullest arrangement.
    Fill(FillAction),
    /// Something about the picture to trace.
    Tracing(TracingAction),
    /// Open a plan of those opened last.
    OpenRecent(PathBuf),
    /// Take a plan off the list of those opened last.
    Forget(PathBuf),
    /// Show what there is to read about the check of that id.
    About(&'static str),
    /// Draw the lines of equal air speed at that height above the floor; none for the middle of the printers.
    AirHeight(Option<Length>),
    /// Show everything at so many percent.
    Scale(u16),
    /// Go back or forward until so many steps are taken.
    StepTo(usize),
    /// Select and show what matches these words, one after another.
    Find(String),
    /// Copy what is selected for another plan; true to take it away as well.
    Copy(bool),
    /// Put in what was copied, as text.
    Paste(String),
    /// Say something in the status line.
    Say(String),
}

/// The actions of one frame.
#[derive(Debug, Default)]
#[must_use]
pub struct Actions(Vec<Action>);

impl Actions {
    /// Asks for something.
    pub fn ask(&mut self, action: Action) {
        self.0.push(action);
    }

    /// Asks for an edit.
    pub fn edit(&mut self, edit: Edit) {
        self.ask(Action::Edit(edit));
    }

    /// Asks for a command.
    pub fn command(&mut self, command: Command) {
        self.ask(Action::Command(command));
    }

    /// All that was asked for, in order.
    pub fn take(self) -> Vec<Action> {
        self.0
    }
}
