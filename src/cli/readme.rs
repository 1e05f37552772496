//! The table of checks as it stands in the README, written from the list of checks so that the two cannot part.

use std::fmt::Write as _;

use crate::checks::CHECKS;

/// The table in Markdown.
pub fn check_table() -> String {
    let mut table = String::from(
        "| check | worst | what it computes | what it does not see |\n| --- | --- | --- | --- |\n",
    );
    for check in CHECKS {
        // Writing to a string cannot fail.
        let _ = writeln!(
            table,
            "| `{}` | {} | {} | {} |",
            check.id,
            check.worst.words(),
            check.what,
            check.blind
        );
    }
    table
}
