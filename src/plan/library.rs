//! The built-in data that every plan is read against: the stock list and the practice profiles.

use std::fmt;

use super::{Limits, Plan, ProfileFault, Profiles};
use crate::stock::{BuiltinFault, Stock};

/// The built-in stock list and practice profiles.
#[derive(Clone, Debug)]
pub struct Library {
    /// The built-in kinds.
    pub stock: Stock,
    /// The built-in limits.
    pub profiles: Profiles,
}

/// Built-in data could not be read.
#[derive(Debug)]
pub enum LibraryFault {
    /// The stock list.
    Stock(BuiltinFault),
    /// The limits.
    Limits(ProfileFault),
}

impl fmt::Display for LibraryFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Stock(fault) => fault.fmt(f),
            Self::Limits(fault) => fault.fmt(f),
        }
    }
}

impl std::error::Error for LibraryFault {}

impl Library {
    /// The data built into the program.
    pub fn builtin() -> Result<Self, LibraryFault> {
        Ok(Self {
            stock: Stock::builtin().map_err(LibraryFault::Stock)?,
            profiles: Profiles::builtin().map_err(LibraryFault::Limits)?,
        })
    }

    /// The kinds that hold in a plan: its own before the built-in ones.
    pub fn stock_of(&self, plan: &Plan) -> Stock {
        self.stock.with(plan.kinds())
    }

    /// The limits that hold in a plan.
    pub fn limits_of(&self, plan: &Plan) -> Limits {
        self.profiles.of_plan(plan)
    }
}
