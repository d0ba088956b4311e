//! How messages write figures and lists of names.

use crate::units::{ElectricCurrent, ElectricPotential, Length};

/// A current: `35.7 mA`, `1.2 A`.
pub fn current(x: ElectricCurrent) -> String {
    current_to(x, 3)
}

/// A voltage: `11.9 V`, `85 mV`.
pub fn voltage(x: ElectricPotential) -> String {
    scaled(x.value, "V", "mV", 3)
}

/// A length as the bench says it: `125 mm`, `1.2 m` only from 10 m on.
pub fn length(x: Length) -> String {
    if x.value.abs() >= 10.0 {
        format!("{} m", digits(x.value, 3))
    } else {
        format!("{} mm", digits(x.value * 1e3, 4))
    }
}

/// A current and the limit that it passes, with as many digits as it takes to tell them apart.
pub fn current_and_limit(x: ElectricCurrent, limit: ElectricCurrent) -> (String, String) {
    (3..=9)
        .map(|n| (current_to(x, n), current_to(limit, n)))
        .find(|(a, b)| a != b)
        .unwrap_or_else(|| (current(x), current(limit)))
}

fn current_to(x: ElectricCurrent, significant: usize) -> String {
    scaled(x.value, "A", "mA", significant)
}

fn scaled(x: f64, unit: &str, thousandth: &str, significant: usize) -> String {
    // 999.6 mA to three digits is 1 A
    let limit = 1.0 - 0.5 * 10f64.powi(-(significant as i32));
    if x == 0.0 || x.abs() >= limit {
        format!("{} {unit}", digits(x, significant))
    } else {
        format!("{} {thousandth}", digits(x * 1e3, significant))
    }
}

/// A number to so many significant digits, without an exponent and without idle zeros; digits
/// ahead of the point are never rounded away.
pub fn digits(x: f64, significant: usize) -> String {
    if x == 0.0 || !x.is_finite() {
        return "0".into();
    }
    let ahead = x.abs().log10().floor() as i32 + 1;
    let places = (significant as i32 - ahead).clamp(0, 9) as usize;
    let text = format!("{x:.places$}");
    let text = match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.'),
        false => &text,
    };
    if text == "-0" {
        "0".into()
    } else {
        text.into()
    }
}

/// Names in a sentence: `a`, `a and b`, `a, b and c`, `a, b, c and 4 more`.
pub fn list<S: AsRef<str>>(names: &[S]) -> String {
    const SHOWN: usize = 4;
    match names {
        [] => String::new(),
        [one] => one.as_ref().into(),
        [ahead @ .., last] if names.len() <= SHOWN => {
            let ahead: Vec<&str> = ahead.iter().map(AsRef::as_ref).collect();
            format!("{} and {}", ahead.join(", "), last.as_ref())
        }
        _ => {
            let shown: Vec<&str> = names[..SHOWN - 1].iter().map(AsRef::as_ref).collect();
            format!(
                "{} and {} more",
                shown.join(", "),
                names.len() - shown.len()
            )
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{amps, metres, volts};

    #[test]
    fn figures_read_as_on_the_bench() {
        assert_eq!(current(amps(0.0357)), "35.7 mA");
        assert_eq!(current(amps(0.9996)), "1 A");
        assert_eq!(current(amps(1.204)), "1.2 A");
        assert_eq!(current(amps(0.0)), "0 A");
        assert_eq!(current(amps(0.000_000_4)), "0.0004 mA");
        assert_eq!(voltage(volts(11.93)), "11.9 V");
        assert_eq!(length(metres(0.125)), "125 mm");
        assert_eq!(length(metres(1.25)), "1250 mm");
    }

    #[test]
    fn a_figure_over_its_limit_reads_as_more_than_it() {
        let pair = |a, b| current_and_limit(amps(a), amps(b));
        assert_eq!(pair(1.0000011, 1.0), ("1.000001 A".into(), "1 A".into()));
        assert_eq!(pair(1.2, 1.0), ("1.2 A".into(), "1 A".into()));
    }

    #[test]
    fn long_lists_are_cut() {
        assert_eq!(list(&["a"]), "a");
        assert_eq!(list(&["a", "b", "c"]), "a, b and c");
        assert_eq!(list(&["a", "b", "c", "d"]), "a, b, c and d");
        assert_eq!(list(&["a", "b", "c", "d", "e"]), "a, b, c and 2 more");
    }
}
