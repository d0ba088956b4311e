//! How far two colours are apart to the eye.

use crate::plan::looks::Rgb;

/// The CIE 1976 difference of two colours (ISO/CIE 11664-4): their distance in L*a*b*, the white of the screen as white.
pub fn difference(a: Rgb, b: Rgb) -> f64 {
    let (a, b) = (lab(a), lab(b));
    a.iter()
        .zip(b)
        .map(|(a, b)| (a - b) * (a - b))
        .sum::<f64>()
        .sqrt()
}

fn lab(rgb: Rgb) -> [f64; 3] {
    let [r, g, b] = rgb.map(linear);
    // The primaries and the white of sRGB: IEC 61966-2-1.
    let [x, y, z] = [
        (0.4124 * r + 0.3576 * g + 0.1805 * b) / 0.9505,
        0.2126 * r + 0.7152 * g + 0.0722 * b,
        (0.0193 * r + 0.1192 * g + 0.9505 * b) / 1.0890,
    ]
    .map(|part| match part > (6.0_f64 / 29.0).powi(3) {
        true => libm::cbrt(part),
        false => part * (29.0_f64 / 6.0).powi(2) / 3.0 + 4.0 / 29.0,
    });
    [116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)]
}

/// A part of a colour as light: IEC 61966-2-1.
fn linear(part: f64) -> f64 {
    match part <= 0.040_45 {
        true => part / 12.92,
        false => libm::pow((part + 0.055) / 1.055, 2.4),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::looks::encoded;

    /// The usual table of the screen's primaries in L*a*b* (from memory).
    #[test]
    fn primaries_of_the_screen() {
        for (rgb, known) in [
            ([1.0, 0.0, 0.0], [53.24, 80.09, 67.20]),
            ([0.0, 1.0, 0.0], [87.73, -86.18, 83.18]),
            ([0.0, 0.0, 1.0], [32.30, 79.19, -107.86]),
            ([1.0, 1.0, 1.0], [100.0, 0.0, 0.0]),
            ([0.0, 0.0, 0.0], [0.0, 0.0, 0.0]),
        ] {
            for (is, known) in lab(rgb).into_iter().zip(known) {
                assert!((is - known).abs() < 0.05, "{rgb:?}: {is}, not {known}");
            }
        }
    }

    #[test]
    fn there_and_back() {
        for step in 0..=255 {
            let part = f64::from(step) / 255.0;
            assert!((encoded(linear(part)) - part).abs() < 1e-6);
        }
    }
}
