//! Laws against published figures.

use super::super::{copper, wire_capacity};
use crate::units::{celsius, metres};

/// ASTM B258: 0.127 mm · 92^((36 − n)/39).
fn gauge(n: f64) -> crate::units::Length {
    metres(0.127e-3 * libm::pow(92.0, (36.0 - n) / 39.0))
}

/// Ohms per 1000 feet at 20 °C: copper wire table on exact diameters (NBS Circular 31, reprinted in
/// several public tables); its copper is 1.7241e-8 ohm m as well. Four printed digits.
#[test]
fn resistance_of_american_gauges() {
    let table = [
        (20.0, 10.15),
        (22.0, 16.14),
        (24.0, 25.67),
        (28.0, 64.90),
        (36.0, 414.8),
        (38.0, 659.6),
    ];
    for (n, expected) in table {
        let r = copper::per_metre(gauge(n), celsius(20.0)).0 * 304.8;
        assert!((r / expected - 1.0).abs() < 5e-4, "{n} AWG: {r}");
    }
}

/// Ohms per metre of round copper wire at 20 °C, IEC 60317-0-1 annex (nominal).
#[test]
fn resistance_of_enamelled_wire() {
    for (d, expected) in [(0.25, 0.3482), (0.4, 0.1360), (0.5, 0.08706)] {
        let r = copper::per_metre(metres(d * 1e-3), celsius(20.0)).0;
        // The annex takes 1/58.5 ohm mm²/m, 0.85 % less than 1/58 of IEC 60028.
        let same_copper = r / copper::RESISTIVITY * (1e-6 / 58.5);
        assert!(
            (same_copper / expected - 1.0).abs() < 5e-4,
            "{d} mm: {same_copper}"
        );
    }
}

/// Factor for 100 °C: NBS Handbook 100's coefficient 0.00393, quoted as 1.3144. And the table of
/// IEC 60228 (as reprinted; its short form is 250/(230 + t)), the other way round.
#[test]
fn resistance_of_warm_copper() {
    let at = |t| copper::per_metre(metres(1e-3), celsius(t)).0;
    assert!((at(100.0) / at(20.0) - 1.3144).abs() < 5e-5);
    for (t, k) in [
        (5.0, 1.064),
        (15.0, 1.020),
        (30.0, 0.962),
        (40.0, 0.926),
        (50.0, 0.893),
    ] {
        assert!((at(20.0) / at(t) - k).abs() < 2.5e-3, "{t} °C");
    }
}

/// Preece's fusing currents: published table of diameters in inches (a = 10244). 80 A·mm^-1.5 is that
/// constant rounded, 10244/25.4^1.5 = 80.02.
#[test]
fn where_wire_melts() {
    for (amps, inches) in [
        (20.0, 0.0156),
        (50.0, 0.0288),
        (100.0, 0.0457),
        (200.0, 0.0725),
    ] {
        let i = wire_capacity::melts_at(metres(inches * 0.0254)).value;
        // The diameters have three digits: 1.5 · 0.00005/0.0156 = 0.5 %.
        assert!((i / amps - 1.0).abs() < 6e-3, "{amps} A: {i}");
    }
}

/// A run may carry less than the single wire in free air of NASA EEE-INST-002 section W1 (wire of a
/// higher temperature class), and more than a tenth of it.
#[test]
fn what_wire_may_carry_is_of_the_published_order() {
    for (n, single) in [(20.0, 6.5), (28.0, 1.8), (30.0, 1.3)] {
        let i = wire_capacity::in_still_air(gauge(n), gauge(n), celsius(25.0)).value;
        assert!(i < single && i > 0.1 * single, "{n} AWG: {i}");
    }
}
