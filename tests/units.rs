//! Lengths, angles and quantities: what people type, what they read, and what a file holds.

use aislewright::units::{
    Amps, Angle, Celsius, CubicMetresPerHour, Density, Kelvins, Kilograms, Kilopascals, Length,
    Megapascals, MetresPerSecond, Minutes, Practice, Ratio, ToOne, VoltAmps, Volts, Watts,
};
use proptest::prelude::{Strategy, any, proptest};

/// The inch is exactly 25.4 mm (international yard and pound agreement, 1959), so 1/320 mm steps hold both units.
const PER_INCH: i64 = 8128;
const PER_MM: i64 = 320;
const PER_64TH: i64 = 127;

/// Every form below is 6 ft 2 1/2 in, which is 74.5 in or 1892.3 mm.
#[test]
fn typed_forms_of_one_length_in_feet_and_inches_are_equal() {
    let forms = [
        "6' 2 1/2\"",
        "6'2-1/2\"",
        "6'-2 1/2\"",
        "6' - 2 1/2\"",
        "6ft 2-1/2in",
        "6FT2.5IN",
        "6 Feet 2 1/2 Inches",
        "6′ 2½″",
        "6’2 ½”",
        "6‘ 2½“",
        "6'2½''",
        "6 ft. 2 1/2 in.",
        "74 1/2 in",
        "74-1/2\"",
        "74 32/64 inch",
        "74 1\u{2044}2 in",
        "74.5in",
        "74,5 in",
        "  74.50000  inches ",
        "6\u{a0}ft\u{a0}2.5",
        "189.23 cm",
        "1.8923m",
        "1,8923 Metres",
        "1892.3 MM",
    ];
    for form in forms {
        let read = Length::parse(form, None);
        assert_eq!(
            read,
            Ok(Length::from_units(74 * PER_INCH + PER_INCH / 2)),
            "{form}"
        );
    }
}

#[test]
fn typed_forms_give_exact_units() {
    let table = [
        ("6'2\"", 74 * PER_INCH),
        ("6ft2", 74 * PER_INCH),
        ("6 ft 2 in", 74 * PER_INCH),
        ("6'", 72 * PER_INCH),
        ("6.5 ft", 78 * PER_INCH),
        ("6 1/2 ft", 78 * PER_INCH),
        ("0\"", 0),
        ("1/64in", PER_64TH),
        ("0' 63/64\"", 63 * PER_64TH),
        ("¼\"", 16 * PER_64TH),
        ("¾ in", 48 * PER_64TH),
        ("⅛ in", 8 * PER_64TH),
        ("⅜ in", 24 * PER_64TH),
        ("⅝ in", 40 * PER_64TH),
        ("⅞ in", 56 * PER_64TH),
        (".5 in", PER_INCH / 2),
        ("1 1/3 in", 10837), // 10837.33 units
        ("2/3 in", 5419),    // 5418.67 units
        ("-6' 2\"", -74 * PER_INCH),
        ("\u{2212} 2-1/2 in", -(5 * PER_INCH) / 2),
        ("1.88 m", 1880 * PER_MM),
        ("188 cm", 1880 * PER_MM),
        ("1880 mm", 1880 * PER_MM),
        ("1880mm", 1880 * PER_MM),
        ("1,5 m", 1500 * PER_MM),
        ("0,125 mm", 40),
        ("0.003125mm", 1),
        ("0.0015625mm", 1), // half a unit goes up
        ("0.0015624mm", 0),
        ("1000 m", 1_000_000 * PER_MM),
        ("-1000 m", -1_000_000 * PER_MM),
    ];
    for (form, units) in table {
        assert_eq!(
            Length::parse(form, None),
            Ok(Length::from_units(units)),
            "{form}"
        );
    }
}

#[test]
fn a_bare_number_takes_the_unit_of_the_practice() {
    for text in ["74.5", "74 1/2", "74-1/2", "74½"] {
        assert_eq!(
            Length::parse(text, Some(Practice::Us)),
            Ok(Length::from_units(149 * PER_INCH / 2)),
            "{text}"
        );
    }
    assert_eq!(
        Length::parse("-1880", Some(Practice::Metric)),
        Ok(Length::from_mm_whole(-1880))
    );
}

#[test]
fn refusals_say_what_is_wrong_and_show_a_right_form() {
    let table = [
        (
            "",
            "there is no length here; write one such as 6' 2 1/2\" or 1880 mm",
        ),
        (
            "  \t ",
            "there is no length here; write one such as 6' 2 1/2\" or 1880 mm",
        ),
        (
            "6 furlongs",
            "`furlongs` at character 3 is not understood; write a length such as 6' 2 1/2\" or 1880 mm",
        ),
        (
            "6' 2\" 3",
            "`3` at character 7 is not understood; write a length such as 6' 2 1/2\" or 1880 mm",
        ),
        (
            "6' 20 mm",
            "`mm` at character 7 is not understood; write a length such as 6' 2 1/2\" or 1880 mm",
        ),
        (
            "6 2 in",
            "`2` at character 3 is not understood; write a length such as 6' 2 1/2\" or 1880 mm",
        ),
        (
            "½ ½ in",
            "`½` at character 3 is not understood; write a length such as 6' 2 1/2\" or 1880 mm",
        ),
        (
            "in",
            "`in` at character 1 is not understood; write a length such as 6' 2 1/2\" or 1880 mm",
        ),
        (
            "-",
            "`-` at character 1 is not understood; write a length such as 6' 2 1/2\" or 1880 mm",
        ),
        (
            "--6in",
            "`-` at character 2 is not understood; write a length such as 6' 2 1/2\" or 1880 mm",
        ),
        (
            "6ft.2in",
            "`.` at character 4 is not understood; write a length such as 6' 2 1/2\" or 1880 mm",
        ),
        (
            "1.2.3 m",
            "`.` at character 4 is not understood; write a length such as 6' 2 1/2\" or 1880 mm",
        ),
        (
            "NaN mm",
            "`NaN` at character 1 is not understood; write a length such as 6' 2 1/2\" or 1880 mm",
        ),
        (
            "74.5",
            "in a file a length needs its unit, and `74.5` has none; write for example 74in or 1880mm",
        ),
        (
            "2' 14\"",
            "inches beside feet go from 0 to 11 63/64; did you mean 3' 2\"?",
        ),
        (
            "-2' 12",
            "inches beside feet go from 0 to 11 63/64; did you mean -3' 0\"?",
        ),
        (
            "6.5' 2\"",
            "feet beside inches are whole, and `6.5'` is not; write for example 6' 2\" or 6.5 ft",
        ),
        (
            "1000.01 m",
            "a length goes up to 1 km either way; write one such as 6' 2 1/2\" or 1880 mm",
        ),
        (
            "99999999999999999999999999 in",
            "a length goes up to 1 km either way; write one such as 6' 2 1/2\" or 1880 mm",
        ),
        (
            "2 1/0 in",
            "the fraction `1/0` is not understood; fractions are below 1 and go down to 64ths, for example 2 1/2\"",
        ),
        (
            "2 5/4 in",
            "the fraction `5/4` is not understood; fractions are below 1 and go down to 64ths, for example 2 1/2\"",
        ),
        (
            "1/128 in",
            "the fraction `1/128` is not understood; fractions are below 1 and go down to 64ths, for example 2 1/2\"",
        ),
        (
            "1,880 mm",
            "`1,880` can be read in two ways; write 1880 for thousands or 1.88 for a decimal",
        ),
    ];
    for (form, sentence) in table {
        let refused = Length::parse(form, None).map_err(|error| error.to_string());
        assert_eq!(refused, Err(sentence.to_owned()), "{form:?}");
    }
    let long = Length::parse(&"6".repeat(61), Some(Practice::Us));
    assert_eq!(
        long.map_err(|error| error.to_string()),
        Err(
            "61 characters are too many for a length; write one such as 6' 2 1/2\" or 1880 mm"
                .to_owned()
        )
    );
}

#[test]
fn lengths_are_shown_the_way_the_practice_reads() {
    let table = [
        (0, "0\"", "0 mm"),
        (PER_INCH / 2, "1/2\"", "12.7 mm"),
        (5 * PER_INCH / 2, "2 1/2\"", "63.5 mm"),
        (72 * PER_INCH, "6' 0\"", "1828.8 mm"),
        (72 * PER_INCH + PER_INCH / 2, "6' 0 1/2\"", "1841.5 mm"),
        (149 * PER_INCH / 2, "6' 2 1/2\"", "1892.3 mm"),
        (-149 * PER_INCH / 2, "-6' 2 1/2\"", "-1892.3 mm"),
        (1880 * PER_MM, "6' 2\"", "1880 mm"), // 74.016 in
        (12 * PER_INCH - 1, "1' 0\"", "304.8 mm"),
        (-1, "0\"", "0 mm"),
        (253, "0\"", "0.8 mm"),
        (254, "1/16\"", "0.8 mm"), // halves go away from zero
    ];
    for (units, us, metric) in table {
        let length = Length::from_units(units);
        assert_eq!(length.shown(Practice::Us), us, "{units}");
        assert_eq!(length.shown(Practice::Metric), metric, "{units}");
    }
}

#[test]
fn a_file_holds_lengths_exactly_and_without_quotes() {
    let table = [
        (0, "0in"),
        (72 * PER_INCH, "6ft"),
        (74 * PER_INCH, "6ft 2in"),
        (149 * PER_INCH / 2, "6ft 2-1/2in"),
        (72 * PER_INCH + PER_64TH, "6ft 1/64in"),
        (-5 * PER_INCH / 2, "-2-1/2in"),
        (1880 * PER_MM, "1880mm"),
        (-1, "-0.003125mm"),
    ];
    for (units, text) in table {
        assert_eq!(Length::from_units(units).file_text(), text, "{units}");
    }
}

#[test]
fn lengths_convert_and_stop_at_one_kilometre() {
    assert_eq!(Length::from_mm(25.4), Length::from_inches(1));
    assert_eq!(Length::from_mm(f64::NAN), Length::ZERO);
    assert_eq!(Length::from_mm(f64::INFINITY), Length::ZERO);
    assert_eq!(Length::from_mm(1e300), Length::MOST);
    assert_eq!(Length::from_mm_whole(i32::MIN), -Length::MOST);
    assert_eq!(Length::from_units(i64::MAX), Length::MOST);
    assert_eq!(Length::from_feet(i32::MAX), Length::MOST);
    assert_eq!(Length::MOST + Length::MOST, Length::MOST);
    assert_eq!(-Length::MOST - Length::MOST, -Length::MOST);
    assert_eq!(Length::MOST * i32::MIN, -Length::MOST);
    assert_eq!(Length::from_units(-3).half(), Length::from_units(-1));
    assert_eq!(format!("{:?}", Length::from_inches(1)), "25.4 mm");
    let sum: Length = [Length::from_inches(1), Length::from_inches(2)]
        .into_iter()
        .sum();
    assert_eq!(sum, Length::from_inches(3));
    // 3280.84 ft in a kilometre: the usual rounded conversion of 0.3048 m to the foot.
    assert!(
        (Length::MOST.inches() / 12.0 - 3280.84).abs() < 0.001,
        "{}",
        Length::MOST.inches()
    );
}

#[test]
fn lengths_are_read_from_strings_with_their_unit_only() {
    let read: Result<Length, _> = serde_json::from_str("\"6ft 2-1/2in\"");
    assert_eq!(read.unwrap(), Length::from_units(149 * PER_INCH / 2));
    let bare = serde_json::from_str::<Length>("\"74\"")
        .unwrap_err()
        .to_string();
    assert!(
        bare.starts_with("in a file a length needs its unit, and `74` has none"),
        "{bare}"
    );
    let number = serde_json::from_str::<Length>("74")
        .unwrap_err()
        .to_string();
    assert!(
        number.contains("a length in quotes with its unit"),
        "{number}"
    );
    assert_eq!(
        serde_json::to_string(&Practice::Metric).unwrap(),
        "\"Metric\""
    );
}

#[test]
fn angles_stay_within_one_turn_and_are_exact_at_quarters() {
    let table = [
        ("90deg", 90.0),
        ("90", 90.0),
        ("22.5°", 22.5),
        ("-15 deg", 345.0),
        ("360 Degrees", 0.0),
        ("359.9999", 0.0),
    ];
    for (typed, degrees) in table {
        assert_eq!(
            Angle::parse(typed),
            Ok(Angle::from_degrees(degrees)),
            "{typed}"
        );
    }
    let sine_cosine = [
        (0.0, (0.0, 1.0)),
        (90.0, (1.0, 0.0)),
        (180.0, (0.0, -1.0)),
        (270.0, (-1.0, 0.0)),
    ];
    for (degrees, expected) in sine_cosine {
        assert_eq!(
            Angle::from_degrees(degrees).sin_cos(),
            expected,
            "{degrees}"
        );
    }
    // sin 30° = 1/2, from the equilateral triangle.
    assert!(
        (Angle::from_degrees(30.0).sin_cos().0 - 0.5).abs() < 1e-15,
        "sine of 30 degrees"
    );
    assert_eq!(Angle::ZERO - Angle::QUARTER, Angle::from_degrees(270.0));
    assert_eq!(Angle::QUARTER + Angle::from_degrees(270.0), Angle::ZERO);
    assert_eq!(-Angle::QUARTER, Angle::from_degrees(-90.0));
    assert_eq!(Angle::from_degrees(f64::NAN), Angle::ZERO);
    assert_eq!(Angle::from_degrees(22.5).shown(), "22.5°");
    assert_eq!(serde_json::to_string(&Angle::QUARTER).unwrap(), "\"90deg\"");
    assert_eq!(
        serde_json::from_str::<Angle>("\"-90deg\"").unwrap(),
        -Angle::QUARTER
    );
    assert_eq!(
        Angle::parse("a lot").unwrap_err().to_string(),
        "`a lot` is not understood as an angle; write one such as 90deg"
    );
    assert_eq!(
        Angle::parse(" ").unwrap_err().to_string(),
        "there is no angle here; write one such as 90deg"
    );
}

#[test]
fn quantities_are_read_with_their_units() {
    assert_eq!(Watts::parse("0.12 KW"), Watts::new(120.0));
    assert_eq!(VoltAmps::parse("1.5kva"), VoltAmps::new(1500.0));
    assert_eq!(Volts::parse("120 V"), Volts::new(120.0));
    assert_eq!(Amps::parse("3.5 mA"), Amps::new(0.0035));
    // The pound is exactly 0.45359237 kg (international yard and pound agreement, 1959).
    assert_eq!(Kilograms::parse("1 lb"), Kilograms::new(0.453_592_37));
    assert_eq!(Kilograms::parse("250g"), Kilograms::new(0.25));
    assert_eq!(
        MetresPerSecond::parse("0,25 m/s"),
        MetresPerSecond::new(0.25)
    );
    // 50 fpm is the usual 0.25 m/s of outlet catalogues (0.254 exactly).
    let slow = MetresPerSecond::parse("50 fpm").unwrap().value();
    assert!((slow - 0.254).abs() < 1e-12, "{slow}");
    // 1 cfm = 1.699 m³/h, the usual conversion.
    let flow = CubicMetresPerHour::parse("100 CFM").unwrap().value();
    assert!((flow - 169.9).abs() < 0.01, "{flow}");
    // Water freezes at 32 °F and boils at 212 °F; 1 K is 1.8 °F.
    assert_eq!(Celsius::parse("32F"), Celsius::new(0.0));
    assert_eq!(Celsius::parse("212 °F"), Celsius::new(100.0));
    assert_eq!(Kelvins::parse("18F"), Kelvins::new(10.0));
    assert_eq!(Ratio::parse("80%"), Ratio::new(0.8));
    assert_eq!(Ratio::parse("0.8"), Ratio::new(0.8));
    assert_eq!(Minutes::parse("1.5 h"), Minutes::new(90.0));
}

#[test]
fn quantities_are_shown_rounded_and_written_exactly() {
    let third = 1.0 / 3.0;
    assert_eq!(Watts::fixed(third).shown(), "0.333 W");
    assert_eq!(Watts::fixed(third).file_text(), format!("{third}W"));
    assert_eq!(CubicMetresPerHour::fixed(800.0).shown(), "800 m³/h");
    assert_eq!(CubicMetresPerHour::fixed(800.0).file_text(), "800m3/h");
    assert_eq!(Celsius::fixed(-0.0).shown(), "0 °C");
    assert_eq!(Celsius::new(-0.0).unwrap().file_text(), "0C");
    assert_eq!(Ratio::fixed(0.8).shown(), "80%");
    for hundredth in 0..=100 {
        let share = Ratio::new(f64::from(hundredth) / 100.0).unwrap();
        assert_eq!(share.file_text(), format!("{hundredth}%"));
    }
    assert_eq!(
        serde_json::to_string(&Kilograms::fixed(12.0)).unwrap(),
        "\"12kg\""
    );
    let loads: Watts = [Watts::fixed(120.0), Watts::fixed(350.5)].into_iter().sum();
    assert_eq!(loads, Watts::fixed(470.5));
    assert_eq!(Watts::fixed(1e6) + Watts::fixed(1e6), Watts::fixed(1e6));
    assert!(
        Watts::fixed(120.0) < Watts::fixed(121.0),
        "order follows the number"
    );
}

#[test]
fn quantities_out_of_range_or_without_a_unit_are_refused() {
    let range = "a power lies between 0 and 1000000 W, for example 120W";
    for value in [
        f64::NAN,
        f64::INFINITY,
        f64::NEG_INFINITY,
        -1.0,
        1_000_000.5,
    ] {
        assert_eq!(Watts::new(value).unwrap_err().to_string(), range, "{value}");
    }
    let table = [
        (Watts::parse("2000kW").map(|_| ()), range),
        (
            Watts::parse("").map(|_| ()),
            "there is nothing here; write a power such as 120W",
        ),
        (
            Watts::parse("120").map(|_| ()),
            "`120` has no unit; write a power such as 120W",
        ),
        (
            Watts::parse("120 VA").map(|_| ()),
            "`120 VA` is not understood as a power; write one such as 120W",
        ),
        (
            Watts::parse("inf W").map(|_| ()),
            "`inf W` is not understood as a power; write one such as 120W",
        ),
        (
            Watts::parse("1,200 W").map(|_| ()),
            "`1,200 W` is not understood as a power; write one such as 120W",
        ),
        (
            Celsius::parse("-61C").map(|_| ()),
            "a temperature lies between -60 and 500 °C, for example 24C",
        ),
        (
            Ratio::parse("101").map(|_| ()),
            "a share lies between 0 and 10000 %, for example 80%",
        ),
    ];
    for (refused, sentence) in table {
        assert_eq!(refused.unwrap_err().to_string(), sentence);
    }
    let json = serde_json::from_str::<Watts>("120")
        .unwrap_err()
        .to_string();
    assert!(
        json.contains("a power in quotes, for example \"120W\""),
        "{json}"
    );
}

/// Texts close to what people type, so that chance finds more than the first refusal.
fn nearly_a_length() -> impl Strategy<Value = String> {
    "[-0-9 .,/'\"′″½⅞⁄ftincm]{0,24}"
}

fn any_length() -> impl Strategy<Value = Length> {
    (-320_000_000_i64..=320_000_000).prop_map(Length::from_units)
}

proptest! {
    #[test]
    fn what_is_shown_exactly_reads_back(length in any_length(), metric in any::<bool>()) {
        let practice = if metric { Practice::Metric } else { Practice::Us };
        assert_eq!(Length::parse(&length.shown_exact(practice), None), Ok(length));
        assert_eq!(Length::parse(&length.file_text(), None), Ok(length));
    }

    #[test]
    fn every_64th_and_every_millimetre_is_kept(count in -1_000_000_i32..=1_000_000) {
        let sixty_fourths = Length::from_units(i64::from(count) * PER_64TH);
        let shown = sixty_fourths.shown_exact(Practice::Us);
        assert!(shown.ends_with('"'), "{shown}");
        assert_eq!(Length::parse(&shown, None), Ok(sixty_fourths));
        assert!(!sixty_fourths.file_text().contains('"'), "{}", sixty_fourths.file_text());
        assert_eq!(Length::parse(&format!("{count} mm"), None), Ok(Length::from_mm_whole(count)));
        assert_eq!(Length::from_mm(f64::from(count)), Length::from_mm_whole(count));
    }

    #[test]
    fn what_is_shown_is_within_half_the_step(length in any_length()) {
        // 1/16 in is 508 units and 0.1 mm is 32.
        for (practice, half_step) in [(Practice::Us, 254), (Practice::Metric, 16)] {
            let read = Length::parse(&length.shown(practice), None);
            // Rounding may step just past 1 km, which is rightly refused.
            if let Ok(read) = read {
                assert!((read.units() - length.units()).abs() <= half_step, "{length:?}");
            } else {
                assert!(length.abs() > Length::from_mm_whole(999_998), "{length:?}");
            }
        }
    }

    #[test]
    fn no_text_makes_a_parser_panic(text in any::<String>(), near in nearly_a_length()) {
        for typed in [&text, &near] {
            for bare in [None, Some(Practice::Us), Some(Practice::Metric)] {
                if let Err(refused) = Length::parse(typed, bare) {
                    assert!(!refused.to_string().is_empty(), "{typed:?}");
                }
            }
            if let Ok(angle) = Angle::parse(typed) {
                assert!((0.0..360.0).contains(&angle.degrees()), "{typed:?}");
            }
            if let Ok(share) = Ratio::parse(typed) {
                assert!((0.0..=100.0).contains(&share.value()), "{typed:?}");
            }
        }
    }

    #[test]
    fn quantities_read_back_bit_for_bit(value in 0.0_f64..=100.0, step in 0_i32..360_000) {
        assert_eq!(Watts::parse(&Watts::fixed(value).file_text()), Watts::new(value));
        assert_eq!(Ratio::parse(&Ratio::fixed(value).file_text()), Ratio::new(value));
        assert_eq!(Celsius::parse(&Celsius::fixed(-value / 2.0).file_text()), Celsius::new(-value / 2.0));
        let angle = Angle::from_degrees(f64::from(step) / 1000.0);
        assert_eq!(Angle::parse(&angle.file_text()), Ok(angle));
    }
}

/// A pound on a square foot is 47.880 Pa and one on a square inch 6.895 kPa (NIST SP 811); 50 psf is the 2.4 kPa of ASCE 7's
/// offices.
#[test]
fn loads_strengths_and_proportions() {
    let psf = Kilopascals::parse("50 psf").unwrap().value();
    assert!((psf - 2.394).abs() < 0.0005, "{psf}");
    assert_eq!(Kilopascals::parse("2.4 kN/m2"), Kilopascals::new(2.4));
    let psi = Megapascals::parse("1000 psi").unwrap().value();
    assert!((psi - 6.895).abs() < 0.0005, "{psi}");
    assert_eq!(Megapascals::parse("2.2 GPa"), Megapascals::new(2200.0));
    let dense = Density::parse("50 lb/ft3").unwrap().value();
    assert!((dense - 800.9).abs() < 0.05, "{dense}");
    assert_eq!(ToOne::parse("6:1"), ToOne::new(6.0));
    assert_eq!(ToOne::parse("6 : 1"), ToOne::new(6.0));
    assert_eq!(ToOne::parse("240"), ToOne::new(240.0));
    assert_eq!(ToOne::fixed(6.0).file_text(), "6:1");
    assert_eq!(ToOne::fixed(240.0).shown(), "240 : 1");
    assert!(Kilopascals::parse("50").is_err(), "psf or kPa must be said");
}
