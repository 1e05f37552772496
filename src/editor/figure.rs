//! A figure as it is typed: with its unit, or bare where its field says which unit that is. Knows no field.

use std::fmt::Display;
use std::str::FromStr;

/// The value of what is typed; a bare number has the unit.
pub(super) fn read<T, E: Display>(
    typed: &str,
    unit: &str,
    parse: impl Fn(&str) -> Result<T, E>,
) -> Result<T, String> {
    parse(typed)
        .or_else(|error| parse(&format!("{typed} {unit}")).map_err(|_second| error))
        .map_err(|error| error.to_string())
}

/// The same for a figure that may be unknown: nothing typed makes it so.
pub(super) fn read_maybe<T, E: Display>(
    typed: &str,
    unit: &str,
    parse: impl Fn(&str) -> Result<T, E>,
) -> Result<Option<T>, String> {
    if typed.is_empty() {
        return Ok(None);
    }
    read(typed, unit, parse).map(Some)
}

/// A whole number that may be unknown: nothing typed makes it so.
pub(super) fn whole_maybe<T: FromStr>(typed: &str) -> Result<Option<T>, String> {
    match typed.trim() {
        "" => Ok(None),
        words => words
            .parse()
            .map(Some)
            .map_err(|_no_number| format!("{words:?} is no whole number in range")),
    }
}
