//! The commands: plain text or JSON on standard output, messages on standard error, an exit code. Must not know egui: what
//! draws the window is handed in.

mod bad_days;
mod check;
mod demo;
mod explain;
mod fill;
mod readme;
mod sheet;
mod text;
mod what_if;
mod wire;

pub use readme::check_table;

use std::ffi::OsString;
use std::fmt;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::{Parser, Subcommand};

use crate::checks::Findings;
use crate::fill::Headroom;
use crate::layout::Layout;
use crate::plan::{Library, LibraryFault, PhaseNo, Plan};
use crate::storage::disk::RealDisk;
use crate::storage::save::{self, Expected};
use crate::storage::{self, OpenError};

/// The example that is built into the program.
pub const EXAMPLE: &str = include_str!("../../demo-data/bottling-room.plan.ron");

/// Draws the editor's window with a plan in it, in that phase, as PNG bytes.
pub type DrawWindow = fn(&Library, Plan, PhaseNo) -> Result<Vec<u8>, String>;

/// Opens the editor's window on a plan, or on the choice of one; says why where it cannot.
pub type OpenWindow = fn(Option<&Path>) -> Result<(), String>;

/// What the commands are given from outside.
pub struct World<'a> {
    /// Standard output.
    pub out: &'a mut dyn Write,
    /// Standard error.
    pub err: &'a mut dyn Write,
    /// Today's date as it stands on sheets.
    pub today: String,
    /// What opens the window, where the program was built with it.
    pub open_window: Option<OpenWindow>,
    /// What draws the window, where the program was built with it.
    pub draw_window: Option<DrawWindow>,
}

impl fmt::Debug for World<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("World")
            .field("today", &self.today)
            .finish_non_exhaustive()
    }
}

/// Plan the room of a print farm: racks, power, air and ways out, checked while you draw.
#[derive(Debug, Parser)]
#[command(name = "aislewright", version, args_conflicts_with_subcommands = true)]
struct Arguments {
    /// The plan to open in the editor.
    plan: Option<PathBuf>,
    #[command(subcommand)]
    command: Option<Order>,
}

#[derive(Debug, Subcommand)]
enum Order {
    /// Check a plan and list the findings.
    Check {
        /// The plan.
        plan: PathBuf,
        /// Number or name of the phase; the last one where none is given.
        #[arg(long)]
        phase: Option<String>,
        /// Write JSON.
        #[arg(long)]
        json: bool,
    },
    /// Find the arrangement with the most printers, with its proof.
    Fill {
        /// The plan.
        plan: PathBuf,
        /// Number or name of the phase; the last one where none is given.
        #[arg(long)]
        phase: Option<String>,
        /// Let nothing but the floor bound the count: neither cooling nor circuits nor supply.
        #[arg(long)]
        floor_only: bool,
        /// Most steps of search, counted at the end of each row of the floor, which takes some thousands: the answer for so many
        /// steps is the same on every machine.
        #[arg(long, default_value_t = fill::STEPS)]
        steps: u64,
        /// Stop after so many seconds.
        #[arg(long)]
        seconds: Option<f64>,
        /// Fill again with each wall shorter by the tape's tolerance, and say what that costs; steps and seconds hold for each.
        #[arg(long)]
        tolerance: bool,
        /// Write JSON.
        #[arg(long)]
        json: bool,
        /// Write the plan with the arrangement to a new file.
        #[arg(short, long)]
        output: Option<PathBuf>,
    },
    /// Put every printer on a UPS or receptacle and every UPS on an outlet, with the fewest new circuits.
    Wire {
        /// The plan.
        plan: PathBuf,
        /// Number or name of the phase; the last one where none is given.
        #[arg(long)]
        phase: Option<String>,
        /// Most steps of search: the answer for so many steps is the same on every machine.
        #[arg(long, default_value_t = crate::wiring::STEPS)]
        steps: u64,
        /// Let new outlets hang behind racks too.
        #[arg(long)]
        behind_racks: bool,
        /// Say instead what the higher voltage, one more circuit and another UPS at every rack would change; changes nothing.
        #[arg(long, conflicts_with_all = ["output", "behind_racks"])]
        what_if: bool,
        /// Write JSON.
        #[arg(long)]
        json: bool,
        /// Write the plan so wired to a new file.
        #[arg(short, long)]
        output: Option<PathBuf>,
    },
    /// Say what stops when a breaker, a UPS, cooling or the supply fails, and how it comes back.
    BadDays {
        /// The plan.
        plan: PathBuf,
        /// Number or name of the phase; the last one where none is given.
        #[arg(long)]
        phase: Option<String>,
        /// Write JSON.
        #[arg(long)]
        json: bool,
        /// Write the cards, and labels for racks, slots, cords and breakers, as SVG pages into this folder.
        #[arg(short, long)]
        output: Option<PathBuf>,
        /// Replace pages that exist.
        #[arg(long)]
        replace: bool,
    },
    /// Write the floor sheet for the contractor.
    Sheet {
        /// The plan.
        plan: PathBuf,
        /// The file to write, ending in .svg.
        #[arg(short, long)]
        output: PathBuf,
        /// Number or name of the phase; the last one where none is given.
        #[arg(long)]
        phase: Option<String>,
        /// Replace the file if it exists.
        #[arg(long)]
        replace: bool,
        /// Count first what the floor holds, and say it on the sheet.
        #[arg(long)]
        count: bool,
    },
    /// Check and fill the built-in example, and write its sheet and a picture of the editor into a folder.
    Demo {
        /// The folder.
        #[arg(default_value = "aislewright-demo")]
        folder: PathBuf,
    },
    /// Say what a check does, why, and what it does not see.
    Explain {
        /// Id of the check; all of them are listed where none is given.
        check: Option<String>,
    },
}

/// How a command ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ending {
    /// Done.
    Done,
    /// A must-fix finding is broken.
    Broken,
    /// The input could not be used.
    BadInput,
}

impl Ending {
    /// The exit code.
    pub fn code(self) -> u8 {
        match self {
            Self::Done => 0,
            Self::Broken => 1,
            Self::BadInput => 2,
        }
    }
}

/// Why a command could not be carried out.
#[derive(Debug)]
pub(crate) enum Trouble {
    /// Built-in data are damaged.
    Library(LibraryFault),
    /// The plan could not be read, or something could not be written.
    File(OpenError),
    /// The plan has broken references or impossible shapes.
    Faults(String),
    /// A sentence of its own.
    Words(String),
    /// Standard output is closed or full.
    Output(std::io::Error),
}

impl fmt::Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Library(fault) => fault.fmt(f),
            Self::File(error) => error.fmt(f),
            Self::Faults(text) | Self::Words(text) => f.write_str(text),
            Self::Output(error) => write!(f, "the output could not be written: {error}"),
        }
    }
}

impl From<std::io::Error> for Trouble {
    fn from(error: std::io::Error) -> Self {
        Self::Output(error)
    }
}

/// Carries out what the arguments ask for (the first is the program's name) and says how it ended.
pub fn run(arguments: impl IntoIterator<Item = OsString>, world: &mut World<'_>) -> Ending {
    let arguments = match Arguments::try_parse_from(arguments) {
        Ok(arguments) => arguments,
        Err(error) => return usage(&error, world),
    };
    let ended = match arguments.command {
        None => editor(arguments.plan.as_deref(), world),
        Some(Order::Check { plan, phase, json }) => {
            check::run(&plan, phase.as_deref(), json, world)
        }
        Some(Order::Fill {
            plan,
            phase,
            floor_only,
            steps,
            seconds,
            tolerance,
            json,
            output,
        }) => fill::run(
            &fill::Order {
                plan,
                phase,
                floor_only,
                steps,
                seconds,
                tolerance,
                json,
                output,
            },
            world,
        ),
        Some(Order::Wire {
            plan,
            phase,
            steps,
            behind_racks: _,
            what_if: true,
            json,
            output: _,
        }) => what_if::run(&plan, phase.as_deref(), steps, json, world),
        Some(Order::Wire {
            plan,
            phase,
            steps,
            behind_racks,
            what_if: false,
            json,
            output,
        }) => wire::run(
            &wire::Order {
                plan,
                phase,
                steps,
                behind_racks,
                json,
                output,
            },
            world,
        ),
        Some(Order::BadDays {
            plan,
            phase,
            json,
            output,
            replace,
        }) => bad_days::run(
            &bad_days::Order {
                plan,
                phase,
                json,
                output,
                replace,
            },
            world,
        ),
        Some(Order::Sheet {
            plan,
            output,
            phase,
            replace,
            count,
        }) => sheet::run(&plan, &output, phase.as_deref(), replace, count, world),
        Some(Order::Demo { folder }) => demo::run(&folder, world),
        Some(Order::Explain { check }) => explain::run(check.as_deref(), world),
    };
    match ended {
        Ok(ending) => ending,
        // Whoever reads the output has seen enough.
        Err(Trouble::Output(error)) if error.kind() == std::io::ErrorKind::BrokenPipe => {
            Ending::Done
        }
        Err(trouble) => {
            // Standard error may be gone too; the exit code still says it.
            let _ = writeln!(world.err, "{trouble}");
            Ending::BadInput
        }
    }
}

fn usage(error: &clap::Error, world: &mut World<'_>) -> Ending {
    let text = error.render();
    if error.use_stderr() {
        let _ = write!(world.err, "{text}");
        Ending::BadInput
    } else {
        let _ = write!(world.out, "{text}");
        Ending::Done
    }
}

/// The editor; without a display, one line that says so, and the demo instead.
fn editor(plan: Option<&Path>, world: &mut World<'_>) -> Result<Ending, Trouble> {
    let why = match world.open_window {
        Some(open) => match open(plan) {
            Ok(()) => return Ok(Ending::Done),
            Err(why) => why,
        },
        None => "this build has no window".to_owned(),
    };
    writeln!(world.out, "No window: {why} Running the demo instead.")?;
    demo::run(Path::new("aislewright-demo"), world)
}

/// A plan in one phase with all that is derived from it.
struct Judged {
    library: Library,
    layout: Layout,
    findings: Findings,
    headroom: Headroom,
}

impl Judged {
    fn of(library: Library, plan: Plan, phase: Option<&str>) -> Result<Self, Trouble> {
        let phase = phase_named(&plan, phase)?;
        let layout = Layout::of(&library, &Arc::new(plan), phase);
        Ok(Self {
            findings: Findings::of(&layout),
            headroom: Headroom::of(&layout),
            library,
            layout,
        })
    }

    /// A plan file, which must be without faults.
    fn open(path: &Path, phase: Option<&str>) -> Result<Self, Trouble> {
        let library = Library::builtin().map_err(Trouble::Library)?;
        let opened = storage::open(&RealDisk, &library, path).map_err(Trouble::File)?;
        if !opened.faults.is_empty() {
            return Err(Trouble::Faults(
                opened.faults_message(&path.display().to_string()),
            ));
        }
        Self::of(library, opened.plan, phase)
    }

    /// The built-in example in its last phase.
    fn example() -> Result<Self, Trouble> {
        Self::example_in(None)
    }

    /// The built-in example in that phase.
    fn example_in(phase: Option<&str>) -> Result<Self, Trouble> {
        let library = Library::builtin().map_err(Trouble::Library)?;
        let opened = storage::plan_of(&library, "bottling-room.plan.ron", EXAMPLE.as_bytes())
            .map_err(Trouble::File)?;
        Self::of(library, opened.plan, phase)
    }

    fn broken(&self) -> bool {
        self.findings.iter().any(crate::checks::Finding::stops)
    }
}

/// The phase of that number or name; the last one where none is given.
fn phase_named(plan: &Plan, given: Option<&str>) -> Result<PhaseNo, Trouble> {
    let Some(given) = given else {
        return Ok(plan.last_phase());
    };
    let by_number = given
        .parse::<u8>()
        .ok()
        .filter(|n| (1..=plan.last_phase().0).contains(n));
    let by_name = || {
        (1..=u8::MAX)
            .zip(plan.phases())
            .find(|(_, p)| p.name.as_str().eq_ignore_ascii_case(given))
            .map(|(n, _)| n)
    };
    by_number.or_else(by_name).map(PhaseNo).ok_or_else(|| {
        let names: Vec<String> = (1..=u8::MAX)
            .zip(plan.phases())
            .map(|(n, p)| format!("{n} ({})", p.name))
            .collect();
        Trouble::Words(format!(
            "There is no phase {given:?} in this plan; it has {}.",
            names.join(", ")
        ))
    })
}

/// Writes an export, never onto something else unasked.
fn write_file(path: &Path, bytes: &[u8], expected: Expected) -> Result<(), Trouble> {
    save::save(&RealDisk, path, bytes, expected)
        .map(|_| ())
        .map_err(|e| Trouble::File(OpenError::Save(e)))
}
