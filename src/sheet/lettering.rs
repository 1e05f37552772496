//! How wide lettering is: an own table of advance widths, so that places for texts are found without any font at hand.
//!
//! The widths are those of the face `DejaVu Sans`, the first face that the sheet asks for and the widest of the usual ones (Arial,
//! Helvetica and Liberation Sans are narrower in every letter of the table but a few signs). Letters outside the table count
//! as wider than they are.

use super::model::Weight;

/// The least height of capital letters on a sheet, in millimetres (ISO 3098-1; common practice for what is read on site).
pub const LEAST_LETTERING_MM: f64 = 2.5;

/// Height of a capital letter as a share of the type size: 0.716 in Arial, 0.729 in `DejaVu Sans`; the smaller one, so that
/// lettering is never lower than asked for.
pub const CAPITAL_SHARE: f64 = 0.716;

/// Width of letters outside the table as a share of the type size; ideographs are 1.0 wide.
const UNKNOWN: f64 = 1.45;

/// Width of `words` in millimetres, for capitals of that height.
pub fn width_mm(words: &str, height_mm: f64, weight: Weight) -> f64 {
    let shares: f64 = words.chars().map(|c| share(c, weight)).sum();
    shares * height_mm / CAPITAL_SHARE
}

/// How far a line of text reaches above and below its base line, in millimetres.
pub(super) fn rise_and_fall_mm(height_mm: f64) -> (f64, f64) {
    (height_mm * 1.1, height_mm * 0.34)
}

/// `words`, cut with "…" where they are wider than `most_mm`.
pub fn shortened(words: &str, most_mm: f64, height_mm: f64, weight: Weight) -> String {
    if width_mm(words, height_mm, weight) <= most_mm {
        return words.to_owned();
    }
    let room = most_mm - width_mm("…", height_mm, weight);
    let mut width = 0.0;
    let mut kept = String::new();
    for c in words.chars() {
        width += width_mm(c.encode_utf8(&mut [0; 4]), height_mm, weight);
        if width > room {
            break;
        }
        kept.push(c);
    }
    format!("{}…", kept.trim_end())
}

/// `words` broken at blanks into lines no wider than `most_mm`; a word that is wider by itself is cut.
pub(super) fn wrapped(words: &str, most_mm: f64, height_mm: f64, weight: Weight) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in words.split_whitespace() {
        let longer = if line.is_empty() {
            word.to_owned()
        } else {
            format!("{line} {word}")
        };
        if width_mm(&longer, height_mm, weight) <= most_mm {
            line = longer;
        } else {
            if !line.is_empty() {
                lines.push(line);
            }
            line = shortened(word, most_mm, height_mm, weight);
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

/// A text of several lines, each broken at blanks into lines no wider than `most_mm`; a word that is wider by itself is broken
/// between letters, so that nothing is lost. An empty line stays.
pub fn broken(text: &str, most_mm: f64, height_mm: f64, weight: Weight) -> Vec<String> {
    let fits = |words: &str| width_mm(words, height_mm, weight) <= most_mm;
    let mut lines = Vec::new();
    for given in text.lines() {
        let mut line = String::new();
        for word in given.split_whitespace() {
            let longer = format!("{line} {word}");
            if !line.is_empty() && fits(&longer) {
                line = longer;
                continue;
            }
            if !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            for letter in word.chars() {
                line.push(letter);
                if !fits(&line) && line.chars().count() > 1 {
                    line.pop();
                    lines.push(std::mem::replace(&mut line, letter.to_string()));
                }
            }
        }
        lines.push(line);
    }
    lines
}

/// Advance width of one letter as a share of the type size.
fn share(c: char, weight: Weight) -> f64 {
    let table = match weight {
        Weight::Plain => &PLAIN,
        Weight::Bold => &BOLD,
    };
    let listed = u32::from(c)
        .checked_sub(32)
        .and_then(|k| usize::try_from(k).ok())
        .and_then(|k| table.get(k));
    if let Some(thousandths) = listed {
        return f64::from(*thousandths) / 1000.0;
    }
    match c {
        '·' | '’' | '‘' => 0.38,
        '×' => 0.838,
        '°' | '–' => 0.5,
        '“' | '”' => 0.66,
        '…' | '—' => 1.0,
        '½' | '¼' | '¾' => 1.04,
        '²' | '³' => 0.44,
        // Arabic ligatures that stand for whole phrases.
        '\u{fdf0}'..='\u{fdff}' | '\u{12000}'..='\u{123ff}' => 14.0,
        _ => UNKNOWN,
    }
}

/// Advance widths of the letters from the blank on, in thousandths of the type size.
const PLAIN: [u16; 95] = [
    318, 401, 460, 838, 637, 951, 780, 275, 391, 391, 500, 838, 318, 361, 318, 337, 637, 637, 637,
    637, 637, 637, 637, 637, 637, 637, 337, 337, 838, 838, 838, 531, 1000, 685, 687, 699, 771, 632,
    576, 775, 752, 295, 295, 656, 558, 863, 749, 788, 604, 788, 695, 635, 611, 732, 685, 989, 686,
    611, 686, 391, 337, 391, 838, 500, 500, 613, 635, 550, 635, 616, 353, 635, 634, 278, 278, 580,
    278, 975, 634, 612, 635, 635, 412, 521, 393, 634, 592, 818, 592, 592, 525, 637, 337, 637, 838,
];

/// The same in bold.
const BOLD: [u16; 95] = [
    349, 457, 521, 838, 696, 1002, 873, 307, 458, 458, 523, 838, 380, 416, 380, 366, 696, 696, 696,
    696, 696, 696, 696, 696, 696, 696, 400, 400, 838, 838, 838, 581, 1000, 774, 763, 734, 831, 684,
    684, 821, 837, 373, 373, 775, 638, 996, 837, 851, 733, 851, 771, 721, 683, 813, 774, 1104, 771,
    725, 726, 458, 366, 458, 838, 500, 500, 675, 716, 593, 716, 679, 436, 716, 712, 343, 343, 666,
    343, 1042, 712, 688, 716, 716, 494, 596, 479, 712, 652, 924, 646, 652, 583, 712, 366, 712, 838,
];
