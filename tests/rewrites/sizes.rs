//! Another size: of a supply, of a cut of tape.

use super::*;
use glimloom::rewrites::{enlarge_supply, move_cut};

/// A plan in which `n` cuts of two groups hang on the supply: 36 mA each at 12 V.
fn strips(supply: &str, n: u32) -> Plan {
    let strips: String = (0..n)
        .map(|k| format!("strip s{k} of warm 6 lamps from adapter\n"))
        .collect();
    plan_of(&format!("harness \"Row\" headroom 25 %\n{supply}{strips}"))
}

#[test]
fn the_next_usual_supply_keeps_the_headroom() {
    let of = |supply: &str, n: u32| {
        let plan = strips(supply, n);
        let all = enlarge_supply(&plan, &solved(&plan), item(&plan, "adapter"));
        all.into_iter()
            .map(|c| {
                let text = changed(&plan, &c.edits);
                (text.lines().nth(1).unwrap().to_string(), c.title)
            })
            .next()
    };
    // 16 × 36 mA = 0.576 A, over 0.75: 0.77 A.
    assert_eq!(
        of("supply adapter 12 V 0.5 A # plug\n", 16),
        Some((
            "supply adapter 12 V 0.8 A # plug".to_string(),
            "adapter of 0.8 A instead of 0.5 A: it gives 576 mA, 28 % stays free".to_string()
        ))
    );
    assert_eq!(
        of("supply adapter 12 V 500mA\n", 15).map(|(text, _)| text),
        Some("supply adapter 12 V 800mA".to_string())
    );
    // 30 of them: 1.08 A, over 0.75: 1.44 A.
    assert_eq!(
        of("supply adapter 12 V 1 A\n", 30).map(|(text, _)| text),
        Some("supply adapter 12 V 1.5 A".to_string())
    );
    assert_eq!(of("supply adapter 12 V 1 A\n", 15), None);
    assert_eq!(of("supply adapter 12 V\n", 15), None);
}

fn cuts(cut: &str) -> Vec<(String, String)> {
    let plan = plan_of_cut(cut);
    move_cut(&plan, item(&plan, "s"))
        .into_iter()
        .map(|c| {
            let text = changed(&plan, &c.edits);
            let cut = text
                .split("of warm ")
                .nth(1)
                .and_then(|rest| rest.split(" from").next())
                .unwrap();
            (cut.to_string(), c.title)
        })
        .collect()
}

fn plan_of_cut(cut: &str) -> Plan {
    plan_of(&format!(
        "supply adapter 12 V 1 A\nstrip s of warm {cut} from adapter # cut\n"
    ))
}

#[test]
fn a_cut_is_moved_to_the_next_cut_points() {
    let only = |cut: &str| {
        cuts(cut)
            .into_iter()
            .map(|(text, _)| text)
            .collect::<Vec<_>>()
    };
    assert_eq!(
        cuts("17 lamps"),
        [
            (
                "15 lamps".to_string(),
                "cut at 15 lamps, the next cut point down: 5 groups, 15 lamps, 125 mm".to_string()
            ),
            (
                "18 lamps".to_string(),
                "cut at 18 lamps, the next cut point up: 6 groups, 18 lamps, 150 mm".to_string()
            ),
        ]
    );
    assert_eq!(only("60 mm"), ["50 mm", "75 mm"]);
    assert_eq!(only("6cm"), ["5cm", "7.5cm"]);
    assert_eq!(only("0.06 m"), ["0.05 m", "0.075 m"]);
    assert_eq!(only("3 lamps"), Vec::<String>::new());
    assert_eq!(only("2 groups"), Vec::<String>::new());
    assert_eq!(only("50 mm"), Vec::<String>::new());
}
