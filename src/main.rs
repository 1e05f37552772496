//! The program: picks the editor or a command.
fn main() {}
