//! How figures are shown: three significant digits, the prefix that suits (`36 mA`, `1.2 A`), volts to the
//! hundredth (`11.93 V`), ranges with one unit (`35–37 mA`).

use crate::units::{ElectricCurrent, ElectricPotential, ElectricalResistance, Length, Power, Time};

/// A quantity that can be shown: its unit, and its value in SI.
pub trait Shown: Copy {
    /// The unit without a prefix.
    const UNIT: &'static str;
    /// Hundredths of the unit are shown, from a tenth of it upwards: volts, whose small differences matter.
    const HUNDREDTHS: bool = false;
    /// The value in that unit.
    fn number(self) -> f64;
}

macro_rules! shown {
    ($($quantity:ty, $unit:literal, $hundredths:literal;)*) => { $(
        impl Shown for $quantity {
            const UNIT: &'static str = $unit;
            const HUNDREDTHS: bool = $hundredths;
            fn number(self) -> f64 { self.value }
        }
    )* };
}

shown! {
    ElectricPotential, "V", true;
    ElectricCurrent, "A", false;
    Power, "W", false;
    ElectricalResistance, "ohm", false;
}

/// A prefix and its factor.
type Prefix = (&'static str, f64);

const PREFIXES: [Prefix; 5] = [("M", 1e6), ("k", 1e3), ("", 1.0), ("m", 1e-3), ("u", 1e-6)];

/// A number with at most three significant digits and no idle zeros: `0.0357` → `0.0357`, `36.00` → `36`.
pub fn three_digits(x: f64) -> String {
    digits(x, 3)
}

/// A number to so many significant digits, without an exponent and without idle zeros; digits ahead of
/// the point are never rounded away.
fn digits(x: f64, significant: i32) -> String {
    if x == 0.0 || !x.is_finite() {
        return "0".into();
    }
    let places = (significant - 1 - libm::log10(x.abs()).floor() as i32).clamp(0, 9);
    decimals(x, places as usize)
}

/// A number with so many decimals, idle zeros left out, and no minus before a zero.
pub fn decimals(x: f64, places: usize) -> String {
    let mut text = format!("{x:.places$}");
    if text.contains('.') {
        let kept = text.trim_end_matches('0').trim_end_matches('.').len();
        text.truncate(kept);
    }
    if text == "-0" { "0".into() } else { text }
}

/// The prefix under which a value has one to three digits before the point.
fn prefix(x: f64) -> Prefix {
    let size = x.abs();
    let fits = |&&(_, factor): &&Prefix| size >= factor * 0.9995;
    *PREFIXES.iter().find(fits).unwrap_or(if size < 1e-9 {
        &PREFIXES[2]
    } else {
        &PREFIXES[4]
    })
}

/// A value under a prefix that is already chosen.
fn under<Q: Shown>(x: f64, (_, factor): Prefix) -> String {
    if Q::HUNDREDTHS && factor == 1.0 && x.abs() >= 1.0 {
        decimals(x, 2)
    } else {
        three_digits(x / factor)
    }
}

/// The prefix for a quantity; small volts stay volts down to a tenth.
fn prefix_of<Q: Shown>(x: f64) -> Prefix {
    if Q::HUNDREDTHS && (0.1..1.0).contains(&x.abs()) {
        PREFIXES[2]
    } else {
        prefix(x)
    }
}

/// A quantity: `11.93 V`, `35.7 mA`.
pub fn show<Q: Shown>(quantity: Q) -> String {
    let x = quantity.number();
    let prefix = prefix_of::<Q>(x);
    format!("{} {}{}", under::<Q>(x, prefix), prefix.0, Q::UNIT)
}

/// A quantity and the limit that it passes, with as many digits as it takes to tell them apart:
/// `80.01 mA` and `80 mA`.
pub fn show_and_limit<Q: Shown>(quantity: Q, limit: Q) -> (String, String) {
    let (quantity, [limit]) = show_apart(quantity, [limit]);
    (quantity, limit)
}

/// A quantity and others that it is compared with, with as many digits as it takes to tell it from each of them.
pub fn show_apart<Q: Shown, const N: usize>(quantity: Q, others: [Q; N]) -> (String, [String; N]) {
    let to = |q: Q, significant: i32| {
        let prefix = prefix_of::<Q>(q.number());
        let number = digits(q.number() / prefix.1, significant);
        format!("{number} {}{}", prefix.0, Q::UNIT)
    };
    let usual = (show(quantity), others.map(show));
    let apart = |(a, others): &(String, [String; N])| others.iter().all(|b| a != b);
    if apart(&usual) {
        return usual;
    }
    (4..=9)
        .map(|n| (to(quantity, n), others.map(|q| to(q, n))))
        .find(apart)
        .unwrap_or(usual)
}

/// A quantity in three digits, volts too, for places with little room: `11.9 V`.
pub fn show_short<Q: Shown>(quantity: Q) -> String {
    let prefix = prefix_of::<Q>(quantity.number());
    format!(
        "{} {}{}",
        three_digits(quantity.number() / prefix.1),
        prefix.0,
        Q::UNIT
    )
}

/// From one to another: `35–37 mA`; one value where both look alike.
pub fn between<Q: Shown>(low: Q, high: Q) -> String {
    let prefix = prefix_of::<Q>(high.number());
    let (from, to) = (
        under::<Q>(low.number(), prefix),
        under::<Q>(high.number(), prefix),
    );
    if from == to {
        format!("{to} {}{}", prefix.0, Q::UNIT)
    } else {
        format!("{from}–{to} {}{}", prefix.0, Q::UNIT)
    }
}

/// A figure: what it is, and in brackets how far it may stray.
pub fn with_range<Q: Shown>(typical: Q, low: Q, high: Q) -> String {
    let typical = show(typical);
    let range = between(low, high);
    if range == typical {
        typical
    } else {
        format!("{typical} ({range})")
    }
}

/// A length as a builder measures it, not rounded past the millimetre: `0.202 mm`, `120 mm`, `1.255 m`.
pub fn length(length: Length) -> String {
    let mm = length.value * 1e3;
    match mm.abs() {
        x if x < 10.0 => format!("{} mm", three_digits(mm)),
        x if x < 999.95 => format!("{} mm", decimals(mm, 1)),
        _ => format!("{} m", decimals(length.value, 3)),
    }
}

/// A time: `300 ms`, `45 s`, `20 min`, `2.5 h`.
pub fn time(time: Time) -> String {
    let s = time.value;
    match s.abs() {
        x if x < 1.0 => format!("{} ms", three_digits(s * 1e3)),
        x if x < 120.0 => format!("{} s", three_digits(s)),
        x if x < 7200.0 => format!("{} min", three_digits(s / 60.0)),
        _ => format!("{} h", three_digits(s / 3600.0)),
    }
}

/// A part of a whole in percent: `1.5 %`.
pub fn percent(part: f64) -> String {
    let percent = part * 100.0;
    let places = usize::from(percent.abs() < 9.95);
    format!("{} %", decimals(percent, places))
}

/// A number of things: `1 light`, `3 lights`.
pub fn count(n: usize, one: &str) -> String {
    if n == 1 {
        format!("1 {one}")
    } else {
        format!("{n} {one}s")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{amps, metres, ohms, seconds, volts, watts};

    #[test]
    fn prefixes_and_digits() {
        assert_eq!(show(amps(0.0357)), "35.7 mA");
        assert_eq!(show(amps(0.036)), "36 mA");
        assert_eq!(show(amps(1.2)), "1.2 A");
        assert_eq!(show(amps(0.9996)), "1 A");
        assert_eq!(show(amps(0.009_999_6)), "10 mA");
        assert_eq!(show(amps(12e-6)), "12 uA");
        assert_eq!(show(amps(0.0)), "0 A");
        assert_eq!(show(amps(-1e-15)), "0 A");
        assert_eq!(show(volts(11.928)), "11.93 V");
        assert_eq!(show(volts(12.0)), "12 V");
        assert_eq!(show(volts(0.184)), "0.184 V");
        assert_eq!(show(volts(0.0184)), "18.4 mV");
        assert_eq!(show(watts(0.426)), "426 mW");
        assert_eq!(show(ohms(2200.0)), "2.2 kohm");
        assert_eq!(show_short(volts(11.928)), "11.9 V");
    }

    #[test]
    fn ranges_share_a_unit() {
        assert_eq!(between(amps(0.035), amps(0.037)), "35–37 mA");
        assert_eq!(between(amps(0.9), amps(1.1)), "0.9–1.1 A");
        assert_eq!(between(volts(12.0), volts(12.0)), "12 V");
        assert_eq!(
            with_range(amps(0.036), amps(0.035), amps(0.037)),
            "36 mA (35–37 mA)"
        );
    }

    #[test]
    fn other_kinds() {
        assert_eq!(length(metres(0.12)), "120 mm");
        assert_eq!(length(metres(1.25)), "1.25 m");
        assert_eq!(length(metres(1.255)), "1.255 m");
        assert_eq!(length(metres(0.000_202)), "0.202 mm");
        assert_eq!(time(seconds(9000.0)), "2.5 h");
        assert_eq!(percent(0.0149), "1.5 %");
        assert_eq!(percent(0.25), "25 %");
        assert_eq!(count(1, "light"), "1 light");
        assert_eq!(count(3, "light"), "3 lights");
    }

    #[test]
    fn a_figure_over_its_limit_reads_as_more_than_it() {
        let pair = |a, b| show_and_limit(amps(a), amps(b));
        assert_eq!(pair(1.0000011, 1.0), ("1.000001 A".into(), "1 A".into()));
        assert_eq!(pair(0.08001, 0.08), ("80.01 mA".into(), "80 mA".into()));
        assert_eq!(pair(1.2, 1.0), ("1.2 A".into(), "1 A".into()));
        let pair = |a, b| show_and_limit(volts(a), volts(b));
        assert_eq!(pair(11.93, 11.5), ("11.93 V".into(), "11.5 V".into()));
        assert_eq!(pair(11.996, 12.0), ("11.996 V".into(), "12 V".into()));
    }

    #[test]
    fn a_figure_between_two_others_reads_as_between() {
        let (short, [carries, blows]) = show_apart(amps(0.5852), [amps(0.5849), amps(0.84)]);
        assert_eq!(
            [&*short, &*carries, &*blows],
            ["585.2 mA", "584.9 mA", "840 mA"]
        );
    }
}
