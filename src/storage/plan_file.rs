//! Plans as files: bytes to plan and plan to bytes, and the steps of unsaved work as lines. What a plan means is the plan's.

use std::fmt;
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::disk::{Disk, in_plain_words};
use super::message::{self, Fault, LoadError};
use super::reader;
use super::save::{self, Expected, Fingerprint, SaveError, Saved};
use super::writer::{self, LengthStyle, WriteError};
use crate::plan::{Edit, Library, Plan, Refused, Session};
use crate::units::Practice;

/// A plan that was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Opened {
    /// The plan.
    pub plan: Plan,
    /// Broken references and impossible shapes; a plan with any may only be looked at.
    pub faults: Vec<Fault>,
    /// What the file holds, to be compared before it is replaced.
    pub fingerprint: Fingerprint,
}

/// Why a plan could not be opened or written.
#[derive(Debug)]
pub enum OpenError {
    /// The file could not be read.
    Disk {
        /// The file.
        path: PathBuf,
        /// The system's own error.
        error: std::io::Error,
    },
    /// The text is no plan.
    Load(Box<LoadError>),
    /// The plan could not be put into words.
    Write(WriteError),
    /// The text that would be written reads back as another plan; nothing was written.
    NotTheSame,
    /// The file could not be replaced.
    Save(SaveError),
}

impl fmt::Display for OpenError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Disk { path, error } => write!(
                f,
                "{} cannot be read: {}. Check the name and the rights of the file.",
                path.display(),
                in_plain_words(error)
            ),
            Self::Load(error) => error.fmt(f),
            Self::Write(error) => write!(f, "the plan cannot be written: {error}. Nothing was changed."),
            Self::NotTheSame => f.write_str(
                "the plan would not read back as it is, so it was not written; undo the last step and report this. Nothing was changed.",
            ),
            Self::Save(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for OpenError {}

/// Opens a plan. Faults of reference or shape do not refuse it: they are listed.
pub fn open(disk: &dyn Disk, library: &Library, path: &Path) -> Result<Opened, OpenError> {
    let bytes = disk
        .read(path, u64::try_from(reader::MOST_BYTES).unwrap_or(u64::MAX))
        .map_err(|error| OpenError::Disk {
            path: path.to_path_buf(),
            error,
        })?;
    let name = path.file_name().unwrap_or(path.as_os_str());
    plan_of(library, &name.to_string_lossy(), &bytes)
}

/// The plan that bytes hold; `name` stands in messages.
pub fn plan_of(library: &Library, name: &str, bytes: &[u8]) -> Result<Opened, OpenError> {
    let plan: Plan =
        reader::read(name, bytes, Plan::FORMAT).map_err(|e| OpenError::Load(Box::new(e)))?;
    Ok(Opened {
        faults: plan.audit(&library.stock),
        fingerprint: Fingerprint::of(bytes),
        plan,
    })
}

/// The text of a plan's file. It is read back and compared before it is given out.
pub fn text_of(plan: &Plan) -> Result<String, OpenError> {
    let text = writer::to_text(plan, style(plan)).map_err(OpenError::Write)?;
    let again: Plan = reader::read("", text.as_bytes(), Plan::FORMAT)
        .map_err(|e| OpenError::Load(Box::new(e)))?;
    if again == *plan {
        Ok(text)
    } else {
        Err(OpenError::NotTheSame)
    }
}

/// Replaces the file under `path` by the plan, whole or not at all.
pub fn write(
    disk: &dyn Disk,
    path: &Path,
    plan: &Plan,
    expected: Expected,
) -> Result<Saved, OpenError> {
    let text = text_of(plan)?;
    save::save(disk, path, text.as_bytes(), expected).map_err(OpenError::Save)
}

fn style(plan: &Plan) -> LengthStyle {
    match plan.practice() {
        Practice::Us => LengthStyle::FeetInches,
        Practice::Metric => LengthStyle::Millimetres,
    }
}

/// One step of unsaved work.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Recorded {
    /// An edit was made.
    Edit(Edit),
    /// The last step was taken back.
    Undo,
    /// It was made again.
    Redo,
}

/// A step as one line of the journal.
pub fn recorded_line(step: &Recorded) -> Result<String, OpenError> {
    writer::to_line(step, LengthStyle::Millimetres).map_err(OpenError::Write)
}

/// The session that a journal gives back: the text it started from and the steps, made again until one does not go. The
/// number is how many steps were made again.
pub fn replayed(
    library: &Library,
    replay: &super::journal::Replayed,
) -> Result<(Session, usize), OpenError> {
    let opened = plan_of(library, "unsaved work", replay.text.as_bytes())?;
    let mut session = Session::new(opened.plan);
    let made = replay
        .steps
        .iter()
        .map_while(|line| reader::read_line::<Recorded>(line).ok())
        .take_while(|step| make_again(library, &mut session, step).is_ok())
        .count();
    Ok((session, made))
}

fn make_again(library: &Library, session: &mut Session, step: &Recorded) -> Result<(), Refused> {
    match step {
        Recorded::Edit(edit) => session.apply(&library.stock, edit),
        Recorded::Undo => {
            session.undo();
            Ok(())
        }
        Recorded::Redo => {
            session.redo();
            Ok(())
        }
    }
}

/// The faults of a plan as a message that names the file.
impl Opened {
    /// One line a fault.
    pub fn faults_message(&self, file: &str) -> String {
        message::faults(file, &self.faults)
    }
}
