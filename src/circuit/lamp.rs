//! Law 2, lamps: the current of N lamps in series with a resistance, at a voltage across all of it.
//!
//! Each lamp drops `Vf + m·ln(I/If) + Rs·(I − If)`. With R in series and V across all, that is
//! `nm·ln(I/If) + Rt·I = V − N·(Vf − Rs·If)` with nm = N·m, Rt = N·Rs + R. In w = Rt·I/nm this is
//! `w + ln w = x`, x = (V − knee)/nm + ln(Rt·If/nm): the Wright omega function (Corless and Jeffrey,
//! "The Wright omega function", 2002), which is smooth, monotone and never overflows.

use super::figures::Corner;
use crate::plan::curve::LampCurve;

/// How far each lamp's drop strays in the corners, volts (law 8).
pub const DROP_STRAYS: f64 = 0.1;

/// Above this current the law goes on as a straight line, so that nothing overflows: it is far over
/// the 1 kA at which a plan has no solution.
const STRAIGHT_ABOVE: f64 = 1e5;

/// Under this voltage the current falls to nothing along a straight line, so that "at 0 V and below
/// nothing flows" leaves no jump. It is a tenth of the accuracy of the figures.
const RAMP: f64 = 1e-6;

/// Equal branches side by side, each of lamps in series with one resistance.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Lamps {
    pub curve: LampCurve,
    /// Lamps in series.
    pub count: f64,
    /// The resistance in series, ohms.
    pub ohms: f64,
    /// So many such branches.
    pub times: f64,
}

/// [`Lamps`] at a corner, together with resistance ahead of them that all branches share.
#[derive(Clone, Copy, Debug)]
pub(crate) struct LampLaw {
    /// Volts at which the logarithm alone gives the stated current.
    knee: f64,
    /// N·m, volts.
    slope: f64,
    /// All series resistance of a branch, ohms.
    ohms: f64,
    /// Stated current of a branch.
    stated: f64,
    times: f64,
    /// ln(Rt·If/nm)
    offset: f64,
}

impl Lamps {
    /// The law at a corner, `shared` ohms ahead of all the branches.
    pub fn at(&self, corner: Corner, shared: f64) -> LampLaw {
        let (strays, factor) = match corner {
            Corner::Typical => (0.0, 1.0),
            Corner::Dim => (DROP_STRAYS, 1.0 + super::supply::RESISTORS_STRAY),
            Corner::Bright => (-DROP_STRAYS, 1.0 - super::supply::RESISTORS_STRAY),
        };
        let stated = self.curve.stated_amps.value;
        let series = self.curve.series.value;
        let slope = self.count * self.curve.slope.value;
        let ohms = self.count * series + self.ohms * factor + shared * self.times;
        LampLaw {
            knee: self.count * (self.curve.stated_volts.value + strays - series * stated),
            slope,
            ohms,
            stated,
            times: self.times,
            offset: libm::log(ohms * (stated / slope)),
        }
    }
}

impl LampLaw {
    /// Current and its slope (amperes per volt) at a voltage.
    pub fn current(&self, volts: f64) -> (f64, f64) {
        self.current_near(volts, 0.0)
    }

    /// The same, where the current is likely near `guess`: it takes less time then.
    pub fn current_near(&self, volts: f64, guess: f64) -> (f64, f64) {
        if volts <= 0.0 || volts.is_nan() {
            return (0.0, 0.0);
        }
        let (i, g) = self.branch(volts, guess / self.times);
        let (i, g) = (i * self.times, g * self.times);
        if volts < RAMP && i > 0.0 {
            return (i * volts / RAMP, (i / RAMP).min(1e9));
        }
        (i, g)
    }

    fn branch(&self, volts: f64, guess: f64) -> (f64, f64) {
        let u = (volts - self.knee) / self.slope;
        let x = u + self.offset;
        let (i, g) = if x > -30.0 {
            let w = wright_omega(x, self.ohms / self.slope * guess);
            (self.slope / self.ohms * w, w / (1.0 + w) / self.ohms)
        } else {
            // The resistance takes nothing here (or is nothing): the logarithm alone.
            let i = self.stated * libm::exp(u.min(600.0));
            (i, i / self.slope)
        };
        if i > STRAIGHT_ABOVE || !i.is_finite() {
            let top = self.volts(STRAIGHT_ABOVE);
            let g = 1.0 / (self.ohms + self.slope / STRAIGHT_ABOVE);
            let i = STRAIGHT_ABOVE + g * (volts - top).max(0.0);
            return (i.min(1e12), g.min(1e9));
        }
        (i, g)
    }

    /// The voltage at which this current flows in all (above zero).
    pub fn volts(&self, amps: f64) -> f64 {
        let each = amps / self.times;
        self.knee + self.slope * libm::log(each / self.stated) + self.ohms * each
    }

    /// The voltage at which the stated current flows, that current, and its slope there.
    pub fn where_stated(&self) -> (f64, f64, f64) {
        let volts = self.knee + self.ohms * self.stated;
        if volts < RAMP || self.stated > STRAIGHT_ABOVE {
            let (i, g) = self.current(volts);
            return (volts, i, g);
        }
        let each = 1.0 / (self.ohms + self.slope / self.stated);
        (volts, self.stated(), each * self.times)
    }

    /// The stated current of all branches.
    pub fn stated(&self) -> f64 {
        self.stated * self.times
    }
}

/// The w of `w + ln w = x`; `guess` may be near it.
pub(crate) fn wright_omega(x: f64, guess: f64) -> f64 {
    if x > 1e15 {
        return x;
    }
    if x < -37.0 {
        return libm::exp(x);
    }
    if guess > 0.0
        && let (w, true) = nearer(x, guess)
    {
        return w;
    }
    let w = if x < 1.0 {
        let e = libm::exp(x);
        e / (1.0 + e)
    } else {
        x - libm::log(x) * (x / (1.0 + x))
    };
    match nearer(x, w) {
        (w, true) => w,
        (w, false) => nearer(x, w).0,
    }
}

/// One step nearer to the w of `w + ln w = x`, and whether that gives all digits: Fritsch, Shafer and Crowley's iteration
/// (CACM 1973), of fourth order, and its error (Lawrence, Corless and Jeffrey 2012, "Algorithm 917", ACM TOMS 38).
fn nearer(x: f64, w: f64) -> (f64, bool) {
    let r = x - w - libm::log(w);
    let p = 1.0 + w;
    let q = 2.0 * p * (p + 2.0 / 3.0 * r);
    let next = w * (1.0 + r / p * (q - r) / (q - 2.0 * r));
    let (r2, p2) = (r * r, p * p);
    let error = ((2.0 * w - 8.0) * w - 1.0).abs() * r2 * r2;
    (next, error < 72.0 * f64::EPSILON * p2 * p2 * p2)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{amps, volts};

    #[test]
    fn the_omega_function_is_its_definition() {
        // ω(1) = 1; ω(0) = 0.5671432904097838 (the omega constant, OEIS A030178).
        assert!((wright_omega(1.0, 0.0) - 1.0).abs() < 1e-15);
        assert!((wright_omega(0.0, 0.0) - 0.567_143_290_409_783_8).abs() < 1e-15);
        for k in -300..3000 {
            let x = f64::from(k) / 10.0;
            let w = wright_omega(x, 0.0);
            assert!(
                (w + libm::log(w) - x).abs() < 1e-13 * x.abs().max(1.0),
                "{x}"
            );
            // Whatever is guessed.
            let far = [1e-300, 1e300, f64::INFINITY, f64::NAN, -w];
            for guess in [1e-3, 0.5, 0.9, 0.999, 1.0, 1.001, 1.1, 2.0, 1e3].map(|part| part * w) {
                let near = wright_omega(x, guess);
                assert!(
                    (near / w - 1.0).abs() < 1e-15 * x.abs().max(1.0),
                    "{x} {guess}"
                );
            }
            assert!(far.iter().all(|guess| wright_omega(x, *guess) == w));
        }
    }

    fn lamps(count: f64, ohms: f64) -> Lamps {
        Lamps {
            curve: LampCurve::through((volts(3.0), amps(0.02)), None, Some("white")).unwrap(),
            count,
            ohms,
            times: 1.0,
        }
    }

    #[test]
    fn current_and_voltage_are_each_others_inverse() {
        for (n, r) in [(1.0, 0.0), (1.0, 560.0), (3.0, 150.0), (3.0, 1e6)] {
            let law = lamps(n, r).at(Corner::Typical, 0.0);
            for i in [1e-15, 1e-9, 1e-6, 1e-3, 0.02, 1.0, 90.0] {
                let v = law.volts(i);
                if v > 0.0 {
                    assert!((law.current(v).0 / i - 1.0).abs() < 1e-9, "{n} {r} {i}");
                }
            }
        }
        for (n, r) in [(1.0, 0.0), (3.0, 150.0), (1.0, 1e6)] {
            let law = lamps(n, r).at(Corner::Bright, 3.0);
            let (v, i, g) = law.where_stated();
            let there = law.current(v);
            assert!((i / there.0 - 1.0).abs() < 1e-13 && (g / there.1 - 1.0).abs() < 1e-13);
        }
        // 560 ohm: 3.0 V + 11.2 V at the stated current.
        let (i, g) = lamps(1.0, 560.0).at(Corner::Typical, 0.0).current(14.2);
        assert!((i - 0.02).abs() < 1e-15);
        // dV/dI = R + Rs + m/I = 560 + 10 + 0.051386/0.02
        assert!((1.0 / g - (570.0 + 2.5693)).abs() < 1e-9);
    }

    #[test]
    fn no_figure_is_too_absurd() {
        for x in [0.0, 1e-300, 1.0, 1e300, f64::INFINITY, f64::NAN, -1e300] {
            for r in [0.0, 1e-300, 1e300] {
                let law = lamps(1.0, r).at(Corner::Dim, 0.0);
                let (i, g) = law.current(x);
                assert!(
                    i.is_finite() && g.is_finite() && i >= 0.0 && g >= 0.0,
                    "{x} {r} {i} {g}"
                );
            }
        }
    }
}
