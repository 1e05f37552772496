//! The one canonical form of a length in a file. Reading it back is `length_text`'s.

use super::Practice;

/// Units of 1/320 mm in 1/64 inch: 25.4 mm / 64 * 320 (the inch is 25.4 mm exactly, ISO 31-1).
const UNITS_IN_64TH: i64 = 127;
/// Units of 1/320 mm in a millimetre.
const UNITS_IN_MM: u64 = 320;

/// A length of `units` 1/320 mm in its canonical form, without quotes: for US practice `6ft 2-1/2in` where it is a whole
/// number of 1/64 in; else millimetres, exact: `1880mm`.
pub fn length_in_file(units: i64, practice: Practice) -> String {
    let sign = if units < 0 { "-" } else { "" };
    if practice == Practice::Us && units % UNITS_IN_64TH == 0 {
        format!(
            "{sign}{}",
            feet_inches((units / UNITS_IN_64TH).unsigned_abs())
        )
    } else {
        format!("{sign}{}", millimetres(units.unsigned_abs()))
    }
}

fn feet_inches(sixty_fourths: u64) -> String {
    let (feet, rest) = (sixty_fourths / (12 * 64), sixty_fourths % (12 * 64));
    let (inches, part) = (rest / 64, rest % 64);
    let inches = match (inches, part) {
        (_, 0) => format!("{inches}in"),
        (0, _) => format!("{}in", fraction(part)),
        _ => format!("{inches}-{}in", fraction(part)),
    };
    match (feet, rest) {
        (0, _) => inches,
        (_, 0) => format!("{feet}ft"),
        _ => format!("{feet}ft {inches}"),
    }
}

/// `part` of 64 in lowest terms; `part` is not 0.
fn fraction(part: u64) -> String {
    let twos = part.trailing_zeros().min(6);
    format!("{}/{}", part >> twos, 64_u64 >> twos)
}

fn millimetres(units: u64) -> String {
    let (whole, part) = (units / UNITS_IN_MM, units % UNITS_IN_MM);
    if part == 0 {
        return format!("{whole}mm");
    }
    // 1/320 mm is 0.003125 mm: six decimals are always enough.
    let decimals = format!("{:06}", part * 3125);
    format!("{whole}.{}mm", decimals.trim_end_matches('0'))
}
