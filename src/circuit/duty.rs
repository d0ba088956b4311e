//! Duty: the part of the time that something is on. It enters only heat and the life of batteries;
//! all other figures are those while on.

use crate::plan::{ItemId, Output, Plan, Point};
use crate::units::{Ratio, ratio};

/// The part of the time that an output which flashes is on, where the plan does not say.
const FLASHES: f64 = 0.5;

/// The part of the time that an output is on: its `duty`; 50 % where it only says that it flashes.
pub fn of_output(output: &Output) -> Ratio {
    match (output.duty, output.flash) {
        (Some(duty), _) => duty,
        (None, Some(_)) => ratio(FLASHES),
        (None, None) => ratio(1.0),
    }
}

/// The part of the time that an item is on: that of all outputs on its way back, on either leg, each
/// once. Outputs one behind the other count as independent.
pub fn of_item(plan: &Plan, item: ItemId) -> Ratio {
    let mut outputs: Vec<Point> = Vec::new();
    for leg in [true, false] {
        let mut at = item;
        for _ in 0..plan.items.len() {
            let Some(feed) = &plan.items[at.0].feed else {
                break;
            };
            let point = if leg { feed.from } else { feed.minus() };
            if point.output.is_some() && !outputs.contains(&point) {
                outputs.push(point);
            }
            at = point.item;
        }
    }
    let shares = outputs.into_iter().filter_map(|p| plan.output(p));
    shares
        .map(of_output)
        .fold(ratio(1.0), |all, share| all * share)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{Alone, FileKey};

    #[test]
    fn outputs_on_either_leg_count_once() {
        let text = "led p drops 2 V at 20 mA\nmodule m works 4 V to 12 V draws 1 mA\n output a 20 mA duty 20 %\n output b 20 mA flash 1 Hz sinks\nsupply s 9 V\nboard x of m from s\nlamp plain of p resistor 1 kohm from s\nlamp one of p resistor 1 kohm from x.a\nlamp two of p resistor 1 kohm from s return to x.b\nlamp both of p resistor 1 kohm from x.a return to x.b\n";
        let plan = Plan::of(FileKey::new("p"), text.into(), &Alone);
        assert!(plan.problems.is_empty(), "{:?}", plan.problems);
        let of = |name: &str| of_item(&plan, plan.item(name).unwrap()).value;
        assert_eq!([of("plain"), of("one"), of("two")], [1.0, 0.2, 0.5]);
        assert!((of("both") - 0.1).abs() < 1e-12);
    }
}
