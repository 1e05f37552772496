//! Small tools shared by everything that is written as text: exact decimals and reading a value from a string.
//! Knows no unit.

use std::fmt;

use serde::de::{Deserializer, Error, Visitor};

use super::Practice;

/// `value` × 10^-`places`, written without trailing zeros.
pub(super) fn exact_decimal(value: i64, places: u32) -> String {
    let one = 10_u64.pow(places);
    let sign = if value < 0 { "-" } else { "" };
    let (whole, part) = (value.unsigned_abs() / one, value.unsigned_abs() % one);
    if part == 0 {
        return format!("{sign}{whole}");
    }
    let digits = format!("{part:0width$}", width = places as usize);
    format!("{sign}{whole}.{}", digits.trim_end_matches('0'))
}

/// True for a number such as `1,880`, which some read as 1.88 and others as 1880.
pub(super) fn comma_is_ambiguous(whole_digits: &str, part_digits: &str) -> bool {
    part_digits.len() == 3
        && !whole_digits.starts_with('0')
        && (1..=3).contains(&whole_digits.len())
}

/// The first `most` characters of `text`, so that a message stays readable whatever was pasted.
pub(super) fn shortened(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    let mut cut: String = text.chars().take(most).collect();
    cut.push_str("...");
    cut
}

/// Reads a value from a string with `parse`; anything that is no string is refused with `expected`.
pub(super) fn deserialize_text<'de, D, T, E>(
    deserializer: D,
    expected: &'static str,
    parse: fn(&str) -> Result<T, E>,
) -> Result<T, D::Error>
where
    D: Deserializer<'de>,
    E: fmt::Display,
{
    deserializer.deserialize_str(TextVisitor { expected, parse })
}

struct TextVisitor<T, E> {
    expected: &'static str,
    parse: fn(&str) -> Result<T, E>,
}

impl<T, E: fmt::Display> Visitor<'_> for TextVisitor<T, E> {
    type Value = T;

    fn expecting(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(self.expected)
    }

    fn visit_str<F: Error>(self, text: &str) -> Result<T, F> {
        (self.parse)(text).map_err(F::custom)
    }
}

/// The number at the start of `text`, with an optional sign and a decimal point or comma, and the trimmed rest.
/// None if there is no number, or a comma in it can be read in two ways.
pub(super) fn split_number(text: &str) -> Option<(f64, &str)> {
    let in_number = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+' | '\u{2212}');
    let end = text.find(|c| !in_number(c)).unwrap_or(text.len());
    let (number, rest) = text.split_at(end);
    if let Some((whole, part)) = number.split_once(',') {
        let whole = whole.trim_start_matches(['-', '+', '\u{2212}']);
        if comma_is_ambiguous(whole, part) {
            return None;
        }
    }
    let plain = number.replace(',', ".").replace('\u{2212}', "-");
    let value: f64 = plain.parse().ok()?;
    Some((value, rest.trim()))
}

/// The words with a capital letter in front, as they stand at the head of a sentence or on a button.
pub fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// A word longer than this is no slip of a finger, and the comparison takes its time.
const LONGEST_WORD: usize = 60;

/// The known word that was most likely meant, if one is near enough to be a slip of a finger.
pub fn nearest<'a>(found: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    if found.chars().nth(LONGEST_WORD).is_some() {
        return None;
    }
    let lower = found.to_lowercase();
    known
        .into_iter()
        .map(|word| (strsim::osa_distance(&lower, &word.to_lowercase()), word))
        .filter(|(distance, word)| {
            *distance <= 1.max(word.chars().count().min(found.chars().count()) / 3)
        })
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, word)| word)
}

/// A difference of temperatures in kelvins as the practice says it.
pub fn kelvins(k: f64, practice: Practice) -> String {
    match practice {
        Practice::Us => format!("{:.0} °F", k * 1.8),
        Practice::Metric => format!("{k:.0} K"),
    }
}

/// A temperature in degrees Celsius as the practice says it.
pub fn degrees(c: f64, practice: Practice) -> String {
    match practice {
        Practice::Us => format!("{:.0} °F ({c:.0} °C)", c * 1.8 + 32.0),
        Practice::Metric => format!("{c:.0} °C"),
    }
}
