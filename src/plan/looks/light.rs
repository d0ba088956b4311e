//! The colour of a body that glows by its heat, on a screen.

use super::{Rgb, encoded};

/// The colour of a black body at a temperature in kelvins, from 1667 to 25000, as bright as the screen can show it.
pub fn black_body(kelvins: f64) -> Rgb {
    let (x, y) = chromaticity(kelvins);
    let [x, y, z] = [x / y, 1.0, (1.0 - x - y) / y];
    // From CIE XYZ to the primaries of sRGB: IEC 61966-2-1.
    let linear = [
        3.2406 * x - 1.5372 * y - 0.4986 * z,
        -0.9689 * x + 1.8758 * y + 0.0415 * z,
        0.0557 * x - 0.2040 * y + 1.0570 * z,
    ];
    let most = linear.into_iter().fold(f64::MIN_POSITIVE, f64::max);
    linear.map(|part| encoded((part / most).max(0.0)))
}

/// The chromaticity of a black body (CIE 1931): the cubic splines of Kim, Kang, Cho and Hong, "Design of advanced color
/// temperature control system for HDTV applications", Journal of the Korean Physical Society 41 (2002), from memory.
fn chromaticity(kelvins: f64) -> (f64, f64) {
    let t = 1e3 / kelvins.clamp(1667.0, 25000.0);
    let cubic = |at: f64, [a, b, c, d]: [f64; 4]| ((a * at + b) * at + c) * at + d;
    let x = match t > 0.25 {
        true => cubic(t, [-0.266_123_9, -0.234_358_9, 0.877_695_6, 0.179_910]),
        false => cubic(t, [-3.025_846_9, 2.107_037_9, 0.222_634_7, 0.240_390]),
    };
    let y = match t {
        t if t > 1.0 / 2.222 => cubic(
            x,
            [-1.106_381_4, -1.348_110_20, 2.185_558_32, -0.202_196_83],
        ),
        t if t > 0.25 => cubic(
            x,
            [-0.954_947_6, -1.374_185_93, 2.091_370_15, -0.167_488_67],
        ),
        _ => cubic(x, [3.081_758_0, -5.873_386_70, 3.751_129_97, -0.370_014_83]),
    };
    (x, y)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Standard illuminant A is a black body at 2856 K: x = 0.447 58, y = 0.407 45 (ISO 11664-2, CIE S 014-2).
    #[test]
    fn illuminant_a_is_a_black_body() {
        let (x, y) = chromaticity(2856.0);
        assert!(
            (x - 0.44758).abs() < 1e-3 && (y - 0.40745).abs() < 1e-3,
            "{x} {y}"
        );
    }

    /// By Planck's law (second radiation constant 0.014 388 m K) and the CIE 1931 observer in the analytic form of Wyman,
    /// Sloan and Shirley, "Simple analytic approximations to the CIE XYZ color matching functions", Journal of Computer
    /// Graphics Techniques 2 (2013), from memory.
    #[test]
    fn the_splines_follow_plancks_law() {
        let lobe = |l: f64, at: f64, left: f64, right: f64| {
            let t = (l - at) * if l < at { left } else { right };
            libm::exp(-0.5 * t * t)
        };
        let observer = |l: f64| {
            [
                0.362 * lobe(l, 442.0, 0.0624, 0.0374) + 1.056 * lobe(l, 599.8, 0.0264, 0.0323)
                    - 0.065 * lobe(l, 501.1, 0.0490, 0.0382),
                0.821 * lobe(l, 568.8, 0.0213, 0.0247) + 0.286 * lobe(l, 530.9, 0.0613, 0.0322),
                1.217 * lobe(l, 437.0, 0.0845, 0.0278) + 0.681 * lobe(l, 459.0, 0.0385, 0.0725),
            ]
        };
        for kelvins in [2000.0, 2700.0, 3000.0, 4000.0, 5000.0, 6500.0, 10000.0] {
            let mut sum = [0.0; 3];
            for nanometres in 380..=780 {
                let l = f64::from(nanometres);
                let radiance = l.powi(-5) / (libm::exp(0.014_388 / (l * 1e-9 * kelvins)) - 1.0);
                for (sum, part) in sum.iter_mut().zip(observer(l)) {
                    *sum += radiance * part;
                }
            }
            let all: f64 = sum.iter().sum();
            let (x, y) = chromaticity(kelvins);
            let (dx, dy) = (x - sum[0] / all, y - sum[1] / all);
            // As near as the analytic observer is to the tables.
            assert!(dx.abs() < 5e-3 && dy.abs() < 5e-3, "{kelvins} K: {dx} {dy}");
        }
    }

    #[test]
    fn warm_light_is_redder_than_cold() {
        let [warm, cold] = [3000.0, 6500.0].map(black_body);
        assert!((warm[0] - 1.0).abs() < 1e-9);
        assert!(warm[0] > warm[1] && warm[1] > warm[2], "{warm:?}");
        assert!(cold.iter().all(|part| *part > 0.95), "{cold:?}");
    }
}
