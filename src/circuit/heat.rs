//! Law 11, heat: how much warmer a closed zone gets, P / (8 W/m²K · A), A its inner surface (still air inside and out,
//! thin walls: common practice for small enclosures). What flashes counts for the part of the time that it is on.

use crate::plan::{ItemId, Part, Plan};
use crate::units::{Area, Power, TemperatureInterval};

use super::duty;
use super::figures::Figures;

/// What a square metre of wall passes on for each kelvin, watts.
pub const THROUGH_A_WALL: f64 = 8.0;

/// How much warmer than around it a zone of this inner surface gets.
pub fn rise(power: Power, inside: Area) -> TemperatureInterval {
    let kelvins = power.value / (THROUGH_A_WALL * inside.value);
    TemperatureInterval::new::<uom::si::temperature_interval::kelvin>(kelvins)
}

/// The heat (and light) that an item makes over time, typical.
pub fn mean_power(plan: &Plan, item: ItemId, figures: &Figures) -> Power {
    let of = &figures.items[item.0];
    let mut power = of.watts.typical;
    if let Part::Board { module } = plan.items[item.0].part {
        // What a board loses in a regulated output it loses only while that is on.
        for (output, at) in plan.modules[module.0].outputs.iter().zip(&of.outputs) {
            if output.volts.is_some() && !output.sinks {
                let lost = (of.volts.typical - at.volts.typical) * at.amps.typical;
                power -= lost * (1.0 - duty::of_output(output).value);
            }
        }
    }
    power * duty::of_item(plan, item)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::solve;
    use crate::plan::{Alone, FileKey};
    use crate::units::{square_metres, watts};
    use std::sync::Arc;

    /// By hand, as `docs/physics.md` says it: half a watt in 100 cm² gives 0.5 / (8 · 0.01) = 6.25 K.
    #[test]
    fn a_small_room_by_hand() {
        assert!((rise(watts(0.5), square_metres(0.01)).value - 6.25).abs() < 1e-12);
    }

    #[test]
    fn what_flashes_warms_while_it_is_on() {
        let text = "module m works 7 V to 13 V\n  output a 100 mA duty 20 % flash 1 Hz\n  output b 100 mA flash 1 Hz\n  output c 100 mA\n  output d 6 V 100 mA duty 25 %\n\
                    supply s 12 V 1 A\nboard x of m from s\nload la resistance 1200 ohm from x.a\nload lb resistance 1200 ohm from x.b\nload lc resistance 1200 ohm from x.c\n\
                    joint j from x.a\nload behind resistance 1200 ohm from j\nload ld resistance 600 ohm from x.d\n";
        let plan = Plan::of(FileKey::new("t"), Arc::from(text), &Alone);
        assert!(plan.problems.is_empty(), "{:?}", plan.problems);
        let solution = solve(&plan, &|| false);
        let figures = solution.scenes[0].outcome.as_ref().unwrap();
        let power = |name: &str| mean_power(&plan, plan.item(name).unwrap(), figures).value;
        // 12 V over 1.2 kohm: 120 mW while on.
        for (name, watts) in [("la", 0.024), ("lb", 0.06), ("lc", 0.12), ("behind", 0.024)] {
            assert!(
                (power(name) - watts).abs() < 1e-5,
                "{name}: {}",
                power(name)
            );
        }
        // 6 V over 600 ohm: 10 mA; the board loses 6 V of it, a quarter of the time.
        assert!((power("ld") - 0.015).abs() < 1e-5);
        assert!((power("x") - 0.015).abs() < 1e-5, "{}", power("x"));
    }
}
