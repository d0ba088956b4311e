//! Law 12, bundles: the smallest hole that the wires in a passage go through.
//!
//! Wires are counted by legs. The smallest hole is the larger of
//!
//! - the best known packing of as many equal circles as there are wires of the greatest thickness (up to 20: Graham,
//!   Lubachevsky, Nurmela and Östergård, "Dense packings of congruent circles in a circle", Discrete Mathematics 181,
//!   1998), and never less than the two thickest wires side by side;
//! - 1.2 · √Σd², a trade rule that leaves room to pull.

use crate::plan::{ItemId, LinkId, Opening, PassageId, Plan, Run, Wire};
use crate::units::{Length, metres};

/// The diameter of the smallest known circle around 1 to 20 equal circles, in diameters of those (Graham et al. 1998);
/// n = 20, and the fourth decimals of n = 10, 12 and 14 to 17, from memory.
pub const PACKING: [f64; 20] = [
    1.0, 2.0, 2.1547, 2.4142, 2.7013, 3.0, 3.0, 3.3048, 3.6131, 3.8130, 3.9238, 4.0296, 4.2361,
    4.3284, 4.5214, 4.6154, 4.7920, 4.8637, 4.8637, 5.1223,
];

/// How much room a bundle wants: the hole over the root of the wires' squares (trade rule).
const ROOM: f64 = 1.2;

/// How much thicker enamelled wire is than its copper, where its stock does not say.
const ENAMEL: f64 = 1.12;

/// Wires whose diameters differ by no more than this part of them are equally thick.
const EQUAL: f64 = 1e-3;

/// What counts as no excess, metres: a tenth of a micrometre.
const NOTHING: f64 = 1e-7;

/// The diameter of a wire over its insulation: as stated; else the copper, with its enamel if it has one.
pub fn over_insulation(wire: &Wire) -> Length {
    wire.outer.unwrap_or(match wire.insulation {
        Some("enamel") => wire.copper * ENAMEL,
        _ => wire.copper,
    })
}

/// The wires that go through a passage, and whose they are.
#[derive(Clone, Debug, Default)]
pub struct Bundle {
    /// The diameter of each wire over its insulation.
    pub wires: Vec<Length>,
    /// The items that they feed, in the order of the plan.
    pub items: Vec<ItemId>,
    /// The links among them.
    pub links: Vec<LinkId>,
}

/// The bundle in each passage of the plan. A wire that goes through a passage twice is two in it.
pub fn bundles(plan: &Plan) -> Vec<Bundle> {
    let mut bundles = vec![Bundle::default(); plan.passages.len()];
    let mut lay = |run: &Run, legs: usize, note: &dyn Fn(&mut Bundle)| {
        let thick = over_insulation(&plan.wires[run.wire.0]);
        for &PassageId(passage) in &run.via {
            let bundle = &mut bundles[passage];
            bundle.wires.extend(std::iter::repeat_n(thick, legs));
            note(bundle);
        }
    };
    for (i, item) in plan.items.iter().enumerate() {
        let Some(feed) = &item.feed else { continue };
        let note = |bundle: &mut Bundle| {
            if bundle.items.last() != Some(&ItemId(i)) {
                bundle.items.push(ItemId(i));
            }
        };
        for run in [&feed.run, &feed.back_run].into_iter().flatten() {
            lay(run, 1, &note);
        }
    }
    for (k, link) in plan.links.iter().enumerate() {
        if let Some(run) = &link.run {
            lay(run, 2, &|bundle| bundle.links.push(LinkId(k)));
        }
    }
    bundles
}

/// The smallest round hole that wires of these diameters go through; nothing for no wire.
pub fn smallest_hole(wires: &[Length]) -> Length {
    let mut diameters: Vec<f64> = wires.iter().map(|d| d.value).collect();
    diameters.sort_by(|a, b| b.total_cmp(a));
    let Some(&thickest) = diameters.first() else {
        return metres(0.0);
    };
    let as_thick = diameters.iter().filter(|&&d| d >= thickest * (1.0 - EQUAL));
    let packed = PACKING
        .get(as_thick.count() - 1)
        .map_or(0.0, |p| p * thickest);
    let side_by_side: f64 = diameters.iter().take(2).sum();
    let squares: f64 = diameters.iter().map(|d| d * d).sum();
    metres(packed.max(side_by_side).max(ROOM * squares.sqrt()))
}

/// Whether wires of these diameters go through an opening. Through a slot they go as through a hole as wide as its narrow
/// side; or lying side by side, in rows or in columns, each row as high as its thickest; or in staggered rows, each wire
/// taken as thick as the thickest. These are true layings (geometry): what is found to fit does.
pub fn fits(wires: &[Length], opening: Opening) -> bool {
    let hole = smallest_hole(wires).value;
    match opening {
        Opening::Bore(bore) => hole <= bore.value + NOTHING,
        Opening::Slot(a, b) => {
            let (wide, narrow) = (
                a.value.max(b.value) + NOTHING,
                a.value.min(b.value) + NOTHING,
            );
            let mut diameters: Vec<f64> = wires.iter().map(|d| d.value).collect();
            diameters.sort_by(|a, b| b.total_cmp(a));
            hole <= narrow
                || in_rows(&diameters, wide, narrow)
                || in_rows(&diameters, narrow, wide)
                || staggered(&diameters, wide, narrow)
        }
    }
}

/// Whether wires, the thickest first, lie in straight rows of this length, one above the other within this height. Each
/// goes into the first row that has room for it.
fn in_rows(diameters: &[f64], length: f64, height: f64) -> bool {
    let mut rows: Vec<f64> = Vec::new(); // how much of each is taken
    let mut high = 0.0;
    for &d in diameters {
        match rows.iter_mut().find(|taken| **taken + d <= length) {
            Some(taken) => *taken += d,
            None => {
                high += d;
                if d > length || high > height {
                    return false;
                }
                rows.push(d);
            }
        }
    }
    true
}

/// Whether as many wires of the greatest thickness lie in rows along the wide side, each in the gaps of the one below. The
/// rows share out the height; the less of it there is, the further apart the wires of a row lie.
fn staggered(diameters: &[f64], wide: f64, narrow: f64) -> bool {
    let Some(&d) = diameters.first().filter(|&&d| d > 0.0) else {
        return true;
    };
    if d > narrow || d > wide {
        return false;
    }
    // Rows next but one to each other stand above one another: two of their steps are a thickness at least.
    let most = (1.0 + 2.0 * (narrow - d) / d).floor().max(2.0) as usize;
    (2..=most.min(diameters.len())).any(|rows| {
        let step = (narrow - d) / (rows - 1) as f64;
        let apart = d.max(2.0 * (d * d - step * step).max(0.0).sqrt());
        let in_row = |starts_at: f64| match wide - d - starts_at {
            room if room < 0.0 => 0,
            room => (room / apart) as usize + 1,
        };
        rows.div_ceil(2) * in_row(0.0) + rows / 2 * in_row(apart / 2.0) >= diameters.len()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn equal(n: usize) -> f64 {
        smallest_hole(&vec![metres(1.0); n]).value
    }

    /// Best known packings (Graham et al. 1998 and later proofs), truncated to 0.001, read from a published table.
    #[test]
    fn packings_are_those_published() {
        let table = [
            (1, 1.0),
            (2, 2.0),
            (4, 2.414),
            (6, 3.0),
            (7, 3.0),
            (8, 3.304),
            (10, 3.813),
            (12, 4.029),
            (13, 4.236),
            (14, 4.328),
            (15, 4.521),
            (16, 4.615),
            (17, 4.792),
            (19, 4.863),
        ];
        for (n, diameter) in table {
            assert!((PACKING[n - 1] - diameter).abs() < 0.0011, "{n}");
        }
    }

    /// Those that are known in closed form: rings around nothing or around one circle (elementary geometry).
    #[test]
    fn packings_with_a_closed_form_follow_it() {
        let ring = |n: f64| 1.0 + 1.0 / libm::sin(std::f64::consts::PI / n);
        let exact = [
            (3, ring(3.0)),
            (4, ring(4.0)),
            (5, ring(5.0)),
            (7, ring(6.0)),
            (8, ring(7.0)),
            (9, ring(8.0)),
            (11, ring(9.0)),
            (13, 2.0 + 5f64.sqrt()),
            (18, 1.0 + 2f64.sqrt() + 6f64.sqrt()),
            (19, 1.0 + 2f64.sqrt() + 6f64.sqrt()),
        ];
        for (n, diameter) in exact {
            assert!((PACKING[n - 1] - diameter).abs() < 6e-5, "{n}: {diameter}");
        }
    }

    /// The trade rule, 1.2 · √n, as published with it (rounded to 0.0001).
    #[test]
    fn the_trade_rule_is_1_2_times_the_root_of_the_squares() {
        for (n, diameter) in [(7usize, 3.1749), (11, 3.9799), (12, 4.1569)] {
            assert!((equal(n) / diameter - 1.0).abs() < 1e-4, "{n}");
        }
        // With 3, 4, 5 and 9 wires the rule gives 2.0785, 2.4, 2.6833 and 3.6: less than the packing.
        for (n, diameter) in [(3usize, 2.1547), (4, 2.4142), (5, 2.7013), (9, 3.6131)] {
            assert_eq!(equal(n), diameter, "{n}");
        }
        assert!((equal(25) - 6.0).abs() < 1e-12);
        assert_eq!(equal(0), 0.0);
    }

    #[test]
    fn unequal_wires_are_no_less_than_the_two_thickest() {
        let of = |d: &[f64]| smallest_hole(&d.iter().map(|&d| metres(d)).collect::<Vec<_>>()).value;
        assert_eq!(of(&[1.0, 0.9]), 1.9);
        // A trunk of two thick wires and a few hairs: the hairs lie in the corners.
        assert_eq!(of(&[1.2, 1.2, 0.2, 0.2, 0.2, 0.2]), 2.4);
        // Many thin ones beside a thick one: the trade rule.
        let mut many = vec![0.5; 40];
        many.push(1.0);
        assert!((of(&many) - 1.2 * 11f64.sqrt()).abs() < 1e-12);
    }

    #[test]
    fn unequal_wires_lie_side_by_side_in_a_slot() {
        let fits = |d: &[f64], w: f64, h: f64| {
            let wires: Vec<Length> = d.iter().map(|&d| metres(d)).collect();
            super::fits(&wires, Opening::Slot(metres(w), metres(h)))
        };
        // A thick pair, and beside it three columns of two hairs.
        let wires = [1.3, 1.3, 0.6, 0.6, 0.6, 0.6, 0.6, 0.6];
        assert!(fits(&wires, 4.4, 1.3));
        assert!(!fits(&wires, 4.3, 1.3));
        assert!(!fits(&wires, 9.0, 1.2));
    }

    #[test]
    fn a_slot_takes_wires_in_rows() {
        let fits = |n: usize, w: f64, h: f64| {
            super::fits(
                &vec![metres(1e-3); n],
                Opening::Slot(metres(w * 1e-3), metres(h * 1e-3)),
            )
        };
        assert!(fits(2, 2.0, 1.0));
        assert!(fits(2, 1.0, 2.0));
        assert!(!fits(2, 1.9, 1.0));
        assert!(!fits(2, 9.0, 0.9));
        assert!(fits(6, 3.0, 2.0));
        assert!(!fits(7, 3.0, 2.0));
        // Two rows of thickness 1, the second in the gaps of the first: (by hand) 4 above 4 are 4.5 long and 1 + √3/2 = 1.866 high.
        assert!(fits(8, 4.5, 1.867));
        assert!(!fits(8, 4.49, 1.867));
        assert!(!fits(8, 4.5, 1.865));
        // In less height they lie further apart: 1.25 high, (by hand) √(1 − 0.25²) = 0.9682 each, so 8 are 7.778 long.
        assert!(fits(8, 7.78, 1.25));
        assert!(!fits(8, 7.77, 1.25));
        // Three rows, 3 + 2 + 3: 1 + √3 = 2.732 high.
        assert!(fits(8, 3.0, 2.733));
        assert!(!fits(8, 3.0, 2.73));
        // One wire needs its own thickness.
        assert!(fits(1, 1.0, 1.0));
        assert!(!fits(1, 3.0, 0.99));
        assert!(fits(0, 0.1, 0.1));
        let bore =
            |n: usize, d: f64| super::fits(&vec![metres(1e-3); n], Opening::Bore(metres(d * 1e-3)));
        assert!(bore(2, 2.0));
        assert!(!bore(2, 1.99));
    }
}
