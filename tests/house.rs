//! Guards the house: who may name whom, and that every file says its subject first.

#![expect(
    clippy::expect_used,
    reason = "a test that cannot go on should stop there"
)]

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// The rooms from top to bottom, each with those it may use. What is not listed may not be used.
const HOUSE: [(&str, &[&str]); 14] = [
    ("units", &[]),
    ("geometry", &["units"]),
    ("handbook", &["units", "geometry"]),
    ("stock", &["units", "geometry"]),
    ("plan", &["units", "geometry", "stock"]),
    ("storage", &["units", "stock", "plan"]),
    (
        "layout",
        &["units", "geometry", "handbook", "stock", "plan"],
    ),
    (
        "checks",
        &["units", "geometry", "handbook", "stock", "plan", "layout"],
    ),
    (
        "wiring",
        &["units", "geometry", "handbook", "stock", "plan", "layout"],
    ),
    (
        "fill",
        &[
            "units", "geometry", "handbook", "stock", "plan", "layout", "checks", "wiring",
        ],
    ),
    (
        "sheet",
        &[
            "units", "geometry", "handbook", "stock", "plan", "layout", "checks", "wiring", "fill",
            "storage",
        ],
    ),
    (
        "editor",
        &[
            "units", "geometry", "handbook", "stock", "plan", "layout", "checks", "wiring", "fill",
            "storage", "sheet",
        ],
    ),
    (
        "cli",
        &[
            "units", "geometry", "handbook", "stock", "plan", "layout", "checks", "wiring", "fill",
            "storage", "sheet",
        ],
    ),
    ("main", &["cli", "editor"]),
];

fn source_files(folder: &Path, found: &mut Vec<PathBuf>) {
    let mut entries: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("the source folder can be listed")
        .map(|e| e.expect("its entries can be read").path())
        .collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            source_files(&path, found);
        } else if path.extension().is_some_and(|e| e == "rs") {
            found.push(path);
        }
    }
}

fn files() -> Vec<(PathBuf, String)> {
    let mut found = Vec::new();
    source_files(Path::new("src"), &mut found);
    assert!(
        found.len() > 40,
        "the sources were not found: {}",
        found.len()
    );
    found
        .into_iter()
        .map(|path| {
            let text = std::fs::read_to_string(&path).expect("a source file is text");
            (path, text)
        })
        .collect()
}

/// The room a file belongs to: its folder below `src`, or its own name.
fn room_of(path: &Path) -> String {
    let below = path.strip_prefix("src").expect("all files lie below src");
    let first = below.components().next().expect("a file has a name");
    first
        .as_os_str()
        .to_string_lossy()
        .trim_end_matches(".rs")
        .to_owned()
}

/// The text without comments, so that a sentence may speak of another room.
fn code_of(text: &str) -> String {
    text.lines()
        .map(|line| line.find("//").map_or(line, |k| &line[..k]))
        .collect::<Vec<_>>()
        .join("\n")
}

/// The rooms that code names after `crate::` or `aislewright::`, grouped imports too.
fn named_rooms(code: &str) -> BTreeSet<String> {
    let mut rooms = BTreeSet::new();
    for root in ["crate::", "aislewright::"] {
        for (at, _) in code.match_indices(root) {
            let rest = &code[at + root.len()..];
            if let Some(group) = rest.strip_prefix('{') {
                rooms.extend(heads_of_group(group));
            } else {
                rooms.insert(word_at(rest));
            }
        }
    }
    rooms
}

/// The first words of the entries of a group, up to its closing bracket.
fn heads_of_group(group: &str) -> Vec<String> {
    let mut depth = 0;
    let mut heads = Vec::new();
    let mut at_head = true;
    for (k, c) in group.char_indices() {
        match c {
            '{' => depth += 1,
            '}' if depth == 0 => break,
            '}' => depth -= 1,
            ',' if depth == 0 => at_head = true,
            c if at_head && c.is_alphanumeric() => {
                heads.push(word_at(&group[k..]));
                at_head = false;
            }
            _ => {}
        }
    }
    heads
}

fn word_at(text: &str) -> String {
    text.chars()
        .take_while(|c| c.is_alphanumeric() || *c == '_')
        .collect()
}

#[test]
fn a_room_names_only_the_rooms_it_may_use() {
    let known: BTreeSet<&str> = HOUSE.iter().map(|(room, _)| *room).collect();
    let mut wrong = Vec::new();
    for (path, text) in files() {
        let room = room_of(&path);
        if room == "lib" {
            continue;
        }
        let Some((_, may)) = HOUSE.iter().find(|(name, _)| *name == room) else {
            wrong.push(format!(
                "{}: the room {room} is not in the table of tests/house.rs",
                path.display()
            ));
            continue;
        };
        for named in named_rooms(&code_of(&text)) {
            let is_room = known.contains(named.as_str());
            if is_room && named != room && !may.contains(&named.as_str()) {
                wrong.push(format!(
                    "{}: {room} may not name {named}; move the shared thing up, or hand it in from below",
                    path.display()
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_file_says_its_subject_first() {
    let silent: Vec<String> = files()
        .into_iter()
        .filter(|(_, text)| !text.starts_with("//! "))
        .map(|(path, _)| path.display().to_string())
        .collect();
    assert!(
        silent.is_empty(),
        "these files do not begin with `//! subject`: {}",
        silent.join(", ")
    );
}

#[test]
fn a_grouped_import_is_seen() {
    let rooms = named_rooms("use crate::{editor::{app, floor}, units::Length};");
    assert_eq!(
        rooms,
        BTreeSet::from(["editor".to_owned(), "units".to_owned()])
    );
}

#[test]
fn nothing_below_the_editor_names_the_window_system() {
    let outside = ["egui", "eframe", "rfd"];
    let guilty: Vec<String> = files()
        .into_iter()
        .filter(|(path, _)| room_of(path) != "editor")
        .filter(|(_, text)| {
            let code = code_of(text);
            outside
                .iter()
                .any(|name| code.contains(&format!("{name}::")))
        })
        .map(|(path, _)| path.display().to_string())
        .collect();
    assert!(
        guilty.is_empty(),
        "only the editor may name the window system: {}",
        guilty.join(", ")
    );
}
