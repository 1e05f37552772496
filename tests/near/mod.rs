//! What the tests of the handbook share: an answer that is there and near enough. Knows no formula.

#![expect(clippy::unwrap_used, reason = "a missing answer is a failed test")]

/// Asserts that there is an answer within a tolerance of what is expected.
pub(crate) fn assert_near(value: Option<f64>, expected: f64, tolerance: f64) {
    let value = value.unwrap();
    assert!(
        (value - expected).abs() <= tolerance,
        "{value} is not within {tolerance} of {expected}"
    );
}
